"""A narration spoken by a synthesised voice, sentence by sentence with a breath between."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import soundfile

from assistant.hearing.heard import SAMPLE_RATE
from tests.sound.voices import speak

BREATH_S = 0.9


def spoken(text: str, voice: str, file: Path) -> Path:
    """Writes the sound; WAV or FLAC by the file's name."""
    breath = np.zeros(int(SAMPLE_RATE * BREATH_S), np.float32)
    parts = [part for part in re.split(r"(?<=[.?!])\s+", " ".join(text.split())) if part]
    soundfile.write(
        file, np.concatenate([piece for part in parts for piece in (speak(part, voice), breath)]), SAMPLE_RATE
    )
    return file
