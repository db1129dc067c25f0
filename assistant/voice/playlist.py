"""What is to be sounded next, block by block: a queue that can be cut, held and taken up again. Pure of any device.

The loudspeaker takes blocks out; everybody else puts pieces in. Each block is stamped with the time at which it
leaves the loudspeaker, so that the ear can be deaf to exactly what we said (see `sounded_within`).
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

FADE_S = 0.01
"""A cut fades over this much, so that it does not click."""
_HOP_S, _QUIET_HOPS, _QUIET = 0.01, 3, 0.05
"""So many hops, the peak of each under this share of the sentence's, part two words."""
_REMEMBER_S = 120.0
"""How long it is known when we sounded; longer than any utterance waits to be read."""


class Priority(IntEnum):
    """Who goes first where several wait. Nothing that is being spoken is ever cut by another piece."""

    ALERT = 0
    """A timer, a lost microphone: goes before all, and `stop` leaves it waiting."""
    ANSWER = 1
    STEP = 2
    """The next step's text after an answer."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing to sound."""

    samples: Samples
    """Mono at the playlist's rate."""
    text: str = ""
    """What it says; empty for a small sound."""
    priority: Priority = Priority.ANSWER
    sentences: tuple[int, ...] = (0,)
    """Sample index of each sentence's beginning, ascending from 0."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch in which the loudspeaker sounded, seconds on the clock that stamps the blocks."""

    begin_s: float
    end_s: float


class Playlist:
    """Safe to use from several threads; `take` holds the lock for one block's copying only."""

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self._lock = threading.Lock()
        self._waiting: list[Piece] = []
        self._piece: Piece | None = None
        self._position = 0
        self._fade: Samples = np.zeros(0, np.float32)
        self._held = False
        self._spans: deque[Span] = deque()

    def add(self, piece: Piece) -> None:
        """Last among those of its priority. An empty piece is left out."""
        if not len(piece.samples):
            return
        with self._lock:
            place = len(self._waiting)
            while place and self._waiting[place - 1].priority > piece.priority:
                place -= 1
            self._waiting.insert(place, piece)

    def stop(self, faded: bool = True) -> tuple[str, ...]:
        """Cuts what is being spoken, forgets what waits but alerts; returns the texts that were not said whole.

        Not `faded` where the loudspeaker drops what it holds: the fade would come after the silence.
        """
        with self._lock:
            unsaid = [self._piece.text] if self._piece else []
            unsaid += [piece.text for piece in self._waiting if piece.priority > Priority.ALERT]
            self._begin_fade(faded)
            self._piece, self._position, self._held = None, 0, False
            self._waiting = [piece for piece in self._waiting if piece.priority == Priority.ALERT]
            return tuple(text for text in unsaid if text)

    def hold(self, unheard_s: float = 0.0) -> None:
        """Silent from the next block on; nothing is lost. `unheard_s` of what was taken will not have sounded."""
        with self._lock:
            if self._held:
                return
            self._begin_fade(faded=not unheard_s)
            self._position = max(self._position - round(unheard_s * self.rate), 0)
            self._held = True

    def go_on(self) -> None:
        """Ends a hold; the sentence that it cut begins again, so that no value is spoken half."""
        with self._lock:
            if self._held and self._piece is not None:
                self._position = max(s for s in self._piece.sentences if s <= self._position)
            self._held = False

    def take_up(self) -> None:
        """Ends a hold that lasted a moment only: on with the word that it cut."""
        with self._lock:
            if self._held and self._piece is not None:
                sentence = max(s for s in self._piece.sentences if s <= self._position)
                self._position = sentence + _word_before(self._piece.samples[sentence : self._position], self.rate)
            self._held = False

    def take(self, count: int, at_s: float) -> Samples:
        """The next `count` samples; they leave the loudspeaker from `at_s` on."""
        block = np.zeros(count, np.float32)
        with self._lock:
            filled = self._take_fade(block)
            while filled < count and not self._held:
                if self._piece is None:
                    if not self._waiting:
                        break
                    self._piece, self._position = self._waiting.pop(0), 0
                part = self._piece.samples[self._position : self._position + count - filled]
                block[filled : filled + len(part)] += part
                filled += len(part)
                self._position += len(part)
                if self._position >= len(self._piece.samples):
                    self._piece = None
            if filled:
                self._mark(at_s, at_s + filled / self.rate)
        return block

    @property
    def is_speaking(self) -> bool:
        """True while anything sounds or waits; a hold counts, since it may go on."""
        with self._lock:
            return self._piece is not None or bool(self._waiting) or len(self._fade) > 0

    @property
    def is_held(self) -> bool:
        return self._held

    @property
    def waiting_s(self) -> float:
        """Seconds of sound still to come."""
        with self._lock:
            rest = 0 if self._piece is None else len(self._piece.samples) - self._position
            return (rest + sum(len(piece.samples) for piece in self._waiting)) / self.rate

    def sounded_within(self, begin_s: float, end_s: float) -> bool:
        """True if the loudspeaker sounded at any time between the two."""
        with self._lock:
            return any(span.begin_s < end_s and begin_s < span.end_s for span in reversed(self._spans))

    def _begin_fade(self, faded: bool) -> None:
        if self._piece is None or self._held or not faded:
            return
        tail = self._piece.samples[self._position : self._position + round(FADE_S * self.rate)]
        self._fade = (tail * np.linspace(1, 0, len(tail))).astype(np.float32)

    def _take_fade(self, block: Samples) -> int:
        part = self._fade[: len(block)]
        block[: len(part)] = part
        self._fade = self._fade[len(part) :]
        return len(part)

    def _mark(self, begin_s: float, end_s: float) -> None:
        last = self._spans[-1] if self._spans else None
        if last is not None and begin_s - last.end_s < 2 * FADE_S:
            self._spans[-1] = Span(last.begin_s, max(last.end_s, end_s))
        else:
            self._spans.append(Span(begin_s, end_s))
        while self._spans[0].end_s < end_s - _REMEMBER_S:
            self._spans.popleft()


def _word_before(said: Samples, rate: int) -> int:
    """Where the last word of what was said begins: after its last stretch that is as good as silent; 0 without one."""
    hop = max(round(_HOP_S * rate), 1)
    whole = len(said) // hop * hop
    if not whole:
        return 0
    loudest = np.abs(said[:whole]).reshape(-1, hop).max(axis=1)
    quiet = loudest < _QUIET * max(float(loudest.max()), 1e-6)
    ends = np.flatnonzero(np.convolve(quiet, np.ones(_QUIET_HOPS), "valid") >= _QUIET_HOPS) + _QUIET_HOPS
    return int(ends[-1]) * hop if len(ends) else 0
