"""Finds words in everything that was said, answered and noted, by SQLite's full-text index."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.job.events import Event
from assistant.logbook.errors import in_plain_words
from assistant.logbook.rows import as_event, searchable
from assistant.logbook.schema import DATABASE
from assistant.logbook.store import Logbook

_WORD = re.compile(r'"[^"]*"|\S+')


@dataclass(frozen=True, slots=True)
class Hit:
    """One event that holds the words."""

    job: str
    title: str
    vehicle: str
    event: Event
    text: str
    """What was searched: heard, reply, note or reason, a line each."""
    place: int
    """Give it as `before` to page on after this hit."""


def as_query(words: str) -> str:
    """A person's words as an FTS5 query: all of them, the last one also as a beginning, "in quotes" as a phrase.

    Whatever they type is text, never query language. Empty where there is nothing to look for.
    """
    parts = []
    for piece in _WORD.findall(words[:200]):
        bare = piece.strip('"').replace('"', " ").replace("\0", " ").strip()
        if any(ch.isalnum() for ch in bare):
            parts.append((f'"{bare}"', piece.startswith('"')))
    if not parts:
        return ""
    last, quoted = parts[-1]
    return " ".join([p for p, _ in parts[:-1]] + [last if quoted else last + "*"])


def search(logbook: Logbook, words: str, *, limit: int = 50, before: int | None = None) -> list[Hit]:
    """The newest hits first, at most `limit`; `before`: the `place` of the last page's last hit.

    Reads on a connection of its own, so that a long search keeps nobody waiting.
    """
    query = as_query(words)
    if not query:
        return []
    connection = logbook.reader()
    try:
        with in_plain_words(logbook.folder / DATABASE):
            found = connection.execute(
                "SELECT event.id, event.at, event.person, event.step, event.kind, event.body, event.said, event.hash, "
                "job.name, job.title, job.vehicle FROM words JOIN event ON event.id = words.rowid "
                "JOIN job ON job.number = (event.id >> 32) "
                "WHERE words MATCH ? AND words.rowid < ? ORDER BY words.rowid DESC LIMIT ?",
                (query, before if before is not None else (1 << 63) - 1, limit),
            ).fetchall()
    finally:
        connection.close()
    hits = []
    for row in found:
        event = as_event(row[:8])
        hits.append(Hit(row[8], row[9], row[10], event, searchable(event.body), row[0]))
    return hits
