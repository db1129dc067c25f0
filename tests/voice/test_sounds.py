"""The small sounds are told apart where a bay is loud."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import numpy.typing as npt
import pytest

from assistant.dialogue.reply import Sound
from assistant.voice.sounds import FIGURES, small_sound

RATE = 16_000
SOUNDS = tuple(FIGURES)
Samples = npt.NDArray[np.float64]


def _bay_noise(seconds: float, seed: int) -> Samples:
    """Compressor hum with harmonics, hiss of an air line, bursts of an impact wrench; made here, RMS 1."""
    draw = np.random.default_rng(seed)
    count = round(seconds * RATE)
    t = np.arange(count) / RATE
    hum = sum(np.sin(2 * np.pi * 50 * k * t + draw.uniform(0, 6)) / k for k in (1, 2, 3, 4, 6))
    hiss = 0.5 * draw.standard_normal(count)
    blows = np.zeros(count)
    for start in draw.integers(0, count - 400, 24):
        blows[start : start + 400] += 4 * draw.standard_normal(400) * np.exp(-np.arange(400) / 90)
    noise = hum + hiss + blows
    return np.asarray(noise / np.sqrt(np.mean(noise**2)))


def _which(heard: Samples) -> Sound:
    """The sound whose shape fits best: a matched filter, energy against energy."""

    def fit(sound: Sound) -> float:
        shape = small_sound(sound, RATE).astype(np.float64)
        size = 1 << (len(heard) + len(shape)).bit_length()
        match = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(shape, size)), size)
        return float(np.abs(match).max() / np.sqrt(np.sum(shape**2)))

    return max(SOUNDS, key=fit)


def test_every_meaning_has_a_sound_and_silence_has_none() -> None:
    assert set(FIGURES) == set(Sound) - {Sound.NONE}
    assert len(small_sound(Sound.NONE, RATE)) == 0


@pytest.mark.parametrize("sound", SOUNDS)
@pytest.mark.parametrize("seed", range(12))
def test_each_is_told_apart_with_noise_as_loud_as_itself(sound: Sound, seed: int) -> None:
    """0 dB: RMS of the noise equals RMS of the sound over its own length."""
    shape = small_sound(sound, RATE).astype(np.float64)
    noise = _bay_noise(2.0, seed) * np.sqrt(np.mean(shape**2))
    noise[4000 : 4000 + len(shape)] += shape
    assert _which(noise) is sound


@pytest.mark.parametrize(("one", "other"), list(combinations(SOUNDS, 2)))
def test_no_two_share_their_spectrum(one: Sound, other: Sound) -> None:
    def spectrum(sound: Sound) -> Samples:
        power = np.abs(np.fft.rfft(small_sound(sound, RATE), 2**15)) ** 2
        bands = power[: 2**14].reshape(256, 64).sum(axis=1)
        return np.asarray(np.sqrt(bands / bands.sum()))

    assert float(spectrum(one) @ spectrum(other)) < 0.6


@pytest.mark.parametrize("sound", SOUNDS)
def test_pitch_lies_above_the_hum_and_below_the_hiss(sound: Sound) -> None:
    power = np.abs(np.fft.rfft(small_sound(sound, RATE))) ** 2
    hz = np.fft.rfftfreq(len(small_sound(sound, RATE)), 1 / RATE)
    assert power[(hz > 500) & (hz < 3000)].sum() > 0.97 * power.sum()


@pytest.mark.parametrize("sound", SOUNDS)
def test_short_and_never_clipping(sound: Sound) -> None:
    samples = small_sound(sound, RATE)
    assert len(samples) / RATE < 1.3
    assert np.abs(samples).max() <= 0.5
    assert abs(samples[0]) < 0.02
