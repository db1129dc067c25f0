"""How events change fasteners: loosened, out, in by hand, in passes, at their value."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.job.errors import Illegal
from assistant.job.events import ActionDone, BoltDone, BoltsStarted, BoltsStopped, Event, Torqued
from assistant.job.memory import State
from assistant.job.passes import turns_of
from assistant.job.records import FastenerState, TorqueRecord

MOST_BELIEVABLE = {"N·m": Decimal(3000), "lbf·ft": Decimal(2200), "lbf·in": Decimal(26000), "kgf·m": Decimal(300)}
"""No hand tool in a bay sets more."""


def act(state: State, event: Event, body: ActionDone) -> FastenerState:
    """The set after the action; raises Illegal."""
    if body.thing not in state.the_card.fasteners:
        raise Illegal(f"There are no {body.thing} on this card.")
    it, name = state.fastener(body.thing), _named(state, body.thing)
    if body.count is not None and not 0 < body.count <= it.count:
        raise Illegal(f"{name}: there are {it.count}, not {body.count}.")
    match body.verb:
        case "loosen":
            count = _enough(body.count, it.tight, f"{name}: already loose.")
            return _opened(replace(it, tight=it.tight - count, loose=it.loose + count))
        case "take_out":
            count = _enough(body.count, it.count - it.out, f"{name}: already out.")
            return _opened(_take(replace(it, out=it.out + count), count, ("loose", "started", "snug", "tight")))
        case "start":
            _parts_are_on(state, body.thing, name)
            count = _enough(body.count, it.out, f"{name}: already in.")
            return replace(it, out=it.out - count, started=it.started + count, disturbed=True)
        case "snug":
            _parts_are_on(state, body.thing, name)
            there = it.out + it.loose + it.started
            count = _enough(body.count, there, f"{name}: already snug.")
            it = _take(it, count, ("started", "loose", "out"))
            return replace(it, snug=it.snug + count, disturbed=True)
        case _:
            _parts_are_on(state, body.thing, name)
            if body.pass_no is not None:
                there = it.count - it.tight
                return replace(it, tight=it.tight, loose=0, started=0, snug=there, out=0, disturbed=True)
            return _tight(it, it.count if body.count is None else body.count)


def bolts_started(state: State, body: BoltsStarted) -> FastenerState:
    """The set as bolt by bolt begins: a whole round done before begins anew."""
    if body.fastener not in state.the_card.fasteners:
        raise Illegal(f"There are no {body.fastener} on this card.")
    name = _named(state, body.fastener)
    _parts_are_on(state, body.fastener, name)
    _can_be_reached(state, body.fastener)
    it = state.fastener(body.fastener)
    whole = len(turns_of(state.plan.fastener(body.fastener)))
    return replace(it, bolts=()) if len(it.bolts) >= whole else it


def bolts_stopped(state: State, body: BoltsStopped) -> None:
    if state.bolting != body.fastener:
        raise Illegal(f"{_named(state, body.fastener)}: not being worked through bolt by bolt.")


def bolt_done(state: State, body: BoltDone) -> FastenerState:
    """The set after one more bolt of the round; raises Illegal unless it is the one whose turn it is."""
    name = _named(state, body.fastener)
    if state.bolting != body.fastener:
        raise Illegal(f"{name}: start them bolt by bolt first.")
    it = state.fastener(body.fastener)
    turns = [(each.number, position) for each, position in turns_of(state.plan.fastener(body.fastener))]
    done = len(it.bolts)
    if done >= len(turns):
        raise Illegal(f"{name}: all done.")
    if turns[done] != (body.pass_no, body.position):
        raise Illegal(f"{name}: it is the turn of number {turns[done][1]} in pass {turns[done][0]}.")
    it = replace(it, bolts=(*it.bolts, turns[done]), disturbed=True, whole=False)
    if done + 1 == len(turns):
        it = replace(it, tight=it.count, loose=0, started=0, snug=0, out=0)
    elif it.out + it.started + it.loose and body.position not in [p for _, p in it.bolts[:-1]]:
        it = _take(it, 1, ("out", "started", "loose"))
        it = replace(it, snug=it.snug + 1)
    return it


def torqued(state: State, event: Event, body: Torqued) -> tuple[FastenerState, TorqueRecord]:
    """The set at its value, and the record; raises Illegal."""
    if body.fastener not in state.the_card.fasteners:
        raise Illegal(f"There are no {body.fastener} on this card.")
    it, name = state.fastener(body.fastener), _named(state, body.fastener)
    if body.unit not in MOST_BELIEVABLE:
        raise Illegal(f"{body.unit or 'That'} is not a unit of torque.")
    if not body.value.is_finite() or body.value <= 0 or body.value > MOST_BELIEVABLE[body.unit]:
        raise Illegal(f"{body.value} {body.unit} cannot be right.")
    if body.bolt is not None and not 1 <= body.bolt <= it.count:
        raise Illegal(f"{name}: there are {it.count}, no number {body.bolt}.")
    if body.verdict not in ("inside", "outside"):
        raise Illegal(f"A torque is inside or outside its value, not {body.verdict!r}.")
    if body.verdict == "outside" and not body.reason.strip():
        raise Illegal(f"{name}: a value outside the card's needs a reason.")
    _parts_are_on(state, body.fastener, name)
    _can_be_reached(state, body.fastener)
    if it.out == it.count and not _goes_in_now(state, body.fastener):
        raise Illegal(f"{name}: still out, so there is nothing to torque yet.")
    record = TorqueRecord(
        body.fastener, body.value, body.unit, body.bolt, body.verdict, body.reason, body.tool, body.adapter,
        event.person, event.at, event.seq, body.angle_deg,
    )  # fmt: skip
    if body.bolt is None:
        return replace(_tight(it, it.count), whole=True), record
    it = replace(it, at_value=it.at_value | {body.bolt})
    if len(it.at_value) >= it.count:
        it = _tight(it, it.count)
    else:
        it = replace(_take(it, 1, ("snug", "started", "loose", "out", "tight")), disturbed=True)
        it = replace(it, tight=it.tight + 1)
    return it, record


def _named(state: State, thing: str) -> str:
    """The name as a sentence begins with it."""
    name = state.plan.name_of(thing)
    return name[:1].upper() + name[1:]


def _enough(wanted: int | None, there: int, otherwise: str) -> int:
    if there == 0 or (wanted is not None and wanted > there):
        raise Illegal(otherwise if there == 0 else f"{otherwise.partition(':')[0]}: only {there} are left.")
    return there if wanted is None else wanted


def _take(it: FastenerState, count: int, from_: tuple[str, ...]) -> FastenerState:
    """Takes `count` away from these standings, the first first."""
    for standing in from_:
        there = getattr(it, standing)
        taken = min(there, count)
        if taken:
            it = replace(it, **{standing: there - taken})
            count -= taken
    return it


def _tight(it: FastenerState, count: int) -> FastenerState:
    loose = it.count - it.tight
    if count >= loose:
        return replace(it, tight=it.count, loose=0, started=0, snug=0, out=0)
    it = _take(it, count, ("snug", "started", "loose", "out"))
    return replace(it, tight=it.tight + count)


def _opened(it: FastenerState) -> FastenerState:
    return replace(it, disturbed=True, at_value=frozenset(), whole=False, bolts=())


def _goes_in_now(state: State, thing: str) -> bool:
    """True where the present step puts the set in."""
    return bool(state.at) and any(
        deed.thing == thing and deed.verb in ("start", "snug", "tighten")
        for deed in state.plan.deeds(state.at, state.facts)
    )


def _can_be_reached(state: State, thing: str) -> None:
    for part in state.plan.fastener(thing).behind:
        if part in state.the_card.parts and state.plan.is_there(part, state.facts) and state.is_on(part):
            raise Illegal(f"The {state.plan.name_of(part)} is still in front of the {state.plan.name_of(thing)}.")


def _parts_are_on(state: State, thing: str, name: str) -> None:
    for part in state.plan.fastener(thing).joins:
        it = state.the_card.parts.get(part)
        if it is None or it.consumed or it.starts_off or not state.plan.is_there(part, state.facts):
            continue
        if not state.is_on(part):
            fits_now = bool(state.at) and any(
                deed.verb == "fit" and deed.thing == part for deed in state.plan.deeds(state.at, state.facts)
            )
            if not fits_now:
                raise Illegal(f"The {state.plan.name_of(part)} is not on yet.")
