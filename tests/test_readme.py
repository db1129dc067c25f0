"""Every command that the README shows is run here, as it is written."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from tests.conftest import Needs

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [
    line.strip()
    for block in re.findall(r"^```sh\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    for line in block.splitlines()
    if line.strip()
]
INSTALLS = [command for command in COMMANDS if "pip install" in command]
WITH_SOUND_DEVICE = [command for command in COMMANDS if command.startswith("bay doctor") or "--vehicle" in command]
SERVES = ["bay board"]
AT_ONCE = [
    command for command in COMMANDS if command not in (*INSTALLS, *WITH_SOUND_DEVICE, *SERVES, ". .venv/bin/activate")
]
FINDINGS_ARE_FINE = ("bay check", "bay draft")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A working folder that looks like the checkout, and takes what the commands write."""
    made = tmp_path_factory.mktemp("checkout")
    for name in ("audio_fixtures", "tests"):
        (made / name).symlink_to(ROOT / name)
    return made


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    home = tmp_path_factory.mktemp("home")
    path = f"{BIN}{os.pathsep}{os.environ['PATH']}"
    return {**os.environ, "BAY_HOME": str(home / "log"), "BAY_CONFIG": str(home / "config"), "PATH": path}


def _run(command: str, folder: Path, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["bash", "-c", command], cwd=folder, env=environment, capture_output=True, text=True, timeout=900, check=False
    )


def test_the_readme_shows_the_two_commands_and_every_command_is_accounted_for() -> None:
    assert len(INSTALLS) == 2
    assert WITH_SOUND_DEVICE
    assert set(SERVES) <= set(COMMANDS)
    assert len(AT_ONCE) > 15


@pytest.mark.parametrize("command", AT_ONCE)
def test_a_command_of_the_readme_runs(command: str, folder: Path, environment: dict[str, str]) -> None:
    ran = _run(command, folder, environment)
    fine = (0, 1) if command.startswith(FINDINGS_ARE_FINE) else (0,)
    assert ran.returncode in fine, f"{command}\n{ran.stdout}\n{ran.stderr}"
    assert "Traceback" not in ran.stderr
    assert ran.stdout.strip()


@pytest.mark.parametrize("command", WITH_SOUND_DEVICE)
def test_without_a_microphone_one_line_says_so(command: str, folder: Path, environment: dict[str, str]) -> None:
    """With one, tests/bay works the whole card by sound."""
    deaf = {**environment, "BAY_EAR_MICROPHONE": "a microphone that nobody has"}
    ran = _run(command, folder, deaf)
    assert ran.returncode in (1, 2), ran.stdout + ran.stderr
    assert "microphone" in (ran.stdout + ran.stderr).lower() or "PortAudio" in ran.stdout + ran.stderr
    assert "Traceback" not in ran.stderr


def test_the_board_serves_its_page(folder: Path, environment: dict[str, str]) -> None:
    (command,) = SERVES
    with subprocess.Popen(
        ["bash", "-c", f"exec {command}"], cwd=folder, env=environment, stdout=subprocess.PIPE, text=True
    ) as board:
        try:
            assert board.stdout is not None
            address = re.search(r"http://\S+", board.stdout.readline())
            assert address
            for _ in range(100):
                try:
                    with urllib.request.urlopen(address[0]) as page:
                        assert page.status == 200
                        break
                except OSError:
                    time.sleep(0.1)
            else:
                pytest.fail("the board never answered")
        finally:
            board.send_signal(signal.SIGINT)


@pytest.mark.parametrize("command", INSTALLS[:1])
def test_the_main_job_installs_and_runs_in_a_fresh_clone(command: str, tmp_path: Path, needs: Needs) -> None:
    """The second command is what runs these tests: `.ci/run` holds it to the letter."""
    needs(os.environ.get("BAY_TEST_ALL") == "1", "BAY_TEST_ALL=1 (it downloads from the package index)")
    clone = tmp_path / "clone"
    shutil.copytree(
        ROOT, clone, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis")
    )
    ran = _run(command, clone, {**os.environ, "BAY_HOME": str(tmp_path / "log")})
    assert ran.returncode == 0, ran.stdout[-2000:] + ran.stderr[-2000:]
    assert "Left open" in ran.stdout


def test_the_second_command_is_the_one_that_ci_runs() -> None:
    """ci adds the quiet flag and the timings, nothing else."""
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert INSTALLS[1] in ci.replace("pip install -q", "pip install")
