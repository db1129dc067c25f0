"""The report as PDF, A4 or Letter, archival (PDF/A) and readable by screen readers, set by typst.

Typst comes as a wheel with its own fonts, so it looks the same everywhere and needs no package of the system. What
was spoken or typed goes in as values, never as markup.
"""

from __future__ import annotations

import json
from datetime import datetime, tzinfo
from typing import Any

import typst

from assistant.logbook.account import Account
from assistant.logbook.errors import LogbookError
from assistant.logbook.hours import clock_says
from assistant.logbook.report import TEMPLATES, grouped, hours_of, limit_says, strays, verdict_says
from assistant.logbook.says import figure

PAPERS = {"a4": "a4", "letter": "us-letter"}


def as_pdf(told: Account, *, paper: str = "a4", zone: tzinfo | None = None) -> bytes:
    """Raises LogbookError for a paper that is not known."""
    if paper.lower() not in PAPERS:
        raise LogbookError(f"No such paper: {paper}. There are a4 and letter.")
    values = _values(told, zone) | {"paper": PAPERS[paper.lower()]}
    try:
        made = typst.compile(
            str(TEMPLATES / "report.typ"),
            root=str(TEMPLATES),
            format="pdf",
            sys_inputs={"values": json.dumps(values, ensure_ascii=False)},
            ignore_system_fonts=True,
            pdf_standards=["a-2a"],
            timestamp=int((told.ended or told.job.last_at).timestamp()),
        )
    except typst.TypstError as fault:
        raise LogbookError(f"The PDF of job {told.job.name} could not be set: {fault}") from fault
    assert isinstance(made, bytes)
    return made


def _values(told: Account, zone: tzinfo | None) -> dict[str, Any]:
    job = told.job

    def day(at: datetime) -> str:
        local = at.astimezone(zone)
        return f"{local.day} {local:%B %Y, %H:%M} {local:%Z}"

    hour = hours_of(told, zone)

    def when(by: str, at: datetime, step: int | None) -> list[str]:
        return [*([by] if by else []), hour(at) + (f", step {step}" if step else "")]

    longest = max((s.worked_s for s in told.sections), default=0.0) or 1.0
    return {
        "title": told.title,
        "vehicle": job.vehicle or "vehicle not named",
        "job": job.name,
        "standing": told.standing,
        "tone": "bad" if not told.finished else "warn" if told.accepted else "good",
        "notice": told.notice,
        "facts": [
            ["Vehicle", job.vehicle or "-"],
            ["Kind of vehicle on the card", told.about_vehicle],
            ["Maker on the card", told.maker],
            ["Card", f"{job.card}, revision {job.revision}"],
            ["People", ", ".join(job.people) or "nobody gave a name"],
            ["Begun", day(job.started)],
            ["Closed" if told.finished else "Last entry", day(told.ended or job.last_at)],
            ["Worked (pauses out)", clock_says(told.worked_s)],
            *([question, answer] for question, answer in told.facts),
        ],
        "strays": [[s.name, s.read, s.asked, s.says, s.after] for s in strays(told)],
        "open": [[o.name, o.says, o.reason] for o in told.open if o.blocks],
        "doubt": [[o.name, o.says, o.reason] for o in told.open if not o.blocks],
        "accepted": [[o.name, o.says, o.reason] for o in told.accepted],
        "follow_ups": [[f.says, f.due] for f in told.follow_ups],
        "torques": [
            {
                "fastener": t.fastener + (f", no. {t.bolt}" if t.bolt else ""),
                "size": f"{t.count} × {t.size or 'size not given'}",
                "value": t.reached,
                "asked": t.limit or "-",
                "order": [x for x in (t.order or "-", t.passes) if x],
                "tool": [t.tool or "not named"]
                + [x for x in (f"calibration {t.calibration}" if t.calibration else "", t.adapter) if x],
                "verdict": t.verdict,
                "says": verdict_says(t.verdict),
                "reason": t.reason,
                "when": when(t.by, t.at, t.step),
            }
            for t in told.torques
        ],
        "readings": [
            {
                "measure": g.name,
                "decision": g.readings[-1].decision,
                "values": ", ".join(figure(r.value) for r in g.readings if not r.replaced) + f" {g.readings[-1].unit}",
                "before": ", ".join(figure(r.value) for r in g.readings if r.replaced),
                "limit": limit_says(g.readings[-1]) or "-",
                "drawing": g.drawing,
                "verdict": g.verdict,
                "says": verdict_says(g.verdict),
                "when": when(g.readings[-1].by, g.readings[-1].at, g.readings[-1].step),
            }
            for g in grouped(told.readings)
        ],
        "departures": [
            [str(d.step or "-"), d.says, _departed(d.what), d.reason, f"{d.by} {hour(d.at)}"] for d in told.departures
        ],
        "notes": [[hour(n.at), _SORTS.get(n.sort, ""), n.text, n.about, n.by] for n in told.notes],
        "sections": [
            {
                "name": s.name,
                "steps": f"{s.done} of {s.steps} done" + (f", {s.skipped} skipped" if s.skipped else ""),
                "worked": clock_says(s.worked_s),
                "usual": clock_says(s.usual_s) if s.usual_s is not None else "-",
                "share": s.worked_s / longest,
            }
            for s in told.sections
        ],
        "steps": [
            [str(s.number), s.says, s.how, f"{s.by} {hour(s.at) if s.at else ''}".strip(), s.reason] for s in told.steps
        ],
        "cautions": list(told.cautions),
        "events": job.events,
        "taken_back": told.taken_back,
        "last_hash": job.last_hash,
        "card_sha256": job.card_sha256[:16],
        "misfits": [f"entry {seq}: {why}" for seq, why in told.misfits[:5]],
    }


_SORTS = {"part-to-order": "Part to order", "fault": "Fault found"}


def _departed(what: str) -> str:
    return what if what == "skipped" else f"{what} overridden"
