"""Units: the names we use, how people spell and say them, and exact conversion.

Definitions come from pint, whose pound, inch and standard gravity are the exact international ones
(NIST SP 811, appendix B). Two roundings, and no third:

- `convert` does not round: it gives what the definitions give, to 24 figures. All judging
  is done on this.
- `shown_in` is for people: never more figures than the source has meaning, never so few that meaning is
  lost (NIST SP 811, B.7.2, from memory). Every figure written counts, so 110 is good to half of one.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from assistant.errors import BayError

if TYPE_CHECKING:
    from pint import UnitRegistry


class FasteningError(BayError, ValueError):
    """Something that a person gave cannot be worked with; the message says what and what would do."""


class UnitError(FasteningError):
    """A unit that is not known, or two that do not measure the same thing."""


# canonical name: (what it measures, its definition in pint's spelling, how people write and say it)
_UNITS: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "N·m": ("torque", "newton * meter", (
        "n m", "nm", "newton metre", "newton metres", "newton meter", "newton meters", "newtonmetre",
        "newtonmetres", "newtonmeter", "newtonmeters",
    )),
    "lbf·ft": ("torque", "pound_force * foot", (
        "lbf ft", "lb ft", "lbs ft", "ft lb", "ft lbs", "ft lbf", "lbft", "ftlb", "ftlbs", "lbfft", "foot pound",
        "foot pounds", "feet pounds", "pound foot", "pounds foot", "pound feet", "pounds feet", "foot lb", "foot lbs",
        "pound force foot", "pound force feet", "foot pound force", "foot pounds force",
    )),
    "lbf·in": ("torque", "pound_force * inch", (
        "lbf in", "lb in", "lbs in", "in lb", "in lbs", "in lbf", "lbin", "inlb", "inlbs", "lbfin", "inch pound",
        "inch pounds", "pound inch", "pounds inch", "pound inches", "inch lb", "inch lbs", "pound force inch",
        "pound force inches", "inch pound force",
    )),
    "kgf·m": ("torque", "kilogram_force * meter", (
        "kgf m", "kg m", "kgfm", "kgm", "mkg", "m kgf", "m kg", "kp m", "kpm", "kilogram metre", "kilogram metres",
        "kilogram meter", "kilogram meters", "kilogram force metre", "kilogram force metres",
        "kilogram force meter", "kilogram force meters", "kilopond metre", "kilopond metres",
        "kilo metre force", "metre kilogram", "metre kilograms", "meter kilograms",
    )),
    "mm": ("length", "millimeter", (
        "mm", "millimetre", "millimetres", "millimeter", "millimeters",
    )),
    "in": ("length", "inch", ("in", "inch", "inches", '"', "″")),
    "cm": ("length", "centimeter", ("cm", "centimetre", "centimetres", "centimeter", "centimeters")),
    "m": ("length", "meter", ("m", "metre", "metres", "meter", "meters")),
    "ft": ("length", "foot", ("ft", "foot", "feet", "'", "′")),
    "km": ("length", "kilometer", ("km", "kilometre", "kilometres", "kilometer", "kilometers")),
    "mi": ("length", "mile", ("mi", "mile", "miles")),
    "deg": ("angle", "degree", ("deg", "degs", "degree", "degrees", "°")),
    "N": ("force", "newton", ("n", "newton", "newtons")),
    "kN": ("force", "kilonewton", ("kn", "kilonewton", "kilonewtons")),
    "lbf": ("force", "pound_force", ("lbf", "pound force", "pounds force", "pounds of force")),
    "kPa": ("pressure", "kilopascal", ("kpa", "kilopascal", "kilopascals")),
    "MPa": ("pressure", "megapascal", ("mpa", "megapascal", "megapascals", "n/mm2", "n/mm²")),
    "bar": ("pressure", "bar", ("bar", "bars")),
    "psi": ("pressure", "pound_force_per_square_inch", ("psi", "pounds per square inch", "p s i")),
    "V": ("voltage", "volt", ("v", "volt", "volts")),
    "ohm": ("resistance", "ohm", ("ohm", "ohms", "ω", "Ω")),
    "L": ("volume", "liter", ("l", "litre", "litres", "liter", "liters")),
    "mL": ("volume", "milliliter", ("ml", "millilitre", "millilitres", "milliliter", "milliliters", "cc", "ccs")),
    "qt": ("volume", "quart", ("qt", "qts", "quart", "quarts", "us quart", "us quarts")),
    "pt": ("volume", "pint", ("pt", "pts", "pint", "pints", "us pint", "us pints")),
    "kg": ("mass", "kilogram", ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")),
    "g": ("mass", "gram", ("g", "gram", "grams")),
    "lb": ("mass", "pound", ("lb", "lbs", "pound", "pounds")),
    "s": ("time", "second", ("s", "sec", "secs", "second", "seconds")),
    "min": ("time", "minute", ("min", "mins", "minute", "minutes")),
    "h": ("time", "hour", ("h", "hr", "hrs", "hour", "hours")),
    "d": ("time", "day", ("d", "day", "days")),
    "%": ("share", "percent", ("%", "per cent", "percent", "pct")),
    "count": ("count", "dimensionless", ("count", "counts", "times", "pieces", "pcs")),
}  # fmt: skip

DIMENSIONS: MappingProxyType[str, str] = MappingProxyType({name: row[0] for name, row in _UNITS.items()})
"""Canonical unit name to what it measures: "N·m" -> "torque"."""

_BY_SPELLING: dict[str, str] = {spelling: name for name, row in _UNITS.items() for spelling in row[2]}

SPELLINGS: MappingProxyType[str, tuple[str, ...]] = MappingProxyType({name: row[2] for name, row in _UNITS.items()})
"""Canonical unit name to the ways that people write and say it, in lower case with single spaces."""

TORQUE_UNITS = ("N·m", "lbf·ft", "lbf·in", "kgf·m")

_FIGURES = Context(prec=24)
"""Factors are cut here, so that the last figures of pint's own divisions do not show (0.946352946 L a quart)."""

_DIVIDERS = re.compile(r"[\s·⋅∙•.*×\-–_]+")
_NUMBER = re.compile(
    r"\s*(?P<sign>[+-]?)(?:(?:(?P<whole>\d+)\s+)?(?P<over>\d+)/(?P<under>\d+)"
    r"|(?P<number>(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.\d+)?))\s*(?P<unit>.*?)\s*",
    re.DOTALL,
)
_THOUSANDTHS = frozenset(("thou", "thous", "thousandth", "thousandths", "thousandths of an inch", "mil", "mils"))


def unit_named(spelling: str) -> str:
    """The canonical name of a unit as people write or say it: "foot pounds" -> "lbf·ft".

    Case, dots, hyphens and spaces do not matter, but "mN" and "MN" are not taken for newton metres.
    Raises UnitError with the nearest known spelling.
    """
    if spelling in _UNITS:
        return spelling
    key = _DIVIDERS.sub(" ", spelling.strip()).strip()
    name = _BY_SPELLING.get(key) or _BY_SPELLING.get(key.casefold())
    if name is not None:
        return name
    raise UnitError(f"no such unit: {spelling.strip()!r}.{_near(key)}")


def _near(key: str) -> str:
    from rapidfuzz import fuzz, process

    found = process.extractOne(key.casefold(), list(_BY_SPELLING), scorer=fuzz.ratio, score_cutoff=60)
    if found is None:
        return f" Known here: {', '.join(_UNITS)}."
    return f" Did you mean {_BY_SPELLING[found[0]]}?"


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Decimal]:
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Decimal, cache_folder=None)


@lru_cache(maxsize=512)
def _factor(from_unit: str, to_unit: str) -> Decimal:
    """How many `to_unit` one `from_unit` is."""
    one = _registry().Quantity(Decimal(1), _UNITS[from_unit][1])
    return _FIGURES.plus(Decimal(one.to(_UNITS[to_unit][1]).magnitude))


def measures_the_same(one: str, other: str) -> bool:
    """True where the two canonical units can be converted into each other."""
    return DIMENSIONS[unit_named(one)] == DIMENSIONS[unit_named(other)]


def convert(value: Decimal, from_unit: str, to_unit: str) -> Decimal:
    """`value` in another unit, not rounded (24 figures). Same unit: the value untouched, trailing zeros and all.

    Units may be in any spelling. Raises UnitError where the two do not measure the same thing.
    """
    source, target = unit_named(from_unit), unit_named(to_unit)
    if DIMENSIONS[source] != DIMENSIONS[target]:
        raise UnitError(
            f"{source} measures {DIMENSIONS[source]} and {target} measures {DIMENSIONS[target]}: "
            f"say the value in a unit of {DIMENSIONS[target]}."
        )
    if source == target:
        return value
    return plain(_FIGURES.multiply(value, _factor(source, target)))


def shown_in(value: Decimal, from_unit: str, to_unit: str) -> Decimal:
    """`value` in another unit, rounded for people: the coarsest decimal place whose rounding error is, for its
    size, no worse than that of the source as written (65 N·m is good to 0.5 in 65, so 47.9 lbf·ft, not 48);
    two figures at the least.
    """
    exact = convert(value, from_unit, to_unit)
    if unit_named(from_unit) == unit_named(to_unit) or not value or not value.is_finite():
        return exact
    return rounded_like(value, exact)


def rounded_like(source: Decimal, worked_out: Decimal) -> Decimal:
    """A worked-out value, rounded so that it claims no more than the source as written, and no less."""
    if not source or not worked_out:
        return worked_out
    trust = Decimal((0, (5,), _exponent(source) - 1)) / abs(source)
    place = worked_out.adjusted() - 1
    while Decimal((0, (5,), place - 1)) / abs(worked_out) > trust:
        place -= 1
    rounded = worked_out.quantize(Decimal((0, (1,), place)), rounding=ROUND_HALF_EVEN)
    return rounded if place <= 0 else Decimal(int(rounded))


def _exponent(value: Decimal) -> int:
    """Of the last figure as written; a number without a point is good to one (1E+2 is not written so)."""
    exponent = value.as_tuple().exponent
    return min(exponent, 0) if isinstance(exponent, int) else 0


def plain(value: Decimal) -> Decimal:
    """Without trailing zeros after the point and without an exponent: 149.50 -> 149.5, 1E+2 -> 100."""
    short = value.normalize()
    return short if _exponent(short) < 0 else Decimal(int(short))


def figures(value: Decimal) -> str:
    """The number as written, never with an exponent: "0.0004", "110"."""
    return f"{value:f}"


def quantity_of(text: str) -> tuple[Decimal, str]:
    """A number with its unit, as typed: "110 lbf-ft", "1/2 in", "1 1/2 in", "1,200 N·m", "4 thou".

    Thousandths become inches. Raises UnitError where number or unit is missing or not understood.
    """
    found = _NUMBER.fullmatch(text)
    if found is None or not (found["number"] or found["over"]):
        raise UnitError(f"no number in {text.strip()!r}: write it like 110 lbf-ft.")
    if found["over"]:
        if not int(found["under"]):
            raise UnitError(f"nothing can be divided by zero: {text.strip()!r}.")
        value = int(found["whole"] or 0) + Decimal(found["over"]) / Decimal(found["under"])
    else:
        value = Decimal(found["number"].replace(",", ""))
    value = -value if found["sign"] == "-" else value
    unit = found["unit"]
    if not unit:
        raise UnitError(f"no unit in {text.strip()!r}: write it like 110 lbf-ft or 65 N·m.")
    if unit.casefold() in _THOUSANDTHS:
        return value.scaleb(-3), "in"
    return value, unit_named(unit)
