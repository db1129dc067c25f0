"""Speed of the logbook: what an append costs beside SQLite's bare commit, and a store of 1,000 jobs, 1,000,000 events.

Run `python -m tests.benchmarks.logbook` (about two minutes; `--jobs 100` for less). Prints measured figures only.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from assistant.card.load import load_card_text
from assistant.job.events import Body, JobStarted, Noted, Said
from assistant.job.plan import Plan
from assistant.job.state import salvage
from assistant.logbook import Logbook
from assistant.logbook.report import write_report
from assistant.logbook.search import search
from assistant.logbook.store import JobSummary
from assistant.logbook.tell import card_of
from assistant.logbook.verify import verify
from assistant.paths import shipped
from tests.benchmarks.logbook_append import append_beside_bare_commit
from tests.logbook.technician import Technician, Turn

CARD = shipped("procedures") / "gearbox-and-clutch.yaml"
BEGAN = datetime(2026, 1, 5, 7, tzinfo=UTC)


def build(folder: Path, jobs: int, events: int) -> None:
    """`jobs` jobs of `events` events each: the real card worked through, then talk until the number is reached."""
    text = CARD.read_bytes()
    card = load_card_text(text.decode())
    turns: list[Turn] = list(Technician(card, BEGAN).work(skip="fill", outside="flywheel-runout"))
    with Logbook.open(folder) as logbook:
        for number in range(jobs):
            shift = timedelta(hours=7 * number)
            started = JobStarted(card.card, card.revision, "", card.title, f"FC-{number:04d}")
            with logbook.create_job(text, started, BEGAN + shift) as writer:
                writer._connection.execute("PRAGMA synchronous = OFF")
                written = 1
                for turn in turns[1:-1]:
                    if written + len(turn.bodies) > events - 1:
                        break
                    writer.append(turn.bodies, turn.at + shift, turn.person, turn.step)
                    written += len(turn.bodies)
                talk: list[Body] = [
                    Said(f"note {number} {n}", "note", "note", {}, "act", -0.3, 2.0, "Noted.")
                    if n % 2
                    else Noted(f"oil trace number {n} at the {'rear' if n % 3 else 'front'} cover of {number}")
                    for n in range(events - written)
                ]
                writer.append(talk, turn.at + shift, "Ivo", turn.step)


def timed(what: str, goal_s: float, act: Callable[[], object], rounds: int = 5) -> None:
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        act()
        times.append(time.perf_counter() - begun)
    verdict = "within" if statistics.median(times) <= goal_s else "OVER"
    print(f"  {what:<44} median {statistics.median(times):6.3f} s   worst {max(times):6.3f} s   {verdict} {goal_s} s")


def big_store(folder: Path, out: Path) -> None:
    def opened() -> Logbook:
        return Logbook.open(folder)

    def open_and_list() -> None:
        with opened() as logbook:
            logbook.jobs()

    def resume() -> None:
        with opened() as logbook:
            job = logbook.find_job()
            with logbook.resume(job.name):
                state, _ = salvage(Plan(card_of(logbook, job)), logbook.events(job.name))
                assert state.seq == job.events

    timed("open and list", 0.5, open_and_list)
    timed("open, resume the last job, fold its events", 0.5, resume)
    with opened() as logbook:
        for words in ("flywheel bolts", "note 500 998", "oil trace", "zebra", "step"):
            timed(f"search {words!r} ({len(search(logbook, words))} shown)", 0.2, lambda w=words: search(logbook, w))  # type: ignore[misc]
        job: JobSummary = logbook.find_job()
        for kind in ("html", "pdf", "json"):
            timed(f"report as {kind}", 2.0, lambda k=kind: write_report(logbook, job, out / f"r.{k}"), rounds=3)  # type: ignore[misc]
        begun = time.perf_counter()
        proof = verify(logbook, sound=False)
        print(f"  verify all {proof.events} events: {time.perf_counter() - begun:.1f} s, whole: {proof.whole}")


MEMORY = """
import resource, sys
from pathlib import Path
from assistant.logbook import Logbook
from assistant.logbook.report import write_report
from assistant.logbook.search import search
from assistant.logbook.verify import verify
with Logbook.open(Path(sys.argv[1])) as logbook:
    logbook.jobs(); search(logbook, "flywheel bolts"); search(logbook, "step")
    write_report(logbook, logbook.find_job(), Path(sys.argv[2]) / "m.html")
    verify(logbook, sound=False)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def peak_mb(folder: Path, out: Path) -> int:
    ran = subprocess.run(
        [sys.executable, "-c", MEMORY, str(folder), str(out)], capture_output=True, text=True, check=True
    )
    return int(ran.stdout)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=1000)
    parser.add_argument("--events", type=int, default=1000, help="a job")
    parser.add_argument("--rounds", type=int, default=2000, help="appends to time")
    parser.add_argument("--keep", type=Path, help="folder in which to build the store, and leave it")
    asked = parser.parse_args()
    folder = asked.keep or Path(tempfile.mkdtemp(prefix="bay-bench-"))
    folder.mkdir(parents=True, exist_ok=True)
    try:
        append_beside_bare_commit(folder, asked.rounds)
        if not (folder / "big").exists():
            begun = time.perf_counter()
            build(folder / "big", asked.jobs, asked.events)
            build(folder / "small", 1, asked.events)
            print(f"built {asked.jobs} jobs of {asked.events} events in {time.perf_counter() - begun:.0f} s")
        size = (folder / "big" / "logbook.sqlite3").stat().st_size / 1e6
        print(f"a store of {asked.jobs} jobs, {asked.jobs * asked.events} events, {size:.0f} MB")
        big_store(folder / "big", folder)
        small, big = peak_mb(folder / "small", folder), peak_mb(folder / "big", folder)
        print(f"  memory at its peak: {small} MB with one job, {big} MB with {asked.jobs}")
        print(f"  (this process {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB)")
    finally:
        if not asked.keep:
            shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()
