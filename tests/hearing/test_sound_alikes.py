"""Numbers that sound like others, as the model writes them: in figures or in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.sound_alikes import exchanged, sounds_like, spellings, value_of


@pytest.mark.parametrize(
    ("one", "other"),
    [(13, 30), (14, 40), (15, 50), (16, 60), (17, 70), (18, 80), (19, 90), (116, 160), (114, 140), (5, 9), (65, 69)],
)
def test_pairs_that_the_ear_confuses(one: int, other: int) -> None:
    assert other in sounds_like(one)
    assert one in sounds_like(other)


@pytest.mark.parametrize("clear", [1, 2, 8, 10, 12, 22, 100])
def test_numbers_without_a_double(clear: int) -> None:
    assert sounds_like(clear) == ()


@given(st.integers(0, 9_999))
def test_every_spelling_of_a_number_reads_as_that_number(value: int) -> None:
    for spelling in spellings(value):
        assert value_of(spelling) == value


def test_figures_one_by_one_are_no_whole_number() -> None:
    assert value_of("six five") is None


def test_a_number_in_a_phrase_is_exchanged_for_its_double() -> None:
    texts = {text for text, other in exchanged("Torqued to 114 newton meters.") if other}
    assert "Torqued to 140 newton meters." in texts
    assert "Torqued to one hundred forty newton meters." in texts


def test_words_are_exchanged_for_figures_too() -> None:
    texts = {text for text, other in exchanged("Torqued to fourteen newton meters.") if not other}
    assert "Torqued to 14 newton meters." in texts
