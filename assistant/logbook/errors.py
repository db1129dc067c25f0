"""What can go wrong with the logbook, each in one line that says what, where and what to do."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import BayError


class LogbookError(BayError):
    """Base of this room's errors; the text is for the person."""


class LogbookNewer(LogbookError):
    """The store was written by a newer version; it was not touched."""


class LogbookReadOnly(LogbookError):
    """The folder or the database cannot be written."""


class LogbookLocked(LogbookError):
    """Another program kept the database locked for too long."""


class LogbookDamaged(LogbookError):
    """The database file is not whole, or is no logbook."""


class DiskFull(LogbookError):
    """There is no room; nothing of what was to be written was kept."""


class JobHeld(LogbookError):
    """Another writer is at this job."""


class NoSuchJob(LogbookError):
    """No job, or more than one, goes by that name."""


@contextmanager
def in_plain_words(database: Path) -> Iterator[None]:
    """Turns what SQLite and the file system raise into this room's errors."""
    try:
        yield
    except (sqlite3.Error, OSError) as fault:
        raise plainly(fault, database) from fault


def plainly(fault: sqlite3.Error | OSError, database: Path) -> LogbookError:
    """This room's error for one of theirs."""
    if isinstance(fault, sqlite3.Error):
        return _from_sqlite(fault, database)
    return from_os(fault, Path(fault.filename) if isinstance(fault.filename, str) else database)


def from_os(fault: OSError, path: Path) -> LogbookError:
    """The same for a file: no room, no right, or what the system says."""
    if fault.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return DiskFull(
            f"No room on the disk for {path}: what was said last is not kept. Free some space, say it again."
        )
    if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return LogbookReadOnly(
            f"{path} cannot be written: give the right to write, or name another folder in BAY_HOME."
        )
    return LogbookError(f"{path}: {fault.strerror or fault}.")


def not_writable(path: Path) -> LogbookReadOnly:
    return LogbookReadOnly(f"{path} cannot be written: give the right to write, or name another folder in BAY_HOME.")


def _from_sqlite(fault: sqlite3.Error, database: Path) -> LogbookError:
    code = getattr(fault, "sqlite_errorcode", None)
    primary = code & 0xFF if isinstance(code, int) else None
    if primary == sqlite3.SQLITE_FULL:
        return DiskFull(
            f"No room on the disk for {database}: what was said last is not kept. Free some space, say it again."
        )
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogbookLocked(f"{database} is locked by another program: close it (a database viewer?) and try again.")
    if primary in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return not_writable(database)
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return LogbookDamaged(
            f"{database} is damaged ({fault}) and was left as it is: move it aside, "
            "put the last copy (`bay log copy`) in its place."
        )
    if primary == sqlite3.SQLITE_CANTOPEN:
        return LogbookReadOnly(f"{database} cannot be opened: look at the folder and the right to read and write it.")
    if primary == sqlite3.SQLITE_IOERR:
        return DiskFull(f"The disk failed while writing {database} ({fault}): what was said last is not kept.")
    return LogbookError(f"{database}: {fault}.")
