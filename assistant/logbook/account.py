"""What a job's account holds: one small record a line of the report."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from assistant.logbook.says import torqued_says
from assistant.logbook.store import JobSummary


@dataclass(frozen=True, slots=True)
class StepLine:
    number: int
    """As it is spoken."""
    id: str
    section: str
    says: str
    how: str
    """done | skipped | left | now"""
    by: str
    at: datetime | None
    worked_s: float
    usual_s: float | None
    reason: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SectionLine:
    name: str
    done: int
    skipped: int
    steps: int
    worked_s: float
    usual_s: float | None
    """Of the steps that apply and name a usual time; None where none does."""


@dataclass(frozen=True, slots=True)
class TorqueLine:
    fastener: str
    """Name, as the card has it."""
    thing: str
    size: str
    """"M10x1.25, 10.9"; empty where the card gives none."""
    count: int
    bolt: int | None
    value: Decimal
    unit: str
    limit: str
    """What the card asks for, in its own unit."""
    passes: str
    order: str
    tool: str
    calibration: str
    """in date | due soon | due | not known; empty where no such tool is named"""
    adapter: str
    verdict: str
    reason: str
    by: str
    at: datetime
    step: int | None
    seq: int
    angle_deg: Decimal | None
    """Turned on by so much after the torque, as it was said."""

    @property
    def reached(self) -> str:
        """Torque and angle: "60 N·m + 60°"."""
        return torqued_says(self.value, self.unit, self.angle_deg)


@dataclass(frozen=True, slots=True)
class ReadingLine:
    measure: str
    thing: str
    reading: int
    of: int
    value: Decimal
    unit: str
    low: Decimal | None
    high: Decimal | None
    limit_unit: str
    nominal: Decimal | None
    uncertainty: Decimal | None
    verdict: str
    replaced: bool
    """Measured again later: shown, and not judged by."""
    in_limit_unit: Decimal
    """The value in `limit_unit`, for drawing it beside its limits."""
    decision: str
    by: str
    at: datetime
    step: int | None
    seq: int


@dataclass(frozen=True, slots=True)
class NoteLine:
    text: str
    sort: str
    about: str
    by: str
    at: datetime
    step: int | None
    seq: int
    clips: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DepartureLine:
    """A step skipped, or something asked for that was overridden."""

    step: int | None
    says: str
    what: str
    """skipped, or what was overridden: hold, support, lift, torque, measure, check"""
    reason: str
    by: str
    at: datetime
    seq: int


@dataclass(frozen=True, slots=True)
class OpenLine:
    id: str
    name: str
    says: str
    blocks: bool
    reason: str


@dataclass(frozen=True, slots=True)
class FollowUpLine:
    says: str
    due: str
    """ "after 100 km", "on 5 March 2026, 14:00"; both where the card gives both."""


@dataclass(frozen=True, slots=True)
class Account:
    job: JobSummary
    title: str
    notice: str
    maker: str
    about_vehicle: str
    facts: tuple[tuple[str, str], ...]
    """Question, answer."""
    ended: datetime | None
    worked_s: float
    finished: bool
    paused: bool
    sections: tuple[SectionLine, ...]
    steps: tuple[StepLine, ...]
    torques: tuple[TorqueLine, ...]
    readings: tuple[ReadingLine, ...]
    notes: tuple[NoteLine, ...]
    departures: tuple[DepartureLine, ...]
    open: tuple[OpenLine, ...]
    accepted: tuple[OpenLine, ...]
    follow_ups: tuple[FollowUpLine, ...]
    cautions: tuple[str, ...]
    taken_back: int
    """Entries that were withdrawn; they are in the log and not in this account."""
    misfits: tuple[tuple[int, str], ...]
    """Events that this version's rules do not accept, with the reason: shown, never dropped silently."""

    @property
    def standing(self) -> str:
        """One line: finished, finished with so many accepted items, or what it still lacks."""
        if not self.finished:
            n = sum(1 for line in self.open if line.blocks)
            return f"Not finished: {n} open item{'s' if n != 1 else ''}" if n else "Not finished"
        n = len(self.accepted)
        return f"Finished with {n} open item{'s' if n != 1 else ''} accepted" if n else "Finished"
