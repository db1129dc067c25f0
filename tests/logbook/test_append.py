"""Jobs are begun, written, found and taken up again."""

from __future__ import annotations

import hashlib
import multiprocessing
import sqlite3
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.job.events import Finished, JobStarted, Noted, Said, StepDone, Torqued, Withdrawn
from assistant.logbook import JobHeld, Logbook, LogbookError, NoSuchJob
from assistant.logbook.rows import row_id


def test_events_come_back_as_they_were_written(bench, start, said, at, hum):
    job = start(bench)
    written = job.append(
        [said("torqued the flywheel bolts to sixty five", "Flywheel bolts: 65 N·m, 6 5."),
         Torqued("flywheel-bolts", Decimal("65.0"), "N·m")],
        at(5), "Mara", "flywheel", hum(120),
    )  # fmt: skip
    read = bench.events(job.name)
    assert isinstance(read[0].body, JobStarted)
    assert tuple(read[1:]) == written
    assert str(read[2].body.value) == "65.0", "0 behind the point is part of what was said"
    assert read[2].group == read[1].seq
    assert read[1].group == 0


def test_the_clip_is_on_disk_under_its_own_hash(bench, start, said, at, hum):
    (event,) = start(bench).append([said("next", "Step 2.")], at(1), clip=hum(100))
    content = bench.clip(event.body.clip)
    assert content[:4] == b"fLaC"
    assert hashlib.sha256(content).hexdigest() == event.body.clip


def test_clips_off_keeps_no_sound(tmp_path, start, said, at, hum):
    with Logbook.open(tmp_path, keep_clips=False) as logbook:
        (event,) = start(logbook).append([said("next", "Step 2.")], at(1), clip=hum(100))
    assert event.body.clip == ""
    assert not list(tmp_path.rglob("*.flac"))


def test_job_names_count_the_day(bench, start):
    names = [start(bench).name for _ in range(11)]
    assert names[0] == "2026-03-02-01"
    assert names[10] == "2026-03-02-11"


@pytest.mark.parametrize("word", ["2026-03-02-01", "1", 1, "2026-03-02-0", "2026", None])
def test_a_job_is_found_by_name_number_beginning_or_being_the_last(bench, worked, word):
    assert bench.find_job(word).name == worked


def test_the_last_job_worked_at_comes_first(bench, start, said, at):
    first, second = start(bench, "A", 0), start(bench, "B", 10)
    first.append([said("next", "Step 2.")], at(20))
    assert [j.vehicle for j in bench.jobs()] == ["A", "B"]
    first.append([Finished()], at(21))
    assert bench.find_job(unfinished=True).name == second.name


@pytest.mark.parametrize("word", ["2025", "7", "no such", "", "%", "'; DROP TABLE event; --", "../../etc/passwd"])
def test_an_unknown_job_is_said_in_one_line(bench, worked, word):
    with pytest.raises(NoSuchJob) as told:
        bench.find_job(word)
    assert "\n" not in str(told.value)


def test_a_beginning_that_two_jobs_share_is_asked_back(bench, start):
    start(bench)
    start(bench)
    with pytest.raises(NoSuchJob, match="2026-03-02-02, 2026-03-02-01"):
        bench.find_job("2026-03")


def test_finished_is_undone_when_the_finish_is_withdrawn(bench, start, said, at):
    job = start(bench)
    done = job.append([said("finish", "Done."), Finished()], at(9))
    assert bench.find_job(job.name).finished
    job.append([said("undo", "Open again."), Withdrawn((done[1].seq,))], at(10))
    assert not bench.find_job(job.name).finished


def test_the_card_stays_as_it_was_when_the_job_began(bench, worked):
    summary = bench.find_job(worked)
    assert bench.card_text(summary.card_sha256).startswith(b"card: carrier-gearbox")
    with pytest.raises(LogbookError, match="not in"):
        bench.card_text("0" * 64)


def test_a_second_writer_is_told_who_has_the_job(bench, start):
    job = start(bench, person="Mara")
    with pytest.raises(JobHeld, match=r"process \d+ on .*\(Mara\) since 2026-03-02 07:00"):
        bench.resume(job.name)
    job.close()
    assert bench.resume(job.name).last_seq == 1


def test_two_jobs_are_written_at_the_same_time(bench, start, said, at):
    left, right = start(bench), start(bench)
    for minute in range(5):
        left.append([said("next", "left")], at(minute))
        right.append([said("next", "right")], at(minute))
    assert {e.body.reply for e in bench.events(left.name)[1:]} == {"left"}
    assert {e.body.reply for e in bench.events(right.name)[1:]} == {"right"}


DIES_HOLDING = """
import os, signal, sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.logbook import Logbook
job = Logbook.open(Path(sys.argv[1])).resume(sys.argv[2], datetime.now(UTC), "Ivo")
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_the_hold_of_a_dead_process_is_taken_over(bench, worked):
    gone = subprocess.run([sys.executable, "-c", DIES_HOLDING, str(bench.folder), worked], check=False)
    assert gone.returncode == -9
    assert (bench.folder / "writers" / f"{worked}.lock").exists()
    assert bench.holder(worked) is None
    with bench.resume(worked) as job:
        assert job.last_seq == 9
        assert bench.holder(worked) is not None


def _begin(folder: str, count: int) -> list[str]:
    from datetime import UTC, datetime

    with Logbook.open(Path(folder)) as logbook:
        started = JobStarted("c", "1", "", "t")
        return [logbook.create_job(b"c", started, datetime(2026, 3, 2, 9, tzinfo=UTC)).name for _ in range(count)]


def test_bays_that_start_at_once_in_a_new_folder_all_get_jobs_of_their_own(tmp_path):
    with multiprocessing.get_context("spawn").Pool(4) as pool:
        names = pool.starmap(_begin, [(str(tmp_path / "new"), 3)] * 4)
    flat = [n for some in names for n in some]
    assert len(set(flat)) == 12


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET body = '{}'",
        "DELETE FROM event",
        "INSERT OR REPLACE INTO event SELECT id, at, 'X', step, kind, body, said, hash FROM event WHERE id & 15 = 2",
        "UPDATE job SET vehicle = 'other'",
        "DELETE FROM job",
        "UPDATE card SET text = x'00'",
        "DELETE FROM card",
    ],
)
def test_the_database_itself_refuses_to_change_what_was_written(bench, worked, statement):
    before = bench.events(worked)
    with (
        sqlite3.connect(bench.folder / "logbook.sqlite3") as db,
        pytest.raises(sqlite3.IntegrityError, match="only ever added to"),
    ):
        db.execute(statement)
    db.close()
    assert bench.events(worked) == before


def test_a_group_is_written_whole_or_not_at_all(bench, start, said, at):
    job = start(bench)
    with sqlite3.connect(bench.folder / "logbook.sqlite3") as db:
        db.execute("CREATE TRIGGER stop BEFORE INSERT ON event WHEN NEW.kind = 'step-done' "
                   "BEGIN SELECT RAISE(ABORT, 'no more'); END")  # fmt: skip
    with pytest.raises(LogbookError):
        job.append([said("done", "Step 2."), StepDone("chock")], at(1))
    assert len(bench.events(job.name)) == 1
    with db:
        db.execute("DROP TRIGGER stop")
    db.close()
    job.append([said("done", "Step 2."), StepDone("chock")], at(1))
    assert [e.seq for e in bench.events(job.name)] == [1, 2, 3]


def test_a_time_without_a_zone_is_no_time(bench, start, at):
    with pytest.raises(ValueError, match="zone"):
        start(bench).append([Finished()], at(1).replace(tzinfo=None))


def test_rows_of_two_jobs_never_meet():
    assert row_id(1, 0xFFFF_FFFF) < row_id(2, 0)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(text=st.text(max_size=200), score=st.floats(allow_nan=False), slots=st.dictionaries(st.text(), st.text()))
def test_whatever_was_said_comes_back(bench, start, at, text, score, slots):
    text = text.encode("utf-8", "ignore").decode()
    slots = {k.encode("utf-8", "ignore").decode(): v.encode("utf-8", "ignore").decode() for k, v in slots.items()}
    body = Said(text, text, "note", slots, "typed", score, None, text)
    with start(bench) as job:
        job.append([body, Noted(text)], at(1), person=text, step=text)
        assert [e.body for e in bench.events(job.name)[1:]] == [body, Noted(text)]
