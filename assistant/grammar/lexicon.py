"""A sorted list of phrases that is walked letter by letter: a trie without the tree.

A place in it is a stretch [low, high) of entries that share their first `depth` letters. A step narrows the
stretch by two bisections, so that thousands of names cost little more than ten, in time and in memory.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from typing import Generic, TypeVar

Meaning = TypeVar("Meaning")


class Lexicon(Generic[Meaning]):
    """Phrases with what each means; a phrase may stand here more than once."""

    __slots__ = ("_spelled", "meanings")

    def __init__(self, entries: Iterable[tuple[str, Meaning]]) -> None:
        ordered = sorted(entries, key=lambda entry: entry[0])
        self._spelled = [spelled for spelled, _ in ordered]
        self.meanings = [meaning for _, meaning in ordered]
        """What each phrase means, in the order of the list."""

    def __len__(self) -> int:
        return len(self._spelled)

    def narrowed(self, low: int, high: int, depth: int, letter: str) -> tuple[int, int, int]:
        """(low, ended, high) after one more letter: entries low..ended are spelled out, ended..high go on."""
        prefix = self._spelled[low][:depth]
        low = bisect_left(self._spelled, prefix + letter, low, high)
        high = bisect_left(self._spelled, prefix + chr(ord(letter) + 1), low, high)
        ended = low
        while ended < high and len(self._spelled[ended]) == depth + 1:
            ended += 1
        return low, ended, high

    def letters(self, low: int, high: int, depth: int) -> list[str]:
        """The letters that may come next, sorted; every entry of the stretch must be longer than `depth`."""
        found: list[str] = []
        prefix = self._spelled[low][:depth] if low < high else ""
        while low < high:
            letter = self._spelled[low][depth]
            found.append(letter)
            low = bisect_left(self._spelled, prefix + chr(ord(letter) + 1), low, high)
        return found
