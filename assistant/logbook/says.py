"""How the report and the pages put numbers, limits, orders and the like into words."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from assistant.card.model import Fastener, Tool, Torque
from assistant.fastening.tool_due import CalibrationError, calibration_due

KIND_SAYS = {
    "part-off": "off, not back on",
    "fastener-out": "out",
    "fastener-loose": "in, not tightened",
    "not-at-value": "not at its torque",
    "connection-open": "parted",
    "fluid-out": "drained",
    "cover-in": "temporary cover still in",
    "not-lined-up": "marked, not lined up",
    "support-in-place": "support still in place",
    "steps-left": "steps left",
    "undecided": "out of limits, not decided",
    "not-measured": "not measured",
    "outside-value": "torque outside its limits",
    "too-close": "too close to its limit to tell",
    "skipped-step": "skipped",
}
"""The kinds of open items, as a list says them."""
VERDICT_SAYS = {
    "inside": "inside",
    "outside": "OUTSIDE",
    "too-close": "too close to tell",
    "no-limit": "no limit given",
}


def figure(value: Decimal) -> str:
    """A number without an exponent, and without zeros that carry nothing before a whole: 3E+2 -> 300."""
    return f"{value:f}"


def torque_says(torque: Torque) -> str:
    """As the card's source gives it."""
    if torque.by_hand:
        return "snug by hand"
    if torque.value is not None and torque.low is not None and torque.high is not None:
        middle = torque.high - torque.value == torque.value - torque.low
        text = f"{figure(torque.value)} ± {figure(torque.high - torque.value)}" if middle else (
            f"{figure(torque.value)} ({figure(torque.low)} to {figure(torque.high)})"
        )  # fmt: skip
    elif torque.value is not None:
        text = figure(torque.value)
    elif torque.low is not None and torque.high is not None:
        text = f"{figure(torque.low)} to {figure(torque.high)}"
    else:
        return ""
    angle = f" + {figure(torque.angle_deg)}°" if torque.angle_deg is not None else ""
    return f"{text} {torque.unit}{angle}"


def torqued_says(value: Decimal, unit: str, angle_deg: Decimal | None) -> str:
    """What was logged, whole: a set turned on by an angle is not at its torque alone."""
    return f"{figure(value)} {unit}" + (f" + {figure(angle_deg)}°" if angle_deg is not None else "")


def order_says(fastener: Fastener) -> str:
    if fastener.order is None:
        return ""
    start = f", from {fastener.order.start}" if fastener.order.start else ""
    return f"{fastener.order.pattern.replace('-', ' ')}{start}"


def passes_says(fastener: Fastener) -> str:
    n = len(fastener.passes)
    return f"{n} passes" if n > 1 else ""


def calibration(tool: Tool, on: date) -> str:
    """in date | due soon | due | not known, on that day; empty for a tool that is not calibrated (a hand tool)."""
    if tool.kind not in ("torque-wrench", "gauge", "angle-gauge") and tool.calibrated is None:
        return ""
    try:
        state = calibration_due(tool, on).state
    except CalibrationError:
        return "not known"
    return {"soon": "due soon", "unknown": "not known"}.get(state, state)
