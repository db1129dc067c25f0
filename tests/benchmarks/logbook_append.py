"""What an append to the logbook costs beside SQLite's bare commit of the same bytes, turn about in one run.

Run `python -m tests.benchmarks.logbook_append` (under a minute; on a quiet machine). Ours is an utterance and what it
did: made into rows, chained by SHA-256, kept by triggers, its head moved. Bare is one insert of the same two rows,
ready made, into a table with nothing else to it, with the same pragmas. Which of the two goes first is drawn anew each
turn, for the disk remembers who went before.

Two folders: one on the disk, where a sync is a sync, and one in memory, where it is nothing and only the work of the
processor is left. On a disk the turns fall into two kinds: those where the write-ahead log grows (the file system
writes its own journal, some ms) and those where it is written over (a fraction of a ms). They are told apart.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from assistant.job.events import Body, JobStarted, Said, StepDone
from assistant.logbook import Logbook
from assistant.logbook.rows import Row

BEGAN = datetime(2026, 1, 5, 7, tzinfo=UTC)
GOAL = 1.3
QUICK_S = 0.001
"""A bare commit below this did not wait for the file system's journal, seconds."""
IN_MEMORY = Path("/dev/shm")


def turn_of(number: int) -> list[Body]:
    reply = f"Flywheel bolts: 65 N·m, {number}."
    slots = {"fastener": "flywheel-bolts"}
    heard = "torqued the flywheel bolts to sixty five"
    return [Said(heard, "65.", "torqued", slots, "act", -0.3, 2.5, reply), StepDone("flywheel-on")]


class Bare:
    """The least that SQLite can do to keep two rows."""

    def __init__(self, database: Path) -> None:
        self._db = sqlite3.connect(database, isolation_level=None)
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute("CREATE TABLE event (id INTEGER PRIMARY KEY, at, person, step, kind, body, said, hash)")

    def keep(self, rows: Sequence[Row]) -> None:
        self._db.execute("BEGIN IMMEDIATE")
        self._db.executemany("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)", rows)
        self._db.execute("COMMIT")

    def close(self) -> None:
        self._db.close()


def took(act: Callable[[], object]) -> float:
    begun = time.perf_counter()
    act()
    return time.perf_counter() - begun


def pairs(folder: Path, rounds: int, seed: int = 1) -> list[tuple[float, float]]:
    """Seconds of ours and of bare, a pair a turn."""
    chance = random.Random(seed)
    bare = Bare(folder / "bare.sqlite3")
    found = []
    with (
        Logbook.open(folder / "ours") as logbook,
        logbook.create_job(b"bench", JobStarted("bench", "1", "", "bench"), BEGAN) as writer,
    ):
        rows: list[Row] = []
        writer.append(turn_of(0), BEGAN, "Mara", "flywheel-on")
        columns = "id, at, person, step, kind, body, said, hash"
        kept = logbook.reader()
        rows = kept.execute(f"SELECT {columns} FROM event ORDER BY id DESC LIMIT 2").fetchall()
        kept.close()
        for number in range(1, rounds + 1):
            bodies = turn_of(number)
            same = [(number * 2 + n, *row[1:]) for n, row in enumerate(reversed(rows))]
            acts = {
                "ours": lambda b=bodies: writer.append(b, BEGAN, "Mara", "flywheel-on"),
                "bare": lambda r=same: bare.keep(r),
            }
            order = chance.sample(sorted(acts), 2)
            times = {name: took(acts[name]) for name in order}
            found.append((times["ours"], times["bare"]))
    bare.close()
    return found


def interval(times: Sequence[tuple[float, float]], resamples: int = 400) -> tuple[float, float, float]:
    """Ratio of the medians, ours to bare, and where 95 of 100 resamples of the turns put it."""
    chance = random.Random(2)

    def ratio(some: Sequence[tuple[float, float]]) -> float:
        return statistics.median(o for o, _ in some) / statistics.median(b for _, b in some)

    spread = sorted(ratio(chance.choices(times, k=len(times))) for _ in range(resamples))
    return ratio(times), spread[int(resamples * 0.025)], spread[int(resamples * 0.975)]


def tell(name: str, times: list[tuple[float, float]]) -> None:
    if len(times) < 50:
        print(f"  {name}: {len(times)} turns, too few to tell")
        return
    for who, mine in (("bare SQLite commit", [b for _, b in times]), ("logbook", [o for o, _ in times])):
        ordered = sorted(mine)
        middle, last = statistics.median(ordered) * 1e3, ordered[int(len(ordered) * 0.99)] * 1e3
        print(f"  {name:<28} {who:<20} median {middle:6.3f} ms   99th {last:6.3f} ms")
    ratio, low, high = interval(times)
    more = statistics.median(o - b for o, b in times) * 1e6
    print(
        f"  {'':<28} logbook / bare       {ratio:.2f} ({low:.2f} to {high:.2f}; goal {GOAL}); "
        f"a turn costs {more:.0f} us more"
    )


def append_beside_bare_commit(folder: Path, rounds: int) -> None:
    print(f"append, {rounds} turns of two events, WAL, synchronous=FULL")
    with tempfile.TemporaryDirectory(dir=folder) as there:
        found = pairs(Path(there), rounds)
    tell("on the disk, all turns", found)
    quick = [p for p in found if max(p) < QUICK_S]
    tell("on the disk, log written over", quick)
    tell("on the disk, log grows", [p for p in found if min(p) >= QUICK_S])
    if IN_MEMORY.is_dir():
        with tempfile.TemporaryDirectory(dir=IN_MEMORY) as there:
            tell("in memory: no sync at all", pairs(Path(there), rounds))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=4000)
    parser.add_argument("--folder", type=Path, help="on the disk that is meant; otherwise where temporary files go")
    asked = parser.parse_args()
    append_beside_bare_commit(asked.folder or Path(tempfile.gettempdir()), asked.rounds)


if __name__ == "__main__":
    main()
