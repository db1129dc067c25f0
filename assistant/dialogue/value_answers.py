"""Answers that are values: a torque, an angle, a reading, and the decision after it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.dialogue import bolting, measures, torquing
from assistant.dialogue.needs import ask_torque
from assistant.dialogue.overriding import override
from assistant.dialogue.questions import in_words, quantity_in
from assistant.dialogue.said import option_said, quantity_said, reason_said
from assistant.dialogue.view import Turn, View
from assistant.grammar.request import Request

About = Mapping[str, str]
Again = Callable[[View, Turn, Request], Turn]
"""Takes a request up again, once what was missing in it is there."""


def torque_value(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "override":
        return override(turn, turn.state.at, "torque", request)
    if request.name == "no":
        return turn.settle().say("dropped")
    if request.name == "begin":
        return bolting.start(view, turn, Request("start-fastener", {"fastener": about["fastener"]}))
    value = quantity_said(request) if request.name in ("digits", "answer") else None
    if value is None:
        return None
    bolt = int(about["bolt"]) if about.get("bolt") else None
    stated = torquing.Stated(about["fastener"], value.value, value.unit, bolt, about.get("then", ""))
    return torquing.log_torque(turn, stated)


def outside_torque(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "no":
        return turn.settle().say("not-kept")
    value = torque_value(view, turn, request, about, again) if request.name == "digits" else None
    if value is not None:
        return value
    if request.name not in ("reason", "override", "accept"):
        return None
    reason = reason_said(request)
    if not reason:
        return turn.say("ask-keep-reason", value=quantity_in(about))
    return torquing.ask_keep(turn, torquing.Stated.of({**about, "reason": reason}))


def angle(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    stated = torquing.Stated.of(dict(about))
    if request.name in ("yes", "done"):
        return torquing.turned(turn, stated, None)
    if request.name == "no":
        return turn.settle().say("not-kept")
    value = quantity_said(request) if request.name == "digits" else None
    return torquing.turned(turn, stated, value.value) if value is not None and value.unit in ("", "deg") else None


def keep_outside(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "no":
        return turn.settle().say("not-kept")
    if request.name != "yes":
        return None
    return torquing.log_torque(turn, torquing.Stated.of(dict(about)))


def bolts_value(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "yes":
        return bolting.at_value(turn, about["fastener"], about.get("then", ""))
    if request.name == "no":
        return ask_torque(turn, about["fastener"], about.get("then", ""))
    return torque_value(view, turn, request, about, again) if request.name == "digits" else None


def measure_value(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "override":
        return override(turn, turn.state.at, "measure", request)
    if request.name == "no":
        return turn.settle().say("dropped")
    value = quantity_said(request) if request.name in ("digits", "answer") else None
    if value is None:
        return None
    return measures.log_reading(turn, about["measure"], value, about.get("then", ""), about.get("for", ""))


def decision(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    out = view.card.measures[about["measure"]].out
    if out is None or request.name not in ("answer", "reason", "yes", "no"):
        return None
    option = option_said(out.options, request)
    if not option and request.name == "yes" and len(out.options) == 1:
        option = next(iter(out.options))
    if option:
        return measures.decide(turn, about["measure"], option, about.get("then", ""))
    standing = turn.standing
    return turn.say("that-is-no-answer").line(in_words(turn.state, standing) if standing else "")
