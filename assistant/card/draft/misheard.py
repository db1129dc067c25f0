"""A word that nobody in the trade says, taken for the one it is a slip of."""

from __future__ import annotations

from functools import lru_cache

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from .lexicon import lexicon
from .small_words import single_words


@lru_cache(maxsize=200_000)
def misheard_as(word: str) -> str | None:
    """The trade's word that this one is a slip of, or None. Short and ordinary words are never taken for another."""
    book = lexicon()
    if len(word) < 5 or not word.isalpha() or word in single_words() or word in _ordinary():
        return None
    plain = word in book.ordinary  # "bought" is no slip of anything, but "blots" may be one of the hand
    found = None if plain else process.extractOne(word, _long_words(), scorer=fuzz.ratio, score_cutoff=86)
    if found is None:
        swapped = [known for known in _by_letters().get("".join(sorted(word)), ()) if OSA.distance(word, known) == 1]
        return swapped[0] if len(swapped) == 1 and swapped[0][0] == word[0] else None
    if found[0][0] != word[0]:
        return None
    known = str(found[0])
    return known if known in book.nouns or known in book.verbs else None


@lru_cache(maxsize=1)
def _by_letters() -> dict[str, tuple[str, ...]]:
    """The same words by their letters in order: two that change places are the commonest slip of the hand."""
    found: dict[str, tuple[str, ...]] = {}
    for word in _long_words():
        key = "".join(sorted(word))
        found[key] = (*found.get(key, ()), word)
    return found


@lru_cache(maxsize=1)
def _ordinary() -> frozenset[str]:
    words = lexicon().words
    return frozenset(words["confusable"]) | frozenset(words["english"])


@lru_cache(maxsize=1)
def _long_words() -> tuple[str, ...]:
    book = lexicon()
    return tuple(sorted({word for word in (*book.nouns, *book.verbs) if len(word) >= 5 and " " not in word}))
