"""When a loudspeaker is given words: patterns of running dry as PortAudio told them on null sinks."""

from __future__ import annotations

from assistant.voice.steady import DRY_ONCE, KEPT_BLOCKS, UNSTEADY_AT_MOST_S, Steady

BLOCK_S = 0.01


def test_a_device_that_throws_away_what_it_takes_at_the_start_gets_no_words_till_its_buffer_fills() -> None:
    steady = Steady(0.0)
    dry = [False] * 2 + [True] * 134 + [False] * 30
    at_s = [0.0005 * block for block in range(len(dry))]
    heard = [steady.keeps(now_s, ran_dry) for now_s, ran_dry in zip(at_s, dry, strict=True)]
    assert not any(heard[: 136 + KEPT_BLOCKS])
    assert all(heard[136 + KEPT_BLOCKS :])


def test_a_steady_device_that_runs_dry_once_gets_the_rest_of_the_word() -> None:
    steady = Steady(0.0)
    assert [steady.keeps(block * BLOCK_S, False) for block in range(20)][-1]
    assert all(steady.keeps(10 + block * BLOCK_S, block < DRY_ONCE) for block in range(20))


def test_a_steady_device_that_begins_to_throw_away_loses_no_more_than_a_period() -> None:
    steady = Steady(0.0)
    assert [steady.keeps(block * BLOCK_S, False) for block in range(20)][-1]
    heard = [steady.keeps(10 + 0.0005 * block, block < 100) for block in range(120)]
    assert sum(heard[:100]) == DRY_ONCE
    assert not any(heard[100 : 100 + KEPT_BLOCKS])
    assert all(heard[100 + KEPT_BLOCKS :])


def test_a_device_that_always_says_that_it_runs_dry_is_spoken_through() -> None:
    steady = Steady(0.0)
    heard = [steady.keeps(block * BLOCK_S, True) for block in range(200)]
    first = heard.index(True)
    assert first * BLOCK_S <= UNSTEADY_AT_MOST_S + 2 * BLOCK_S
    assert all(heard[first:])
