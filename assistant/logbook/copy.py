"""A copy of the store while jobs are being worked."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import zipfile
from pathlib import Path

from assistant.logbook.clips import sync_folder
from assistant.logbook.errors import LogbookError, in_plain_words
from assistant.logbook.schema import DATABASE
from assistant.logbook.store import Logbook


def copy(logbook: Logbook, target: Path) -> Path:
    """Copies the store as it is at this moment; writers go on meanwhile.

    By the target's name: `.sqlite3` the database alone; `.zip` all in one file; otherwise a new folder that can be
    opened as a store. Nothing that is there already is overwritten, and nothing half done is left under that name.
    """
    if target.exists():
        raise LogbookError(f"{target} is there already: name another file.")
    partial = target.with_name(f".{target.name}.part")
    with in_plain_words(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        _remove(partial)
        try:
            if target.suffix == ".sqlite3":
                _database(logbook, partial)
            elif target.suffix == ".zip":
                _zip(logbook, partial)
            else:
                _folder(logbook, partial)
            partial.rename(target)
            sync_folder(target.parent)
        finally:
            _remove(partial)
    return target


def _remove(path: Path) -> None:
    with contextlib.suppress(FileNotFoundError):
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()


def _database(logbook: Logbook, target: Path) -> None:
    """SQLite's online backup, in one file with no log beside it, on the disk."""
    source = logbook.reader()
    copied = sqlite3.connect(target, isolation_level=None)
    try:
        source.backup(copied)
        copied.execute("PRAGMA journal_mode = DELETE")
    finally:
        copied.close()
        source.close()
    _sync(target)


def _beside(logbook: Logbook) -> list[Path]:
    """The clips, relative to the folder. Listed after the database was copied, so that none that the copy names is
    left out (a clip is on the disk before the event that names it)."""
    found = [p for p in (logbook.folder / "clips").glob("*/*.flac") if not p.name.startswith(".")]
    return [p.relative_to(logbook.folder) for p in sorted(found)]


def _anchors(logbook: Logbook) -> str:
    """Read before the database is copied, or it could speak of events that came after the copy."""
    try:
        return (logbook.folder / "anchors.txt").read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""


def _folder(logbook: Logbook, target: Path) -> None:
    target.mkdir(mode=0o700)
    (target / "anchors.txt").write_text(_anchors(logbook), encoding="utf-8")
    _database(logbook, target / DATABASE)
    for path in _beside(logbook):
        (target / path).parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileNotFoundError):
            shutil.copyfile(logbook.folder / path, target / path)
            _sync(target / path)


def _zip(logbook: Logbook, target: Path) -> None:
    loose = target.with_name(target.name + ".sqlite3")
    try:
        anchors = _anchors(logbook)
        _database(logbook, loose)
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.write(loose, DATABASE)
            archive.writestr("anchors.txt", anchors)
            for path in _beside(logbook):
                with contextlib.suppress(FileNotFoundError):
                    archive.write(logbook.folder / path, path.as_posix(), zipfile.ZIP_STORED)
        _sync(target)
    finally:
        _remove(loose)


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
