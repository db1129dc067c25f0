"""One request, one answer: `respond`. Pure; what it would change stands in the outcome's events."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from assistant.dialogue import (
    asides,
    bolting,
    fasteners,
    finishing,
    measures,
    moving,
    notes,
    people,
    steps,
    times,
    torquing,
    undoing,
    wrench,
)
from assistant.dialogue.answers import answer
from assistant.dialogue.needs import ask_measure
from assistant.dialogue.overriding import override
from assistant.dialogue.pending import CLEARING, unpack_question
from assistant.dialogue.questions import in_words
from assistant.dialogue.reply import Outcome
from assistant.dialogue.steps import wake_from_pause
from assistant.dialogue.view import Turn, View
from assistant.grammar.request import REQUESTS, Request
from assistant.job.errors import Illegal
from assistant.job.holds import lacking, wanting

Answering = Callable[[View, Turn, Request], Turn]


def respond(view: View, request: Request, now: datetime) -> Outcome:
    """The answer to a request, in the state that `view` shows. `now` is aware."""
    return respond_turn(view, request, now).outcome()


def respond_turn(view: View, request: Request, now: datetime) -> Turn:
    """As `respond`, before it is closed."""
    turn = Turn.of(view, now)
    if request.name not in REQUESTS:
        return turn.say("cannot-now", help="")
    try:
        answered = answer(view, turn, request, take_up)
        turn = answered if answered is not None else take_up(view, turn, request)
    except Illegal as no:
        return Turn.of(view, now).say("not-recorded", reason=no.reason)
    return _put_again(view, turn, request)


def _put_again(view: View, turn: Turn, request: Request) -> Turn:
    """A question that was interrupted is put again once what interrupted it is clear."""
    before, standing = view.state.question, turn.standing
    if turn.question is None or before is None or standing is None or before.name not in CLEARING:
        return turn
    packed = before.about.get("before")
    came_back = packed is not None and unpack_question(packed) == standing
    if not came_back or request.name in _QUIET or request.name in _MOVES:
        return turn
    return turn.line(in_words(turn.state, standing))


def take_up(view: View, turn: Turn, request: Request) -> Turn:
    """Takes a request for what it says. A question that stands open is put again after an aside, and dropped
    where the person has gone on to something else."""
    if turn.state.finished and request.name in _MOVES and request.name != "undo":
        return turn.say("finished-already")
    before = turn.question
    moves = request.name in _MOVES
    if turn.state.paused and request.name in _WORKS:
        turn = wake_from_pause(turn)
    if request.name in _OF_THE_TALK:
        turn = turn.nothing_new()
    turn = _HANDLERS[request.name](view, turn, request)
    standing = turn.standing
    if turn.question is not before or standing is None:
        return turn
    if moves and standing.name != "fact":
        # what is asked about the vehicle comes before anything else: nobody gets past it by a "done"
        return turn.drop()
    if before is not None or request.name in _QUIET or not turn.lines:
        return turn
    return turn.line(in_words(turn.state, standing))


def _yes_or_no(view: View, turn: Turn, request: Request) -> Turn:
    """A yes, no or number that answers nothing: then the question that stands is put again."""
    standing = turn.standing
    if standing is None and request.name == "digits":
        return _value_of_what(turn)
    if standing is None:
        return turn.say("nothing-asked")
    return turn.line(in_words(turn.state, standing)).ask(standing.name, **standing.about)


def _value_of_what(turn: Turn) -> Turn:
    """A bare number that nothing asked for: at a step that measures, its reading is asked for now. The number itself
    is taken for nothing."""
    state = turn.state
    wants = wanting(state, state.at) if state.at and state.at not in state.steps and not state.bolting else ()
    measure = next((lack.thing for lack in wants if lack.what == "measure"), "")
    if measure and not state.readings.get(measure):
        return ask_measure(turn, measure)
    return turn.say("value-of-what")


def _done(view: View, turn: Turn, request: Request) -> Turn:
    if turn.state.bolting:
        return bolting.bolt_done(turn)
    return moving.done(view, turn, request)


def _next(view: View, turn: Turn, request: Request) -> Turn:
    """In a set that is worked bolt by bolt, the bolt whose turn it is; it is counted on done or a click only."""
    if bolting.is_bolting(turn.state):
        return bolting.say_bolt(turn)
    return moving.next_(view, turn, request)


def _back(view: View, turn: Turn, request: Request) -> Turn:
    return bolting.one_back(view, turn) if turn.state.bolting else moving.back(view, turn, request)


def _repeat(view: View, turn: Turn, request: Request) -> Turn:
    if bolting.is_bolting(turn.state):
        return bolting.say_bolt(turn)
    standing = turn.standing
    if standing is not None and standing.name in ("fact", "hold", "support", "lift", "who-confirms"):
        # the step waits for this: there is nothing to read before it is answered
        return turn.line(in_words(turn.state, standing)).ask(standing.name, **standing.about)
    return moving.repeat(view, turn, request)


def _override(view: View, turn: Turn, request: Request) -> Turn:
    place = steps.focus(turn.state)
    following = place if place and place.step.id not in turn.state.steps else steps.next_open(turn.state)
    if following is not None and following.step.id != turn.state.at:
        missing = lacking(turn.state, following.step.id)
        if missing:
            return override(turn, following.step.id, missing[0].what, request)
    if following is not None and following.step.id == turn.state.at:
        try:
            wants = wanting(steps.with_actions(turn, turn.state.at).state, turn.state.at)
        except Illegal:
            return override(turn, turn.state.at, "action", request)
        if wants:
            return override(turn, turn.state.at, wants[0].what, request)
    return turn.say("nothing-to-override")


def _resume(view: View, turn: Turn, request: Request) -> Turn:
    return times.resume(view, turn, request)


_HANDLERS: dict[str, Answering] = {
    "begin": moving.begin,
    "next": _next,
    "done": _done,
    "back": _back,
    "go-to": moving.go_to,
    "repeat": _repeat,
    "skip": moving.skip,
    "where": moving.where,
    "left": moving.left,
    "open": finishing.what_is_open,
    "finish": finishing.finish,
    "hand-over": finishing.hand_over,
    "caution": asides.caution,
    "how": asides.how,
    "why": asides.why,
    "more": asides.more,
    "stuck": asides.stuck,
    "which-tool": asides.which_tool,
    "what-is": asides.what_is,
    "needed": asides.needed,
    "parts": asides.parts,
    "tools": asides.tools,
    "torque": fasteners.torque,
    "order": fasteners.order,
    "which-bolt": bolting.which_bolt,
    "which-way": fasteners.which_way,
    "passes": fasteners.passes,
    "count": fasteners.count,
    "size": fasteners.size,
    "treatment": fasteners.treatment,
    "reuse": fasteners.reuse,
    "fasteners-at": fasteners.fasteners_at,
    "torqued": torquing.torqued,
    "start-fastener": bolting.start,
    "stop-fastener": bolting.stop,
    "click": bolting.click,
    "adapter": wrench.adapter,
    "no-adapter": wrench.no_adapter,
    "wrench-length": wrench.wrench_length,
    "use-tool": wrench.use_tool,
    "measured": measures.measured,
    "limit": measures.limit,
    "readings": measures.readings,
    "note": notes.note,
    "part-to-order": notes.note,
    "fault-found": notes.note,
    "continue-note": notes.continue_note,
    "end-note": notes.end_note,
    "read-notes": notes.read_notes,
    "withdraw-note": notes.withdraw_note,
    "timer": times.timer,
    "timers": times.timers,
    "cancel-timer": times.cancel_timer,
    "time": times.time_of_day,
    "time-worked": times.time_worked,
    "pause": times.pause,
    "resume": _resume,
    "undo": undoing.undo,
    "yes": _yes_or_no,
    "no": _yes_or_no,
    "cancel": _yes_or_no,
    "digits": _yes_or_no,
    "answer": _yes_or_no,
    "reason": _yes_or_no,
    "override": _override,
    "accept": finishing.accept,
    "close": finishing.close,
    "person": people.person,
    "who": people.who,
    "stop": people.stop,
    "again": moving.again,
    "louder": people.manner,
    "quieter": people.manner,
    "faster": people.manner,
    "slower": people.manner,
    "terse": people.verbosity,
    "normal": people.verbosity,
    "full": people.verbosity,
    "sounds-on": people.manner,
    "sounds-off": people.manner,
    "sleep": people.sleep,
    "wake": people.wake,
    "attention": people.attention,
    "help": asides.help_,
    "can-hear": people.can_hear,
}

_MOVES = frozenset((
    "begin", "done", "back", "go-to", "skip", "finish", "torqued", "measured", "start-fastener", "click",
    "undo", "accept", "close", "override",
))  # fmt: skip
"""Whoever says one of these has gone on: a question before it is dropped."""
_OF_THE_TALK = frozenset((
    "again", "louder", "quieter", "faster", "slower", "terse", "normal", "full", "sounds-on", "sounds-off", "stop",
    "sleep", "wake", "attention", "can-hear",
))  # fmt: skip
"""About how one talks and not about the job: "more" goes on after them with what it would have gone on with."""
_WORKS = frozenset(("next", "done", "back", "go-to", "begin", "start-fastener", "click", "repeat"))
"""These end a pause."""
_QUIET = frozenset((
    "stop", "again", "help", "repeat", "louder", "quieter", "faster", "slower", "sleep", "wake", "attention", "more",
    "can-hear", "caution", "how", "why", "pause", "hand-over",
))  # fmt: skip
"""After these the question is not put again: it has just been heard, or is being thought about."""


def with_verbosity(view: View, verbosity: str) -> View:
    return replace(view, settings=replace(view.settings, verbosity=verbosity))
