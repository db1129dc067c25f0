"""One writer a job: a lock file that the system itself lets go of when its holder dies."""

from __future__ import annotations

import json
import os
import socket
import sys
import time
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from assistant.logbook.errors import JobHeld

if sys.platform == "win32":
    import msvcrt

    _FAR = 1 << 30

    def _lock(handle: int) -> None:
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        os.lseek(handle, 0, os.SEEK_SET)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


@dataclass(frozen=True, slots=True)
class Holder:
    """Who works at a job now."""

    pid: int
    host: str
    since: str
    """ISO 8601, UTC."""
    who: str
    """Person or bay, as given; may be empty."""

    def __str__(self) -> str:
        person = f" ({self.who})" if self.who else ""
        return f"process {self.pid} on {self.host}{person} since {self.since[:16].replace('T', ' ')} UTC"


class Hold:
    """The right to write one job, from `take` to `release`."""

    def __init__(self, path: Path, handle: int) -> None:
        self._path, self._handle = path, handle

    @classmethod
    def take(cls, path: Path, job: str, *, who: str, at: datetime, patience_s: float = 0.3) -> Hold:
        """Raises JobHeld with the holder's name while another process, or another writer in this one, has it."""
        path.parent.mkdir(parents=True, exist_ok=True)
        deadline = time.monotonic() + patience_s
        while True:
            handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
            try:
                _lock(handle)
                if os.name == "posix" and not _same_file(path, handle):
                    os.close(handle)
                    continue
                break
            except OSError:
                os.close(handle)
                if time.monotonic() >= deadline:
                    holder = read_holder(path)
                    raise JobHeld(
                        f"Job {job} is being worked by {holder or 'another process'}: "
                        "end it there first, or take another job."
                    ) from None
                time.sleep(0.02)
        named = {"pid": os.getpid(), "host": socket.gethostname(), "since": at.isoformat(), "who": who}
        os.ftruncate(handle, 0)
        os.write(handle, json.dumps(named).encode())
        return cls(path, handle)

    def release(self) -> None:
        if self._handle < 0:
            return
        if os.name == "posix":
            self._path.unlink(missing_ok=True)
        else:
            os.ftruncate(self._handle, 0)
        os.close(self._handle)
        self._handle = -1


def _same_file(path: Path, handle: int) -> bool:
    """Whether the locked file is still the one that the name leads to (its holder may just have removed it)."""
    try:
        there = path.stat()
    except FileNotFoundError:
        return False
    return os.path.samestat(there, os.fstat(handle))


def read_holder(path: Path) -> Holder | None:
    """Who is written down as holder; None where nobody is. Says nothing of whether they still live."""
    try:
        named: dict[str, Any] = json.loads(path.read_text())
        return Holder(int(named["pid"]), str(named["host"]), str(named["since"]), str(named["who"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def holder_now(path: Path) -> Holder | None:
    """Who holds the job at this moment; None where nobody does, or where the holder is dead."""
    holder = read_holder(path)
    if holder is None:
        return None
    try:
        handle = os.open(path, os.O_RDWR)
    except OSError:
        return holder if path.exists() else None
    try:
        _lock(handle)
    except OSError:
        return holder
    finally:
        os.close(handle)
    return None
