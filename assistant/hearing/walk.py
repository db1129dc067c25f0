"""Walking a grammar's letters by the model's pieces: which pieces may come next, and where each leads.

The model writes as people do, with capitals, commas and full stops; the grammar knows only lower-case letters
and single spaces. A walk therefore stands in several places at once, each a grammar position together with
what the last mark allows:

- a capital counts as its small letter;
- `, . ? ! ; :` may stand where a word ends; after one, only a space or the end may come, so that "6.5" can
  never be read as 65. A comma may also part thousands ("1,000"): then exactly three figures follow;
- a hyphen is itself where the grammar has one, else a space ("1-0-0-1"), else nothing between letters.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from assistant.grammar.acceptor import Acceptor
from assistant.hearing.tokens import END, Branch, Tokens

PLAIN, OPENING, MARKED, THOUSANDS, THREE_LEFT_2, THREE_LEFT_1 = range(6)
KINDS = 8
"""A place is position * KINDS + kind."""
FREE = -1
"""The place from which any text may follow: free dictation."""
MARKS = ",.?!;:"

Places = frozenset[int]


@dataclass(frozen=True, slots=True)
class Onward:
    """What may follow from where a walk stands."""

    pieces: npt.NDArray[np.int64]
    """Tokens that the grammar allows next."""
    leads: tuple[Places, ...]
    """Where each of them leads."""
    may_end: bool
    """True where a whole phrase may end here."""
    free: bool
    """True where free dictation may start here or has started."""


class Walk:
    """One grammar walked by one model's pieces. Everything once found is kept."""

    def __init__(self, acceptor: Acceptor, tokens: Tokens) -> None:
        self._acceptor = acceptor
        self._tokens = tokens
        self._onward: dict[Places, Onward] = {}
        self._steps: dict[tuple[Places, str], Places] = {}
        self.start: Places = frozenset({acceptor.start * KINDS + OPENING})

    def onward(self, places: Places) -> Onward:
        """All that may follow."""
        known = self._onward.get(places)
        if known is None:
            known = self._onward[places] = self._explore(places)
        return known

    def along(self, text: str) -> Places:
        """Where a text leads from the start; empty where the grammar has no such path."""
        places = self.start
        for letter in text:
            places = self.step(places, letter)
            if not places:
                break
        return places

    def step(self, places: Places, letter: str) -> Places:
        """Where one more letter leads."""
        key = (places, letter)
        known = self._steps.get(key)
        if known is None:
            known = self._steps[key] = frozenset(after for place in places for after, _ in self._after(place, letter))
        return known

    def may_end(self, places: Places) -> bool:
        """True where a whole phrase may end."""
        return any(
            place == FREE or (place % KINDS <= THOUSANDS and self._acceptor.may_end(place // KINDS)) for place in places
        )

    def written(self, text: str) -> str:
        """The phrase as the grammar spells it, for a text that it accepts; free words stay as they were written."""
        ending = [way for place, way in self._ways(text).items() if self.may_end(frozenset({place}))]
        return min(ending, key=len) if ending else ""

    def spelled(self, text: str) -> str:
        """The same for a text that only begins a phrase."""
        return min(self._ways(text).values(), key=len, default="")

    def _ways(self, text: str) -> dict[int, str]:
        """Each place that the text leads to, with what the grammar spells on the way."""
        ways = dict.fromkeys(self.start, "")
        for letter in text:
            onward: dict[int, str] = {}
            for place, way in ways.items():
                for after, emitted in self._after(place, letter):
                    onward.setdefault(after, way + emitted)
            ways = onward
        return ways

    def _after(self, place: int, letter: str) -> list[tuple[int, str]]:
        """Places after one letter, each with what the grammar spells for it."""
        if place == FREE:
            return [(FREE, letter)]
        position, kind = divmod(place, KINDS)
        if kind == OPENING:
            if letter == " ":
                return [(place, "")]
            kind = PLAIN
        if kind in (THREE_LEFT_2, THREE_LEFT_1):
            left = THREE_LEFT_1 if kind == THREE_LEFT_2 else PLAIN
            return self._taken(position, letter, left) if letter.isdigit() else []
        if kind == THOUSANDS and letter.isdigit():
            return self._taken(position, letter, THREE_LEFT_2)
        if kind in (MARKED, THOUSANDS):
            return self._taken(position, " ", PLAIN) if letter == " " else []
        found = self._taken(position, letter.lower(), PLAIN)
        if self._acceptor.takes_free_words(position):
            found.append((FREE, letter))
        if letter in MARKS and position != self._acceptor.start:
            found.append((position * KINDS + (THOUSANDS if letter == "," else MARKED), ""))
        elif letter == "-" and not found:
            found = self._taken(position, " ", PLAIN)
            if not any(onward.isdigit() for onward in self._acceptor.letters(position)):
                found.append((position * KINDS + PLAIN, ""))
        return found

    def _taken(self, position: int, letter: str, kind: int) -> list[tuple[int, str]]:
        after = self._acceptor.step(position, letter)
        return [] if after < 0 else [(after * KINDS + kind, letter)]

    def _explore(self, places: Places) -> Onward:
        pieces: list[int] = []
        leads: list[Places] = []
        grammar_places = frozenset(place for place in places if place != FREE)
        self._descend(self._tokens.tree, grammar_places, pieces, leads)
        free = FREE in places or any(self._frees(place) for place in grammar_places)
        return Onward(np.asarray(pieces, dtype=np.int64), tuple(leads), self.may_end(places), free)

    def _descend(self, branch: Branch, places: Places, pieces: list[int], leads: list[Places]) -> None:
        for letter, onward in branch.onward.items():
            after = self.step(places, letter)
            # Free words are taken by the beam itself, straight from the model's own best pieces.
            after = after - {FREE} if FREE in after else after
            if not after:
                continue
            if onward.token >= 0 and onward.token != END:
                pieces.append(onward.token)
                leads.append(after)
            self._descend(onward, after, pieces, leads)

    def _frees(self, place: int) -> bool:
        """True where free words may start here, or after one space."""
        position, kind = divmod(place, KINDS)
        if kind in (THREE_LEFT_2, THREE_LEFT_1):
            return False
        if self._acceptor.takes_free_words(position):
            return True
        spaced = self._acceptor.step(position, " ")
        return spaced >= 0 and self._acceptor.takes_free_words(spaced)
