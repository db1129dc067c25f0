"""Whole jobs while something goes wrong. The table of all faults, with the other tests that show them, is FAULTS.md."""

from __future__ import annotations

import itertools
import json
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import numpy as np
import pytest

from assistant.card.load import read_card_text
from assistant.dialogue.view import Settings
from assistant.hearing.capture import Deliver, Microphone
from assistant.hearing.errors import ModelError
from assistant.hearing.frames import Back, Frames, Lost
from assistant.hearing.speech_model import SHA256, SpeechModel, model_folder
from assistant.logbook import JobHeld, Logbook
from assistant.logbook.tell import account
from assistant.logbook.verify import verify
from assistant.session import Session, begin, resume
from assistant.work import typed
from tests.trust import whole_job
from tests.trust.whole_job import START, at, card, lines, record, undisturbed

ROOT = Path(__file__).parents[2]
posix = pytest.mark.skipif(sys.platform == "win32", reason="processes are forked, stopped and limited as POSIX does it")


def tried(way: str, folder: Path, *rest: int) -> dict[str, int]:
    """One of the ways of `whole_job`, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.trust.whole_job", way, str(folder), *map(str, rest)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    came: dict[str, int] = json.loads(done.stdout)
    return came


@pytest.fixture
def logbook(tmp_path: Path) -> Iterator[Logbook]:
    with whole_job.one_grammar(), Logbook.open(tmp_path / "home") as opened:
        yield opened


@pytest.fixture
def session(logbook: Logbook) -> Iterator[Session]:
    opened = begin(card(), logbook, START, settings=Settings(zone=UTC)).session
    yield opened
    opened.writer._connection.execute("PRAGMA query_only = 0")
    opened.close()


# -- kills, power cuts, no room ----------------------------------------------------------


@posix
def test_a_whole_job_survives_kills_at_random_moments(tmp_path: Path) -> None:
    assert tried("killed", tmp_path, 25, 3)["places"] > 5


@posix
@pytest.mark.slow
def test_whole_jobs_survive_five_hundred_kills(tmp_path: Path) -> None:
    assert tried("killed", tmp_path, 500, 4)["places"] > 100


@posix
def test_the_store_as_a_power_cut_leaves_it_holds_all_that_was_acknowledged(tmp_path: Path) -> None:
    came = tried("cut", tmp_path, 15, 3)
    assert came["torn_that_lost_something"], "some of the torn logs must have lost their end, or nothing was tried"


@posix
@pytest.mark.slow
def test_the_store_holds_at_two_hundred_moments_of_a_power_cut(tmp_path: Path) -> None:
    tried("cut", tmp_path, 200, 4)


@posix
def test_at_every_line_of_a_job_the_disk_may_be_full_or_read_only_and_the_job_goes_on(tmp_path: Path) -> None:
    assert tried("full", tmp_path) == {"no room": len(lines()), "no right": len(lines())}


def unwritable(session: Session) -> sqlite3.Connection:
    connection = session.writer._connection
    connection.execute("PRAGMA query_only = 1")
    return connection


def test_a_timer_rings_once_though_it_cannot_be_logged_and_is_logged_when_it_can(session: Session) -> None:
    session.take_typed("set a timer for five minutes", at(0))
    session.take_typed("set a timer for seven minutes", at(0))
    disk = unwritable(session)
    rings = [session.tick(at(0) + timedelta(minutes=5, seconds=quarter / 4)) for quarter in range(40)]
    assert [len(each) for each in rings if each] == [1], "heard, and not four times a second"
    assert rings[0][0].text == "Time is up."
    assert session.tick(at(0) + timedelta(minutes=7)), "the next one is not held back by the first"
    disk.execute("PRAGMA query_only = 0")
    assert session.tick(at(0) + timedelta(minutes=9)) == ()
    assert session.conversation.next_timer is None
    assert not session.unwritten


def test_what_the_machine_says_of_itself_is_said_though_it_cannot_be_logged(session: Session) -> None:
    unwritable(session)
    told = session.tell("The microphone gives no sound any more.", "microphone lost", at(1))
    assert told.text == "The microphone gives no sound any more."
    assert session.unwritten


# -- the clock --------------------------------------------------------------------------


def test_a_clock_that_jumps_changes_no_step_value_or_order(logbook: Logbook, session: Session) -> None:
    """A dead battery (1970), summer time, a wrong year, both ways, in the midst of a job."""
    chance = Random(5)
    dead_battery = datetime(1970, 1, 1, tzinfo=UTC) - START
    off = [timedelta(), timedelta(hours=1), -timedelta(hours=1), timedelta(days=400), dead_battery]
    right = itertools.count(0)

    def clock() -> datetime:
        return at(next(right)) + chance.choice(off)

    for exchange in typed(session, lines(), clock):
        assert exchange.ok
    events = logbook.events("1")
    assert [body for _, _, body in record(events)] == [body for _, _, body in undisturbed()]
    assert len({event.at for event in events}) > 60
    assert min(event.at for event in events) < START < max(event.at for event in events)
    proof = verify(logbook)
    assert proof.whole, [str(fault) for fault in proof.faults]
    told = account(logbook, logbook.find_job("1"))
    assert len(told.torques) > 5


def test_time_that_went_back_is_never_time_worked(session: Session) -> None:
    session.take_typed("begin", START)
    session.take_typed("hydraulics", START - timedelta(days=3))
    answer = session.take_typed("how long have I been on this job", START - timedelta(days=3) + timedelta(minutes=2))
    assert "-" not in answer.reply.text
    assert "minus" not in answer.reply.spoken


# -- who else is at it -------------------------------------------------------------------


def test_two_sessions_on_one_job_are_refused_with_the_name_of_the_first(logbook: Logbook, session: Session) -> None:
    with Logbook.open(logbook.folder) as other, pytest.raises(JobHeld, match="process"):
        resume("1", other, at(1))
    session.take_typed("begin", at(2))
    assert not session.unwritten, "the first one works on"


@posix
def test_two_commands_on_one_job_end_with_one_line_and_exit_code_two(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "assistant.cli"]
    home = ["--typed", "--home", str(tmp_path)]
    first = subprocess.Popen(
        [*command, "work", "pump-cover", *home], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert first.stdout is not None
    assert first.stdout.readline()
    second = subprocess.run([*command, "resume", *home], input="done\n", capture_output=True, text=True, check=False)
    assert second.returncode == 2
    assert second.stderr.count("\n") == 1
    assert f"process {first.pid}" in second.stderr
    first.communicate("begin\n", timeout=60)
    assert first.returncode == 0
    third = subprocess.run([*command, "resume", *home], input="", capture_output=True, text=True, check=False)
    assert third.returncode == 0, "free again"


def test_a_card_edited_during_a_job_changes_nothing_and_is_said(logbook: Logbook) -> None:
    """The torque of the drain plug is raised on the disk while the job lies over lunch."""
    session = begin(card(), logbook, START, settings=Settings(zone=UTC)).session
    before = session.take_typed("what torque for the drain plug", at(0)).reply.text
    session.close()
    assert "40 N·m" in before
    text = card().text.replace('revision: "', 'revision: "1', 1).replace("torque: 40 N·m", "torque: 44 N·m")
    edited = read_card_text(text)
    assert edited.card != card().card
    opening = resume("1", logbook, at(1), settings=Settings(zone=UTC), card_now=lambda card, file: edited)
    revision = card().card.revision
    assert f"revision {edited.card.revision} now. This job keeps revision {revision}" in opening.reply.text
    assert opening.session.take_typed("what torque for the drain plug", at(2)).reply.text == before
    opening.session.close()


SERVES = """
import sys
from pathlib import Path
from assistant.board.serve import place, serve
where = place(0)
print(where.address, flush=True)
serve(Path(sys.argv[1]), where)
"""


@posix
def test_a_board_that_is_killed_takes_nothing_with_it(logbook: Logbook, session: Session) -> None:
    import urllib.request

    def board() -> tuple[subprocess.Popen[str], str]:
        started = subprocess.Popen(
            [sys.executable, "-c", SERVES, str(logbook.folder)], stdout=subprocess.PIPE, text=True, cwd=ROOT
        )
        assert started.stdout is not None
        return started, started.stdout.readline().strip()

    def answers(address: str) -> bool:
        for _ in range(200):
            try:
                with urllib.request.urlopen(address, timeout=20) as page:
                    return page.status == 200
            except OSError:
                time.sleep(0.05)
        return False

    showing, address = board()
    assert answers(address)
    clock = itertools.count(0)
    for number, exchange in enumerate(typed(session, lines()[:30], lambda: at(next(clock)))):
        assert exchange.ok
        if number == 10:
            showing.kill()
            showing.wait()
    assert verify(logbook).whole
    again, address = board()
    assert answers(address), "and is back as soon as it is started again"
    again.kill()
    again.wait()


# -- ear and voice --------------------------------------------------------------------------


@pytest.mark.parametrize("harm", ["a byte changed", "cut short", "missing", "of another version"])
@pytest.mark.parametrize("name", sorted(SHA256))
def test_a_model_file_that_is_not_whole_is_named_and_never_loaded(name: str, harm: str, tmp_path: Path) -> None:
    for each in SHA256:
        (tmp_path / each).symlink_to(model_folder() / each)
    whole = (tmp_path / name).read_bytes()
    (tmp_path / name).unlink()
    content = {
        "cut short": whole[:-1],
        "of another version": b"ORT",
        "a byte changed": bytes([whole[0] ^ 1]) + whole[1:],
    }
    if harm != "missing":
        (tmp_path / name).write_bytes(content[harm])
    with pytest.raises(ModelError, match="pip install") as told:
        SpeechModel(tmp_path)
    assert name in str(told.value)
    assert "\n" not in str(told.value)


NOTHING_TO_HEAR_WITH = """
import sys
class Gone:
    def find_spec(self, name, path=None, target=None):
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
sys.meta_path.insert(0, Gone())
from assistant.cli import main
main()
"""
NOTHING_TO_SPEAK_WITH = """
import espeakng_loader
from assistant.devices import NoDevice
espeakng_loader.get_library_path = lambda: "/nowhere/libespeak-ng.so"
from assistant.dialogue.reply import Reply
from assistant.voice.manner import Manner
from assistant.voice.talk import open_voice
voice, missing = open_voice(Manner())
assert "espeak-ng library is missing" in missing and "pip install" in missing, missing
voice.say(Reply("Step 2."))
voice.close()
"""


def run_python(code: str, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *arguments], input=typed, capture_output=True, text=True, check=False, cwd=ROOT
    )


def test_without_portaudio_the_microphone_is_refused_with_its_mend_and_typing_works(tmp_path: Path) -> None:
    home = ("--home", str(tmp_path))
    by_ear = run_python(NOTHING_TO_HEAR_WITH, "work", "pump-cover", *home)
    assert by_ear.returncode == 2
    assert "PortAudio" in by_ear.stderr
    assert "--typed" in by_ear.stderr
    assert by_ear.stderr.count("\n") == 1
    assert not Logbook.open(tmp_path).jobs(), "no job is begun that nobody could work"
    by_hand = run_python(NOTHING_TO_HEAR_WITH, "work", "pump-cover", "--typed", *home, typed="begin\n")
    assert by_hand.returncode == 0, by_hand.stderr


def test_without_the_espeak_library_the_text_goes_on() -> None:
    done = run_python(NOTHING_TO_SPEAK_WITH)
    assert done.returncode == 0, done.stderr


class DyingSource:
    """A microphone whose thread dies, by an exception of its own, after so many blocks; the next opening is well."""

    name = "dying microphone"

    def __init__(self, blocks: int) -> None:
        self.blocks = blocks
        self.openings = 0
        self._thread: threading.Thread | None = None
        self._ends = threading.Event()

    def open(self, deliver: Deliver) -> int:
        self.openings += 1
        self._ends = threading.Event()
        self._thread = threading.Thread(target=self._deliver, args=(deliver, self._ends, self.openings == 1))
        self._thread.start()
        return 16_000

    def _deliver(self, deliver: Deliver, ends: threading.Event, dies: bool) -> None:
        for block in itertools.count():
            if ends.wait(0.02):
                return
            if dies and block == self.blocks:
                raise RuntimeError("the driver's thread dies")
            deliver(np.full(320, 0.1, np.float32), time.monotonic())

    def close(self) -> None:
        self._ends.set()
        if self._thread is not None:
            self._thread.join()

    @property
    def is_delivering(self) -> bool:
        return True

    def look_again(self) -> None:
        return


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_capture_thread_that_dies_is_noticed_told_and_replaced() -> None:
    source = DyingSource(blocks=20)
    microphone, seen = Microphone(source), []
    for event in microphone.listen():
        seen.append(event)
        if isinstance(event, Frames) and source.openings == 2:
            microphone.close()
    kinds = [type(event) for event in seen]
    assert kinds.index(Lost) < kinds.index(Back)
    assert "gives no sound" in next(event.why for event in seen if isinstance(event, Lost))
    assert kinds[-1] is Frames
    assert source.openings == 2
