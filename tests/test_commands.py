"""The commands as a person types them: whole jobs through a pipe, and one clear line for each mistake."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assistant.card.load import shipped_cards

BAY = [sys.executable, "-m", "assistant.cli"]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "log"


def bay(home: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "BAY_HOME": str(home), "BAY_CONFIG": str(home.parent / "config")}
    return subprocess.run(
        [*BAY, *words], input=typed, env=environment, cwd=home.parent, capture_output=True, text=True, timeout=120,
        check=False,
    )  # fmt: skip


def lines(*utterances: str) -> str:
    return "\n".join(utterances) + "\n"


STARTED = ("begin", "hydraulics", "bolted on", "solid")


def test_one_line_in_one_line_out(home: Path) -> None:
    ran = bay(home, "work", "gearbox-and-clutch", "--typed", typed=lines(*STARTED, "torque of the flywheel bolts"))
    assert ran.returncode == 0, ran.stderr
    replies = ran.stdout.splitlines()
    assert len(replies) == 1 + len(STARTED) + 1
    assert replies[-1].startswith("Flywheel bolts: 60 N·m, 6 0")


def test_json_gives_request_reply_and_events(home: Path) -> None:
    ran = bay(home, "work", "gearbox-and-clutch", "--typed", "--json", typed=lines(*STARTED, "done"))
    first, *rest = [json.loads(line) for line in ran.stdout.splitlines()]
    assert first["events"][0]["kind"] == "job-started"
    done: dict[str, Any] = rest[-1]
    assert done["request"] == "done"
    kinds = [event["kind"] for event in done["events"]]
    assert kinds[0] == "said"
    assert "step-done" in kinds
    assert done["reply"].startswith("1 done.")


def test_the_fastener_that_could_be_two_is_asked_about(home: Path) -> None:
    ran = bay(
        home, "work", "gearbox-and-clutch", "--typed",
        typed=lines(*STARTED, "torque of the bellhousing bolts", "the lower ones"),
    )  # fmt: skip
    *_, asked, answered = ran.stdout.splitlines()
    assert asked == "Which bellhousing bolts: lower or upper?"
    assert answered.startswith("Lower bellhousing bolts: 40 N·m, 4 0")


def test_a_line_that_is_no_phrase_does_nothing(home: Path) -> None:
    ran = bay(
        home, "work", "gearbox-and-clutch", "--typed", "--json",
        typed=lines(*STARTED, "the match was lost in the last minute"),
    )  # fmt: skip
    last = json.loads(ran.stdout.splitlines()[-1])
    assert last["request"] == ""
    assert [event["kind"] for event in last["events"]] == ["said"]


def test_a_killed_run_is_taken_up_where_it_was(home: Path) -> None:
    environment = {**os.environ, "BAY_HOME": str(home), "BAY_CONFIG": str(home.parent / "config")}
    talk = [
        *STARTED,
        "done",
        "measured bite height 90 millimetres",
        "done",
        "done",
        "done",
        "yes",
        "done",
        "done",
        "done",
    ]
    with subprocess.Popen(
        [*BAY, "work", "gearbox-and-clutch", "--typed"], env=environment, text=True, stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    ) as run:  # fmt: skip
        assert run.stdin
        assert run.stdout
        run.stdout.readline()
        for utterance in [*talk, "torqued the drain plug to 40 newton metres", "where am I", "what is open"]:
            print(utterance, file=run.stdin, flush=True)
            before = run.stdout.readline()
        run.send_signal(signal.SIGKILL)
    after = bay(home, "resume", "--typed", typed=lines("what is open", "torqued the drain plug to 40 newton metres"))
    assert after.returncode == 0, after.stderr
    welcome, still_open, again = after.stdout.splitlines()
    assert "step 8" in welcome.lower()
    assert still_open == before.strip()
    assert "40 N·m" in again


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("work", "no-such-card", "--typed"), "no-such-card"),
        (("work", "gearbox-and-clutch", "--audio", "nothing.wav"), "nothing.wav"),
        (("hear", "nothing.wav"), "nothing.wav"),
        (("resume", "--typed"), "no unfinished job"),
        (("resume", "1999-01-01-01", "--typed"), "1999-01-01-01"),
        (("log", "1999-01-01-01"), "no logbook"),
        (("check", "no-such-card"), "no-such-card"),
        (("torque", "110 furlongs"), "furlongs"),
        (("settings", "--keep", "voice.volume=99"), "voice.volume"),
    ],
)
def test_a_mistake_is_one_clear_line_and_exit_2(home: Path, words: tuple[str, ...], says: str) -> None:
    ran = bay(home, *words)
    assert ran.returncode == 2
    told = (ran.stderr + ran.stdout).strip()
    assert says in told
    assert "Traceback" not in told


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("text.wav", b"this is no sound at all", "not a sound file"),
        ("empty.wav", b"", "empty"),
        ("card.yaml", b"card: x\ntorque: [", "card.yaml"),
    ],
)
def test_a_file_that_is_not_what_it_should_be(home: Path, name: str, content: bytes, says: str) -> None:
    (home.parent / name).write_bytes(content)
    words = ("hear", name) if name.endswith(".wav") else ("work", name, "--typed")
    ran = bay(home, *words)
    assert ran.returncode == 2
    assert says in ran.stderr
    assert "Traceback" not in ran.stderr


def test_a_store_of_a_newer_version_is_not_touched(home: Path) -> None:
    import sqlite3

    assert bay(home, "work", "wheel-end", "--typed").returncode == 0
    database = home / "logbook.sqlite3"
    with sqlite3.connect(database) as store:
        store.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        store.execute("PRAGMA user_version = 999")
    store.close()
    before = database.read_bytes()
    ran = bay(home, "work", "wheel-end", "--typed")
    assert ran.returncode == 2
    assert "newer version" in ran.stderr
    assert database.read_bytes() == before


OWN = (Path(__file__).parent / "cards" / "belt-guard.yaml").read_text(encoding="utf-8")
"""A card of the shop's own: none of its name comes with the tool."""
LATER = OWN.replace('revision: "1"', 'revision: "2"').replace("torque: 40 N·m", "torque: 44 N·m")


def lies_over_lunch(home: Path, then: str | None) -> str:
    """A job by an own card, which is another by the time of coming back (None: gone): what is answered then."""
    card = home.parent / "own.yaml"
    card.write_text(OWN, encoding="utf-8")
    begun = bay(home, "work", "own.yaml", "--typed", typed=lines("begin", "torque of the front motor bolts"))
    assert "40 N·m" in begun.stdout
    if then is None:
        card.unlink()
    else:
        card.write_text(then, encoding="utf-8")
    elsewhere = home.parent / "elsewhere"
    elsewhere.mkdir()
    environment = {**os.environ, "BAY_HOME": str(home), "BAY_CONFIG": str(home.parent / "config")}
    ran = subprocess.run(
        [*BAY, "resume", "--typed"], input="torque of the front motor bolts\n", env=environment, cwd=elsewhere,
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert "40 N·m" in ran.stdout
    assert "44" not in ran.stdout
    return ran.stdout


def test_a_card_edited_during_a_job_is_noticed_and_the_job_keeps_its_own(home: Path) -> None:
    assert LATER.count("44 N·m") == 1
    told = lies_over_lunch(home, LATER)
    assert "it is revision 2 now. This job keeps revision 1" in told
    assert "card-changed" in bay(home, "log", "1", "--json").stdout, "the foreman sees that it was said"


def test_a_card_edited_under_its_old_revision_is_noticed_too(home: Path) -> None:
    told = lies_over_lunch(home, LATER.replace('revision: "2"', 'revision: "1"'))
    assert "still called revision 1. This job keeps the text that it began with" in told


def test_a_card_that_was_spoiled_during_a_job_is_noticed(home: Path) -> None:
    assert "cannot be read as a card any more. This job keeps revision 1" in lies_over_lunch(home, "gone: wrong")


@pytest.mark.parametrize("then", [OWN, None], ids=["as it was", "gone"])
def test_of_a_card_that_was_not_edited_nothing_is_said(home: Path, then: str | None) -> None:
    assert "This job keeps" not in lies_over_lunch(home, then)


def test_ones_own_copy_of_a_shipped_card_is_not_held_against_the_shipped_one(home: Path) -> None:
    text = shipped_cards()["pump-cover"].read_text(encoding="utf-8").replace('revision: "', 'revision: "9', 1)
    (home.parent / "own.yaml").write_text(text, encoding="utf-8")
    bay(home, "work", "own.yaml", "--typed", typed="begin\n")
    assert "This job keeps" not in bay(home, "resume", "--typed", typed="").stdout


def test_settings_say_where_a_value_comes_from(home: Path) -> None:
    assert bay(home, "settings", "--keep", "voice.volume=5").returncode == 0
    ran = bay(home, "settings", "--speed", "190", "--json")
    told = {entry["option"]: entry for entry in map(json.loads, ran.stdout.splitlines())}
    assert (told["voice.volume"]["value"], told["voice.volume"]["from"]) == (5, "shop")
    assert (told["voice.speed"]["value"], told["voice.speed"]["from"]) == (190, "command line")
    assert told["voice.sounds"]["from"] == "default"


def test_every_command_explains_itself(home: Path) -> None:
    ran = bay(home, "--help")
    for name in ("work", "resume", "demo", "jobs", "log", "replay", "report", "board", "check", "draft", "hear",
                 "torque", "order", "adapter", "preload", "doctor", "settings", "model"):  # fmt: skip
        assert f" {name} " in ran.stdout
