"""Threads: ISO metric (ISO 261/262/724) and unified inch (ASME B1.1), from their designation.

Tables from memory, checked in the tests against what the standards print. Stress area:
metric A = pi/4 (d - 0.9382 P)^2 (EN ISO 898-1), unified A = pi/4 (D - 0.9743/n)^2 (ASME B1.1, from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from .units import FasteningError, figures, plain

_PI = Decimal("3.14159265358979323846")
_THREE_FIGURES = Context(prec=3)
MM_PER_INCH = Decimal("25.4")


class ThreadError(FasteningError):
    """A thread designation that is not understood, or a pitch that the size does not have."""


def _metric_table(rows: str) -> MappingProxyType[Decimal, tuple[Decimal, ...]]:
    """ "8:1 10:1,1.25": diameter to pitches."""
    pairs = (row.split(":") for row in rows.split())
    return MappingProxyType({Decimal(d): tuple(map(Decimal, p.split(","))) for d, p in pairs})


def _inch_table(rows: str) -> MappingProxyType[Fraction, Decimal]:
    """ "1/4:20 9/8:7": diameter to threads an inch."""
    pairs = (row.split(":") for row in rows.split())
    return MappingProxyType({Fraction(d): Decimal(n) for d, n in pairs})


METRIC_COARSE = MappingProxyType(
    {
        diameter: pitches[0]
        for diameter, pitches in _metric_table(
            "1:0.25 1.2:0.25 1.4:0.3 1.6:0.35 1.8:0.35 2:0.4 2.5:0.45 3:0.5 3.5:0.6 4:0.7 5:0.8 6:1 7:1 8:1.25 10:1.5"
            " 12:1.75 14:2 16:2 18:2.5 20:2.5 22:2.5 24:3 27:3 30:3.5 33:3.5 36:4 39:4 42:4.5 45:4.5 48:5 52:5 56:5.5"
            " 60:5.5 64:6"
        ).items()
    }
)
"""Diameter, mm, to coarse pitch, mm (ISO 261)."""
METRIC_FINE = _metric_table(
    "8:1 10:1,1.25 12:1.25,1.5 14:1.5 16:1.5 18:1.5,2 20:1.5,2 22:1.5,2 24:2 27:2 30:2 33:2 36:3 39:3"
    " 42:3 45:3 48:3 52:4 56:4 60:4 64:4"
)
"""Diameter, mm, to the fine pitches selected for screws and bolts, mm (ISO 262)."""
UNC = _inch_table(
    "1/4:20 5/16:18 3/8:16 7/16:14 1/2:13 9/16:12 5/8:11 3/4:10 7/8:9 1:8 9/8:7 5/4:7 11/8:6 3/2:6 7/4:5 2:4.5"
)
UNF = _inch_table("1/4:28 5/16:24 3/8:24 7/16:20 1/2:20 9/16:18 5/8:18 3/4:16 7/8:14 1:12 9/8:12 5/4:12 11/8:12 3/2:12")
"""Diameter, inches, to threads an inch (ASME B1.1)."""
_NUMBERED = {"4": (40, 48), "5": (40, 44), "6": (32, 40), "8": (32, 36), "10": (24, 32), "12": (24, 28)}
"""Numbered sizes: UNC and UNF threads an inch; diameter is 0.060 + 0.013 times the number, inches."""


@dataclass(frozen=True, slots=True)
class Thread:
    """One thread, by its numbers."""

    designation: str
    """In the standard's spelling: "M12x1.75", "1/2-13 UNC"."""
    system: Literal["metric", "unified"]
    series: Literal["coarse", "fine", "other"]
    diameter_mm: Decimal
    """Nominal (major) diameter."""
    pitch_mm: Decimal
    left_hand: bool = False

    @property
    def stress_area_mm2(self) -> Decimal:
        """Nominal stress area, mm², to three figures as the standards print it."""
        depth = Decimal("0.9382") if self.system == "metric" else Decimal("0.9743")
        return plain(_THREE_FIGURES.plus(_PI / 4 * (self.diameter_mm - depth * self.pitch_mm) ** 2))

    @property
    def threads_per_inch(self) -> Decimal:
        return plain((MM_PER_INCH / self.pitch_mm).quantize(Decimal("0.01")))


_METRIC = re.compile(r"m\s?(\d+(?:\.\d+)?)(?:\s?[x×*-]\s?(\d+(?:\.\d+)?))?(?:\s?-\s?\d[a-z]\d?[a-z]?)?")
_UNIFIED = re.compile(
    r"(?:(?:#|no\.?\s?)(\d+)|(\d+\s+\d+/\d+|\d+-\d+/\d+(?=-)|\d+/\d+|\d+(?:\.\d+)?)\s?(?:\"|in\b)?)"
    r"\s?[-–x ]\s?(\d+(?:\.\d+)?)\s?-?\s?(unc|unf|unef|uns|un)?(?:-\d[ab])?"
)


def thread_named(designation: str) -> Thread:
    """A thread from how it is written: "M12x1.75", "M10" (coarse), "1/2-13 UNC", "1/2-13", "#10-24", with LH.

    Raises ThreadError with what the size has.
    """
    text = " ".join(designation.casefold().split())
    left_hand = bool(re.search(r"\b(lh|left[ -]hand)\b", text))
    text = re.sub(r"\s?-?\s?\b(lh|left[ -]hand|rh)\b", "", text).strip()
    if metric := _METRIC.fullmatch(text):
        return _metric(metric[1], metric[2], left_hand)
    if unified := _UNIFIED.fullmatch(text):
        return _unified(unified[1], unified[2], Decimal(unified[3]), unified[4], left_hand)
    raise ThreadError(f"not a thread: {designation.strip()!r}. Write it like M12x1.75, M10 or 1/2-13 UNC.")


def _metric(size: str, given: str | None, left_hand: bool) -> Thread:
    diameter = plain(Decimal(size))
    coarse = METRIC_COARSE.get(diameter)
    if coarse is None:
        raise ThreadError(f"M{size} is no ISO metric size; near it are {_neighbours(diameter)}.")
    pitch = coarse if given is None else plain(Decimal(given))
    fine = METRIC_FINE.get(diameter, ())
    if not 0 < pitch <= coarse:
        pitches = ", ".join(figures(p) for p in (coarse, *sorted(fine, reverse=True)))
        raise ThreadError(f"M{figures(diameter)} has no pitch of {figures(pitch)} mm; it has {pitches}.")
    series: Literal["coarse", "fine", "other"] = "coarse" if pitch == coarse else "fine" if pitch in fine else "other"
    return Thread(f"M{figures(diameter)}x{figures(pitch)}", "metric", series, diameter, pitch, left_hand)


def _neighbours(diameter: Decimal) -> str:
    near = sorted(METRIC_COARSE, key=lambda size: abs(size - diameter))[:2]
    return " and ".join(f"M{figures(size)}" for size in sorted(near))


def _unified(number: str | None, size: str | None, per_inch: Decimal, series: str | None, left_hand: bool) -> Thread:
    if per_inch <= 0:
        raise ThreadError("A thread has more than none an inch.")
    if number is not None:
        if number not in _NUMBERED:
            raise ThreadError(f"#{number} is no size known here; known are #{', #'.join(_NUMBERED)}.")
        inches = Decimal("0.060") + Decimal("0.013") * int(number)
        counts = {"unc": Decimal(_NUMBERED[number][0]), "unf": Decimal(_NUMBERED[number][1])}
        name = f"#{number}"
    else:
        fraction = _fraction(size or "")
        name = _mixed(fraction)
        inches = Decimal(fraction.numerator) / Decimal(fraction.denominator)
        counts = {key: table[fraction] for key, table in (("unc", UNC), ("unf", UNF)) if fraction in table}
        if not counts:
            raise ThreadError(f"{name} in is no unified size known here; known are 1/4 to 2 in.")
    kind = next((key for key, count in counts.items() if count == per_inch), None)
    if series in ("unc", "unf") and kind != series:
        has = " and ".join(f"{name}-{figures(n)} {key.upper()}" for key, n in counts.items())
        raise ThreadError(f"{name}-{figures(per_inch)} is not {series.upper()}; that size has {has}.")
    if kind is None and series is None:
        has = " and ".join(f"{name}-{figures(n)} {key.upper()}" for key, n in counts.items())
        raise ThreadError(f"{name} has no {figures(per_inch)} threads an inch by the book; it has {has}.")
    label = kind or series or ""
    named: Literal["coarse", "fine", "other"] = "coarse" if kind == "unc" else "fine" if kind == "unf" else "other"
    return Thread(
        f"{name}-{figures(per_inch)} {label.upper()}", "unified", named,
        plain(inches * MM_PER_INCH), MM_PER_INCH / per_inch, left_hand,
    )  # fmt: skip


def _fraction(size: str) -> Fraction:
    whole, _, part = re.sub(r"-(?=\d+/)", " ", size).rpartition(" ")
    try:
        return Fraction(part) + (int(whole) if whole else 0)
    except ZeroDivisionError as wrong:
        raise ThreadError(f"not a size: {size}.") from wrong


def _mixed(size: Fraction) -> str:
    whole, rest = divmod(size.numerator, size.denominator)
    part = f"{rest}/{size.denominator}" if rest else ""
    return " ".join(filter(None, (str(whole) if whole else "", part)))
