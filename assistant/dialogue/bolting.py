"""Bolt by bolt through the passes of a set: called by number and place, counted on "done" or a click."""

from __future__ import annotations

from assistant.card.model import Fastener
from assistant.dialogue.fasteners import order, target_of, with_setting
from assistant.dialogue.named import fastener_of
from assistant.dialogue.needs import ask_torque
from assistant.dialogue.steps import wake_from_pause
from assistant.dialogue.torquing import Stated, log_torque
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import capital, say
from assistant.fastening.order import place_of
from assistant.fastening.passes import TighteningPass
from assistant.grammar.request import Request
from assistant.job.errors import Illegal
from assistant.job.events import BoltDone, BoltsStarted, BoltsStopped, Withdrawn
from assistant.job.memory import State
from assistant.job.open_items import needs_value
from assistant.job.passes import rounds_of, turns_of
from assistant.voice.wording import show_torque


def start(view: View, turn: Turn, request: Request) -> Turn:
    """ "Start the flywheel bolts"; goes on where it was left."""
    thing, asked = fastener_of(view, turn, request, to_log=True)
    if not thing:
        return asked or turn
    if not turn.state.at:
        return turn.not_begun()
    turn = turn.about(thing)
    question = turn.standing
    then = question.about.get("then", "") if question is not None and question.name == "torque-value" else ""
    try:
        turn = wake_from_pause(turn)
        if turn.state.bolting and turn.state.bolting != thing:
            turn = turn.do(BoltsStopped(turn.state.bolting))
        turn = turn.do(BoltsStarted(thing, then))
    except Illegal as no:
        return turn.say("not-yet", reason=no.reason)
    fastener = turn.state.plan.fastener(thing)
    each, position = _due(turn.state, thing)
    turn = turn.say(
        "bolt-first", fastener=capital(fastener.name), n=len(rounds_of(fastener)),
        pass_name=_pass_name(each), bolt=position, place=_place(fastener, position),
    ).settle()  # fmt: skip
    return with_setting(turn, thing)


def bolt_done(turn: Turn) -> Turn:
    """One bolt more; at the end of the last pass asks for the value of the whole set."""
    thing = turn.state.bolting
    fastener = turn.state.plan.fastener(thing)
    each, position = _due(turn.state, thing)
    try:
        turn = wake_from_pause(turn).do(BoltDone(thing, position, each.number))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    following = _turn_of(turn.state, thing)
    if following is None:
        return _all_done(turn, thing)
    now, place = following
    if now.number != each.number:
        turn = turn.say("bolt-round-done", number=each.number).line(_pass_name(now))
    return turn.say("bolt-next", bolt=place, place=_place(fastener, place))


def _all_done(turn: Turn, thing: str) -> Turn:
    fastener = turn.state.plan.fastener(thing)
    name = capital(fastener.name)
    then = turn.state.bolting_then
    turn = turn.do(BoltsStopped(thing))
    if not needs_value(fastener) or fastener.torque is None:
        return turn.say("bolt-all-done-plain", fastener=name, count=fastener.count)
    if fastener.torque.value is None:
        # a range has no one value to say yes to
        return ask_torque(turn.say("bolt-all-done-plain", fastener=name, count=fastener.count), thing, then)
    turn = turn.say("bolt-all-done", fastener=name, count=fastener.count, value=show_torque(fastener.torque))
    return turn.ask("bolts-value", fastener=thing, then=then)


def at_value(turn: Turn, thing: str, then: str) -> Turn:
    """The whole set was said to be at the card's value."""
    torque = turn.state.plan.fastener(thing).torque
    if torque is None or torque.value is None:
        return turn.settle()
    return log_torque(turn, Stated(thing, torque.value, torque.unit, None, then, torque.angle_deg))


def one_back(view: View, turn: Turn) -> Turn:
    """Takes back the last bolt counted."""
    thing = turn.state.bolting
    fastener = turn.state.plan.fastener(thing)
    last = next((e for e in turn.state.history() if isinstance(e.body, BoltDone) and e.body.fastener == thing), None)
    if last is None or not turn.state.fastener(thing).bolts:
        return turn.say("bolt-none-back")
    try:
        turn = turn.do(Withdrawn((last.seq,)))
    except Illegal as no:
        return turn.say("cannot-undo", reason=no.reason)
    _, position = _due(turn.state, thing)
    return turn.say("bolt-back", bolt=position, place=_place(fastener, position))


def say_bolt(turn: Turn) -> Turn:
    """Calls the bolt whose turn it is."""
    following = _turn_of(turn.state, turn.state.bolting)
    if following is None:
        return turn
    position = following[1]
    return turn.say("bolt-next", bolt=position, place=_place(turn.state.plan.fastener(turn.state.bolting), position))


def which_bolt(view: View, turn: Turn, request: Request) -> Turn:
    """The bolt whose turn it is; where none is being worked, the order that the step's set is done in."""
    return say_bolt(turn) if is_bolting(turn.state) else order(view, turn, request)


def left_in_words(state: State) -> str:
    """How many of the set are left in this pass, as a sentence; "" where no set is being worked."""
    following = _turn_of(state, state.bolting) if state.bolting else None
    if following is None:
        return ""
    fastener = state.plan.fastener(state.bolting)
    turns = turns_of(fastener)[len(state.fastener(state.bolting).bolts) :]
    here = sum(1 for each, _ in turns if each.number == following[0].number)
    later = len(rounds_of(fastener)) - following[0].number
    passes = say("passes-left", n=later) if later else ""
    return say("bolts-left", fastener=capital(fastener.name), n=here, passes=passes)


def stop(view: View, turn: Turn, request: Request) -> Turn:
    thing = turn.state.bolting
    if not thing:
        return turn.say("bolt-not-running")
    done = len(turn.state.fastener(thing).bolts)
    return turn.do(BoltsStopped(thing)).say("bolt-stopped", fastener=capital(turn.state.plan.name_of(thing)), n=done)


def click(view: View, turn: Turn, request: Request) -> Turn:
    """The wrench clicked: one bolt done, where a set is being worked through."""
    return bolt_done(turn) if turn.state.bolting else turn.say("bolt-not-running")


def is_bolting(state: State) -> bool:
    """True while a set is being worked and one of its bolts is due."""
    return bool(state.bolting) and _turn_of(state, state.bolting) is not None


def where_in_bolts(state: State) -> str:
    """The set, the pass and the bolt whose turn it is, as a sentence; "" where no set is being worked."""
    following = _turn_of(state, state.bolting) if state.bolting else None
    if following is None:
        return ""
    fastener = state.plan.fastener(state.bolting)
    its_pass, position = following
    return say(
        "bolt-where", fastener=capital(fastener.name), bolt=position, place=_place(fastener, position),
        its_pass=f" {_pass_name(its_pass)}" if len(rounds_of(fastener)) > 1 else "",
    )  # fmt: skip


def _turn_of(state: State, thing: str) -> tuple[TighteningPass, int] | None:
    """The pass and the position whose turn it is; None where all are done."""
    turns = turns_of(state.plan.fastener(thing))
    done = len(state.fastener(thing).bolts)
    return turns[done] if done < len(turns) else None


def _due(state: State, thing: str) -> tuple[TighteningPass, int]:
    """As `_turn_of`, of a set that has one left: the first again where all are done."""
    return _turn_of(state, thing) or turns_of(state.plan.fastener(thing))[0]


def _pass_name(each: TighteningPass) -> str:
    return say("bolt-pass", number=each.number, target=target_of(each))


def _place(fastener: Fastener, position: int) -> str:
    place = place_of(fastener, position)
    return f", {place}" if place else ""
