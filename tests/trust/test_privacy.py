"""Nothing leaves the machine: jobs are worked where there is no network, and where each try to reach one is a fault."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from assistant.logbook import Logbook
from tests.conftest import Needs
from tests.trust.whole_job import lines

ROOT = Path(__file__).parents[2]
WATCH = textwrap.dedent("""
    # read by every Python that is started with this folder in PYTHONPATH
    import os, sys

    REACHES_OUT = {"socket.connect", "socket.sendto", "socket.sendmsg", "socket.getaddrinfo", "socket.gethostbyname",
                   "urllib.Request", "http.client.connect", "ftplib.connect", "smtplib.connect"}

    def watch(event, arguments):
        if event in REACHES_OUT:
            with open(os.environ["BAY_TEST_REACHED_OUT"], "a") as file:
                file.write(f"{event} {arguments!r}\\n")
            raise ConnectionError(f"this reaches out: {event}")

    sys.addaudithook(watch)
""")
REACHES = "import socket; socket.create_connection(('192.0.2.1', 9), 1)"
SEES = "import socket; print(*(name for _, name in socket.if_nameindex()))"
LOOPBACK_ALONE = ("unshare", "-rn", "sh", "-c", 'ip link set lo up; exec "$@"', "sh")
BAY = (sys.executable, "-m", "assistant.cli")


def ran(*command: str, typed: str = "", env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command, input=typed, capture_output=True, text=True, check=False, cwd=ROOT, env={**os.environ, **(env or {})}
    )


def typed_job(home: Path) -> tuple[tuple[str, ...], str]:
    """The command of a whole typed job, and what is typed."""
    return (*BAY, "work", "gearbox-and-clutch", "--typed", "--home", str(home)), "\n".join(lines()) + "\n"


def finished(home: Path) -> bool:
    with Logbook.open(home, read_only=True) as logbook:
        return logbook.find_job("1").finished


@pytest.fixture
def alone(needs: Needs) -> tuple[str, ...]:
    """Before a command: a network of its own, with nothing in it but loopback."""
    there = shutil.which("unshare") is not None and shutil.which("ip") is not None
    works = there and subprocess.run([*LOOPBACK_ALONE, "true"], capture_output=True, check=False).returncode == 0
    needs(works, "network namespaces for its user (Linux; util-linux, iproute2)")
    return LOOPBACK_ALONE


def test_a_typed_job_needs_no_network(alone: tuple[str, ...], tmp_path: Path) -> None:
    assert ran(*alone, sys.executable, "-c", SEES).stdout.split() == ["lo"], "there is truly nothing but loopback"
    command, typed = typed_job(tmp_path)
    done = ran(*alone, *command, typed=typed)
    assert done.returncode == 0, done.stderr
    assert finished(tmp_path)


def test_a_job_by_ear_its_model_included_needs_no_network(alone: tuple[str, ...], tmp_path: Path) -> None:
    """The recorded utterance goes through the real recogniser."""
    said = ROOT / "audio_fixtures" / "01-begin.flac"
    done = ran(*alone, *BAY, "work", "gearbox-and-clutch", "--audio", str(said), "--home", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "hydraulics" in done.stdout, "the first question was asked, so the utterance was understood"


@pytest.fixture
def watched(tmp_path: Path) -> dict[str, str]:
    """An environment in which each try to reach anything over a network is written down and fails."""
    folder = tmp_path / "watch"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(WATCH)
    return {"PYTHONPATH": f"{folder}{os.pathsep}{ROOT}", "BAY_TEST_REACHED_OUT": str(tmp_path / "reached-out")}


def reached_out(watched: dict[str, str]) -> str:
    log = Path(watched["BAY_TEST_REACHED_OUT"])
    return log.read_text() if log.exists() else ""


def test_the_watch_sees_a_try_to_reach_out(watched: dict[str, str]) -> None:
    assert "this reaches out" in ran(sys.executable, "-c", REACHES, env=watched).stderr
    assert "192.0.2.1" in reached_out(watched)


def test_no_job_and_no_command_around_it_tries_to_reach_out(watched: dict[str, str], tmp_path: Path) -> None:
    home = tmp_path / "home"
    command, typed = typed_job(home)
    said = ROOT / "audio_fixtures" / "01-begin.flac"
    commands: tuple[tuple[tuple[str, ...], str], ...] = (
        (command, typed),
        ((*BAY, "work", "gearbox-and-clutch", "--audio", str(said), "--home", str(home)), ""),
        ((*BAY, "report", "1", "--to", str(tmp_path / "job.pdf"), "--home", str(home)), ""),
        ((*BAY, "log", "export", "Mara", str(tmp_path / "mara.zip"), "--home", str(home)), ""),
        ((*BAY, "check", "wheel-end"), ""),
        ((*BAY, "settings"), ""),
    )
    for each, words in commands:
        done = ran(*each, typed=words, env=watched)
        assert "Traceback" not in done.stderr, (each, done.stderr)
        assert reached_out(watched) == "", each
    assert finished(home)
