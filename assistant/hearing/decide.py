"""Whether to act on what was heard: the thresholds, and the one place where they stand.

Five things are weighed. The *support*: what of the phrase's likelihood comes from the sound, not from the model's
own liking for the words; it parts what was meant for us from what was not better than all the others together. The
*score*: how well the phrase explains the sound. The *contrast*: how much better the free reading explains it. The
*likeness* of phrase and free reading, letter by letter: a wide search finds some phrase for any sound, but one that
does not look like what was freely read. The *lead* over the next reading that asks for something else.

All thresholds were set on the held-in voices and sayings of `tests/benchmarks/corpus.py` and on recordings of
people reading aloud; `python -m tests.benchmarks.ear` measures them on held-out ones. Of what was held in and read
right, 75 in a hundred are acted on at once and 97 after a question at most; of 290 stretches of talk none is acted
on, two are asked about.
"""

import re
from dataclasses import dataclass
from math import inf

from num2words import num2words
from rapidfuzz import fuzz

from assistant.hearing.heard import Decision


@dataclass(frozen=True, slots=True)
class Evidence:
    """What speaks for the best reading."""

    score: float
    """Mean log-probability a piece, nats."""
    contrast: float
    """Score less that of the free reading, nats a piece."""
    support: float
    """Mean evidence of the sound, nats a piece; see `beam.Text.rank`."""
    likeness: float
    """To the free reading, 0 to 1; see `likeness`."""
    lead: float
    """Nats in sum over the first reading that asks for something else; infinity where there is none."""


@dataclass(frozen=True, slots=True)
class Least:
    """The least evidence of each kind for a decision."""

    score: float
    contrast: float
    support: float
    likeness: float
    lead: float = -inf

    def met_by(self, evidence: Evidence) -> bool:
        """True where all of it is there."""
        return (
            evidence.score >= self.score
            and evidence.contrast >= self.contrast
            and evidence.support >= self.support
            and evidence.likeness >= self.likeness
            and evidence.lead >= self.lead
        )


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where one decision ends and the next begins."""

    act: Least = Least(score=-2.2, contrast=-1.6, support=0.4, likeness=0.4, lead=1.0)
    confirm: Least = Least(score=-2.9, contrast=-2.4, support=-0.35, likeness=0.2)
    again: Least = Least(score=-2.9, contrast=-2.4, support=-0.55, likeness=0.3)
    """Less than this is other people's talk, or noise."""
    second_look: float = 0.4
    """Support below which a wider search is made before anything is decided."""
    doubt_alike: float = 4.0
    """Nats in sum: a like-sounding number nearer than this makes the number doubtful."""
    doubt: float = 2.2
    """Nats in sum: the same for a number that does not sound alike."""


THRESHOLDS = Thresholds()
ASKED_IF_DICTATED = frozenset({"part-to-order"})
"""Requests whose free words are the name of a thing: a name misheard is another part, so a question comes first."""


def decide(evidence: Evidence, thresholds: Thresholds = THRESHOLDS) -> Decision:
    """What to do about a best reading with this much evidence."""
    if thresholds.act.met_by(evidence):
        return Decision.ACT
    if thresholds.confirm.met_by(evidence):
        return Decision.CONFIRM
    return Decision.AGAIN if thresholds.again.met_by(evidence) else Decision.IGNORE


def likeness(free: str, words: str) -> float:
    """How alike two texts are in their letters, figures taken as words: 0 nothing in common, 1 the same."""
    return float(fuzz.ratio(_letters(free), _letters(words))) / 100


def letters_missing(free: str, words: str) -> float:
    """Share of the free reading's letters that a phrase is too short by: 0 none, towards 1 nearly all."""
    return max(0.0, 1 - len(_letters(words)) / max(len(_letters(free)), 1))


def _letters(text: str) -> str:
    spoken = re.sub(r"\d{1,4}", lambda figures: num2words(int(figures.group())), text.lower())
    return re.sub(r"[^a-z]", "", spoken)
