"""Sound clips as FLAC files, each named by the SHA-256 of its bytes."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.logbook.errors import LogbookError

_NAME = re.compile(r"[0-9a-f]{64}")


class ClipMissing(LogbookError):
    """The file is not there."""


class ClipDamaged(LogbookError):
    """The file's bytes are not those that were recorded."""


def path_of(folder: Path, sha256: str) -> Path:
    """Where that clip lies. Raises LogbookError for anything that is not a hash (no way out of the folder)."""
    if not _NAME.fullmatch(sha256):
        raise LogbookError(f"{sha256[:80]!r} is not the name of a clip.")
    return folder / sha256[:2] / f"{sha256}.flac"


def keep(folder: Path, samples: Samples) -> str:
    """Writes the clip and has it on the disk before it returns; gives its SHA-256. Raises OSError."""
    buffer = io.BytesIO()
    level = np.clip(np.nan_to_num(np.asarray(samples, dtype=np.float32)), -1.0, 1.0)
    soundfile.write(buffer, level, SAMPLE_RATE, format="FLAC", subtype="PCM_16")
    content = buffer.getvalue()
    sha256 = hashlib.sha256(content).hexdigest()
    path = path_of(folder, sha256)
    if path.exists() and path.stat().st_size == len(content):
        return sha256
    new_folder = not path.parent.exists()
    path.parent.mkdir(parents=True, exist_ok=True)
    partial = path.with_name(f".{sha256}.{os.getpid()}.part")
    try:
        with partial.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            partial.unlink()
        raise
    sync_folder(path.parent)
    if new_folder:
        sync_folder(folder)
    return sha256


def read(folder: Path, sha256: str) -> bytes:
    """The FLAC bytes, checked against their name. Raises ClipMissing, ClipDamaged."""
    path = path_of(folder, sha256)
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise ClipMissing(f"The clip {sha256[:12]} is not in {folder}: removed, or not copied along.") from None
    except OSError as fault:
        raise ClipMissing(f"The clip {sha256[:12]} cannot be read: {fault.strerror or fault}.") from fault
    if hashlib.sha256(content).hexdigest() != sha256:
        raise ClipDamaged(f"The clip {path} is damaged: its bytes are not those that were recorded.")
    return content


def samples(content: bytes) -> Samples:
    """FLAC bytes as sound, mono at SAMPLE_RATE. Raises ClipDamaged."""
    try:
        sound, _ = soundfile.read(io.BytesIO(content), dtype="float32")
    except (RuntimeError, soundfile.LibsndfileError) as fault:
        raise ClipDamaged(f"A clip is not sound: {fault}") from fault
    return np.asarray(sound, dtype=np.float32)


def kept(folder: Path) -> Iterator[tuple[str, Path]]:
    """Every clip in the folder: hash by name, path."""
    for path in sorted(folder.glob("*/*.flac")):
        if _NAME.fullmatch(path.stem):
            yield path.stem, path


def sync_folder(folder: Path) -> None:
    """Makes a new name in a folder last through a power cut; systems that cannot do it to a folder pass."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
