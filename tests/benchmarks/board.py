"""The board: how long a change takes to reach its viewers, and what 50 viewers cost the voice.

Run `python -m tests.benchmarks.board` (about two minutes; `--quick` leaves the voice out). Prints what it measured.
The voice's answer time is that of the real ear on the recorded job, without a board and with 50 viewers, turn about.
"""

from __future__ import annotations

import argparse
import contextlib
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psutil

from assistant.job.events import JobStarted, Noted, Said
from assistant.logbook import JobWriter, Logbook
from assistant.paths import shipped

CARD = shipped("procedures") / "gearbox-and-clutch.yaml"

VIEWERS = """
import asyncio, sys, time
port, count = int(sys.argv[1]), int(sys.argv[2])
async def follow():
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(f"GET /stream HTTP/1.1\\r\\nHost: 127.0.0.1:{port}\\r\\n\\r\\n".encode())
    mark = b"mark "
    async for line in reader:
        if mark in line:
            print(line.split(mark)[1].split()[0].decode(), time.time(), flush=True)
async def main():
    tasks = [asyncio.create_task(follow()) for _ in range(count)]
    await asyncio.sleep(2)
    print("ready", flush=True)
    await asyncio.gather(*tasks)
asyncio.run(main())
"""


@contextlib.contextmanager
def board_with(home: Path, viewers: int) -> Iterator[tuple[subprocess.Popen[str], psutil.Process]]:
    """A board in a process of its own, as in a bay, and so many viewers in another."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    code = "import typer; from assistant.board.commands import board; typer.run(board)"
    served = subprocess.Popen(
        [sys.executable, "-c", code, "--port", str(port), "--home", str(home)], stdout=subprocess.DEVNULL
    )
    end = time.monotonic() + 30
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            break
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.05)
    watching = subprocess.Popen(
        [sys.executable, "-c", VIEWERS, str(port), str(viewers)], stdout=subprocess.PIPE, text=True
    )
    assert watching.stdout is not None
    while watching.stdout.readline().strip() != "ready":
        pass
    try:
        yield watching, psutil.Process(served.pid)
    finally:
        for each in (watching, served):
            each.kill()
            each.wait()


def begin(home: Path) -> tuple[Logbook, JobWriter]:
    logbook = Logbook.open(home)
    text = CARD.read_bytes()
    started = JobStarted("gearbox-and-clutch", "4", "", "Gearbox and clutch, out and back", "FC-204")
    return logbook, logbook.create_job(text, started, datetime.now(UTC))


def live(viewers: int, changes: int) -> None:
    """From `append` returning to the line at the viewer, all viewers and changes."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        logbook, writer = begin(home)
        with board_with(home, viewers) as (watching, served):
            took: list[float] = []
            before = sum(served.cpu_times()[:2])
            assert watching.stdout is not None
            for number in range(changes):
                said = Said(f"mark {number} x", "", "note", {}, "act", -0.2, 3.0, "Noted.")
                writer.append([said, Noted("x")], datetime.now(UTC))
                written = time.time()
                for _ in range(viewers):
                    told, at = watching.stdout.readline().split()
                    if int(told) == number:
                        took.append(float(at) - written)
                time.sleep(0.31 + 0.013 * (number % 7))
            spent = (sum(served.cpu_times()[:2]) - before) / changes
        writer.close()
        logbook.close()
    took.sort()
    print(
        f"  {viewers:>3} viewers, {changes} changes: median {statistics.median(took) * 1e3:5.0f} ms   "
        f"99th {took[int(len(took) * 0.99)] * 1e3:5.0f} ms   worst {took[-1] * 1e3:5.0f} ms (goal: 500 ms); "
        f"the board's own work {spent * 1e3:.0f} ms a change"
    )


class Timed:
    """A recogniser that notes how long each reading took."""

    def __init__(self, inner: Any) -> None:
        self._inner, self.took = inner, []

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._inner, name)
        if name != "hear":
            return found

        def timed(*args: Any, **kwargs: Any) -> Any:
            begun = time.perf_counter()
            try:
                return found(*args, **kwargs)
            finally:
                self.took.append(time.perf_counter() - begun)

        return timed


def answer_times(home: Path) -> list[float]:
    """The recorded job once through the real ear; seconds a reading."""
    from assistant.card.load import find_card
    from assistant.demo import recorded_job, sound_of
    from assistant.hearing.builtin import BuiltinRecogniser
    from assistant.session import begin as begin_session
    from assistant.settings import load
    from assistant.work import recorded

    timed = Timed(BuiltinRecogniser())
    job = recorded_job()
    with Logbook.open(home) as logbook:
        began = datetime.now(UTC)
        opening = begin_session(find_card(job.card), logbook, began, vehicle=job.vehicle)
        recorded(opening.session, sound_of(job), timed, load({}).settings, lambda line: None, began)
        opening.session.close()
    return list(timed.took)


def voice(viewers: int, rounds: int) -> None:
    without, beside = [], []
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as folder:
            without.append(answer_times(Path(folder)))
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            Logbook.open(home).close()
            with board_with(home, viewers):
                beside.append(answer_times(home))
    # the best of the rounds for each utterance: what else runs on the machine is left out as far as can be
    alone = [min(times) for times in zip(*without, strict=True)]
    with_board = [min(times) for times in zip(*beside, strict=True)]
    more = 100 * (sum(with_board) / sum(alone) - 1)
    print(f"answer time of the ear, {len(alone)} readings, best of {rounds} rounds each")
    print(f"  without a board     mean {statistics.mean(alone) * 1e3:6.1f} ms")
    print(f"  with {viewers} viewers     mean {statistics.mean(with_board) * 1e3:6.1f} ms   {more:+.1f} % (goal: +5 %)")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--viewers", type=int, default=50)
    parser.add_argument("--changes", type=int, default=40)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--quick", action="store_true", help="leave the voice out")
    asked = parser.parse_args()
    print("from a written event to the viewer's line")
    live(1, asked.changes)
    live(asked.viewers, asked.changes)
    if not asked.quick:
        voice(asked.viewers, asked.rounds)


if __name__ == "__main__":
    main()
