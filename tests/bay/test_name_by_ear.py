"""Spoken to by name, by sound: the name first, then a while without it; the same words without it do nothing."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.job.events import Said, StepDone
from assistant.logbook.store import Logbook
from tests.bay import sound_server
from tests.bay.sound_server import SoundServer
from tests.bay.technician import Technician
from tests.conftest import Needs
from tests.sound.voices import missing as missing_voice

pytestmark = pytest.mark.sound_server

CARD = Path(__file__).with_name("cover.yaml")
WINDOW_S = 2.0
NAMES = ["capricorn", *(pytest.param(name, marks=pytest.mark.slow) for name in ("juniper", "samson", "red bird"))]
"""One that the tool suggests, and three that somebody might choose instead."""


@pytest.fixture
def server(needs: Needs) -> Iterator[SoundServer]:
    lacks = sound_server.missing()
    needs(not lacks, f"a sound server (Debian: {lacks})")
    lacks = missing_voice("flite:slt")
    needs(not lacks, lacks or "flite")
    with SoundServer() as running:
        yield running


def _answer(technician: Technician, words: str) -> str:
    """What is asked back is confirmed: a rare name is often heard by halves."""
    reply = technician.ask(words)["text"]
    if not reply.startswith("Did you say"):
        return reply
    assert reply.removeprefix("Did you say: ").rstrip("?") == words.replace(",", "")
    return technician.ask("yes")["text"]


@pytest.mark.parametrize("name", NAMES)
def test_the_name_is_needed_first_and_again_once_the_window_is_shut(
    name: str, server: SoundServer, tmp_path: Path
) -> None:
    flags = ("--attention", "name", "--name", name, "--window", str(WINDOW_S))
    with Technician(server, CARD, tmp_path, *flags) as technician:
        technician.ready()
        for words in ("start the job", "what is the torque of the cover bolts"):
            assert technician.ask(words, "ignored")["what"] == "ignored"
        assert _answer(technician, f"{name}, start the job").startswith("Off.")
        assert _answer(technician, "what is the torque of the cover bolts") == "Cover bolts: 25 N·m, 2 5."
        time.sleep(WINDOW_S + 1.0)
        assert technician.ask("done", "ignored")["what"] == "ignored"
        assert _answer(technician, f"{name}, what is the torque of the cover bolts") == "Cover bolts: 25 N·m, 2 5."
    with Logbook.open(tmp_path, read_only=True) as logbook:
        bodies = [event.body for event in logbook.events(logbook.find_job().name)]
    acted = [body.request for body in bodies if isinstance(body, Said) and body.decision in ("act", "confirm")]
    assert [request for request in acted if request != "yes"] == ["begin", "torque", "torque"]
    assert not [body for body in bodies if isinstance(body, StepDone)]
