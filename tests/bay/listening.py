"""Knowing a rendered sentence again in a recording: by the shape of its spectrum over time.

The samples themselves will not do: espeak keeps a little state from one text to the next, so the same words differ
in phase each time they are rendered.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt
import soxr

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.voice.speak import Speech

Levels = npt.NDArray[np.float64]

_WINDOW, _HOP = 400, 160
_PIECE = 20
"""Windows a piece: 0.2 s, about a syllable."""
_NEAR = 4
"""Windows that a piece may lie off its place: a busy machine drops a block of sound now and then."""
_ALIKE, _ALIKE_PIECE = 0.85, 0.8
"""Measured: whole sentences that were said 0.92 and more, with another figure in them 0.81 and less; pieces that were
said 0.87 and more, other figures 0.59 and less."""
_DROPPED = 0.1
"""Share of the pieces, one at least, that a dropped block may spoil."""
_BANDS = np.geomspace(150, 6000, 25)


def says(recording: Samples, speech: Speech) -> bool:
    """Whether every sentence of the speech is in the recording (at SAMPLE_RATE), word for word."""
    ends = [*speech.sentences[1:], len(speech.samples)]
    sentences = [speech.samples[start:end] for start, end in zip(speech.sentences, ends, strict=True)]
    heard = _levels(recording)
    return all(_in(heard, _at_ear_rate(np.trim_zeros(sentence), speech.rate)) for sentence in sentences)


def _in(heard: Levels, sentence: Samples) -> bool:
    if len(sentence) < _WINDOW + _HOP:
        return True
    usual = heard.mean(axis=0)
    heard, wanted = heard - usual, _levels(sentence) - usual
    places = len(heard) - len(wanted) + 1
    fits = [_likeness(heard[place : place + len(wanted)], wanted) for place in range(max(places, 0))]
    if not fits or max(fits) < _ALIKE:
        return False
    best = int(np.argmax(fits))
    starts = range(0, max(len(wanted) - _PIECE, 0) + 1, _PIECE)
    unlike = sum(_near(heard, best + start, wanted[start : start + _PIECE]) < _ALIKE_PIECE for start in starts)
    return unlike <= max(1, len(starts) * _DROPPED)


def _near(heard: Levels, place: int, piece: Levels) -> float:
    stretches = (heard[at : at + len(piece)] for at in range(max(place - _NEAR, 0), place + _NEAR + 1))
    return max(_likeness(stretch, piece) for stretch in stretches if len(stretch) == len(piece))


def _likeness(one: Levels, other: Levels) -> float:
    return float(np.sum(one * other) / np.sqrt(np.sum(one**2) * np.sum(other**2) + 1e-12))


def _levels(sound: Samples) -> Levels:
    """Windows by bands, dB."""
    windows = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW)[::_HOP] * np.hanning(_WINDOW)
    power = np.abs(np.fft.rfft(windows, 512)) ** 2
    hz = np.fft.rfftfreq(512, 1 / SAMPLE_RATE)
    bands = [power[:, (hz >= low) & (hz < high + 40)].sum(axis=1) for low, high in pairwise(_BANDS)]
    return np.asarray(10 * np.log10(np.stack(bands, axis=1) + 1e-4))


def _at_ear_rate(samples: Samples, rate: int) -> Samples:
    return np.asarray(soxr.resample(samples, rate, SAMPLE_RATE), np.float32)
