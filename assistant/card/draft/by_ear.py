"""Questions spoken and answers heard: the review with no hand on a key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from assistant.hearing.activity import VoiceActivity
from assistant.hearing.endpoint import Segmenter
from assistant.hearing.frames import Frames
from assistant.hearing.heard import Utterance
from assistant.hearing.speech_model import SpeechModel

from .sound import LEAST_CHANCE
from .trade_ear import trade_reading

PAUSE_S = 1.0
"""People stop to think in the middle of a number."""
LONGEST_ANSWER_S = 20.0


class Heard:
    """Answers out of the frames of a microphone or a file, one a question."""

    is_heard = True

    def __init__(
        self,
        frames: Iterable[object],
        say: Callable[[str], None],
        model: SpeechModel | None = None,
        show: Callable[[str], None] = lambda _: None,
    ) -> None:
        """`say` speaks and returns when the words are out; `show` puts on the screen what was asked and heard."""
        self._frames = iter(frames)
        self._say = say
        self._show = show
        self._model = model or SpeechModel()

    def tell(self, words: str) -> None:
        self._show(words)
        self._say(words)

    def ask(self, words: str) -> str | None:
        """The next thing said after the question; said again is asked for what is half heard. None at the end."""
        self.tell(words)
        for utterance in answers(self._frames):
            said, chance = trade_reading(self._model, utterance)
            if not any(letter.isalnum() for letter in said):
                continue
            if chance < LEAST_CHANCE:
                self.tell("Say again.")
                continue
            self._show(f"> {said}")
            return said
        return None


def answers(frames: Iterator[object]) -> Iterator[Utterance]:
    """Utterances from here on. Frames taken for one are not given back, so a question hears only what follows it."""
    activity, segmenter = VoiceActivity(), Segmenter()
    for event in frames:
        if not isinstance(event, Frames):
            continue
        segmenter.take(event.samples, event.at_s, activity(event.samples))
        if segmenter.open and (segmenter.pause_s >= PAUSE_S or segmenter.length_s >= LONGEST_ANSWER_S):
            utterance = segmenter.utterance()
            segmenter.close()
            if utterance is not None:
                yield utterance
    if segmenter.open and (utterance := segmenter.utterance()) is not None:
        yield utterance
