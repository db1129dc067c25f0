"""Passages cut into sentences, sentences into words, each with the time of the passage it stands in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assistant.grammar.numbers import TEENS, TENS, UNITS

from .lexicon import lexicon
from .narration import Passage

_TOKEN = re.compile(
    r"M\d+(?:\s?[x×]\s?\d+(?:\.\d+)?)?(?:\b|(?=s\b))"  # M10, M10x1.25, "M10s they are"
    r"|\d+/\d+(?:-\d+)?"  # 1/2, 3/8-24
    r"|\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?"
    r"|N[·⋅.]?m\b|[A-Za-z]+(?:['’][A-Za-z]+)?|\+/-|[±°%]|[^\w\s]",
)
_SPELLED_M = re.compile(r"\b[Mm]\.\s+(?=\d|ten\b|twelve\b|fourteen\b|sixteen\b|eighteen\b|twenty\b|six\b|eight\b)")
""""M. ten", as the ear writes the size of a thread."""
_TIMES = re.compile(r"\b(\d{1,2})\s?[x×]\s+(?=[A-Za-z])")
""""8x M18 bolts": eight."""
_ENDS = frozenset(".?!;")
_CURLY = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "\u00a0": " "})
_GAP_S = 2.5
"""A silence this long between two passages ends the sentence, whatever the punctuation."""
_LONGEST_SENTENCE = 90
"""Words; unpunctuated talk is cut here at the latest, at the passage's end."""
_LONGEST_AT_ALL = 250
"""Words; nobody says more in one breath, and a file with no full stop at all is cut here."""


@dataclass(frozen=True, slots=True)
class Token:
    text: str
    low: str
    at_s: float | None
    """Start of the passage that it stands in, seconds."""
    line: int
    speaker: str = ""
    glued: bool = False
    """No space stands before it."""

    @property
    def is_word(self) -> bool:
        return self.text[0].isalnum()


@dataclass(frozen=True, slots=True)
class Sentence:
    tokens: tuple[Token, ...]

    @property
    def at_s(self) -> float | None:
        return self.tokens[0].at_s

    @property
    def line(self) -> int:
        return self.tokens[0].line

    @property
    def words(self) -> str:
        return spelled(self.tokens)


def spelled(tokens: Iterable[Token]) -> str:
    """Tokens as running text."""
    text = ""
    for token in tokens:
        text += token.text if token.glued or not text else f" {token.text}"
    return text


def sentences(passages: Iterable[Passage]) -> Iterator[Sentence]:
    """Sentences in the order they were said. A sentence may run over several passages."""
    held: list[Token] = []
    before: Passage | None = None
    for passage in passages:
        tokens = list(_tokens(passage))
        if held and before is not None and _breaks(before, passage, held, tokens):
            yield Sentence(tuple(held))
            held = []
        for here, token in enumerate(tokens):
            if token.text == "." and _unit_follows(held, tokens[here + 1 : here + 5]):
                continue  # "they're twenty-five. Newton metres."
            held.append(token)
            if len(held) >= _LONGEST_AT_ALL:
                yield Sentence(tuple(held))
                held = []
                continue
            if token.text in _ENDS and (here + 1 == len(tokens) or tokens[here + 1].text not in _ENDS):
                if any(held_token.is_word for held_token in held):
                    yield Sentence(tuple(held))
                held = []
        before = passage
    if any(token.is_word for token in held):
        yield Sentence(tuple(held))


def _unit_follows(held: list[Token], following: list[Token]) -> bool:
    """Whether a number stands before a full stop and nothing but its unit behind it."""
    if not held or not following or not (held[-1].text[0].isdigit() or held[-1].low in _NUMBER_WORDS):
        return False
    alone = next((number for number, token in enumerate(following) if token.text in _ENDS), len(following))
    return alone <= 2 and all(token.low in _UNIT_WORDS for token in following[:alone])


def _breaks(before: Passage, passage: Passage, held: list[Token], tokens: list[Token]) -> bool:
    if not tokens:
        return False
    if passage.opens or before.speaker != passage.speaker or tokens[0].text == "-" or len(held) > _LONGEST_SENTENCE:
        return True
    if before.end_s is not None and passage.start_s is not None and passage.start_s - before.end_s > _GAP_S:
        return True
    if before.end_s is None and before.start_s != passage.start_s:
        return True  # a time before each passage: each is a turn of its own
    if passage.unpunctuated:
        counted = (
            held[-1].low == "one" and len(held) > 1 and held[-2].low in ("last", "first", "the", "that", "this", "new")
        )
        return (
            (held[-1].low not in _OPEN_ENDED or counted)
            and not _only_a_verb(held[-1].low)
            and tokens[0].low not in _RUNS_ON
        )
    opens_new = tokens[0].text[0].isupper() and tokens[0].text not in ("I", "M")
    return opens_new and held[-1].text not in (",", "-") and held[-1].low not in _OPEN_ENDED


_NUMBER_WORDS = frozenset((*UNITS, *TEENS, *TENS, "hundred"))
_UNIT_WORDS = frozenset(
    {"newton", "newtons", "metres", "meters", "foot", "pounds", "inch", "millimetres", "millimeters", "mil", "mils",
     "kilos", "kilograms", "litres", "liters"}
)  # fmt: skip
_OPEN_ENDED = frozenset(
    [
        "the",
        "a",
        "an",
        "and",
        "or",
        "but",
        "to",
        "of",
        "with",
        "at",
        "for",
        "from",
        "is",
        "are",
        "your",
        "my",
        "this",
        "that",
        "these",
        "those",
        "both",
        "all",
        "then",
        "so",
        "because",
        "if",
        "when",
        "before",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "eight",
        "ten",
    ]
)


def _only_a_verb(word: str) -> bool:
    book = lexicon()
    return word in book.verbs and word not in book.nouns and word not in book.set_of("particles")


_RUNS_ON = frozenset(
    [
        "of",
        "to",
        "from",
        "with",
        "until",
        "till",
        "because",
        "off",
        "onto",
        "into",
        "bolts",
        "nuts",
        "screws",
        "newton",
        "mil",
        "millimetres",
        "foot",
        "pounds",
        "metres",
    ]
)


def _tokens(passage: Passage) -> Iterator[Token]:
    written = _TIMES.sub(r"\1 ", _SPELLED_M.sub("M ", passage.words.translate(_CURLY)))
    end = -1
    for match in _TOKEN.finditer(written):
        text = match[0]
        yield Token(text, text.lower(), passage.start_s, passage.line, passage.speaker, match.start() == end)
        end = match.end()
