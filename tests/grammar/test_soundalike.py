"""Numbers that sound alike: the classic digit confusions (common practice in voice procedure)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.grammar.soundalike import sound_alikes


def alikes(number: str) -> set[str]:
    return {str(each) for each in sound_alikes(Decimal(number))}


@pytest.mark.parametrize("unit", range(3, 10))
def test_each_teen_sounds_like_its_ten(unit: int) -> None:
    assert Decimal(10 * unit) in sound_alikes(Decimal(10 + unit))
    assert Decimal(10 + unit) in sound_alikes(Decimal(10 * unit))


@pytest.mark.parametrize(
    ("number", "others"),
    [
        ("115", {"150"}),
        ("150", {"115"}),
        ("214", {"240"}),
        ("240", {"214"}),
        ("116", {"160"}),
        ("65", {"69"}),
        ("5", {"9"}),
        ("0.15", {"0.5", "0.19"}),
        ("0.50", {"0.15", "0.9"}),
        ("13.5", {"30.5", "13.15", "13.9"}),
        ("1450", {"1415", "4050"}),
        ("20", set()),
        ("110", set()),
        ("12000", set()),
    ],
)
def test_numbers_within_numbers(number: str, others: set[str]) -> None:
    assert alikes(number) == others


def test_alike_is_alike_both_ways_and_never_itself() -> None:
    for number in map(Decimal, range(10_000)):
        for other in sound_alikes(number):
            assert other != number
            assert number in sound_alikes(other)
