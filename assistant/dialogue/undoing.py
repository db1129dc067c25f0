""" "Undo": takes back the last thing that was recorded, whole, and says what it was."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.dialogue.bolting import one_back, say_bolt
from assistant.dialogue.needs import ask_measure, ask_torque
from assistant.dialogue.questions import in_words as question_in_words
from assistant.dialogue.steps import ask_facts, read_step
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital
from assistant.dialogue.wording.english import PAST, listed
from assistant.grammar.request import Request
from assistant.job import events as e
from assistant.job.errors import Illegal
from assistant.job.events import Body, Event
from assistant.job.memory import State
from assistant.voice.wording import show_amount

RECORDED: tuple[type[Body], ...] = (
    e.Finished, e.StepDone, e.StepSkipped, e.ItemAccepted, e.ItemClosed, e.Torqued, e.Measured, e.Decided, e.Noted,
    e.Overridden, e.BoltDone, e.ActionDone, e.Confirmed, e.FactSet, e.TimerSet, e.AdapterSet, e.ToolChosen,
    e.BoltsStarted,
)  # fmt: skip
"""What can be taken back; where one utterance led to several, the first of these names them all."""
_GOES_WITH: tuple[type[Body], ...] = (*RECORDED, e.StepStarted, e.BoltsStopped)


def undo(view: View, turn: Turn, request: Request) -> Turn:
    question = turn.standing
    group = last_recorded(turn.state)
    if question is not None and question.name in _NOT_RECORDED_YET and not _asked_after(turn.state, group):
        return turn.settle().say("dropped")
    if not group:
        return turn.say("nothing-to-undo")
    if isinstance(group[0].body, e.BoltDone) and turn.state.bolting:
        return one_back(view, turn)
    before = turn.state.at
    before_step = group[0].step
    named = min(group, key=_weight)
    then = question.about.get("then", "") if question is not None else ""
    gone = {event.seq for event in group} | _ended_since(turn.state, group)
    try:
        turn = turn.do(e.Withdrawn(tuple(sorted(gone))))
    except Illegal as no:
        return turn.say("cannot-undo", reason=no.reason)
    turn = turn.say("undone", what=_all_in_words(turn.state, named, group))
    if question is not None and isinstance(named.body, _BESIDE_THE_STEP):
        return turn.line(question_in_words(turn.state, question)).ask(question.name, **question.about)
    turn = turn.settle()
    if isinstance(named.body, e.FactSet):
        return ask_facts(turn)
    if isinstance(named.body, e.StepDone):
        then = "done"
    asked_again = _value_again(turn, group, then, question is not None) if turn.state.at == before_step else None
    if asked_again is not None:
        return asked_again
    if turn.state.bolting:
        return say_bolt(turn)
    place = turn.state.place
    return read_step(turn, place) if place is not None and turn.state.at != before else turn


def _ended_since(state: State, group: Sequence[Event]) -> set[int]:
    """Bolt by bolt that began here has ended since: without its beginning there is no end."""
    begun = {event.body.fastener: event.seq for event in group if isinstance(event.body, e.BoltsStarted)}
    if not begun:
        return set()
    return {
        event.seq
        for event in state.history()
        if isinstance(event.body, e.BoltsStopped) and event.seq > begun.get(event.body.fastener, event.seq)
    }


def _value_again(turn: Turn, group: Sequence[Event], then: str, was_asked: bool) -> Turn | None:
    """A value that was taken back is asked for again, where it had been asked for; None where it had not."""
    for event in reversed(group):
        match event.body:
            case e.Measured(measure=measure) if (then or was_asked) and not turn.state.plan.measure(measure).derived:
                return ask_measure(turn, measure, then)
            case e.Torqued(fastener=fastener, bolt=None) if then:
                return ask_torque(turn, fastener, then)
    return None


def _asked_after(state: State, group: Sequence[Event]) -> bool:
    """True where the question that stands was put by the utterance that recorded this group."""
    asked = next((event for event in state.history() if isinstance(event.body, e.Asked)), None)
    return bool(group) and asked is not None and (asked.group or asked.seq) == (group[0].group or group[0].seq)


def _all_in_words(state: State, named: Event, group: Sequence[Event]) -> str:
    """What is taken back; a value that goes with a step is named with it."""
    words = [in_words(state, named.body)]
    if isinstance(named.body, e.StepDone):
        words += [in_words(state, ev.body) for ev in reversed(group) if isinstance(ev.body, e.Torqued | e.Measured)]
    return listed(words)


_BESIDE_THE_STEP = (e.Noted, e.TimerSet, e.AdapterSet, e.ToolChosen)
"""Taking these back leaves the question about the step as it stands."""
_NOT_RECORDED_YET = frozenset((
    "skip-reason", "skip-confirm", "override-reason", "override-confirm", "confirm", "which", "digits", "note-text",
    "outside-torque", "keep-outside", "angle", "accept-reason", "accept-confirm", "finish-confirm", "timer-length",
    "torque-value", "measure-value", "person-name", "wrench-length", "who-confirms",
))  # fmt: skip
"""Questions about something that is not recorded yet: then "undo" drops it."""


def last_recorded(state: State) -> tuple[Event, ...]:
    """The events that the last recording utterance led to, without what was only said or asked."""
    later: list[Event] = []
    whose = 0
    for event in state.history():
        mine = event.group or event.seq
        if whose and mine != whose:
            break
        if not whose and isinstance(event.body, RECORDED):
            whose = mine
        later.append(event)
    return tuple(e_ for e_ in later if (e_.group or e_.seq) == whose and isinstance(e_.body, _GOES_WITH))


def _weight(event: Event) -> int:
    for n, sort in enumerate(RECORDED):
        if isinstance(event.body, sort):
            return n
    return len(RECORDED)


def in_words(state: State, body: Body) -> str:
    """What was recorded, in a few words."""
    plan = state.plan
    number = plan.by_id[body.step].number if isinstance(body, _OF_A_STEP) else 0
    match body:
        case e.StepDone():
            return bit("undone-step", number=number)
        case e.StepSkipped():
            return bit("undone-skip", number=number)
        case e.Torqued():
            name, value = plan.name_of(body.fastener), show_amount(body.value, body.unit)
            if body.bolt is not None:
                return bit("undone-bolt-torque", fastener=name, bolt=body.bolt, value=value)
            return bit("undone-torque", fastener=name, value=value)
        case e.Measured():
            return bit("undone-reading", measure=plan.name_of(body.measure), value=show_amount(body.value, body.unit))
        case e.Decided():
            return bit("undone-decision", measure=plan.name_of(body.measure))
        case e.Noted():
            return bit("undone-note", text=body.text.rstrip("."))
        case e.Overridden():
            return bit("undone-override", number=number)
        case e.BoltDone():
            return bit("undone-bolt", fastener=plan.name_of(body.fastener), bolt=body.position)
        case e.BoltsStarted():
            return bit("undone-bolts", fastener=plan.name_of(body.fastener))
        case e.ActionDone():
            return bit("undone-action", thing=plan.name_of(body.thing), done=PAST[body.verb])
        case e.Confirmed():
            return bit("undone-yes", number=number)
        case e.FactSet():
            return capital(plan.card.facts[body.fact].options[body.option].say)
        case e.TimerSet():
            return bit("undone-timer")
        case e.AdapterSet():
            return bit("undone-adapter")
        case e.ToolChosen():
            return plan.name_of(body.tool)
        case e.ItemAccepted() | e.ItemClosed():
            how = "undone-accepted" if isinstance(body, e.ItemAccepted) else "undone-closed"
            return bit(how, thing=plan.name_of(body.item.partition(":")[2]))
        case _:
            return bit("undone-finish")


_OF_A_STEP = (e.StepDone, e.StepSkipped, e.Overridden, e.Confirmed)
