"""A reading beside its limit: one small drawing a measure, the same on paper and on screen.

The band is where it may be. A round mark lies inside, a square one outside, a rhomb too close to tell; the bar
across a mark is the uncertainty of the measurement. Shape says it before colour does.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.logbook.account import ReadingLine
from assistant.logbook.says import figure

WIDTH, HEIGHT = 190, 36
INK, BAND, EDGE, OUTSIDE, DOUBT = "#1b2b33", "#cfe3dc", "#2b6e5f", "#a3271f", "#8a5a00"


def plot(readings: Sequence[ReadingLine]) -> str:
    """SVG of all readings of one measure; empty where there is no limit to show them by."""
    shown = [r for r in readings if not r.replaced]
    if not shown or (shown[0].low is None and shown[0].high is None):
        return ""
    low, high, nominal = shown[0].low, shown[0].high, shown[0].nominal
    values = [float(v) for v in (low, high, nominal) if v is not None] + [float(r.in_limit_unit) for r in shown]
    if low is None and min(values) >= 0:
        values.append(0.0)
    least, most = min(values), max(values)
    room = (most - least) * 0.12 or abs(most) * 0.1 or 1.0
    least, most = least - (room if low is not None or least < 0 else 0), most + room

    def x(value: float) -> float:
        return round(6 + (value - least) / (most - least) * (WIDTH - 12), 1)

    left = x(float(low)) if low is not None else 2.0
    right = x(float(high)) if high is not None else WIDTH - 2.0
    parts = [
        f'<rect x="{left}" y="5" width="{round(max(right - left, 1), 1)}" height="12" fill="{BAND}"/>',
        f'<line x1="2" y1="17" x2="{WIDTH - 2}" y2="17" stroke="{INK}" stroke-width="0.8"/>',
    ]
    for limit in (low, high):
        if limit is not None:
            parts.append(_edge(x(float(limit)), limit))
    parts += [_mark(x(float(r.in_limit_unit)), r, x) for r in shown]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" aria-label="{_told(shown)}">{"".join(parts)}</svg>'
    )


def _edge(at: float, limit: Decimal) -> str:
    anchor = "start" if at < 30 else "end" if at > WIDTH - 30 else "middle"
    return (
        f'<line x1="{at}" y1="3" x2="{at}" y2="20" stroke="{EDGE}" stroke-width="1.6"/>'
        f'<text x="{at}" y="32" text-anchor="{anchor}" font-size="12" font-family="sans-serif" fill="{INK}">'
        f"{figure(limit)}</text>"
    )


def _mark(at: float, reading: ReadingLine, x: object) -> str:
    assert callable(x)
    bar = ""
    if reading.uncertainty:
        value, sure = float(reading.in_limit_unit), float(reading.uncertainty)
        bar = f'<line x1="{x(value - sure)}" y1="11" x2="{x(value + sure)}" y2="11" stroke="{INK}" stroke-width="0.8"/>'
    if reading.verdict == "outside":
        return f'{bar}<rect x="{at - 3.6:.1f}" y="7.4" width="7.2" height="7.2" fill="{OUTSIDE}"/>'
    if reading.verdict == "too-close":
        points = f"{at},6.2 {at + 4.8:.1f},11 {at},15.8 {at - 4.8:.1f},11"
        return f'{bar}<polygon points="{points}" fill="#fff" stroke="{DOUBT}" stroke-width="1.6"/>'
    return f'{bar}<circle cx="{at}" cy="11" r="3.4" fill="{INK}"/>'


def _told(shown: Sequence[ReadingLine]) -> str:
    first = shown[0]
    limits = " to ".join(figure(v) for v in (first.low, first.high) if v is not None)
    most = "at most " if first.low is None else "at least " if first.high is None else ""
    return f"{', '.join(figure(r.in_limit_unit) for r in shown)}; limit {most}{limits} {first.limit_unit}"
