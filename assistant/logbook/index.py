"""The full-text index follows the events in batches, so that an append need not wait for it.

What is not in it yet is searched as it lies (`search.py`), so a search always finds everything.
"""

from __future__ import annotations

import sqlite3

from assistant.logbook.errors import LogbookError
from assistant.logbook.rows import as_event, row_id, searchable

INDEX_EVERY = 256
"""Events of one job between two batches."""


def index_words(db: sqlite3.Connection, job: int) -> None:
    """Brings one job's words into the index. Within a transaction of the caller's."""
    found = db.execute("SELECT indexed, seq FROM head WHERE job = ?", (job,)).fetchone()
    if found is None or found[0] >= found[1]:
        return
    db.executemany("INSERT INTO words (rowid, text) VALUES (?, ?)", _texts(db, job, *found))
    db.execute("UPDATE head SET indexed = ? WHERE job = ?", (found[1], job))


def index_leftovers(db: sqlite3.Connection) -> None:
    """The same for every job that lags: those that were closed, or whose writer was killed."""
    behind = [r[0] for r in db.execute("SELECT job FROM head WHERE indexed < seq AND job > 0")]
    for job in behind:
        db.execute("BEGIN IMMEDIATE")
        try:
            index_words(db, job)
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise


def unindexed(db: sqlite3.Connection) -> list[tuple[int, str]]:
    """Row id and words of every event that is not in the index yet."""
    behind = db.execute("SELECT job, indexed, seq FROM head WHERE indexed < seq AND job > 0").fetchall()
    return [pair for job, done, seq in behind for pair in _texts(db, job, done, seq)]


def _texts(db: sqlite3.Connection, job: int, done: int, seq: int) -> list[tuple[int, str]]:
    rows = db.execute(
        "SELECT id, at, person, step, kind, body, said, hash FROM event WHERE id BETWEEN ? AND ? ORDER BY id",
        (row_id(job, done + 1), row_id(job, seq)),
    ).fetchall()
    pairs = []
    for row in rows:
        try:
            text = searchable(as_event(row).body)
        except LogbookError:
            continue  # cannot be read: `verify` tells of it
        if text:
            pairs.append((row[0], text))
    return pairs
