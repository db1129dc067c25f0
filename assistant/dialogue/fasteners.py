"""What is asked about a fastener, at any step: torque, order, passes, count, size, treatment, reuse."""

from __future__ import annotations

from decimal import Decimal

from assistant.card.model import Torque
from assistant.dialogue.named import fastener_of
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital
from assistant.dialogue.wording.english import PASS_UNTIL, RELATIONS, REUSE, TREATMENTS
from assistant.dialogue.wrench import setting_for
from assistant.fastening.order import order_of, place_of
from assistant.fastening.passes import TighteningPass
from assistant.fastening.units import TORQUE_UNITS, convert, shown_in
from assistant.grammar.request import Quantity, Request
from assistant.job.passes import rounds_of
from assistant.voice.wording import show_amount, show_quantity, show_range, show_torque


def torque(view: View, turn: Turn, request: Request) -> Turn:
    """The torque of a fastener: its name, then the value as the card has it, then other units and the setting."""
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    turn = turn.about(thing)
    fastener = turn.state.plan.fastener(thing)
    name = capital(fastener.name)
    if fastener.torque is None:
        return turn.say("torque-none", fastener=name)
    unit = str(request.slots.get("in-unit", ""))
    if unit in TORQUE_UNITS and unit != fastener.torque.unit and not fastener.torque.by_hand:
        turn = turn.say(
            "torque-in", fastener=name, torque=show_torque(fastener.torque), converted=in_unit(fastener.torque, unit)
        )
    else:
        turn = turn.say("torque", fastener=name, torque=show_torque(fastener.torque))
    rounds = len(rounds_of(fastener))
    if rounds > 1:
        turn = turn.say("torque-passes", n=rounds)
    return with_setting(turn, thing)


def with_setting(turn: Turn, thing: str) -> Turn:
    """Adds the wrench setting where an adapter is in use."""
    setting = setting_for(turn.state, thing)
    return turn.say("torque-setting", setting=setting) if setting else turn


def in_unit(torque: Torque, unit: str) -> str:
    """A card's torque in another unit, rounded to what its figures mean."""
    if torque.low is not None and torque.high is not None and torque.value is None:
        return show_range(shown_in(torque.low, torque.unit, unit), shown_in(torque.high, torque.unit, unit), unit)
    if torque.value is None:
        return show_torque(torque)
    return show_quantity(shown_in(torque.value, torque.unit, unit), unit)


def order(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    turn = turn.about(thing)
    if fastener.order is None:
        return turn.say("order-none", fastener=capital(fastener.name))
    groups = [", ".join(str(n) for n in group) for group in order_of(fastener).groups]
    start = place_of(fastener, 1)
    words = "; ".join(groups)
    words = bit("starts-at", order=words, start=start) if start else words
    return turn.say("order", fastener=capital(fastener.name), order=words)


def passes(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    turn = turn.about(thing)
    rounds = rounds_of(fastener)
    if len(rounds) == 1:
        return turn.say("passes-none", fastener=capital(fastener.name))
    words = [bit("in-pass", number=each.number, target=target_of(each)) for each in rounds]
    return turn.say("passes", fastener=capital(fastener.name), passes="; ".join(words))


def target_of(each: TighteningPass) -> str:
    """What one pass goes to: "snug by hand", "20 N·m, 2 0", "90°, 9 0, more", "100 % once round"."""
    if each.angle_deg is not None:
        words = show_quantity(each.angle_deg, "deg")
        if each.until:
            words = bit("turn-until", angle=words, until=PASS_UNTIL[each.until])
        else:
            words = bit("turn-further", angle=words)
    elif each.target is not None:
        words = show_torque(each.target)
    else:
        words = bit("by-hand") if each.label == "snug" else each.label
    return bit("once-round", target=words) if each.label.endswith(", round") else words


def count(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    words = str(fastener.count or bit("not-counted"))
    it = turn.state.fasteners.get(thing)
    if it is not None and it.out and it.out < it.count:
        words = bit("out-now", words=words, n=it.out)
    return turn.about(thing).say("count", fastener=capital(fastener.name), count=words)


def size(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    grade = fastener.grade
    if grade and grade[0].isdigit():
        grade = bit("class", grade=grade)  # type: ignore[assignment]
    words = [w for w in (fastener.thread, grade, fastener.head) if w]
    if fastener.length_mm is not None:
        words.append(bit("long", length=show_amount(fastener.length_mm, "mm")))
    words += [f"{where} {show_amount(length, 'mm')}" for where, length in fastener.lengths.items()]
    if fastener.left_hand:
        words.append(bit("left-hand"))
    turn = turn.about(thing)
    if not words:
        return turn.say("size-none", fastener=capital(fastener.name))
    return turn.say("size", fastener=capital(fastener.name), size=", ".join(words))


def which_way(view: View, turn: Turn, request: Request) -> Turn:
    """Which way it turns. Only what the card says: that a thread is not marked left-hand proves nothing."""
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    key = "left-hand" if fastener.left_hand else "not-left-hand"
    return turn.about(thing).say(key, fastener=capital(fastener.name))


def treatment(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    turn = turn.about(thing)
    it = fastener.treatment
    if it is None:
        return turn.say("treatment-none", fastener=capital(fastener.name))
    words = [TREATMENTS[it.kind], *([it.where.rstrip(".")] if it.where else [])]
    if it.clean_first:
        words.append(bit("clean-first"))
    return turn.say("treatment", fastener=capital(fastener.name), treatment=", ".join(words))


def reuse(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = fastener_of(view, turn, request)
    if not thing:
        return asked or turn
    fastener = turn.state.plan.fastener(thing)
    turn = turn.about(thing)
    if fastener.reuse is None:
        return turn.say("reuse-none", fastener=capital(fastener.name))
    words = REUSE[fastener.reuse.rule]
    if fastener.reuse.unless:
        words = f"{words} {fastener.reuse.unless.rstrip('.')}"
    return turn.say("reuse", fastener=capital(fastener.name), reuse=words)


def fasteners_at(view: View, turn: Turn, request: Request) -> Turn:
    """ "Which fasteners are at thirty newton metres", "what is over a hundred"."""
    value, relation = request.slots.get("value"), str(request.slots.get("relation") or "at")
    if not isinstance(value, Quantity):
        return turn.say("no-fastener-here")
    units = [f.torque.unit for f in view.card.fasteners.values() if f.torque and not f.torque.by_hand]
    unit = value.unit if value.unit in TORQUE_UNITS else (max(set(units), key=units.count) if units else "N·m")
    found = [
        f"{fastener.name}, {show_torque(fastener.torque)}"
        for thing, fastener in view.card.fasteners.items()
        if fastener.torque and turn.state.plan.is_there(thing, turn.state.facts)
        and _stands(fastener.torque, relation, value.value, unit)
    ]  # fmt: skip
    words = {"relation": RELATIONS.get(relation, "At"), "value": show_amount(value.value, unit)}
    if not found:
        return turn.say("fasteners-at-none", **words)
    return in_parts(turn, [bit("headed", head=f"{words['relation']} {words['value']}", first=found[0]), *found[1:]])


def in_parts(turn: Turn, entries: list[str], at_once: int = 5) -> Turn:
    """A long list in mouthfuls; "more" goes on with it."""
    first, rest = entries[:at_once], entries[at_once:]
    turn = turn.line("; ".join(first))
    if not rest:
        return turn
    parts = tuple("; ".join(rest[n : n + at_once]) for n in range(0, len(rest), at_once))
    return turn.say("more-to-come", n=len(rest)).going_on(parts)


def _stands(torque: Torque, relation: str, value: Decimal, unit: str) -> bool:
    if torque.by_hand:
        return False
    low, high = (n for n in (torque.value or torque.low, torque.value or torque.high))
    if low is None or high is None:
        return False
    low, high = convert(low, torque.unit, unit), convert(high, torque.unit, unit)
    if relation == "over":
        return high > value
    if relation == "under":
        return low < value
    # said to the figures that were said: 48 is meant for 47.9
    slack = Decimal(1).scaleb(int(value.as_tuple().exponent)) / 2 if torque.unit != unit else Decimal(0)
    return low - slack <= value <= high + slack
