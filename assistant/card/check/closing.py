"""Each thing by itself: what is opened is closed, and nothing is undone, fitted or closed that is not there."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from assistant.card.plan import KINDS
from assistant.card.written import Path

from .bay import WANTED, Bay
from .happenings import Happening, Row
from .rule import Problem, Rule

_WORDS = {
    # kind: (verb that opens, verb that closes, standing open, standing closed)
    "connection": ("disconnect", "connect", "disconnected", "connected"),
    "fluid": ("drain", "fill", "drained", "filled"),
    "cover": ("cover", "uncover", "in place", "away"),
    "mark": ("mark", "line_up", "made", "not made, or lined up already"),
    "support": ("support", "release", "in place", "not in place"),
}
_ACTS = {"take_out": "takes out", "loosen": "loosens", "start": "starts", "snug": "snugs", "tighten": "tightens"}
_NONE_LEFT = {
    "loosen": "tight",
    "take_out": "in",
    "start": "out",
    "snug": "in or out to be snugged",
    "tighten": "left to tighten",
}


def closing_rules(row: Row) -> Iterator[Rule]:
    """One rule for each thing that steps open and close."""
    for fastener in row.card.fasteners:
        yield Rule(frozenset([fastener]), _fastener_before, _fastener_at_end(fastener))
    for slot, parts in row.fillers.items():
        yield Rule(frozenset(parts), _part_before, _part_at_end(slot))
    for kind in _WORDS:
        for thing in getattr(row.card, KINDS[kind]):
            yield Rule(frozenset([thing]), _two_way_before(kind), _two_way_at_end(kind, thing))


def opened_at(bay: Bay, thing: str) -> tuple[Path, str]:
    """Where the thing was changed last, for the line and in words."""
    last = bay.last.get(thing)
    if last is None:
        return (KINDS[bay.row.things[thing].kind], thing), "as no step changes that"
    return last.path, f"since step {last.number}"


def _fastener_before(bay: Bay, h: Happening) -> Iterator[Problem]:
    if h.verb not in WANTED:
        return
    it, name = bay.sets[h.thing], bay.row.name(h.thing)
    count, there = bay.amount(h), it.there(WANTED[h.verb])
    if h.verb == "tighten":
        if it.out and (h.some is None or count > it.count - it.tight - it.out):
            message = f"Step {h.number} tightens the {name} while {it.out} of {it.count} are out."
            yield Problem(h.path, "not-there", message, "Start them by hand first: `start`.")
        if h.only_pass and h.only_pass != it.passes + 1:
            message = f"Step {h.number} takes the {name} through pass {h.only_pass}, after pass {it.passes}."
            yield Problem(h.path, "passes", message, "Go through the passes in turn.")
    elif there == 0:
        message = f"Step {h.number} {_ACTS[h.verb]} the {name}, but none is {_NONE_LEFT[h.verb]} then."
        yield Problem(h.path, "not-there", message, "Take this out, or mend the order of the steps.")
    elif count > there:
        message = f"Step {h.number} {_ACTS[h.verb]} {count} of the {name}, but only {there} are there then."
        yield Problem(h.path, "not-there", message, "Mend `some`.")


def _fastener_at_end(fastener: str) -> Callable[[Bay], Iterator[Problem]]:
    def at_end(bay: Bay) -> Iterator[Problem]:
        it, entry = bay.sets[fastener], bay.row.card.fasteners[fastener]
        if not bay.exists(fastener) or bay.is_fast(fastener):
            return
        joins = [bay.row.card.parts[part] for part in entry.joins]
        may_stay_out = entry.starts_off or (joins and all(part.consumed for part in joins))
        path, last = opened_at(bay, fastener)
        if it.out and not (may_stay_out and it.out == it.count):
            message = f"{entry.name}: {it.out} of {it.count} are out at the end, {last}."
            yield Problem(path, "left-open", message, "Add a step that starts and tightens them.")
        elif it.out == 0:
            left = it.count - it.tight
            message = f"{entry.name}: {left} of {it.count} are in but not tightened at the end, {last}."
            yield Problem(path, "left-open", message, "Add a step that tightens them.")

    return at_end


def _part_before(bay: Bay, h: Happening) -> Iterator[Problem]:
    now, name = bay.occupant[bay.row.slot(h.thing)], bay.row.name(h.thing)
    if h.verb == "remove" and now != h.thing:
        message = f"Step {h.number} takes off the {name}, but it is not on then."
        yield Problem(h.path, "not-there", message, "Take this out, or mend the order of the steps.")
    elif h.verb == "fit" and now is not None:
        other = "it is" if now == h.thing else f"the {bay.row.name(now)} is"
        message = f"Step {h.number} fits the {name}, but {other} on already."
        mend = "Take it off before, or say `new: true` or `starts_off: true` if it is not there when the job begins."
        yield Problem(h.path, "not-there", message, mend)


def _part_at_end(slot: str) -> Callable[[Bay], Iterator[Problem]]:
    def at_end(bay: Bay) -> Iterator[Problem]:
        part = bay.row.card.parts[slot]
        if bay.is_on(slot) or not bay.exists(slot) or part.consumed or part.starts_off or part.new:
            return
        path, last = opened_at(bay, slot)
        mend = "Add a step that fits it, or a new part that `replaces` it, or say `consumed: true`."
        yield Problem(path, "left-open", f"The {part.name} is off at the end, {last}.", mend)

    return at_end


def _two_way_before(kind: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    opens, closes, is_open, is_closed = _WORDS[kind]

    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.verb not in (opens, closes) or h.verb == "fill":
            return
        now = bay.open[h.thing]
        if now == (h.verb == opens):
            state = is_open if now else is_closed
            message = (
                f"Step {h.number}: {h.verb.replace('_', '-')} the {bay.row.name(h.thing)}, but it is {state} then."
            )
            yield Problem(h.path, "not-there", message, "Take this out, or mend the order of the steps.")

    return before


def _two_way_at_end(kind: str, thing: str) -> Callable[[Bay], Iterator[Problem]]:
    _, closes, is_open, _ = _WORDS[kind]

    def at_end(bay: Bay) -> Iterator[Problem]:
        if bay.open[thing]:
            path, last = opened_at(bay, thing)
            message = f"The {bay.row.name(thing)} is {is_open} at the end, {last}."
            yield Problem(path, "left-open", message, f"Add a step with `{closes.replace('_', '-')}: {thing}`.")

    return at_end
