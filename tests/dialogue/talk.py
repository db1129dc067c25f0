"""A job talked about in requests, for tests: no grammar, no sound, a clock that is set by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Literal

from assistant.card.load import load_card
from assistant.card.model import Card
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.reply import Outcome
from assistant.dialogue.view import Settings
from assistant.grammar.request import Quantity, Request, SlotValue
from assistant.hearing.heard import Decision, Heard, Reading
from assistant.job.events import Body, Event
from assistant.job.memory import State
from assistant.job.records import Clock

CARD = Path(__file__).parents[1] / "cards" / "belt-guard.yaml"
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@cache
def belt_guard() -> Card:
    """A small card that has one of everything."""
    return load_card(CARD)


def confirmed_by(who: Literal["second-person", "foreman"]) -> Card:
    """The same card, its first hold confirmed by somebody else than the one who works."""
    fields = belt_guard().model_dump(by_alias=True, exclude_unset=True)
    step = next(step for section in fields["sections"] for step in section["steps"] if step.get("hold"))
    step["hold"]["who"] = who
    return Card.model_validate(fields)


def nm(value: str | int) -> Quantity:
    return Quantity(Decimal(value), "N·m", str(value))


def mm(value: str | int) -> Quantity:
    return Quantity(Decimal(value), "mm", str(value))


def bare(value: str | int) -> Quantity:
    return Quantity(Decimal(value), "", str(value))


class Talk:
    """One job; each call is one utterance, half a minute after the one before."""

    def __init__(self, card: Card | None = None) -> None:
        self.now = START
        self.card = card or belt_guard()
        self.conversation, self.outcome = Conversation.begin(self.card, self.now, settings=Settings(zone=UTC))
        self.log: list[Event] = list(self.conversation.fresh)

    def __call__(self, name: str, /, **slots: SlotValue) -> str:
        """A request, typed; the answer's text."""
        written = {slot.replace("_", "-"): value for slot, value in slots.items()}
        words = " ".join([name, *map(str, slots.values())])
        return self.take(Request(name, written, words))

    def hear(
        self,
        name: str,
        /,
        decision: Decision = Decision.ACT,
        doubtful: tuple[str, ...] = (),
        others: tuple[Request, ...] = (),
        **slots: SlotValue,
    ) -> str:
        """A request as the ear gives it."""
        written = {slot.replace("_", "-"): value for slot, value in slots.items()}
        reading = Reading(name, Request(name, written, name), -0.2)
        rest = tuple(Reading(r.words or r.name, r, -0.4) for r in others)
        return self.take(Heard(name, reading, rest, decision=decision, doubtful=doubtful))

    def take(self, said: Request | Heard) -> str:
        self.now += timedelta(seconds=30)
        return self._kept(*self.conversation.take(said, self.now))

    def wait(self, **time: float) -> str:
        """Time goes by; what rings in it."""
        self.now += timedelta(**time)
        return self._kept(*self.conversation.tick(self.now))

    def power_cut(self) -> str:
        return self._kept(*Conversation.resume(self.card, self.log, self.now, Settings(zone=UTC)))

    def _kept(self, conversation: Conversation, outcome: Outcome) -> str:
        self.conversation, self.outcome = conversation, outcome
        self.log += conversation.fresh
        return outcome.reply.text

    @property
    def state(self) -> State:
        return self.conversation.state

    @property
    def recorded(self) -> State:
        """The state without its clock, which runs on whatever is said."""
        return replace(self.state, clock=Clock())

    @property
    def question(self) -> str:
        return self.state.question.name if self.state.question else ""

    def logged(self, kind: type[Body]) -> list[Body]:
        """The bodies of a kind that the log holds, whether taken back or not."""
        return [event.body for event in self.log if isinstance(event.body, kind)]

    # -- going on quickly ----------------------------------------------------

    def begin(self, drive: str = "one") -> Talk:
        """To the first step."""
        self("begin")
        self("answer", option=drive)
        return self

    def to(self, step: str) -> Talk:
        """Works the card up to a step, saying what each one needs."""
        if not self.state.at and not self.state.facts:
            self.begin()
        for _ in range(200):
            if self.state.at == step and step not in self.state.steps and self.state.question is None:
                return self
            self.obey()
        raise AssertionError(f"never came to {step}: {self.outcome.reply.text}")

    def obey(self) -> str:
        """Says what is asked for, or done."""
        question = self.state.question
        if question is None:
            return self("done" if self.state.at not in self.state.steps else "next")
        match question.name:
            case "torque-value":
                torque = self.card.fasteners[question.about["fastener"]].torque
                assert torque is not None
                return self("digits", value=nm(str(torque.value or torque.low)))
            case "measure-value":
                return self("digits", value=mm("10" if question.about["measure"] == "gap" else "0.05"))
            case "fact":
                return self("answer", option=next(iter(self.card.facts[question.about["fact"]].options)))
            case "decision":
                return self("answer", option="replace")
            case _:
                return self("yes")
