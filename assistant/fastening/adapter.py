"""What to set on the wrench when an adapter (crowfoot, offset ring) lengthens it, and whether the wrench can.

    setting = target x L / (L + E x cos a)

L: from the middle of the wrench's square to the middle of its grip; E: from the middle of the square to the
middle of the fastener; a: angle between adapter and wrench, 0 straight on. At a right angle the lever stays as
it was and nothing is corrected; past it the adapter shortens the lever. (Mechanics of the lever; handbook formula.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Literal

from assistant.card.model import Tool, Torque

from .units import FasteningError, convert, figures, rounded_like, shown_in, unit_named

LONGEST_MM = Decimal(3000)
"""Lever beyond which a length is taken for a slip."""
_EXACT_COSINES = {0: Decimal(1), 60: Decimal("0.5"), 90: Decimal(0), 120: Decimal("-0.5"), 180: Decimal(-1)}


class AdapterError(FasteningError):
    """Lengths or an angle that no wrench has."""


@dataclass(frozen=True, slots=True)
class AdapterSetting:
    """What to set, and how it was found."""

    setting: Torque
    """What the wrench is set to, in the target's unit; ends of a range rounded into the range."""
    factor: Decimal
    """Setting over target; 1 at a right angle."""
    formula: str
    numbers: str
    """The formula with the numbers put in."""
    caution: str = ""


def adapter_setting(
    target: Torque, wrench_length_mm: Decimal, adapter_length_mm: Decimal, angle_deg: Decimal = Decimal(0)
) -> AdapterSetting:
    """The wrench setting for a torque at the fastener; angle 0 to 180 degrees. An angle to turn after stays as it is.

    Raises AdapterError for lengths or angles that cannot be, and for a torque without a value.
    """
    if not 0 < wrench_length_mm <= LONGEST_MM:
        raise AdapterError(f"A wrench of {figures(wrench_length_mm)} mm: give its length in mm, square to mid-grip.")
    if not 0 < adapter_length_mm <= LONGEST_MM:
        raise AdapterError(f"An adapter of {figures(adapter_length_mm)} mm: give its length in mm, centre to centre.")
    if not 0 <= angle_deg <= 180:
        raise AdapterError(f"An angle of {figures(angle_deg)}°: give 0 (straight on) to 180.")
    if target.value is None and target.low is None:
        raise AdapterError("Snug by hand has no setting.")
    reach = adapter_length_mm * _cosine(angle_deg)
    lever = wrench_length_mm + reach
    if lever <= wrench_length_mm / 4:
        raise AdapterError("The adapter takes most of the lever away: turn it out, or use a longer wrench.")
    factor = wrench_length_mm / lever if reach else Decimal(1)
    setting = Torque(
        value=None if target.value is None else rounded_like(target.value, target.value * factor),
        low=None if target.low is None else _rounded(target.low, factor, ROUND_CEILING),
        high=None if target.high is None else _rounded(target.high, factor, ROUND_FLOOR),
        unit=target.unit,
        angle_deg=target.angle_deg,
    )
    main = target.value or target.low or Decimal(0)
    numbers = (
        f"{figures(main)} × {figures(wrench_length_mm)} / ({figures(wrench_length_mm)} + {figures(adapter_length_mm)}"
        f" × cos {figures(angle_deg)}°) = {figures(setting.value or setting.low or Decimal(0))} {target.unit}"
    )
    caution = "Hold the wrench at the middle of its grip: the lever counts from there."
    if not reach:
        caution = "At a right angle nothing is corrected: keep it square."
    elif lever > 2 * wrench_length_mm or reach < 0:
        caution = "The lever changes by much: see what the wrench's maker says, and " + caution[0].lower() + caution[1:]
    return AdapterSetting(setting, factor, "setting = target × L / (L + E × cos a)", numbers, caution)


def _cosine(angle_deg: Decimal) -> Decimal:
    exact = _EXACT_COSINES.get(int(angle_deg)) if angle_deg == int(angle_deg) else None
    return exact if exact is not None else Decimal(str(math.cos(math.radians(float(angle_deg)))))


def _rounded(end: Decimal, factor: Decimal, rounding: str) -> Decimal:
    """An end of a range, rounded to the figures of the source but never out of the range."""
    exact = end * factor
    return exact.quantize(rounded_like(end, exact), rounding=rounding) if factor != 1 else end


@dataclass(frozen=True, slots=True)
class ToolRange:
    """Whether a torque lies in the range of a tool."""

    fits: bool
    verdict: Literal["inside", "below", "above", "unknown"]
    reason: str
    """In one short sentence; for people."""


def in_tool_range(setting: Torque, tool: Tool) -> ToolRange:
    """Judge a setting against a torque tool's range as the card gives it. Unknown counts as fitting.

    A tool with only an upper end is taken to serve from a fifth of it up (ISO 6789, from memory).
    Raises UnitError where the tool's unit is no torque.
    """
    least, most = setting.low or setting.value, setting.high or setting.value
    if least is None or most is None or tool.high is None:
        return ToolRange(True, "unknown", f"The range of the {tool.name} is not on the card.")
    unit = unit_named(tool.unit or setting.unit)
    low = tool.high / 5 if tool.low is None else tool.low
    said = f"{figures(low)} to {figures(tool.high)} {unit}"
    if convert(least, setting.unit, unit) < low:
        shown = f"{figures(shown_in(least, setting.unit, unit))} {unit}"
        return ToolRange(False, "below", f"{shown} is below the {tool.name}, {said}: take a smaller one.")
    if convert(most, setting.unit, unit) > tool.high:
        shown = f"{figures(shown_in(most, setting.unit, unit))} {unit}"
        return ToolRange(False, "above", f"{shown} is above the {tool.name}, {said}: take a larger one.")
    return ToolRange(True, "inside", f"Inside the range of the {tool.name}, {said}.")
