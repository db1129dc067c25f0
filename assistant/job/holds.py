"""What keeps a step from being started, and what keeps it from being done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from assistant.job.memory import State
from assistant.job.open_items import needs_value
from assistant.job.thing_rules import is_in_effect


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that a step lacks."""

    what: str
    """Before it: support | hold | lift. To be done: check | torque | measure | action."""
    thing: str
    """The support, part, fastener or measure; empty for a hold, a check or a lift by helpers alone."""
    says: str
    """In words."""
    verb: str = ""
    """For action: which."""
    kg: Decimal | None = None
    """For lift: the mass."""


def lacking(state: State, step: str) -> tuple[Lack, ...]:
    """What has to be there before the step is started, in the order it is asked for; overridden lacks are out."""
    return tuple(lack for lack in _before(state, step) if (step, lack.what) not in state.overridden)


def wanting(state: State, step: str) -> tuple[Lack, ...]:
    """What is missing before the started step counts as done; overridden lacks are out."""
    return tuple(lack for lack in _after(state, step) if (step, lack.what) not in state.overridden)


def _before(state: State, step: str) -> Iterator[Lack]:
    place = state.plan.by_id[step]
    it = place.step
    placed_here = {d.thing for d in state.plan.deeds(step, state.facts) if d.verb == "support"}
    needed = [s for s in (it.hold.needs if it.hold else []) if state.plan.is_there(s, state.facts)]
    for support in dict.fromkeys([*needed, *_carriers(state, step)]):
        if support not in placed_here and state.standing("support", support) == "away":
            name = state.plan.name_of(support)
            yield Lack("support", support, f"The {name} is not in place.")
    known_off = [c for c in (it.hold.off if it.hold else []) if state.standing("connection", c) == "apart"]
    answered = it.hold is not None and bool(it.hold.off) and len(known_off) == len(it.hold.off)
    if it.hold and not answered and (step, "hold") not in state.confirmed:
        yield Lack("hold", "", it.hold.ask)
    if (step, "lift") not in state.confirmed:
        heavy = _heaviest(state, step)
        if heavy is not None:
            part, kg = heavy
            yield Lack("lift", part, f"The {state.plan.name_of(part)} weighs {kg} kg.", kg=kg)
        elif it.helpers and not _someone_is_here(state, step):
            people = it.helpers + 1
            yield Lack("lift", "", f"This takes {people} people.")


def _someone_is_here(state: State, step: str) -> bool:
    """True where the step's own hold has a second person answer it, or where one was there for the step before
    and has had no reason to go."""
    wanted = state.plan.by_id[step].step.helpers
    before = [p.step for p in state.path if p.number <= state.plan.by_id[step].number]
    for it in reversed(before):
        if it.helpers < wanted:
            return False
        second = it.hold is not None and it.hold.who == "second-person"
        if it.id == step:
            if second and wanted == 1:
                return True
        elif (it.id, "lift") in state.confirmed or (second and wanted == 1 and (it.id, "hold") in state.confirmed):
            return True
    return False


def _carriers(state: State, step: str) -> Iterator[str]:
    """Supports that must stand under a part before its last fasteners come out here, or before it comes off."""
    deeds = state.plan.deeds(step, state.facts)
    out_here = {d.thing for d in deeds if d.verb == "take_out" and d.count is None}
    off_here = {d.thing for d in deeds if d.verb == "remove"}
    for support, it in state.the_card.supports.items():
        if not state.plan.is_there(support, state.facts):
            continue
        for part in it.carries:
            sets = [t for t in state.plan.holding.get(part, ()) if state.plan.is_there(t, state.facts)]
            last = bool(out_here & set(sets)) and all(
                t in out_here or state.fastener(t).out == state.fastener(t).count for t in sets
            )
            if part in state.the_card.parts and state.is_on(part) and (last or part in off_here):
                yield support


def _heaviest(state: State, step: str) -> tuple[str, Decimal] | None:
    """The heaviest part over the card's limit that is lifted here with no support under it."""
    lifted = [d.thing for d in state.plan.deeds(step, state.facts) if d.verb in ("remove", "fit")]
    masses = [
        (part, mass)
        for part in lifted
        if (mass := state.the_card.parts[part].mass_kg) is not None
        and mass > state.the_card.lift_limit_kg
        and not _is_carried(state, part)
    ]
    return max(masses, key=lambda pair: pair[1]) if masses else None


def _is_carried(state: State, part: str) -> bool:
    return any(
        part in it.carries and state.standing("support", support) == "in-place"
        for support, it in state.the_card.supports.items()
    )


_LOOKS = ("measure", "inspect", "apply")


def _after(state: State, step: str) -> Iterator[Lack]:
    deeds = state.plan.deeds(step, state.facts)
    for n, deed in enumerate(deeds):
        if any(later.thing == deed.thing and later.verb not in _LOOKS for later in deeds[n + 1 :]):
            # what counts is how the step leaves a thing
            continue
        name = state.plan.name_of(deed.thing)
        if deed.verb == "measure":
            measure = state.plan.measure(deed.thing)
            got = state.readings.get(deed.thing, ())
            if len(got) < (1 if measure.derived else measure.readings):
                yield Lack("measure", deed.thing, f"{name}: not measured yet.")
            elif any(r.verdict == "outside" for r in got) and measure.out and deed.thing not in state.decisions:
                yield Lack("measure", deed.thing, f"{name}: out of limits, not decided yet.")
        elif deed.verb == "tighten" and not deed.only_pass and deed.count is None:
            it = state.fastener(deed.thing)
            if needs_value(state.plan.fastener(deed.thing)) and not it.reached:
                yield Lack("torque", deed.thing, f"{name}: no torque logged.")
            elif it.tight < it.count:
                yield Lack("action", deed.thing, f"{name}: not tight yet.", verb="tighten")
        elif deed.verb not in _LOOKS and not is_in_effect(state, deed.verb, deed.thing, deed.count, deed.only_pass):
            yield Lack("action", deed.thing, f"{name}: not done yet.", verb=deed.verb)
    check = state.plan.by_id[step].step.check
    if check and (step, "check") not in state.confirmed:
        yield Lack("check", "", check)
