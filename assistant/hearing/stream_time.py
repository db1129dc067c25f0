"""When a sample was heard: counted samples, held to the machine's clock.

Counting alone drifts (a sound card's crystal is off by some tens of parts in a million: a second or more in a working
day); the clock alone jitters with every late callback. So samples are counted, and the count is led towards the
clock as the least late callback of the last seconds shows it. A count that falls behind at once was sound lost by
the driver, and is told.
"""

from __future__ import annotations

from collections import deque

_WINDOW_S = 4.0
"""The least late callback is looked for in this much; no stall of the machine keeps every callback late so long."""
_LED_PER_S = 0.002
"""The count is led by at most this much a second: far above any crystal, far below what an utterance would notice."""
_JUMP_S = 0.5
"""Behind by more than this for a whole window: sound is missing. Less is a server that buffers more."""


class StreamTime:
    """Fed with how many samples have come by when; answers when a sample was heard, seconds of that clock."""

    def __init__(self, rate: int, begin_s: float) -> None:
        """`begin_s`: the clock at which sample 0 was heard, as far as known."""
        self._rate = rate
        self._offset_s = begin_s
        self._led_at_s = begin_s
        self._least: deque[tuple[float, float]] = deque()
        self._first_s: float | None = None

    def came(self, count: int, clock_s: float) -> float:
        """`count` samples in all have come by `clock_s`. Returns seconds of sound that turn out to be lost, or 0."""
        offset = clock_s - count / self._rate
        if self._first_s is None:
            self._first_s, self._offset_s, self._led_at_s = clock_s, offset, clock_s
        while self._least and self._least[-1][1] >= offset:
            self._least.pop()
        self._least.append((clock_s, offset))
        while self._least[0][0] < clock_s - _WINDOW_S:
            self._least.popleft()
        target = self._least[0][1]
        behind = target - self._offset_s
        if behind > _JUMP_S and clock_s - self._first_s > _WINDOW_S:
            self._offset_s, self._led_at_s = target, clock_s
            return behind
        most = _LED_PER_S * max(clock_s - self._led_at_s, 0.0)
        if clock_s - self._first_s <= _WINDOW_S:
            most = abs(min(behind, 0.0)) + most  # the first callbacks may all be late: settle downwards at once
        self._offset_s += min(max(behind, -most), most)
        self._led_at_s = clock_s
        return 0.0

    def of(self, sample: float) -> float:
        """The clock at which sample number `sample` was heard, seconds."""
        return self._offset_s + sample / self._rate
