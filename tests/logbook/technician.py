"""A technician who works a card through to its end by its own rules, for tests and benchmarks: no sound, no clock.

Every event is folded as it is made, so nothing comes out that the job would not accept. People are invented.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from assistant.card.model import Card, Measure, Torque
from assistant.job.events import (
    ActionDone,
    Body,
    Confirmed,
    Decided,
    Event,
    FactSet,
    Finished,
    ItemAccepted,
    JobStarted,
    Measured,
    Noted,
    Paused,
    PersonChanged,
    Resumed,
    Said,
    StepDone,
    StepSkipped,
    StepStarted,
    Torqued,
    Withdrawn,
)
from assistant.job.holds import lacking, wanting
from assistant.job.open_items import blocking
from assistant.job.plan import Deed, Plan
from assistant.job.state import State, apply, begin
from assistant.job.thing_rules import is_in_effect


@dataclass(frozen=True, slots=True)
class Turn:
    """One utterance and what follows from it, as `JobWriter.append` takes it."""

    bodies: tuple[Body, ...]
    at: datetime
    person: str
    step: str
    speaks: bool
    """False for what is written without a word (the first event)."""


class Technician:
    """Works `card` from `start`; `mishaps` switches on what a real job has: see `work`."""

    def __init__(self, card: Card, start: datetime, vehicle: str = "FC-204", person: str = "Mara") -> None:
        self.plan = Plan(card)
        self.state: State = begin(self.plan)
        self.now, self.vehicle, self.person = start, vehicle, person
        self.events: list[Event] = []

    def turn(self, *bodies: Body, seconds: float = 0, speaks: bool = True) -> Turn:
        self.now += timedelta(seconds=seconds)
        said = self.state.seq + 1 if isinstance(bodies[0], Said) else 0
        for body in bodies:
            seq = self.state.seq + 1
            event = Event(seq, self.now, self.person, self.state.at, body, 0 if seq == said else said)
            self.state = apply(self.state, event)
            self.events.append(event)
        step = self.events[-len(bodies)].step
        return Turn(bodies, self.now, self.person, step, speaks)

    def say(
        self, heard: str, reply: str, *bodies: Body, request: str = "", seconds: float = 6, score: float = -0.31
    ) -> Turn:
        said = Said(heard, heard.capitalize() + ".", request, {}, "act" if request else "ignore", score, 2.4, reply)
        return self.turn(said, *bodies, seconds=seconds)

    def started(self, sha256: str = "") -> JobStarted:
        card = self.plan.card
        return JobStarted(card.card, card.revision, sha256, card.title, self.vehicle)

    def work(
        self,
        facts: Mapping[str, str] | None = None,
        *,
        outside: str = "",
        skip: str = "",
        pause_at: int = 0,
        hand_to: str = "",
        note: str = "",
        correct: str = "",
        last_step: int = 10_000,
    ) -> Iterator[Turn]:
        """The whole job. `outside`: a measure that comes out of its limits. `skip`: a step that is skipped.
        `pause_at`: a lunch break at that step. `hand_to`: who takes over after it. `note`: said at that step.
        `correct`: fastener whose torque is first said wrong and taken back. `last_step`: stops there, job open."""
        yield self.turn(self.started(), speaks=False)
        yield self.say("this is mara", "Good morning, Mara.", PersonChanged(self.person), request="person")
        for fact in self.plan.to_ask(self.state.facts):
            options = self.plan.card.facts[fact].options
            option = (facts or {}).get(fact, next(iter(options)))
            yield self.say(options[option].say, f"{options[option].say}.", FactSet(fact, option), request="answer")
        yield from self.work_on(
            outside=outside,
            skip=skip,
            pause_at=pause_at,
            hand_to=hand_to,
            note=note,
            correct=correct,
            last_step=last_step,
        )

    def work_on(
        self,
        *,
        outside: str = "",
        skip: str = "",
        pause_at: int = 0,
        hand_to: str = "",
        note: str = "",
        correct: str = "",
        last_step: int = 10_000,
    ) -> Iterator[Turn]:
        """From where the job stands to its end."""
        while place := next((p for p in self.state.path if p.step.id not in self.state.steps), None):
            step = place.step.id
            if place.number > last_step:
                return
            if place.number == pause_at:
                yield self.say("pause", "Paused.", Paused(), request="pause")
                yield self.say("resume", "Going on.", Resumed(), request="resume", seconds=31 * 60)
                if hand_to:
                    self.person = hand_to
                    yield self.say(f"this is {hand_to}", f"Hello, {hand_to}.", PersonChanged(hand_to), request="person")
            for lack in lacking(self.state, step):
                yield self.say("yes", "Yes.", Confirmed(step, lack.what), request="yes")
            reply = " ".join([*place.step.cautions, f"Step {place.number}: {place.step.say}"])
            yield self.say("next", reply, StepStarted(step), request="next", seconds=8)
            if step == skip:
                yield self.say("skip", "Skipped.", StepSkipped(step, "no grease of that kind here"), request="skip")
                continue
            yield from self._deeds(step, outside, correct)
            if note and place.number == pause_at + 2:
                yield self.say(f"take a note {note}", f"Noted: {note}", Noted(note), request="note")
            for lack in wanting(self.state, step):
                if lack.what == "check":
                    yield self.say("yes", "Yes.", Confirmed(step, "check"), request="yes")
            usual = float(place.step.minutes or 2) * 60
            yield self.say(
                "done", "Done.", StepDone(step), request="done", seconds=usual * (0.7 + 0.6 * (place.number % 5) / 4)
            )
        for item in blocking(self.state):
            accepted = ItemAccepted(item.id, "agreed with the foreman")
            yield self.say("accept", "Accepted.", accepted, request="accept")
        yield self.say("finish", "The job is closed.", Finished(), request="finish")

    def _deeds(self, step: str, outside: str, correct: str) -> Iterator[Turn]:
        for deed in self.plan.deeds(step, self.state.facts):
            name = self.plan.name_of(deed.thing)
            if deed.verb == "measure":
                yield from self._measure(deed.thing, outside)
            elif deed.verb == "tighten" and self._has_value(deed):
                torque = self.plan.fastener(deed.thing).torque
                assert torque is not None
                value = _to_set(torque)
                reached = Torqued(deed.thing, value, torque.unit, self.plan.fastener(deed.thing).tool or "")
                reply = f"{name}: {value:f} {torque.unit}, logged."
                if deed.thing == correct:
                    correct = ""
                    low = Torqued(deed.thing, value - 5, torque.unit, reached.tool, None, "outside", "misheard")
                    yield self.say(f"torqued the {name}", "Outside: kept.", low, request="torqued")
                    yield self.say("undo", "Taken back.", Withdrawn((self.state.seq,)), request="undo")
                yield self.say(f"torqued the {name} to {value:f}", reply, reached, request="torqued", seconds=45)
            elif deed.verb not in ("inspect", "apply") and not is_in_effect(
                self.state, deed.verb, deed.thing, deed.count, deed.only_pass
            ):
                yield self.turn(ActionDone(deed.verb, deed.thing, deed.count, pass_no=deed.only_pass), seconds=20)

    def _has_value(self, deed: Deed) -> bool:
        torque = self.plan.fastener(deed.thing).torque
        return deed.only_pass is None and deed.count is None and torque is not None and not torque.by_hand

    def _measure(self, thing: str, outside: str) -> Iterator[Turn]:
        measure = self.plan.measure(thing)
        readings = 1 if measure.derived else measure.readings
        for reading in range(1, readings + 1):
            out = thing == outside and reading == readings
            value, verdict = _reading(measure, reading, out)
            body = Measured(thing, value, measure.unit, verdict, reading)
            said = f"{value:f} {measure.unit}, {'OUTSIDE its limits' if out else 'inside'}."
            yield self.say(f"measured {measure.name} {value:f}", said, body, request="measured", seconds=30)
        if thing == outside and measure.out:
            option = next(iter(measure.out.options))
            yield self.say(measure.out.options[option].say, "Noted.", Decided(thing, option), request="answer")


def _to_set(torque: Torque) -> Decimal:
    if torque.value is not None:
        return torque.value
    assert torque.low is not None
    assert torque.high is not None
    return (torque.low + torque.high) / 2


def _reading(measure: Measure, reading: int, out: bool) -> tuple[Decimal, str]:
    limits = measure.limits
    step = measure.resolution or Decimal("0.1")
    if limits is None:
        return (measure.nominal or Decimal(1)) + step * reading, "no-limit"
    if limits.low is not None and limits.high is not None:
        value = limits.high + 6 * step if out else limits.low + (limits.high - limits.low) * (3 + reading % 4) / 10
    elif limits.high is not None:
        value = limits.high * Decimal("1.4") if out else limits.high * Decimal("0.6") + step * (reading % 3)
    else:
        assert limits.low is not None
        value = (
            limits.low * Decimal("0.95") if out else (measure.nominal or limits.low * Decimal("1.1")) - step * reading
        )
    return value.quantize(step), "outside" if out else "inside"
