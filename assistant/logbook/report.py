"""The report of one job: HTML, PDF, CSV or JSON, by the name of the file that is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from pathlib import Path

from assistant.job.events import Event
from assistant.logbook.account import ReadingLine
from assistant.logbook.errors import LogbookError, in_plain_words
from assistant.logbook.plot import plot
from assistant.logbook.says import VERDICT_SAYS
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
