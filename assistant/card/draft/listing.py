"""The review list of a draft: the words on one side, the step on the other, the unsure ones first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.card.model import Card

from .narration import Narration, clock
from .questions import Question, questions_of
from .story import Telling, Understanding
from .thing import Said
from .wording import sentence_of


@dataclass(frozen=True, slots=True)
class Row:
    """One step with what it was made from."""

    number: int
    """Place of the step in the card, from 1; 0 for words that became no step."""
    when: str
    """Time or line of the words."""
    words: str
    step: str
    """As it is read aloud; empty where there is none."""
    unsure: tuple[str, ...] = ()
    """Reasons to look at it."""


@dataclass(frozen=True, slots=True)
class ReviewList:
    title: str
    source: str
    kind: str
    unsure: tuple[Row, ...]
    sure: tuple[Row, ...]
    questions: tuple[Question, ...]
    skipped: tuple[Row, ...]
    """What could not be read at all."""
    aside: tuple[Row, ...]
    """Talk about something else, left out of the card."""


def review_list(understanding: Understanding, narration: Narration, card: Card) -> ReviewList:
    """`card` is the draft as written and read again."""
    rows = [_row(number, step) for number, step in enumerate(understanding.steps, start=1)]
    unread = [Row(0, where(item.said), item.said.words, "", (item.why,)) for item in understanding.unread]
    return ReviewList(
        card.title,
        narration.source,
        narration.kind,
        tuple(row for row in (*unread, *rows) if row.unsure),
        tuple(row for row in rows if not row.unsure),
        questions_of(card),
        tuple(Row(0, piece.where, piece.words, "", (piece.why,)) for piece in narration.skipped),
        tuple(Row(0, where(said), said.words, "") for said in understanding.aside),
    )


def where(said: Said) -> str:
    return clock(said.at_s) or (f"line {said.line}" if said.line else "")


def _row(number: int, step: Telling) -> Row:
    words = " ... ".join(dict.fromkeys(said.words for said in step.said))
    return Row(number, where(step.said[0]), words, sentence_of(step), tuple(_doubts(step)))


def _doubts(step: Telling) -> Iterator[str]:
    """The step's own marks, and those of the things it works on."""
    yield from step.unsure
    for deed in step.deeds:
        if deed.thing is None:
            continue
        if deed.thing.kind == "fastener" and not deed.thing.count:
            yield f"{deed.thing.name}: how many was not said"
        for mark in deed.thing.unsure:
            yield f"{deed.thing.name}: {mark}"
