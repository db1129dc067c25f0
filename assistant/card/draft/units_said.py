"""Units as they are said, misheard and shortened."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from rapidfuzz import fuzz

from assistant.fastening.units import SPELLINGS

from .lexicon import lexicon
from .words import Token


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


def low_at(tokens: Sequence[Token], here: int) -> str:
    return tokens[here].low if 0 <= here < len(tokens) else ""


def unit_at(tokens: Sequence[Token], here: int) -> tuple[str, int]:
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
        if low == "in" and here and tokens[here - 1].text[0].isdigit() and low_at(tokens, here + 1) in ("", ".", ","):
            return "in", here + 1
    return best
