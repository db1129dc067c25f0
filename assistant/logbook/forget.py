"""Retention: sound clips go, their hashes stay, and the chain itself says so."""

from __future__ import annotations

import contextlib
from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from assistant.job.events import ClipsForgotten, Noted, Said
from assistant.logbook import clips
from assistant.logbook.errors import JobHeld, in_plain_words
from assistant.logbook.schema import DATABASE
from assistant.logbook.store import Logbook


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What went."""

    jobs: int
    clips: int
    octets: int
    """Bytes freed."""
    held: tuple[str, ...]
    """Jobs passed over because they are being worked; ask again when they are done."""


def forget(logbook: Logbook, older_than: datetime, at: datetime, *, person: str | None = None) -> Forgotten:
    """Removes the clips of every event before `older_than` (of one person only, if named).

    Each job's chain gets a ClipsForgotten event first, then the files go: a kill in between leaves files that the
    next run removes. A clip that a younger event also names (the same sound to the bit) stays until that one is old.
    """
    folder = logbook.folder / "clips"
    names: dict[str, set[str]] = defaultdict(set)
    wanted_still: set[str] = set()
    told: set[str] = set()
    jobs = logbook.jobs()
    for job in jobs:
        for event in logbook.each_event(job):
            match event.body:
                case ClipsForgotten(clips=gone):
                    told.update(gone)
                case Said(clip=clip) | Noted(clip=clip) if clip:
                    old = event.at < older_than and (person is None or event.person.casefold() == person.casefold())
                    if old:
                        names[job.name].add(clip)
                    else:
                        wanted_still.add(clip)
    present = {sha256 for sha256, _ in clips.kept(folder)}
    removed, held, touched, freed = 0, [], 0, 0
    whose = f"those of {person}, " if person else ""
    why = f"{whose}older than {older_than.date().isoformat()}"
    for job in jobs:
        going = (names[job.name] & present) - wanted_still
        if not going:
            continue
        try:
            untold = sorted(going - told)
            if untold:
                with logbook.resume(job.name, at) as writer:
                    writer.append([ClipsForgotten(tuple(untold), why)], at)
                told.update(untold)
        except JobHeld:
            held.append(job.name)
            continue
        touched += 1
        with in_plain_words(logbook.folder / DATABASE):
            for sha256 in going:
                path = clips.path_of(folder, sha256)
                with contextlib.suppress(FileNotFoundError):
                    freed += path.stat().st_size
                    path.unlink()
                    removed += 1
                with contextlib.suppress(OSError):
                    path.parent.rmdir()
        present -= going
    return Forgotten(touched, removed, freed, tuple(held))
