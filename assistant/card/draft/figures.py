"""Figures in talk: "sixty-five newton metres", "M10", "22 to 25 N·m", "a quarter turn", each exactly as it was said."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.fastening.units import DIMENSIONS

from .lexicon import lexicon
from .spoken_numbers import Number, number_at, plain_number
from .units_said import low_at, unit_at
from .words import Token, spelled


@dataclass(frozen=True, slots=True)
class Figure:
    """One number, range or thread size with the unit said with it."""

    start: int
    end: int
    """Tokens start..end-1."""
    said: str
    value: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str = ""
    """Canonical unit; empty if none was said."""
    thread: str = ""
    """"M10", "M12x1.5", "1/2-13 UNC"; the rest is then empty."""
    spoken_short: bool = False
    """"one ten" for 110: read as people say it, and worth a second look."""
    unit_understood: bool = False
    """ "A nineteen socket": millimetres, as such sizes are told (common practice), and worth a second look."""

    @property
    def dimension(self) -> str:
        return DIMENSIONS[self.unit] if self.unit else ""

    @property
    def whole(self) -> int | None:
        """The value as a count of things; None where it is no plain whole number."""
        if self.value is None or self.unit or self.thread or self.value != self.value.to_integral_value():
            return None
        return int(self.value)


_THREAD = re.compile(r"[Mm](\d+)(?:\s?[x×]\s?(\d+(?:\.\d+)?))?")


_INCH_THREAD = re.compile(r"\d+/\d+-\d+")


_SERIES = ("unc", "unf", "unef", "bsp", "bsw", "whitworth", "bsf", "npt")


_COMPARED = frozenset({"than", "least", "most", "exceed", "over", "under", "above", "below"})
""" "No more than two fifty millimetres": 250."""
_TORQUE_WORTHY = ("N·m", "lbf·ft", "lbf·in")


def figures_in(tokens: Sequence[Token]) -> list[Figure]:
    """All figures, in order, not overlapping."""
    found: list[Figure] = []
    here = 0
    while here < len(tokens):
        figure = _thread_at(tokens, here) or _figure_at(tokens, here)
        if figure is None:
            here += 1
        else:
            found.append(figure)
            here = figure.end
    return found


def _thread_at(tokens: Sequence[Token], here: int) -> Figure | None:
    text = tokens[here].text
    match = _THREAD.fullmatch(text)
    if match:
        pitch = f"x{match[2]}" if match[2] else ""
        end = here + 1
        if not pitch and low_at(tokens, end) in ("by", "x", "×"):
            number = number_at(tokens, end + 1)
            if number is not None and number.value <= 6 and not unit_at(tokens, number.end)[0]:
                pitch, end = f"x{number.value}", number.end
        return Figure(here, end, spelled(tokens[here:end]), thread=f"M{match[1]}{pitch}")
    if tokens[here].low in ("m", "em") and here + 1 < len(tokens):
        number = number_at(tokens, here + 1)
        if number is not None and number.value == int(number.value) and 3 <= number.value <= 64:
            return Figure(here, number.end, spelled(tokens[here : number.end]), thread=f"M{number.value}")
    number = number_at(tokens, here)
    inch = bool(_INCH_THREAD.fullmatch(text))
    if inch or (number is not None and "/" in text) or (number is not None and number.value < 2):
        end = here + 1 if inch else number.end if number else here + 1
        unit, after = unit_at(tokens, end)
        end = after if unit == "in" else end
        if low_at(tokens, end) in _SERIES:
            size = text if inch else _as_fraction(number.value) if number else text
            return Figure(here, end + 1, spelled(tokens[here : end + 1]), thread=f"{size} {tokens[end].text.upper()}")
        if inch:
            return Figure(here, end, spelled(tokens[here:end]), thread=text)
    return None


def _as_fraction(value: Decimal) -> str:
    over, under = value.as_integer_ratio()
    return f"{over}/{under}" if under != 1 else str(over)


def _figure_at(tokens: Sequence[Token], here: int) -> Figure | None:
    between = tokens[here].low in ("between", "from")
    first = number_at(tokens, here + 1 if between else here)
    if first is None:
        return None
    start = here
    if not between and first.end == here + 1 and tokens[here].low == "one" and not _counts(tokens, here):
        return None
    odd = first.end + 1 if low_at(tokens, first.end) == "odd" else first.end  # "eighty odd kilos"
    unit, after = unit_at(tokens, odd)
    if not unit:
        after = first.end
    if low_at(tokens, after) == "," and low_at(tokens, after + 1) in ("plus", "±", "+/-", "give"):
        after += 1
    join = low_at(tokens, after)
    plus_minus = 0
    if join in ("±", "+/-"):
        plus_minus = 1
    elif (join, low_at(tokens, after + 1), low_at(tokens, after + 2)) == ("plus", "or", "minus") or (
        join == "give" and low_at(tokens, after + 1) == "or" and low_at(tokens, after + 2) == "take"
    ):
        plus_minus = 3
    if plus_minus:
        second = number_at(tokens, after + plus_minus)
        if second is not None:
            unit2, end = unit_at(tokens, second.end + (not unit and low_at(tokens, second.end) == ","))
            both = unit2 or unit
            end = end if unit2 else second.end
            return _made(tokens, start, end, first.value, first.value - second.value, first.value + second.value, both)
    if join in ("to", "-", "–") or (between and join == "and"):
        second = number_at(tokens, after + 1)
        told_of = here and tokens[here - 1].low in ("those", "these", "other")  # "those three to 48 newton metres"
        if second is not None and second.value > first.value and not told_of:
            unit2, end = unit_at(tokens, second.end)
            if not unit2 and second.value < 1 and low_at(tokens, second.end) == "of":
                unit2, end = unit_at(tokens, second.end + 2)  # "point one to point two of a mil"
            both = unit2 or unit
            if both or between:
                return _made(tokens, start, end, None, first.value, second.value, both)
    if between:
        return None
    turn = _turn_at(tokens, first)
    if turn is not None:
        return Figure(start, turn, spelled(tokens[start:turn]), value=first.value * 360, unit="deg")
    number = first
    if (
        not unit
        and (low_at(tokens, after), low_at(tokens, after + 1)) in (("of", "a"), ("of", "an"))
        and first.value < 1
    ):
        unit, past = unit_at(tokens, after + 2)
        after = past if unit else after  # "point eight of a mil"
    if not unit:
        number = _cut_back(tokens, here, first)
        after = number.end
    elif number.short and unit not in _TORQUE_WORTHY and low_at(tokens, here - 1) not in _COMPARED:
        number = _cut_back(tokens, here, first)
        if number.end != first.end:
            unit, after = "", number.end
    if not unit and _FLATS_SAID[0] <= number.value <= _FLATS_SAID[1] and _names_a_spanner(tokens, after):
        return replace(_made(tokens, start, after, number.value, None, None, "mm"), unit_understood=True)
    if unit == "ft" and low_at(tokens, after - 1) == "foot" and low_at(tokens, after) in _BOLTS and number.value > 1:
        unit, after = "", number.end  # "the four foot bolts": those of the foot
    if unit and tuple(low_at(tokens, after + step) for step in range(3)) == ("and", "a", "half"):
        whole_unit = not unit_at(tokens, after + 3)[0] and number.value == number.value.to_integral_value()
        if whole_unit and unit in ("L", "pt", "gal", "mm", "kg", "in"):
            half = number.value + Decimal("0.5")  # "a litre and a half"
            return _made(tokens, start, after + 3, half, None, None, unit)
    figure = _made(tokens, start, after, number.value, None, None, unit)
    return replace(figure, spoken_short=number.short and unit in ("", *_TORQUE_WORTHY))


def _counts(tokens: Sequence[Token], here: int) -> bool:
    """Whether "one" here is a number and not a pronoun ("that one", "one at a time")."""
    after = low_at(tokens, here + 1)
    before = low_at(tokens, here - 1)
    if before in (
        "the",
        "that",
        "this",
        "each",
        "which",
        "every",
        "first",
        "second",
        "last",
        "next",
        "other",
    ) or lexicon().place(before):
        return False
    if unit_at(tokens, here + 1)[0]:
        return True
    if after in ("to", "or") and number_at(tokens, here + 2) is not None:
        return True  # "one to two millimetres"
    return after not in (
        "",
        ",",
        ".",
        "of",
        "at",
        "by",
        "is",
        "with",
        "that",
        "to",
        "and",
        "more",
        "in",
        "on",
        "side",
        "hand",
        "end",
        "we",
        "you",
        "thing",
        "off",
        "out",
        "each",
        "either",
        "per",
        "last",
        "or",
    )


def _made(
    tokens: Sequence[Token],
    start: int,
    end: int,
    value: Decimal | None,
    low: Decimal | None,
    high: Decimal | None,
    unit: str,
) -> Figure:
    if unit == "thou":
        unit, value, low, high = "in", *(None if part is None else part.scaleb(-3) for part in (value, low, high))
    return Figure(start, end, spelled(tokens[start:end]), value, low, high, unit)


def _turn_at(tokens: Sequence[Token], number: Number) -> int | None:
    """End of "quarter turn", "half a turn", "three quarters of a turn"."""
    here = number.end
    for skip in ((), ("a",), ("of", "a")):
        words = tuple(low_at(tokens, here + step) for step in range(len(skip)))
        if (
            words == skip
            and low_at(tokens, here + len(skip)) in ("turn", "turns")
            and number.value < 3
            and number.value != number.value.to_integral_value()
        ):
            return here + len(skip) + 1
    return None


def _cut_back(tokens: Sequence[Token], here: int, number: Number) -> Number:
    """ "One ten" with no torque behind it may be two numbers: keep the first. "Then nine fifty." closes: it is one."""
    if not number.short or (number.value >= 110 and low_at(tokens, number.end) in ("", ".", ",", "...", "…")):
        return number
    first = plain_number(tokens, here)
    return first if first is not None else number


def _names_a_spanner(tokens: Sequence[Token], at: int) -> bool:
    """ "Nineteen socket", and not "6 socket head screws"."""
    sorts = ("head", "headed", "cap", "set", "screw", "screws", "bolt", "bolts")
    return low_at(tokens, at) in ("socket", "spanner", "wrench") and low_at(tokens, at + 1) not in sorts


_FLATS_SAID = (6, 85)
"""What a number in front of "socket" is the size of, and not how many; inch sizes are told as fractions."""
_BOLTS = frozenset({"bolts", "nuts", "screws", "studs", "plates", "pads", "pins"})
