"""Numbers in words and figures, read exactly: every number to 9,999 as the trade says and writes it.

A number that can be read in two ways is not read at all. The conventions read here:

    cardinal    one hundred (and) ten, a hundred and ten, twelve hundred, 1,100
    in pairs    one ten (110), two oh five (205), twelve fifty (1250)
    in figures  one one zero, 1 1 0, five five
    decimal     nineteen point two, point one three, zero point one three, point fifteen (0.15)
    fraction    twelve and a half, three sixteenths, 1/2, 12 1/2
    parts       thirteen hundredths

"Tenths" are not read: to a machinist five tenths are five ten-thousandths of an inch, to others a half.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from assistant.grammar.letters import spelled

LARGEST = 9999

ZEROS = frozenset({"zero", "oh", "o", "nought", "naught"})
UNITS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "niner": 9,
}  # fmt: skip
TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}  # fmt: skip
DENOMINATORS = {
    ("half",): 2, ("halves",): 2, ("quarter",): 4, ("quarters",): 4, ("fourth",): 4, ("fourths",): 4,
    ("eighth",): 8, ("eighths",): 8, ("sixteenth",): 16, ("sixteenths",): 16,
    ("thirty", "second"): 32, ("thirty", "seconds"): 32, ("sixty", "fourth"): 64, ("sixty", "fourths"): 64,
}  # fmt: skip
NUMBER_WORDS = frozenset(
    {*ZEROS, *UNITS, *TEENS, *TENS, "hundred", "thousand", "point", "a", "and"}
    | {word for words in DENOMINATORS for word in words}
)
"""Words that a number may hold: no name may begin with one that was cut short."""
HUNDREDTHS = frozenset({"hundredth", "hundredths"})

Words = tuple[str, ...]


def read_number(words: str) -> Decimal | None:
    """The number that the words say; None where they say none, or could say two."""
    found = readings(words)
    return next(iter(found)) if len(found) == 1 else None


def read_whole(words: str) -> int | None:
    """A whole number of 0 to 9999, or None."""
    found = _wholes(tuple(spelled(words).text.split()))
    return next(iter(found)) if len(found) == 1 else None


def read_digits(words: str) -> Decimal | None:
    """An answer given figure by figure ("one four", "one one zero", "zero point one three"), at most four
    figures on either side of the point; None for any other way to say a number ("one ten").
    """
    parts = tuple(spelled(words).text.split())
    if len(parts) == 1 and _figure_text(parts[0]):
        return Decimal(parts[0])
    whole, decimals = _at_point(parts)
    if decimals is None:
        return None if (said := _figures(whole, 4)) is None else Decimal(said)
    left = "0" if not whole else _figures(whole, 4)
    right = _figures(decimals, 4)
    return None if left is None or right is None else Decimal(f"{left}.{right}")


@lru_cache(maxsize=4096)
def readings(words: str) -> frozenset[Decimal]:
    """Every number that the words may say, whichever convention the speaker keeps."""
    return frozenset(_numbers(tuple(spelled(words).text.split())))


def _numbers(parts: Words) -> Iterator[Decimal]:
    if not parts:
        return
    for whole in _wholes(parts):
        yield Decimal(whole)
    yield from _decimals(parts)
    yield from _fractions(parts)
    for split in range(1, len(parts)):
        said, rest = parts[:split], parts[split:]
        if rest[0] == "and":
            rest = rest[1:]
        elif not (len(rest) == 1 and "/" in rest[0]):
            continue
        for whole in _wholes(said):
            yield from (whole + part for part in _fractions(rest))
    if parts[-1] in HUNDREDTHS:
        yield from (number.scaleb(-2) for number in _numbers(parts[:-1]) if number < 1000)


def _wholes(parts: Words) -> frozenset[int]:
    if len(parts) == 1 and parts[0].isascii() and parts[0].isdigit():
        return frozenset({int(parts[0])} if len(parts[0]) <= 4 else ())
    found = {_cardinal(parts), _in_pairs(parts)}
    said = _figures(parts, 4)
    if said is not None:
        found.add(int(said))
    return frozenset(number for number in found if number is not None)


def _figures(parts: Words, most: int) -> str | None:
    """ "one", "1", "oh" ... one figure each, as text."""
    text = ""
    for part in parts:
        if part in ZEROS:
            text += "0"
        elif part in UNITS:
            text += str(UNITS[part])
        elif len(part) == 1 and part.isascii() and part.isdigit():
            text += part
        else:
            return None
    return text if 1 <= len(text) <= most else None


def _figure_text(part: str) -> bool:
    whole, point, decimals = part.partition(".")
    figures = whole + decimals
    return (
        figures.isascii()
        and figures.isdigit()
        and len(whole) <= 4
        and len(decimals) <= 4
        and bool(decimals) == bool(point)
    )


def _two_figures(parts: Words) -> int | None:
    """10 to 99."""
    match parts:
        case (one,) if one in TEENS:
            return TEENS[one]
        case (one,) if one in TENS:
            return TENS[one]
        case (ten, unit) if ten in TENS and unit in UNITS:
            return TENS[ten] + UNITS[unit]
    return None


def _under_hundred(parts: Words) -> int | None:
    """1 to 99."""
    return UNITS[parts[0]] if len(parts) == 1 and parts[0] in UNITS else _two_figures(parts)


def _cardinal(parts: Words) -> int | None:
    """Zero to 9999 as one counts."""
    if len(parts) == 1 and parts[0] in ZEROS:
        return 0
    for name, size in (("thousand", 1000), ("hundred", 100)):
        if name not in parts:
            continue
        place = parts.index(name)
        many = _how_many(parts[:place], 99 if size == 100 else 9)
        rest = parts[place + 1 :]
        if many is None:
            return None
        if not rest:
            return many * size
        if rest[0] == "and":
            rest = rest[1:]
        if size == 1000 and "hundred" in rest:
            more = _cardinal(rest)
            return None if more is None or more >= 1000 else many * size + more
        under = _under_hundred(rest)
        return None if under is None else many * size + under
    return _under_hundred(parts)


def _how_many(parts: Words, most: int) -> int | None:
    """What stands before hundred or thousand: nothing, "a", a number in words or in figures."""
    if parts in ((), ("a",)):
        return 1
    if len(parts) == 1 and parts[0].isascii() and parts[0].isdigit() and len(parts[0]) <= 2:
        many: int | None = int(parts[0])
    else:
        many = _under_hundred(parts)
    return many if many is not None and 1 <= many <= most else None


def _in_pairs(parts: Words) -> int | None:
    """One ten, two oh five, twelve fifty, twelve oh five."""
    for split in range(1, len(parts)):
        first = _under_hundred(parts[:split])
        rest = parts[split:]
        if first is None:
            continue
        if len(rest) == 2 and rest[0] in ZEROS and rest[1] in UNITS:
            return first * 100 + UNITS[rest[1]]
        second = _two_figures(rest)
        if second is not None:
            return first * 100 + second
    return None


def _at_point(parts: Words) -> tuple[Words, Words | None]:
    if "point" not in parts:
        return parts, None
    place = parts.index("point")
    return parts[:place], parts[place + 1 :]


def _decimals(parts: Words) -> Iterator[Decimal]:
    if len(parts) == 1:
        if "." in parts[0] and _figure_text(parts[0]):
            yield Decimal(parts[0])
        return
    whole, decimals = _at_point(parts)
    if decimals is None:
        return
    lefts = frozenset({0}) if not whole else _wholes(whole)
    rights = {_figures(decimals, 4)}
    two = _two_figures(decimals)
    if two is not None:
        rights.add(str(two))
    if len(decimals) == 1 and decimals[0].isascii() and decimals[0].isdigit() and len(decimals[0]) <= 4:
        rights.add(decimals[0])
    for left in lefts:
        yield from (Decimal(f"{left}.{right}") for right in rights if right is not None)


def _fractions(parts: Words) -> Iterator[Decimal]:
    """Less than one: a half, three sixteenths, 3/16."""
    if len(parts) == 1 and "/" in parts[0]:
        over, _, under = parts[0].partition("/")
        if over.isdigit() and under.isdigit() and 0 < int(over) < int(under) and int(under) in (2, 4, 8, 16, 32, 64):
            yield Decimal(over) / Decimal(under)
        return
    for length in (1, 2):
        under_words = parts[-length:]
        if under_words not in DENOMINATORS:
            continue
        under_value = DENOMINATORS[under_words]
        count = parts[:-length]
        if count in ((), ("a",)):
            over_value: int | None = 1 if under_value in (2, 4) or count else None
        elif len(count) == 1 and count[0].isascii() and count[0].isdigit():
            over_value = int(count[0])
        else:
            over_value = _under_hundred(count)
        if over_value is not None and 0 < over_value < under_value:
            yield Decimal(over_value) / Decimal(under_value)
