"""How events change the place on the card: steps, holds, facts, open items."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from assistant.job.errors import Illegal
from assistant.job.events import (
    ActionDone,
    Confirmed,
    Event,
    FactSet,
    ItemAccepted,
    ItemClosed,
    Overridden,
    StepDone,
    StepSkipped,
    StepStarted,
)
from assistant.job.holds import lacking, wanting
from assistant.job.memory import State
from assistant.job.open_items import open_items
from assistant.job.plan import Place
from assistant.job.records import StepState

CONFIRMABLE = ("hold", "check", "lift")
OVERRIDABLE = ("hold", "support", "lift", "torque", "measure", "check", "action")


def fact_set(state: State, event: Event, body: FactSet) -> State:
    fact = state.the_card.facts.get(body.fact)
    if fact is None:
        raise Illegal(f"This card does not ask about {body.fact}.")
    if body.option not in fact.options:
        raise Illegal(f"{body.option} is no answer to: {fact.ask}")
    if body.fact in state.facts and state.facts[body.fact] != body.option:
        for step in state.steps:
            if body.fact in state.plan.depends_on(step):
                number = state.plan.by_id[step].number
                raise Illegal(f"Step {number} was done by the other answer: undo that first.")
    return replace(state, facts={**state.facts, body.fact: body.option})


def step_started(state: State, event: Event, body: StepStarted) -> State:
    _applicable(state, body.step)
    missing = lacking(state, body.step)
    if missing and body.step not in state.steps:
        raise Illegal(missing[0].says)
    return replace(state, at=body.step, read=state.read | {body.step}, handed_over=False)


def step_done(state: State, event: Event, body: StepDone) -> State:
    place = _applicable(state, body.step)
    before = state.steps.get(body.step)
    if before is not None and before.how == "done":
        raise Illegal(f"Step {place.number} is done already.")
    if state.at != body.step:
        raise Illegal(f"Step {place.number} is not the present step.")
    missing = wanting(state, body.step)
    if missing:
        raise Illegal(missing[0].says)
    done = StepState("done", event.person, event.at, event.seq)
    return replace(state, steps={**state.steps, body.step: done}, handed_over=False)


def step_skipped(state: State, event: Event, body: StepSkipped) -> State:
    place = _applicable(state, body.step)
    if body.step in state.steps:
        raise Illegal(f"Step {place.number} is {state.steps[body.step].how} already.")
    if not body.reason.strip():
        raise Illegal("A step is skipped for a reason: say which.")
    skipped = StepState("skipped", event.person, event.at, event.seq, body.reason)
    return replace(state, steps={**state.steps, body.step: skipped}, handed_over=False)


def confirmed(state: State, event: Event, body: Confirmed) -> State:
    place = _applicable(state, body.step)
    asks = {
        "hold": place.step.hold is not None,
        "check": place.step.check is not None,
        "lift": True,
    }
    if body.what not in CONFIRMABLE or not asks[body.what]:
        raise Illegal(f"Step {place.number} asks for no {body.what}.")
    return replace(state, confirmed=state.confirmed | {(body.step, body.what)})


def overridden(state: State, event: Event, body: Overridden) -> State:
    _applicable(state, body.step)
    if body.what not in OVERRIDABLE:
        raise Illegal(f"{body.what!r} cannot be overridden.")
    if not body.reason.strip():
        raise Illegal("An override needs a reason.")
    return replace(state, overridden={**state.overridden, (body.step, body.what): body.reason})


def item_accepted(state: State, event: Event, body: ItemAccepted) -> State:
    if not body.reason.strip():
        raise Illegal("Something open is accepted for a reason: say which.")
    if body.item not in {item.id for item in open_items(state)}:
        raise Illegal("That is not open.")
    return replace(state, accepted={**state.accepted, body.item: body.reason})


def item_closed(state: State, event: Event, body: ItemClosed, act: Callable[[State, Event, Any], State]) -> State:
    if body.item not in {item.id for item in open_items(state)}:
        raise Illegal("That is not open.")
    verb = closing_by_word(body.item)
    thing = body.item.partition(":")[2]
    if verb is None:
        raise Illegal(f"{state.plan.name_of(thing)}: this is not closed by a word.")
    return act(state, event, ActionDone(verb, thing))


_BY_WORD = {
    "part-off": "fit", "connection-open": "connect", "fluid-out": "fill", "cover-in": "uncover",
    "not-lined-up": "line_up", "support-in-place": "release", "fastener-out": "tighten", "fastener-loose": "tighten",
}  # fmt: skip


def closing_by_word(item: str) -> str | None:
    """The verb that closes an open item when a person says it is closed; None where a value has to be stated.

    A set that is put in by word and has a torque stays open as `not-at-value`.
    """
    return _BY_WORD.get(item.partition(":")[0])


def _applicable(state: State, step: str) -> Place:
    place = state.plan.by_id.get(step)
    if place is None:
        raise Illegal(f"There is no step {step!r} on this card.")
    if not state.plan.applies(place.step.when, state.facts):
        unknown = [fact for fact in place.step.when if fact not in state.facts]
        if unknown:
            raise Illegal(f"Whether step {place.number} applies is not known yet.")
        raise Illegal(f"Step {place.number} does not apply to this vehicle.")
    return place
