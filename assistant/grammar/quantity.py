"""Numbers with their units, as said or written: words -> Quantity."""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from assistant.fastening.units import SPELLINGS
from assistant.grammar.letters import spelled
from assistant.grammar.numbers import read_number, readings
from assistant.grammar.request import Quantity

THOUSANDTHS = ("thousandth", "thousandths", "thou", "thous")
_OF_AN_INCH = ("", "of an inch", "inch", "of inch")
_OF_A_MILLIMETRE = ("of a millimetre", "of a millimeter", "of a mm")
LONGEST_S = 100 * 3600
"""No timer runs longer."""
_SECONDS = {"s": 1, "min": 60, "h": 3600}


def spoken_units(*names: str) -> dict[str, str]:
    """Spelling (as the grammar spells it) to canonical name, for these units or for all."""
    return {spelling: name for spelling, name in _units().items() if not names or name in names}


@cache
def _units() -> dict[str, str]:
    found: dict[str, str] = {}
    for name, ways in SPELLINGS.items():
        for way in ways:
            plain = spelled(way).text
            if plain and plain.replace(" ", "").isalpha():
                found.setdefault(plain, name)
    return found


def read_unit(words: str) -> str | None:
    """Canonical name of a unit, or None."""
    return _units().get(spelled(words).text)


def read_quantity(words: str) -> Quantity | None:
    """A number and its unit, which may be missing; None where there is no one way to read it.

    Thousandths without a word about of what are of an inch, as in every shop; "four thousandths of a
    millimetre" and "five tenths of a millimetre" are read as they stand.
    """
    parts = spelled(words).text.split()
    for split in range(len(parts), 0, -1):
        number, rest = " ".join(parts[:split]), " ".join(parts[split:])
        found = _with_unit(number, rest)
        if found is not None:
            return Quantity(found[0], found[1], words.strip())
    return None


def _with_unit(number: str, rest: str) -> tuple[Decimal, str] | None:
    part, _, of_what = rest.partition(" ")
    if part in THOUSANDTHS:
        if _may_be_ten_thousandths(number):
            return None
        value = read_number(number)
        if number in ("half a", "a half", "half"):
            value = Decimal("0.5")
        if value is None:
            return None
        if of_what in _OF_AN_INCH:
            return value.scaleb(-3), "in"
        return (value.scaleb(-3), "mm") if of_what in _OF_A_MILLIMETRE else None
    if part in ("tenth", "tenths", "hundredth", "hundredths") and of_what in _OF_A_MILLIMETRE:
        value = read_number(number)
        return None if value is None or value >= 1000 else (value.scaleb(-1 if part.startswith("tenth") else -2), "mm")
    value = read_number(number)
    if value is None:
        return None
    if not rest:
        return value, ""
    for filler in ("", "of an ", "of a ", "an ", "a "):
        if rest.startswith(filler) and (unit := _units().get(rest.removeprefix(filler))):
            return (value, unit) if not filler or value < 1 else None
    return None


def _may_be_ten_thousandths(number: str) -> bool:
    """True for "two ten thousandths": 210 thousandths to one, two ten-thousandths to another."""
    first, _, last = number.rpartition(" ")
    return bool(first) and last in ("ten", "10") and bool(readings(first))


def read_duration(words: str) -> Quantity | None:
    """A stretch of time in whole seconds: "five minutes", "an hour and a half", "1 hour 20 minutes"."""
    parts = spelled(words).text.split()
    total = Decimal(0)
    unit_before = ""
    while parts:
        for split in range(len(parts), 0, -1):
            unit = _units().get(parts[split - 1], "")
            if unit not in _SECONDS:
                continue
            value = _amount(parts[: split - 1])
            if value is not None:
                break
        else:
            if unit_before and parts in (["and", "a", "half"], ["and", "a", "quarter"]):
                value, unit, split = Decimal("0.5" if parts[-1] == "half" else "0.25"), unit_before, len(parts)
            else:
                return None
        if unit_before and (unit != unit_before) != (_SECONDS[unit] < _SECONDS[unit_before]):
            return None
        total += value * _SECONDS[unit]
        parts, unit_before = parts[split:], unit
    if total != total.to_integral_value() or not 0 < total <= LONGEST_S:
        return None
    return Quantity(total.quantize(Decimal(1)), "s", words.strip())


def _amount(parts: list[str]) -> Decimal | None:
    """What stands before a unit of time: a number, "a", "half an", "a quarter of an"."""
    if parts[:1] == ["and"]:
        parts = parts[1:]
    if parts in (["a"], ["an"]):
        return Decimal(1)
    for tail in (["of", "an"], ["of", "a"], ["an"], ["a"]):
        if len(parts) > len(tail) and parts[-len(tail) :] == tail:
            value = read_number(" ".join(parts[: -len(tail)]))
            return value if value is not None and value < 1 else None
    return read_number(" ".join(parts))
