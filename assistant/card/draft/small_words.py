"""Small words and set phrases by what they are in a sentence."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from .lexicon import lexicon
from .plain_words import CONTRACTED

_NOT = (
    "must not be",
    "mustn't be",
    "should not be",
    "shouldn't be",
    "cannot be",
    "can't be",
    "not be",
    "not to be",
    "may not be",
    "must not go",
    "and no",
    "and not",
    "nor",
    "not",
    "no",
    "never",
)


_MORE = (
    "more than",
    "over",
    "above",
    "greater than",
    "bigger than",
    "wider than",
    "higher than",
    "deeper than",
    "thicker than",
    "longer than",
    "worse than",
    "looser than",
    "beyond",
    "past",
)


_FEWER = (
    "less than",
    "under",
    "below",
    "smaller than",
    "thinner than",
    "narrower than",
    "lower than",
    "shallower than",
    "shorter than",
)


_MOST = (
    *(f"{no} {more}" for no in _NOT for more in _MORE),
    *(f"{no} any {more}" for no in _NOT for more in _MORE),
    "as much as it can be",
    "as much as you can have",
    "as much as i",
    *_FEWER,
    "at most",
    "most it can be",
    "most you can have",
    "most you want",
    "most you may have",
    "at the most",
    "at the very most",
    "absolute maximum",
    "absolute most",
    "is the limit",
    "is the most",
    "is the highest",
    "is the biggest",
    "is the widest",
    "is the deepest",
    "is the thickest",
    "is the longest",
    "is the maximum",
    "is the max",
    "the most",
    "maximum",
    "max",
    "up to",
    "must not exceed",
    "not exceed",
    "must be under",
    "limit is",
    "or less",
    "tops",
    "within",
    "maximum of",
    "the limit is",
    "a maximum of",
    "has to be under",
    "or under",
    "no more",
    "not more",
    "never more",
    "and no more",
    "nothing over",
    "nothing above",
    "nothing more than",
    "anything over",
    "anything above",
    "anything more than",
    "anything deeper than",
    "anything thicker than",
    "anything wider than",
    "anything worse than",
    "are allowed",
    "is allowed",
    "anything bigger than",
    "anything greater than",
    "anything beyond",
    "anything past",
)


_LEAST = (
    *(f"{no} {less}" for no in _NOT for less in _FEWER),
    *(f"{no} any {less}" for no in _NOT for less in _FEWER),
    "as little as it can be",
    "as little as you can have",
    *_MORE,
    "at least",
    "least it can be",
    "least you can have",
    "least you want",
    "least you may have",
    "at the least",
    "at the very least",
    "absolute minimum",
    "is the least",
    "is the lowest",
    "is the thinnest",
    "is the smallest",
    "is the shortest",
    "is the narrowest",
    "is the minimum",
    "is the min",
    "the least",
    "minimum",
    "min",
    "or more",
    "minimum of",
    "a minimum of",
    "nothing under",
    "nothing below",
    "nothing less than",
    "anything under",
    "anything below",
    "anything less than",
    "anything thinner than",
    "anything smaller than",
    "anything short of",
    "no less",
    "not less",
    "never less",
    "less than that",
    "if it is under",
    "if it is below",
    "if it is less than",
    "if they are under",
    "if they are below",
    "if they are less than",
    "once it is under",
    "once it is below",
    "when it is under",
    "when it is below",
)


@dataclass(slots=True)
class _Book:
    phrases: dict[tuple[str, ...], tuple[str, str]] = field(default_factory=dict)
    """Words to (kind, value)."""
    longest: int = 1
    first: dict[str, int] = field(default_factory=dict)
    """First word to the longest phrase that it opens."""

    def add(self, words: str, kind: str, value: str = "") -> None:
        key = tuple(
            part for word in words.replace("-", " ").split() for part in CONTRACTED.get(word.strip(","), (word,))
        )
        self.phrases.setdefault(key, (kind, value))
        self.first[key[0]] = max(self.first.get(key[0], 1), len(key))


@lru_cache(maxsize=1)
def phrase_book() -> _Book:
    words = lexicon().words
    book = _Book()
    for group, kind in (("treatments", "treat"), ("manner", "manner")):
        for name, phrases in words[group].items():
            for phrase in phrases:
                book.add(phrase, kind, name)
    for phrase, kind in (
        ("as well as", "conj"), ("and also", "conj"), ("as well", "filler"), ("after which", "seq"),
        ("whereupon", "seq"), ("at which point", "seq"), ("upon which", "seq"),
    ):  # fmt: skip
        book.add(phrase, kind)
    for phrase in (
        "a turn at a time", "half a turn at a time", "one turn at a time", "a bit at a time", "bit by bit",
        "little by little", "turn by turn", "a quarter turn at a time", "quarter of a turn at a time",
        "a half turn at a time", "by the way", "at the same time", "straight away", "right away", "to begin with",
        "to start with", "to finish", "to finish with", "to finish off", "to end with", "in one go", "in one piece",
        "all in one", "in one", "a film", "a smear", "a wipe", "a touch", "a dab", "a drop",
        "a whisker", "a thought", "in a piece", "in your hand",
    ):  # fmt: skip
        book.add(phrase, "filler")
    for hand in ("left hand", "left handed", "right hand", "right handed", "reverse"):
        for end in ("thread", "threaded", "threads"):
            book.add(f"{hand} {end}", "filler")
    for phrase in ("across flats", "across the flats", "across the flat"):
        book.add(phrase, "word")
    for phrases, kind in ((_MOST, "most"), (_LEAST, "least")):
        for phrase in phrases:
            book.add(phrase, kind)
    for spelling in lexicon().nouns:
        if " " in spelling:
            book.add(spelling, "noun")
    for group, kind in (
        ("not_needed", "neg"),
        ("auxiliaries", "aux"),
        ("subordinators", "sub"),
        ("fillers", "filler"),
        ("determiners", "det"),
        ("pronouns", "pron"),
        ("sequence", "seq"),
        ("negations", "neg"),
        ("prepositions", "rel"),
        ("places", "place"),
        ("particles", "rel"),
    ):
        for phrase in words[group]:
            if " " in phrase or "'" in phrase:
                book.add(phrase, kind)
    return book


@lru_cache(maxsize=1)
def single_words() -> dict[str, str]:
    """Single small words to their kind, most telling first."""
    words = lexicon().words
    kinds: dict[str, str] = {}
    for group, kind in (
        ("subordinators", "sub"),
        ("prepositions", "rel"),
        ("particles", "rel"),
        ("determiners", "det"),
        ("pronouns", "pron"),
        ("auxiliaries", "aux"),
        ("subjects", "subj"),
        ("negations", "neg"),
        ("sequence", "seq"),
        ("fillers", "filler"),
        ("places", "place"),
    ):
        for word in words[group]:
            kinds.setdefault(str(word), kind)
    kinds |= {
        "and": "conj",
        "or": "conj",
        "but": "conj",
        ",": "comma",
        ";": "comma",
        ":": "comma",
        "am": "aux",
        "plus": "conj",
        "back": "rel",
    }
    for end in ".?!":
        kinds[end] = "end"
    return kinds
