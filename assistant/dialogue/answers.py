"""What answers the question that stands open. A request that does not answer it is taken for what it says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant.dialogue import finishing, measures, notes, people, times, torquing, value_answers
from assistant.dialogue.moving import ask_skip, skipped
from assistant.dialogue.needs import ask_who, takes_a_name
from assistant.dialogue.overriding import override
from assistant.dialogue.pending import unpack, with_slot
from assistant.dialogue.questions import in_words
from assistant.dialogue.said import name_said, option_said, quantity_said, reason_said, words_said
from assistant.dialogue.steps import complete, enter, fact_answered, wake_from_pause
from assistant.dialogue.view import Turn, View
from assistant.dialogue.which import Candidate, Close, Found, which
from assistant.dialogue.wording import capital
from assistant.grammar.request import Quantity, Request
from assistant.job.errors import Illegal
from assistant.job.events import ActionDone, Confirmed, Overridden
from assistant.job.open_items import blocking
from assistant.job.step_rules import closing_by_word

About = Mapping[str, str]
Again = Callable[[View, Turn, Request], Turn]
"""Takes a request up again, once what was missing in it is there."""


def answer(view: View, turn: Turn, request: Request, again: Again) -> Turn | None:
    """The turn that the answer leads to; None where the request is no answer to the question."""
    question = turn.standing
    if question is None:
        return None
    if request.name == "cancel" or (request.name == "no" and question.name in _REASONS):
        return _dropped(turn, question.name)
    find = _ANSWERS.get(question.name)
    if find is None:
        return None
    try:
        return find(view, turn, request, question.about, again)
    except Illegal as no:
        return turn.settle().say("not-recorded", reason=no.reason)


_REASONS = ("skip-reason", "override-reason", "accept-reason")


def _dropped(turn: Turn, question: str) -> Turn:
    if question in ("hold", "support", "lift", "who-confirms"):
        return turn.settle().say("not-started")
    if question == "fact":
        standing = turn.standing
        return turn.line(in_words(turn.state, standing) if standing else "")
    words = {"skip": "not-skipped", "over": "not-overridden", "acce": "not-accepted", "fini": "not-finished"}
    return turn.settle().say(words.get(question[:4], "dropped"))


# -- facts and holds ---------------------------------------------------------


def _fact(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name not in ("answer", "reason", "yes", "no"):
        return None
    option = option_said(view.card.facts[about["fact"]].options, request)
    if option:
        return fact_answered(turn, about["fact"], option)
    standing = turn.standing
    return turn.say("that-is-no-answer").line(in_words(turn.state, standing) if standing else "")


def _before_step(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    question = turn.standing
    what = question.name if question else ""
    place = turn.state.plan.by_id[about["step"]]
    if request.name == "no":
        return turn.settle().say("not-started")
    if request.name == "override":
        return override(turn, about["step"], what, request)
    if request.name == "close" and question is not None:
        # "she's on stands" says that the stands are there; a hold asks more than that
        if what != "support" or request.slots.get("item") != about["thing"] or finishing.says_taken_away(request.words):
            return turn.line(in_words(turn.state, question)).ask(question.name, **question.about)
    elif request.name != "yes":
        return None
    turn = wake_from_pause(turn)
    if what == "support":
        turn = turn.do(ActionDone("support", about["thing"]))
    elif what == "hold" and takes_a_name(place):
        # nothing is confirmed before it is known by whom
        return ask_who(turn, place)
    else:
        turn = turn.do(Confirmed(about["step"], what))
    return enter(turn, place)


def _who_confirms(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    """The name of the second person, or of the foreman, that the card wants."""
    place = turn.state.plan.by_id[about["step"]]
    reason = about.get("reason", "")
    if request.name == "no":
        return turn.settle().say("not-overridden" if reason else "not-started")
    if request.name not in ("person", "reason", "answer", "yes"):
        return None
    name = name_said(request)
    hold = place.step.hold
    if name and hold is not None and hold.who == "second-person" and name.casefold() == turn.state.person.casefold():
        return ask_who(turn.say("name-is-speaker", name=name), place, reason)
    if not name:
        return ask_who(turn, place, reason)
    turn = wake_from_pause(turn)
    if reason:
        turn = turn.do(Overridden(about["step"], "hold", reason, name)).say("allowed-by", name=name)
    else:
        turn = turn.do(Confirmed(about["step"], "hold", name)).say("confirmed-by", name=name)
    return enter(turn, place)


def _check(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    step = about["step"]
    if request.name == "yes":
        return complete(wake_from_pause(turn).do(Confirmed(step, "check")))
    if request.name == "no":
        return turn.settle().say("check-open", number=turn.state.plan.by_id[step].number)
    return override(turn, step, "check", request) if request.name == "override" else None


# -- skip and override -------------------------------------------------------


def _skip_reason(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    reason = reason_said(request) if request.name in ("reason", "skip", "answer") else ""
    return ask_skip(turn, turn.state.plan.by_id[about["step"]], reason) if reason else None


def _skip_confirm(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "yes":
        return skipped(wake_from_pause(turn), about["step"], about["reason"])
    return turn.settle().say("not-skipped") if request.name == "no" else None


def _override_reason(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    reason = reason_said(request) if request.name in ("reason", "override", "answer") else ""
    return override(turn, about["step"], about["what"], Request("override", {"reason": reason})) if reason else None


def _override_confirm(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "no":
        return turn.settle().say("not-overridden")
    if request.name != "yes":
        return None
    place = turn.state.plan.by_id[about["step"]]
    if about["what"] == "hold" and takes_a_name(place):
        return ask_who(turn, place, about["reason"])
    turn = wake_from_pause(turn).do(Overridden(about["step"], about["what"], about["reason"])).say("overridden")
    if about["what"] in ("hold", "support", "lift"):
        return enter(turn, place)
    return complete(turn.settle())


# -- which, digits, did you say ----------------------------------------------


def _which(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    words = words_said(request) if request.name in ("answer", "reason") else ""
    options = about["options"].split()
    if not words:
        return None
    chosen = words if words in options else ""
    if not chosen and "|" in words:
        both = [o for o in words.split("|") if o in options]
        chosen = both[0] if len(both) == 1 else ""
    if not chosen:
        things = turn.state.plan.things
        found = which(words, [Candidate(o, things[o][1].name, tuple(things[o][1].aka)) for o in options])
        if isinstance(found, Close | Found) and (isinstance(found, Found) or len(found.ids) == 1):
            chosen = found.id if isinstance(found, Found) else found.ids[0]
    if not chosen:
        standing = turn.standing
        return turn.say("that-is-no-answer").line(in_words(turn.state, standing) if standing else "")
    return _once_clear(view, turn, with_slot(unpack(about["request"]), about["slot"], chosen), again)


def _once_clear(view: View, turn: Turn, request: Request, again: Again) -> Turn:
    """The request, now that it is clear: as the answer to the question that had been interrupted, if it is one."""
    turn = turn.settle()
    answered = answer(view, turn, request, again) if turn.standing is not None else None
    return answered if answered is not None else again(view, turn, request)


def _digits(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    value = quantity_said(request) if request.name in ("digits", "answer") else None
    if value is None:
        return turn.settle().say("dropped") if request.name == "no" else None
    return _once_clear(view, replace(turn, by_digits=True), in_digits(value, about), again)


def in_digits(value: Quantity, about: About) -> Request:
    """The request that was in doubt, with the number as it was given digit by digit; its unit stays."""
    before = unpack(about["request"])
    said = before.slots.get(about["slot"])
    unit = value.unit or (said.unit if isinstance(said, Quantity) else "")
    filled: Quantity | int = Quantity(value.value, unit, value.said)
    if isinstance(said, int):
        filled = int(value.value)
    return with_slot(before, about["slot"], filled)


def _confirm(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "yes":
        return _once_clear(view, turn, unpack(about["request"]), again)
    return turn.settle().say("not-that") if request.name == "no" else None


# -- notes, times, people ----------------------------------------------------


def _note_text(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name not in ("reason", "note", "answer"):
        return None
    text = words_said(request)
    if not text:
        return None
    if about.get("continues"):
        return notes.lengthen(turn, int(about["continues"]), text)
    return notes.take(turn, text, about["sort"], about.get("thing", ""))


def _timer_length(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    length = quantity_said(request) if request.name == "digits" else request.slots.get("duration")
    return times.set_timer(turn, length, about.get("text", "")) if isinstance(length, Quantity) else None


def _person_name(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    name = words_said(request) if request.name in ("reason", "answer", "person") else ""
    return people.is_now(turn, name) if name else None


def _wrench_length(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    value = quantity_said(request) if request.name == "digits" else None
    return again(view, turn.settle(), Request("wrench-length", {"length": value})) if value else None


# -- open items --------------------------------------------------------------


def _item(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    item = finishing.item_asked(turn)
    if item is None:
        return None
    if request.name == "yes" and closing_by_word(item.id) is None and item.kind not in ("not-at-value", "undecided"):
        return finishing.accept(view, turn, Request("accept", {"item": item.id}))
    if request.name in ("yes", "done") or (request.name == "close" and not request.slots.get("item")):
        return finishing.close(view, turn, Request("close", {"item": item.id}))
    if request.name in ("no", "next"):
        words = capital(finishing.item_words(turn.state, item.id))
        return finishing.walk_on(turn.say("stays-open", item=words), item.id)
    if request.name in ("digits", "torqued") and item.kind == "not-at-value":
        value, angle = quantity_said(request), request.slots.get("angle")
        if value is None or request.slots.get("fastener", item.thing) != item.thing or request.slots.get("bolt"):
            return None
        angle_deg = angle.value if isinstance(angle, Quantity) else None
        stated = torquing.Stated(item.thing, value.value, value.unit, then=finishing.WALK, angle_deg=angle_deg)
        after = torquing.log_torque(turn, stated)
        still_open = item.id in {i.id for i in blocking(after.state)}
        return finishing.walk(after, item) if after.standing is None and still_open else after
    if request.name == "answer" and item.kind == "undecided":
        out = view.card.measures[item.thing].out
        option = option_said(out.options, request) if out else ""
        return measures.decide(turn, item.thing, option, finishing.WALK) if option else None
    if request.name == "reason" and reason_said(request):
        return finishing.ask_accept(turn, item.id, reason_said(request))
    return None


def _accept_reason(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    reason = reason_said(request) if request.name in ("reason", "accept", "answer") else ""
    return finishing.ask_accept(turn, about["item"], reason) if reason else None


def _accept_confirm(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    walking = about.get("walk") == "yes"
    if request.name == "yes":
        return finishing.accepted(turn, about["item"], about["reason"], walking)
    if request.name != "no":
        return None
    turn = turn.settle().say("not-accepted")
    return finishing.walk_on(turn, about["item"]) if walking and about["item"] != finishing.ALL else turn


def _finish_confirm(view: View, turn: Turn, request: Request, about: About, again: Again) -> Turn | None:
    if request.name == "yes":
        return finishing.finished(turn)
    return turn.settle().say("not-finished") if request.name == "no" else None


Answer = Callable[[View, Turn, Request, About, Again], Turn | None]
_ANSWERS: dict[str, Answer] = {
    "fact": _fact,
    "hold": _before_step,
    "support": _before_step,
    "lift": _before_step,
    "who-confirms": _who_confirms,
    "check": _check,
    "skip-reason": _skip_reason,
    "skip-confirm": _skip_confirm,
    "override-reason": _override_reason,
    "override-confirm": _override_confirm,
    "torque-value": value_answers.torque_value,
    "outside-torque": value_answers.outside_torque,
    "keep-outside": value_answers.keep_outside,
    "angle": value_answers.angle,
    "bolts-value": value_answers.bolts_value,
    "measure-value": value_answers.measure_value,
    "decision": value_answers.decision,
    "which": _which,
    "digits": _digits,
    "confirm": _confirm,
    "note-text": _note_text,
    "timer-length": _timer_length,
    "person-name": _person_name,
    "wrench-length": _wrench_length,
    "item": _item,
    "accept-reason": _accept_reason,
    "accept-confirm": _accept_confirm,
    "finish-confirm": _finish_confirm,
}
