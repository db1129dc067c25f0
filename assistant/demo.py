"""The recorded job: the utterances of audio_fixtures/job.yaml, one after another, through the real ear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from assistant.hearing.files import as_frames, inspected, samples
from assistant.hearing.frames import FRAME_S, Frames
from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.paths import shipped

LEAD_S = 0.4
"""Quiet before each utterance, seconds."""
ROOM = 2e-4
"""Full scale; the hiss between utterances, so that the microphone does not look dead."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One utterance of the recorded job, and what must come of it."""

    file: Path
    words: str
    """What is said."""
    voice: str
    noise: str
    """Kind and level ("compressor 10 dB"), or empty."""
    source: str
    """Which package spoke it, with its licence."""
    pause_s: float
    """Quiet after it, seconds."""
    request: str
    """The request that it must give; empty for talk that must be ignored."""
    slots: dict[str, str]
    decision: str
    """act, confirm or ignore."""
    reply: str
    """Words that the reply must hold; empty where any will do."""


@dataclass(frozen=True, slots=True)
class RecordedJob:
    card: str
    vehicle: str
    utterances: tuple[Recorded, ...]


def recorded_job(manifest: Path | None = None) -> RecordedJob:
    """The job of a manifest; without one, the one that comes with the tool."""
    path = manifest or shipped("audio_fixtures") / "job.yaml"
    content: dict[str, Any] = YAML(typ="safe").load(path.read_text(encoding="utf-8"))
    return RecordedJob(
        content["card"],
        content["vehicle"],
        tuple(
            Recorded(
                path.parent / entry["file"],
                entry["words"],
                entry["voice"],
                entry.get("noise", ""),
                content["voices"][entry["voice"]],
                float(entry.get("pause", 2.0)),
                entry.get("request", ""),
                {slot: str(value) for slot, value in entry.get("slots", {}).items()},
                entry.get("decision", "act" if entry.get("request") else "ignore"),
                entry.get("reply", ""),
            )
            for entry in content["utterances"]
        ),
    )


def sound_of(job: RecordedJob) -> Iterator[Frames]:
    """The whole job as one stream, as a microphone would have given it."""
    chance = np.random.default_rng(1)
    at_s = 0.0
    for utterance in job.utterances:
        speech = samples(inspected(utterance.file))
        for frame in as_frames(_with_room(speech, utterance.pause_s, chance)):
            yield Frames(frame.samples, at_s, at_s)
            at_s += FRAME_S


def _with_room(speech: Samples, pause_s: float, chance: np.random.Generator) -> Samples:
    sound = np.pad(speech, (int(LEAD_S * SAMPLE_RATE), int(pause_s * SAMPLE_RATE)))
    return np.asarray(sound + chance.normal(0, ROOM, len(sound)), dtype=np.float32)
