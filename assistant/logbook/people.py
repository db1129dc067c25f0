"""One person's data, all of it, in a form that they can read and take away."""

from __future__ import annotations

import contextlib
import json
import zipfile
from dataclasses import dataclass
from pathlib import Path

from assistant.job.codec import to_json
from assistant.job.events import Noted, PersonChanged, Said, kind_of
from assistant.logbook import clips
from assistant.logbook.errors import LogbookError, in_plain_words
from assistant.logbook.rows import written_at
from assistant.logbook.store import Logbook


@dataclass(frozen=True, slots=True)
class PersonExport:
    jobs: int
    events: int
    clips: int
    clips_gone: int
    """Clips that their events name and that are no longer kept."""
    file: Path


def export_person(logbook: Logbook, person: str, target: Path) -> PersonExport:
    """Writes a zip with every event that `person` spoke (any capitals), one JSON object a line, and their clips.

    Raises LogbookError where nobody of that name spoke, or the file is there already.
    """
    if target.exists():
        raise LogbookError(f"{target} is there already: name another file.")
    key, lines, sounds, jobs = person.strip().casefold(), [], set(), 0
    known: set[str] = set()
    for job in logbook.jobs():
        known.update(job.people)
        mine = 0
        for event in logbook.each_event(job):
            named = isinstance(event.body, PersonChanged) and event.body.name.casefold() == key
            if event.person.casefold() != key and not named:
                continue
            mine += 1
            if isinstance(event.body, Said | Noted) and event.body.clip:
                sounds.add(event.body.clip)
            lines.append(
                json.dumps(
                    {
                        "job": job.name,
                        "card": job.card,
                        "vehicle": job.vehicle,
                        "seq": event.seq,
                        "at": written_at(event.at),
                        "person": event.person,
                        "step": event.step,
                        "kind": kind_of(event.body),
                        "body": to_json(event.body),
                    },
                    ensure_ascii=False,
                )
            )
        jobs += bool(mine)
    if not lines:
        raise LogbookError(
            f"Nobody named {person!r} speaks in this logbook; it knows: {', '.join(sorted(known)) or '-'}."
        )
    kept = 0
    partial = target.with_name(f".{target.name}.part")
    with in_plain_words(target):
        try:
            with zipfile.ZipFile(partial, "w", zipfile.ZIP_DEFLATED) as archive:
                archive.writestr("events.jsonl", "\n".join(lines) + "\n")
                for sha256 in sorted(sounds):
                    with contextlib.suppress(clips.ClipMissing):
                        archive.writestr(f"clips/{sha256}.flac", logbook.clip(sha256), zipfile.ZIP_STORED)
                        kept += 1
            partial.rename(target)
        finally:
            partial.unlink(missing_ok=True)
    return PersonExport(jobs, len(lines), kept, len(sounds) - kept, target)
