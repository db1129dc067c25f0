"""What is acted on, asked about, asked for again, and passed over."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.hearing.decide import Evidence, decide, likeness
from assistant.hearing.heard import Decision

CLEAR = Evidence(score=-0.2, contrast=0.0, support=1.1, likeness=1.0, lead=9.0)


def test_a_clear_command_is_acted_on() -> None:
    assert decide(CLEAR) is Decision.ACT


@pytest.mark.parametrize(
    "less",
    [
        {"score": -2.4},
        {"contrast": -1.8},
        {"support": 0.2},
        {"likeness": 0.3},
        {"lead": 0.5},
    ],
)
def test_where_one_thing_speaks_against_it_a_question_comes_first(less: dict[str, float]) -> None:
    assert decide(replace(CLEAR, **less)) is Decision.CONFIRM


def test_words_that_the_model_likes_anyway_are_not_enough() -> None:
    # What radio talk is squeezed into explains the sound fairly, but the sound does not speak for it.
    assert decide(Evidence(score=-1.0, contrast=-0.2, support=-0.7, likeness=0.6, lead=5.0)) is Decision.IGNORE


def test_talk_that_the_grammar_explains_much_worse_is_ignored() -> None:
    assert decide(Evidence(score=-3.2, contrast=-3.1, support=-0.2, likeness=0.3, lead=2.0)) is Decision.IGNORE


def test_a_phrase_that_looks_nothing_like_the_free_reading_is_ignored() -> None:
    # A wide search finds some phrase for any sound.
    assert decide(Evidence(score=-1.3, contrast=-1.2, support=0.0, likeness=0.1, lead=5.0)) is Decision.IGNORE


def test_no_evidence_is_better_than_certainty() -> None:
    order = [Decision.IGNORE, Decision.AGAIN, Decision.CONFIRM, Decision.ACT]
    worse = Evidence(score=-2.8, contrast=-2.3, support=-0.5, likeness=0.31, lead=0.1)
    assert order.index(decide(worse)) < order.index(decide(CLEAR))


def test_likeness_takes_figures_as_words_and_marks_as_nothing() -> None:
    assert likeness("Torqued to 14 Newton-meters.", "torqued to fourteen newton meters") == 1.0
    assert likeness("The weather will be fine.", "next step") < 0.4
