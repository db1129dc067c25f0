"""One event as a row, and the hash that chains it to the row before."""

from __future__ import annotations

import hashlib
import json
import math
from datetime import UTC, datetime
from typing import Any

from assistant.job import codec
from assistant.job.errors import UnreadableEvent
from assistant.job.events import (
    Answered,
    Body,
    Event,
    FinishRefused,
    HandedOver,
    ItemAccepted,
    Noted,
    Overridden,
    Said,
    StepSkipped,
    Torqued,
    kind_of,
)
from assistant.logbook.errors import LogbookDamaged, LogbookNewer
from assistant.logbook.schema import SEQ_BITS

SEQ_MASK = (1 << SEQ_BITS) - 1

Row = tuple[int, str, str, str, str, str, int, bytes]
"""id, at, person, step, kind, body, said, hash: the columns of `event`, in order."""


def row_id(job: int, seq: int) -> int:
    return (job << SEQ_BITS) | seq


def seq_of(identity: int) -> int:
    return identity & SEQ_MASK


def job_of(identity: int) -> int:
    return identity >> SEQ_BITS


def written_at(at: datetime) -> str:
    """ISO 8601 in UTC with microseconds: sorts as text. Raises ValueError for a time with no zone."""
    if at.tzinfo is None:
        raise ValueError("an event's time must carry its zone")
    utc = at if at.tzinfo is UTC else at.astimezone(UTC)
    return utc.isoformat(timespec="microseconds")


_AS_STORED = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode


def body_text(body: Body) -> str:
    """The body as it is stored and hashed: JSON, keys sorted, nothing that JSON does not know."""
    fields = codec.to_json(body)
    try:
        return _AS_STORED(fields)
    except ValueError:
        return _AS_STORED(_finite(fields))


def _finite(value: Any) -> Any:
    """Infinity has no JSON; as a word it is read back by `float`."""
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, dict):
        return {k: _finite(v) for k, v in value.items()}
    return value


_SHA256 = hashlib.sha256()
"""Copied for each row: looking the algorithm up anew takes longer than hashing a row."""


def chained(before: bytes, identity: int, at: str, person: str, step: str, kind: str, body: str, said: int) -> bytes:
    """SHA-256 over the hash before and every column of the row, each text with its length in front."""
    line = (
        f"{identity} {said} {len(at)}:{at} {len(person)}:{person} {len(step)}:{step} {len(kind)}:{kind} "
        f"{len(body)}:{body}"
    )
    digest = _SHA256.copy()
    digest.update(before + line.encode("utf-8", "surrogatepass"))
    return digest.digest()


def genesis(before: bytes, number: int, *columns: str) -> bytes:
    """What a job's first event is chained to: the job's own row and the genesis of the job before it."""
    line = json.dumps([number, *columns], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(b"bay logbook 1\n" + before + line.encode("utf-8", "surrogatepass")).digest()


def as_row(job: int, event: Event, at: str, before: bytes) -> Row:
    """`at`: the event's time, as `written_at` gives it."""
    identity, kind = row_id(job, event.seq), kind_of(event.body)
    body = body_text(event.body)
    digest = chained(before, identity, at, event.person, event.step, kind, body, event.group)
    return identity, at, event.person, event.step, kind, body, event.group, digest


def as_event(row: Row) -> Event:
    """Raises LogbookDamaged for a row that cannot be read, LogbookNewer for a kind of event not known here."""
    identity, at, person, step, kind, body, said, _ = row
    if kind not in codec.kinds():
        raise LogbookNewer(f"Event {seq_of(identity)} is of a kind that a newer version wrote ({kind[:40]}): update.")
    try:
        fields = json.loads(body)
        when = datetime.fromisoformat(at)
        return Event(seq_of(identity), when, person, step, codec.from_json(kind, fields), said)
    except (ValueError, TypeError, UnreadableEvent) as fault:
        raise LogbookDamaged(
            f"Job {job_of(identity)}, event {seq_of(identity)} cannot be read ({fault}). See `bay log verify`."
        ) from fault


def searchable(body: Body) -> str:
    """The words of an event that a search should find; empty where it holds none."""
    match body:
        case Said():
            words = [body.heard, body.free if body.free.casefold() != body.heard.casefold() else "", body.reply]
        case Noted():
            words = [body.text]
        case Answered():
            words = [body.reply]
        case HandedOver():
            words = [body.summary]
        case StepSkipped() | Overridden() | ItemAccepted() | Torqued():
            words = [body.reason]
        case FinishRefused():
            words = list(body.items)
        case _:
            return ""
    return "\n".join(w for w in words if w)
