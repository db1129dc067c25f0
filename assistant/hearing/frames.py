"""What a microphone yields, in order: sound, and what went wrong with it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.hearing.heard import SAMPLE_RATE, Samples

FRAME = 512
"""Samples a frame: 32 ms, what the voice activity detector takes."""
FRAME_S = FRAME / SAMPLE_RATE


@dataclass(frozen=True, slots=True)
class Frames:
    """One frame of sound."""

    samples: Samples
    """FRAME samples, mono, SAMPLE_RATE."""
    at_s: float
    """Seconds of its first sample since the microphone was opened; goes on over losses, as a clock does."""
    clock_s: float
    """The same moment on the machine's monotonic clock, seconds."""


@dataclass(frozen=True, slots=True)
class Lost:
    """The microphone gives nothing any more. What was being said at `at_s` was not heard to its end."""

    at_s: float
    why: str
    """One sentence for the person, with what to do."""


@dataclass(frozen=True, slots=True)
class Back:
    """The microphone gives sound again."""

    at_s: float
    gap_s: float
    """Seconds of which nothing was heard."""


@dataclass(frozen=True, slots=True)
class Overrun:
    """Sound was dropped because nobody took it in time; what was being said may have a hole."""

    at_s: float
    lost_s: float
    """Seconds of sound that are gone."""


@dataclass(frozen=True, slots=True)
class StillLost:
    """Nothing yet. Comes about twice a second while the microphone is lost, so that timers may ring meanwhile."""

    at_s: float


CaptureEvent = Frames | Lost | StillLost | Back | Overrun
