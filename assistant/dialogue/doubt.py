"""Numbers that may have been misheard: when to ask for one digit by digit, and about what.

A unit that cannot be (millimetres, where a torque is asked for) was misheard with its number. It makes no doubt, or
the doubt would keep it: the value is refused as it stands and asked for anew, with its unit.

A heard number is in doubt if the ear says that a sound-alike scored near, or if it is outside what the card
allows while a sound-alike is inside (fifty where fifteen is wanted). What is typed was not misheard.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.dialogue.pending import pack
from assistant.dialogue.wording import bit, capital, say
from assistant.fastening.judge import judge_torque
from assistant.fastening.units import TORQUE_UNITS, UnitError, figures, measures_the_same
from assistant.grammar.request import Quantity, Request
from assistant.grammar.soundalike import sound_alikes
from assistant.hearing.heard import Heard
from assistant.job.memory import State
from assistant.measuring.limits import judge_reading


@dataclass(frozen=True, slots=True)
class Doubt:
    """A number to be asked for again, digit by digit."""

    words: str
    """The question: "Flywheel bolts: 15 or 50? Digit by digit."."""
    about: dict[str, str]
    """What the question keeps: the request, the slot."""


def in_doubt(state: State, heard: Heard) -> Doubt | None:
    """The doubt about a number in the best reading; None where it is clear, or was just given digit by digit."""
    best = heard.best
    if best is None:
        return None
    request = _as_answer_to(state, best.request)
    if state.question is not None and state.question.name == "digits" and best.request.name == "digits":
        return None
    for slot, value in best.request.slots.items():
        number = value.value if isinstance(value, Quantity) else Decimal(value) if isinstance(value, int) else None
        if number is None:
            continue
        other = _other_reading(heard, slot, number)
        likelier = None if request is None else _likelier(state, request, slot, number)
        if slot not in heard.doubtful and likelier is None:
            continue
        if likelier is None and request is not None and _is_allowed(state, request, slot, number) is False:
            other = _allowed_reading(heard, state, request, slot) or other
        second = likelier if likelier is not None else other
        about = _about(state, request or best.request)
        words = (
            say("ask-digits", about=about, first=figures(number), second=figures(second))
            if second is not None
            else say("ask-digits-bare", about=about)
        )
        asked = request or best.request
        where = slot if slot in asked.slots else "value"
        return Doubt(words, {"request": pack(asked), "slot": where, "about": about})
    return None


def has_impossible_unit(state: State, heard: Heard) -> bool:
    """True where the best reading has a unit of another kind than what it tells: what takes it will refuse it."""
    request = None if heard.best is None else _as_answer_to(state, heard.best.request)
    value = None if request is None else request.slots.get("value")
    if request is None or not isinstance(value, Quantity) or not value.unit:
        return False
    if request.name == "torqued":
        return value.unit not in TORQUE_UNITS
    measure = str(request.slots.get("measure", "")) or _only_one_here(state, "measure")
    if request.name != "measured" or measure not in state.the_card.measures:
        return False
    return not measures_the_same(value.unit, state.plan.measure(measure).unit)


def _as_answer_to(state: State, request: Request) -> Request | None:
    """A bare number as the request that it completes, so that it can be judged and asked about by name."""
    if request.name != "digits":
        return request
    question = state.question
    if question is None:
        return None
    about = question.about
    if question.name in ("torque-value", "outside-torque", "bolts-value"):
        return Request("torqued", {**request.slots, "fastener": about["fastener"]}, request.words)
    if question.name == "measure-value":
        return Request("measured", {**request.slots, "measure": about["measure"]}, request.words)
    if question.name == "item" and about.get("item", "").startswith("not-at-value:"):
        return Request("torqued", {**request.slots, "fastener": about["item"].partition(":")[2]}, request.words)
    return None


def _likelier(state: State, request: Request, slot: str, number: Decimal) -> Decimal | None:
    """A sound-alike that the card allows, where the number as heard is outside; None otherwise."""
    if _is_allowed(state, request, slot, number) is not False:
        return None
    return next((other for other in sorted(sound_alikes(number)) if _is_allowed(state, request, slot, other)), None)


def _is_allowed(state: State, request: Request, slot: str, number: Decimal) -> bool | None:
    """Whether the card would allow the number here; None where it has nothing to say."""
    value = request.slots.get("value")
    unit = value.unit if isinstance(value, Quantity) else ""
    fastener = str(request.slots.get("fastener", ""))
    measure = str(request.slots.get("measure", ""))
    if request.name == "torqued" and not fastener and state.at:
        fastener = state.bolting or _only_one_here(state, "tighten")
    if request.name == "measured" and not measure and state.at:
        measure = _only_one_here(state, "measure")
    try:
        if request.name == "torqued" and slot == "angle":
            torque = state.plan.fastener(fastener).torque if fastener in state.the_card.fasteners else None
            return None if torque is None or torque.angle_deg is None else number == torque.angle_deg
        if request.name == "torqued" and fastener in state.the_card.fasteners:
            judged = judge_torque(number, unit, state.plan.fastener(fastener).torque)
            return None if judged.verdict == "no-value" else judged.verdict == "inside"
        if request.name == "measured" and measure in state.the_card.measures:
            verdict = judge_reading(state.plan.measure(measure), number, unit).verdict
            return None if verdict == "no-limit" else verdict != "outside"
    except UnitError:
        return None
    return None


def _only_one_here(state: State, verb: str) -> str:
    """What the step tightens or measures, where that is one thing; empty otherwise."""
    here = [deed.thing for deed in state.plan.deeds(state.at, state.facts) if deed.verb == verb] if state.at else []
    return here[0] if len(here) == 1 else ""


def _other_reading(heard: Heard, slot: str, number: Decimal) -> Decimal | None:
    """The number of the first runner-up that differs in this slot."""
    for reading in heard.others:
        value = reading.request.slots.get(slot)
        other = value.value if isinstance(value, Quantity) else Decimal(value) if isinstance(value, int) else None
        if other is not None and other != number:
            return other
    return None


def _allowed_reading(heard: Heard, state: State, request: Request, slot: str) -> Decimal | None:
    """The number of the first runner-up that the card allows (8.1, where 811 was heard before it)."""
    numbers = (getattr(reading.request.slots.get(slot), "value", None) for reading in heard.others)
    return next((n for n in numbers if isinstance(n, Decimal) and _is_allowed(state, request, slot, n)), None)


def _about(state: State, request: Request) -> str:
    """What the number is about, by name."""
    for slot in ("fastener", "measure"):
        thing = request.slots.get(slot)
        if isinstance(thing, str) and thing in state.plan.things:
            return capital(state.plan.name_of(thing))
    return bit(f"about-{request.name}") if request.name in ("go-to", "timer") else bit("about-number")
