"""How loud it is, how loud the noise is, and what is wrong with the sound itself. Pure; fed frame by frame.

Level is the mean power of a frame in dB re full scale. Noise is the level that a tenth of the last seconds' frames
stay under; speech level is the mean power over the frames that hold speech (the active speech level in the sense of
ITU-T P.56; the activity is taken from the voice activity detector rather than from P.56's envelope). SNR is speech
power less noise power, against noise power.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from assistant.hearing.frames import FRAME_S
from assistant.hearing.heard import SAMPLE_RATE, Samples

SILENCE_DB = -120.0
"""What digital silence is counted as."""
FULL = 0.985
"""A sample beyond this is at the end of the scale."""
CLIPPED_SHARE = 0.002
"""Of samples at the end of the scale among frames of speech: more is heard as crackle."""
FLAT_S = 8.0
"""A signal that does not move for this long comes from no open microphone."""
HUM_DB = 15.0
"""A mains tone this far above its neighbourhood is hum."""
_WINDOW_S = 10.0
_HUM_S = 2.0


class Fault(StrEnum):
    """What may be wrong with the sound; each has its sentence in SENTENCES."""

    FLAT = "flat"
    CLIPPING = "clipping"
    HUM = "hum"
    QUIET = "quiet"
    NOISY = "noisy"


SENTENCES: dict[Fault, str] = {
    Fault.FLAT: "The microphone gives no sound at all, not even noise: is it muted, or its switch off?",
    Fault.CLIPPING: "The microphone is overdriven: turn its level down, or hold it farther from the mouth.",
    Fault.HUM: "There is mains hum in the microphone: look at its plug and earth, or move its cable from power leads.",
    Fault.QUIET: "Speech comes in very quietly: turn the microphone up, or bring it closer to the mouth.",
    Fault.NOISY: "The noise is nearly as loud as the speech: bring the microphone closer, or use a headset.",
}


@dataclass(frozen=True, slots=True)
class Level:
    """The sound of the last seconds."""

    now_db: float
    """Of the last frame, dB re full scale."""
    peak_db: float
    """Greatest sample of the window, dB re full scale."""
    noise_db: float
    speech_db: float | None
    """None while nobody has spoken."""
    clipped: float
    """Share of samples at the end of the scale, 0 to 1."""
    flat_s: float
    """How long the signal has not moved at all."""
    hum_hz: int | None
    """50 or 60 where mains hum stands out; None otherwise."""

    @property
    def snr_db(self) -> float | None:
        """Speech power without the noise under it, against the noise; None while nobody has spoken."""
        if self.speech_db is None:
            return None
        speech = 10 ** (self.speech_db / 10) - 10 ** (self.noise_db / 10)
        return 10 * float(np.log10(max(speech, 1e-12))) - self.noise_db


class LevelMeter:
    """Takes one frame after another; tells the level at any time."""

    def __init__(self) -> None:
        frames = round(_WINDOW_S / FRAME_S)
        self._powers: deque[float] = deque(maxlen=frames)
        self._peaks: deque[float] = deque(maxlen=frames)
        self._clipped: deque[float] = deque(maxlen=frames)
        self._speech: deque[float] = deque(maxlen=frames)
        self._quiet: deque[Samples] = deque(maxlen=round(_HUM_S / FRAME_S))
        self._last = 0.0
        self._flat_s = 0.0

    def take(self, samples: Samples, speech: float = 0.0) -> None:
        """One frame, and the probability that it holds speech."""
        power = float(np.dot(samples, samples)) / len(samples)
        self._powers.append(power)
        self._peaks.append(float(np.abs(samples).max()))
        self._clipped.append(float(np.mean(np.abs(samples) >= FULL)))
        if speech >= 0.5:
            self._speech.append(power)
        else:
            self._quiet.append(samples)
        moves = bool(np.ptp(np.append(samples, np.float32(self._last))) > 0)
        self._flat_s = 0.0 if moves else self._flat_s + FRAME_S
        self._last = float(samples[-1])

    def level(self) -> Level:
        powers = np.array(self._powers or [0.0])
        return Level(
            now_db=_db(powers[-1]),
            peak_db=_db(max(self._peaks, default=0.0) ** 2),
            noise_db=_db(float(np.quantile(powers, 0.1))),
            speech_db=_db(float(np.mean(self._speech))) if self._speech else None,
            clipped=float(np.mean(self._clipped)) if self._clipped else 0.0,
            flat_s=self._flat_s,
            hum_hz=hum(np.concatenate(self._quiet)) if len(self._quiet) == self._quiet.maxlen else None,
        )


def hum(quiet: Samples) -> int | None:
    """50 or 60 where that tone and its second harmonic or third stand out of a stretch without speech; else None."""
    power = np.abs(np.fft.rfft(quiet * np.hanning(len(quiet)))) ** 2
    if power.max() <= 0 or _db(float(np.dot(quiet, quiet)) / len(quiet)) < -75:
        return None
    hz = np.fft.rfftfreq(len(quiet), 1 / SAMPLE_RATE)

    def above(tone: float) -> float:
        inside = power[np.abs(hz - tone) <= 1.0].max()
        around = power[(np.abs(hz - tone) > 4) & (np.abs(hz - tone) <= 20)]
        return float(10 * np.log10(inside / max(float(np.median(around)), 1e-20)))

    for mains in (50, 60):
        if above(mains) >= HUM_DB and max(above(2 * mains), above(3 * mains)) >= HUM_DB:
            return mains
    return None


def faults(level: Level) -> tuple[Fault, ...]:
    """What is wrong, worst first."""
    found = []
    if level.flat_s >= FLAT_S:
        found.append(Fault.FLAT)
    if level.clipped >= CLIPPED_SHARE:
        found.append(Fault.CLIPPING)
    if level.hum_hz is not None:
        found.append(Fault.HUM)
    snr_db = level.snr_db
    if level.speech_db is not None and level.speech_db < -45:
        found.append(Fault.QUIET)
    if snr_db is not None and snr_db < 5:
        found.append(Fault.NOISY)
    return tuple(found)


def _db(power: float) -> float:
    return max(10 * float(np.log10(max(power, 1e-20))), SILENCE_DB)
