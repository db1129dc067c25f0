"""Things that one narration names again and again and that no word list has: "the grommeter", "new grommeter in"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from functools import lru_cache

from .lexicon import Noun, lexicon
from .misheard import misheard_as
from .name_words import not_names
from .plain_words import CONTRACTED
from .small_words import single_words
from .words import Sentence, Token

_NAMING = frozenset({"the", "a", "an", "new", "old", "your", "this", "that", "each", "both", "its", "another"})
_HANDLED = frozenset({"out", "off", "in", "on", "back", "away", "up", "down", "apart", "loose", "over", "into", "onto",
                      "comes", "come", "goes", "go"})  # fmt: skip
"""Particles that tell, straight behind a word, that it is taken off or put on."""
OFTEN = 2
"""Times that a word is named before it counts as a thing of the job."""


def own_words(heard: Iterable[Sentence]) -> dict[str, Noun]:
    """Words to the part they are taken for, singular and plural."""
    named: Counter[str] = Counter()
    handled: Counter[str] = Counter()
    for sentence in heard:
        tokens = sentence.tokens
        for here, token in enumerate(tokens):
            if not _unheard_of(token, here):
                continue
            base = _singular(token.low)
            before = tokens[here - 1].low if here else ""
            after = tokens[here + 1].low if here + 1 < len(tokens) else ""
            leads = here > 1 and before in lexicon().nouns and tokens[here - 2].low in _NAMING
            ends = after not in lexicon().nouns
            named[base] += bool((before in _NAMING or leads) and ends)
            handled[base] += after in _HANDLED or _acted_on(tokens, here)
    found: dict[str, Noun] = {}
    for base, times in named.items():
        if times and handled[base] and times + handled[base] > OFTEN:
            found[base] = Noun(base, ("part",), False, base)
            found[f"{base}s"] = Noun(base, ("part",), True, base)
    return found


def _acted_on(tokens: tuple[Token, ...], here: int) -> bool:
    """ "Pull the grommeter": a verb of the trade stands before its article."""
    back = here - 1
    while back >= 0 and (tokens[back].low in _NAMING or tokens[back].low in lexicon().nouns):
        back -= 1
    verb = lexicon().verbs.get(tokens[back].low) if back >= 0 and back < here - 1 else None
    return verb is not None and verb.verb.strong


def _unheard_of(token: Token, here: int) -> bool:
    low, book = token.low, lexicon()
    if len(low) < 3 or not low.isalpha() or low.endswith(("ly", "ing")) or (here and token.text[0].isupper()):
        return False
    known: tuple[Mapping[str, object] | frozenset[str], ...] = (book.nouns, book.verbs, single_words(), CONTRACTED)
    plain = book.set_of("english") | book.set_of("confusable") | not_names() | _in_phrases()
    return not any(low in words for words in known) and low not in plain and misheard_as(low) is None


@lru_cache(maxsize=1)
def _in_phrases() -> frozenset[str]:
    words = lexicon().words
    groups = [phrases for name in ("treatments", "manner", "units") for phrases in words[name].values()]
    groups += [words[name] for name in ("fillers", "going_back", "corrections")]
    return frozenset(part for phrases in groups for phrase in phrases for part in phrase.replace(",", " ").split())


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
