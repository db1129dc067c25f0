"""The short form of the long talk: ten minutes of it, with the readings written down beforehand.

`python -m tests.benchmarks.long_talk` runs the whole eight hours with the real recogniser.
"""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from assistant.grammar.request import Request
from assistant.hearing.ear import Ear
from assistant.hearing.heard import Decision, Heard, Reading, Samples, Utterance
from tests.bay.test_live import Diary
from tests.benchmarks.long_talk import RATE, Figures, Spoken, schedule, talk_all_day

HOURS = 0.17
OUT_S = (250.0, 262.0)


class ByLoudness:
    """Tells sayings apart by how loud they are: no model, so that the path alone is tried."""

    name = "by loudness"

    def __init__(self, levels: dict[str, float]) -> None:
        self._levels = levels

    def hear(self, utterance: Utterance, acceptor: object, reads: object) -> Heard:
        loud = float(np.abs(utterance.samples).max())
        name = min(self._levels, key=lambda key: abs(self._levels[key] - loud))
        heard = Heard(name, None, decision=Decision.IGNORE, start_s=utterance.start_s, end_s=utterance.end_s)
        if not name:
            return heard
        return replace(heard, best=Reading(name, Request(name), -0.2), decision=Decision.ACT)


LEVELS = {"next": 0.2, "where": 0.35, "torque": 0.5, "": 0.8}
"""Peak by request; the radio asks for nothing."""


def _tone(seconds: float, level: float) -> Samples:
    return (level * np.sin(2 * np.pi * 300 * np.arange(round(seconds * RATE)) / RATE)).astype(np.float32)


@pytest.fixture(scope="module")
def day() -> tuple[Figures, list[Spoken], float]:
    """A day with a crystal 150 ppm off, stalls of twelve seconds, and a plug that is out for fifteen."""
    lengths = {"next": 0.6, "where": 1.4, "torque": 2.2}
    sayings = [(name, _tone(seconds, LEVELS[name])) for name, seconds in lengths.items()]
    spoken = schedule(HOURS * 3600, sayings, [_tone(4.0, LEVELS[""])], (12.0, 18.0), OUT_S)
    noise = np.random.default_rng(1).standard_normal(RATE * 3).astype(np.float32) * np.float32(0.002)
    sizes: list[float] = []
    ear = Ear(ByLoudness(LEVELS), activity=lambda frame: float(np.abs(frame).max() > 0.1))

    def measure() -> float:
        sizes.append(tracemalloc.get_traced_memory()[0] / 1e6)
        return sizes[-1]

    tracemalloc.start()
    try:
        figures = talk_all_day(
            Diary(),
            ear,
            spoken,
            hours=HOURS,
            ppm=150.0,
            noise=noise,
            out_s=OUT_S,
            stall_every_s=150.0,
            memory=measure,
            memory_every_s=200.0,
        )
        end_mb = tracemalloc.get_traced_memory()[0] / 1e6
    finally:
        tracemalloc.stop()
    return figures, spoken, end_mb - sizes[-1]


def test_every_utterance_is_heard_once_and_as_what_it_was(day: tuple[Figures, list[Spoken], float]) -> None:
    figures, spoken, _ = day
    assert figures.utterances >= 25
    assert figures.utterances + figures.radio == len(spoken)
    assert figures.missed == []
    assert figures.doubled == []
    assert figures.from_nothing == []
    assert figures.right == figures.utterances


def test_the_radio_does_nothing(day: tuple[Figures, list[Spoken], float]) -> None:
    assert day[0].radio >= 5
    assert day[0].radio_acted == 0


def test_stream_time_stays_with_the_clock(day: tuple[Figures, list[Spoken], float]) -> None:
    """150 ppm would be 90 ms by the end."""
    assert abs(day[0].drift_ms) < 35


def test_stalls_lose_nothing_and_the_plug_is_missed_once(day: tuple[Figures, list[Spoken], float]) -> None:
    figures = day[0]
    assert figures.overruns_s == 0
    assert (figures.lost, figures.back) == (1, 1)


def test_nothing_grows_but_the_diary(day: tuple[Figures, list[Spoken], float]) -> None:
    """The last three minutes, some ten utterances: their own lines in the test's diaries are all that stays."""
    assert day[2] < 0.5
