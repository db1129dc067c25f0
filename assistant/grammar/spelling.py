"""How one word may be written: contractions, compounds, British and American spellings.

The pairs stand in grammars/spellings.jsgf, one rule to a word; whatever stands in one rule is the same word.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import islice

from assistant.grammar.expansion import Alternatives, Expansion, Sequence, Token
from assistant.grammar.jsgf import read_grammar
from assistant.paths import shipped

MOST_SPELLINGS = 48
"""Of one name; a name of six compounds would otherwise have hundreds."""


@cache
def same_words() -> dict[str, tuple[str, ...]]:
    """Each spelling in the table to all the spellings of its word, the usual one first."""
    table: dict[str, tuple[str, ...]] = {}
    for rule in read_grammar(shipped("grammars") / "spellings.jsgf").rules.values():
        spellings = plain_phrases(rule.expansion)
        for spelling in spellings:
            others = tuple(each for each in table.get(spelling, ()) if each not in spellings)
            table[spelling] = (spelling, *(each for each in spellings if each != spelling), *others)
    return table


@cache
def _longest() -> int:
    return max(len(spelling.split()) for spelling in same_words())


@cache
def _first_words() -> frozenset[str]:
    return frozenset(spelling.split()[0] for spelling in same_words())


def ways(words: tuple[str, ...]) -> Iterator[tuple[int, int, str]]:
    """Stretches words[start:end] that may be written in another way, and that way."""
    table, firsts = same_words(), _first_words()
    for start in range(len(words)):
        if words[start] not in firsts:
            continue
        for end in range(start + 1, min(len(words), start + _longest()) + 1):
            written = " ".join(words[start:end])
            for other in table.get(written, ()):
                if other != written:
                    yield start, end, other


def spellings(phrase: str) -> tuple[str, ...]:
    """Every way to write a phrase (lower case, single spaces), its own first."""
    words = tuple(phrase.split())
    others: dict[int, list[tuple[int, str]]] = {}
    for start, end, other in ways(words):
        others.setdefault(start, []).append((end, other))
    if not others:
        return (" ".join(words),)

    def onward(place: int) -> Iterator[str]:
        if place == len(words):
            yield ""
            return
        for end, written in [(place + 1, words[place]), *others.get(place, ())]:
            for rest in onward(end):
                yield f"{written} {rest}" if rest else written

    return tuple(dict.fromkeys(islice(onward(0), MOST_SPELLINGS)))


def plain_phrases(expansion: Expansion) -> tuple[str, ...]:
    """The alternatives of a rule that holds nothing but words."""
    items = expansion.items if isinstance(expansion, Alternatives) else (expansion,)
    return tuple(dict.fromkeys(_plain(item) for item in items))


def _plain(expansion: Expansion) -> str:
    match expansion:
        case Token(text):
            return text
        case Sequence(items):
            return " ".join(_plain(item) for item in items)
        case _:
            raise TypeError("only plain words are expected here")
