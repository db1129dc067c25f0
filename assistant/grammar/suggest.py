"""The nearest phrase for a typed line that is none. It is offered ("did you mean ...?"), never acted upon.

Near is near in meaning: every word that carries meaning stands on both sides, a slip of spelling apart. "Which oil" is
near to "which bolt" by its letters, and asks for something else.

What is compared is the frame of a phrase: names and numbers are taken out of the line first and put back after,
the number as the person wrote it, so that a suggestion never brings in a number that nobody said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice, product
from random import Random

from rapidfuzz import fuzz, process

from assistant.grammar.expansion import Alternatives, Expansion, NameList, Rule, Tagged, Token, parts_of
from assistant.grammar.letters import spelled
from assistant.grammar.library import Library
from assistant.grammar.phrases import said
from assistant.grammar.quantity import read_duration, read_quantity

NAME, NUMBER = "§", "#"
NEAR_FRAME = 74.0
NEAR_NAME = 80.0
"""Per cent of rapidfuzz's ratio, chosen on the misspellings in the tests."""
SAMPLES_A_WAY = 60
TRIED = 12
"""Frames that are filled before giving up."""
SAME_WORD = 70.0
"""Per cent: "torqe" is torque (91), "bolt" is not oil (57)."""
MENDINGS = 60
"""Ways to mend a line that are tried."""
_ASKS = frozenset(("is", "are", "was", "do", "does", "did"))
_SAY_LITTLE = _ASKS | {"the", "a", "an", "of", "to", "for", "i", "you", "me", "my", "please"}
LONGEST_NAME = 6
"""Words."""
LONGEST_LINE = 30
"""Words; a line beyond it is no phrase with a slip in it, and every stretch of it would be looked at."""


class Suggestions:
    """The frames of a grammar's phrases, and the names that may fill them."""

    def __init__(self, library: Library, entries: Iterable[Expansion]) -> None:
        masked = Library({key: _masked(key, rule) for key, rule in library.rules.items()}, library.grammars)
        chance = Random(0)
        ways = [way for entry in entries for way in _ways(entry)]
        frames = {said(way, masked, chance): None for way in ways for _ in range(SAMPLES_A_WAY)}
        self._frames = tuple(frame for frame in frames if frame and frame not in (NAME, NUMBER))
        self._words = {word for rule in library.rules.values() for word in _words(rule.expansion)}
        self._names = tuple(dict.fromkeys(name for rule in library.rules.values() for name in _names(rule.expansion)))

    def nearest(self, line: str, is_phrase: Callable[[str], bool]) -> str | None:
        """The nearest phrase of the grammar for which `is_phrase` holds; None where nothing is near."""
        words = spelled(line).text.split()
        if not words or len(words) > LONGEST_LINE:
            return None
        for mended in islice(self._mended(words), MENDINGS):
            if is_phrase(mended):
                return mended
        for frame, fill in self._taken_apart(words):
            wanted = (frame.count(NAME), frame.count(NUMBER))
            near = process.extract(frame, self._frames, scorer=fuzz.ratio, limit=4 * TRIED, score_cutoff=NEAR_FRAME)
            fitting = [each for each, _, _ in near if (each.count(NAME), each.count(NUMBER)) == wanted]
            phrases = (_filled(each, fill) for each in fitting)
            alike = (phrase for phrase in phrases if self._same_meaning(" ".join(words), phrase))
            for phrase in islice(alike, TRIED):
                if is_phrase(phrase):
                    return phrase
        return None

    def _mended(self, words: list[str]) -> Iterator[str]:
        """The line with each word that the grammar does not know put as one that it does: a slip of spelling."""
        ways = [self._like(word) for word in words]
        if all(ways) and any(way != (word,) for way, word in zip(ways, words, strict=True)):
            yield from (" ".join(way) for way in product(*ways))

    def _same_meaning(self, said: str, phrase: str) -> bool:
        """True where each word that carries meaning has its fellow on the other side: the same word, or one that it
        is a slip for."""
        here, there = _telling_words(said), _telling_words(phrase)
        slips = {word for word in here if word not in self._words}
        return here - slips <= there and all(
            any(fuzz.ratio(word, other) >= SAME_WORD for other in others)
            for words, others in ((slips, there), (there - here, slips))
            for word in words
        )

    def _like(self, word: str) -> tuple[str, ...]:
        if word in self._words or not word.isalpha():
            return (word,)
        near = process.extract(word, self._words, scorer=fuzz.ratio, limit=3, score_cutoff=SAME_WORD)
        return tuple(found for found, _, _ in near)

    def _taken_apart(self, words: list[str]) -> Iterator[tuple[str, Mapping[str, str]]]:
        """The line with its number and its name taken out; then without a name taken out."""
        number = ""
        for length in range(len(words), 0, -1):
            for start in range(len(words) - length + 1):
                said_number = " ".join(words[start : start + length])
                if not number and (read_quantity(said_number) or read_duration(said_number)):
                    number = said_number
                    words = [*words[:start], NUMBER, *words[start + length :]]
                    break
            if number:
                break
        name, start, end = self._name_in(words)
        if name:
            yield " ".join([*words[:start], NAME, *words[end:]]), {NAME: name, NUMBER: number}
        yield " ".join(words), {NUMBER: number}

    def _name_in(self, words: list[str]) -> tuple[str, int, int]:
        """The best name within the words, and where it stands; an empty name where none is near."""
        best: tuple[float, str, int, int] = (NEAR_NAME, "", 0, 0)
        for start in range(len(words)):
            for end in range(start + 1, min(len(words), start + LONGEST_NAME) + 1):
                part = " ".join(words[start:end])
                if len(part) < 4 or NUMBER in part:
                    continue
                found = process.extractOne(part, self._names, scorer=fuzz.ratio, score_cutoff=best[0])
                # A longer name that is as near holds more of what was meant.
                if found and (found[1], len(found[0])) > (best[0], len(best[1])):
                    best = (found[1], str(found[0]), start, end)
        return best[1], best[2], best[3]


def _telling_words(frame: str) -> set[str]:
    words = frame.replace("'s", "").replace("'", "").split()
    # a line that begins with one of these is a question, and no statement comes near it
    return set(words) - _SAY_LITTLE | _ASKS & set(words[:1])


def _ways(expansion: Expansion) -> tuple[Expansion, ...]:
    """The alternatives of an entry, so that each has its share of the samples."""
    inside = expansion.item if isinstance(expansion, Tagged) else expansion
    return inside.items if isinstance(inside, Alternatives) else (inside,)


def _masked(key: str, rule: Rule) -> Rule:
    """The rule with a mark in the place of a name or a number."""
    grammar = key.rpartition(".")[0]
    if grammar == "bay.card":
        return Rule(rule.name, Token(NAME), rule.public)
    return Rule(rule.name, Token(NUMBER), rule.public) if grammar == "bay.numbers" else rule


def _names(expansion: Expansion) -> Iterator[str]:
    if isinstance(expansion, NameList):
        yield from expansion.names
    for part in parts_of(expansion):
        yield from _names(part)


def _words(expansion: Expansion) -> Iterator[str]:
    if isinstance(expansion, Token):
        yield from expansion.text.split()
    if isinstance(expansion, NameList):
        for name in expansion.names:
            yield from name.split()
    for part in parts_of(expansion):
        yield from _words(part)


def _filled(frame: str, fill: Mapping[str, str]) -> str:
    for mark, text in fill.items():
        frame = frame.replace(mark, text, 1)
    return frame
