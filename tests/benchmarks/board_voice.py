"""What 50 viewers of the board cost the voice: its answer time with them and without, turn about in one run.

Run `python -m tests.benchmarks.board_voice` (about six minutes; `--rounds 2` for a first look). As in a bay: the job is
worked in this process by the real ear (the recorded job, sound to logged answer), the board serves from a process of
its own, and the viewers follow it from a third. That third one is the shop's phones in truth; here it takes its
processor time from the same machine, so what is printed is more than a bay would see.

A round is the recorded job worked twice. Blocks of a few answers with the board running alternate with blocks where
board and viewers are held still (SIGSTOP), and in the second working every block is the other way round. So each answer
is timed both ways within minutes, and each is compared with itself; what else the machine does falls on both alike.
Printed: the middle of these ratios, with the interval that 95 of 100 resamples of the answers give.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psutil

from assistant.card.load import find_card
from assistant.demo import recorded_job, sound_of
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.ear import Ear
from assistant.live import Bay, NoKeys
from assistant.logbook import Logbook
from assistant.session import begin
from assistant.settings import load
from assistant.voice.play import NoOutput, Player
from assistant.voice.talk import Voice
from assistant.work import StreamClock
from tests.benchmarks.board import board_with

BLOCK = 3
"""Answers before board and viewers are held or let go."""
GOAL = 1.05


class Counted:
    """A recogniser that counts how often it was asked."""

    def __init__(self, inner: Any) -> None:
        self._inner, self.readings = inner, 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self._inner, name)

    def hear(self, *args: Any, **kwargs: Any) -> Any:
        self.readings += 1
        return self._inner.hear(*args, **kwargs)


class Side:
    """Board and viewers, held still or let go."""

    def __init__(self, board: psutil.Process, viewers: psutil.Process) -> None:
        self._all, self.runs = (board, viewers), True

    def let(self, run: bool) -> None:
        if run != self.runs:
            for each in self._all:
                each.send_signal(signal.SIGCONT if run else signal.SIGSTOP)
            self.runs = run
            time.sleep(0.25)  # what was kept waiting is over before the next answer


def answers(home: Path, recogniser: Counted, side: Side, runs: Callable[[int], bool], pause_s: float) -> list[float]:
    """The recorded job worked once; seconds from the sound's last frame to the answer, written down and handed to
    the voice. `runs`: whether the board runs at that answer."""
    job, took = recorded_job(), []
    began = datetime.now(UTC)
    settings = load({}).settings
    clock = StreamClock(began)
    with Logbook.open(home) as logbook:
        session = begin(find_card(job.card), logbook, began, vehicle=job.vehicle).session
        voice = Voice(None, Player(NoOutput()), settings.manner)
        bay = Bay(
            session, Ear(recogniser), voice, settings.ear, settings.voice, NoKeys(), lambda line: None,
            lambda o, v: None, clock,
        )  # fmt: skip
        try:
            side.let(runs(0))
            for event in sound_of(job):
                clock.at_s = event.at_s
                asked = recogniser.readings
                begun = time.perf_counter()
                bay.take(event)
                if recogniser.readings > asked:
                    took.append(time.perf_counter() - begun)
                    time.sleep(pause_s)
                    side.let(runs(len(took)))
            bay.end()
        finally:
            voice.close()
            session.close()
    return took


def pairs(home: Path, side: Side, rounds: int, pause_s: float) -> list[Pair]:
    chance = random.Random(5)
    recogniser = Counted(BuiltinRecogniser())
    answers(home, recogniser, side, lambda number: True, 0.0)  # everything loaded, every file read once
    found: list[Pair] = []
    for number_of in range(1, rounds + 1):
        odd = chance.randrange(2)
        first = answers(home, recogniser, side, lambda n, odd=odd: (n // BLOCK) % 2 == odd, pause_s)
        second = answers(home, recogniser, side, lambda n, odd=odd: (n // BLOCK) % 2 != odd, pause_s)
        for number, (a, b) in enumerate(zip(first, second, strict=True)):
            board_first = (number // BLOCK) % 2 == odd
            found.append((True, b, a) if board_first else (False, a, b))
        so_far = 100 * (effect(found) - 1)
        print(f"  after round {number_of}: {so_far:+.1f} % over {len(found)} answers", file=sys.stderr, flush=True)
    return found


Pair = tuple[bool, float, float]
"""Whether the board ran in the first working, seconds without, seconds with."""


def effect(found: Sequence[Pair]) -> float:
    """With to without. A machine that grew faster or slower between the two workings shifts the answers that had the
    board first one way and the others the other way: the mean of both halves' medians, as logarithms, leaves it out."""
    halves = [[math.log(b / a) for first, a, b in found if first is which] for which in (True, False)]
    return math.exp(statistics.mean(statistics.median(half) for half in halves if half))


def interval(found: Sequence[Pair], resamples: int = 2000) -> tuple[float, float]:
    """Where 95 of 100 resamples put the effect."""
    chance = random.Random(6)
    spread = sorted(effect(chance.choices(found, k=len(found))) for _ in range(resamples))
    return spread[int(resamples * 0.025)], spread[int(resamples * 0.975)]


@contextmanager
def side_of(home: Path, viewers: int):  # type: ignore[no-untyped-def]
    with board_with(home, viewers) as (watching, served):
        side = Side(served, psutil.Process(watching.pid))
        try:
            yield side, served
        finally:
            side.let(True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--viewers", type=int, default=50)
    parser.add_argument("--rounds", type=int, default=6)
    parser.add_argument(
        "--pause", type=float, default=0.3, help="between answer and next words, seconds; people take more"
    )
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        Logbook.open(home).close()
        with side_of(home, asked.viewers) as (side, served):
            before = sum(served.cpu_times()[:2])
            time.sleep(5)
            at_rest = (sum(served.cpu_times()[:2]) - before) / 5
            found = pairs(home, side, asked.rounds, asked.pause)
    low, high = interval(found)
    print(
        f"answer time of the voice, {len(found)} answers each way, "
        f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    )
    for name, times in (
        ("board held still", [a for _, a, _ in found]),
        (f"{asked.viewers} viewers", [b for _, _, b in found]),
    ):
        print(
            f"  {name:<18} median {statistics.median(times) * 1e3:6.1f} ms   "
            f"mean {statistics.mean(times) * 1e3:6.1f} ms"
        )
    verdict = "within" if high <= GOAL else "OVER" if low > GOAL else "cannot be told from the noise"
    print(
        f"  the same answer with and without: {100 * (effect(found) - 1):+.1f} % "
        f"({100 * (low - 1):+.1f} to {100 * (high - 1):+.1f} %; goal {100 * (GOAL - 1):+.0f} %): {verdict}"
    )
    print(f"  the board at rest with {asked.viewers} viewers: {100 * at_rest:.1f} % of a core")


if __name__ == "__main__":
    main()
