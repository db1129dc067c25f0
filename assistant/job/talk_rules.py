"""How events change what was measured, noted, asked, timed, and who is there."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.job.errors import Illegal
from assistant.job.events import (
    AdapterSet,
    Asked,
    Decided,
    Event,
    HandedOver,
    Measured,
    Noted,
    Paused,
    PersonChanged,
    Resumed,
    Said,
    SleepSet,
    TimerEnded,
    TimerSet,
    ToolChosen,
    VerbositySet,
)
from assistant.job.memory import State
from assistant.job.records import NoteRecord, Question, ReadingRecord, TimerRecord

LONGEST_TIMER_S = 24 * 3600
VERDICTS = ("inside", "outside", "too-close", "no-limit")


def measured(state: State, event: Event, body: Measured) -> State:
    measure = state.the_card.measures.get(body.measure)
    if measure is None:
        raise Illegal(f"This card measures no {body.measure}.")
    if body.verdict not in VERDICTS:
        raise Illegal(f"{body.verdict!r} is no verdict.")
    if not body.value.is_finite():
        raise Illegal("That is not a number.")
    if not 1 <= body.reading <= measure.readings:
        raise Illegal(f"{measure.name}: {measure.readings} readings are taken, no number {body.reading}.")
    record = ReadingRecord(body.value, body.unit, body.verdict, body.reading, event.person, event.at, event.seq)
    kept = [r for r in state.readings.get(body.measure, ()) if r.reading != body.reading]
    readings = tuple(sorted([*kept, record], key=lambda r: r.reading))
    again = len(kept) < len(state.readings.get(body.measure, ()))
    decisions = state.decisions
    if again or body.verdict in ("outside", "too-close"):
        # what was decided on the old reading does not stand for the new one
        decisions = {m: option for m, option in decisions.items() if m != body.measure}
    facts = state.facts
    out = measure.out
    complete = len(readings) >= measure.readings
    if out and out.sets and out.inside and complete and all(r.verdict in ("inside", "no-limit") for r in readings):
        facts = {out.sets: out.inside, **facts}
    return replace(state, readings={**state.readings, body.measure: readings}, decisions=decisions, facts=facts)


def decided(state: State, event: Event, body: Decided) -> State:
    measure = state.the_card.measures.get(body.measure)
    if measure is None or measure.out is None:
        raise Illegal("There is nothing to decide about that.")
    if body.option not in measure.out.options:
        raise Illegal(f"{body.option} is no choice here: {measure.out.say}")
    if not any(r.verdict in ("outside", "too-close") for r in state.readings.get(body.measure, ())):
        raise Illegal(f"{measure.name} is not out of its limits.")
    facts = state.facts
    if measure.out.sets:
        facts = {**facts, measure.out.sets: body.option}
    return replace(state, decisions={**state.decisions, body.measure: body.option}, facts=facts)


def noted(state: State, event: Event, body: Noted) -> State:
    if body.continues is not None:
        before = state.notes.get(body.continues)
        if before is None:
            raise Illegal("That note was taken back.")
        longer = replace(
            before,
            text=f"{before.text} {body.text}".strip(),
            clips=(*before.clips, body.clip) if body.clip else before.clips,
            parts=(*before.parts, event.seq),
        )
        return replace(state, notes={**state.notes, body.continues: longer})
    if body.sort not in ("note", "part-to-order", "fault"):
        raise Illegal(f"{body.sort!r} is no kind of note.")
    if not body.text.strip() and not body.clip:
        raise Illegal("The note is empty.")
    note = NoteRecord(
        body.text, body.sort, body.about, event.step, event.person, event.at, event.seq,
        (body.clip,) if body.clip else (),
    )  # fmt: skip
    return replace(state, notes={**state.notes, event.seq: note})


def timer_set(state: State, event: Event, body: TimerSet) -> State:
    if not 0 < body.seconds <= LONGEST_TIMER_S:
        raise Illegal("A timer runs from one second to 24 hours.")
    timer = TimerRecord(event.seq, event.at + timedelta(seconds=body.seconds), body.seconds, body.label)
    return replace(state, timers={**state.timers, event.seq: timer})


def timer_ended(state: State, event: Event, body: TimerEnded) -> State:
    if body.timer not in state.timers:
        raise Illegal("There is no such timer.")
    return replace(state, timers={seq: t for seq, t in state.timers.items() if seq != body.timer})


def asked(state: State, event: Event, body: Asked) -> State:
    return replace(state, question=Question(body.question, dict(body.about)) if body.question else None)


VERBOSITIES = ("terse", "normal", "full")


def said(state: State, event: Event, body: Said) -> State:
    """Only an answer changes what "more" goes on with and what "it" is; what was answered with silence does not."""
    return replace(state, rest=body.rest, subject=body.subject) if body.reply else state


def verbosity_set(state: State, event: Event, body: VerbositySet) -> State:
    if body.verbosity not in VERBOSITIES:
        raise Illegal(f"Nobody is told things {body.verbosity!r}.")
    return replace(state, verbosity=body.verbosity)


def sleep_set(state: State, event: Event, body: SleepSet) -> State:
    return replace(state, asleep=body.asleep)


def paused(state: State, event: Event, body: Paused) -> State:
    if state.paused:
        raise Illegal("Work is paused already.")
    return replace(state, clock=replace(state.clock, paused=event.at))


def resumed(state: State, event: Event, body: Resumed) -> State:
    if not state.paused:
        raise Illegal("Work is not paused.")
    return replace(state, clock=replace(state.clock, paused=None), handed_over=False)


def person_changed(state: State, event: Event, body: PersonChanged) -> State:
    name = body.name.strip()
    if not name:
        raise Illegal("Say the name with it.")
    people = state.people if name in state.people else (*state.people, name)
    return replace(state, person=name, people=people, handed_over=False)


def handed_over(state: State, event: Event, body: HandedOver) -> State:
    return replace(state, handed_over=True)


def adapter_set(state: State, event: Event, body: AdapterSet) -> State:
    if body.length_mm is not None and not 0 < body.length_mm <= 1000:
        raise Illegal("An adapter is up to a metre long.")
    if body.wrench_mm is not None and not 50 <= body.wrench_mm <= 3000:
        raise Illegal("A torque wrench is between 50 and 3000 mm long.")
    wrench = replace(
        state.wrench,
        adapter_mm=body.length_mm,
        angle_deg=body.angle_deg,
        wrench_mm=body.wrench_mm if body.wrench_mm is not None else state.wrench.wrench_mm,
    )
    return replace(state, wrench=wrench)


def tool_chosen(state: State, event: Event, body: ToolChosen) -> State:
    if body.tool not in state.the_card.tools:
        raise Illegal(f"There is no tool {body.tool} on this card.")
    return replace(state, wrench=replace(state.wrench, tool=body.tool))
