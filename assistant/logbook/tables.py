"""The report as tables (CSV) and as JSON, for other programs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from assistant.logbook.account import Account, ReadingLine, StepLine, TorqueLine
from assistant.logbook.says import figure


def as_csv(told: Account) -> dict[str, str]:
    """Name of table to its text: torques, readings, times. Comma, CRLF, quotes where needed (RFC 4180)."""
    return {
        "torques": _table(
            "job at step person fastener bolt value unit asked size order tool calibration adapter verdict reason seq "
            "angle_deg",
            (_torque(told, t) for t in told.torques),
        ),
        "readings": _table(
            "job at step person measure reading of value unit low high limit_unit uncertainty verdict replaced "
            "decision seq",
            (_reading(told, r) for r in told.readings),
        ),
        "times": _table(
            "job section step says how person at worked_s usual_s",
            (_time(told, s) for s in told.steps),
        ),
    }


def _torque(told: Account, t: TorqueLine) -> tuple[Any, ...]:
    return (
        told.job.name, _iso(t.at), t.step, t.by, t.fastener, t.bolt, figure(t.value), t.unit, t.limit, t.size, t.order,
        t.tool, t.calibration, t.adapter, t.verdict, t.reason, t.seq, _dec(t.angle_deg),
    )  # fmt: skip


def _reading(told: Account, r: ReadingLine) -> tuple[Any, ...]:
    return (
        told.job.name, _iso(r.at), r.step, r.by, r.measure, r.reading, r.of, figure(r.value), r.unit, _dec(r.low),
        _dec(r.high), r.limit_unit, _dec(r.uncertainty), r.verdict, "yes" if r.replaced else "", r.decision, r.seq,
    )  # fmt: skip


def _time(told: Account, s: StepLine) -> tuple[Any, ...]:
    usual = None if s.usual_s is None else round(s.usual_s)
    at = _iso(s.at) if s.at else ""
    return told.job.name, s.section, s.number, s.says, s.how, s.by, at, round(s.worked_s), usual


def _table(header: str, rows: Iterable[tuple[Any, ...]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header.split())
    for row in rows:
        writer.writerow([_cell(v) for v in row])
    return out.getvalue()


def _cell(value: Any) -> Any:
    """Words that a spreadsheet would run as a formula get an apostrophe before them."""
    if value is None:
        return ""
    if isinstance(value, str) and value[:1] in "=+-@\t\r" and value[:1]:
        return value if _is_number(value) else "'" + value
    return value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _iso(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


# -- JSON --------------------------------------------------------------------


def as_json(told: Account) -> str:
    """The report as JSON by `templates/report.schema.json`: decimals as strings, so that 65.0 stays 65.0."""
    job = told.job
    return json.dumps(
        {
            "format": "bay-report-1",
            "job": {
                "name": job.name,
                "vehicle": job.vehicle,
                "title": told.title,
                "card": job.card,
                "revision": job.revision,
                "card_sha256": job.card_sha256,
                "maker": told.maker,
                "card_vehicle": told.about_vehicle,
                "notice": told.notice,
                "people": list(job.people),
                "started": _iso(job.started),
                "ended": _iso(told.ended) if told.ended else None,
                "finished": told.finished,
                "standing": told.standing,
                "worked_s": round(told.worked_s),
                "facts": [{"question": q, "answer": a} for q, a in told.facts],
            },
            "sections": [
                {"name": s.name, "steps": s.steps, "done": s.done, "skipped": s.skipped, "worked_s": round(s.worked_s)}
                | {"usual_s": None if s.usual_s is None else round(s.usual_s)}
                for s in told.sections
            ],
            "steps": [
                {"number": s.number, "id": s.id, "section": s.section, "says": s.says, "how": s.how, "by": s.by}
                | {"at": _iso(s.at) if s.at else None, "worked_s": round(s.worked_s), "reason": s.reason}
                for s in told.steps
            ],
            "torques": [
                {"fastener": t.fastener, "id": t.thing, "bolt": t.bolt, "value": figure(t.value), "unit": t.unit}
                | {"asked": t.limit, "size": t.size, "count": t.count, "order": t.order, "tool": t.tool}
                | {"calibration": t.calibration, "adapter": t.adapter, "verdict": t.verdict, "reason": t.reason}
                | {"by": t.by, "at": _iso(t.at), "step": t.step, "seq": t.seq}
                | {"angle_deg": None if t.angle_deg is None else figure(t.angle_deg)}
                for t in told.torques
            ],
            "readings": [
                {"measure": r.measure, "id": r.thing, "reading": r.reading, "of": r.of, "value": figure(r.value)}
                | {"unit": r.unit, "low": _dec(r.low), "high": _dec(r.high), "limit_unit": r.limit_unit}
                | {"nominal": _dec(r.nominal), "uncertainty": _dec(r.uncertainty), "verdict": r.verdict}
                | {"replaced": r.replaced, "decision": r.decision, "by": r.by, "at": _iso(r.at), "step": r.step}
                | {"seq": r.seq}
                for r in told.readings
            ],
            "notes": [
                {"text": n.text, "sort": n.sort, "about": n.about, "by": n.by, "at": _iso(n.at), "step": n.step}
                | {"seq": n.seq, "clips": list(n.clips)}
                for n in told.notes
            ],
            "departures": [
                {"step": d.step, "says": d.says, "what": d.what, "reason": d.reason, "by": d.by, "at": _iso(d.at)}
                | {"seq": d.seq}
                for d in told.departures
            ],
            "open": [{"id": o.id, "name": o.name, "says": o.says, "blocks": o.blocks} for o in told.open],
            "accepted": [{"id": o.id, "name": o.name, "says": o.says, "reason": o.reason} for o in told.accepted],
            "follow_ups": [{"says": f.says, "due": f.due} for f in told.follow_ups],
            "cautions": list(told.cautions),
            "taken_back": told.taken_back,
            "misfits": [{"seq": seq, "why": why} for seq, why in told.misfits],
            "log": {"events": job.events, "last_hash": job.last_hash},
        },
        ensure_ascii=False,
        indent=2,
    )


def _dec(value: Any) -> str | None:
    return None if value is None else figure(value)
