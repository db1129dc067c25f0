"""What is acted on, asked about, asked for again, and passed over."""

from __future__ import annotations

import pytest

from assistant.hearing.decide import Evidence, decide, likeness
from assistant.hearing.heard import Decision


def test_a_clear_command_is_acted_on() -> None:
    assert decide(Evidence(score=-0.2, contrast=0.0, likeness=1.0, lead=9.0)) is Decision.ACT


@pytest.mark.parametrize(
    "less",
    [
        Evidence(score=-1.5, contrast=-0.3, likeness=0.9, lead=9.0),
        Evidence(score=-0.9, contrast=-1.0, likeness=0.9, lead=9.0),
        Evidence(score=-0.9, contrast=-0.3, likeness=0.5, lead=9.0),
        Evidence(score=-0.2, contrast=0.0, likeness=1.0, lead=0.5),
    ],
)
def test_where_one_thing_speaks_against_it_a_question_comes_first(less: Evidence) -> None:
    assert decide(less) is Decision.CONFIRM


def test_talk_that_the_grammar_explains_much_worse_is_ignored() -> None:
    assert decide(Evidence(score=-3.2, contrast=-3.1, likeness=0.3, lead=2.0)) is Decision.IGNORE


def test_a_phrase_that_looks_nothing_like_the_free_reading_is_ignored() -> None:
    # A wide search finds some phrase for any sound.
    assert decide(Evidence(score=-1.3, contrast=-1.2, likeness=0.2, lead=5.0)) is Decision.IGNORE


def test_no_evidence_is_better_than_certainty() -> None:
    order = [Decision.IGNORE, Decision.AGAIN, Decision.CONFIRM, Decision.ACT]
    worse = Evidence(score=-2.2, contrast=-1.7, likeness=0.41, lead=0.1)
    better = Evidence(score=-0.1, contrast=0.0, likeness=1.0, lead=10.0)
    assert order.index(decide(worse)) < order.index(decide(better))


def test_likeness_takes_figures_as_words_and_marks_as_nothing() -> None:
    assert likeness("Torqued to 14 Newton-meters.", "torqued to fourteen newton meters") == 1.0
    assert likeness("The weather will be fine.", "next step") < 0.4
