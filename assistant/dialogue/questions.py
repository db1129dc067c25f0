"""How each question is put again: after an aside, on "repeat", after a power cut."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from assistant.dialogue.finishing import item_words
from assistant.dialogue.named import what_tells_apart, what_they_share
from assistant.dialogue.needs import before_in_words, who_in_words
from assistant.dialogue.pending import unpack
from assistant.dialogue.steps import fact_in_words
from assistant.dialogue.wording import bit, capital, say
from assistant.dialogue.wording.english import listed
from assistant.grammar.request import Quantity, Request
from assistant.job.holds import lacking
from assistant.job.memory import State
from assistant.job.records import Question
from assistant.voice.wording import show_digits, show_quantity, show_torque

About = Mapping[str, str]


def in_words(state: State, question: Question) -> str:
    """The question as it is put once more; empty where it has nothing to ask about any more."""
    put = _PUT.get(question.name)
    return put(state, question.about) if put else ""


def _number(state: State, about: About) -> int:
    place = state.plan.by_id.get(about.get("step", ""))
    return place.number if place else 0


def _name(state: State, about: About, sort: str) -> str:
    return capital(state.plan.name_of(about.get(sort, "")))


def _fact(state: State, about: About) -> str:
    return fact_in_words(state.the_card.facts[about["fact"]])


def _before(state: State, about: About) -> str:
    place = state.plan.by_id[about["step"]]
    missing = lacking(state, about["step"])
    return say("held", number=place.number, ask=before_in_words(state, place, missing[0])) if missing else ""


def _check(state: State, about: About) -> str:
    return state.plan.by_id[about["step"]].step.check or ""


def _which(state: State, about: About) -> str:
    things = about["options"].split()
    apart = what_tells_apart(state, things)
    return say("which-of", what=what_they_share(state, things), options=listed(list(apart.values()), "or"))


def _decision(state: State, about: About) -> str:
    out = state.plan.measure(about["measure"]).out
    if out is None:
        return ""
    options = listed([option.say for option in out.options.values()], "or")
    return say("ask-decision", say="", options=options)


def _measure(state: State, about: About) -> str:
    measure = state.plan.measure(about["measure"])
    if measure.readings > 1:
        number = about.get("reading") or "1"
        return say("ask-reading-again", measure=capital(measure.name), reading=number, of=measure.readings)
    return say("ask-measure", measure=capital(measure.name))


def _outside(state: State, about: About) -> str:
    return say("ask-torque-again", fastener=_name(state, about, "fastener"))


def quantity_in(about: About) -> str:
    """Value and unit of a question, as shown."""
    return show_quantity(Decimal(about["value"]), about.get("unit", ""))


def _angle(state: State, about: About) -> str:
    torque = state.plan.fastener(about["fastener"]).torque
    angle = torque.angle_deg if torque and torque.angle_deg else Decimal(0)
    return say(
        "torque-then-angle", fastener=_name(state, about, "fastener"), value=quantity_in(about),
        angle=show_quantity(angle, "deg"),
    )  # fmt: skip


def said_back(request: Request) -> str:
    """A request in the words it was heard in, its numbers once more in digits."""
    words = request.words or request.name
    digits = [show_digits(v.value) for v in request.slots.values() if isinstance(v, Quantity)]
    return ", ".join([words, *(d for d in digits if d)])


def _keep(state: State, about: About) -> str:
    return say(
        "keep-outside", fastener=state.plan.name_of(about["fastener"]), value=quantity_in(about), reason=about["reason"]
    )


def _bolts(state: State, about: About) -> str:
    fastener = state.plan.fastener(about["fastener"])
    value = show_torque(fastener.torque) if fastener.torque else ""
    return say("bolt-all-done", fastener=capital(fastener.name), count=fastener.count, value=value)


def _item(state: State, about: About) -> str:
    words = item_words(state, about["item"])
    # a torque that is missing is stated; nothing closes it by a word
    ask = "walk-ask-torque" if about["item"].startswith("not-at-value:") else "walk-ask-close"
    return say("walk-item", item=capital(words), ask=say(ask))


_PUT: dict[str, Callable[[State, About], str]] = {
    "fact": _fact,
    "hold": _before,
    "support": _before,
    "lift": _before,
    "check": _check,
    "torque-value": lambda s, a: say("ask-torque-again", fastener=_name(s, a, "fastener")),
    "outside-torque": _outside,
    "keep-outside": _keep,
    "angle": _angle,
    "measure-value": _measure,
    "decision": _decision,
    "skip-reason": lambda s, a: say("ask-skip-reason", number=_number(s, a)),
    "skip-confirm": lambda s, a: say("ask-skip", number=_number(s, a), reason=a["reason"]),
    "override-reason": lambda s, a: say("ask-override-reason", what=say(f"what-{a['what']}")),
    "override-confirm": lambda s, a: say("ask-override", what=say(f"what-{a['what']}"), reason=a["reason"]),
    "which": _which,
    "digits": lambda s, a: say("ask-digits-bare", about=capital(a.get("about", bit("about-number")))),
    "confirm": lambda s, a: say("ask-confirm", words=said_back(unpack(a["request"]))),
    "note-text": lambda s, a: say("note-open"),
    "bolts-value": _bolts,
    "item": _item,
    "accept-reason": lambda s, a: say("ask-accept-reason", item=item_words(s, a["item"])),
    "accept-confirm": lambda s, a: say("ask-accept", item=item_words(s, a["item"]), reason=a["reason"]),
    "finish-confirm": lambda s, a: say("ask-finish"),
    "timer-length": lambda s, a: say("ask-timer"),
    "who-confirms": lambda s, a: who_in_words(s.plan.by_id[a["step"]], a.get("reason", "")),
    "person-name": lambda s, a: say("ask-name"),
    "wrench-length": lambda s, a: say("ask-wrench-length"),
}
