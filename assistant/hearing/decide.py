"""Whether to act on what was heard: the thresholds, and the one place where they stand.

All were set on the held-in voices and phrases of `tests/benchmarks/corpus.py`; `python -m tests.benchmarks.ear`
measures them on the held-out ones.
"""

from dataclasses import dataclass

from assistant.hearing.heard import Decision


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where one decision ends and the next begins; nats a piece unless said otherwise."""

    second_look: float = -0.8
    """Best less free: below this a wider search is made before anything is decided."""
    act_score: float = -2.0
    """A best reading at least this likely may be acted on."""
    act_contrast: float = -1.4
    """Best less free: at least this, and it may be acted on."""
    confirm_contrast: float = -2.2
    """At least this, and it is worth a question."""
    again_contrast: float = -2.8
    """At least this, and it was meant for us; below is other people's talk or noise."""
    again_score: float = -3.2
    """A best reading less likely than this is never meant for us."""
    margin: float = 1.0
    """Nats in sum: best less the first that asks for something else; nearer than this is asked about."""
    doubt_alike: float = 4.0
    """Nats in sum: a like-sounding number nearer than this makes the number doubtful."""
    doubt: float = 2.2
    """Nats in sum: the same for a number that does not sound alike."""


THRESHOLDS = Thresholds()


def decide(score: float, contrast: float, margin: float, thresholds: Thresholds = THRESHOLDS) -> Decision:
    """What to do about a best reading of this score, contrast and margin."""
    if score < thresholds.again_score or contrast < thresholds.again_contrast:
        return Decision.IGNORE
    if contrast < thresholds.confirm_contrast:
        return Decision.AGAIN
    if score < thresholds.act_score or contrast < thresholds.act_contrast or margin < thresholds.margin:
        return Decision.CONFIRM
    return Decision.ACT
