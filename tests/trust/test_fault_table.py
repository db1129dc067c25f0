"""The table of faults names only tests that exist."""

from __future__ import annotations

import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
NAMED = re.compile(r"`(?:((?:[a-z]+/)?test_\w+\.py))?(?:::)?(test_\w+)?`")


def test_every_test_that_the_table_names_is_there() -> None:
    named = 0
    for row in (TESTS / "FAULTS.md").read_text(encoding="utf-8").splitlines():
        file = ""
        for path, test in NAMED.findall(row):
            file = path or file
            if path:
                assert (TESTS / path).is_file(), path
            if test:
                assert f"def {test}(" in (TESTS / file).read_text(encoding="utf-8"), f"{file}::{test}"
                named += 1
    assert named > 40


def test_every_fault_that_had_to_be_tried_has_its_row() -> None:
    table = (TESTS / "FAULTS.md").read_text(encoding="utf-8").casefold()
    for fault in (
        "kill -9", "power cut", "disk full", "read-only", "clock jumps both ways", "clips lost", "model file missing",
        "microphone unplugged", "portaudio missing", "espeak library", "thread that captures dies",
        "decoding slower than speech", "board killed", "two sessions on one job", "card edited during a job",
    ):  # fmt: skip
        assert fault in table, fault
