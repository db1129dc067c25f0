"""The report of one job: HTML, PDF, CSV or JSON, by the name of the file that is asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path

from assistant.job.events import Event
from assistant.logbook.account import Account, ReadingLine
from assistant.logbook.errors import LogbookError, in_plain_words
from assistant.logbook.plot import plot
from assistant.logbook.says import VERDICT_SAYS, figure
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.tables import as_csv, as_json
from assistant.logbook.tell import account

FORMATS = ("html", "pdf", "csv", "json")
TEMPLATES = Path(__file__).with_name("templates")
SCHEMA = TEMPLATES / "report.schema.json"
"""JSON Schema of the JSON report."""


@dataclass(frozen=True, slots=True)
class MeasureGroup:
    """All readings of one measure, in order."""

    name: str
    readings: tuple[ReadingLine, ...]
    verdict: str
    """The worst of those that count."""
    drawing: str
    """SVG; empty where there is no limit."""


def grouped(readings: Sequence[ReadingLine]) -> list[MeasureGroup]:
    """Readings by measure, in the order of the first of each."""
    groups = []
    for thing in dict.fromkeys(r.thing for r in readings):
        mine = tuple(r for r in readings if r.thing == thing)
        verdicts = [r.verdict for r in mine if not r.replaced]
        worst = next(v for v in ("outside", "too-close", "no-limit", "inside") if v in verdicts)
        groups.append(MeasureGroup(mine[0].measure, mine, worst, plot(mine)))
    return groups


@dataclass(frozen=True, slots=True)
class Stray:
    """A torque or a measure that is not inside its limits, and what was done about it."""

    name: str
    read: str
    asked: str
    """Empty where the card gives no limit."""
    says: str
    after: str
    """The decision or the reason, as a sentence; empty where there is none."""


def strays(told: Account) -> list[Stray]:
    """What whoever reads the report must see first: values outside their limits, or too close to them to tell."""
    torques = [
        Stray(
            t.fastener + (f", no. {t.bolt}" if t.bolt else ""), t.reached, t.limit, verdict_says(t.verdict),
            f"Kept: {t.reason}" if t.reason else "",
        )
        for t in told.torques
        if t.verdict in ("outside", "too-close")
    ]  # fmt: skip
    readings = []
    for group in grouped(told.readings):
        if group.verdict in ("outside", "too-close"):
            last = group.readings[-1]
            read = ", ".join(figure(r.value) for r in group.readings if not r.replaced)
            decided = next((r.decision for r in reversed(group.readings) if r.decision), "")
            after = f"Decided: {decided}" if decided else "Nothing decided"
            readings.append(
                Stray(group.name, f"{read} {last.unit}", limit_says(last), verdict_says(group.verdict), after)
            )
    return torques + readings


def limit_says(reading: ReadingLine) -> str:
    """ "at most 0.15 mm", "14.95 to 15 mm"; empty where there is no limit."""
    low, high, unit = reading.low, reading.high, reading.limit_unit
    if low is not None and high is not None:
        return f"{figure(low)} to {figure(high)} {unit}"
    if high is not None:
        return f"at most {figure(high)} {unit}"
    return f"at least {figure(low)} {unit}" if low is not None else ""


def hours_of(told: Account, zone: tzinfo | None) -> Callable[[datetime], str]:
    """How the report tells a time: by the hour alone where the job began and ended on one day, else with its day."""
    last = told.ended or told.job.last_at
    one_day = told.job.started.astimezone(zone).date() == last.astimezone(zone).date()

    def hour(at: datetime) -> str:
        local = at.astimezone(zone)
        return f"{local:%H:%M}" if one_day else f"{local.day} {local:%b %H:%M}"

    return hour


def write_report(
    logbook: Logbook,
    job: JobSummary,
    target: Path,
    *,
    paper: str = "a4",
    sound: bool = False,
    zone: tzinfo | None = None,
    overwrite: bool = True,
) -> list[Path]:
    """Writes the report under `target`; its suffix says which format. CSV makes three files (-torques, -readings,
    -times). `paper`: a4 or letter, for PDF. `sound`: HTML carries the clips. Times are told in `zone` (None: here).

    Gives the files written. Raises LogbookError; nothing half written is left.
    """
    kind = target.suffix.lstrip(".").lower()
    if kind not in FORMATS:
        raise LogbookError(f"{target.name}: a report ends in .html, .pdf, .csv or .json.")
    told = account(logbook, job)
    made: dict[Path, bytes]
    if kind == "json":
        made = {target: as_json(told).encode()}
    elif kind == "csv":
        made = {
            target.with_name(f"{target.stem}-{name}.csv"): text.encode("utf-8-sig")
            for name, text in as_csv(told).items()
        }
    elif kind == "html":
        from assistant.logbook.report_html import as_html

        events: Sequence[Event] = logbook.events(job.name)
        made = {target: as_html(told, events, zone=zone, clip=logbook.clip if sound else None).encode()}
    else:
        from assistant.logbook.report_pdf import as_pdf

        made = {target: as_pdf(told, paper=paper, zone=zone)}
    for path, content in made.items():
        if path.exists() and not overwrite:
            raise LogbookError(f"{path} is there already: name another file.")
        _write(path, content)
    return list(made)


def _write(path: Path, content: bytes) -> None:
    partial = path.with_name(f".{path.name}.part")
    with in_plain_words(path):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            partial.write_bytes(content)
            partial.replace(path)
        finally:
            partial.unlink(missing_ok=True)


def verdict_says(verdict: str) -> str:
    return VERDICT_SAYS.get(verdict, verdict)
