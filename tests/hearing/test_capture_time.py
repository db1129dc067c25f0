"""Stream time over a working day: the count and the clock stay together."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.hearing.stream_time import StreamTime

RATE = 48_000
BLOCK = 960
HOURS = 8


@pytest.mark.parametrize("ppm", [-100, -30, 0, 30, 100])
def test_a_crystal_that_is_off_does_not_drift_in_eight_hours(ppm: int) -> None:
    """100 ppm would be 2.9 s at the end of the shift; callbacks come late by up to 30 ms, now and then by 300."""
    draw = np.random.default_rng(ppm + 1000)
    time = StreamTime(RATE, 0.0)
    every = 10  # one stamp in ten, to be quick about it
    worst = last = 0.0
    for number in range(0, HOURS * 3600 * 50, every):
        count = number * BLOCK
        true = count / (RATE * (1 + ppm * 1e-6))
        late = draw.uniform(0, 0.03) + (0.3 if draw.random() < 0.01 else 0.0)
        assert time.came(count, true + late) == 0.0
        heard = time.of(count)
        if number > 50 * 60:
            worst = max(worst, abs(heard - true))
            assert heard > last
        last = heard
    assert worst < 0.04


def test_a_machine_that_stalls_for_two_seconds_lost_nothing() -> None:
    time = StreamTime(RATE, 0.0)
    for number in range(3000):
        true = number * BLOCK / RATE
        late = max(0.0, 32.0 - true) if 30.0 < true < 32.0 else 0.0
        assert time.came(number * BLOCK, true + late) == 0.0
    assert time.of(3000 * BLOCK) == pytest.approx(60.0, abs=0.01)


def test_sound_that_the_driver_lost_is_told_once() -> None:
    time = StreamTime(RATE, 0.0)
    told = []
    for number in range(3000):
        true = number * BLOCK / RATE + (0.8 if number > 1500 else 0.0)
        lost = time.came(number * BLOCK, true)
        if lost:
            told.append(lost)
    assert told == [pytest.approx(0.8, abs=0.02)]
    assert time.of(3000 * BLOCK) == pytest.approx(60.8, abs=0.02)


def test_late_first_blocks_settle_in_a_moment() -> None:
    time = StreamTime(RATE, 0.0)
    for number in range(200):
        true = number * BLOCK / RATE
        time.came(number * BLOCK, true + (0.12 if number < 10 else 0.0))
    assert time.of(200 * BLOCK) == pytest.approx(4.0, abs=0.005)
