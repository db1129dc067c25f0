"""What is open: everything that was undone and is not done up again, and what is in doubt.

An id is `kind:thing` and stays the same as long as the thing stands open.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.card.model import Fastener
from assistant.job.memory import State
from assistant.job.plan import NOT_YET

KINDS: tuple[str, ...] = (
    "part-off", "fastener-out", "fastener-loose", "not-at-value", "connection-open", "fluid-out", "cover-in",
    "not-lined-up", "support-in-place", "steps-left", "undecided", "not-measured", "outside-value", "too-close",
    "skipped-step",
)  # fmt: skip
"""In the order they are read out: what can hurt first, what is in doubt last."""

_OPEN_AS = {
    ("part", "off"): "part-off",
    ("connection", "apart"): "connection-open",
    ("fluid", "out"): "fluid-out",
    ("cover", "in"): "cover-in",
    ("mark", "made"): "not-lined-up",
    ("support", "in-place"): "support-in-place",
}


@dataclass(frozen=True, slots=True)
class OpenItem:
    """One thing that is not as it should be left."""

    kind: str
    """One of KINDS."""
    thing: str
    """Thing, step or section id."""
    name: str
    """As the card names it."""
    count: int | None = None
    """Fasteners: how many. Steps left: how many."""
    blocks: bool = True
    """False for what is only in doubt: a step skipped with its reason, a value kept with its reason."""
    reason: str = ""
    """Why it was skipped, kept or accepted; empty where nobody said."""

    @property
    def id(self) -> str:
        return f"{self.kind}:{self.thing}"


def open_items(state: State) -> tuple[OpenItem, ...]:
    """Everything open, in the order of KINDS and of the card; accepted items are in `accepted_items`."""
    return tuple(item for item in _all(state) if item.id not in state.accepted)


def accepted_items(state: State) -> tuple[OpenItem, ...]:
    """What stands open and was accepted, with the reason."""
    return tuple(
        OpenItem(i.kind, i.thing, i.name, i.count, False, state.accepted[i.id])
        for i in _all(state)
        if i.id in state.accepted
    )


def blocking(state: State) -> tuple[OpenItem, ...]:
    """What keeps the job from being finished."""
    return tuple(item for item in open_items(state) if item.blocks)


def _all(state: State) -> list[OpenItem]:
    order = {kind: n for n, kind in enumerate(KINDS)}
    found = [*_things(state), *_fasteners(state), *_new_parts(state), *_steps(state), *_readings(state)]
    return sorted(found, key=lambda item: order[item.kind])


def _things(state: State) -> Iterator[OpenItem]:
    card = state.the_card
    for key, now in state.things.items():
        sort, _, thing = key.partition(":")
        kind = _OPEN_AS.get((sort, now))
        if kind is None:
            continue
        if sort == "part" and (card.parts[thing].consumed or card.parts[thing].starts_off or state.is_on(thing)):
            continue
        yield OpenItem(kind, thing, state.plan.name_of(thing))


def _new_parts(state: State) -> Iterator[OpenItem]:
    """New parts whose turn has come and gone without their being fitted."""
    for thing, part in state.the_card.parts.items():
        # where it takes the place of an old part, the old one stands open
        if not part.new or part.replaces or not state.plan.is_there(thing, state.facts):
            continue
        if state.standing("part", thing) != NOT_YET:
            continue
        for place in state.path:
            step = place.step.id
            left = step in state.steps
            if left and any(d.verb == "fit" and d.thing == thing for d in state.plan.deeds(step, state.facts)):
                yield OpenItem("part-off", thing, part.name)
                break


def _fasteners(state: State) -> Iterator[OpenItem]:
    for thing, it in state.fasteners.items():
        fastener = state.plan.fastener(thing)
        name = fastener.name
        if it.out and not (fastener.starts_off or _held_part_is_gone(state, fastener)):
            yield OpenItem("fastener-out", thing, name, it.out)
        loose = it.loose + it.started + (0 if _snug_will_do(state, thing, fastener) else it.snug)
        if loose:
            yield OpenItem("fastener-loose", thing, name, loose)
        elif it.disturbed and not it.out and not it.reached and needs_value(fastener):
            yield OpenItem("not-at-value", thing, name, it.count - len(it.at_value))
    last = {record.fastener: record for record in state.torques}
    for thing, record in last.items():
        if record.verdict == "outside" and state.fastener(thing).reached:
            yield OpenItem("outside-value", thing, state.plan.name_of(thing), None, False, record.reason)


def needs_value(fastener: Fastener) -> bool:
    """True for a set whose torque has to be logged when it is tightened."""
    return fastener.torque is not None and not fastener.torque.by_hand


def _snug_will_do(state: State, thing: str, fastener: Fastener) -> bool:
    if fastener.torque is not None:
        return fastener.torque.by_hand
    return thing not in state.plan.ever_tightened


def _held_part_is_gone(state: State, fastener: Fastener) -> bool:
    """Fasteners of a part that does not go back (an old plate) do not go back either."""
    parts = [state.the_card.parts[p] for p in fastener.joins if p in state.the_card.parts]
    return bool(parts) and all(p.consumed for p in parts)


def _steps(state: State) -> Iterator[OpenItem]:
    left: dict[str, int] = {}
    for place in state.path:
        how = state.steps.get(place.step.id)
        if how is None:
            left[place.section.id] = left.get(place.section.id, 0) + 1
        elif how.how == "skipped":
            name = f"step {place.number}"
            yield OpenItem("skipped-step", place.step.id, name, None, False, how.reason)
    for section in state.the_card.sections:
        if section.id in left:
            yield OpenItem("steps-left", section.id, section.name, left[section.id])


def _readings(state: State) -> Iterator[OpenItem]:
    for thing, readings in state.readings.items():
        name = state.plan.name_of(thing)
        verdicts = {reading.verdict for reading in readings}
        if thing in state.decisions:
            continue
        if "outside" in verdicts:
            yield OpenItem("undecided", thing, name)
        elif "too-close" in verdicts:
            yield OpenItem("too-close", thing, name, None, False)
    for (step, what), reason in state.overridden.items():
        if what != "measure" or step not in state.steps:
            continue
        for deed in state.plan.deeds(step, state.facts):
            if deed.verb == "measure" and deed.thing not in state.readings:
                yield OpenItem("not-measured", deed.thing, state.plan.name_of(deed.thing), None, False, reason)
