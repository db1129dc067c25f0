"""The values that pass through the ear: frames -> Utterance -> Heard."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from assistant.grammar.request import Request

SAMPLE_RATE = 16_000
"""Hz; everything inside the ear is mono float32 at this rate, full scale -1 to 1."""

Samples = npt.NDArray[np.float32]


class Decision(StrEnum):
    """What the ear advises; the dialogue may only be more careful, never less."""

    ACT = "act"
    """Clear enough to act on."""
    CONFIRM = "confirm"
    """Probably this; ask before acting."""
    AGAIN = "again"
    """Meant for us, not understood: ask to say it again."""
    IGNORE = "ignore"
    """Not meant for us, or noise."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech cut from the sound."""

    samples: Samples
    """Mono, SAMPLE_RATE."""
    start_s: float
    """Seconds from the start of the stream or file."""
    end_s: float
    """Seconds; end of speech, not of the silence after it."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read an utterance inside the grammar."""

    words: str
    """The phrase in the grammar's spelling."""
    request: Request
    score: float
    """Mean natural-log probability a token; 0 is certain, below -3 is noise."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What the ear makes of one utterance."""

    free: str
    """The free reading, no grammar."""
    best: Reading | None
    """The best reading inside the grammar; None where nothing fits."""
    others: tuple[Reading, ...] = field(default=())
    """Runners-up that lead to another request or other slots, best first (at most five)."""
    contrast: float = 0.0
    """Score of the best reading less that of the free one, nats a token; near 0 is ours, far below is not."""
    margin: float = 0.0
    """Score of the best reading less that of the first of `others`; infinity where there is none."""
    decision: Decision = Decision.IGNORE
    doubtful: tuple[str, ...] = ()
    """Slot names whose number has a sound-alike that scores near: ask for it digit by digit."""
    unfinished: str = ""
    """The beginning of a phrase, where that is what was said and the rest is missing; `decision` is then AGAIN."""
    start_s: float = 0.0
    end_s: float = 0.0
    """End of speech, seconds in the stream."""
    ms: float = 0.0
    """Time that the reading took, milliseconds."""
    clip: Samples | None = None
    """The sound, for the logbook."""
