"""Readings worked out of others, and how sure they are.

Uncertainties of independent readings add as squares (GUM): the difference or sum of two is good to the root of the
sum of both squared. A mean is taken to be no surer than one reading, for one instrument errs the same way each time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from assistant.card.model import Measure
from assistant.fastening.units import convert

from .limits import MeasuringError, ReadingVerdict, judge, uncertainty_of

Taken = Mapping[str, Sequence[tuple[Decimal, str]]]
"""Measure id to the readings taken so far, each with its unit (empty: the measure's own)."""


@dataclass(frozen=True, slots=True)
class Missing:
    """What must still be measured before a reading can be worked out."""

    readings: Mapping[str, int]
    """Measure id to how many readings are missing, in the order of the card."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A reading worked out of others."""

    value: Decimal
    unit: str
    uncertainty: Decimal
    """Expanded, in the unit."""
    verdict: ReadingVerdict
    formula: str
    """With the numbers put in: "0.42 - 0.38 = 0.04"."""


def work_out(id_: str, measures: Mapping[str, Measure], taken: Taken) -> Worked | Missing:
    """The derived measure `id_`, judged; or which readings are missing. A derived measure may rest on another.

    Raises MeasuringError for a measure that is not derived, is not on the card, or rests on itself; UnitError.
    """
    found = _values(id_, measures, taken, ())
    if isinstance(found, Missing):
        return found
    value, uncertainty, formula = found
    measure = measures[id_]
    own = measure.uncertainty if measure.uncertainty is not None else uncertainty
    return Worked(value, measure.unit, own, judge(value, measure.limits, measure.unit, own), formula)


def _values(
    id_: str, measures: Mapping[str, Measure], taken: Taken, above: tuple[str, ...]
) -> tuple[Decimal, Decimal, str] | Missing:
    """Value, uncertainty and formula of a derived measure in its own unit."""
    if id_ in above:
        raise MeasuringError(f"The measure {id_} rests on itself: {' -> '.join((*above, id_))}.")
    derived = _on_card(id_, measures).derived
    if derived is None:
        raise MeasuringError(f"The measure {id_} is taken, not worked out.")
    unit = measures[id_].unit
    values: list[Decimal] = []
    uncertainties: list[Decimal] = []
    missing: dict[str, int] = {}
    for source in derived.of:
        measure = _on_card(source, measures)
        if measure.derived is not None:
            found = _values(source, measures, taken, (*above, id_))
            if isinstance(found, Missing):
                missing |= found.readings
                continue
            values.append(convert(found[0], measure.unit, unit))
            uncertainties.append(convert(found[1], measure.unit, unit))
            continue
        readings = taken.get(source, ())[: measure.readings]
        if len(readings) < measure.readings:
            missing[source] = measure.readings - len(readings)
        taken_values = [convert(value, said or measure.unit, unit) for value, said in readings]
        if taken_values and derived.kind not in ("mean", "spread"):
            # a size taken at several places stands by its mean where it is set against another size
            taken_values = [sum(taken_values, Decimal(0)) / len(taken_values)]
        values += taken_values
        uncertainties += [convert(uncertainty_of(measure), measure.unit, unit)] * len(taken_values)
    if missing:
        return Missing(missing)
    return _worked(derived.kind, values, uncertainties)


def _on_card(id_: str, measures: Mapping[str, Measure]) -> Measure:
    if id_ not in measures:
        raise MeasuringError(f"The measure {id_} is not on the card.")
    return measures[id_]


def _worked(kind: str, values: list[Decimal], uncertainties: list[Decimal]) -> tuple[Decimal, Decimal, str]:
    shown = [f"{value:f}" for value in values]
    worst = max(uncertainties)
    if kind == "mean":
        return sum(values, Decimal(0)) / len(values), worst, f"({' + '.join(shown)}) / {len(values)}"
    if kind == "sum":
        return sum(values, Decimal(0)), _together(uncertainties), " + ".join(shown)
    if kind == "spread":
        return max(values) - min(values), _together([worst, worst]), f"{max(values):f} - {min(values):f}"
    if len(values) != 2:
        raise MeasuringError(f"A {kind} is taken of two readings, not of {len(values)}.")
    apart = abs(values[0] - values[1])
    formula = f"|{shown[0]} - {shown[1]}|"
    if kind == "angle-between":
        # of two directions, the short way round
        apart %= 360
        apart = min(apart, 360 - apart)
    return apart, _together(uncertainties), formula


def _together(uncertainties: Sequence[Decimal]) -> Decimal:
    """Root of the sum of squares."""
    return sum((u * u for u in uncertainties), Decimal(0)).sqrt()
