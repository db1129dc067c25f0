"""The listener of these tests can tell what was said from what was nearly said."""

from __future__ import annotations

import numpy as np
import pytest
import soxr

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.voice.speak import Espeak
from assistant.voice.wording import speakable
from tests.bay.listening import says

SAID = ("Cover bolts: 25 N·m, 2 5.", "Done. Step 2 of 3: take the cover off.", "Flywheel bolts: 65 N·m, 6 5.")
NOT_SAID = ("Cover bolts: 26 N·m, 2 6.", "Step 3 of 3: fit the cover.", "Flywheel bolts: 75 N·m, 7 5.", "Wheel nuts.")


@pytest.fixture(scope="module")
def recording() -> Samples:
    """All of SAID one after the other, at the loudspeaker's volume, with noise and a dropped block in each."""
    draw = np.random.default_rng(4)
    parts = [np.zeros(8000, np.float32)]
    for text in SAID:
        speech = Espeak().render(speakable(text))
        sound = soxr.resample(speech.samples, speech.rate, SAMPLE_RATE)
        parts += [np.delete(sound, slice(9000, 9320)), np.zeros(6000, np.float32)]
    sound = 0.4 * np.concatenate(parts)
    return np.asarray(sound + 0.0005 * draw.standard_normal(len(sound)), np.float32)


@pytest.mark.parametrize("text", SAID)
def test_what_was_said_is_known(text: str, recording: Samples) -> None:
    assert says(recording, Espeak().render(speakable(text)))


@pytest.mark.parametrize("text", NOT_SAID)
def test_another_figure_is_not(text: str, recording: Samples) -> None:
    assert not says(recording, Espeak().render(speakable(text)))
