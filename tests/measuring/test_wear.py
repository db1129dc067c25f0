"""Wear left and used."""

from decimal import Decimal

import pytest

from assistant.card.model import Limits, Measure
from assistant.measuring.limits import MeasuringError
from assistant.measuring.wear import Wear, wear, wear_of

D = Decimal


def test_a_disc_wears_down_to_its_least_thickness() -> None:
    """By hand: new 28, least 26, measured 26.5: three quarters used, 0.5 left."""
    assert wear(D(28), D("26.5"), Limits(low=D(26))) == Wear(D("1.5"), D("0.5"), D(75))


def test_a_clearance_wears_up() -> None:
    assert wear(D("0.1"), D("0.2"), Limits(high=D("0.3"))) == Wear(D("0.1"), D("0.1"), D(50))


def test_beyond_the_limit_more_than_all_is_used() -> None:
    found = wear(D(28), D("25.5"), Limits(low=D(26)))
    assert (found.left, found.used_percent) == (D("-0.5"), D(125))


def test_thicker_than_new_is_told_as_it_is() -> None:
    assert wear(D(28), D("28.2"), Limits(low=D(26))).used_percent == D(-10)


def test_with_two_limits_the_one_that_it_moved_towards() -> None:
    limits = Limits(low=D(26), high=D("28.5"))
    assert wear(D(28), D(27), limits).used_percent == 50
    assert wear(D(28), D("28.25"), limits).used_percent == 50
    assert wear(D(28), D(28), limits).used_percent == 0


def test_without_a_difference_there_is_nothing_to_count() -> None:
    with pytest.raises(MeasuringError):
        wear(D(26), D(26), Limits(low=D(26)))


def test_by_the_card_in_any_unit() -> None:
    disc = Measure(name="disc", unit="mm", nominal=D(28), limits=Limits(low=D(26)))
    found = wear_of(disc, D("1.063"), "in")
    assert found is not None
    assert float(found.used_percent) == pytest.approx(49.99, abs=0.01)
    assert wear_of(disc.model_copy(update={"nominal": None}), D(27)) is None
