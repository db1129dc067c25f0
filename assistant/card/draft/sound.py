"""A narration from sound: voice activity cuts it into stretches, the builtin model reads each freely."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from assistant.hearing.activity import VoiceActivity
from assistant.hearing.endpoint import Segmenter
from assistant.hearing.files import frames, inspected
from assistant.hearing.frames import Frames
from assistant.hearing.heard import Utterance
from assistant.hearing.speech_model import SpeechModel

from .errors import DraftError
from .narration import Narration, Passage, Skipped, clock
from .trade_ear import trade_reading

Progress = Callable[[float, float], None]
"""Seconds read so far, seconds in all."""

PAUSE_S = 0.7
"""A silence this long ends a stretch."""
BREATH_S = 0.25
LONG_S = 14.0
"""A stretch this long ends at the next breath."""
LONGEST_S = 27.0
LEAST_CHANCE = -1.3
"""Mean natural-log probability a piece; under it the reading is a guess, and is listed as not understood."""


def read_sound_file(path: Path, progress: Progress | None = None, model: SpeechModel | None = None) -> Narration:
    """What is said in a sound file, passage by passage. Raises SoundFileError for what is no sound, DraftError where
    nobody speaks."""
    recording = inspected(path)
    model = model or SpeechModel()
    passages: list[Passage] = []
    skipped: list[Skipped] = []
    for utterance in stretches(frames(recording), lambda at_s: progress(at_s, recording.seconds) if progress else None):
        words, chance = trade_reading(model, utterance)
        if not any(letter.isalnum() for letter in words):
            continue
        if chance < LEAST_CHANCE:
            skipped.append(Skipped(clock(utterance.start_s), words[:200], "heard, not understood"))
            continue
        passages.append(Passage(words, utterance.start_s, utterance.end_s))
    if progress:
        progress(recording.seconds, recording.seconds)
    if not passages:
        found = "speech that cannot be understood" if skipped else "no speech"
        raise DraftError(
            f"{path.name}: there is {found} in this sound ({clock(recording.seconds)} long). "
            "Give a recording of a person who talks through the job, close to the microphone."
        )
    return Narration(path.name, "sound", tuple(passages), tuple(skipped))


def stretches(sound: Iterable[Frames], at: Callable[[float], None] = lambda _: None) -> Iterator[Utterance]:
    """The stretches of speech in the sound, none longer than the model reads well."""
    activity, segmenter = VoiceActivity(), Segmenter()
    for number, frame in enumerate(sound):
        segmenter.take(frame.samples, frame.at_s, activity(frame.samples))
        long = segmenter.length_s > LONG_S and segmenter.pause_s >= BREATH_S
        if segmenter.open and (segmenter.pause_s >= PAUSE_S or long or segmenter.length_s >= LONGEST_S):
            if (utterance := segmenter.utterance()) is not None:
                yield utterance
            segmenter.close()
        if number % 30 == 0:
            at(frame.at_s)
    if segmenter.open and (utterance := segmenter.utterance()) is not None:
        yield utterance
