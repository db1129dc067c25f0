"""One line of a card says a torque; what it does not say plainly is refused with a mend."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.fault import RuleBroken
from assistant.card.model import Torque
from assistant.card.torque_line import read_torque


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("65 N·m", {"value": 65, "unit": "N·m"}),
        ("65 Nm", {"value": 65, "unit": "N·m"}),
        ("65 N.m", {"value": 65, "unit": "N·m"}),
        ("65N·m", {"value": 65, "unit": "N·m"}),
        ("60 to 70 N·m", {"low": 60, "high": 70, "unit": "N·m"}),
        ("60-70 ft-lb", {"low": 60, "high": 70, "unit": "lbf·ft"}),
        ("65 ± 5 N·m", {"value": 65, "low": 60, "high": 70, "unit": "N·m"}),
        ("65 +/- 5 N·m", {"value": 65, "low": 60, "high": 70, "unit": "N·m"}),
        ("50 N·m + 90 deg", {"value": 50, "angle_deg": 90, "unit": "N·m"}),
        ("50 N·m + 90°", {"value": 50, "angle_deg": 90, "unit": "N·m"}),
        ("110 lbf·ft", {"value": 110, "unit": "lbf·ft"}),
        ("110 ft lbs", {"value": 110, "unit": "lbf·ft"}),
        ("80 in-lb", {"value": 80, "unit": "lbf·in"}),
        ("7.5 kgf·m", {"value": Decimal("7.5"), "unit": "kgf·m"}),
        ("snug by hand", {"by_hand": True}),
    ],
)
def test_a_torque_on_one_line(line: str, expected: dict[str, object]) -> None:
    torque = Torque.model_validate(line)
    assert torque == Torque.model_validate({"unit": "N·m", **expected})


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("65", "has no unit"),
        ("65 Nn", "not a unit of torque"),
        ("65 bar", "not a unit of torque"),
        ("65 mN", "not a unit of torque"),
        ("-65 N·m", "negative"),
        ("6,5 N·m", "comma"),
        ("0 N·m", "greater than 0"),
        ("tight", "not a torque"),
        ("70 to 60 N·m", "runs from 70 down to 60"),
        ("5 ± 65 N·m", "greater than 0"),
        ("65 N·m + 900 deg", "less than or equal to 720"),
        ("65 N·m 70 N·m", "not a torque"),
        ("", "not a torque"),
    ],
)
def test_what_is_no_torque_is_refused(line: str, what: str) -> None:
    with pytest.raises(ValueError, match="(?i)" + what.replace("+", r"\+")):
        Torque.model_validate(line)


def test_newton_metres_and_millinewtons_are_not_mixed_up() -> None:
    with pytest.raises(RuleBroken):
        read_torque("65 mN·m")


def test_a_mapping_without_a_unit_is_refused() -> None:
    with pytest.raises(ValueError, match="no unit"):
        Torque.model_validate({"value": "65"})


@given(st.decimals(min_value="0.1", max_value="5000", places=2), st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kgf·m"]))
def test_a_value_is_kept_digit_by_digit_in_the_unit_of_its_source(value: Decimal, unit: str) -> None:
    torque = Torque.model_validate(f"{value} {unit}")
    assert (str(torque.value), torque.unit) == (str(value), unit)


@given(st.text(max_size=30))
def test_any_line_is_a_torque_or_a_plain_refusal(line: str) -> None:
    try:
        told = read_torque(line)
    except RuleBroken as broken:
        told = {broken.what: broken.mend}
    assert all(key for key in told)
