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
from assistant.hearing.tokens import Branch, Tokens

PLAIN, OPENING, MARKED, THOUSANDS, THREE_LEFT_2, THREE_LEFT_1 = range(6)
KINDS = 8
"""A place is position * KINDS + kind."""
FREE = -1
"""The place from which any text may follow: free dictation."""
MARKS = ",.?!;:"
PLACES_KEPT = 24_000
"""Places of which the moves are kept, some 3 kB each; a day's talk meets more, and finding them again is quick."""

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
    """One family of grammars walked by one model's pieces. Everything once found is kept."""

    def __init__(self, acceptor: Acceptor, tokens: Tokens) -> None:
        """`acceptor` stands for all of its family: positions mean the same in each."""
        self._acceptor = acceptor
        self._tokens = tokens
        self._onward: dict[Places, Onward] = {}
        self._moves: dict[int, dict[str, tuple[tuple[int, str], ...]]] = {FREE: {}}
        self._interned: dict[Places, Places] = {}

    def start(self, acceptor: Acceptor) -> Places:
        """Where a walk through this acceptor of the family begins."""
        if len(self._moves) > PLACES_KEPT:
            self._onward.clear()
            self._interned.clear()
            self._moves = {FREE: {}}
        return frozenset({acceptor.start * KINDS + OPENING})

    def onward(self, places: Places) -> Onward:
        """All that may follow."""
        known = self._onward.get(places)
        if known is None:
            known = self._onward[places] = self._explore(places)
        return known

    def along(self, places: Places, text: str) -> Places:
        """Where a text leads; empty where the grammar has no such path."""
        for letter in text:
            places = self.step(places, letter)
            if not places:
                break
        return places

    def step(self, places: Places, letter: str) -> Places:
        """Where one more letter leads."""
        found = [after for place in places for after, _ in self._after(place, letter)]
        after = frozenset(found)
        return self._interned.setdefault(after, after)

    def may_end(self, places: Places) -> bool:
        """True where a whole phrase may end."""
        return any(
            place == FREE or (place % KINDS <= THOUSANDS and self._acceptor.may_end(place // KINDS)) for place in places
        )

    def written(self, places: Places, text: str) -> str:
        """The phrase as the grammar spells it, for a text that it accepts from `places` on; free words stay as they
        were written.
        """
        ending = [way for place, way in self._ways(places, text).items() if self.may_end(frozenset({place}))]
        return min(ending, key=len) if ending else ""

    def spelled(self, places: Places, text: str) -> str:
        """The same for a text that only begins a phrase."""
        return min(self._ways(places, text).values(), key=len, default="")

    def _ways(self, places: Places, text: str) -> dict[int, str]:
        """Each place that the text leads to, with what the grammar spells on the way."""
        ways = dict.fromkeys(places, "")
        for letter in text:
            onward: dict[int, str] = {}
            for place, way in ways.items():
                for after, emitted in self._after(place, letter):
                    onward.setdefault(after, way + emitted)
            ways = onward
        return ways

    def _after(self, place: int, letter: str) -> tuple[tuple[int, str], ...]:
        """Places after one letter, each with what the grammar spells for it."""
        if place == FREE:
            return ((FREE, letter),)
        moves = self._moves_from(place)
        if moves is None:
            return ((FREE, letter),)
        return moves.get(letter, ())

    def _moves_from(self, place: int) -> dict[str, tuple[tuple[int, str], ...]] | None:
        """Every letter that the model may write here and where it leads; None where free words begin."""
        moves = self._moves.get(place)
        if moves is not None:
            return moves
        position, kind = divmod(place, KINDS)
        if self._acceptor.takes_free_words(position):
            # What follows is dictation; whether it was grammar after all is for the reading of the text.
            return None
        moves = self._moves[place] = self._found_moves(place, position, kind)
        return moves

    def _found_moves(self, place: int, position: int, kind: int) -> dict[str, tuple[tuple[int, str], ...]]:
        letters = self._acceptor.letters(position)
        if kind in (THREE_LEFT_2, THREE_LEFT_1):
            left = THREE_LEFT_1 if kind == THREE_LEFT_2 else PLAIN
            return {letter: self._taken(position, letter, left) for letter in letters if letter.isdigit()}
        if kind in (MARKED, THOUSANDS):
            moves = {letter: self._taken(position, letter, PLAIN) for letter in letters if letter == " "}
            if kind == THOUSANDS:
                figures = [letter for letter in letters if letter.isdigit()]
                moves.update({letter: self._taken(position, letter, THREE_LEFT_2) for letter in figures})
            return moves
        moves = {letter: self._taken(position, letter, PLAIN) for letter in letters}
        if "-" not in moves:
            hyphen = moves.get(" ", ())
            if kind == PLAIN and not any(letter.isdigit() for letter in letters):
                hyphen = (*hyphen, (position * KINDS + PLAIN, ""))
            if hyphen:
                moves["-"] = hyphen
        moves.update({letter.upper(): moves[letter] for letter in letters if letter.islower()})
        if kind == OPENING:
            moves[" "] = ((place, ""),)
            return moves
        for mark in MARKS:
            marked = (position * KINDS + (THOUSANDS if mark == "," else MARKED), "")
            moves[mark] = (*moves.get(mark, ()), marked)
        return moves

    def _taken(self, position: int, letter: str, kind: int) -> tuple[tuple[int, str], ...]:
        after = self._acceptor.step(position, letter)
        return () if after < 0 else ((after * KINDS + kind, letter),)

    def _explore(self, places: Places) -> Onward:
        pieces: list[int] = []
        leads: list[Places] = []
        grammar_places = frozenset(place for place in places if place != FREE)
        self._descend(self._tokens.tree, grammar_places, pieces, leads)
        free = FREE in places or any(self._frees(place) for place in grammar_places)
        return Onward(np.asarray(pieces, dtype=np.int64), tuple(leads), self.may_end(places), free)

    def _descend(self, branch: Branch, places: Places, pieces: list[int], leads: list[Places]) -> None:
        # Free words are taken by the beam itself, straight from the model's own best pieces.
        moves = [found for place in places if place != FREE and (found := self._moves_from(place))]
        for letter in moves[0] if len(moves) == 1 else {letter for found in moves for letter in found}:
            onward = branch.onward.get(letter)
            if onward is None:
                continue
            after = frozenset(place for found in moves for place, _ in found.get(letter, ()))
            after = self._interned.setdefault(after, after)
            if onward.token >= 0:
                pieces.append(onward.token)
                leads.append(after)
            if onward.onward:
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
