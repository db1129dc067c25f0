"""How long it takes from the end of a request to the first sound of its answer, and to fall silent when talked over.

    python -m tests.benchmarks.by_sound [--times 8]

Measured on the two null sinks of tests/bay/sound_server.py: microphone and loudspeaker are recorded side by side and
the edges of the sound are compared. Good to some 40 ms, and only as fair as the machine is idle: the load is printed.
Beside it in the same run the older way: silent only when speech is sure, and a buffer of 100 ms that sounds on.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

import numpy as np

from assistant.hearing.heard import Samples
from tests.bay import sound_server
from tests.bay.sound_server import RATE, SoundServer
from tests.bay.technician import Technician

CARD = Path(__file__).parents[1] / "bay" / "cover.yaml"
REQUESTS = ("what is the torque of the cover bolts", "where am I", "what is left", "what is open")
LOUD = 0.02
PAUSE_S = 0.5


def loud_stretches(sound: Samples, began_s: float) -> list[tuple[float, float]]:
    """Begin and end, on the clock, of each stretch of sound; pauses shorter than PAUSE_S belong to it."""
    hop = RATE // 200
    loud = np.flatnonzero(np.abs(sound[: len(sound) // hop * hop]).reshape(-1, hop).max(axis=1) > LOUD)
    if not len(loud):
        return []
    breaks = np.flatnonzero(np.diff(loud) > PAUSE_S * 200)
    starts, ends = [loud[0], *loud[breaks + 1]], [*loud[breaks], loud[-1]]
    return [
        (began_s + start * hop / RATE, began_s + (end + 1) * hop / RATE)
        for start, end in zip(starts, ends, strict=True)
    ]


AS_BEFORE = ("--as-before",)


def answers_ms(server: SoundServer, times: int, *flags: str) -> list[float]:
    """From the last sound of each request to the first of its answer."""
    with (
        tempfile.TemporaryDirectory() as home,
        server.record_both() as (spoken, heard, began),
        Technician(server, CARD, Path(home), "--speed", "300", *flags) as technician,
    ):
        technician.ready()
        technician.ask("start the job")
        for number in range(times):
            technician.ask(REQUESTS[number % len(REQUESTS)])
    requests, answers = loud_stretches(spoken[0], began[0]), loud_stretches(heard[0], began[1])
    found = []
    for _, end in requests:
        after = [begin for begin, _ in answers if end < begin < end + 5]
        if after:
            found.append((after[0] - end) * 1000)
    return found


def cuts_ms(server: SoundServer, times: int, *flags: str) -> list[float]:
    """With a headset: from the first sound of "stop talking" to the last of the answer that it cuts."""
    with (
        tempfile.TemporaryDirectory() as home,
        server.record_both() as (spoken, heard, began),
        Technician(
            server, CARD, Path(home), "--headset", "--speed", "120", "--verbosity", "full", *flags
        ) as technician,
    ):
        technician.ready()
        technician.ask("start the job")
        for _ in range(times):
            technician.say("where am I")
            technician.wait(lambda line: line["what"] == "speaking", "voice")
            technician.say("stop talking")
            technician.until_silent()
    requests, answers = loud_stretches(spoken[0], began[0]), loud_stretches(heard[0], began[1])
    return [
        (end - begin) * 1000
        for begin, _ in requests
        for start, end in answers
        if start + 0.05 < begin < end < begin + 2
    ]


def _figures(values: list[float]) -> str:
    if not values:
        return "none measured"
    return f"median {np.median(values):.0f} ms, worst {max(values):.0f} ms ({len(values)} times)"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=8)
    times = parser.parse_args().times
    lacks = sound_server.missing()
    if lacks:
        print(f"This machine has no sound server: apt-get install {lacks}")
        return 1
    with SoundServer() as server:
        for way, flags in (("as before", AS_BEFORE), ("now", ())):
            print(f"request to answer, {way}: {_figures(answers_ms(server, times, *flags))}", flush=True)
            print(f"talked over to silent, {way}: {_figures(cuts_ms(server, times, *flags))}", flush=True)
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"load of the machine {load:.1f} on {os.cpu_count()} cores")
    return 0


if __name__ == "__main__":
    sys.exit(main())
