"""What can happen in a job: each event a small frozen dataclass, and the envelope it is logged in.

The logbook stores these and nothing else; the state of a job is the fold of them (`job.state.apply`).
Values are Decimal with the unit that was said; times are aware UTC datetimes in the envelope only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cache


@dataclass(frozen=True, slots=True)
class Body:
    """Base of all event bodies. `kind` in the log is the class name in kebab-case."""


@dataclass(frozen=True, slots=True)
class JobStarted(Body):
    card: str
    revision: str
    card_sha256: str
    """Of the card file's bytes; the text itself is kept by the logbook."""
    title: str
    vehicle: str = ""
    """Which vehicle, as the person names it (plate, order number)."""
    file: str = ""
    """Where the card lay, absolute, so that a change to it is noticed; empty for a card that comes with the tool."""


@dataclass(frozen=True, slots=True)
class Said(Body):
    """One utterance or typed line, and what was answered. Every one is logged, acted on or not."""

    heard: str
    """The phrase as understood, or the free reading where it was not."""
    free: str
    request: str
    """Request name; empty where there is none."""
    slots: Mapping[str, str]
    decision: str
    """act, confirm, again, ignore; `typed` for typed lines."""
    score: float | None
    margin: float | None
    reply: str
    clip: str = ""
    """SHA-256 of the sound clip, hex; empty where none was kept."""
    rest: tuple[str, ...] = ()
    """What "more" goes on with after this answer."""
    subject: str = ""
    """The fastener that the answer was about; "it" and "these" after it."""


@dataclass(frozen=True, slots=True)
class Answered(Body):
    """The assistant spoke of itself: a timer rang, the microphone was lost, the job went quiet."""

    reply: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class FactSet(Body):
    fact: str
    option: str


@dataclass(frozen=True, slots=True)
class StepStarted(Body):
    step: str


@dataclass(frozen=True, slots=True)
class StepDone(Body):
    step: str


@dataclass(frozen=True, slots=True)
class StepSkipped(Body):
    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class Confirmed(Body):
    """A hold or a step's check was answered with yes."""

    step: str
    what: str
    """hold | check | lift"""
    by: str = ""
    """Name of who confirmed, where the card asks for a second person or the foreman (logs of old hold
    `second-person` or `foreman`); empty: the speaker."""


@dataclass(frozen=True, slots=True)
class Overridden(Body):
    step: str
    what: str
    """hold | support | lift | torque | measure | check | action (what cannot be done is left undone)"""
    reason: str
    by: str = ""
    """Who allowed it, where the card asks for a second person or the foreman; empty: the speaker."""


@dataclass(frozen=True, slots=True)
class ActionDone(Body):
    """A thing on the card was acted on: verb (as in card.model.VERBS), thing id, how many."""

    verb: str
    thing: str
    count: int | None = None
    """Fasteners: how many; None means all of them."""
    quantity: Decimal | None = None
    unit: str = ""
    """For fill: how much went in."""
    pass_no: int | None = None
    """For tighten: this pass only, 1-based; None for the whole of it."""


@dataclass(frozen=True, slots=True)
class BoltsStarted(Body):
    """Bolt by bolt through a set begins (or begins again)."""

    fastener: str
    then: str = ""
    """`done` where the step is to be completed after it."""


@dataclass(frozen=True, slots=True)
class BoltsStopped(Body):
    """Bolt by bolt was left, finished or not; what was counted stays."""

    fastener: str


@dataclass(frozen=True, slots=True)
class BoltDone(Body):
    """Bolt by bolt: one position in one pass (both 1-based)."""

    fastener: str
    position: int
    pass_no: int


@dataclass(frozen=True, slots=True)
class Torqued(Body):
    """A set (or one bolt of it) reached its torque."""

    fastener: str
    value: Decimal
    unit: str
    tool: str = ""
    bolt: int | None = None
    verdict: str = "inside"
    """inside | outside (kept with a reason)"""
    reason: str = ""
    adapter: str = ""
    """Adapter in use, as said, and the wrench setting it led to."""
    angle_deg: Decimal | None = None
    """Further turn after the torque, degrees, where the card asks for one."""


@dataclass(frozen=True, slots=True)
class Measured(Body):
    measure: str
    value: Decimal
    unit: str
    """As said; converted for the verdict."""
    verdict: str
    """inside | outside | too-close | no-limit"""
    reading: int = 1
    """1-based, where several are taken."""


@dataclass(frozen=True, slots=True)
class Decided(Body):
    """A decision after a reading out of limits."""

    measure: str
    option: str


@dataclass(frozen=True, slots=True)
class Noted(Body):
    text: str
    sort: str = "note"
    """note | part-to-order | fault"""
    about: str = ""
    """Thing id on the card, or empty."""
    continues: int | None = None
    """seq of the note that this one goes on."""
    clip: str = ""


@dataclass(frozen=True, slots=True)
class TimerSet(Body):
    seconds: int
    label: str = ""


@dataclass(frozen=True, slots=True)
class TimerEnded(Body):
    timer: int
    """seq of the TimerSet."""
    how: str
    """rang | cancelled"""


@dataclass(frozen=True, slots=True)
class Asked(Body):
    """A question to the person stands open, until the next Asked; an empty name says that none does.

    Kept in the log so that a question survives a power cut.
    """

    question: str
    """As in dialogue.pending, such as `hold`, `torque-value`."""
    about: Mapping[str, str]
    """What it is about: step, fastener, value, ..."""


@dataclass(frozen=True, slots=True)
class Paused(Body):
    """Work stops: a break, the end of a shift."""


@dataclass(frozen=True, slots=True)
class Resumed(Body):
    """Work goes on after a pause."""


@dataclass(frozen=True, slots=True)
class Reopened(Body):
    """The tool was started again on this job; the time since the event before was not worked."""


@dataclass(frozen=True, slots=True)
class PersonChanged(Body):
    name: str


@dataclass(frozen=True, slots=True)
class VerbositySet(Body):
    """How much the person wants to be told, from now on and after a restart."""

    verbosity: str
    """terse | normal | full"""


@dataclass(frozen=True, slots=True)
class SleepSet(Body):
    """The assistant was sent to sleep, or woken."""

    asleep: bool


@dataclass(frozen=True, slots=True)
class HandedOver(Body):
    summary: str


@dataclass(frozen=True, slots=True)
class AdapterSet(Body):
    length_mm: Decimal | None
    """Centre to centre; None: no adapter any more."""
    angle_deg: Decimal = Decimal(0)
    wrench_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ToolChosen(Body):
    tool: str


@dataclass(frozen=True, slots=True)
class ItemClosed(Body):
    """An open item was closed by word ("the rear cap is out")."""

    item: str
    """`kind:thing`, as job.open_items names it."""


@dataclass(frozen=True, slots=True)
class ItemAccepted(Body):
    item: str
    reason: str


@dataclass(frozen=True, slots=True)
class FinishRefused(Body):
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finished(Body):
    """The job is closed; only what is said is logged after it."""


@dataclass(frozen=True, slots=True)
class Withdrawn(Body):
    """Takes back an earlier event as if it had never been."""

    seqs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ClipsForgotten(Body):
    """Sound clips were removed by retention; their hashes stay."""

    clips: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Event:
    """One row of the log."""

    seq: int
    """1, 2, 3 ... within the job."""
    at: datetime
    """Aware, UTC."""
    person: str
    """Who spoke; empty before anyone said."""
    step: str
    """The card step at that moment; empty before the first."""
    body: Body
    group: int = 0
    """seq of the Said event that this one follows from; 0 for none."""


def kind_of(body: Body) -> str:
    """Kebab-case name of the body's class: JobStarted -> "job-started"."""
    return _kebab(type(body).__name__)


@cache
def _kebab(name: str) -> str:
    return "".join(f"-{c.lower()}" if c.isupper() and i else c.lower() for i, c in enumerate(name))
