"""Finds words in everything that was said, answered and noted, by SQLite's full-text index."""

from __future__ import annotations

import re
import sqlite3
from dataclasses import dataclass

from assistant.job.events import Event
from assistant.logbook.errors import in_plain_words
from assistant.logbook.index import unindexed
from assistant.logbook.rows import as_event, searchable
from assistant.logbook.schema import DATABASE, WORDS
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
    below = before if before is not None else (1 << 63) - 1
    connection = logbook.reader()
    try:
        with in_plain_words(logbook.folder / DATABASE):
            indexed = connection.execute(_MATCH, (query, below, limit)).fetchall()
            fresh = _match_fresh(unindexed(connection), query, below)
            places = sorted({*(r[0] for r in indexed), *fresh}, reverse=True)[:limit]
            rows = [row for place in places for row in connection.execute(_ROW, (place,))]
    finally:
        connection.close()
    hits = []
    for row in rows:
        event = as_event(row[:8])
        hits.append(Hit(row[8], row[9], row[10], event, searchable(event.body), row[0]))
    return hits


_MATCH = "SELECT rowid FROM words WHERE words MATCH ? AND rowid < ? ORDER BY rowid DESC LIMIT ?"
_ROW = (
    "SELECT event.id, event.at, event.person, event.step, event.kind, event.body, event.said, event.hash, "
    "job.name, job.title, job.vehicle FROM event JOIN job ON job.number = (event.id >> 32) WHERE event.id = ?"
)


def _match_fresh(texts: list[tuple[int, str]], query: str, below: int) -> list[int]:
    """The same match over the words that the index does not hold yet, in an index of the moment."""
    if not texts:
        return []
    moment = sqlite3.connect(":memory:")
    try:
        moment.execute(WORDS)
        moment.executemany("INSERT INTO words (rowid, text) VALUES (?, ?)", texts)
        return [r[0] for r in moment.execute(_MATCH, (query, below, -1))]
    finally:
        moment.close()
