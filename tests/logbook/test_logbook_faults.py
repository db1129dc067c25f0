"""Kills, full disks, folders that cannot be written, stores that are newer, foreign, locked or broken."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.job.events import StepDone
from assistant.logbook import (
    DiskFull,
    Logbook,
    LogbookDamaged,
    LogbookError,
    LogbookLocked,
    LogbookNewer,
    LogbookReadOnly,
    schema,
)
from assistant.logbook import store as store_module
from assistant.logbook.verify import verify

KILLED = Path(__file__).with_name("killed_writer.py")


def kill_at_random(folder: Path, job: str, times: int, seed: int) -> None:
    """Kills a writer `times` times; after each, what it acknowledged must be there and whole.

    Each time it is let go on for a random number of acknowledged writes, none at all among them, and then for a random
    part of a write more: so the work moves on however slow the machine is, and the kill falls anywhere in a write.
    """
    chance = random.Random(seed)
    kept = 1
    for turn in range(times):
        asked = chance.randrange(6)
        writer = subprocess.Popen(
            [sys.executable, str(KILLED), str(folder), job, str(seed + turn)], stdout=subprocess.PIPE
        )
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"ready\n"
        told = [int(writer.stdout.readline()) for _ in range(asked)]
        time.sleep(chance.uniform(0.0, 0.01))
        writer.send_signal(signal.SIGKILL)
        told += [int(line) for line in writer.stdout.read().split(b"\n")[:-1] if line]
        writer.stdout.close()
        writer.wait()
        acknowledged = max([kept, *told])
        assert acknowledged >= kept + 3 * asked
        with Logbook.open(folder) as logbook:
            kept = len(logbook.events(job))
            assert kept >= acknowledged, f"seed {seed}, kill {turn}: an acknowledged event is lost"
            assert kept % 3 == 1, f"seed {seed}, kill {turn}: half a group was kept"
            proof = verify(logbook, sound=turn % 10 == 9 or turn == times - 1)
            assert [str(f) for f in proof.faults] == [], f"seed {seed}, kill {turn}"


def test_what_was_acknowledged_survives_kills_at_random_moments(bench, start):
    job = start(bench)
    job.close()
    kill_at_random(bench.folder, job.name, times=8, seed=20)


@pytest.mark.slow
def test_what_was_acknowledged_survives_two_hundred_kills(bench, start):
    job = start(bench)
    job.close()
    kill_at_random(bench.folder, job.name, times=200, seed=1000)


def test_a_store_copied_at_any_moment_as_a_power_cut_leaves_it_opens_whole(bench, start, said, at, tmp_path):
    """Database and write-ahead log copied as they lie, between writes and in the middle of the log's last frames."""
    job, chance = start(bench), random.Random(7)
    for turn in range(30):
        job.append([said(f"turn {turn}", "Noted."), StepDone(f"s{turn}")], at(turn))
        if turn % 3 == 0:
            there = tmp_path / f"cut{turn}"
            there.mkdir()
            for name in ("logbook.sqlite3", "logbook.sqlite3-wal"):
                shutil.copyfile(bench.folder / name, there / name)
            wal = there / "logbook.sqlite3-wal"
            torn = chance.randrange(1, 4096)
            with wal.open("ab") as file:
                file.write(os.urandom(torn))
            with Logbook.open(there) as after:
                assert len(after.events(job.name)) == 3 + 2 * turn
                assert verify(after).whole


def test_a_full_disk_is_said_and_nothing_half_is_kept(bench, start, said, at):
    job = start(bench)
    job.append([said("next", "Step 2.")], at(1))
    pages = job._connection.execute("PRAGMA page_count").fetchone()[0]
    job._connection.execute(f"PRAGMA max_page_count = {pages}")

    def fill() -> None:
        for turn in range(200):
            job.append([said("note", "x" * 500), StepDone("s")], at(turn))

    with pytest.raises(DiskFull, match="No room on the disk"):
        fill()
    kept = bench.events(job.name)
    assert (len(kept) - 2) % 2 == 0
    assert verify(bench).whole
    job._connection.execute("PRAGMA max_page_count = 1000000")
    job.append([said("note", "there is room again"), StepDone("s")], at(300))
    assert len(bench.events(job.name)) == len(kept) + 2
    assert verify(bench).whole


FILLS = """
import resource, sys
from datetime import UTC, datetime
from pathlib import Path
import numpy as np
from assistant.job.events import Said
from assistant.logbook import DiskFull, Logbook
import signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
writer = Logbook.open(Path(sys.argv[1])).resume(sys.argv[2])
at = datetime(2026, 3, 2, 8, tzinfo=UTC)
said = Said("note", "note", "note", {}, "act", -0.2, 3.0, "Noted.")
sound = np.random.default_rng(1).uniform(-0.5, 0.5, int(sys.argv[3])).astype(np.float32)
resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, resource.RLIM_INFINITY))
kept = writer.last_seq
try:
    while True:
        kept = writer.append([said], at, clip=sound)[-1].seq
        sound = sound * 0.99
except DiskFull as full:
    print(kept, full)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are POSIX")
@pytest.mark.parametrize("samples", [200, 160_000], ids=["the log is full", "the clip is too much"])
def test_a_real_write_that_finds_no_room_loses_nothing_acknowledged(bench, worked, samples):
    ran = subprocess.run(
        [sys.executable, "-c", FILLS, str(bench.folder), worked, str(samples)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    kept, told = ran.stdout.strip().split(" ", 1)
    assert "disk" in told
    assert len(bench.events(worked)) == int(kept)
    assert verify(bench).whole
    assert not list(bench.folder.rglob("*.part")), "no half a clip stays behind"


@pytest.fixture
def unwritable(bench, worked) -> Iterator[Path]:
    """A copy of a store in a folder that its user may only read."""
    bench.close()
    folder = Path(tempfile.mkdtemp(prefix="bay-readonly-"))
    shutil.copytree(bench.folder, folder / "store")
    for path in [folder, *folder.rglob("*")]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    yield folder / "store"
    for path in [folder, *folder.rglob("*")]:
        path.chmod(0o755)
    shutil.rmtree(folder)


TRIES = """
import os, sys, urllib.parse  # pathlib loads it late, when this user may no longer read the standard library
from pathlib import Path
from assistant.logbook import Logbook, LogbookError
from assistant.logbook.verify import verify
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
try:
    Logbook.open(Path(sys.argv[1]))
except LogbookError as told:
    print(type(told).__name__, told)
with Logbook.open(Path(sys.argv[1]), read_only=True) as logbook:
    print(len(logbook.jobs()), verify(logbook).whole)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="rights of a folder are POSIX")
def test_a_folder_that_cannot_be_written_is_said_and_can_still_be_read(unwritable):
    ran = subprocess.run([sys.executable, "-c", TRIES, str(unwritable)], capture_output=True, text=True, check=False)
    first, second = ran.stdout.splitlines() or [ran.stderr, ""]
    assert first.startswith("LogbookReadOnly")
    assert "BAY_HOME" in first
    assert second == "1 True"


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize("read_only", [False, True])
def test_a_newer_store_is_refused_and_not_touched(bench, worked, read_only):
    with sqlite3.connect(bench.folder / "logbook.sqlite3") as db:
        db.execute(f"PRAGMA user_version = {schema.FORMAT + 1}")
    db.close()
    bench.close()
    before = contents(bench.folder)
    with pytest.raises(LogbookNewer, match="newer version") as told:
        Logbook.open(bench.folder, read_only=read_only)
    assert "\n" not in str(told.value)
    assert contents(bench.folder) == before


@pytest.mark.parametrize("content", [b"not a database at all" * 50, b"SQLite format 3\x00", b"\x00" * 5000])
def test_a_file_that_is_no_logbook_is_refused_and_not_touched(tmp_path, content):
    (tmp_path / "logbook.sqlite3").write_bytes(content)
    with pytest.raises(LogbookDamaged):
        Logbook.open(tmp_path)
    assert contents(tmp_path) == {"logbook.sqlite3": content}


def test_another_programs_database_is_refused(tmp_path):
    with sqlite3.connect(tmp_path / "logbook.sqlite3") as db:
        db.execute("CREATE TABLE theirs (x)")
        db.execute("PRAGMA user_version = 1")
    db.close()
    before = contents(tmp_path)
    with pytest.raises(LogbookDamaged, match="other program"):
        Logbook.open(tmp_path)
    assert contents(tmp_path) == before


def test_a_database_cut_short_is_said(bench, start, said, at):
    with start(bench) as job:
        for turn in range(100):
            job.append([said("note", "x" * 200)], at(turn))
    bench.close()
    database = bench.folder / "logbook.sqlite3"
    database.write_bytes(database.read_bytes()[: database.stat().st_size // 3])
    with pytest.raises(LogbookError, match=r"damaged|cannot be read"), Logbook.open(bench.folder) as logbook:
        logbook.events(job.name)


def test_a_database_locked_by_another_program_is_said_and_nothing_is_lost(bench, start, said, at, monkeypatch):
    monkeypatch.setattr(store_module, "BUSY_S", 0.05)
    job = start(bench)
    other = sqlite3.connect(bench.folder / "logbook.sqlite3", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(LogbookLocked, match="locked by another program"):
        job.append([said("next", "Step 2.")], at(1))
    other.execute("ROLLBACK")
    other.close()
    assert job.append([said("next", "Step 2.")], at(1))[0].seq == 2


def test_a_clip_folder_that_cannot_be_made_is_said_and_the_job_goes_on_without(bench, start, said, at, hum):
    job = start(bench)
    (bench.folder / "clips").write_text("a file where the folder should be")
    with pytest.raises(LogbookError):
        job.append([said("next", "Step 2.")], at(1), clip=hum(100))
    assert len(bench.events(job.name)) == 1
    assert job.append([said("next", "Step 2.")], at(1))[0].seq == 2


def test_reading_where_there_is_no_logbook_makes_none(tmp_path):
    with pytest.raises(LogbookError, match="no logbook in"):
        Logbook.open(tmp_path / "none", read_only=True)
    assert not (tmp_path / "none").exists()


def test_a_home_that_is_a_file_is_said(tmp_path):
    (tmp_path / "home").write_text("")
    with pytest.raises(LogbookError):
        Logbook.open(tmp_path / "home")


def test_the_folder_comes_from_the_option_before_the_environment(tmp_path, monkeypatch):
    monkeypatch.setenv("BAY_HOME", str(tmp_path / "named"))
    with Logbook.open() as logbook:
        assert logbook.folder == tmp_path / "named"
    with Logbook.open(tmp_path / "given") as logbook:
        assert logbook.folder == tmp_path / "given"


def test_only_the_owner_may_look_into_a_new_store(tmp_path):
    with Logbook.open(tmp_path / "home") as logbook:
        assert logbook.folder.stat().st_mode & 0o077 == 0 or sys.platform == "win32"


def test_a_reader_only_reads(bench, worked):
    with Logbook.open(bench.folder, read_only=True) as reader:
        with pytest.raises(LogbookReadOnly):
            reader.resume(worked)
        assert reader.events(worked) == bench.events(worked)


def test_a_writer_whose_rows_were_changed_under_it_stops(bench, start, said, at, tamper):
    job = start(bench)
    tamper("UPDATE head SET hash = x'00' WHERE job = 1")
    with pytest.raises(LogbookDamaged, match="another hand"):
        job.append([said("next", "Step 2.")], at(1))
    assert len(bench.events(job.name)) == 1


def test_a_job_cut_behind_its_head_is_not_written_on(bench, worked, tamper):
    tamper("DELETE FROM event WHERE id & 255 = 9")
    with pytest.raises(LogbookDamaged, match="bay log verify"):
        bench.resume(worked)


def test_an_older_store_is_brought_up_to_date_and_kept_as_it_was(bench, worked, monkeypatch):
    """The way from one format to the next, with a step made for this test."""
    events = bench.events(worked)
    bench.close()
    monkeypatch.setattr(schema, "FORMAT", schema.FORMAT + 1)
    monkeypatch.setitem(schema.MIGRATIONS, schema.FORMAT - 1, lambda db: db.execute("CREATE TABLE bay (name TEXT)"))
    with Logbook.open(bench.folder) as newer:
        assert newer.events(worked) == events
        assert newer._connection.execute("SELECT * FROM bay").fetchall() == []
    kept = sqlite3.connect(bench.folder / f"logbook.format-{schema.FORMAT - 1}.sqlite3")
    assert kept.execute("PRAGMA user_version").fetchone()[0] == schema.FORMAT - 1
    kept.close()


def test_a_migration_that_fails_leaves_the_store_as_it_was(bench, worked, monkeypatch):
    def breaks(db: sqlite3.Connection) -> None:
        db.execute("CREATE TABLE bay (name TEXT)")
        raise LogbookError("no more room")

    events = bench.events(worked)
    bench.close()
    with monkeypatch.context() as newer:
        newer.setattr(schema, "FORMAT", schema.FORMAT + 1)
        newer.setitem(schema.MIGRATIONS, schema.FORMAT - 1, breaks)
        with pytest.raises(LogbookError, match="no more room"):
            Logbook.open(bench.folder)
    with Logbook.open(bench.folder) as again:
        assert again.events(worked) == events
        assert verify(again).whole
