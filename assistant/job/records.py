"""What the state of a job is made of: one small frozen record a thing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class StepState:
    """How a step was left."""

    how: str
    """done | skipped"""
    by: str
    at: datetime
    seq: int
    reason: str = ""
    """For skipped."""


@dataclass(frozen=True, slots=True)
class TorqueRecord:
    """A torque that was said to be reached."""

    fastener: str
    value: Decimal
    unit: str
    bolt: int | None
    verdict: str
    """inside | outside"""
    reason: str
    tool: str
    adapter: str
    by: str
    at: datetime
    seq: int
    angle_deg: Decimal | None = None


@dataclass(frozen=True, slots=True)
class FastenerState:
    """A set of fasteners, counted by how each stands; tight + loose + started + snug + out make up the set."""

    tight: int
    """In, as far as is known: not touched yet, or tightened."""
    loose: int = 0
    """Broken loose, still in."""
    started: int = 0
    """In by hand, a few threads."""
    snug: int = 0
    """In by hand to the stop, or in a pass before the last."""
    out: int = 0
    disturbed: bool = False
    """Loosened, taken out or put in during this job."""
    at_value: frozenset[int] = frozenset()
    """Positions that reached their value since the set was last disturbed."""
    whole: bool = False
    """The whole set was said to have reached its value since then."""
    bolts: tuple[tuple[int, int], ...] = ()
    """Bolt by bolt: (pass, position) in the order done, since the set was last loosened."""

    @property
    def count(self) -> int:
        return self.tight + self.loose + self.started + self.snug + self.out

    @property
    def reached(self) -> bool:
        """True where every one of the set reached its value since it was last disturbed."""
        return self.whole or (self.count > 0 and len(self.at_value) >= self.count)


@dataclass(frozen=True, slots=True)
class ReadingRecord:
    """One reading of a measure."""

    value: Decimal
    unit: str
    verdict: str
    """inside | outside | too-close | no-limit"""
    reading: int
    by: str
    at: datetime
    seq: int


@dataclass(frozen=True, slots=True)
class NoteRecord:
    text: str
    sort: str
    """note | part-to-order | fault"""
    about: str
    """Thing id, or empty."""
    step: str
    by: str
    at: datetime
    seq: int
    clips: tuple[str, ...] = ()
    """Of the note and of each part that went on from it."""
    parts: tuple[int, ...] = ()
    """seqs of the events that went on from it."""


@dataclass(frozen=True, slots=True)
class TimerRecord:
    seq: int
    ends: datetime
    seconds: int
    label: str


@dataclass(frozen=True, slots=True)
class Question:
    """The question that stands open."""

    name: str
    about: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Wrench:
    """What the torque is applied with."""

    tool: str = ""
    adapter_mm: Decimal | None = None
    """Centre to centre; None without an adapter."""
    angle_deg: Decimal = Decimal(0)
    wrench_mm: Decimal | None = None
    """Grip to square drive; None where nobody said."""


@dataclass(frozen=True, slots=True)
class Clock:
    """Time worked; pauses, and times when the tool was off, are out."""

    started: datetime | None = None
    last: datetime | None = None
    """Of the last event."""
    paused: datetime | None = None
    """Since when; None while work goes on."""
    worked: Mapping[str, float] = field(default_factory=dict)
    """Section id to seconds; what came before the first step is under ""."""
