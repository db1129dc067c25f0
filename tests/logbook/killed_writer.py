"""Run by test_faults.py in a process of its own, to be killed: writes as fast as it can, and says what was kept.

Arguments: folder, job. Each line on standard output is the seq of an acknowledged event.
"""

import os
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from assistant.job.events import Said, StepDone, StepStarted
from assistant.logbook import Logbook

folder, job = Path(sys.argv[1]), sys.argv[2]
at = datetime(2026, 3, 2, 8, tzinfo=UTC)
noise = np.random.default_rng(int(sys.argv[3]))
with Logbook.open(folder) as logbook:
    writer = logbook.resume(job, at)
    os.write(1, b"ready\n")
    while True:
        turn = writer.last_seq
        said = Said("done", "done", "done", {}, "act", -0.2, 3.0, f"Step {turn}.")
        sound = noise.uniform(-0.1, 0.1, 800).astype(np.float32)
        last = writer.append(
            [said, StepDone(f"s{turn}"), StepStarted(f"s{turn + 1}")], at + timedelta(seconds=turn), clip=sound
        )
        os.write(1, f"{last[-1].seq}\n".encode())
