"""The known word that was most likely meant."""

from collections.abc import Iterable

from rapidfuzz import fuzz, process


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The closest of `known`, or None where nothing is close enough to be a slip of the hand."""
    found = process.extractOne(word, list(known), scorer=fuzz.ratio, score_cutoff=60)
    return found[0] if found else None


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """The mend for an unknown word: the nearest known one, or `otherwise`."""
    close = nearest(word, known)
    return f'Did you mean "{close}"?' if close else otherwise
