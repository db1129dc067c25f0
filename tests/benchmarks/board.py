"""The board: how long a change takes to reach its viewers, and how much work each change is to it.

Run `python -m tests.benchmarks.board` (under a minute). What the viewers cost the voice: `board_voice`.
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


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--viewers", type=int, default=50)
    parser.add_argument("--changes", type=int, default=40)
    asked = parser.parse_args()
    print("from a written event to the viewer's line")
    live(1, asked.changes)
    live(asked.viewers, asked.changes)


if __name__ == "__main__":
    main()
