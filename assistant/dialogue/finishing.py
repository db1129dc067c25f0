"""What is open, closing and accepting it, finishing, and handing over."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.card.model import FollowUp
from assistant.card.plan import follow_ups_for
from assistant.dialogue.fasteners import in_parts
from assistant.dialogue.needs import ask_decision
from assistant.dialogue.pending import pack
from assistant.dialogue.steps import next_open
from assistant.dialogue.view import Turn, View
from assistant.dialogue.which import Candidate, Close, Found, which
from assistant.dialogue.wording import bit, capital, fill, item_in_words, say, sentence
from assistant.dialogue.wording.english import ALL_OF_THEM, duration, listed
from assistant.dialogue.wording.open_words import in_words, live_items, nothing_open, open_summary
from assistant.grammar.request import Request
from assistant.job.errors import Illegal
from assistant.job.events import Finished, FinishRefused, HandedOver, ItemAccepted, ItemClosed
from assistant.job.memory import State
from assistant.job.open_items import OpenItem, accepted_items, blocking, open_items
from assistant.job.step_rules import closing_by_word
from assistant.job.times import worked_s
from assistant.voice.wording import show_amount

WALK = "walk"
"""What comes after a value that was given for an open item: the next one."""
ALL = "all"
"""Stands for everything open in "accept all"."""


def what_is_open(view: View, turn: Turn, request: Request) -> Turn:
    items = live_items(turn.state)
    firm = [item for item in items if item.blocks]
    doubtful = [item for item in items if not item.blocks]
    if not firm and not doubtful:
        return turn.line(nothing_open(turn.state))
    entries = [item_in_words(item) for item in firm]
    entries += [
        say("in-doubt", item=item_in_words(item)) if n == 0 else item_in_words(item) for n, item in enumerate(doubtful)
    ]
    if firm:
        count = bit("and-in-doubt", n=len(doubtful)) if doubtful else ""
        entries[0] = say("open-list", n=len(firm), doubt=count, items=entries[0]).rstrip(".")
    return in_parts(turn, entries)


# -- finish ------------------------------------------------------------------


def finish(view: View, turn: Turn, request: Request) -> Turn:
    """Refused with the list while anything is open; else asked once more."""
    if turn.state.finished:
        return turn.say("finished-already")
    if not turn.state.at:
        return turn.not_begun()
    items = blocking(turn.state)
    if not items:
        return ask_finish(turn)
    turn = turn.do(FinishRefused(tuple(item.id for item in items)))
    rest = [item_in_words(item) for item in items[1:]]
    turn = walk(turn.say("finish-refused", n=len(items)), items[0])
    return turn.going_on(tuple("; ".join(rest[n : n + 5]) for n in range(0, len(rest), 5)))


def ask_finish(turn: Turn) -> Turn:
    accepted = len(accepted_items(turn.state))
    doubtful = [item for item in open_items(turn.state) if not item.blocks]
    turn = turn.say(
        "nothing-open-but",
        accepted=say("finish-accepted", n=accepted) if accepted else "",
        skipped=say("finish-skipped", n=len(doubtful)) if doubtful else "",
    )
    if 0 < len(doubtful) <= 3:
        turn = turn.say("doubtful-list", items=in_words(doubtful))
    return turn.say("ask-finish").ask("finish-confirm")


def finished(turn: Turn) -> Turn:
    try:
        turn = turn.settle().do(Finished())
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    due = [_when_due(item) for item in follow_ups_for(turn.state.the_card, turn.state.facts)]
    words = say("follow-up", items="; ".join(due)) if due else ""
    return turn.say("finished", time=duration(worked_s(turn.state, turn.now)), followups=words)


def _when_due(item: FollowUp) -> str:
    after = [
        show_amount(amount, unit)
        for amount, unit in ((item.after_km, "km"), (item.after_hours, "h"))
        if amount is not None
    ]
    if item.after_days is not None:
        after.append(fill("{n|day|days}", n=int(item.after_days)))
    return say("follow-up-item", after=listed(after, "or"), what=item.say[:1].lower() + item.say[1:].rstrip("."))


# -- one open item after the other -------------------------------------------


def walk(turn: Turn, item: OpenItem) -> Turn:
    """Asks what to do about one open item."""
    if item.kind == "not-at-value":
        ask = say("walk-ask-torque")
    elif item.kind == "undecided" and turn.state.plan.measure(item.thing).out is not None:
        ask = say("walk-ask-decision")
    elif closing_by_word(item.id) is None:
        # nothing puts it right by a word
        ask = say("walk-ask-accept")
    else:
        ask = say("walk-ask-close")
    words = item_in_words(item)
    return turn.say("walk-item", item=capital(words), ask=ask).ask("item", item=item.id)


def walk_on(turn: Turn, after: str) -> Turn:
    """The open item after this one; at the end asks to finish, or says what stays open."""
    items = blocking(turn.state)
    if not items:
        return ask_finish(turn)
    order = [item.id for item in open_items(turn.state)]
    later = [item for item in items if item.id != after and (after not in order or _is_after(order, item.id, after))]
    if later:
        return walk(turn, later[0])
    if items[0].id == after or after in {item.id for item in items}:
        first = in_words(items[:5])
        if len(items) > 5:
            first = bit("and-more", items=first, n=len(items) - 5)
        return turn.settle().say("finish-left", n=len(items), items=first)
    return walk(turn, items[0])


def _is_after(order: Sequence[str], item: str, after: str) -> bool:
    return order.index(item) > order.index(after)


def item_asked(turn: Turn) -> OpenItem | None:
    """The open item that the question is about."""
    question = turn.standing
    if question is None or not question.name.startswith(("item", "accept")):
        return None
    return next((i for i in open_items(turn.state) if i.id == question.about.get("item")), None)


def close(view: View, turn: Turn, request: Request) -> Turn:
    """ "The rear cap is out": closes an open item by word, where no value has to be stated."""
    item, asked = _item_of(turn, request)
    if item is None:
        return asked or _told(turn, request)
    walking = _is_walking(turn)
    if item.kind == "undecided":
        if turn.state.plan.measure(item.thing).out is not None:
            return ask_decision(turn, item.thing, WALK if walking else "")
        return _ask_reason(turn, item.id, item_in_words(item), Request("accept"))
    if item.kind == "steps-left" or closing_by_word(item.id) is None:
        return walk(turn, item)
    if _says_it_is_open(item, request.words):
        return turn.say("stays-open", item=capital(item_in_words(item)))
    try:
        turn = turn.do(ItemClosed(item.id))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    words = item_in_words(item)
    turn = turn.say("closed", item=capital(words))
    if walking:
        return walk_on(turn, item.id)
    left = next((i for i in open_items(turn.state) if i.thing == item.thing and i.kind == "not-at-value"), None)
    return walk(turn, left) if left else turn


_OFF = frozenset(("loosen", "take_out", "remove", "disconnect", "drain", "uncover", "release"))


def _told(turn: Turn, request: Request) -> Turn:
    """ "The skid plate's off": nothing that is open; where it is what the present step does, is all of it done?"""
    place = turn.state.place
    things = str(request.slots.get("item", "")).split("|")
    if place is None or place.step.id in turn.state.steps:
        return turn.say("no-such-item")
    away = says_taken_away(request.words)
    for deed in turn.state.plan.deeds(place.step.id, turn.state.facts):
        if deed.thing in things and (deed.verb in _OFF) == away:
            done = Request("done", {}, bit("undone-step", number=place.number))
            return turn.say("ask-step-done", number=place.number).ask("confirm", request=pack(done))
    return turn.say("no-such-item")


def says_taken_away(words: str) -> bool:
    """True of "the drain plug is out"."""
    return bool(_TAKEN_AWAY.search(words.casefold()))


_TAKEN_AWAY = re.compile(r"\b(out|off|off again|removed|released|uncovered|clear)$")
_PUT_IN = re.compile(r"\b(in|on|back|again|in place|back on|back in)$")


def _says_it_is_open(item: OpenItem, words: str) -> bool:
    """True where "the drain plug is out" only tells what is open; of a cover or a support it would close it."""
    taken_away = says_taken_away(words)
    if item.kind in ("cover-in", "support-in-place"):
        return not taken_away and bool(_PUT_IN.search(words.casefold()))
    return taken_away


def accept(view: View, turn: Turn, request: Request) -> Turn:
    """Accepts an open item: with a reason, after a yes."""
    words = str(request.slots.get("item", "")).strip().casefold()
    if words in ALL_OF_THEM or (not words and ALL_OF_THEM & set(request.words.casefold().split())):
        items = blocking(turn.state)
        if not items:
            return turn.say("nothing-open")
        which_ = ALL if len(items) > 1 else items[0].id
        return _ask_reason(turn, which_, item_words(turn.state, which_), request)
    item, asked = _item_of(turn, request)
    if item is None:
        return asked or turn.say("no-such-item")
    return _ask_reason(turn, item.id, item_in_words(item), request)


def _ask_reason(turn: Turn, item: str, words: str, request: Request) -> Turn:
    reason = str(request.slots.get("reason", "")).strip()
    if not reason:
        return turn.say("ask-accept-reason", item=words).ask("accept-reason", item=item, walk=_walk(turn))
    return ask_accept(turn, item, reason)


def ask_accept(turn: Turn, item: str, reason: str) -> Turn:
    words = item_words(turn.state, item)
    turn = turn.say("ask-accept", item=words, reason=reason)
    return turn.ask("accept-confirm", item=item, reason=reason, walk=_walk(turn))


def accepted(turn: Turn, item: str, reason: str, walking: bool) -> Turn:
    """The acceptance was confirmed."""
    items = [i.id for i in blocking(turn.state)] if item == ALL else [item]
    try:
        turn = turn.settle().do(*(ItemAccepted(each, reason) for each in items))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    turn = turn.say("accepted")
    return walk_on(turn, item) if walking or item == ALL else turn


def item_words(state: State, item: str) -> str:
    if item == ALL:
        return say("all-open-items", n=len(blocking(state)))
    found = next((i for i in open_items(state) if i.id == item), None)
    return item_in_words(found) if found else "that"


def _walk(turn: Turn) -> str:
    return "yes" if _is_walking(turn) else ""


def _is_walking(turn: Turn) -> bool:
    question = turn.standing
    return question is not None and (question.name == "item" or question.about.get("walk") == "yes")


def _item_of(turn: Turn, request: Request) -> tuple[OpenItem | None, Turn | None]:
    """The open item that was named; without a name, the one that is asked about, or the only one."""
    items = open_items(turn.state)
    words = str(request.slots.get("item", "")).strip()
    if not words:
        asked = item_asked(turn)
        if asked is not None:
            return asked, None
        firm = [i for i in items if i.blocks and i.kind != "steps-left"]
        return (firm[0], None) if len(firm) == 1 else (None, None)
    by_id = {item.id: item for item in items}
    if words in by_id:
        return by_id[words], None
    named = [thing for thing in words.split("|") if thing in turn.state.plan.things]
    if named:
        # a thing of the card by its whole name: that one or none, never one whose name is like it
        of_thing = [item for item in items if item.thing in named]
        return (of_thing[0], None) if len({item.thing for item in of_thing}) == 1 else (None, None)
    found = which(words, [Candidate(i.id, i.name, (item_in_words(i),)) for i in items])
    if isinstance(found, Found) and found.exact:
        return by_id[found.id], None
    if isinstance(found, Close) and len({by_id[item].thing for item in found.ids}) == 1:
        return by_id[found.ids[0]], None
    return None, None


# -- hand-over ---------------------------------------------------------------


def hand_over(view: View, turn: Turn, request: Request) -> Turn:
    """Where we are, what is open, what is in doubt, what comes next: spoken and logged."""
    state = turn.state
    place = state.place
    if place is None:
        return turn.not_begun()
    doubtful = [item for item in open_items(state) if not item.blocks]
    following = next_open(state)
    settled = state.steps.get(place.step.id)
    words = say(
        "hand-over",
        number=place.number, total=len(state.plan.places), say=sentence(place.step.say),
        state=say("hand-over-not-done") if settled is None else say(f"hand-over-{settled.how}"),
        open=open_summary(state),
        doubt=say("doubtful-list", items=in_words(doubtful)) if doubtful else "",
        next=bit("next-step", number=following.number, say=sentence(following.step.say))
        if following
        else bit("next-finish"),
    )  # fmt: skip
    if state.bolting:
        done = len(state.fastener(state.bolting).bolts)
        name = turn.state.plan.name_of(state.bolting)
        words = f"{words} {say('bolt-stopped', fastener=capital(name), n=done)}"
    return turn.do(HandedOver(words)).line(words)
