"""What fuzzing found stays mended, and a short run with a known seed finds nothing new.

Long runs: `python -m tests.fuzz.run TARGET --executions 20000 --keep`; by coverage: `tests/fuzz/by_coverage.py`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.card.load import read_card_text
from tests.fuzz.mutate import mutated
from tests.fuzz.run import FINDS, tried
from tests.fuzz.targets import TARGETS

SHORT = {"card": 60, "grammar": 150, "sound": 400, "typed": 8}
LONG = {"card": 5_000, "grammar": 10_000, "sound": 50_000, "typed": 500}


def fuzzed(target: str, seed: int, executions: int) -> dict[str, object]:
    """In a process of its own, whose memory is bounded."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz.run", target, "--seed", str(seed), "--executions", str(executions)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout, done.stderr
    came: dict[str, object] = json.loads(done.stdout.splitlines()[-1])
    return came


@pytest.mark.parametrize("target", TARGETS)
def test_hostile_input_is_taken_or_refused_in_words(target: str) -> None:
    came = fuzzed(target, 11, SHORT[target])
    assert came["finds"] == {}
    assert came["refused"] or target == "typed", "input that is always taken is not hostile"


@pytest.mark.slow
@pytest.mark.parametrize("target", TARGETS)
def test_much_hostile_input_is_taken_or_refused_in_words(target: str) -> None:
    assert fuzzed(target, 12, LONG[target])["finds"] == {}


@pytest.mark.parametrize(
    "path", sorted(FINDS.glob("*/*")), ids=lambda path: f"{path.parent.name}-{path.name}" if path else "none"
)
def test_what_was_found_once_is_no_find_any_more(path: Path) -> None:
    tried(path.parent.name, path.read_bytes())


def test_the_fuzzer_sees_what_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fuzzer that finds nothing in a broken reader is no evidence for a whole one."""
    monkeypatch.setitem(TARGETS, "card", lambda content: bool(read_card_text(content.decode("utf-8")).card))
    with pytest.raises(UnicodeDecodeError):
        tried("card", b"card: \xff")


def test_an_input_that_never_ends_is_a_find(monkeypatch: pytest.MonkeyPatch) -> None:
    def never_ends(_content: bytes) -> bool:
        while True:
            pass

    monkeypatch.setattr("tests.fuzz.run.HANG_S", 0.05)
    monkeypatch.setitem(TARGETS, "card", never_ends)
    with pytest.raises(BaseException) as found:  # noqa: PT011 - Hang is kept out of Exception's family
        tried("card", b"")
    assert found.typename == "Hang"


def test_the_same_seed_is_the_same_input() -> None:
    from random import Random

    for target in TARGETS:
        assert mutated(Random("a 1 2"), target) == mutated(Random("a 1 2"), target)
