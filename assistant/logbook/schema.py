"""The tables, the format's number, and the way from an older format to this one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

from assistant.logbook.errors import LogbookDamaged, LogbookError, LogbookNewer

DATABASE = "logbook.sqlite3"
APPLICATION_ID = 0x42_41_59_31
"""Marks the file as ours ("BAY1") in the SQLite header."""
FORMAT = 1
"""Number of the format that this version reads and writes; in the SQLite header as user_version."""

SEQ_BITS = 32
"""A row's id is its job's number shifted left by this, plus its seq: one tree, jobs lie together, no second index."""

WORDS = "CREATE VIRTUAL TABLE words USING fts5 (text, content='', tokenize='unicode61 remove_diacritics 2');"
TABLES = """
CREATE TABLE card (
    sha256 TEXT PRIMARY KEY,
    text   BLOB NOT NULL
) WITHOUT ROWID;

CREATE TABLE job (
    number   INTEGER PRIMARY KEY,
    name     TEXT NOT NULL UNIQUE,
    made_at  TEXT NOT NULL,
    card     TEXT NOT NULL,
    revision TEXT NOT NULL,
    title    TEXT NOT NULL,
    vehicle  TEXT NOT NULL,
    sha256   TEXT NOT NULL REFERENCES card (sha256),
    genesis  BLOB NOT NULL
);

CREATE TABLE event (
    id     INTEGER PRIMARY KEY,
    at     TEXT NOT NULL,
    person TEXT NOT NULL,
    step   TEXT NOT NULL,
    kind   TEXT NOT NULL,
    body   TEXT NOT NULL,
    said   INTEGER NOT NULL,
    hash   BLOB NOT NULL
);

CREATE INDEX event_value ON event (kind, id) WHERE kind IN ('torqued', 'measured');

CREATE TABLE head (
    job      INTEGER PRIMARY KEY,
    seq      INTEGER NOT NULL,
    hash     BLOB NOT NULL,
    at       TEXT NOT NULL,
    step     TEXT NOT NULL,
    person   TEXT NOT NULL,
    people   TEXT NOT NULL,
    finished INTEGER NOT NULL,
    indexed  INTEGER NOT NULL
);

"""
"""`head` holds where each job stands: its last seq and hash, so that a cut tail is seen, and what a list of jobs
shows, so that a list need not read the events. Its row 0 holds the last job's number and genesis. `head.indexed` is
the seq up to which the job's words are in `words`: the index follows in batches (see `index.py`).
`event.said` is the seq of the utterance that the event follows from (Event.group)."""

_KEPT = ("card", "job", "event")


def _triggers() -> str:
    made = []
    for table in _KEPT:
        key = {"card": "sha256", "job": "number", "event": "id"}[table]
        for verb in ("UPDATE", "DELETE"):
            made.append(
                f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} BEGIN "
                f"SELECT RAISE(ABORT, 'the logbook is only ever added to'); END;"
            )
        made.append(
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
            f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}) BEGIN "
            f"SELECT RAISE(ABORT, 'the logbook is only ever added to'); END;"
        )
    return "\n".join(made)


MIGRATIONS: dict[int, Callable[[sqlite3.Connection], None]] = {}
"""From the format that is the key to the next one. Runs inside one transaction; the store is copied before."""


def create(connection: sqlite3.Connection) -> None:
    """Makes the tables in an empty database, all or nothing."""
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("BEGIN IMMEDIATE")
    try:
        if connection.execute("PRAGMA user_version").fetchone()[0] == 0:
            for statement in _statements(f"{TABLES}\n{WORDS}\n{_triggers()}"):
                connection.execute(statement)
            connection.execute(
                "INSERT INTO head VALUES (0, 0, ?, '', '', '', '[]', 0, 0)",
                (b"",),
            )
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {FORMAT}")
        connection.execute("COMMIT")
    except BaseException:
        connection.execute("ROLLBACK")
        raise


def _statements(script: str) -> list[str]:
    found, rest = [], ""
    for line in script.splitlines():
        rest += line + "\n"
        if sqlite3.complete_statement(rest):
            found.append(rest)
            rest = ""
    return found


def look_at_header(database: Path) -> int:
    """The file's format number, read without opening the database, so that a newer store is not touched.

    0 for an empty file. Raises LogbookNewer, LogbookDamaged. Header layout: SQLite file format, section 1.3.
    """
    with database.open("rb") as file:
        header = file.read(100)
    if not header:
        return 0
    if len(header) < 100 or not header.startswith(b"SQLite format 3\x00"):
        raise LogbookDamaged(f"{database} is not a logbook, or its start is damaged: it was left as it is.")
    refuse_unknown(int.from_bytes(header[60:64]), int.from_bytes(header[68:72]), database)
    return int.from_bytes(header[60:64])


def refuse_unknown(number: int, application: int, database: Path) -> None:
    """Raises LogbookNewer for a format above ours, LogbookDamaged for a database that is no logbook."""
    if number > FORMAT and application == APPLICATION_ID:
        raise LogbookNewer(
            f"{database} was written by a newer version (format {number}, this one knows {FORMAT}): "
            "it was not touched. Update bay-assistant."
        )
    if number and application != APPLICATION_ID:
        raise LogbookDamaged(f"{database} is some other program's database: name another folder in BAY_HOME.")


def migrate(connection: sqlite3.Connection, database: Path) -> None:
    """Brings an older store to FORMAT, step by step, after keeping a copy beside it."""
    number = connection.execute("PRAGMA user_version").fetchone()[0]
    if number == FORMAT:
        return
    kept = database.with_name(f"logbook.format-{number}.sqlite3")
    with sqlite3.connect(kept) as copy:
        connection.backup(copy)
    copy.close()
    while number < FORMAT:
        step = MIGRATIONS.get(number)
        if step is None:
            raise LogbookError(f"{database} has the format {number}, from which no way leads to {FORMAT}.")
        connection.execute("BEGIN IMMEDIATE")
        try:
            step(connection)
            connection.execute(f"PRAGMA user_version = {number + 1}")
            connection.execute("COMMIT")
        except BaseException:
            connection.execute("ROLLBACK")
            raise
        number += 1
