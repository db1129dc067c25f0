"""What the tests of the ear share: one loaded engine, a small shop grammar, and the way to say things to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
import pytest

from assistant.grammar.request import Request
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.files import as_frames
from assistant.hearing.heard import Heard, Samples, Utterance
from assistant.hearing.sound_alikes import NUMBER, spellings, value_of
from tests.sound import noises, voices

CLEAR = voices.available(("piper:joe", "flite:slt", "espeak:en-us+f2"))[0]
"""The best voice on this machine."""


class PhraseList:
    """An acceptor of a list of phrases; `free` ones go on in free words."""

    def __init__(self, phrases: Iterable[str], free: Iterable[str] = ()) -> None:
        self._onward: list[dict[str, int]] = [{}]
        self._ends: set[int] = set()
        self._free: set[int] = set()
        for phrase in phrases:
            self._ends.add(self._add(phrase))
        for phrase in free:
            self._ends.add(self._add(phrase))
            self._free.add(self._add(phrase + " "))

    def _add(self, phrase: str) -> int:
        position = 0
        for letter in phrase:
            if letter not in self._onward[position]:
                self._onward.append({})
                self._onward[position][letter] = len(self._onward) - 1
            position = self._onward[position][letter]
        return position

    @property
    def start(self) -> int:
        return 0

    @property
    def family(self) -> object:
        return self

    def step(self, position: int, letter: str) -> int:
        return self._onward[position].get(letter, -1)

    def may_end(self, position: int) -> bool:
        return position in self._ends

    def letters(self, position: int) -> str:
        return "".join(sorted(self._onward[position]))

    def takes_free_words(self, position: int) -> bool:
        return position in self._free


FASTENERS = ("flywheel bolts", "crossmember bolts", "drain plug")
UNITS = ("newton metres", "newton meters", "foot pounds")


def shop_phrases() -> list[str]:
    """A few commands, questions about three fasteners, and torques to 199 in two units."""
    phrases = ["next", "next step", "go back", "what is left", "stop", "yes", "no"]
    for fastener in FASTENERS:
        phrases += [f"what is the torque for the {fastener}", f"how many {fastener}"]
        for value in range(1, 200):
            for spelled in spellings(value):
                phrases += [f"torqued the {fastener} to {spelled} {unit}" for unit in UNITS]
    for value in range(200):
        phrases += spellings(value)
    return phrases


def reads_shop(words: str) -> Request | None:
    """The phrase with its number taken out is the request's name; the number its `value`."""
    if words.startswith("take a note"):
        return Request("note", {"text": words.removeprefix("take a note").strip()}, words)
    number = NUMBER.search(words)
    value = value_of(number.group()) if number else None
    slots = {"value": value} if value is not None else {}
    return Request(NUMBER.sub("#", words).replace("meters", "metres"), slots, words)


@dataclass(frozen=True, slots=True)
class Shop:
    """The engine with the small grammar."""

    recogniser: BuiltinRecogniser
    acceptor: PhraseList
    reads: Callable[[str], Request | None] = reads_shop

    def hears(self, sound: Samples) -> Heard:
        """One utterance, read."""
        padded = np.concatenate([noises.quiet(0.2, 1), sound, noises.quiet(0.2, 2)])
        return self.recogniser.hear(Utterance(padded, 0.0, len(padded) / 16_000), self.acceptor, self.reads)

    def listens(self, sound: Samples) -> list[Heard]:
        """A stream, heard to its end."""
        ear = Ear(self.recogniser)
        return list(ear.listen(as_frames(sound), lambda: Listening(self.acceptor, self.reads)))


@pytest.fixture(scope="session")
def shop() -> Shop:
    return Shop(BuiltinRecogniser(threads=2), PhraseList(shop_phrases(), free=["take a note"]))
