"""Figures in talk: "sixty-five newton metres", "M10", "22 to 25 N·m", "a quarter turn", each exactly as it was said."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from rapidfuzz import fuzz

from assistant.fastening.units import DIMENSIONS, SPELLINGS
from assistant.grammar.numbers import TEENS, TENS, UNITS

from .lexicon import lexicon
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

    @property
    def dimension(self) -> str:
        return DIMENSIONS[self.unit] if self.unit else ""

    @property
    def whole(self) -> int | None:
        """The value as a count of things; None where it is no plain whole number."""
        if self.value is None or self.unit or self.thread or self.value != self.value.to_integral_value():
            return None
        return int(self.value)


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
_THREAD = re.compile(r"[Mm](\d+)(?:\s?[x×]\s?(\d+(?:\.\d+)?))?")
_INCH_THREAD = re.compile(r"\d+/\d+-\d+")
_SERIES = ("unc", "unf", "unef", "bsp", "bsw", "whitworth", "bsf", "npt")
_TORQUE_WORTHY = ("N·m", "lbf·ft", "lbf·in")


@dataclass(frozen=True, slots=True)
class _Number:
    end: int
    value: Decimal
    short: bool = False
    digits: bool = False
    """Written in digits rather than words."""


@lru_cache(maxsize=1)
def _units() -> dict[tuple[str, ...], str]:
    """Spellings as word tuples, those of the units' own room and the lexicon's mishearings."""
    book: dict[tuple[str, ...], str] = {}
    for name, spellings in SPELLINGS.items():
        if name in ("count", "d"):
            continue
        for spelling in (name.lower(), *spellings):
            book.setdefault(tuple(spelling.replace("·", " ").split()), name)
    for name, spellings in lexicon().words["units"].items():
        for spelling in spellings:
            if spelling.startswith("newton") and " " not in spelling:
                continue  # newtons are a force: never taken for newton metres
            book[tuple(spelling.split())] = name
    book[("n·m",)] = "N·m"
    book[("n.m",)] = "N·m"
    for word in ("in", "m", "l", "s", "h", "d", "n", "g", "'", "v", "pt"):
        book.pop((word,), None)
    return book


_SHORT_UNITS = {"l": "L", "n": "N", "v": "V", "g": "g", '"': "in"}
"""Taken only right behind digits ("9 l"): as words they are something else."""


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


def _low(tokens: Sequence[Token], here: int) -> str:
    return tokens[here].low if 0 <= here < len(tokens) else ""


def _thread_at(tokens: Sequence[Token], here: int) -> Figure | None:
    text = tokens[here].text
    match = _THREAD.fullmatch(text)
    if match:
        pitch = f"x{match[2]}" if match[2] else ""
        end = here + 1
        if not pitch and _low(tokens, end) in ("by", "x", "×"):
            number = _number_at(tokens, end + 1)
            if number is not None and number.value <= 6 and not _unit_at(tokens, number.end)[0]:
                pitch, end = f"x{number.value}", number.end
        return Figure(here, end, spelled(tokens[here:end]), thread=f"M{match[1]}{pitch}")
    if tokens[here].low in ("m", "em") and here + 1 < len(tokens):
        number = _number_at(tokens, here + 1)
        if number is not None and number.value == int(number.value) and 3 <= number.value <= 64:
            return Figure(here, number.end, spelled(tokens[here : number.end]), thread=f"M{number.value}")
    number = _number_at(tokens, here)
    inch = bool(_INCH_THREAD.fullmatch(text))
    if inch or (number is not None and "/" in text) or (number is not None and number.value < 2):
        end = here + 1 if inch else number.end if number else here + 1
        unit, after = _unit_at(tokens, end)
        end = after if unit == "in" else end
        if _low(tokens, end) in _SERIES:
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
    first = _number_at(tokens, here + 1 if between else here)
    if first is None:
        return None
    start = here
    if not between and first.end == here + 1 and tokens[here].low == "one" and not _counts(tokens, here):
        return None
    odd = first.end + 1 if _low(tokens, first.end) == "odd" else first.end  # "eighty odd kilos"
    unit, after = _unit_at(tokens, odd)
    if not unit:
        after = first.end
    if _low(tokens, after) == "," and _low(tokens, after + 1) in ("plus", "±", "+/-", "give") and unit:
        after += 1
    join = _low(tokens, after)
    plus_minus = 0
    if join in ("±", "+/-"):
        plus_minus = 1
    elif (join, _low(tokens, after + 1), _low(tokens, after + 2)) == ("plus", "or", "minus") or (
        join == "give" and _low(tokens, after + 1) == "or" and _low(tokens, after + 2) == "take"
    ):
        plus_minus = 3
    if plus_minus:
        second = _number_at(tokens, after + plus_minus)
        if second is not None:
            unit2, end = _unit_at(tokens, second.end)
            both = unit2 or unit
            return _made(tokens, start, end, first.value, first.value - second.value, first.value + second.value, both)
    if join in ("to", "-", "–") or (between and join == "and"):
        second = _number_at(tokens, after + 1)
        if second is not None and second.value > first.value:
            unit2, end = _unit_at(tokens, second.end)
            both = unit2 or unit
            if both or between:
                return _made(tokens, start, end, None, first.value, second.value, both)
    if between:
        return None
    turn = _turn_at(tokens, first)
    if turn is not None:
        return Figure(start, turn, spelled(tokens[start:turn]), value=first.value * 360, unit="deg")
    number = first
    if not unit and (_low(tokens, after), _low(tokens, after + 1)) in (("of", "a"), ("of", "an")) and first.value < 1:
        unit, past = _unit_at(tokens, after + 2)
        after = past if unit else after  # "point eight of a mil"
    if not unit:
        number = _cut_back(tokens, here, first)
        after = number.end
    elif number.short and unit not in _TORQUE_WORTHY:
        number = _cut_back(tokens, here, first)
        if number.end != first.end:
            unit, after = "", number.end
    figure = _made(tokens, start, after, number.value, None, None, unit)
    return replace(figure, spoken_short=number.short and unit in _TORQUE_WORTHY)


def _counts(tokens: Sequence[Token], here: int) -> bool:
    """Whether "one" here is a number and not a pronoun ("that one", "one at a time")."""
    after = _low(tokens, here + 1)
    before = _low(tokens, here - 1)
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
    if _unit_at(tokens, here + 1)[0]:
        return True
    if after in ("to", "or") and _number_at(tokens, here + 2) is not None:
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


def _turn_at(tokens: Sequence[Token], number: _Number) -> int | None:
    """End of "quarter turn", "half a turn", "three quarters of a turn"."""
    here = number.end
    for skip in ((), ("a",), ("of", "a")):
        words = tuple(_low(tokens, here + step) for step in range(len(skip)))
        if (
            words == skip
            and _low(tokens, here + len(skip)) in ("turn", "turns")
            and number.value < 3
            and number.value != number.value.to_integral_value()
        ):
            return here + len(skip) + 1
    return None


def _cut_back(tokens: Sequence[Token], here: int, number: _Number) -> _Number:
    """ "One ten" with no torque behind it may be two numbers: keep the first."""
    if not number.short:
        return number
    first = _plain_number(tokens, here)
    return first if first is not None else number


def _unit_at(tokens: Sequence[Token], here: int) -> tuple[str, int]:
    """Canonical unit that starts here and the token after it; ("", here) where none does."""
    words: list[str] = []
    at = here
    best = ("", here)
    while at < len(tokens) and len(words) < 4:
        low = tokens[at].low
        if (
            low in ("-", "·", ".")
            and words
            and at + 1 < len(tokens)
            and tokens[at + 1].is_word
            and (low != "." or words == ["ft"])
        ):
            at += 1
            continue
        if low == "-" and not words and at + 1 < len(tokens) and tokens[at + 1].is_word:
            at += 1
            continue
        words.append(low)
        at += 1
        unit = _units().get(tuple(words))
        if unit:
            best = (unit, at)
    newtons = best[0] in ("", "N") and here + 1 < len(tokens) and tokens[here].low in ("newton", "newtons")
    if newtons and tokens[here + 1].low[0] in "mb" and fuzz.ratio(tokens[here + 1].low, "metres") >= 58:
        return "N·m", here + 2  # "newton meetings" and the like, as the ear writes it
    if not best[0] and here < len(tokens):
        low = tokens[here].low
        if low in _SHORT_UNITS and here and tokens[here - 1].text[0].isdigit():
            return _SHORT_UNITS[low], here + 1
        if low in ("thou", "thous", "thousandths", "thousandth"):
            return "thou", here + 1
        if low == "in" and here and tokens[here - 1].text[0].isdigit() and _low(tokens, here + 1) in ("", ".", ","):
            return "in", here + 1
    return best


def _number_at(tokens: Sequence[Token], here: int) -> _Number | None:
    """The longest number that starts here, fractions and decimals included."""
    number = _plain_number(tokens, here)
    if number is None:
        return _bare_fraction(tokens, here)
    if number.digits:
        return _mixed(tokens, number)
    number = _decimals(tokens, number)
    mixed = _mixed(tokens, number)
    if mixed is not number:
        return mixed
    return _strung(tokens, here, number)


def _plain_number(tokens: Sequence[Token], here: int) -> _Number | None:
    low = _low(tokens, here)
    if not low:
        return None
    fraction = _FRACTION.fullmatch(low)
    if fraction and int(fraction[2]):
        return _Number(here + 1, Decimal(int(fraction[1])) / Decimal(int(fraction[2])), digits=True)
    if _DIGITS.fullmatch(low):
        return _Number(here + 1, Decimal(low.replace(",", "")), digits=True)
    if _DECIMAL_COMMA.fullmatch(low):
        return _Number(here + 1, Decimal(low.replace(",", ".")), digits=True)
    if low in _ZERO:
        return _Number(here + 1, Decimal(0))
    if low in ("point",):
        return _decimals(tokens, _Number(here, Decimal(0))) if _digit_word(_low(tokens, here + 1)) is not None else None
    total, at = _below_hundred(tokens, here)
    if at == here and low == "a" and _low(tokens, here + 1) in _SINGLE_UNITS:
        return _Number(here + 1, Decimal(1))
    if at == here:
        if low == "hundred" or (low == "a" and _low(tokens, here + 1) in ("hundred", "thousand")):
            total, at = 1, here + (1 if low == "a" else 0)
        elif low == "a" and _low(tokens, here + 1) == "dozen":
            return _Number(here + 2, Decimal(12))
        elif low == "dozen":
            return _Number(here + 1, Decimal(12))
        else:
            return None
    if _low(tokens, at) == "hundred":
        total, at = total * 100, at + 1
        joined = at + 1 if _low(tokens, at) == "and" else at
        rest, end = _below_hundred(tokens, joined)
        if end > joined:
            total, at = total + rest, end
    if _low(tokens, at) == "thousand":
        total, at = total * 1000, at + 1
        rest_number = _plain_number(tokens, at + 1 if _low(tokens, at) == "and" else at)
        if rest_number is not None and rest_number.value < 1000 and not rest_number.digits:
            total, at = total + int(rest_number.value), rest_number.end
    return _Number(at, Decimal(total))


def _below_hundred(tokens: Sequence[Token], here: int) -> tuple[int, int]:
    low = _low(tokens, here)
    if low in _TENS:
        at = here + 1
        if _low(tokens, at) == "-" and _low(tokens, at + 1) in _ONES:
            at += 1
        if _low(tokens, at) in _ONES:
            return _TENS[low] + _ONES[_low(tokens, at)], at + 1
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


def _decimals(tokens: Sequence[Token], number: _Number) -> _Number:
    """ "zero point one five" after its whole part."""
    if _low(tokens, number.end) != "point":
        return number
    digits = ""
    at = number.end + 1
    while (digit := _digit_word(_low(tokens, at))) is not None and _low(tokens, at) not in ("o",):
        digits += str(digit)
        at += 1
    if not digits:
        rest, end = _below_hundred(tokens, at)
        if end == at:
            return number
        digits, at = str(rest), end
    return _Number(at, Decimal(f"{int(number.value)}.{digits}"))


def _mixed(tokens: Sequence[Token], number: _Number) -> _Number:
    """ "two and a half", "three eighths", "1 1/2"."""
    at = number.end
    if _low(tokens, at) == "and" and _low(tokens, at + 1) in ("a", "one", "three"):
        over = 3 if _low(tokens, at + 1) == "three" else 1
        part = _PARTS.get(_low(tokens, at + 2))
        if part:
            return replace(number, end=at + 3, value=number.value + Decimal(over) / part)
    skip = at + 1 if _low(tokens, at) == "-" else at
    part = _PARTS.get(_low(tokens, skip))
    if part and number.value < 100 and not (part == 2 and number.value != 1):
        return replace(number, end=skip + 1, value=number.value / Decimal(part))
    fraction = _FRACTION.fullmatch(_low(tokens, at))
    if fraction and number.digits and int(fraction[2]):
        return replace(number, end=at + 1, value=number.value + Decimal(int(fraction[1])) / int(fraction[2]))
    return number


def _bare_fraction(tokens: Sequence[Token], here: int) -> _Number | None:
    low = _low(tokens, here)
    at = here
    if low in ("a", "another") and _low(tokens, here + 1) in (
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
    part = _PARTS.get(_low(tokens, at)) if _low(tokens, at) in parts else None
    if part is None:
        return None
    end = at + 1
    article = _low(tokens, end) in ("a", "an")
    of_article = _low(tokens, end) == "of" and _low(tokens, end + 1) in ("a", "an")
    after = end + 2 if of_article else end + 1 if article else end
    if not _unit_at(tokens, after)[0] and _low(tokens, after) not in ("turn", "turns"):
        return None
    if _low(tokens, after) in ("turn", "turns"):
        return _Number(end, Decimal(1) / part)
    return _Number(after, Decimal(1) / part)


def _strung(tokens: Sequence[Token], here: int, number: _Number) -> _Number:
    """ "one ten" for 110, "two two five" for 225, "six five" for 65: figures strung together in speech."""
    single = number.end == here + 1 and _low(tokens, here) in _ONES
    if not single:
        return number
    digits = [_ONES[_low(tokens, here)]]
    at = here + 1
    while (digit := _digit_word(_low(tokens, at))) is not None:
        digits.append(digit)
        at += 1
    if len(digits) > 1:
        return _Number(at, Decimal("".join(map(str, digits))), short=True)
    rest, end = _below_hundred(tokens, here + 1)
    if end > here + 1 and rest >= 10:
        return _Number(end, number.value * 100 + rest, short=True)
    return number
