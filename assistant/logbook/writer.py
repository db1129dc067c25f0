"""Adds events to one job. What `append` has returned survives a kill and a power cut."""

from __future__ import annotations

import dataclasses
import json
import sqlite3
import threading
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from types import TracebackType

from assistant.hearing.heard import Samples
from assistant.job.events import Body, ClipsForgotten, Event, Finished, Noted, Said, Withdrawn
from assistant.logbook import clips
from assistant.logbook.errors import LogbookDamaged, LogbookError, in_plain_words, plainly
from assistant.logbook.holder import Hold
from assistant.logbook.index import INDEX_EVERY, index_leftovers, index_words
from assistant.logbook.rows import as_row, seq_of, written_at
from assistant.logbook.schema import DATABASE

_INSERT = "INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
_MOVE_HEAD = (
    "UPDATE head SET seq = ?, hash = ?, at = ?, step = ?, person = ?, people = ?, finished = ? "
    "WHERE job = ? AND hash = ?"
)


@dataclasses.dataclass(frozen=True, slots=True)
class Head:
    """Where a job stands: the row of `head`."""

    seq: int
    hash: bytes
    at: str
    step: str
    person: str
    people: tuple[str, ...]
    finished: int
    """seq of the Finished event; 0 while the job is open."""


class JobWriter:
    """The one writer of a job; from `Logbook.create_job` or `Logbook.resume`. Use as a context, or `close`."""

    def __init__(
        self, folder: Path, number: int, name: str, connection: sqlite3.Connection, hold: Hold, *, keep_clips: bool
    ) -> None:
        self.name = name
        """The job's id, as it is spoken and typed."""
        self.number = number
        self._folder = folder
        self._database = folder / DATABASE
        self._connection = connection
        self._hold = hold
        self._keep_clips = keep_clips
        self._lock = threading.Lock()
        with in_plain_words(folder / DATABASE):
            self._head = read_head(connection, number, name)

    @property
    def last_seq(self) -> int:
        """seq of the last event written; 0 before the first."""
        return self._head.seq

    @property
    def last_hash(self) -> str:
        """The chain's last hash, hex: what the report prints."""
        return self._head.hash.hex()

    def append(
        self,
        bodies: Sequence[Body],
        at: datetime,
        person: str = "",
        step: str = "",
        clip: Samples | None = None,
        *,
        group: int | None = None,
    ) -> tuple[Event, ...]:
        """Writes these bodies as one: all of them are on the disk when it returns, or none is.

        A clip is on the disk before the row that names it; its hash goes into each Said and Noted that has none.
        `group` is the seq of the utterance that they follow from; where the first body is a Said, it is that one.
        Raises LogbookError; the job can be written on after it.
        """
        if not bodies:
            return ()
        with self._lock:
            if self._hold is None:
                raise LogbookError(f"Job {self.name} was closed: resume it first.")
            try:
                sha256 = clips.keep(self._folder / "clips", clip) if clip is not None and self._keep_clips else ""
                if sha256:
                    bodies = [_with_clip(body, sha256) for body in bodies]
                seq = self._head.seq + 1
                said = group if group is not None else (seq if isinstance(bodies[0], Said) else 0)
                events = []
                for body in bodies:
                    events.append(Event(seq, at, person, step, body, 0 if seq == said else said))
                    seq += 1
                self._head = self._write(events, written_at(at))
            except (sqlite3.Error, OSError) as fault:
                raise plainly(fault, self._database) from fault
            return tuple(events)

    def _write(self, events: Sequence[Event], at: str) -> Head:
        """All that can be reckoned is reckoned before the store is locked: two rows and a head, and one commit."""
        before = self._head
        rows, digest = [], before.hash
        for event in events:
            row = as_row(self.number, event, at, digest)
            digest = row[-1]
            rows.append(row)
        head = moved_on(before, events, at, digest)
        people = _as_list(head.people)
        moved = (head.seq, digest, head.at, head.step, head.person, people, head.finished, self.number, before.hash)
        db = self._connection
        db.execute("BEGIN IMMEDIATE")
        try:
            db.executemany(_INSERT, rows)
            if db.execute(_MOVE_HEAD, moved).rowcount != 1:
                raise LogbookDamaged(
                    f"Job {self.name} was changed by another hand since it was opened: nothing written."
                )
            if head.seq // INDEX_EVERY > before.seq // INDEX_EVERY:
                index_words(db, self.number)
            db.execute("COMMIT")
            return head
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise

    def close(self) -> None:
        """Lets go of the job, and notes its last hash in `anchors.txt`, outside the database."""
        with self._lock:
            if self._hold is None:
                return
            try:
                with in_plain_words(self._folder / DATABASE):
                    index_leftovers(self._connection)
                    anchor = f"{self.name} {self._head.seq} {self.last_hash}\n"
                    with (self._folder / "anchors.txt").open("a", encoding="utf-8") as file:
                        file.write(anchor)
            finally:
                self._connection.close()
                self._hold.release()
                self._hold = None  # type: ignore[assignment]

    def __enter__(self) -> JobWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


@lru_cache(maxsize=64)
def _as_list(people: tuple[str, ...]) -> str:
    return json.dumps(people)


def _with_clip(body: Body, sha256: str) -> Body:
    if isinstance(body, Said | Noted) and not body.clip:
        return dataclasses.replace(body, clip=sha256)
    return body


def moved_on(head: Head, events: Sequence[Event], now: str, digest: bytes) -> Head:
    """The head after these events. Retention is no work on the job: it leaves time, step and person."""
    at, step, person, people, finished = head.at, head.step, head.person, list(head.people), head.finished
    for event in events:
        match event.body:
            case ClipsForgotten():
                continue
            case Finished():
                finished = event.seq
            case Withdrawn(seqs=seqs) if finished in seqs:
                finished = 0
        at, step, person = now, event.step, event.person or person
        if event.person and event.person not in people:
            people.append(event.person)
    return Head(events[-1].seq, digest, at, step, person, tuple(people), finished)


def read_head(connection: sqlite3.Connection, number: int, name: str) -> Head:
    """Raises LogbookDamaged where the head and the last event do not agree."""
    row = connection.execute(
        "SELECT seq, hash, at, step, person, people, finished FROM head WHERE job = ?", (number,)
    ).fetchone()
    last = connection.execute(
        "SELECT id, hash FROM event WHERE id BETWEEN ? AND ? ORDER BY id DESC LIMIT 1",
        (number << 32, (number << 32) | 0xFFFF_FFFF),
    ).fetchone()
    if row is None or last is None or (row[0], row[1]) != (seq_of(last[0]), last[1]):
        raise LogbookDamaged(f"Job {name}: its last event is not the one that was written last. See `bay log verify`.")
    return Head(row[0], row[1], row[2], row[3], row[4], tuple(json.loads(row[5])), row[6])
