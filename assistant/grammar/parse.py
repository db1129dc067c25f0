"""Text -> the requests it may mean, through the same network that the recogniser walks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from assistant.grammar.letters import Spelled
from assistant.grammar.tags import Closes, Mark, Marks, Names, Opens, Says, Sets, Weighs
from assistant.grammar.walk import FREE, Letters, Thread, Walk


@dataclass(frozen=True, slots=True)
class Meaning:
    """One way to read a text: what its marks said."""

    name: str = ""
    sets: tuple[tuple[str, str], ...] = ()
    """Slot and value, from tags."""
    captures: tuple[tuple[str, int, int], ...] = ()
    """Slot and the stretch of letters that it holds."""
    tags: tuple[str, ...] = ()
    """Tags of a grammar that is not ours."""
    free_letters: int = 0
    """Letters that were taken as free words."""
    weight: float = 0.0
    """What the weights along the way come to, nats; 0 where each alternative was the likeliest beside it."""


@dataclass(slots=True)
class _Trails:
    """Trails, each once."""

    numbers: dict[tuple[int, Marks, int], int] = field(default_factory=dict)
    rows: list[tuple[int, Marks, int]] = field(default_factory=list)

    def onto(self, before: int, marks: Marks, letter: int) -> int:
        if not marks:
            return before
        row = (before, marks, letter)
        number = self.numbers.get(row)
        if number is None:
            number = self.numbers[row] = len(self.rows)
            self.rows.append(row)
        return number

    def marks(self, number: int) -> list[tuple[Marks, int]]:
        found: list[tuple[Marks, int]] = []
        while number >= 0:
            number, marks, letter = self.rows[number]
            found.append((marks, letter))
        found.reverse()
        return found


def meanings(walk: Walk, start: Letters, phrase: Spelled) -> tuple[Meaning, ...]:
    """Every meaning of a text, the one of most weight first; where some readings need fewer free words than others,
    only those.
    """
    if not walk.may_end(start.along(phrase.text)):
        return ()
    trails = _Trails()
    # thread and trail to the letters taken freely so far
    ways: dict[tuple[Thread, int], int] = {(thread, -1): 0 for thread in walk.threads(start.start)}
    for index, letter in enumerate(phrase.text):
        onward: dict[tuple[Thread, int], int] = {}
        for (thread, trail), free in ways.items():
            for after, before_marks, behind_marks in walk.after(thread, letter):
                way = trails.onto(trails.onto(trail, before_marks, index), behind_marks, index + 1)
                taken = free + (after[0] == FREE)
                key = (after, way)
                if taken < onward.get(key, taken + 1):
                    onward[key] = taken
        ways = onward
    found: dict[Meaning, None] = {}
    for (thread, trail), free in ways.items():
        for marks in walk.ends(thread):
            found[_meaning(trails.marks(trails.onto(trail, marks, len(phrase.text))), free)] = None
    least = min((meaning.free_letters for meaning in found), default=0)
    likeliest = sorted(found, key=lambda meaning: meaning.weight, reverse=True)
    return tuple(meaning for meaning in likeliest if meaning.free_letters == least)


def _meaning(marks: list[tuple[Marks, int]], free: int) -> Meaning:
    name = ""
    sets: list[tuple[str, str]] = []
    captures: list[tuple[str, int, int]] = []
    tags: list[str] = []
    opened: list[int] = []
    weight = 0.0
    for mark, letter in _one_by_one(marks):
        match mark:
            case Names(request):
                name = request
            case Sets(slot, value):
                sets.append((slot, value))
            case Opens():
                opened.append(letter)
            case Closes(slot):
                captures.append((slot, opened.pop(), letter))
            case Says(tag):
                tags.append(tag)
            case Weighs(nats):
                weight += nats
    return Meaning(name, tuple(sets), tuple(captures), tuple(tags), free, weight)


def _one_by_one(marks: list[tuple[Marks, int]]) -> Iterator[tuple[Mark, int]]:
    for together, letter in marks:
        for mark in together:
            yield mark, letter
