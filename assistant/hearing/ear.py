"""The ear: frames from a microphone or a file, in stream time -> what was heard, one utterance at a time.

    ear = Ear(BuiltinRecogniser())
    for heard in ear.listen(frames, now=lambda: Listening(acceptor, reads)):
        ...

Time is counted in frames, never read from a clock: a file is heard exactly as the microphone would have been, as
fast as the machine can.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from assistant.grammar.acceptor import Acceptor
from assistant.hearing.activity import VoiceActivity
from assistant.hearing.endpoint import LONGEST_S, PAUSES, Pauses, Segmenter, wait_for
from assistant.hearing.frames import CaptureEvent, Frames
from assistant.hearing.heard import Decision, Heard, Samples
from assistant.hearing.recogniser import Reads, Recogniser

STIRS = 0.2
"""Speech probability of one frame at which somebody may have begun to speak."""


@dataclass(frozen=True, slots=True)
class Listening:
    """What may be said now."""

    acceptor: Acceptor
    reads: Reads
    may_go_on: Callable[[str], bool] | None = None
    """True where more words could change what a phrase asks for; where it is not given, whether the grammar has
    any letter to follow decides.
    """
    settled: Callable[[Heard], Heard] | None = None
    """A last look at what was heard, by somebody who knows more than what may be said now."""


@dataclass(slots=True)
class _Pending:
    """A reading made in a pause, that stands if nothing more is said."""

    heard: Heard
    wait_s: float


class Ear:
    """Listens to a stream. One instance for one stream."""

    def __init__(
        self,
        recogniser: Recogniser,
        *,
        activity: Callable[[Samples], float] | None = None,
        pauses: Pauses = PAUSES,
    ) -> None:
        """`activity` gives the speech probability of a frame; by default the neural detector."""
        self._recogniser = recogniser
        self._activity = activity or VoiceActivity()
        self._pauses = pauses
        self._segmenter = Segmenter()
        self._pending: _Pending | None = None
        self._broken = False
        self._probability = 0.0

    @property
    def hears_speech(self) -> bool:
        """True while somebody speaks: the moment to stop talking oneself."""
        return self._segmenter.open and self._segmenter.pause_s == 0

    @property
    def stirs(self) -> bool:
        """True where the last frame may be the beginning of speech: a frame or more before `hears_speech` is sure."""
        return self._probability >= STIRS

    def listen(self, frames: Iterable[CaptureEvent], now: Callable[[], Listening]) -> Iterator[Heard]:
        """Everything heard in a stream. `now` is asked at each reading, so that it may follow the talk."""
        for event in frames:
            heard = self.take(event, now)
            if heard is not None:
                yield heard
        heard = self.end(now)
        if heard is not None:
            yield heard

    def take(self, event: CaptureEvent, now: Callable[[], Listening]) -> Heard | None:
        """One more frame; the utterance that it ends, if it ends one."""
        if not isinstance(event, Frames):
            # Sound is missing: what is being said now has a hole, and must not be acted on unasked.
            self._broken = self._segmenter.open
            return None
        segmenter = self._segmenter
        self._probability = self._activity(event.samples)
        segmenter.take(event.samples, event.at_s, self._probability)
        if not segmenter.open:
            return None
        if segmenter.length_s >= LONGEST_S:
            return self.end(now)
        if segmenter.pause_s == 0:
            self._pending = None
            return None
        if self._pending is None and segmenter.pause_s >= self._pauses.read:
            self._read(now())
        if self._pending is not None and segmenter.pause_s >= self._pending.wait_s:
            return self._closed()
        return None

    def end(self, now: Callable[[], Listening]) -> Heard | None:
        """The stream is over, or must be cut here: the utterance under way, if there is one."""
        if not self._segmenter.open:
            return None
        if self._pending is None:
            self._read(now())
        return self._closed()

    def _read(self, now: Listening) -> None:
        utterance = self._segmenter.utterance()
        if utterance is None:
            self._segmenter.close()
            return
        heard = self._recogniser.hear(utterance, now.acceptor, now.reads)
        if now.settled is not None:
            heard = now.settled(heard)
        self._pending = _Pending(heard, wait_for(heard, now.acceptor, self._pauses, now.may_go_on))

    def _closed(self) -> Heard | None:
        self._segmenter.close()
        pending, self._pending = self._pending, None
        broken, self._broken = self._broken, False
        if pending is None:
            return None
        if broken and pending.heard.decision in (Decision.ACT, Decision.CONFIRM):
            return replace(pending.heard, decision=Decision.AGAIN)
        return pending.heard
