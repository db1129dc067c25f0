"""Readings worked out of others."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Derived, Limits, Measure
from assistant.measuring.derived import Missing, Worked, work_out
from assistant.measuring.limits import MeasuringError

D = Decimal


def card(kind: str, limit: str = "0.05", **more: Measure) -> dict[str, Measure]:
    return {
        "left": Measure(name="left height", unit="mm", resolution=D("0.02")),
        "right": Measure(name="right height", unit="mm", resolution=D("0.02")),
        "worked": Measure(
            name="worked out",
            unit="mm",
            limits=Limits(high=D(limit)),
            derived=Derived(kind=kind, of=["left", "right"]),  # type: ignore[arg-type]
        ),
        **more,
    }


TAKEN = {"left": [(D("10.42"), "mm")], "right": [(D("10.38"), "")]}


@pytest.mark.parametrize(
    ("kind", "value", "formula"),
    [
        ("difference", "0.04", "|10.42 - 10.38|"),
        ("sum", "20.80", "10.42 + 10.38"),
        ("mean", "10.40", "(10.42 + 10.38) / 2"),
        ("spread", "0.04", "10.42 - 10.38"),
        ("angle-between", "0.04", "|10.42 - 10.38|"),
    ],
)
def test_each_kind_by_hand(kind: str, value: str, formula: str) -> None:
    found = work_out("worked", card(kind), TAKEN)
    assert isinstance(found, Worked)
    assert (found.value, found.formula, found.unit) == (D(value), formula, "mm")


def test_the_difference_of_two_is_less_sure_than_each() -> None:
    """By hand: root of 0.01² + 0.01² is 0.01414: 0.04 against 0.05 is then too close to call."""
    found = work_out("worked", card("difference"), TAKEN)
    assert isinstance(found, Worked)
    assert float(found.uncertainty) == pytest.approx(0.0141421, abs=1e-6)
    assert found.verdict.verdict == "too-close"
    wide = work_out("worked", card("difference", "0.06"), TAKEN)
    assert isinstance(wide, Worked)
    assert wide.verdict.verdict == "inside"


def test_a_mean_is_no_surer_than_one_reading() -> None:
    found = work_out("worked", card("mean", "11"), TAKEN)
    assert isinstance(found, Worked)
    assert found.uncertainty == D("0.01")


def test_what_is_missing_is_told() -> None:
    assert work_out("worked", card("difference"), {}) == Missing({"left": 1, "right": 1})
    assert work_out("worked", card("difference"), {"left": TAKEN["left"]}) == Missing({"right": 1})


def test_the_spread_of_readings_round_a_disc() -> None:
    measures = {
        "thickness": Measure(name="thickness", unit="mm", readings=4),
        "spread": Measure(name="spread", unit="mm", derived=Derived(kind="spread", of=["thickness"])),
    }
    three = {"thickness": [(D("27.92"), ""), (D("27.95"), ""), (D("27.90"), "")]}
    assert work_out("spread", measures, three) == Missing({"thickness": 1})
    found = work_out("spread", measures, {"thickness": [*three["thickness"], (D("1.1"), "in")]})
    assert isinstance(found, Worked)
    assert found.value == D("0.05")  # 1.1 in is 27.94 mm


def test_an_angle_between_goes_the_short_way_round() -> None:
    measures = card("angle-between")
    found = work_out("worked", measures, {"left": [(D(350), "")], "right": [(D(15), "")]})
    assert isinstance(found, Worked)
    assert found.value == 25


def test_a_derived_reading_may_rest_on_another() -> None:
    measures = card(
        "difference", twice=Measure(name="twice", unit="in", derived=Derived(kind="sum", of=["worked", "worked"]))
    )
    assert work_out("twice", measures, {}) == Missing({"left": 1, "right": 1})
    found = work_out("twice", measures, TAKEN)
    assert isinstance(found, Worked)
    assert float(found.value) == pytest.approx(0.08 / 25.4)


def test_what_cannot_be_worked_out_is_refused() -> None:
    round_about = {
        "a": Measure(name="a", unit="mm", derived=Derived(kind="sum", of=["b"])),
        "b": Measure(name="b", unit="mm", derived=Derived(kind="sum", of=["a"])),
        "c": Measure(name="c", unit="mm", derived=Derived(kind="sum", of=["d"])),
        "e": Measure(name="e", unit="mm"),
    }
    for id_, says in (
        ("a", "rests on itself"),
        ("c", "d is not on the card"),
        ("e", "taken, not worked out"),
        ("f", "not on"),
    ):
        with pytest.raises(MeasuringError, match=says):
            work_out(id_, round_about, {})


@given(st.lists(st.decimals(-50, 50, places=2), min_size=1, max_size=20))
def test_spread_and_mean_stay_within_the_readings(values: list[Decimal]) -> None:
    measures = {
        "m": Measure(name="m", unit="mm", readings=len(values)),
        "mean": Measure(name="mean", unit="mm", derived=Derived(kind="mean", of=["m"])),
        "spread": Measure(name="spread", unit="mm", derived=Derived(kind="spread", of=["m"])),
    }
    taken = {"m": [(value, "") for value in values]}
    mean, spread = work_out("mean", measures, taken), work_out("spread", measures, taken)
    assert isinstance(mean, Worked)
    assert isinstance(spread, Worked)
    assert min(values) - D("1e-20") <= mean.value <= max(values) + D("1e-20")
    assert spread.value == max(values) - min(values) >= 0


def test_a_bore_taken_at_three_places_stands_by_its_mean_against_a_shaft() -> None:
    measures = {
        "bore": Measure(name="bore", unit="in", readings=3),
        "eye": Measure(name="eye", unit="in"),
        "clearance": Measure(name="clearance", unit="in", derived=Derived(kind="difference", of=["bore", "eye"])),
    }
    bore = [(Decimal("6.259"), "in"), (Decimal("6.260"), "in"), (Decimal("6.261"), "in")]
    found = work_out("clearance", measures, {"bore": bore, "eye": [(Decimal("6.235"), "in")]})
    assert isinstance(found, Worked)
    assert found.value == Decimal("0.025")
