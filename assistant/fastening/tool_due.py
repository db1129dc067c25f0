"""When a torque tool is due for calibration: ISO 6789 (from memory), 12 months or 5,000 uses, whichever is first."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date
from typing import Literal

from assistant.card.model import Tool

from .units import FasteningError

MONTHS_BETWEEN, USES_BETWEEN = 12, 5000
DAYS_AHEAD, USES_AHEAD = 30, 250
"""From here on it is said to be due soon; our own choice."""


class CalibrationError(FasteningError):
    """A calibration date that is none."""


@dataclass(frozen=True, slots=True)
class CalibrationDue:
    """How a tool stands with its calibration."""

    state: Literal["in date", "soon", "due", "unknown"]
    due_on: date | None
    """The first day on which it may no longer be used; None where the last calibration is not known."""
    uses_left: int | None
    """None where uses are not counted."""
    reason: str
    """One short sentence; for people."""


def calibration_due(tool: Tool, today: date, uses_here: int = 0) -> CalibrationDue:
    """How a torque tool stands on `today`; `uses_here` are counted on top of the card's. Raises CalibrationError."""
    uses_left = None if tool.uses_since is None else USES_BETWEEN - tool.uses_since - uses_here
    due_on = None
    if tool.calibrated:
        try:
            due_on = _months_on(date.fromisoformat(tool.calibrated), MONTHS_BETWEEN)
        except ValueError as wrong:
            raise CalibrationError(
                f"{tool.name}: {tool.calibrated!r} is no date. Write the last calibration like 2026-03-01."
            ) from wrong
    if uses_left is not None and uses_left <= 0:
        return CalibrationDue("due", due_on, uses_left, f"The {tool.name} is due for calibration: {USES_BETWEEN} uses.")
    if due_on is not None and today >= due_on:
        return CalibrationDue("due", due_on, uses_left, f"The {tool.name} has been due for calibration since {due_on}.")
    if due_on is None:
        return CalibrationDue(
            "unknown", None, uses_left, f"When the {tool.name} was last calibrated is not on the card."
        )
    if (due_on - today).days <= DAYS_AHEAD:
        return CalibrationDue("soon", due_on, uses_left, f"The {tool.name} is due for calibration on {due_on}.")
    if uses_left is not None and uses_left <= USES_AHEAD:
        return CalibrationDue("soon", due_on, uses_left, f"The {tool.name} is due for calibration in {uses_left} uses.")
    return CalibrationDue("in date", due_on, uses_left, f"The {tool.name} is in date until {due_on}.")


def _months_on(day: date, months: int) -> date:
    """The same day some months on, or the last of that month."""
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    return day.replace(year=year, month=month, day=min(day.day, calendar.monthrange(year, month)[1]))
