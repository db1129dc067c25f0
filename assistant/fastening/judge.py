"""Is a torque that was reached the one that the card asks for?

How a value is judged:

- a range, or a value with a tolerance: inside its ends, ends included, after exact conversion; nothing is allowed
  beyond them;
- a bare value: the same within the rounding of what was written and said. The allowance is half of the last figure
  of the coarser of the two (65 on the card takes 64.5 to 65.5; 48 lbf·ft said for 65 N·m is 65.08 and good to 0.68),
  and never more than 4 % of the value, the deviation that ISO 6789 allows a torque tool (from memory; 6 % up to
  10 N·m is not made use of);
- a torque plus angle: the torque by these rules, the angle to 5 degrees (common practice for an angle gauge), and
  not complete before the angle is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.card.model import Torque

from .units import TORQUE_UNITS, convert, figures, shown_in

TOOL_DEVIATION = Decimal("0.04")
ANGLE_TOLERANCE_DEG = Decimal(5)
BEYOND_BELIEF = 4
"""A value this many times the card's, or this many times smaller, is taken for a slip and not for a torque."""

Verdict = Literal["inside", "below", "above", "impossible", "no-value"]


@dataclass(frozen=True, slots=True)
class TorqueVerdict:
    """What is to be said about a torque that was reached."""

    verdict: Verdict
    """no-value: the card gives none to judge by."""
    value: Decimal | None
    """What was said, in the card's unit, not rounded."""
    unit: str
    """The card's."""
    low: Decimal | None
    high: Decimal | None
    """What is allowed, in the card's unit."""
    reason: str
    """One short sentence for people; empty where it is simply inside."""
    angle_missing: Decimal | None = None
    """Degrees that are still to be turned or said."""
    other_unit: str | None = None
    """The unit in which the same figure would be inside: "65 foot pounds" where 65 N·m is wanted."""

    @property
    def is_inside(self) -> bool:
        return self.verdict == "inside"


def judge_torque(value: Decimal, unit: str, wanted: Torque | None, angle_deg: Decimal | None = None) -> TorqueVerdict:
    """Judge a torque that was reached; no unit said means the card's. Raises UnitError where the unit is no torque."""
    if wanted is None or wanted.by_hand:
        said = "the card says snug by hand" if wanted else "the card gives no torque"
        return TorqueVerdict("no-value", None, unit, None, None, f"{said[0].upper()}{said[1:]}.")
    said_unit = unit or wanted.unit
    converted = convert(value, said_unit, wanted.unit)
    low, high = allowed(wanted, value, said_unit)
    others = [
        other for other in TORQUE_UNITS
        if other != said_unit and _lies_in(convert(value, other, wanted.unit), *allowed(wanted, value, other))
    ]  # fmt: skip
    other_unit = others[0] if len(others) == 1 else None
    missing = wanted.angle_deg if wanted.angle_deg and angle_deg is None else None
    shown = _amount(value, said_unit, wanted.unit)
    if _lies_in(converted, low, high):
        return _with_angle(converted, wanted, low, high, angle_deg, missing)
    if value <= 0 or converted > high * BEYOND_BELIEF or converted < low / BEYOND_BELIEF:
        verdict: Verdict = "impossible"
        reason = f"{shown} cannot be: the card says {_wanted(wanted)}."
    else:
        verdict = "below" if converted < low else "above"
        reason = f"{shown} is {verdict} the card's {_wanted(wanted)}."
    if other_unit is not None:
        reason += f" Was it {figures(value)} {other_unit}?"
    return TorqueVerdict(verdict, converted, wanted.unit, low, high, reason, missing, other_unit)


def allowed(wanted: Torque, said: Decimal, said_unit: str) -> tuple[Decimal, Decimal]:
    """Least and most that a value as said may be, in the card's unit. Not for a torque by hand."""
    if wanted.low is not None and wanted.high is not None:
        return wanted.low, wanted.high
    if wanted.value is None:
        raise ValueError("a torque by hand has no limits")
    coarser = max(_half_a_figure(wanted.value), convert(_half_a_figure(said), said_unit, wanted.unit))
    allowance = min(coarser, wanted.value * TOOL_DEVIATION)
    return wanted.value - allowance, wanted.value + allowance


def _half_a_figure(value: Decimal) -> Decimal:
    """Half of the last figure as written; of a whole number, half of one."""
    exponent = value.as_tuple().exponent
    return Decimal((0, (5,), min(exponent if isinstance(exponent, int) else 0, 0) - 1))


def _lies_in(value: Decimal, low: Decimal, high: Decimal) -> bool:
    return low <= value <= high and value > 0


def _with_angle(
    converted: Decimal, wanted: Torque, low: Decimal, high: Decimal, angle_deg: Decimal | None, missing: Decimal | None
) -> TorqueVerdict:
    unit = wanted.unit
    if wanted.angle_deg is None:
        reason = "The card asks for no further turn." if angle_deg else ""
        return TorqueVerdict("above" if angle_deg else "inside", converted, unit, low, high, reason)
    if angle_deg is None:
        reason = f"Then {figures(wanted.angle_deg)}° more."
        return TorqueVerdict("inside", converted, unit, low, high, reason, missing)
    if abs(angle_deg - wanted.angle_deg) <= ANGLE_TOLERANCE_DEG:
        return TorqueVerdict("inside", converted, unit, low, high, "")
    verdict: Verdict = "below" if angle_deg < wanted.angle_deg else "above"
    reason = f"{figures(angle_deg)}° is {verdict} the card's {figures(wanted.angle_deg)}°."
    return TorqueVerdict(verdict, converted, unit, low, high, reason)


def _amount(value: Decimal, unit: str, card_unit: str) -> str:
    said = f"{figures(value)} {unit}"
    return said if unit == card_unit else f"{said} ({figures(shown_in(value, unit, card_unit))} {card_unit})"


def _wanted(torque: Torque) -> str:
    if torque.low is not None and torque.high is not None:
        return f"{figures(torque.low)} to {figures(torque.high)} {torque.unit}"
    return f"{figures(torque.value or Decimal(0))} {torque.unit}"
