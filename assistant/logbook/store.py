"""The logbook: opens the store, makes and finds jobs, reads events."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any

import platformdirs

from assistant.job.events import Event, JobStarted
from assistant.logbook import clips
from assistant.logbook.errors import (
    LogbookDamaged,
    LogbookError,
    LogbookReadOnly,
    NoSuchJob,
    in_plain_words,
    not_writable,
)
from assistant.logbook.holder import Hold, Holder, holder_now
from assistant.logbook.index import index_leftovers
from assistant.logbook.rows import as_event, as_row, genesis, row_id, written_at
from assistant.logbook.schema import DATABASE, create, look_at_header, migrate, refuse_unknown
from assistant.logbook.writer import JobWriter

BUSY_S = 5.0
"""How long a write waits for another one to end, seconds, before it says that the store is locked."""


@dataclass(frozen=True, slots=True)
class JobSummary:
    """One job, as a list shows it."""

    number: int
    """1, 2, 3 ... in the store."""
    name: str
    """Short, to be typed and spoken: the day and a count ("2026-11-25-03")."""
    card: str
    revision: str
    title: str
    vehicle: str
    card_sha256: str
    started: datetime
    last_at: datetime
    """When the last event was written, by its own clock."""
    step: str
    """Card step of the last event."""
    person: str
    """Who spoke last."""
    people: tuple[str, ...]
    """Everyone who spoke, in order of appearance."""
    events: int
    last_hash: str
    """The chain's last hash, hex."""
    finished: bool


def home(folder: Path | None = None) -> Path:
    """Where the logbook lies: the folder given, else BAY_HOME, else the user's data folder."""
    if folder is not None:
        return folder
    named = os.environ.get("BAY_HOME")
    return Path(named) if named else platformdirs.user_data_path("bay", appauthor=False)


class Logbook:
    """A store of jobs. Reads from any thread; each job is written by one JobWriter of its own."""

    def __init__(self, folder: Path, connection: sqlite3.Connection, *, keep_clips: bool, read_only: bool) -> None:
        self.folder = folder
        self.read_only = read_only
        self._keep_clips = keep_clips
        self._connection = connection
        self._lock = threading.RLock()

    @classmethod
    def open(cls, folder: Path | None = None, *, keep_clips: bool = True, read_only: bool = False) -> Logbook:
        """Opens the store in `folder` (see `home`), makes it where there is none, brings an older one up to date.

        `read_only` makes and changes nothing. Raises LogbookError: newer, read-only, locked, damaged, or (read-only)
        none there.
        """
        folder = home(folder).expanduser().absolute()
        database = folder / DATABASE
        with in_plain_words(database):
            if read_only:
                if not database.exists():
                    raise LogbookError(f"There is no logbook in {folder} yet: start a job with `bay work CARD`.")
                look_at_header(database)
                connection = _connect_to_read(database)
            else:
                _make_folder(folder)
                if database.exists():
                    look_at_header(database)
                connection = _connect_to_write(database)
            try:
                row = connection.execute("PRAGMA user_version").fetchone()
                refuse_unknown(row[0], connection.execute("PRAGMA application_id").fetchone()[0], database)
                if not read_only:
                    if row[0] == 0:
                        create(connection)
                    migrate(connection, database)
                    index_leftovers(connection)
                connection.execute("SELECT seq FROM head WHERE job = 0").fetchone()
            except BaseException:
                connection.close()
                raise
        return cls(folder, connection, keep_clips=keep_clips, read_only=read_only)

    # -- jobs --------------------------------------------------------------

    def create_job(self, card_text: bytes, started: JobStarted, at: datetime, person: str = "") -> JobWriter:
        """Begins a job: keeps the card's text as it is now, and writes `started` as event 1, all or nothing.

        `started.card_sha256` may be left empty; otherwise it must be that of `card_text`.
        """
        sha256 = hashlib.sha256(card_text).hexdigest()
        if started.card_sha256 not in ("", sha256):
            raise LogbookError(f"Card {started.card}: the text is not the one whose hash was given.")
        started = replace(started, card_sha256=sha256)
        when = written_at(at)
        day = at.astimezone().date().isoformat()
        with self._writing() as db:
            number, before = db.execute("SELECT seq, hash FROM head WHERE job = 0").fetchone()
            number += 1
            taken = [r[0] for r in db.execute("SELECT name FROM job WHERE name GLOB ?", (f"{day}-*",))]
            name = f"{day}-{max((int(n.rsplit('-', 1)[1]) for n in taken), default=0) + 1:02d}"
            columns = (name, when, started.card, started.revision, started.title, started.vehicle, sha256)
            root = genesis(before, number, *columns)
            if not db.execute("SELECT 1 FROM card WHERE sha256 = ?", (sha256,)).fetchone():
                db.execute("INSERT INTO card VALUES (?, ?)", (sha256, card_text))
            db.execute("INSERT INTO job VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", (number, *columns, root))
            row = as_row(number, Event(1, at, person, "", started), when, root)
            db.execute("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
            people = json.dumps([person] if person else [])
            db.execute("INSERT INTO head VALUES (?, 1, ?, ?, '', ?, ?, 0, 0)", (number, row[-1], when, person, people))
            db.execute("UPDATE head SET seq = ?, hash = ? WHERE job = 0", (number, root))
            hold = Hold.take(self._hold_path(name), name, who=person, at=at)
        return self._writer(number, name, hold)

    def resume(self, job: str, at: datetime | None = None, who: str = "") -> JobWriter:
        """The writer of a job that was begun before. Raises JobHeld while another one has it, NoSuchJob."""
        found = self.find_job(job)
        self._must_write()
        now = at or datetime.now().astimezone()
        with in_plain_words(self.folder / DATABASE):
            hold = Hold.take(self._hold_path(found.name), found.name, who=who or found.person, at=now)
        return self._writer(found.number, found.name, hold)

    def _writer(self, number: int, name: str, hold: Hold) -> JobWriter:
        try:
            with in_plain_words(self.folder / DATABASE):
                connection = _connect_to_write(self.folder / DATABASE)
            return JobWriter(self.folder, number, name, connection, hold, keep_clips=self._keep_clips)
        except BaseException:
            hold.release()
            raise

    def jobs(self) -> list[JobSummary]:
        """All jobs, the one last worked at first."""
        return self._summaries("ORDER BY head.at DESC, job.number DESC")

    def find_job(self, job: str | int | None = None, *, unfinished: bool = False) -> JobSummary:
        """The job of that name, number, or beginning of a name; None: the one last worked at.

        `unfinished`: with None, only of those not finished. Raises NoSuchJob, saying which there are.
        """
        if job is None:
            where = "WHERE head.finished = 0 " if unfinished else ""
            found = self._summaries(f"{where}ORDER BY head.at DESC, job.number DESC LIMIT 1")
            if not found:
                raise NoSuchJob(f"There is no {'unfinished ' if unfinished else ''}job in {self.folder}.")
            return found[0]
        word = str(job).strip()
        found = self._summaries("WHERE job.name = ?", word)
        if not found and word.isascii() and word.isdigit() and len(word) < 10:
            found = self._summaries("WHERE job.number = ?", int(word))
        if not found and word:
            prefix = word.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
            found = self._summaries("WHERE job.name LIKE ? ESCAPE '\\' ORDER BY job.number DESC LIMIT 6", prefix + "%")
        if not found:
            raise NoSuchJob(f"There is no job {word[:60]!r} in {self.folder}: see `bay jobs`.")
        if len(found) > 1:
            some = ", ".join(s.name for s in found[:5])
            raise NoSuchJob(
                f"More than one job begins with {word[:60]!r} ({some}{' ...' if found[5:] else ''}): say more."
            )
        return found[0]

    def holder(self, job: str) -> Holder | None:
        """Who works at the job at this moment; None where nobody does."""
        return holder_now(self._hold_path(job))

    def _summaries(self, rest: str, *values: str | int) -> list[JobSummary]:
        rows = self._read(
            "SELECT job.number, job.name, job.card, job.revision, job.title, job.vehicle, job.sha256, job.made_at, "
            "head.at, head.step, head.person, head.people, head.seq, head.hash, head.finished "
            f"FROM job JOIN head ON head.job = job.number {rest}",
            *values,
        )
        try:
            return [_summary(row) for row in rows]
        except (TypeError, ValueError, AttributeError) as fault:
            raise LogbookDamaged(f"{self.folder / DATABASE}: the list of jobs cannot be read ({fault}).") from fault

    # -- reading -----------------------------------------------------------

    def events(self, job: str, after: int = 0) -> list[Event]:
        """The job's events in order, those above seq `after`. Raises NoSuchJob."""
        return list(self.each_event(self.find_job(job), after))

    def each_event(self, job: JobSummary, after: int = 0) -> Iterator[Event]:
        """The same of a job already found."""
        return (event for event, _ in self.hashed(job, after))

    def hashed(self, job: JobSummary, after: int = 0) -> Iterator[tuple[Event, str]]:
        """The same, each event with its place in the chain, hex."""
        rows = self._read(
            "SELECT id, at, person, step, kind, body, said, hash FROM event WHERE id BETWEEN ? AND ? ORDER BY id",
            row_id(job.number, after + 1),
            row_id(job.number, 0xFFFF_FFFF),
        )
        return ((as_event(row), bytes(row[7]).hex()) for row in rows)

    def card_text(self, sha256: str) -> bytes:
        """The card as it was when a job began by it. Raises LogbookError where it is not kept or was changed."""
        rows = self._read("SELECT CAST(text AS BLOB) FROM card WHERE sha256 = ?", sha256)
        if not rows:
            raise LogbookError(f"The card with the hash {sha256[:12]} is not in {self.folder}.")
        text = bytes(rows[0][0])
        if hashlib.sha256(text).hexdigest() != sha256:
            raise LogbookError(f"The card with the hash {sha256[:12]} was changed in the store. See `bay log verify`.")
        return text

    def clip(self, sha256: str) -> bytes:
        """A sound clip's FLAC bytes. Raises clips.ClipMissing, clips.ClipDamaged."""
        return clips.read(self.folder / "clips", sha256)

    def version(self) -> int:
        """A number that changes whenever anyone wrote to the store; cheap to ask ten times a second."""
        return int(self._read("PRAGMA data_version")[0][0])

    def reader(self) -> sqlite3.Connection:
        """One more connection, reading only: for long looks that must not keep the others waiting."""
        with in_plain_words(self.folder / DATABASE):
            return _connect_to_read(self.folder / DATABASE)

    # -- plumbing ----------------------------------------------------------

    def _read(self, sql: str, *values: str | int) -> list[tuple[Any, ...]]:
        with self._lock, in_plain_words(self.folder / DATABASE):
            return self._connection.execute(sql, values).fetchall()

    def _must_write(self) -> None:
        if self.read_only:
            raise LogbookReadOnly(f"The logbook in {self.folder} was opened for reading only.")

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        self._must_write()
        with self._lock, in_plain_words(self.folder / DATABASE):
            db = self._connection
            db.execute("BEGIN IMMEDIATE")
            try:
                yield db
                db.execute("COMMIT")
            except BaseException:
                if db.in_transaction:
                    db.execute("ROLLBACK")
                raise

    def _hold_path(self, job: str) -> Path:
        return self.folder / "writers" / f"{job}.lock"

    def close(self) -> None:
        with self._lock:
            self._connection.close()

    def __enter__(self) -> Logbook:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _summary(row: tuple[Any, ...]) -> JobSummary:
    return JobSummary(
        number=row[0],
        name=row[1],
        card=row[2],
        revision=row[3],
        title=row[4],
        vehicle=row[5],
        card_sha256=row[6],
        started=datetime.fromisoformat(row[7]),
        last_at=datetime.fromisoformat(row[8]),
        step=row[9],
        person=row[10],
        people=tuple(json.loads(row[11])),
        events=row[12],
        last_hash=row[13].hex(),
        finished=bool(row[14]),
    )


def _make_folder(folder: Path) -> None:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise LogbookReadOnly(
            f"{folder} cannot be written: give the right to write, or name another folder in BAY_HOME."
        )


def _connect_to_write(database: Path) -> sqlite3.Connection:
    if database.exists() and not os.access(database, os.W_OK):
        raise not_writable(database)
    connection = sqlite3.connect(database, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute(f"PRAGMA journal_size_limit = {16 << 20}")
    return connection


def _connect_to_read(database: Path) -> sqlite3.Connection:
    """A reader that sees what others write; in a folder that cannot be written (a copy on a stick) a still one."""
    still = not os.access(database.parent, os.W_OK)
    ways = ["mode=ro&immutable=1", "mode=ro"] if still and not _has_wal(database) else ["mode=ro"]
    uri = f"{database.as_uri()}?{ways[0]}"
    connection = sqlite3.connect(uri, uri=True, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA query_only = ON")
    return connection


def _has_wal(database: Path) -> bool:
    wal = database.with_name(database.name + "-wal")
    return wal.exists() and wal.stat().st_size > 0
