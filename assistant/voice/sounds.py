"""The small sounds: our own, made here, each with a pitch and a rhythm of its own.

Pitches lie between 600 and 2 700 Hz: above the hum of a compressor, where a small loudspeaker still works, and below
the hiss of an air line. No two share both pitch and rhythm, so that each is told apart when half of it drowns.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from assistant.dialogue.reply import Sound

_EDGE_S = 0.006
"""Rise and fall of each tone: a hard edge clicks."""
_LEVEL = 0.5


@dataclass(frozen=True, slots=True)
class Tone:
    from_hz: float
    to_hz: float
    """Glides evenly from one to the other."""
    seconds: float
    gap_s: float = 0.0
    """Silence after it."""


FIGURES: dict[Sound, tuple[Tone, ...]] = {
    # one short chirp upwards
    Sound.HEARD: (Tone(1400, 1750, 0.09),),
    # two low tones, falling
    Sound.NOT_UNDERSTOOD: (Tone(820, 820, 0.12, 0.05), Tone(620, 620, 0.2)),
    # three even short ones
    Sound.WAITING: (Tone(1050, 1050, 0.05, 0.11), Tone(1050, 1050, 0.05, 0.11), Tone(1050, 1050, 0.05)),
    # a warble, twice
    Sound.TIMER: tuple(
        Tone(hz, hz, 0.09, 0.25 if last else 0.0)
        for _ in range(2)
        for hz, last in ((2050, False), (2650, False), (2050, False), (2650, True))
    ),
}


@lru_cache(maxsize=32)
def small_sound(sound: Sound, rate: int) -> npt.NDArray[np.float32]:
    """The sound as mono samples at `rate` Hz, peak 0.5; no samples for Sound.NONE."""
    tones = FIGURES.get(sound, ())
    if not tones:
        return np.zeros(0, np.float32)
    return np.concatenate([_rendered(tone, rate) for tone in tones]).astype(np.float32)


def _rendered(tone: Tone, rate: int) -> npt.NDArray[np.float64]:
    count = round(tone.seconds * rate)
    hz = np.linspace(tone.from_hz, tone.to_hz, count)
    wave = np.sin(2 * np.pi * np.cumsum(hz) / rate)
    edge = min(round(_EDGE_S * rate), count // 2)
    rise = np.ones(count)
    rise[:edge] = np.linspace(0, 1, edge)
    rise[count - edge :] = np.linspace(1, 0, edge)
    return np.concatenate([_LEVEL * wave * rise, np.zeros(round(tone.gap_s * rate))])
