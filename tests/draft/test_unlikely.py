"""Whatever is told, the draft loads: what no card can hold is asked about."""

from __future__ import annotations

import random
import re

import pytest

from assistant.card.draft.drafting import draft_of
from assistant.card.draft.reading import narration_of, read_text_file
from assistant.card.load import load_card_text

from .gold import GROUPS, golds
from .telling import thing, told


@pytest.mark.parametrize(
    ("words", "name", "field"),
    [
        ("Tighten the flange bolts to zero newton metres.", "flange bolts", "torque"),
        ("Take out the 950 flange bolts.", "flange bolts", "count"),
        ("Measure the end float. 27 millimetres at the least, 2 millimetres at the most.", "end float", "low"),
        ("Tighten the flange bolts to 50 newton metres and then a further 900 degrees.", "flange bolts", "angle_deg"),
    ],
)
def test_what_cannot_be_stands_nowhere_and_is_asked(words: str, name: str, field: str) -> None:
    found = thing(told(words), name)
    assert getattr(found, field) is None
    assert found.unsure
    load_card_text(draft_of(narration_of(words, "a.txt")).text, "the draft")


@pytest.fixture(scope="module")
def told_by_all() -> list[str]:
    return [
        sentence
        for folder in GROUPS.values()
        for gold in golds(folder)[::5]
        for passage in read_text_file(gold.path).passages
        for sentence in re.split(r"(?<=[.!?])\s+", passage.words)
    ]


@pytest.mark.parametrize("seed", range(12))
def test_a_draft_of_any_jumble_loads(seed: int, told_by_all: list[str]) -> None:
    dice = random.Random(seed)
    words = " ".join(dice.choices(told_by_all, k=60)).split()
    for _ in range(20):
        words.insert(dice.randrange(len(words)), dice.choice(words))
    load_card_text(draft_of(narration_of(" ".join(words), "a.txt")).text, "the draft")
