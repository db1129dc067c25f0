"""Deciding against a limit: ISO 14253-1 (from memory)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Limits, Measure
from assistant.fastening.units import UnitError
from assistant.measuring.limits import judge, judge_reading, uncertainty_of

D = Decimal
RUNOUT = Measure(name="disc runout", unit="mm", limits=Limits(high=D("0.10")), resolution=D("0.01"))
THICKNESS = Measure(name="disc thickness", unit="mm", limits=Limits(low=D(26), high=D(28)), uncertainty=D("0.02"))


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("0.09", "inside"),
        ("0.095", "inside"),  # inside by just the uncertainty
        ("0.096", "too-close"),
        ("0.10", "too-close"),
        ("0.105", "too-close"),
        ("0.106", "outside"),
        ("0.13", "outside"),
        ("0", "inside"),
    ],
)
def test_one_limit_and_half_the_resolution(value: str, verdict: str) -> None:
    assert judge_reading(RUNOUT, D(value)).verdict == verdict


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("25.97", "outside"),
        ("25.98", "too-close"),
        ("26", "too-close"),
        ("26.02", "inside"),
        ("27.98", "inside"),
        ("28.03", "outside"),
    ],
)
def test_two_limits_and_the_cards_uncertainty(value: str, verdict: str) -> None:
    assert judge_reading(THICKNESS, D(value)).verdict == verdict


def test_a_reading_in_another_unit_is_converted_before_it_is_judged() -> None:
    """Four thousandths of an inch are 0.1016 mm: too close to 0.10 for this gauge. Five are 0.127: outside."""
    four = judge_reading(RUNOUT, D("0.004"), "in")
    assert (four.verdict, four.value, four.unit) == ("too-close", D("0.1016"), "mm")
    assert judge_reading(RUNOUT, D("0.005"), "inches").verdict == "outside"
    with pytest.raises(UnitError):
        judge_reading(RUNOUT, D(4), "N·m")


def test_the_reason_says_what_to_do() -> None:
    close = judge_reading(RUNOUT, D("0.10"))
    assert close.reason == "Too close to call within 0.005 mm: measure again, or use a finer instrument."
    assert judge_reading(RUNOUT, D("0.2")).reason == "Above the limit of 0.10 mm."
    assert judge_reading(THICKNESS, D(20)).reason == "Below the limit of 26 mm."
    assert judge_reading(RUNOUT, D("0.05")).reason == ""


def test_without_limits_nothing_is_judged() -> None:
    assert judge_reading(Measure(name="play", unit="mm"), D(1)).verdict == "no-limit"


def test_without_uncertainty_the_limit_itself_is_inside() -> None:
    exact = Measure(name="bolts left", unit="count", limits=Limits(low=D(8)))
    assert uncertainty_of(exact) == 0
    assert judge_reading(exact, D(8)).verdict == "inside"
    assert judge_reading(exact, D(7)).verdict == "outside"


places = st.decimals(-100, 100, places=3)


@given(places, places, st.decimals(0, 5, places=3))
def test_nothing_beyond_the_limit_is_ever_called_inside(value: Decimal, limit: Decimal, uncertainty: Decimal) -> None:
    """Whatever the true value, within the uncertainty of the reading: inside means inside, outside means outside."""
    found = judge(value, Limits(high=limit), "mm", uncertainty)
    if found.verdict == "inside":
        assert value + uncertainty <= limit
    elif found.verdict == "outside":
        assert value - uncertainty > limit
    else:
        assert value - uncertainty <= limit < value + uncertainty
