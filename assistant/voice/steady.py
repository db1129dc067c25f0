"""Whether a loudspeaker keeps what it takes, or throws it away.

A device that has just been started may run dry again and again before its buffer fills, and each time it drops what it
took: ALSA's pulse plugin swallowed up to 1.3 s of blocks within 70 ms that way (measured on null sinks). Words given to
it then are never heard. So it gets silence until it has taken a whole buffer without running dry. A steady one that
runs dry once has dropped nothing, and the word goes on.
"""

from __future__ import annotations

KEPT_BLOCKS = 6
"""So many blocks in a row without running dry make it steady."""
DRY_ONCE = 2
"""Blocks of one period: it tells of running dry with each of them. More in a row, and it throws away."""
UNSTEADY_AT_MOST_S = 1.0
"""A device that says all the time that it runs dry is spoken through nevertheless."""


class Steady:
    """Asked before each block; of one device."""

    def __init__(self, now_s: float) -> None:
        self._since_s = now_s
        self._steady = False
        self._kept = self._dry = 0

    def keeps(self, now_s: float, ran_dry: bool) -> bool:
        """True if the next block will be heard. `ran_dry`: the device says so with this block; monotonic clock."""
        if ran_dry:
            self._dry, self._kept = self._dry + 1, 0
            if self._steady and self._dry > DRY_ONCE:
                self._steady, self._since_s = False, now_s
        else:
            self._kept += 1
            if self._kept > KEPT_BLOCKS:
                self._steady, self._dry = True, 0
        return self._steady or now_s - self._since_s > UNSTEADY_AT_MOST_S
