"""What the foreman's pages show: jobs, a timeline, torques across jobs, times of jobs by one card. Reads only."""

from __future__ import annotations

import json
import statistics
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from assistant.board.bay_view import sureness
from assistant.job.events import Answered, Event, Said, Torqued, Withdrawn
from assistant.job.plan import Plan
from assistant.logbook.errors import LogbookError
from assistant.logbook.holder import Holder
from assistant.logbook.hours import step_seconds
from assistant.logbook.rows import as_event, job_of, row_id
from assistant.logbook.says import figure, torque_says, torqued_says
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.tell import card_of
from assistant.logbook.words import Names, in_words, sort_of

PER_PAGE = 100
LINES_PER_PAGE = 400
COMPARED = 8
"""Jobs side by side on the page of times."""


class Plans:
    """Cards by their hash, read once each; a card that cannot be read is None."""

    def __init__(self) -> None:
        self._plans: dict[str, Plan | None] = {}

    def of(self, logbook: Logbook, job: JobSummary) -> Plan | None:
        if job.card_sha256 not in self._plans:
            if len(self._plans) >= 40:
                self._plans.pop(next(iter(self._plans)))
            try:
                self._plans[job.card_sha256] = Plan(card_of(logbook, job))
            except LogbookError:
                self._plans[job.card_sha256] = None
        return self._plans[job.card_sha256]


def names_of(plan: Plan | None) -> Names:
    """Ids in words; a step by its number."""
    if plan is None:
        return lambda thing: thing.replace("-", " ")
    return lambda thing: f"step {plan.by_id[thing].number}" if thing in plan.by_id else plan.name_of(thing)


# -- jobs ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class JobLine:
    job: JobSummary
    holder: Holder | None
    stands: str
    """being worked | open | closed"""


def job_lines(logbook: Logbook, words: str = "", page: int = 1) -> tuple[list[JobLine], int]:
    """One page of the jobs that hold all the words in name, vehicle, title or people; and how many there are."""
    wanted = words.casefold().split()
    found = [
        job
        for job in logbook.jobs()
        if all(w in f"{job.name} {job.vehicle} {job.title} {' '.join(job.people)}".casefold() for w in wanted)
    ]
    lines = []
    for job in found[(page - 1) * PER_PAGE : page * PER_PAGE]:
        holder = None if job.finished else logbook.holder(job.name)
        lines.append(JobLine(job, holder, "being worked" if holder else "closed" if job.finished else "open"))
    return lines, len(found)


# -- timeline ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TimeLine:
    seq: int
    at: datetime
    sort: str
    who: str
    words: str
    reply: str
    marks: int
    sure: str
    has_clip: bool
    taken_back: bool
    step: str
    """Number of the step, where it changed with this line; empty else."""
    step_says: str
    """The step itself, with the number; empty where the card cannot be read."""


ONLY = {
    "talk": ("heard", "spoken"),
    "values": ("torque", "reading"),
    "notes": ("note",),
    "overrides": ("override",),
}
"""What the timeline can be narrowed to."""


def timeline(
    events: Collection[Event], plan: Plan | None, *, only: str = "", page: int = 1, at: int = 0
) -> tuple[list[TimeLine], int, int]:
    """One page of the job's lines, its number, and how many lines there are. Steps begun and deeds are told;
    bookkeeping is not. `at`: the page that holds that event, whatever `page` says."""
    name = names_of(plan)
    gone = {seq for e in events if isinstance(e.body, Withdrawn) for seq in e.body.seqs}
    lines: list[TimeLine] = []
    step = ""
    for event in events:
        sort, words = sort_of(event.body), in_words(event, name)
        if not words or (only and sort not in ONLY[only]):
            continue
        body = event.body
        marks, sure = sureness(body) if isinstance(body, Said) else (0, "")
        number = name(event.step).removeprefix("step ") if event.step else ""
        lines.append(
            TimeLine(
                seq=event.seq,
                at=event.at,
                sort=sort,
                who=_speaker(event),
                words=words,
                reply=body.reply if isinstance(body, Said) else "",
                marks=marks,
                sure=sure,
                has_clip=bool(getattr(body, "clip", "")) and (isinstance(body, Said) or event.group == 0),
                taken_back=event.seq in gone,
                step=number if number != step else "",
                step_says=_step_says(plan, event.step) if number != step else "",
            )
        )
        step = number or step
    if at:
        page = 1 + sum(line.seq < at for line in lines) // LINES_PER_PAGE
    start = (page - 1) * LINES_PER_PAGE
    return lines[start : start + LINES_PER_PAGE], page, len(lines)


def _step_says(plan: Plan | None, step: str) -> str:
    return plan.by_id[step].step.say if plan is not None and step in plan.by_id else ""


def _speaker(event: Event) -> str:
    """Empty for what was only written down."""
    if isinstance(event.body, Said):
        return event.person or "unnamed"
    return "bay" if isinstance(event.body, Answered) else ""


# -- torques across jobs ---------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TorqueRow:
    job: JobSummary
    fastener: str
    value: Decimal
    unit: str
    asked: str
    verdict: str
    reason: str
    tool: str
    by: str
    at: datetime
    seq: int
    bolt: int | None
    angle_deg: Decimal | None

    @property
    def reached(self) -> str:
        """Torque and angle: "60 N·m + 60°"."""
        return torqued_says(self.value, self.unit, self.angle_deg)


@dataclass(frozen=True, slots=True)
class TorqueGroup:
    """All that was logged of one set of fasteners of one card, in one unit."""

    card: str
    fastener: str
    asked: str
    rows: tuple[TorqueRow, ...]

    @property
    def spread(self) -> str:
        values = [r.value for r in self.rows]
        unit = self.rows[0].unit
        low, high = min(values), max(values)
        return f"{figure(low)} {unit}" if low == high else f"{figure(low)} to {figure(high)} {unit}"

    @property
    def jobs(self) -> int:
        return len({r.job.name for r in self.rows})


def torque_groups(logbook: Logbook, plans: Plans, words: str = "", limit: int = 600) -> list[TorqueGroup]:
    """The newest `limit` torques that stand, grouped; those whose fastener, vehicle or card holds all the words."""
    jobs = {job.number: job for job in logbook.jobs()}
    wanted = words.casefold().split()
    rows: list[TorqueRow] = []
    taken_back: dict[int, set[int]] = {}
    connection = logbook.reader()
    try:
        cursor = connection.execute(
            "SELECT id, at, person, step, kind, body, said, hash FROM event WHERE kind = 'torqued' "
            "AND kind IN ('torqued', 'measured') ORDER BY id DESC"
        )
        for found in cursor:
            job = jobs.get(job_of(found[0]))
            if job is None:
                continue
            event = as_event(found)
            body = event.body
            assert isinstance(body, Torqued)
            plan = plans.of(logbook, job)
            name = plan.name_of(body.fastener) if plan else body.fastener.replace("-", " ")
            if any(w not in f"{name} {job.vehicle} {job.title}".casefold() for w in wanted):
                continue
            if job.number not in taken_back:
                taken_back[job.number] = _taken_back(logbook, job)
            if event.seq in taken_back[job.number]:
                continue
            fastener = plan.card.fasteners.get(body.fastener) if plan else None
            asked = torque_says(fastener.torque) if fastener and fastener.torque else ""
            tool = plan.name_of(body.tool) if plan and body.tool else body.tool
            rows.append(
                TorqueRow(
                    job, name, body.value, body.unit, asked, body.verdict, body.reason, tool, event.person, event.at,
                    event.seq, body.bolt, body.angle_deg,
                )
            )  # fmt: skip
            if len(rows) >= limit:
                break
    finally:
        connection.close()
    groups: dict[tuple[str, str, str, str], list[TorqueRow]] = {}
    for row in rows:
        groups.setdefault((row.job.title, row.fastener, row.asked, row.unit), []).append(row)
    return [TorqueGroup(card, fastener, asked, tuple(mine)) for (card, fastener, asked, _), mine in groups.items()]


def _taken_back(logbook: Logbook, job: JobSummary) -> set[int]:
    connection = logbook.reader()
    try:
        found = connection.execute(
            "SELECT body FROM event WHERE id BETWEEN ? AND ? AND kind = 'withdrawn'",
            (row_id(job.number, 0), row_id(job.number, 0xFFFF_FFFF)),
        ).fetchall()
    finally:
        connection.close()
    return {seq for (body,) in found for seq in json.loads(body).get("seqs", ())}


# -- times of the same card --------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TimeRow:
    says: str
    number: int | None
    """Of the step; None for a section's sum."""
    usual_s: float | None
    median_s: float
    seconds: tuple[float | None, ...]
    """One a job, as `TimeTable.jobs`; None where the step was not worked."""


@dataclass(frozen=True, slots=True)
class TimeTable:
    card: str
    title: str
    jobs: tuple[JobSummary, ...]
    rows: tuple[TimeRow, ...]


def cards_worked(logbook: Logbook) -> list[tuple[str, str, int]]:
    """Card, title, number of jobs; the one with the most jobs first."""
    count: dict[str, tuple[str, int]] = {}
    for job in logbook.jobs():
        count[job.card] = (count.get(job.card, (job.title, 0))[0], count.get(job.card, ("", 0))[1] + 1)
    return sorted(((card, title, n) for card, (title, n) in count.items()), key=lambda row: (-row[2], row[1]))


def time_table(logbook: Logbook, plans: Plans, card: str) -> TimeTable | None:
    """Times of the latest jobs by that card, steps by the newest revision; None where there is no such job."""
    jobs = [job for job in logbook.jobs() if job.card == card][:COMPARED]
    plan = next((p for p in (plans.of(logbook, job) for job in jobs) if p is not None), None)
    if not jobs or plan is None:
        return None
    jobs.sort(key=lambda job: job.started)
    spent = [step_seconds(logbook.each_event(job)) for job in jobs]
    rows: list[TimeRow] = []
    for section in plan.card.sections:
        steps = [p for p in plan.places if p.section is section]
        mine = [_row(p.step.say, p.number, _usual(p.step.minutes), [s.get(p.step.id) for s in spent]) for p in steps]
        sums = [sum(v for row in mine if (v := row.seconds[n]) is not None) or None for n in range(len(jobs))]
        usual = [r.usual_s for r in mine if r.usual_s is not None]
        rows.append(_row(section.name, None, sum(usual) if usual else None, sums))
        rows += mine
    return TimeTable(card, plan.card.title, tuple(jobs), tuple(rows))


def _usual(minutes: Decimal | None) -> float | None:
    return float(minutes) * 60 if minutes is not None else None


def _row(says: str, number: int | None, usual_s: float | None, seconds: list[float | None]) -> TimeRow:
    worked = [s for s in seconds if s]
    return TimeRow(says, number, usual_s, statistics.median(worked) if worked else 0.0, tuple(seconds))
