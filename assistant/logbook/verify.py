"""Proves a store: every change, gap or cut is found, and where it is."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from assistant.logbook import clips
from assistant.logbook.errors import LogbookError, in_plain_words
from assistant.logbook.rows import SEQ_MASK, chained, genesis, job_of, row_id, seq_of
from assistant.logbook.schema import DATABASE
from assistant.logbook.store import Logbook


@dataclass(frozen=True, slots=True)
class Fault:
    """One place where the store is not what was written."""

    job: str
    """Name of the job; empty for the store as a whole."""
    seq: int
    """Event; 0 where no single event is meant."""
    what: str

    def __str__(self) -> str:
        where = f"{self.job or 'store'}{f', event {self.seq}' if self.seq else ''}"
        return f"{where}: {self.what}"


@dataclass(frozen=True, slots=True)
class Proof:
    """What `verify` found."""

    jobs: int
    events: int
    clips: int
    """Clips that were read and are the sound that was recorded."""
    forgotten: int
    """Clips removed by retention, as the chain itself says."""
    faults: tuple[Fault, ...]
    remarks: tuple[str, ...]
    """What is no fault and yet worth knowing: a clock set back, a clip that no event names."""
    last: tuple[tuple[str, str], ...]
    """Job and the last hash of its chain, to compare with a printed report."""

    @property
    def whole(self) -> bool:
        return not self.faults


class _Finding:
    def __init__(self, holds: str) -> None:
        self.holds = holds.lower()
        self.held = False
        """Whether an event with that hash was met."""
        self.faults: list[Fault] = []
        self.remarks: list[str] = []
        self.clips: dict[str, tuple[str, int]] = {}
        self.forgotten: set[str] = set()

    def fault(self, job: str, seq: int, what: str) -> None:
        self.faults.append(Fault(job, seq, what))


def verify(logbook: Logbook, job: str | None = None, *, holds: str = "", sound: bool = True) -> Proof:
    """Checks the chain of one job, or of all, the heads, the cards' texts, the anchors, and (`sound`) every clip.

    `holds`: a hash from a printed report that the chain must contain (at least its first 8 hex digits). Reads only.
    Where the database itself is damaged, says so and checks what can still be read.
    """
    finding = _Finding(holds)
    database = logbook.folder / DATABASE
    connection = logbook.reader()
    try:
        with in_plain_words(database):
            _check_file(connection, finding)
            names = dict(connection.execute("SELECT number, name FROM job ORDER BY number").fetchall())
            wanted = None if job is None else logbook.find_job(job).number
            roots = _check_jobs(connection, finding)
            events = 0
            anchors = _anchors(logbook.folder)
            for number, name in names.items():
                if wanted is None or number == wanted:
                    events += _check_chain(connection, number, name, roots[number], anchors.get(name, {}), finding)
            if wanted is None:
                _check_strays(connection, names, anchors, finding)
            if holds and not finding.held:
                finding.fault(job or "", 0, f"no event has the hash {holds}: the log was rewritten, or is another one")
            last = tuple(
                (names[n], bytes(h).hex())
                for n, h in connection.execute("SELECT job, CAST(hash AS BLOB) FROM head WHERE job > 0 ORDER BY job")
                if n in names and (wanted is None or n == wanted)
            )
    except LogbookError as fault:
        finding.fault("", 0, str(fault))
        return Proof(0, 0, 0, 0, tuple(finding.faults), tuple(finding.remarks), ())
    finally:
        connection.close()
    whole_clips = _check_clips(logbook.folder / "clips", finding, only_named=wanted is not None) if sound else 0
    jobs = len(names) if wanted is None else 1
    return Proof(jobs, events, whole_clips, len(finding.forgotten), tuple(finding.faults), tuple(finding.remarks), last)


def _check_file(connection: sqlite3.Connection, finding: _Finding) -> None:
    try:
        found = [r[0] for r in connection.execute("PRAGMA quick_check(5)")]
    except sqlite3.DatabaseError as fault:
        found = [str(fault)]
    for line in found:
        if line != "ok":
            finding.fault("", 0, f"the database file is damaged: {' '.join(line.split())[:200]}")


def _check_jobs(connection: sqlite3.Connection, finding: _Finding) -> dict[int, bytes]:
    """The jobs' own rows and cards; gives each job's genesis as it should be."""
    before, expected, roots = b"", 1, {}
    texts = {}
    for sha256, text in connection.execute("SELECT sha256, CAST(text AS BLOB) FROM card"):
        texts[sha256] = hashlib.sha256(bytes(text)).hexdigest() == sha256
    rows = connection.execute(
        "SELECT number, name, made_at, card, revision, title, vehicle, sha256, genesis FROM job ORDER BY number"
    )
    for number, *columns, root in rows:
        name, sha256 = columns[0], columns[-1]
        if number != expected:
            lost = f"job {expected}" if number == expected + 1 else f"jobs {expected} to {number - 1}"
            finding.fault("", 0, f"{lost} cut out of the store before {name}")
        elif genesis(before, number, *columns) != root:
            finding.fault(name, 0, "the job's own row was changed (name, card, revision, title or vehicle)")
        if sha256 not in texts:
            finding.fault(name, 0, "the card's text is gone from the store")
        elif not texts[sha256]:
            finding.fault(name, 0, "the card's text was changed")
        before, expected, roots[number] = root, number + 1, root
    anchor = connection.execute("SELECT seq, hash FROM head WHERE job = 0").fetchone()
    if anchor is None:
        finding.fault("", 0, "the store's own head is gone")
    elif anchor[0] > expected - 1:
        finding.fault("", 0, f"{anchor[0] - expected + 1} job(s) cut off the end of the store")
    elif anchor[1] != before:
        finding.fault("", 0, "the last job is not the one that was begun last")
    return roots


_TEXTS = ("at", "person", "step", "kind", "body")
_LINES = f"""
SELECT id, CAST(at AS BLOB), hash,
  CASE WHEN {" || ".join(f"typeof({c})" for c in (*_TEXTS, "said"))} = '{"text" * len(_TEXTS)}integer'
    THEN CAST(id || ' ' || said || {" || ".join(f"' ' || length({c}) || ':' || {c}" for c in _TEXTS)} AS BLOB) END,
  CASE WHEN kind = 'clips-forgotten' OR (kind IN ('said', 'noted') AND instr(body, '"clip":""') = 0)
    THEN kind END
FROM event WHERE id BETWEEN ? AND ? ORDER BY id"""
"""Each row as rows.chained hashes it, put together by SQLite: four times as fast as in Python. SQLite's `length` ends
at a NUL, so a row that holds one does not match; a row that does not match is looked at again by rows.chained."""
_ROW = "SELECT id, at, person, step, kind, body, said, hash FROM event WHERE id = ?"


def _check_chain(
    connection: sqlite3.Connection, number: int, name: str, root: bytes, anchors: dict[int, str], finding: _Finding
) -> int:
    before, expected, count = root, 1, 0
    last_at = b""
    holds = bytes.fromhex(finding.holds[: len(finding.holds) // 2 * 2])
    sha256 = hashlib.sha256
    for identity, at, digest, line, clip_of in connection.execute(
        _LINES, (row_id(number, 0), row_id(number, 0xFFFF_FFFF))
    ):
        seq, count = identity & SEQ_MASK, count + 1
        if seq != expected:
            lost = f"event {expected} is" if seq == expected + 1 else f"events {expected} to {seq - 1} are"
            finding.fault(name, expected, f"{lost} missing")
        elif (line is None or sha256(before + line).digest() != digest) and not _follows(connection, identity, before):
            finding.fault(name, seq, _why(digest))
        if at < last_at:
            told = at[:19].decode(errors="replace")
            finding.remarks.append(f"{name}, event {seq}: the clock had been set back ({told} UTC)")
        last_at = at
        if clip_of:
            _note_clips(connection, identity, clip_of, name, finding)
        before, expected = digest if isinstance(digest, bytes) else b"", seq + 1
        if seq in anchors and anchors[seq] != before.hex():
            finding.fault(name, seq, "not the event that stood here when the job was last closed (anchors.txt)")
        if holds and before.startswith(holds) and before.hex().startswith(finding.holds):
            finding.held = True
    head = connection.execute("SELECT seq, hash FROM head WHERE job = ?", (number,)).fetchone()
    reached = max([head[0] if head else 0, *anchors])
    if head is None:
        finding.fault(name, 0, "the job's head is gone")
    if reached > expected - 1:
        finding.fault(name, expected, f"cut here: {reached - expected + 1} event(s) are missing at the end")
    elif head is not None and (head[0], head[1]) != (expected - 1, before):
        finding.fault(name, head[0] + 1, "events stand after the last one that was written")
    return count


def _follows(connection: sqlite3.Connection, identity: int, before: bytes) -> bool:
    try:
        row = connection.execute(_ROW, (identity,)).fetchone()
        return bool(chained(before, *row[:7]) == row[7])
    except (sqlite3.OperationalError, TypeError, ValueError):  # text that is none: changed
        return False


def _why(digest: object) -> str:
    if not isinstance(digest, bytes) or len(digest) != 32:
        return "changed: its hash is no hash"
    return "changed, or put in by another hand: it does not follow from the event before"


def _note_clips(connection: sqlite3.Connection, identity: int, kind: str, name: str, finding: _Finding) -> None:
    (text,) = connection.execute("SELECT CAST(body AS BLOB) FROM event WHERE id = ?", (identity,)).fetchone()
    try:
        body = json.loads(text)
    except ValueError:
        return
    if not isinstance(body, dict):
        return
    if kind == "clips-forgotten":
        finding.forgotten.update(str(c) for c in body.get("clips") or ())
    elif body.get("clip"):
        finding.clips.setdefault(str(body["clip"]), (name, seq_of(identity)))


def _check_strays(
    connection: sqlite3.Connection, names: dict[int, str], anchors: dict[str, dict[int, str]], finding: _Finding
) -> None:
    number = -(1 << 31)
    while found := connection.execute(
        "SELECT id FROM event WHERE id >= ? ORDER BY id LIMIT 1", (row_id(number + 1, 0),)
    ).fetchone():
        number = job_of(found[0])
        if number not in names:
            finding.fault("", 0, f"events stand under a job {number} that is not there")
    for name in anchors.keys() - set(names.values()):
        finding.fault(name, 0, "the job was closed here once (anchors.txt) and is gone")


def _anchors(folder: Path) -> dict[str, dict[int, str]]:
    """Job, seq, hash: what stood at the end each time a job was closed."""
    found: dict[str, dict[int, str]] = {}
    try:
        lines = (folder / "anchors.txt").read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return found
    for line in lines:
        parts = line.split()
        if len(parts) == 3 and parts[1].isdigit():
            found.setdefault(parts[0], {})[int(parts[1])] = parts[2]
    return found


def _check_clips(folder: Path, finding: _Finding, *, only_named: bool) -> int:
    whole = 0
    for sha256, (job, seq) in finding.clips.items():
        try:
            clips.read(folder, sha256)
            whole += 1
        except clips.ClipDamaged:
            finding.fault(job, seq, f"its sound clip is damaged ({sha256[:12]})")
        except LogbookError:
            if sha256 not in finding.forgotten:
                finding.fault(job, seq, f"its sound clip is missing ({sha256[:12]})")
        else:
            if sha256 in finding.forgotten:
                finding.remarks.append(f"{job}, event {seq}: its clip was to be forgotten and is still there")
    if not only_named:
        loose = [s for s, _ in clips.kept(folder) if s not in finding.clips]
        if loose:
            finding.remarks.append(f"{len(loose)} clip(s) that no event names (a write that was cut short); harmless")
    return whole
