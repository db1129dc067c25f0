"""What `bay hear` tells: for each utterance of each file what would have been understood, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.grammar.request import Quantity, SlotValue
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.files import Recording, frames, inspected
from assistant.hearing.heard import Heard
from assistant.hearing.recogniser import Recogniser


@dataclass(frozen=True, slots=True)
class Report:
    """One utterance of one file."""

    file: Path
    remarks: tuple[str, ...]
    """What a person should know about the sound."""
    heard: Heard | None
    """None where the file holds no speech."""

    def as_json(self) -> dict[str, Any]:
        """The keys that `bay hear --json` prints. `slots` holds a quantity as {value, unit, said}."""
        heard = self.heard
        if heard is None:
            return {
                "file": str(self.file), "heard": "", "free": "", "request": "", "slots": {}, "score": None,
                "margin": None, "decision": "ignore", "ms": 0.0, "why": "no speech in it",
            }  # fmt: skip
        best = heard.best
        return {
            "file": str(self.file),
            "heard": best.words if best else "",
            "free": heard.free,
            "request": best.request.name if best else "",
            "slots": {slot: _plain(value) for slot, value in best.request.slots.items()} if best else {},
            "score": round(best.score, 3) if best else None,
            "margin": round(heard.margin, 3) if best and heard.others else None,
            "decision": str(heard.decision),
            "ms": round(heard.ms, 1),
            "contrast": round(heard.contrast, 3),
            "doubtful": list(heard.doubtful),
            "others": [{"heard": other.words, "score": round(other.score, 3)} for other in heard.others],
            "start_s": round(heard.start_s, 2),
            "end_s": round(heard.end_s, 2),
        }


def _plain(value: SlotValue) -> Any:
    if isinstance(value, Quantity):
        return {"value": str(value.value), "unit": value.unit, "said": value.said}
    return value


def looked_over(files: list[Path]) -> list[Recording]:
    """All files, before the first is read, so that a slip in the last one costs no waiting. Raises SoundFileError."""
    return [inspected(file) for file in files]


def hear(recordings: list[Recording], recogniser: Recogniser, listening: Listening) -> Iterator[Report]:
    """Each utterance of each file, in order; a file without speech gives one report that says so."""
    for recording in recordings:
        found = False
        for heard in Ear(recogniser).listen(frames(recording), lambda: listening):
            found = True
            yield Report(recording.path, recording.remarks, heard)
        if not found:
            yield Report(recording.path, recording.remarks, None)
