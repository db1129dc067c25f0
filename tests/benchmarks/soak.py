"""Ten bays at one store for an hour of job time, as fast as they go: memory, latency, errors.

Run `python -m tests.benchmarks.soak` (`--bays`, `--hours` for other sizes). Each bay is a process: an utterance every
20 s of job time, with two seconds of sound, taken by the session, written and answered. Meanwhile a foreman's board
serves its pages to a visitor, and the store is proved whole at the end. The recogniser is not in it; it has its own
benchmark. Prints measured figures only; one bay alone, in the same run, stands beside them.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import shutil
import statistics
import tempfile
import time
import urllib.request
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import numpy as np
import psutil

from assistant.board.serve import place, serve
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Reading
from assistant.logbook import Logbook
from assistant.logbook.verify import verify
from assistant.session import Session, begin
from tests.trust.whole_job import START, card, lines

EVERY = timedelta(seconds=20)


@dataclass(frozen=True, slots=True)
class Worked:
    """What one bay saw."""

    times_s: tuple[float, ...]
    """From the utterance to the answer that stands on the disk."""
    unwritten: int
    jobs: int
    grown_bytes: int
    """Memory at the end over memory after the first job."""
    peak_bytes: int


def bay(folder: str, number: int, hours: float, tell: multiprocessing.Queue[str]) -> None:
    chance, now = np.random.default_rng(number), START
    end, times, unwritten, jobs, after_first = now + timedelta(hours=hours), [], 0, 0, 0
    mine = psutil.Process()
    with Logbook.open(Path(folder)) as logbook:
        while now < end:
            session = begin(card(), logbook, now, vehicle=f"bay {number}").session
            for line in lines():
                now += EVERY
                heard = heard_as(session, line, chance)
                began = time.perf_counter()
                if heard is None:
                    session.take_typed(line, now)
                else:
                    session.take(heard, now)
                times.append(time.perf_counter() - began)
                unwritten += session.unwritten
                if now >= end:
                    break
            session.close()
            jobs += 1
            after_first = after_first or mine.memory_info().rss
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    tell.put(json.dumps([times, unwritten, jobs, mine.memory_info().rss - after_first, peak]))


def heard_as(session: Session, line: str, chance: np.random.Generator) -> Heard | None:
    """The line as the ear would give it, with its sound; None where it makes no sense now."""
    request = session.grammar.parse(line, session.conversation.live)
    if request is None:
        return None
    clip = chance.uniform(-0.1, 0.1, 2 * SAMPLE_RATE).astype(np.float32)
    return Heard(line, Reading(line, request, -0.2), decision=Decision.ACT, clip=clip)


def board(folder: str, tell: multiprocessing.Queue[str]) -> None:
    where = place(0)
    tell.put(where.address)
    serve(Path(folder), where)


def visit(address: str, until: list[multiprocessing.Process]) -> tuple[list[float], int]:
    """Looks at the pages until the bays are done: times and failures."""
    times, failed = [], 0
    pages = (address, address.replace("/board", "/jobs"))
    while any(each.is_alive() for each in until):
        for page in pages:
            began = time.perf_counter()
            try:
                with urllib.request.urlopen(page, timeout=30) as answer:
                    answer.read()
                times.append(time.perf_counter() - began)
            except OSError:
                failed += 1
        time.sleep(0.5)
    return times, failed


def soak(bays: int, hours: float) -> None:
    folder = tempfile.mkdtemp(prefix="bay-soak-")
    tell: multiprocessing.Queue[str] = multiprocessing.Queue()
    address: multiprocessing.Queue[str] = multiprocessing.Queue()
    Logbook.open(Path(folder)).close()
    showing = multiprocessing.Process(target=board, args=(folder, address), daemon=True)
    showing.start()
    where = address.get(timeout=60)
    began = time.perf_counter()
    working = [multiprocessing.Process(target=bay, args=(folder, number, hours, tell)) for number in range(bays)]
    for each in working:
        each.start()
    page_times, failed = visit(where, working)
    came = [Worked(*json.loads(tell.get(timeout=60))) for _ in working]
    took = time.perf_counter() - began
    board_bytes = psutil.Process(showing.pid).memory_info().rss
    showing.terminate()
    times = sorted(second for each in came for second in each.times_s)
    crashed = sum(each.exitcode != 0 for each in working)
    with Logbook.open(Path(folder)) as logbook:
        proof = verify(logbook)
        events = sum(job.events for job in logbook.jobs())
    size = sum(path.stat().st_size for path in Path(folder).rglob("*") if path.is_file())
    print(f"{bays} bays, {hours:g} h of job time each, {sum(each.jobs for each in came)} jobs in {took:.0f} s")
    print(f"  utterances {len(times):,}, events {events:,}, on disk {size / 1e6:.0f} MB with clips")
    print(
        f"  answer on the disk: median {statistics.median(times) * 1e3:.1f} ms, "
        f"99th {times[int(len(times) * 0.99)] * 1e3:.1f} ms, longest {times[-1] * 1e3:.0f} ms"
    )
    print(
        f"  memory: a bay at most {max(each.peak_bytes for each in came) / 1e6:.0f} MB, grown since its first job "
        f"{max(each.grown_bytes for each in came) / 1e6:.1f} MB at most; the board {board_bytes / 1e6:.0f} MB"
    )
    if page_times:
        print(f"  pages: {len(page_times)}, median {statistics.median(page_times) * 1e3:.0f} ms, failed {failed}")
    print(
        f"  errors: {crashed} bays crashed, {sum(each.unwritten for each in came)} utterances unwritten, "
        f"store {'whole' if proof.whole else [str(fault) for fault in proof.faults]}"
    )
    shutil.rmtree(folder, ignore_errors=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bays", type=int, default=10)
    parser.add_argument("--hours", type=float, default=1.0)
    asked = parser.parse_args()
    print(f"load before: {', '.join(f'{load:.1f}' for load in psutil.getloadavg())} on {psutil.cpu_count()} processors")
    soak(1, asked.hours)
    soak(asked.bays, asked.hours)


if __name__ == "__main__":
    main()
