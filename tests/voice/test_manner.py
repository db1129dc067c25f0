"""Louder, quieter, faster, slower: steps with ends."""

from __future__ import annotations

import pytest

from assistant.voice.manner import SPEEDS_WPM, VOLUMES, Manner, wished


def test_louder_and_quieter_are_3_db_and_undo_each_other() -> None:
    usual = Manner()
    louder = wished(usual, {"volume": "+1"})
    assert louder.gain / usual.gain == pytest.approx(10 ** (3 / 20))
    assert wished(louder, {"volume": "-1"}) == usual


def test_volume_ends_at_full_scale_and_never_falls_silent() -> None:
    loudest = wished(Manner(), {"volume": "+99"})
    assert loudest.volume == VOLUMES[-1]
    assert loudest.gain == 1.0
    quietest = wished(Manner(), {"volume": "-99"})
    assert quietest.volume == 1
    assert quietest.gain > 0.02


def test_faster_goes_up_step_by_step_to_the_end() -> None:
    manner = Manner(speed_wpm=SPEEDS_WPM[0])
    seen = [manner.speed_wpm]
    for _ in range(len(SPEEDS_WPM) + 2):
        manner = wished(manner, {"speed": "+1"})
        seen.append(manner.speed_wpm)
    assert tuple(seen[: len(SPEEDS_WPM)]) == SPEEDS_WPM
    assert set(seen[len(SPEEDS_WPM) :]) == {SPEEDS_WPM[-1]}


def test_slower_from_a_speed_between_two_steps_goes_to_the_one_below() -> None:
    assert wished(Manner(speed_wpm=170), {"speed": "-1"}).speed_wpm == 165
    assert wished(Manner(speed_wpm=110), {"speed": "-1"}).speed_wpm == 110


def test_sounds_and_verbosity_are_switched_and_other_wishes_left_alone() -> None:
    manner = wished(Manner(), {"sounds": "off", "verbosity": "terse", "attention": "name", "stop": "1"})
    assert manner == Manner(sounds=False, verbosity="terse")
    assert wished(manner, {"verbosity": "chatty"}).verbosity == "terse"
