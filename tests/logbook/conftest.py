"""A store in a folder of its own, and a job in it. Card, people and vehicle are invented."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.job.events import JobStarted, Noted, Said, StepDone, StepStarted, Torqued
from assistant.logbook import JobWriter, Logbook

CARD = b"card: carrier-gearbox\nrevision: '3'\n"


@pytest.fixture
def at() -> Callable[[float], datetime]:
    """`at(5)`: five minutes into the job."""
    return lambda minutes: datetime(2026, 3, 2, 7, 0, tzinfo=UTC) + timedelta(minutes=minutes)


@pytest.fixture
def hum() -> Callable[[float], Samples]:
    """`hum(110)`: a third of a second of that pitch, Hz; another pitch is another clip."""

    def make(pitch_hz: float) -> Samples:
        t = np.arange(SAMPLE_RATE // 3) / SAMPLE_RATE
        return (0.3 * np.sin(2 * np.pi * pitch_hz * t)).astype(np.float32)

    return make


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "bay") as logbook:
        yield logbook


@pytest.fixture
def said() -> Callable[..., Said]:
    """An utterance and its reply."""

    def make(heard: str, reply: str, request: str = "next") -> Said:
        return Said(heard, heard, request, {}, "act", -0.3, 2.5, reply)

    return make


@pytest.fixture
def start(at: Callable[[float], datetime]) -> Callable[..., JobWriter]:
    def begin(logbook: Logbook, vehicle: str = "FC-204", minute: float = 0, person: str = "Mara") -> JobWriter:
        started = JobStarted("carrier-gearbox", "3", "", "Gearbox out and back", vehicle)
        return logbook.create_job(CARD, started, at(minute), person)

    return begin


@pytest.fixture
def worked(
    bench: Logbook,
    start: Callable[..., JobWriter],
    said: Callable[..., Said],
    at: Callable[[float], datetime],
    hum: Callable[[float], Samples],
) -> str:
    """A job of nine events with three clips, closed; gives its name."""
    with start(bench) as job:
        job.append([said("begin", "Step 1: chock the wheels."), StepStarted("chock")], at(1), "Mara", "chock", hum(110))
        job.append([said("done", "Step 2."), StepDone("chock")], at(2), "Mara", "chock", hum(140))
        torqued = Torqued("flywheel-bolts", Decimal("65"), "N·m", "wrench-200")
        job.append([said("torqued flywheel bolts", "65 N·m, 6 5."), torqued], at(30), "Mara", "flywheel")
        job.append([said("take a note", "Noted."), Noted("pilot bearing feels rough")], at(31), "Ivo", "x", hum(170))
        return job.name


@pytest.fixture
def tamper(bench: Logbook) -> Callable[..., None]:
    """Changes the database behind the logbook's back: triggers dropped first, as someone with a viewer would."""

    def change(*statements: str) -> None:
        with sqlite3.connect(bench.folder / "logbook.sqlite3") as db:
            for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                db.execute(f"DROP TRIGGER {name}")
            for statement in statements:
                db.execute(statement)
        db.close()

    return change
