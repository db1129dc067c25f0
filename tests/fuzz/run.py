"""Fuzzes one target in this process: `python -m tests.fuzz.run card --seed 1 --executions 20000`.

A find is an exception that is no refusal, more than 5 s of this process's time for one input, or more than 1 GB.
Its input is written to tests/fuzz/finds/TARGET/, where `tests/fuzz/test_finds.py` keeps it mended for good.
Time is the processor's, so that a busy machine finds nothing that is not there.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import resource
import signal
import sys
import traceback
import warnings
from pathlib import Path
from random import Random
from types import FrameType
from typing import NoReturn

from tests.fuzz.mutate import mutated
from tests.fuzz.targets import TARGETS

FINDS = Path(__file__).parent / "finds"
HANG_S = 5.0
MOST_BYTES = 1 << 30


class Hang(BaseException):
    """One input took too long. No Exception, so that nothing on the way takes it for its own."""


def _stop(_number: int, _frame: FrameType | None) -> NoReturn:
    raise Hang


def tried(target: str, content: bytes) -> bool:
    """Runs one input; raises what it found. True: taken, False: refused."""
    signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, HANG_S)
    try:
        return TARGETS[target](content)
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)


def bound_memory() -> None:
    """From here on this process gets at most 1 GB more than it has; what wants more meets a MemoryError."""
    in_use = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (in_use + MOST_BYTES, resource.RLIM_INFINITY))


def fuzz(target: str, seed: int, executions: int, keep: bool) -> dict[str, object]:
    """What came of so many inputs."""
    taken, finds = 0, {}
    for number in range(executions):
        content = mutated(Random(f"{target} {seed} {number}"), target)
        try:
            taken += tried(target, content)
        except (Exception, Hang) as fault:
            place = traceback.extract_tb(fault.__traceback__)[-1]
            where = f"{type(fault).__name__} at {Path(place.filename).name}:{place.lineno}"
            if where not in finds:
                finds[where] = f"{number}: {str(fault)[:300]}"
                if keep:
                    there = FINDS / target / hashlib.sha256(content).hexdigest()[:12]
                    there.parent.mkdir(parents=True, exist_ok=True)
                    there.write_bytes(content)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    return {"target": target, "seed": seed, "executions": executions, "taken": taken,
            "refused": executions - taken - len(finds), "peak_bytes": peak, "finds": finds}  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--executions", type=int, default=1000)
    parser.add_argument("--keep", action="store_true", help="write the input of each find")
    asked = parser.parse_args()
    mutated(Random(0), asked.target)
    bound_memory()
    warnings.simplefilter("error")  # nobody under a vehicle reads a RuntimeWarning
    came = fuzz(asked.target, asked.seed, asked.executions, asked.keep)
    print(json.dumps(came))
    sys.exit(1 if came["finds"] else 0)


if __name__ == "__main__":
    main()
