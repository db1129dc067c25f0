"""Numbers in words and digits: "sixty-five", "one ten", "two and a half", "1 1/2"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.grammar.numbers import TEENS, TENS, UNITS

from .units_said import low_at, unit_at
from .words import Token

_ONES = {word: value for word, value in UNITS.items() if word != "niner"}


_TEENS, _TENS = TEENS, TENS


_ZERO = ("zero", "nought", "naught", "nil")


_PARTS = {"half": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
          "third": 3, "thirds": 3, "sixth": 6, "sixths": 6, "tenth": 10,
          "tenths": 10, "hundredth": 100, "hundredths": 100}  # fmt: skip


_SINGLE_UNITS = frozenset({"litre", "liter", "millimetre", "millimeter", "gallon", "pint", "quart", "tonne"})
"""Units before which "a" is one."""


_DIGITS = re.compile(r"\d{1,3}(?:,\d{3})+|\d+(?:\.\d+)?")


_DECIMAL_COMMA = re.compile(r"\d+,\d{1,2}")


_FRACTION = re.compile(r"(\d+)/(\d+)")


@dataclass(frozen=True, slots=True)
class Number:
    end: int
    value: Decimal
    short: bool = False
    digits: bool = False
    """Written in digits rather than words."""


def number_at(tokens: Sequence[Token], here: int) -> Number | None:
    """The longest number that starts here, fractions and decimals included."""
    number = plain_number(tokens, here)
    if number is None:
        return _bare_fraction(tokens, here)
    if number.digits:
        return _mixed(tokens, number)
    number = _decimals(tokens, number)
    mixed = _mixed(tokens, number)
    if mixed is not number:
        return mixed
    return _strung(tokens, here, number)


def plain_number(tokens: Sequence[Token], here: int) -> Number | None:
    low = low_at(tokens, here)
    if not low:
        return None
    fraction = _FRACTION.fullmatch(low)
    if fraction and int(fraction[2]):
        return Number(here + 1, Decimal(int(fraction[1])) / Decimal(int(fraction[2])), digits=True)
    if _DIGITS.fullmatch(low):
        return Number(here + 1, Decimal(low.replace(",", "")), digits=True)
    if _DECIMAL_COMMA.fullmatch(low):
        return Number(here + 1, Decimal(low.replace(",", ".")), digits=True)
    if low in _ZERO:
        return Number(here + 1, Decimal(0))
    if low in ("point",):
        return (
            _decimals(tokens, Number(here, Decimal(0))) if _digit_word(low_at(tokens, here + 1)) is not None else None
        )
    total, at = _below_hundred(tokens, here)
    if at == here and low == "a" and low_at(tokens, here + 1) in _SINGLE_UNITS:
        return Number(here + 1, Decimal(1))
    if at == here:
        if low == "hundred" or (low == "a" and low_at(tokens, here + 1) in ("hundred", "thousand")):
            total, at = 1, here + (1 if low == "a" else 0)
        elif low == "a" and low_at(tokens, here + 1) == "dozen":
            return Number(here + 2, Decimal(12))
        elif low == "dozen":
            return Number(here + 1, Decimal(12))
        else:
            return None
    if low_at(tokens, at) == "hundred":
        total, at = total * 100, at + 1
        joined = at + 1 if low_at(tokens, at) == "and" else at
        rest, end = _below_hundred(tokens, joined)
        if end > joined:
            total, at = total + rest, end
    if low_at(tokens, at) == "thousand":
        total, at = total * 1000, at + 1
        rest_number = plain_number(tokens, at + 1 if low_at(tokens, at) == "and" else at)
        if rest_number is not None and rest_number.value < 1000 and not rest_number.digits:
            total, at = total + int(rest_number.value), rest_number.end
    return Number(at, Decimal(total))


def _below_hundred(tokens: Sequence[Token], here: int) -> tuple[int, int]:
    low = low_at(tokens, here)
    if low in _TENS:
        at = here + 1
        if low_at(tokens, at) == "-" and low_at(tokens, at + 1) in _ONES:
            at += 1
        if low_at(tokens, at) in _ONES:
            return _TENS[low] + _ONES[low_at(tokens, at)], at + 1
        return _TENS[low], here + 1
    if low in _ONES:
        return _ONES[low], here + 1
    if low in _TEENS:
        return _TEENS[low], here + 1
    return 0, here


def _digit_word(low: str) -> int | None:
    if low in _ONES:
        return _ONES[low]
    if low in _ZERO or low in ("oh", "o"):
        return 0
    return int(low) if len(low) == 1 and low.isdigit() else None


def _decimals(tokens: Sequence[Token], number: Number) -> Number:
    """ "zero point one five" after its whole part."""
    if low_at(tokens, number.end) != "point":
        return number
    digits = ""
    at = number.end + 1
    while (digit := _digit_word(low_at(tokens, at))) is not None and low_at(tokens, at) not in ("o",):
        digits += str(digit)
        at += 1
    if not digits:
        rest, end = _below_hundred(tokens, at)
        if end == at:
            return number
        digits, at = str(rest), end
    return Number(at, Decimal(f"{int(number.value)}.{digits}"))


def _mixed(tokens: Sequence[Token], number: Number) -> Number:
    """ "two and a half", "three eighths", "1 1/2"."""
    at = number.end
    if low_at(tokens, at) == "and" and low_at(tokens, at + 1) in ("a", "one", "three"):
        over = 3 if low_at(tokens, at + 1) == "three" else 1
        part = _PARTS.get(low_at(tokens, at + 2))
        if part:
            return replace(number, end=at + 3, value=number.value + Decimal(over) / part)
    skip = at + 1 if low_at(tokens, at) == "-" else at
    part = _PARTS.get(low_at(tokens, skip))
    if part and number.value < 100 and not (part == 2 and number.value != 1):
        return replace(number, end=skip + 1, value=number.value / Decimal(part))
    fraction = _FRACTION.fullmatch(low_at(tokens, at))
    if fraction and number.digits and int(fraction[2]):
        return replace(number, end=at + 1, value=number.value + Decimal(int(fraction[1])) / int(fraction[2]))
    return number


def _bare_fraction(tokens: Sequence[Token], here: int) -> Number | None:
    low = low_at(tokens, here)
    at = here
    if low in ("a", "another") and low_at(tokens, here + 1) in (
        "half",
        "quarter",
        "third",
        "sixth",
        "tenth",
        "hundredth",
    ):
        at = here + 1
    parts: tuple[str, ...] = ("half", "quarter", "tenth", "hundredth")
    if at != here:
        parts = (*parts, "third", "sixth")
    part = _PARTS.get(low_at(tokens, at)) if low_at(tokens, at) in parts else None
    if part is None:
        return None
    end = at + 1
    article = low_at(tokens, end) in ("a", "an")
    of_article = low_at(tokens, end) == "of" and low_at(tokens, end + 1) in ("a", "an")
    after = end + 2 if of_article else end + 1 if article else end
    if not unit_at(tokens, after)[0] and low_at(tokens, after) not in ("turn", "turns"):
        return None
    if low_at(tokens, after) in ("turn", "turns"):
        return Number(end, Decimal(1) / part)
    return Number(after, Decimal(1) / part)


def _strung(tokens: Sequence[Token], here: int, number: Number) -> Number:
    """ "one ten" for 110, "two two five" for 225, "six five" for 65: figures strung together in speech."""
    single = number.end == here + 1 and low_at(tokens, here) in _ONES
    if not single:
        return number
    digits = [_ONES[low_at(tokens, here)]]
    at = here + 1
    while (digit := _digit_word(low_at(tokens, at))) is not None:
        digits.append(digit)
        at += 1
    if len(digits) > 1:
        return Number(at, Decimal("".join(map(str, digits))), short=True)
    rest, end = _below_hundred(tokens, here + 1)
    if end > here + 1 and rest >= 10:
        return Number(end, number.value * 100 + rest, short=True)
    return number
