"""A shop with jobs in it, and a board served on loopback. Vehicles, cards and people are invented."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from assistant.board.serve import Place, place, server
from assistant.card.load import load_card_text
from assistant.hearing.heard import SAMPLE_RATE
from assistant.job.events import Body, Said
from assistant.logbook import JobWriter, Logbook
from tests.logbook.technician import Technician, Turn

CARD = (Path(__file__).parents[1] / "logbook" / "wheel-hub.yaml").read_bytes()
HOSTILE = "<img src=x onerror=alert(1)><script>alert(2)</script> {{7*7}} \"quoted\" 'so' &amp;"
BEGAN = datetime(2026, 3, 2, 7, tzinfo=UTC)


def tone(pitch_hz: float = 440.0, seconds: float = 0.6) -> np.ndarray:
    t = np.arange(int(SAMPLE_RATE * seconds)) / SAMPLE_RATE
    return (0.2 * np.sin(2 * np.pi * pitch_hz * t)).astype(np.float32)


@dataclass
class Worker:
    """A technician at work: what they do is written at once."""

    technician: Technician
    writer: JobWriter

    def write(self, turn: Turn, *, sound: bool = False, now: bool = False) -> None:
        clip = tone() if sound and isinstance(turn.bodies[0], Said) else None
        self.writer.append(turn.bodies, datetime.now(UTC) if now else turn.at, turn.person, turn.step, clip)

    def say(self, heard: str, reply: str, *bodies: Body, sound: bool = False) -> None:
        self.write(self.technician.say(heard, reply, *bodies, request="note"), sound=sound, now=True)


def begin(logbook: Logbook, vehicle: str, began: datetime, **work: object) -> Worker:
    """A job worked as far as `work` says; its writer still has it."""
    technician = Technician(load_card_text(CARD.decode()), began, vehicle)
    turns = technician.work(**work)  # type: ignore[arg-type]
    first = next(turns)
    worker = Worker(technician, logbook.create_job(CARD, first.bodies[0], first.at))  # type: ignore[arg-type]
    for number, turn in enumerate(turns):
        worker.write(turn, sound=number < 6)
    return worker


def fill(folder: Path) -> None:
    """Two jobs closed, one left open, with whatever a page has to show or to withstand in them."""
    with Logbook.open(folder) as logbook:
        for vehicle, day, work in (
            ("FC-204", 2, {"outside": "bearing-play", "skip": "dust-cap-in", "correct": "hub-bolts"}),
            ("FC-205 " + HOSTILE, 3, {"pause_at": 4, "hand_to": "Ivo " + HOSTILE, "note": "hub scored " + HOSTILE}),
            ("FC-311", 4, {"last_step": 5}),
        ):
            began = BEGAN.replace(day=day)
            begin(logbook, vehicle, began, **work).writer.close()


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Read only: tests that write make a shop of their own."""
    folder = tmp_path_factory.mktemp("shop")
    fill(folder)
    return folder


@dataclass(frozen=True)
class Served:
    """A board that runs."""

    where: Place
    folder: Path

    @property
    def port(self) -> int:
        return int(self.where.sockets[0].getsockname()[1])

    def __truediv__(self, path: str) -> str:
        """Its address of a page: `board / "jobs"`."""
        return f"http://127.0.0.1:{self.port}/{path}"


@pytest.fixture(scope="session")
def serving() -> Iterator[Callable[[Path], Served]]:
    """`serving(folder)`: a real server on a thread of its own, on a free port of loopback."""
    running = []

    def start(folder: Path) -> Served:
        where = place(0)
        made = server(folder, where)
        made.install_signal_handlers = lambda: None  # type: ignore[attr-defined]
        thread = threading.Thread(target=lambda: asyncio.run(made.serve(sockets=list(where.sockets))), daemon=True)
        thread.start()
        end = time.monotonic() + 10
        while not made.started:
            assert time.monotonic() < end, "the board did not start"
            time.sleep(0.01)
        running.append((made, thread))
        return Served(where, folder)

    yield start
    for made, _ in running:
        made.should_exit = True
        made.force_exit = True
    for _, thread in running:
        thread.join(5)


@pytest.fixture(scope="session")
def board(serving: Callable[[Path], Served], shop: Path) -> Served:
    return serving(shop)
