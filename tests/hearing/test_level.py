"""Levels in dB re full scale, and what is wrong with a sound."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.hearing.frames import FRAME, FRAME_S
from assistant.hearing.heard import SAMPLE_RATE
from assistant.hearing.level import SENTENCES, Fault, Level, LevelMeter, faults, hum

_T = np.arange(SAMPLE_RATE * 12) / SAMPLE_RATE


def _measured(sound: np.ndarray, speech: np.ndarray | None = None) -> Level:
    meter = LevelMeter()
    for start in range(0, len(sound) - FRAME + 1, FRAME):
        said = 0.0 if speech is None else float(speech[start])
        meter.take(sound[start : start + FRAME].astype(np.float32), said)
    return meter.level()


def _noise(db: float, seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal(len(_T)) * 10 ** (db / 20)


def test_a_full_scale_sine_is_minus_3_db() -> None:
    """Mean power of a sine is half its peak's square."""
    level = _measured(np.sin(2 * np.pi * 440 * _T) * 0.98)
    assert level.now_db == pytest.approx(-3.0 - 0.18, abs=0.2)
    assert level.peak_db == pytest.approx(-0.18, abs=0.05)


@pytest.mark.parametrize("snr_db", [0, 5, 10, 20])
def test_snr_is_speech_power_over_noise_power(snr_db: int) -> None:
    """Speech stands for by a second noise of known power, on in every other second."""
    on = (_T % 2) < 1
    sound = _noise(-45) + _noise(-45 + snr_db, seed=4) * on
    level = _measured(sound, on.astype(float))
    assert level.noise_db == pytest.approx(-45, abs=0.6)
    assert level.snr_db == pytest.approx(snr_db, abs=0.9)


def test_without_speech_there_is_no_snr() -> None:
    assert _measured(_noise(-50)).snr_db is None


@pytest.mark.parametrize("value", [0.0, 0.01])
def test_a_muted_microphone_is_flat_and_told(value: float) -> None:
    level = _measured(np.full(len(_T), value))
    assert level.flat_s == pytest.approx(12, abs=0.1)
    assert Fault.FLAT in faults(level)
    assert "muted" in SENTENCES[Fault.FLAT]


def test_a_quiet_room_is_not_flat() -> None:
    level = _measured(_noise(-85))
    assert level.flat_s < 2 * FRAME_S
    assert faults(level) == ()


def test_overdriven_speech_clips_and_a_hammer_blow_does_not() -> None:
    loud = np.clip(np.sin(2 * np.pi * 200 * _T) * 1.5, -1, 1)
    assert Fault.CLIPPING in faults(_measured(loud))
    blow = _noise(-50)
    blow[5000:5100] = 1.0
    assert Fault.CLIPPING not in faults(_measured(blow))


@pytest.mark.parametrize("mains", [50, 60])
def test_mains_hum_is_heard_with_its_frequency(mains: int) -> None:
    tones = sum(np.sin(2 * np.pi * mains * k * _T) / k for k in (1, 2, 3)) * 0.01
    level = _measured(_noise(-55) + tones)
    assert level.hum_hz == mains
    assert Fault.HUM in faults(level)


@pytest.mark.parametrize("hz", [37, 44, 73, 120, 440])
def test_another_tone_is_no_hum(hz: int) -> None:
    assert hum((_noise(-55) + 0.01 * np.sin(2 * np.pi * hz * _T)).astype(np.float32)[: 2 * SAMPLE_RATE]) is None


def test_shop_noise_is_no_hum() -> None:
    draw = np.random.default_rng(5)
    rumble = np.cumsum(draw.standard_normal(len(_T)))
    rumble = rumble - np.convolve(rumble, np.ones(800) / 800, "same")
    assert _measured(rumble / np.abs(rumble).max() * 0.3).hum_hz is None


def test_speech_near_the_noise_or_far_from_the_microphone_is_told() -> None:
    on = (_T % 2) < 1
    near = _measured(_noise(-30) + _noise(-27, 4) * on, on.astype(float))
    assert Fault.NOISY in faults(near)
    far = _measured(_noise(-70) + _noise(-52, 4) * on, on.astype(float))
    assert faults(far) == (Fault.QUIET,)


def test_a_day_of_it_remembers_seconds_only() -> None:
    meter = LevelMeter()
    for _ in range(3000):
        meter.take(np.zeros(FRAME, np.float32))
    assert len(meter._powers) * FRAME_S <= 10.1


def test_every_fault_has_one_sentence() -> None:
    assert set(SENTENCES) == set(Fault)
    assert all("\n" not in sentence for sentence in SENTENCES.values())
