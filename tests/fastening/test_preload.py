"""Preload: T = K x D x F worked by hand, and what is plausible."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Fastener, Torque
from assistant.fastening.preload import (
    NUT_FACTORS,
    PreloadError,
    fastener_plausibility,
    lubrication_overload,
    plausibility,
    preload_n,
    torque_nm_for,
    treatment_named,
    turn_estimate,
)
from assistant.fastening.threads import thread_named

D = Decimal
M12 = thread_named("M12x1.75")


def test_worked_by_hand() -> None:
    """95 N·m oiled, M12, class 10.9: F = 95 / (0.15 x 0.012) = 52 778 N; proof load 830 x 84.3 = 69 969 N; 75.4 %."""
    found = plausibility(Torque(value=D(95), unit="N·m"), M12, "10.9", "oil")
    assert float(found.preload_n) == pytest.approx(52_778, abs=1)
    assert found.strength.proof_load_n == D("69969.0")
    assert float(found.share) == pytest.approx(75.43, abs=0.01)
    assert found.verdict == "plausible"
    assert found.numbers == "F = 95 N·m / (0.15 × 12 mm) = 52.8 kN; proof load 830 MPa × 84.3 mm² = 70.0 kN; 75 % of it"


def test_foot_pounds_stated_where_newton_metres_were_meant() -> None:
    """95 lbf·ft on M12 8.8 dry is 107 % of proof load; 95 N·m is not."""
    found = plausibility(Torque(value=D(95), unit="lbf·ft"), M12, "8.8", "dry")
    assert (found.verdict, found.other_unit) == ("high", "N·m")


def test_newton_metres_stated_where_foot_pounds_were_meant() -> None:
    found = plausibility(Torque(value=D(30), unit="N·m"), M12, "8.8", "dry")
    assert (found.verdict, found.other_unit) == ("low", "lbf·ft")


def test_both_ends_of_a_range_are_judged() -> None:
    assert plausibility(Torque(low=D(60), high=D(80), unit="N·m"), M12, "8.8").verdict == "plausible"
    assert plausibility(Torque(low=D(30), high=D(80), unit="N·m"), M12, "8.8").verdict == "low"
    assert plausibility(Torque(low=D(60), high=D(120), unit="N·m"), M12, "8.8").verdict == "high"


def test_of_torque_plus_angle_only_too_much_is_judged() -> None:
    low = plausibility(Torque(value=D(20), unit="N·m", angle_deg=D(90)), M12, "8.8")
    assert low.verdict == "plausible"
    assert "90°" in low.remark
    assert plausibility(Torque(value=D(200), unit="N·m", angle_deg=D(90)), M12, "8.8").verdict == "high"


def test_a_dry_torque_on_an_oiled_thread_overloads_it_by_a_third() -> None:
    """Handbook rule, from memory."""
    assert float(lubrication_overload("dry", "oiled")) == pytest.approx(33.3, abs=0.1)
    assert lubrication_overload("dry", "anti-seize") > 50


def test_a_fastener_of_a_card_is_judged_where_there_is_something_to_judge_by() -> None:
    flywheel = Fastener(name="flywheel bolts", count=8, thread="M10x1.25", grade="10.9", torque="65 N·m")
    found = fastener_plausibility(flywheel)
    assert found is not None
    assert found.verdict == "plausible"
    assert fastener_plausibility(flywheel.model_copy(update={"kind": "plug"})) is None
    assert fastener_plausibility(flywheel.model_copy(update={"thread": None})) is None
    assert fastener_plausibility(flywheel.model_copy(update={"torque": Torque(by_hand=True)})) is None


def test_every_treatment_of_the_card_language_has_a_nut_factor() -> None:
    from typing import get_args

    from assistant.card.model import Treatment

    assert set(get_args(Treatment.model_fields["kind"].annotation)) == set(NUT_FACTORS)
    assert treatment_named("oiled") == "oil"
    with pytest.raises(PreloadError, match="no such thread treatment"):
        treatment_named("honey")


def test_by_hand_is_not_judged() -> None:
    with pytest.raises(PreloadError):
        plausibility(Torque(by_hand=True), M12, "8.8")


def test_a_turn_gives_a_bound_and_no_preload() -> None:
    """By hand: M10, 90°: travel 1.5 / 4 = 0.375 mm; at most 205 000 x 58 x 0.375 / 50 = 89 175 N."""
    found = turn_estimate(thread_named("M10"), D(90), D(50))
    assert found.travel_mm == D("0.375")
    assert found.added_at_most_n == D(89_175)
    assert turn_estimate(thread_named("M10"), D(90)).added_at_most_n is None


@given(
    st.decimals("1", "1000", places=1),
    st.sampled_from(["M6", "M10", "M16x1.5", "1/2-13 UNC"]),
    st.sampled_from(sorted(NUT_FACTORS)),
)
def test_torque_and_preload_go_round(torque: Decimal, name: str, treatment: str) -> None:
    thread, k = thread_named(name), NUT_FACTORS[treatment].k
    assert abs(torque_nm_for(preload_n(torque, thread, k), thread, k) - torque) < D("1e-15")


@given(st.integers(1, 2000), st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kgf·m"]))
def test_the_verdict_is_where_the_share_lies(value: int, unit: str) -> None:
    found = plausibility(Torque(value=D(value), unit=unit), M12, "8.8")  # type: ignore[arg-type]
    assert found.verdict == ("low" if found.share < 30 else "high" if found.share > 90 else "plausible")
    assert found.other_unit != unit
