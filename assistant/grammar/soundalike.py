"""Numbers that sound alike: the ones that are asked for again, figure by figure.

Teens and tens (thirteen and thirty to nineteen and ninety), and five and nine: the classic confusions, for which
voice procedure says figures one by one and "niner" for nine (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from assistant.fastening.units import plain
from assistant.grammar.numbers import LARGEST, TEENS, TENS, UNITS, readings

_WORDS = {
    value: word for word, value in (*UNITS.items(), *TEENS.items(), *TENS.items()) if word not in ("niner", "fourty")
}
_TEEN_TO_TEN = {_WORDS[10 + unit]: _WORDS[10 * unit] for unit in range(3, 10)}
_ALIKE = {
    **_TEEN_TO_TEN,
    **{ten: teen for teen, ten in _TEEN_TO_TEN.items()},
    "five": "nine",
    "nine": "five",
}

Words = tuple[str, ...]


@lru_cache(maxsize=4096)
def sound_alikes(value: Decimal) -> frozenset[Decimal]:
    """The numbers of 0 to 9,999 that one of this number's spoken forms could be misheard as: 14 and 40, 115 and
    150, 214 and 240, 65 and 69, 0.15 and 0.5 ("point fifteen", "point fifty"). Never the number itself; alike is
    alike both ways.
    """
    found = {
        misheard
        for words in spoken_forms(value)
        for place, word in enumerate(words)
        if word in _ALIKE
        for misheard in readings(" ".join((*words[:place], _ALIKE[word], *words[place + 1 :])))
    }
    return frozenset(plain(number) for number in found if number != value)


def spoken_forms(value: Decimal) -> frozenset[Words]:
    """The ways to say a number of 0 to 9,999 in words, without "and" and without figures one by one before the
    point; empty for any other number.
    """
    if not 0 <= value <= LARGEST:
        return frozenset()
    whole, _, decimals = f"{value:f}".partition(".")
    decimals = decimals.rstrip("0")
    wholes = set(_wholes(int(whole)))
    if not decimals:
        return frozenset(wholes)
    rights = {tuple(_WORDS.get(int(figure), "zero") for figure in decimals)}
    padded = decimals.ljust(2, "0")
    if len(padded) == 2 and int(padded) >= 10:
        rights.add(_under_hundred(int(padded)))
    if whole == "0":
        wholes |= {()}
    return frozenset((*left, "point", *right) for left in wholes for right in rights)


def _under_hundred(number: int) -> Words:
    """1 to 99."""
    if number in _WORDS:
        return (_WORDS[number],)
    return _WORDS[number // 10 * 10], _WORDS[number % 10]


def _wholes(number: int) -> Iterator[Words]:
    if number == 0:
        yield ("zero",)
        return
    if number < 100:
        yield _under_hundred(number)
        return
    thousands, rest = divmod(number, 1000)
    hundreds, under = divmod(rest, 100)
    words: Words = (_WORDS[thousands], "thousand") if thousands else ()
    words += (_WORDS[hundreds], "hundred") if hundreds else ()
    yield words + (_under_hundred(under) if under else ())
    many = _under_hundred(number // 100)
    if thousands:  # "twelve hundred"; that nobody says "thirty hundred" does not matter: it sounds like 1,300
        yield (*many, "hundred", *(_under_hundred(under) if under else ()))
    if under >= 10:
        yield many + _under_hundred(under)
    elif under:
        yield (*many, "oh", _WORDS[under])
