"""Through the card: begin, next, done, back, go to, repeat, skip, where, what is left."""

from __future__ import annotations

from assistant.card.plan import DEFAULT_MINUTES
from assistant.dialogue.bolting import left_in_words, where_in_bolts
from assistant.dialogue.steps import (
    ask_facts,
    complete,
    enter,
    focus,
    go_on,
    next_open,
    read_step,
    section_end,
)
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import say, sentence
from assistant.dialogue.wording.english import duration
from assistant.grammar.request import Request
from assistant.job.events import StepSkipped
from assistant.job.memory import State
from assistant.job.plan import Place

# -- beginning ---------------------------------------------------------------


def begin(view: View, turn: Turn, request: Request) -> Turn:
    """ "begin": asks the facts, then reads the first step."""
    if turn.state.at:
        return turn.say("begun-already").line(_where_line(turn.state, turn.state.place))
    return ask_facts(turn)


# -- next, done, back --------------------------------------------------------


def next_(view: View, turn: Turn, request: Request) -> Turn:
    """Reads what comes next. The step we are at stays as it is: only "done" marks it."""
    state = turn.state
    place = state.place
    if place is None:
        return begin(view, turn, request)
    if place.step.id in state.steps:
        return go_on(turn)
    after = next_open(state)
    if after is None or after.number <= place.number:
        return turn.say("last-step")
    return turn.say("done-ahead", number=after.number, say=sentence(after.step.say), now=place.number)


def done(view: View, turn: Turn, request: Request) -> Turn:
    """ "done": the present step is done. Whatever it still needs is asked for first."""
    state = turn.state
    place = state.place
    if place is None:
        return turn.not_begun()
    settled = state.steps.get(place.step.id)
    if settled is not None and settled.how == "done":
        waiting = focus(state)
        if waiting is not None and waiting.step.id != place.step.id:
            return enter(turn, waiting)
        return go_on(turn.say("already-done", number=place.number))
    return complete(turn)


def back(view: View, turn: Turn, request: Request) -> Turn:
    """One step back: reads it, changes nothing that was recorded."""
    state = turn.state
    here = focus(state)
    if here is None:
        return turn.not_begun()
    before = [p for p in state.path if p.number < here.number]
    return enter(turn, before[-1]) if before else turn.say("no-step-back")


def go_to(view: View, turn: Turn, request: Request) -> Turn:
    """To a step by its number."""
    state = turn.state
    number = request.slots.get("step")
    places = state.plan.places
    if isinstance(number, str) and number in state.plan.by_id:
        number = state.plan.by_id[number].number
    if not isinstance(number, int) or not 1 <= number <= len(places):
        return turn.say("no-such-step", number=str(number or "of that name"), n=len(places))
    if state.plan.to_ask(state.facts):
        return ask_facts(turn)
    place = places[number - 1]
    if not state.plan.applies(place.step.when, state.facts):
        return turn.say("step-not-here", number=number)
    left = sum(1 for p in state.path if p.number < number and p.step.id not in state.steps)
    turn = enter(turn, place)
    return turn.say("before-not-done", n=left) if left else turn


def repeat(view: View, turn: Turn, request: Request) -> Turn:
    """Reads the step again; its cautions are read on "caution"."""
    place = focus(turn.state)
    if place is None:
        return again(view, turn, request)
    if place.step.id != turn.state.at:
        return enter(turn, place)
    return read_step(turn, place)


def again(view: View, turn: Turn, request: Request) -> Turn:
    """Says the last reply again, word for word."""
    return turn.line(view.last) if view.last else turn.say("nothing-said")


# -- skip --------------------------------------------------------------------


def skip(view: View, turn: Turn, request: Request) -> Turn:
    """Skips the step that we are at, or that waits: with a reason, after a yes."""
    state = turn.state
    place = focus(state)
    if place is not None and place.step.id in state.steps:
        place = next_open(state)
    if place is None or state.plan.to_ask(state.facts):
        return turn.say("nothing-to-skip")
    reason = str(request.slots.get("reason", "")).strip()
    if reason.casefold() in ("it", "this", "that"):
        reason = ""
    if not reason:
        return turn.say("ask-skip-reason", number=place.number).ask("skip-reason", step=place.step.id)
    return ask_skip(turn, place, reason)


def ask_skip(turn: Turn, place: Place, reason: str) -> Turn:
    turn = turn.say("ask-skip", number=place.number, reason=reason)
    return turn.ask("skip-confirm", step=place.step.id, reason=reason)


def skipped(turn: Turn, step: str, reason: str) -> Turn:
    """The skip was confirmed."""
    place = turn.state.plan.by_id[step]
    turn = turn.do(StepSkipped(step, reason)).settle().say("skipped", number=place.number)
    return go_on(section_end(turn, place))


# -- where and what is left --------------------------------------------------


def where(view: View, turn: Turn, request: Request) -> Turn:
    state = turn.state
    place = state.place
    if place is None:
        return turn.not_begun()
    return turn.line(_where_line(state, place)).line(where_in_bolts(state))


def _where_line(state: State, place: Place | None) -> str:
    if place is None:
        return ""
    settled = state.steps.get(place.step.id)
    how = ""
    if settled is not None:
        how = say("where-done") if settled.how == "done" else say("where-skipped", reason=settled.reason)
    return say(
        "where", number=place.number, total=len(state.plan.places), section=place.section.name,
        say=sentence(place.step.say), state=f" {how}",
    )  # fmt: skip


def left(view: View, turn: Turn, request: Request) -> Turn:
    """Steps left and the usual time for them; in a set that is worked bolt by bolt, the bolts that are left."""
    state = turn.state
    bolts = left_in_words(state)
    if bolts:
        return turn.line(bolts)
    to_do = [p for p in state.path if p.step.id not in state.steps]
    if not to_do:
        return turn.say("left-none")
    minutes = sum(p.step.minutes or DEFAULT_MINUTES for p in to_do)
    section = (state.place or to_do[0]).section
    here = sum(1 for p in to_do if p.section.id == section.id)
    return turn.say("left", n=len(to_do), time=duration(float(minutes) * 60), section=section.name, m=here)
