"""The state of one job, all of it: what a colleague would have to remember."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from assistant.card.model import Card
from assistant.job.events import Event
from assistant.job.plan import Place, Plan
from assistant.job.records import (
    Clock,
    FastenerState,
    NoteRecord,
    Question,
    ReadingRecord,
    StepState,
    TimerRecord,
    TorqueRecord,
    Wrench,
)


def _none() -> Mapping[Any, Any]:
    """Nothing yet; made anew each time, for Python 3.11 takes no proxy as a default."""
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Past:
    """The events that made a state, last first: a chain that grows by one link and shares the rest."""

    event: Event
    before: Past | None
    depth: int
    """How many links, this one included."""

    def back(self) -> Iterator[Event]:
        """The events, last first."""
        link: Past | None = self
        while link is not None:
            yield link.event
            link = link.before


@dataclass(frozen=True, slots=True)
class Saved:
    """States kept along the way, last first, so that taking an event back does not start from nothing."""

    state: State
    before: Saved | None


@dataclass(frozen=True, slots=True)
class State:
    """One job. Two states are equal if the same things stand the same, whichever way they came about."""

    plan: Plan = field(compare=False, repr=False)
    seq: int = field(default=0, compare=False)
    """Of the last event."""
    past: Past | None = field(default=None, compare=False, repr=False)
    saved: Saved | None = field(default=None, compare=False, repr=False)

    card: str = ""
    """Id of the card; empty before the job began."""
    vehicle: str = ""
    finished: bool = False
    facts: Mapping[str, str] = field(default_factory=_none)
    at: str = ""
    """The present step; empty before the first."""
    steps: Mapping[str, StepState] = field(default_factory=_none)
    """Steps done or skipped."""
    read: frozenset[str] = frozenset()
    """Steps that were started: their cautions were said."""
    confirmed: frozenset[tuple[str, str]] = frozenset()
    """(step, hold | check | lift)"""
    overridden: Mapping[tuple[str, str], str] = field(default_factory=_none)
    """(step, what) to the reason."""
    fasteners: Mapping[str, FastenerState] = field(default_factory=_none)
    """Those that were touched; `fastener()` gives any."""
    things: Mapping[str, str] = field(default_factory=_none)
    """Parts, connections, fluids, covers, marks, supports that were touched: `sort:id` to how they stand."""
    acted: frozenset[tuple[str, str, str]] = frozenset()
    """(step, verb, thing) of every action done."""
    torques: tuple[TorqueRecord, ...] = ()
    readings: Mapping[str, tuple[ReadingRecord, ...]] = field(default_factory=_none)
    """Measure to its readings, by reading number; a later one takes the place of an earlier one."""
    decisions: Mapping[str, str] = field(default_factory=_none)
    """Measure to the option decided on."""
    notes: Mapping[int, NoteRecord] = field(default_factory=_none)
    timers: Mapping[int, TimerRecord] = field(default_factory=_none)
    """Those that run."""
    bolting: str = ""
    """The set that is being worked through bolt by bolt."""
    bolting_then: str = ""
    """`done` where the step is to be completed after that set."""
    accepted: Mapping[str, str] = field(default_factory=_none)
    """Open item to the reason it was accepted."""
    person: str = ""
    people: tuple[str, ...] = ()
    """Everyone who said their name, in order."""
    handed_over: bool = False
    """A hand-over was said, and nobody has worked since."""
    wrench: Wrench = field(default_factory=Wrench)
    question: Question | None = None
    verbosity: str = ""
    """terse | normal | full, as somebody asked for it in this job; empty where nobody did."""
    asleep: bool = False
    rest: tuple[str, ...] = field(default=(), compare=False)
    """What "more" goes on with."""
    subject: str = field(default="", compare=False)
    """The fastener that the last answer was about; empty where it was about none."""
    clock: Clock = field(default_factory=Clock)

    # -- reading it ----------------------------------------------------------

    @property
    def the_card(self) -> Card:
        return self.plan.card

    @property
    def paused(self) -> bool:
        return self.clock.paused is not None

    def history(self) -> Iterator[Event]:
        """The events that count, last first; those taken back are not among them."""
        return self.past.back() if self.past else iter(())

    @property
    def place(self) -> Place | None:
        """The present step on the card; None before the first."""
        return self.plan.by_id.get(self.at)

    @property
    def path(self) -> tuple[Place, ...]:
        """The steps that apply to this vehicle, as far as is known."""
        return self.plan.path(self.facts)

    def fastener(self, thing: str) -> FastenerState:
        """How a set stands, touched or not."""
        if thing in self.fasteners:
            return self.fasteners[thing]
        count = max(1, self.plan.fastener(thing).count)
        return FastenerState(0, out=count) if self.plan.fastener_begins_out(thing) else FastenerState(count)

    def standing(self, sort: str, thing: str) -> str:
        """How a part, connection, fluid, cover, mark or support stands, touched or not."""
        return self.things.get(f"{sort}:{thing}") or self.plan.at_rest(sort, thing)

    def is_on(self, part: str) -> bool:
        """True where the part, or a new one in its place, is on the vehicle."""
        if self.standing("part", part) == "on":
            return True
        return any(self.standing("part", other) == "on" for other in self.plan.in_place_of.get(part, ()))

    def is_settled(self, step: str) -> bool:
        """True for a step done or skipped."""
        return step in self.steps
