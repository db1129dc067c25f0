"""`bay doctor` on a real sound system: it measures, speaks, listens, and says what is what."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path

import numpy as np
import pytest

from assistant.hearing.heard import SAMPLE_RATE
from tests.bay import sound_server
from tests.bay.sound_server import ROOM_NOISE_DB, SoundServer
from tests.conftest import Needs
from tests.sound.voices import missing as missing_voice
from tests.sound.voices import speak

pytestmark = pytest.mark.sound_server


@pytest.fixture
def server(needs: Needs) -> Iterator[SoundServer]:
    lacks = sound_server.missing()
    needs(not lacks, f"a sound server (Debian: {lacks})")
    lacks = missing_voice("flite:slt")
    needs(not lacks, lacks or "flite")
    with SoundServer() as running:
        yield running


@pytest.mark.parametrize("in_a_room", [False, True], ids=["headset", "room"])
def test_the_doctor_hears_the_person_and_whether_it_hears_itself(
    in_a_room: bool, server: SoundServer, tmp_path: Path
) -> None:
    environment = {**os.environ, **server.environment, "OMP_NUM_THREADS": "1", "BAY_CONFIG": str(tmp_path)}
    with server.echo() if in_a_room else nullcontext():
        doctor = subprocess.Popen(
            [sys.executable, "-m", "assistant.cli", "doctor", "--json", "--home", str(tmp_path), "--volume", "10"],
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert doctor.stderr is not None
            lines = []
            for line in doctor.stderr:
                lines.append(line)
                if line.startswith("Now say"):
                    server.speak(np.asarray(speak("what is next", "flite:slt"), np.float32), SAMPLE_RATE).wait(20)
                    break
            out, rest = doctor.communicate(timeout=60)
        finally:
            doctor.kill()
    assert out, f"the doctor said nothing: {lines} {rest}"
    told = json.loads(out)
    findings = {finding["name"]: finding for finding in told["findings"]}
    assert told["verdict"]["state"] == "good", told
    assert doctor.returncode == 0
    assert "default" in findings["microphone"]["says"]
    noise_db = float(findings["level"]["says"].split()[1])
    # white noise over 24 kHz, of which the ear keeps the lowest 8
    assert noise_db == pytest.approx(ROOM_NOISE_DB + 10 * np.log10(8 / 24), abs=1.5)
    assert "what is next" in findings["understood"]["says"]
    heard_back = "comes back in" in findings["heard back"]["says"]
    assert heard_back is in_a_room
