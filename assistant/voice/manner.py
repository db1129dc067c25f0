"""How the voice speaks to one person: volume, speed, small sounds; and how a spoken wish changes it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from assistant.voice.speak import DEFAULT_SPEED_WPM, DEFAULT_VOICE

VOLUMES = range(1, 11)
"""Steps of 3 dB; 10 is full scale."""
SPEEDS_WPM = (110, 125, 140, 165, 190, 215, 240, 270, 300)
"""Steps of "faster" and "slower"."""
VERBOSITIES = ("terse", "normal", "full")


@dataclass(frozen=True, slots=True)
class Manner:
    volume: int = 8
    """One of VOLUMES."""
    speed_wpm: int = DEFAULT_SPEED_WPM
    """Words a minute."""
    sounds: bool = True
    """Small sounds on."""
    verbosity: str = "normal"
    """One of VERBOSITIES; the dialogue words its replies by it."""
    voice: str = DEFAULT_VOICE

    @property
    def gain(self) -> float:
        """Factor on the samples, at most 1."""
        return float(10 ** (-3 * (VOLUMES[-1] - self.volume) / 20))


def wished(manner: Manner, wishes: Mapping[str, str]) -> Manner:
    """The manner after what was asked for: {"volume": "+1"}, {"speed": "-1"}, {"sounds": "off"}, ...

    At the end of a range it stays there. Wishes that are none of the voice's are left to others.
    """
    for wish, value in wishes.items():
        if wish == "volume":
            volume = manner.volume + int(value) if value[:1] in "+-" else int(value)
            manner = replace(manner, volume=min(max(volume, VOLUMES[0]), VOLUMES[-1]))
        elif wish == "speed":
            manner = replace(manner, speed_wpm=_speed_after(manner.speed_wpm, value))
        elif wish == "sounds":
            manner = replace(manner, sounds=value in ("on", "1", "true"))
        elif wish == "verbosity" and value in VERBOSITIES:
            manner = replace(manner, verbosity=value)
    return manner


def _speed_after(now_wpm: int, value: str) -> int:
    if value[:1] not in "+-":
        return min(max(int(value), SPEEDS_WPM[0]), SPEEDS_WPM[-1])
    steps = int(value)
    if steps > 0:
        beyond = [speed for speed in SPEEDS_WPM if speed > now_wpm]
        return beyond[min(steps, len(beyond)) - 1] if beyond else now_wpm
    below = [speed for speed in SPEEDS_WPM if speed < now_wpm][::-1]
    return below[min(-steps, len(below)) - 1] if steps and below else now_wpm
