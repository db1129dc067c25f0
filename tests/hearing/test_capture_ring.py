"""The ring between the sound card's thread and ours."""

from __future__ import annotations

import threading

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.ring import Ring


def _numbered(start: int, count: int) -> np.ndarray:
    return np.arange(start, start + count, dtype=np.float32)


@given(st.integers(1, 50), st.lists(st.one_of(st.integers(1, 80), st.just(0)), max_size=60))
def test_what_is_read_and_what_is_lost_add_up_to_what_was_written(capacity: int, moves: list[int]) -> None:
    """A zero is a read, another number a write of as many; each sample is its own number."""
    ring, sent, place = Ring(capacity), 0, 0
    for move in [*moves, 0, -1, 0, 0]:
        if move > 0:
            ring.write(_numbered(sent, move))
            sent += move
        elif move < 0:  # one more, so that a hole at the very end is met
            ring.write(_numbered(sent, 1))
            sent += 1
        else:
            part = ring.read()
            place += part.lost_before
            np.testing.assert_array_equal(part.samples, _numbered(place, len(part.samples)))
            place += len(part.samples)
    part = ring.read()
    assert place + part.lost_before + len(part.samples) == sent


def test_nothing_written_is_nothing_read() -> None:
    part = Ring(10).read()
    assert len(part.samples) == 0
    assert part.lost_before == 0


def test_two_threads_lose_nothing_unsaid() -> None:
    ring, total = Ring(500), 200_000

    def write() -> None:
        for start in range(0, total, 100):
            ring.write(_numbered(start, 100))

    writer = threading.Thread(target=write)
    writer.start()
    place = 0
    while writer.is_alive() or len(ring):
        part = ring.read()
        place += part.lost_before
        if len(part.samples):
            assert part.samples[0] == place
            assert np.all(np.diff(part.samples) == 1)
        place += len(part.samples)
    writer.join()
    ring.write(_numbered(total, 1))
    part = ring.read()
    assert place + part.lost_before == total
