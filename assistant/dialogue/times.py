"""Timers, the time of day, time worked, pause and resume."""

from __future__ import annotations

from datetime import datetime

from assistant.dialogue.bolting import where_in_bolts
from assistant.dialogue.steps import focus, read_step, wake_from_pause
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, say
from assistant.dialogue.wording.english import duration, exact_duration, listed
from assistant.grammar.request import Quantity, Request
from assistant.job.errors import Illegal
from assistant.job.events import Paused, TimerEnded, TimerSet
from assistant.job.records import TimerRecord
from assistant.job.times import worked_by_section

_SECONDS = {"s": 1, "min": 60, "h": 3600, "d": 86400, "": 60}
"""A bare number of a timer is minutes."""


def timer(view: View, turn: Turn, request: Request) -> Turn:
    label = str(request.slots.get("text", "")).strip()
    length = request.slots.get("duration")
    if not isinstance(length, Quantity):
        return turn.say("ask-timer").ask("timer-length", text=label)
    return set_timer(turn, length, label)


def set_timer(turn: Turn, length: Quantity, label: str) -> Turn:
    if length.unit not in _SECONDS:
        return turn.say("ask-timer").ask("timer-length", text=label)
    seconds = int(length.value * _SECONDS[length.unit])
    try:
        turn = turn.do(TimerSet(seconds, label))
    except Illegal:
        return turn.say("timer-range")
    question = turn.standing
    if question is not None and question.name == "timer-length":
        turn = turn.settle()
    return turn.say("timer", time=duration(seconds), label=f", {label}" if label else "")


def timers(view: View, turn: Turn, request: Request) -> Turn:
    running = sorted(turn.state.timers.values(), key=lambda t: t.ends)
    if not running:
        return turn.say("timers-none")
    return turn.say("timers", timers="; ".join(_left(t, turn.now) for t in running))


def cancel_timer(view: View, turn: Turn, request: Request) -> Turn:
    """Ends the timer that would ring first."""
    if not turn.state.timers:
        return turn.say("timers-none")
    first = min(turn.state.timers.values(), key=lambda t: t.ends)
    turn = turn.do(TimerEnded(first.seq, "cancelled"))
    return turn.say("timer-cancelled", label=f", {first.label}" if first.label else "")


def _left(timer: TimerRecord, now: datetime) -> str:
    seconds = max(0.0, (timer.ends - now).total_seconds())
    time = exact_duration(seconds)
    return bit("time-left-for", time=time, label=timer.label) if timer.label else bit("time-left", time=time)


def time_of_day(view: View, turn: Turn, request: Request) -> Turn:
    return turn.say("time", time=turn.now.astimezone(view.settings.zone).strftime("%H:%M"))


def time_worked(view: View, turn: Turn, request: Request) -> Turn:
    """Pauses are out; each section by itself."""
    sections = worked_by_section(turn.state, turn.now)
    total = sum(sections.values())
    if total < 1:
        return turn.say("worked-none")
    names = {s.id: s.name for s in turn.state.the_card.sections}
    before = say("before-first-step")
    words = [f"{names.get(section, before)} {duration(s)}" for section, s in sections.items() if s >= 1]
    return turn.say("worked", total=duration(total), sections=listed(words))


def pause(view: View, turn: Turn, request: Request) -> Turn:
    if turn.state.paused:
        return turn.say("paused-already")
    place = focus(turn.state)
    turn = turn.do(Paused())
    return turn.say("paused", number=place.number) if place else turn.say("paused-start")


def resume(view: View, turn: Turn, request: Request) -> Turn:
    """Goes on after a pause: says where we are."""
    if not turn.state.paused:
        return turn.say("not-paused")
    turn = wake_from_pause(turn)
    place = focus(turn.state)
    if place and place.step.id not in turn.state.steps:
        turn = read_step(turn, place)
    return turn.line(where_in_bolts(turn.state))
