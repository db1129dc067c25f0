"""The commands as they are typed: one line and exit code 2 for a mistake, the right words for the rest."""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from assistant.job.events import JobStarted
from assistant.logbook import Logbook, commands

app = typer.Typer(add_completion=False)
app.add_typer(commands.log_app, name="log")
for command in (commands.jobs, commands.replay, commands.report):
    app.command()(command)


@pytest.fixture
def bay(bench):
    """`bay("log", "verify")` -> exit code, standard output, standard error."""

    def run(*words: str) -> tuple[int, str, str]:
        result = CliRunner().invoke(app, list(words), env={"BAY_HOME": str(bench.folder), "COLUMNS": "160"})
        assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
        return result.exit_code, result.stdout, result.stderr

    return run


def test_log_prints_the_last_job_with_who_said_what(bay, worked):
    code, out, _ = bay("log")
    assert code == 0
    assert "Mara  torqued flywheel bolts" in out
    assert "flywheel bolts: 65 N·m" in out


@pytest.mark.parametrize("words", [("log", "--json"), ("log", "1", "--json"), ("log", "--json", "2026")])
def test_log_as_json_is_an_object_a_line_in_order(bay, worked, bench, words):
    code, out, _ = bay(*words)
    lines = [json.loads(line) for line in out.splitlines()]
    assert code == 0
    assert [line["seq"] for line in lines] == list(range(1, 10))
    assert lines[-1]["hash"] == bench.find_job(worked).last_hash
    assert lines[6]["body"]["value"] == "65"


def test_verify_says_whole_and_by_exit_code_that_it_is_not(bay, worked, tamper):
    code, out, _ = bay("log", "verify")
    assert code == 0
    assert "Whole" in out
    tamper("UPDATE event SET person = 'X' WHERE id & 255 = 3")
    code, out, _ = bay("log", "verify", worked)
    assert code == 1
    assert f"FAULT  {worked}, event 3: changed" in out


def test_copy_forget_export_search(bay, worked, tmp_path):
    assert bay("log", "copy", str(tmp_path / "c.zip"))[0] == 0
    assert (tmp_path / "c.zip").exists()
    assert "1 entries" not in bay("log", "export", "Mara", str(tmp_path / "m.zip"))[1]
    assert "pilot bearing feels rough" in bay("log", "search", "pilot", "bearing")[1]
    assert bay("log", "search", "zebra")[1] == "Nothing found.\n"
    code, out, _ = bay("log", "forget", "--older-than", "1d")
    assert code == 0
    assert "3 sound clip(s) of 1 job(s) removed" in out
    assert "3 removed by retention" in bay("log", "verify")[1]


def test_jobs_lists_and_says_who_works(bay, worked, bench, start):
    with start(bench, "FC-311", 50):
        code, out, _ = bay("jobs")
        assert code == 0
        assert out.index("FC-311") < out.index("FC-204")
        assert "being worked" in out
    rows = [json.loads(line) for line in bay("jobs", "--json")[1].splitlines()]
    assert [row["vehicle"] for row in rows] == ["FC-311", "FC-204"]
    assert rows[0]["held_by"] is None


def test_replay_through_a_pipe_runs_through(bay, worked):
    code, out, _ = bay("replay", worked, "--torques")
    assert code == 0
    assert out.splitlines()[1].endswith("flywheel bolts: 65 N·m")


def test_csv_is_told_as_the_files_it_becomes(shop_home, tmp_path):
    result = CliRunner().invoke(app, ["report", "--to", str(tmp_path / "r.csv")], env={"BAY_HOME": str(shop_home)})
    names = [f"r-{table}.csv" for table in ("torques", "readings", "times")]
    assert [Path(line).name for line in result.stdout.splitlines()] == names
    assert result.stderr.strip() == "A CSV file holds one table: r.csv became 3 files."
    assert all((tmp_path / name).exists() for name in names)


@pytest.fixture
def shop_home(tmp_path):
    """A store with a job by a card that can be read."""
    with Logbook.open(tmp_path / "shop") as logbook:
        text = Path(__file__).with_name("wheel-hub.yaml").read_bytes()
        started = JobStarted("wheel-hub", "1", "", "Wheel hub", "FC-204")
        logbook.create_job(text, started, datetime(2026, 3, 2, 7, tzinfo=UTC)).close()
        return logbook.folder


def test_report_schema_is_printed(bay, worked):
    assert json.loads(bay("report", "--schema")[1])["title"] == "Report of one job"


MISTAKES = [
    ("log", "nosuch"),
    ("log", "verify", "nosuch"),
    ("log", "verify", "--holds", "xyz"),
    ("log", "forget", "--older-than", "soon"),
    ("log", "forget", "--older-than", "2999-01-01"),
    ("log", "forget", "--older-than", "99999y"),
    ("log", "export", "Nobody", "x.zip"),
    ("replay", "nosuch"),
    ("report", "nosuch"),
    ("report", "--to", "r.docx"),
    ("report", "--format", "odt"),
]


@pytest.mark.parametrize("words", MISTAKES, ids=" ".join)
def test_a_mistake_is_one_line_and_exit_code_two(bay, worked, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = bay(*words)
    assert code == 2
    assert out == ""
    assert len(err.splitlines()) == 1
    assert not list(tmp_path.glob("*.zip")) + list(tmp_path.glob("r.*"))


@pytest.mark.parametrize("words", [("log",), ("jobs",), ("replay",), ("report",), ("log", "verify")], ids=" ".join)
def test_where_no_log_is_none_is_made(tmp_path, words):
    result = CliRunner().invoke(app, list(words), env={"BAY_HOME": str(tmp_path / "none")})
    assert result.exit_code == 2
    assert "no logbook in" in result.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.skipif(os.name != "posix", reason="a pseudo terminal is POSIX")
def test_replay_takes_keys_on_a_terminal(bench, worked):
    """On a real (pseudo) terminal: space holds, / searches, q ends, and the terminal is left as it was."""
    ours, theirs = pty.openpty()
    code = "from tests.logbook.test_log_commands import app; app(['replay', '--speed', '0.25'])"
    run = subprocess.Popen(
        [sys.executable, "-c", code], stdin=theirs, stdout=theirs, stderr=theirs,
        env=os.environ | {"BAY_HOME": str(bench.folder), "TERM": "xterm", "COLUMNS": "120"},
    )  # fmt: skip
    os.close(theirs)
    told = b""

    def until(words: bytes) -> None:
        nonlocal told
        end = time.monotonic() + 20
        while words not in told:
            assert time.monotonic() < end, told
            if select.select([ours], [], [], 0.2)[0]:
                told += os.read(ours, 4096)

    until(b"job begun")
    os.write(ours, b" ")
    until(b"held")
    os.write(ours, b"/")
    until(b"search")
    os.write(ours, b"rough\n")
    until(b"feels rough")
    os.write(ours, b"q")
    assert run.wait(20) == 0
    os.close(ours)


def test_a_replay_with_voice_goes_on_where_no_loudspeaker_is(bay, worked, monkeypatch):
    from assistant.devices import DeviceError
    from assistant.voice import play

    def none(*_: object) -> None:
        raise DeviceError("This machine has no loudspeaker.")

    monkeypatch.setattr(play, "DeviceOutput", none)
    code, out, err = bay("replay", worked, "--voice", "--torques")
    assert code == 0
    assert "without sound" in err
    assert "flywheel bolts: 65 N·m" in out
