"""A ring between the sound card's thread and ours: one writer, one reader, no lock, nothing lost unsaid.

The writer never waits. Where the ring is full the newest sound is dropped, and the reader meets the hole, with its
length, at the place in the sound where it is.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from assistant.hearing.heard import Samples


@dataclass(frozen=True, slots=True)
class Part:
    """What the reader gets: sound without a hole in it, after so many lost samples."""

    samples: Samples
    lost_before: int
    """Samples dropped between the last part and this one."""


class Ring:
    """`write` from one thread, `read` from another. Each index is changed by one side only."""

    def __init__(self, capacity: int) -> None:
        """`capacity` in samples."""
        self._store = np.zeros(capacity, np.float32)
        self._capacity = capacity
        self._written = 0
        self._read = 0
        self._dropping = 0
        self._holes: deque[tuple[int, int]] = deque()

    def write(self, block: Samples) -> None:
        """Stores what fits; the rest is counted as lost."""
        room = self._capacity - (self._written - self._read)
        kept = min(room, len(block))
        if kept and self._dropping:
            self._holes.append((self._written, self._dropping))
            self._dropping = 0
        start = self._written % self._capacity
        first = min(kept, self._capacity - start)
        self._store[start : start + first] = block[:first]
        self._store[: kept - first] = block[first:kept]
        self._written += kept
        self._dropping += len(block) - kept

    def read(self) -> Part:
        """All that came since the last read, up to the next hole; no samples if nothing came."""
        end, lost = self._written, 0
        while self._holes and self._holes[0][0] <= self._read:
            lost += self._holes.popleft()[1]
        if self._holes:
            end = min(end, self._holes[0][0])
        start, count = self._read % self._capacity, end - self._read
        first = min(count, self._capacity - start)
        samples = np.concatenate([self._store[start : start + first], self._store[: count - first]])
        self._read = end
        return Part(samples, lost)

    def __len__(self) -> int:
        return self._written - self._read
