"""The free reading of a stretch of sound, leaning towards the trade's words: "bolts" rather than "boats" where the
sound fits both about as well. Nothing is left out of the vocabulary, and a number gets no help: what was said as
fifteen is not pulled towards fifty.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from assistant.hearing.builtin import fitted
from assistant.hearing.heard import SAMPLE_RATE, Samples, Utterance
from assistant.hearing.speech_model import SpeechModel
from assistant.hearing.tokens import END

from .lexicon import lexicon

SLOTS = 4
"""Texts followed at once."""
NEXT = 6
"""Pieces tried after each."""
HELP = 1.6
"""Nats that a whole word of the trade is worth; tuned on the held-in voices of tests/sound."""
LETTERS_TO_EARN_IT = 4
"""A word that may become one has its full help from this letter on; it is taken back when it does not."""
PIECES_A_SECOND = 7
"""More than people speak: what writes more is in a loop, as the model is on music."""
SHORT_S = 4.0
"""Up to this an utterance is an answer, not a narration: it may cost twice the time."""
SHORTEST = 4
"""Letters; shorter words of the trade (nut, jack is longer) gain nothing: they hide in other words."""


@dataclass(slots=True)
class Branch:
    """One letter in the tree of the trade's words."""

    onward: dict[str, Branch] = field(default_factory=dict)
    is_word: bool = False


@lru_cache(maxsize=1)
def trade_words() -> Branch:
    """The words of the lexicon and of the units, as a tree of letters."""
    book = lexicon()
    words = {word for phrase in (*book.nouns, *book.verbs) for word in phrase.split()}
    words |= {
        "newton",
        "metres",
        "meters",
        "millimetres",
        "millimeters",
        "pounds",
        "litres",
        "liters",
        "kilos",
        "kilograms",
        "degrees",
    }
    root = Branch()
    for word in sorted(words):
        if len(word) < SHORTEST or not word.isalpha():
            continue
        at = root
        for letter in word:
            at = at.onward.setdefault(letter, Branch())
        at.is_word = True
    return root


@dataclass(frozen=True, slots=True)
class _Slot:
    pieces: tuple[int, ...]
    total: float
    """Natural-log probability."""
    gained: float
    """Help for the words that are whole."""
    at: Branch | None
    """In the tree; None inside a word that is none of the trade's."""
    letters: int = 0
    help_nats: float = HELP

    @property
    def hope(self) -> float:
        earned = min(1.0, self.letters / LETTERS_TO_EARN_IT)
        return self.help_nats * earned if self.at is not None else 0.0

    @property
    def rank(self) -> float:
        return self.total + self.gained + self.hope

    def ended(self, chance: float) -> _Slot:
        whole = self.help_nats if self.at is not None and self.at.is_word and self.letters else 0.0
        return _Slot(self.pieces, self.total + chance, self.gained + whole, None, 0, self.help_nats)


def trade_reading(model: SpeechModel, utterance: Utterance, help_nats: float = HELP) -> tuple[str, float]:
    """The text of one stretch, and its mean natural-log probability a piece (without the help).

    A short answer is listened to twice, close and with silence around it: which of them the model follows better
    differs from one to the next, and the likelier is taken.
    """
    samples = utterance.samples
    found = [_read(model, fitted(samples), samples, help_nats)]
    if len(samples) <= SHORT_S * SAMPLE_RATE:
        found.append(_read(model, fitted(samples, around_s=0), samples, help_nats))
    text, chance, _ = max(found, key=lambda each: each[2])
    return text, chance


def _read(model: SpeechModel, heard: Samples, samples: Samples, help_nats: float) -> tuple[str, float, float]:
    """Text, mean log-probability a piece, and the same with the help."""
    sound, chances, caches = model.listen(heard)
    most = 12 + int(PIECES_A_SECOND * len(samples) / SAMPLE_RATE)
    root = trade_words()
    slots = [_Slot((), 0.0, 0.0, root, 0, help_nats)]
    finished: list[_Slot] = []
    for _ in range(most):
        candidates: list[tuple[float, int, _Slot]] = []
        for row, slot in enumerate(slots):
            chance = chances[row]
            for piece in np.argpartition(chance, -NEXT)[-NEXT:]:
                gain = float(chance[piece])
                if int(piece) == END:
                    finished.append(slot.ended(gain))
                    continue
                grown = _grown(model, slot, int(piece), gain, root)
                candidates.append((grown.rank, row, grown))
        candidates.sort(key=lambda candidate: candidate[0], reverse=True)
        chosen = candidates[:SLOTS]
        best = max((_mean(slot) for slot in finished), default=float("-inf"))
        if not chosen or (
            finished and best > max((rank / (len(slot.pieces) + 1) for rank, _, slot in chosen), default=0)
        ):
            break
        slots = [slot for _, _, slot in chosen]
        if _loops(slots[0].pieces):
            break
        rows = [row for _, row, _ in chosen]
        caches = tuple(cache[rows] for cache in caches)
        chances, caches = model.onward(sound, caches, [slot.pieces[-1] for slot in slots])
    if not finished:
        return model.tokens.text(slots[0].pieces[: len(slots[0].pieces) // 4]).strip(), float("-inf"), float("-inf")
    chosen_text = max(finished, key=_mean)
    return (
        model.tokens.text(chosen_text.pieces).strip(),
        chosen_text.total / (len(chosen_text.pieces) + 1),
        _mean(chosen_text),
    )


def _mean(slot: _Slot) -> float:
    return (slot.total + slot.gained) / (len(slot.pieces) + 1)


def _grown(model: SpeechModel, slot: _Slot, piece: int, gain: float, root: Branch) -> _Slot:
    """The slot with one more piece, its help brought up to date letter by letter."""
    at, letters, gained = slot.at, slot.letters, slot.gained
    for letter in model.tokens.piece(piece).lower():
        if letter.isalpha():
            at = at.onward.get(letter) if at is not None else None
            letters += 1
            continue
        if at is not None and at.is_word and letters:
            gained += slot.help_nats
        at, letters = root, 0
    return _Slot((*slot.pieces, piece), slot.total + gain, gained, at, letters, slot.help_nats)


def _loops(pieces: tuple[int, ...]) -> bool:
    """The same few pieces again and again."""
    return len(pieces) >= 32 and len(set(pieces[-32:])) <= 6
