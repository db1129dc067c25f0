"""How much of a part is worn away, and how much is left."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.card.model import Limits, Measure
from assistant.fastening.units import convert

from .limits import MeasuringError


@dataclass(frozen=True, slots=True)
class Wear:
    """Wear of one size, in the measure's unit."""

    worn: Decimal
    """From new; negative where it measures better than new."""
    left: Decimal
    """To the limit; negative beyond it."""
    used_percent: Decimal
    """Share of the wear allowance that is used, per cent: 0 new, 100 at the limit; not rounded."""


def wear(nominal: Decimal, reading: Decimal, limits: Limits) -> Wear:
    """Used = (nominal - reading) / (nominal - limit) x 100; the limit is the one that wear runs towards.

    A thickness wears down to `low`, a clearance or a bore up to `high`. With both limits, the one that the reading
    has moved towards; at the nominal size, the nearer. Raises MeasuringError where nominal and limit do not differ.
    """
    down = nominal - limits.low if limits.low is not None else Decimal(0)
    up = limits.high - nominal if limits.high is not None else Decimal(0)
    if down <= 0 and up <= 0:
        raise MeasuringError("New size and limit do not differ: there is no wear to count.")
    moved_down = reading < nominal or (reading == nominal and down <= up)
    wears_down = moved_down if down > 0 and up > 0 else down > 0
    worn, allowance = (nominal - reading, down) if wears_down else (reading - nominal, up)
    return Wear(worn, allowance - worn, worn / allowance * 100)


def wear_of(measure: Measure, value: Decimal, unit: str = "") -> Wear | None:
    """Wear by a card's measure; None where it has no new size or no limits. Raises UnitError, MeasuringError."""
    if measure.nominal is None or measure.limits is None:
        return None
    return wear(measure.nominal, convert(value, unit or measure.unit, measure.unit), measure.limits)
