"""Phrases that a grammar allows, as one would speak them: for examples, for suggestions, for test speech."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from random import Random

from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    FreeWords,
    NameList,
    Null,
    Numeral,
    Optional,
    Repeat,
    RuleRef,
    Sequence,
    Tagged,
    Token,
    Void,
)
from assistant.grammar.library import Library
from assistant.grammar.request import Request

DICTATION = (
    "the left bracket is bent",
    "oil on the rear face",
    "one thread is pulled",
    "no ramp today",
    "the seal looks hard",
    "waiting for the part",
)
"""What stands for free words in a sample."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase of the grammar with what it asks for."""

    text: str
    """As one would speak it, numbers in words."""
    request: Request


class Unspeakable(Exception):
    """This way through the grammar has no spoken form (it is written in figures, or switched off)."""


def said(expansion: Expansion, library: Library, chance: Random) -> str:
    """One phrase at random; empty where this way has no spoken form."""
    try:
        return spoken(expansion, library, chance)
    except Unspeakable:
        return ""


def spoken(expansion: Expansion, library: Library, chance: Random, depth: int = 0) -> str:
    """One phrase at random. Raises Unspeakable."""

    def inner(item: Expansion) -> str:
        return spoken(item, library, chance, depth + 1)

    match expansion:
        case Token(text):
            return text
        case RuleRef(name):
            return inner(library.rules[name].expansion)
        case Sequence(items):
            return " ".join(filter(None, map(inner, items)))
        case Alternatives(items, weights):
            return _one_of(items, weights, library, chance, depth)
        case Optional(item):
            try:
                return inner(item) if chance.random() < 0.4 and depth < 60 else ""
            except Unspeakable:
                return ""
        case Repeat(item, least):
            rounds = least + (chance.random() < 0.4 and depth < 60)
            return " ".join(filter(None, (inner(item) for _ in range(rounds))))
        case Tagged(item, _, _):
            return inner(item)
        case NameList(_, names):
            return next(islice(names, chance.randrange(len(names)), None))
        case FreeWords():
            return chance.choice(DICTATION)
        case Null():
            return ""
        case Numeral() | Void():
            raise Unspeakable
    raise TypeError(expansion)


def _one_of(
    items: tuple[Expansion, ...], weights: tuple[float, ...], library: Library, chance: Random, depth: int
) -> str:
    left = list(range(len(items)))
    while left:
        # Deep in a recursive rule the first alternative that ends is taken.
        likely = [weights[i] for i in left] if weights else None
        number = left[0] if depth > 60 else chance.choices(left, likely)[0]
        try:
            return spoken(items[number], library, chance, depth + 1)
        except Unspeakable:
            left.remove(number)
    raise Unspeakable


def count(expansion: Expansion, library: Library, known: dict[str, int] | None = None) -> int:
    """How many spoken ways an expansion has; free words count as one, a rule within itself as none."""
    known = {} if known is None else known

    def inner(item: Expansion) -> int:
        return count(item, library, known)

    match expansion:
        case Token() | Null() | FreeWords():
            return 1
        case RuleRef(name):
            if name not in known:
                known[name] = 0
                known[name] = inner(library.rules[name].expansion)
            return known[name]
        case Sequence(items):
            product = 1
            for item in items:
                product *= inner(item)
            return product
        case Alternatives(items, _):
            return sum(map(inner, items))
        case Optional(item) | Repeat(item, 0):
            return 1 + inner(item)
        case Repeat(item, _) | Tagged(item, _, _):
            return inner(item)
        case NameList(_, names):
            return len(names)
        case _:
            return 0
