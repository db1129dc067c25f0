"""Whole narrations against the card that a careful person would write (tests/draft/gold.py says how)."""

from __future__ import annotations

import re

import pytest

from assistant.card.draft.answers import figures_of
from assistant.card.draft.drafting import draft_of
from assistant.card.draft.reading import read_text_file
from assistant.card.load import load_card_text

from .gold import GROUPS, UNSEEN, Gold, drafted, golds, score

RULES = golds(GROUPS["written with the rules"])
LEARNED = [gold for group, folder in GROUPS.items() if group != UNSEEN for gold in golds(folder)]
EVERY = [gold for folder in GROUPS.values() for gold in golds(folder)]
ALL = [pytest.param(gold, id=gold.path.name) for gold in EVERY]


def test_there_are_six_narrations_and_more_by_different_people() -> None:
    assert len(RULES) >= 6
    assert len({gold.speaker for gold in EVERY}) == len(EVERY)


@pytest.mark.parametrize("gold", [pytest.param(gold, id=gold.path.name) for gold in LEARNED])
def test_no_value_stands_with_another_fastener_or_as_another_number(gold: Gold) -> None:
    assert score(gold, drafted(gold.path)).wrong_values == []


@pytest.mark.parametrize("gold", [pytest.param(gold, id=gold.path.name) for gold in RULES])
def test_every_value_is_right_and_nearly_all_is_there(gold: Gold) -> None:
    held = score(gold, drafted(gold.path))
    assert held.wrong_values == []
    assert held.values_said >= 0.8 * held.values_gold, held.missing_values
    assert held.actions_found >= 0.9 * held.actions_gold, held.missing_actions
    assert held.pairs_joined >= 0.9 * held.pairs_gold, held.missing_pairs


@pytest.mark.parametrize("gold", ALL)
def test_the_draft_loads_and_says_where_each_step_comes_from(gold: Gold) -> None:
    draft = draft_of(read_text_file(gold.path))
    card = load_card_text(draft.text, "draft")
    rows = draft.text.split("\n")
    steps = [number for number, row in enumerate(rows) if re.match(r"^      - id: ", row)]
    assert len(steps) == sum(len(section.steps) for section in card.sections) > 0
    assert all(rows[number - 1].lstrip().startswith("#") for number in steps)


@pytest.mark.parametrize("gold", ALL)
def test_no_number_stands_in_the_draft_that_was_not_said(gold: Gold) -> None:
    """Every value of the card is a figure of the narration; a count of one may come from a singular."""
    narration = read_text_file(gold.path)
    said = [figure for passage in narration.passages for figure in figures_of(passage.words)]
    said += figures_of(" ".join(passage.words for passage in narration.passages))
    values = {part for figure in said for part in (figure.value, figure.low, figure.high) if part is not None}
    threads = {figure.thread for figure in said if figure.thread}
    units = {figure.unit for figure in said if figure.unit}
    card = load_card_text(draft_of(narration).text, "draft")
    for fastener in card.fasteners.values():
        assert fastener.count in values | {0, 1, 2}, fastener.name  # two: "both bolts"
        assert fastener.thread is None or fastener.thread in threads
        if fastener.torque is not None:
            torque = fastener.torque
            parts = {torque.value, torque.low, torque.high, torque.angle_deg} - {None}
            plus_minus = torque.value is not None and torque.low is not None
            assert plus_minus or parts <= values, fastener.name
            assert torque.unit in units
    for measure in card.measures.values():
        if measure.limits is not None:
            assert {measure.limits.low, measure.limits.high} - {None} <= values, measure.name
    for part in card.parts.values():
        assert part.mass_kg is None or part.mass_kg in values
