"""Whole jobs, typed: every answer and every event as the script has them; the log folded gives the same job."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.job.open_items import blocking
from assistant.job.state import fold
from tests.scripts.play import FOLDER, begin, card_named, played, read

SCRIPTS = sorted(FOLDER.glob("*.txt"))


def test_there_are_at_least_six_whole_jobs() -> None:
    assert len(SCRIPTS) >= 6


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_the_job_goes_as_written(path: Path) -> None:
    head, exchanges = read(path)
    bay = begin(head)
    for exchange in exchanges:
        answers, events = played(bay, exchange)
        where = f"{path.name}:{exchange.number} {exchange.line}"
        assert answers == exchange.answers, where
        assert events == exchange.events, where
    state = bay.talk.state
    assert state.finished, "a script is a whole job"
    assert not blocking(state)
    assert fold(card_named(head["card"]), bay.log) == state
