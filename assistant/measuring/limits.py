"""A reading against its limits: ISO 14253-1 (from memory).

A reading is proved inside only if it lies inside the limit by at least the measurement uncertainty, proved outside
only if it lies outside by more than that. Between the two lies neither: measure again, or with a finer instrument.
The uncertainty is the card's (expanded, k = 2); where it gives none, half of the instrument's resolution.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.card.model import Limits, Measure
from assistant.errors import BayError
from assistant.fastening.units import convert, figures, unit_named

Verdict = Literal["inside", "outside", "too-close", "no-limit"]


class MeasuringError(BayError, ValueError):
    """Readings that cannot be worked with; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class ReadingVerdict:
    """What a reading proves."""

    verdict: Verdict
    value: Decimal
    """In the limits' unit, not rounded."""
    unit: str
    uncertainty: Decimal
    """Expanded, in the unit; what was allowed for."""
    room: Decimal | None
    """Distance to the nearest limit in the unit, positive inside and negative outside; None without a limit."""
    reason: str
    """One short sentence for people; empty where it is simply inside or there is no limit."""


def judge(value: Decimal, limits: Limits | None, unit: str, uncertainty: Decimal = Decimal(0)) -> ReadingVerdict:
    """Judge a value that is already in the limits' unit."""
    if limits is None:
        return ReadingVerdict("no-limit", value, unit, uncertainty, None, "")
    rooms = ([] if limits.low is None else [value - limits.low]) + (
        [] if limits.high is None else [limits.high - value]
    )
    room = min(rooms)
    if room >= uncertainty:
        return ReadingVerdict("inside", value, unit, uncertainty, room, "")
    if room < -uncertainty:
        side = "below" if limits.low is not None and value < limits.low else "above"
        limit = limits.low if side == "below" else limits.high
        reason = f"{side.capitalize()} the limit of {figures(limit or Decimal(0))} {unit}."
        return ReadingVerdict("outside", value, unit, uncertainty, room, reason)
    reason = f"Too close to call within {figures(uncertainty)} {unit}: measure again, or use a finer instrument."
    return ReadingVerdict("too-close", value, unit, uncertainty, room, reason)


def judge_reading(measure: Measure, value: Decimal, unit: str = "") -> ReadingVerdict:
    """Judge a reading as said, in any unit of the kind; no unit is the measure's own. Raises UnitError."""
    inside_unit = convert(value, unit or measure.unit, measure.unit)
    return judge(inside_unit, measure.limits, unit_named(measure.unit), uncertainty_of(measure))


def uncertainty_of(measure: Measure) -> Decimal:
    """Expanded uncertainty of one reading, in the measure's unit: the card's, or half the resolution, or none."""
    if measure.uncertainty is not None:
        return measure.uncertainty
    return measure.resolution / 2 if measure.resolution is not None else Decimal(0)
