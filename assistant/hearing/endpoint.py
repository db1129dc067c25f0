"""Where an utterance begins and ends, in stream time.

A fixed short silence cuts "one hundred ... ten" in two; a fixed long one makes every answer slow. So the end is
asked for in two steps: after a short pause what has been said so far may be read, and what it says tells how
long to wait for more (`wait_for`): not at all where the phrase cannot go on, long where a number can.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np

from assistant.grammar.acceptor import Acceptor
from assistant.hearing.frames import FRAME, FRAME_S
from assistant.hearing.heard import Decision, Heard, Samples, Utterance
from assistant.hearing.sound_alikes import NUMBER


@dataclass(frozen=True, slots=True)
class Pauses:
    """Seconds of silence; each is common practice refined on the held-in voices."""

    read: float = 0.22
    """After this much, what was said so far is read."""
    words: float = 0.45
    """Waited where the phrase could go on by plain words ("next" ... "step")."""
    number: float = 1.0
    """Waited where a number could go on, or a phrase is begun and not ended: people look at the wrench first."""
    free: float = 1.2
    """Waited in free words (a note)."""
    unclear: float = 0.6
    """Waited where nothing fits yet."""


PAUSES = Pauses()
SPEECH_ON, SPEECH_OFF = 0.5, 0.3
"""Speech probability at which an utterance begins, and under which a pause begins."""
FRAMES_ON = 2
"""Frames of speech that begin an utterance; a single one is a click."""
BEFORE_S, AFTER_S = 0.30, 0.20
"""Sound kept before the first and after the last frame of speech: soft consonants score low."""
LONGEST_S = 28.0
"""An utterance is cut here: nobody asks for anything that long, and a note can be continued."""
LEAST_SPEECH_S = 0.1
INNER_PAUSE_S, INNER_KEPT_S = 0.35, 0.18
"""A pause inside an utterance longer than the first is shortened to the second before reading: the model was
trained on fluent speech, and writes "100. 10" for "one hundred ... ten" otherwise."""


class GoesOn(Enum):
    """How a phrase might go on from where it is."""

    NOT = "not"
    WORDS = "words"
    NUMBER = "number"
    FREE = "free"


def goes_on(acceptor: Acceptor, words: str, may_go_on: Callable[[str], bool] | None = None) -> GoesOn:
    """How the phrase (in the grammar's spelling) might go on; `may_go_on` tells whether that could matter."""
    position = acceptor.start
    for letter in words:
        position = acceptor.step(position, letter)
        if position < 0:
            return GoesOn.FREE
        if acceptor.takes_free_words(position):
            return GoesOn.FREE
    spaced = acceptor.step(position, " ")
    if spaced >= 0 and acceptor.takes_free_words(spaced):
        return GoesOn.FREE
    last = words.rsplit(" ", 1)[-1]
    # "Fourteen" goes on to "fourteen hundred", and "one hundred", written 100, to 110: letters do not show it.
    if NUMBER.fullmatch(last) or last in ("point", "hundred", "thousand", "half") or last[-1:].isdigit():
        return GoesOn.NUMBER
    onward = may_go_on(words) if may_go_on else bool(acceptor.letters(position))
    return GoesOn.WORDS if onward else GoesOn.NOT


def wait_for(
    heard: Heard, acceptor: Acceptor, pauses: Pauses = PAUSES, may_go_on: Callable[[str], bool] | None = None
) -> float:
    """Seconds of silence after which what was heard stands."""
    if heard.decision is Decision.AGAIN:
        return pauses.number
    if heard.best is None or heard.decision is Decision.IGNORE:
        return pauses.unclear
    return {
        GoesOn.NOT: pauses.read,
        GoesOn.WORDS: pauses.words,
        GoesOn.NUMBER: pauses.number,
        GoesOn.FREE: pauses.free,
    }[goes_on(acceptor, heard.best.words, may_go_on)]


@dataclass(frozen=True, slots=True)
class _Heard:
    samples: Samples
    is_speech: bool


class Segmenter:
    """Gathers frames into an utterance. Knows no grammar: it tells the pause, others tell what it means."""

    def __init__(self) -> None:
        self._before: deque[_Heard] = deque(maxlen=round(BEFORE_S / FRAME_S))
        self._frames: list[_Heard] = []
        self._begin_s = 0.0
        self._last_speech = -1
        self._run = 0

    @property
    def open(self) -> bool:
        """True from the first speech of an utterance until it is closed."""
        return bool(self._frames)

    @property
    def pause_s(self) -> float:
        """Seconds since the last speech; 0 while somebody speaks."""
        return (len(self._frames) - 1 - self._last_speech) * FRAME_S if self._frames else 0.0

    @property
    def length_s(self) -> float:
        """Seconds gathered."""
        return len(self._frames) * FRAME_S

    def take(self, samples: Samples, at_s: float, probability: float) -> None:
        """One more frame, with its time in the stream and the probability that it holds speech."""
        is_speech = probability >= (SPEECH_OFF if self._frames and self.pause_s == 0 else SPEECH_ON)
        frame = _Heard(samples, is_speech)
        if self._frames:
            self._frames.append(frame)
            if is_speech:
                self._last_speech = len(self._frames) - 1
            return
        self._run = self._run + 1 if is_speech else 0
        self._before.append(frame)
        if self._run >= FRAMES_ON:
            self._frames = list(self._before)
            self._begin_s = at_s - (len(self._frames) - 1) * FRAME_S
            self._last_speech = len(self._frames) - 1

    def utterance(self) -> Utterance | None:
        """What has been gathered, its long pauses shortened; None where it is too little to be speech."""
        speech = [number for number, frame in enumerate(self._frames) if frame.is_speech]
        if len(speech) * FRAME_S < LEAST_SPEECH_S:
            return None
        end = min(self._last_speech + 1 + round(AFTER_S / FRAME_S), len(self._frames))
        start_s = self._begin_s + speech[0] * FRAME_S
        end_s = self._begin_s + (self._last_speech + 1) * FRAME_S
        return Utterance(_fluent(self._frames[:end]), start_s, end_s)

    def close(self) -> None:
        """Ends the utterance; what came after its last speech may begin the next."""
        self._before.clear()
        self._before.extend(self._frames[self._last_speech + 1 :])
        self._frames = []
        self._run = 0
        self._last_speech = -1


def _fluent(frames: list[_Heard]) -> Samples:
    """The sound of the frames with every long pause between speech shortened, joined by a short fade."""
    kept: list[Samples] = []
    speech = [number for number, frame in enumerate(frames) if frame.is_speech]
    start = 0
    for last, following in pairwise(speech):
        pause = following - last - 1
        if pause * FRAME_S > INNER_PAUSE_S:
            half = max(round(INNER_KEPT_S / FRAME_S / 2), 1)
            kept.append(np.concatenate([frame.samples for frame in frames[start : last + 1 + half]]))
            start = following - half
    kept.append(np.concatenate([frame.samples for frame in frames[start:]]))
    joined = kept[0]
    fade = FRAME // 2
    ramp = np.linspace(0, 1, fade, dtype=np.float32)
    for piece in kept[1:]:
        seam = joined[-fade:] * (1 - ramp) + piece[:fade] * ramp
        joined = np.concatenate([joined[:-fade], seam, piece[fade:]])
    return joined
