"""The state of a job as a fold over its events: `apply` for one, `fold` for all of them.

An event that cannot have happened raises Illegal with the reason as one would say it; nothing changes then.
Taking events back (Withdrawn) folds the rest again: the state is as if they had never been. If a later
event needs one of them, nothing is taken back and the reason names it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from assistant.card.model import Card
from assistant.job import events as e
from assistant.job import fastener_rules, step_rules, talk_rules, thing_rules
from assistant.job.errors import Illegal, JobError
from assistant.job.events import Body, Event, kind_of
from assistant.job.memory import Past, Saved, State
from assistant.job.open_items import blocking
from assistant.job.plan import FASTENER_VERBS, OPENED_AS, Plan
from assistant.job.records import Clock

__all__ = ["State", "apply", "begin", "fold", "salvage"]

SAVE_EVERY = 64
"""Events between two saved states; taking back one event folds at most this many again."""

_ALWAYS: tuple[type[Body], ...] = (
    e.Said, e.Answered, e.Asked, e.Reopened, e.ClipsForgotten, e.Withdrawn, e.PersonChanged, e.HandedOver, e.TimerEnded,
    e.VerbositySet, e.SleepSet,
)  # fmt: skip
"""What may happen in a job that is finished."""
_AT_WORK: tuple[type[Body], ...] = (
    e.StepStarted, e.StepDone, e.StepSkipped, e.Confirmed, e.Overridden, e.ActionDone, e.BoltsStarted, e.BoltDone,
    e.Torqued, e.Measured, e.Decided, e.ItemClosed, e.ItemAccepted, e.Finished,
)  # fmt: skip
"""What cannot happen during a pause."""


def begin(card: Card | Plan) -> State:
    """The state before the first event."""
    return State(plan=card if isinstance(card, Plan) else Plan(card))


def fold(card: Card | Plan, events: Iterable[Event]) -> State:
    """The state after all these events; raises Illegal at the first that cannot have happened."""
    state = begin(card)
    for event in events:
        state = apply(state, event)
    return state


def salvage(card: Card | Plan, events: Iterable[Event]) -> tuple[State, tuple[tuple[Event, str], ...]]:
    """As `fold`, for a log that an older version wrote by other rules: what does not fit is left out and
    given back with the reason."""
    state, left_out = begin(card), []
    for event in events:
        try:
            state = apply(state, event)
        except JobError as fault:
            left_out.append((event, str(fault)))
            state = replace(state, seq=event.seq)
    return state, tuple(left_out)


def apply(state: State, event: Event) -> State:
    """The state after one more event; raises Illegal, and then nothing has changed."""
    if event.seq <= state.seq:
        raise Illegal(f"Event {event.seq} comes after event {state.seq}: the log is out of order.")
    if isinstance(event.body, e.Withdrawn):
        return _withdraw(state, event, event.body)
    return _grow(state, event)


def _grow(state: State, event: Event) -> State:
    body = event.body
    _in_season(state, body)
    rule = _RULES.get(type(body))
    if rule is None:
        raise JobError(f"No rule for an event {kind_of(body)!r}.")
    after: State = rule(state, event, body)
    depth = state.past.depth + 1 if state.past else 1
    return replace(
        after,
        seq=event.seq,
        past=Past(event, state.past, depth),
        saved=Saved(state, state.saved) if depth % SAVE_EVERY == 0 else state.saved,
        clock=_ticked(state, after.clock, event),
    )


def _in_season(state: State, body: Body) -> None:
    if isinstance(body, e.JobStarted):
        if state.card:
            raise Illegal("The job has begun already.")
        return
    if not state.card:
        raise Illegal("The job has not begun.")
    if state.finished and not isinstance(body, _ALWAYS):
        raise Illegal("The job is finished.")
    if state.paused and isinstance(body, _AT_WORK):
        raise Illegal("Work is paused: say resume first.")


def _ticked(before: State, clock: Clock, event: Event) -> Clock:
    """The clock after the event; the time since the event before belongs to the section one was in."""
    last = before.clock.last
    worked = clock.worked
    counts = not (before.paused or before.finished or before.handed_over or isinstance(event.body, e.Reopened))
    if last is not None and counts:
        seconds = (event.at - last).total_seconds()
        if seconds > 0:
            place = before.place
            section = place.section.id if place else ""
            worked = {**worked, section: worked.get(section, 0.0) + seconds}
    return replace(clock, last=max(event.at, last) if last else event.at, worked=worked)


def _withdraw(state: State, event: Event, body: e.Withdrawn) -> State:
    """Folds again from the last saved state before the first event that is taken back."""
    if not state.card:
        raise Illegal("The job has not begun.")
    gone = set(body.seqs)
    if not gone:
        raise Illegal("There is nothing to take back.")
    first, found = min(gone), set()
    for link in state.history():
        if link.seq < first:
            break
        if link.seq in gone:
            found.add(link.seq)
            if isinstance(link.body, e.JobStarted | e.Said):
                raise Illegal("What was said stays in the log.")
    if gone - found:
        raise Illegal("That was taken back already, or never was.")
    saved = state.saved
    while saved is not None and saved.state.seq >= first:
        saved = saved.before
    again = saved.state if saved else begin(state.plan)
    for link in reversed(_since(state, again.seq)):
        if link.seq in gone:
            continue
        try:
            again = _grow(again, link)
        except Illegal as fault:
            raise Illegal(f"What came after depends on it. {fault.reason}") from fault
    clock = _ticked(again, again.clock, event)
    return replace(again, seq=event.seq, clock=clock, question=state.question)


def _since(state: State, seq: int) -> list[Event]:
    """The events after this one, last first."""
    found = []
    for link in state.history():
        if link.seq <= seq:
            break
        found.append(link)
    return found


# -- one rule an event ------------------------------------------------------

S = TypeVar("S")
Rule = Callable[[State, Event, Any], State]


def _with(mapping: Mapping[str, S], key: str, value: S) -> dict[str, S]:
    return {**mapping, key: value}


def _job_started(state: State, event: Event, body: e.JobStarted) -> State:
    if body.card != state.the_card.card:
        raise Illegal(f"This job is worked by the card {body.card}, not by {state.the_card.card}.")
    return replace(state, card=body.card, vehicle=body.vehicle, clock=replace(state.clock, started=event.at))


def _unchanged(state: State, event: Event, body: Body) -> State:
    return state


def _action_done(state: State, event: Event, body: e.ActionDone) -> State:
    acted = state.acted | {(state.at, body.verb, body.thing)}
    if body.verb in FASTENER_VERBS:
        after = fastener_rules.act(state, event, body)
        return replace(state, fasteners=_with(state.fasteners, body.thing, after), acted=acted)
    if body.verb in OPENED_AS:
        key, standing = thing_rules.act(state, body)
        return replace(state, things=_with(state.things, key, standing), acted=acted)
    if body.verb not in ("measure", "inspect", "apply"):
        raise Illegal(f"Nothing on a card can be done by {body.verb!r}.")
    return replace(state, acted=acted)


def _bolts_started(state: State, event: Event, body: e.BoltsStarted) -> State:
    after = fastener_rules.bolts_started(state, body)
    return replace(
        state, fasteners=_with(state.fasteners, body.fastener, after), bolting=body.fastener, bolting_then=body.then
    )


def _bolts_stopped(state: State, event: Event, body: e.BoltsStopped) -> State:
    fastener_rules.bolts_stopped(state, body)
    return replace(state, bolting="", bolting_then="")


def _bolt_done(state: State, event: Event, body: e.BoltDone) -> State:
    after = fastener_rules.bolt_done(state, body)
    return replace(state, fasteners=_with(state.fasteners, body.fastener, after))


def _torqued(state: State, event: Event, body: e.Torqued) -> State:
    after, record = fastener_rules.torqued(state, event, body)
    acted = state.acted if body.bolt is not None else state.acted | {(state.at, "tighten", body.fastener)}
    fasteners = _with(state.fasteners, body.fastener, after)
    return replace(state, fasteners=fasteners, torques=(*state.torques, record), acted=acted)


def _item_closed(state: State, event: Event, body: e.ItemClosed) -> State:
    return step_rules.item_closed(state, event, body, _action_done)


def _finished(state: State, event: Event, body: e.Finished) -> State:
    open_ = blocking(state)
    if open_:
        raise Illegal(f"{len(open_)} {'item is' if len(open_) == 1 else 'items are'} open.")
    return replace(state, finished=True, bolting="", bolting_then="", timers={}, question=None)


_RULES: dict[type[Body], Rule] = {
    e.JobStarted: _job_started,
    e.Said: talk_rules.said,
    e.Answered: _unchanged,
    e.ClipsForgotten: _unchanged,
    e.Reopened: _unchanged,
    e.FinishRefused: _unchanged,
    e.FactSet: step_rules.fact_set,
    e.StepStarted: step_rules.step_started,
    e.StepDone: step_rules.step_done,
    e.StepSkipped: step_rules.step_skipped,
    e.Confirmed: step_rules.confirmed,
    e.Overridden: step_rules.overridden,
    e.ActionDone: _action_done,
    e.BoltsStarted: _bolts_started,
    e.BoltsStopped: _bolts_stopped,
    e.BoltDone: _bolt_done,
    e.Torqued: _torqued,
    e.Measured: talk_rules.measured,
    e.Decided: talk_rules.decided,
    e.Noted: talk_rules.noted,
    e.TimerSet: talk_rules.timer_set,
    e.TimerEnded: talk_rules.timer_ended,
    e.Asked: talk_rules.asked,
    e.Paused: talk_rules.paused,
    e.Resumed: talk_rules.resumed,
    e.PersonChanged: talk_rules.person_changed,
    e.HandedOver: talk_rules.handed_over,
    e.VerbositySet: talk_rules.verbosity_set,
    e.SleepSet: talk_rules.sleep_set,
    e.AdapterSet: talk_rules.adapter_set,
    e.ToolChosen: talk_rules.tool_chosen,
    e.ItemClosed: _item_closed,
    e.ItemAccepted: step_rules.item_accepted,
    e.Finished: _finished,
}
