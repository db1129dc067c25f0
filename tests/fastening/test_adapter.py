"""The wrench setting with an adapter: the lever's own arithmetic."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Tool, Torque
from assistant.fastening.adapter import AdapterError, adapter_setting, in_tool_range
from assistant.fastening.units import UnitError

D = Decimal
NM100 = Torque(value=D(100), unit="N·m")


def test_worked_example_straight_on() -> None:
    """Worked by hand: 100 N·m, wrench 400 mm, crowfoot 60 mm: 100 x 400 / 460 = 86.96."""
    found = adapter_setting(NM100, D(400), D(60))
    assert found.factor == D(400) / D(460)
    assert found.setting == Torque(value=D("87.0"), unit="N·m") or found.setting == Torque(value=D(87), unit="N·m")
    assert "100 × 400 / (400 + 60 × cos 0°) = 87" in found.numbers


def test_at_a_right_angle_nothing_is_corrected() -> None:
    found = adapter_setting(NM100, D(400), D(60), D(90))
    assert found.setting == NM100
    assert found.factor == 1
    assert "right angle" in found.caution


def test_at_forty_five_degrees_the_reach_counts_by_its_cosine() -> None:
    """By hand: 400 / (400 + 60 x 0.70711) = 0.904105."""
    assert float(adapter_setting(NM100, D(400), D(60), D(45)).factor) == pytest.approx(0.904105, abs=1e-6)


def test_turned_back_along_the_wrench_the_setting_rises() -> None:
    """By hand: 100 x 400 / (400 - 60) = 117.65."""
    found = adapter_setting(NM100, D(400), D(60), D(180))
    assert found.setting.value == D(118)


def test_a_range_is_rounded_into_itself_and_a_turn_stays() -> None:
    found = adapter_setting(Torque(low=D(60), high=D(70), unit="N·m", angle_deg=D(90)), D(400), D(60))
    assert found.setting == Torque(low=D("52.2"), high=D("60.8"), unit="N·m", angle_deg=D(90))


@pytest.mark.parametrize(
    ("wrench", "adapter", "angle"),
    [
        ("0", "60", "0"),
        ("-400", "60", "0"),
        ("400", "0", "0"),
        ("400", "60", "-1"),
        ("400", "60", "181"),
        ("400", "390", "180"),
        ("9000", "60", "0"),
    ],
)
def test_levers_that_cannot_be_are_refused(wrench: str, adapter: str, angle: str) -> None:
    with pytest.raises(AdapterError):
        adapter_setting(NM100, D(wrench), D(adapter), D(angle))


def test_snug_by_hand_has_no_setting() -> None:
    with pytest.raises(AdapterError):
        adapter_setting(Torque(by_hand=True), D(400), D(60))


@given(st.integers(10, 2000), st.integers(150, 1500), st.integers(10, 100), st.integers(0, 180))
def test_the_torque_at_the_fastener_is_the_target(target: int, wrench: int, adapter: int, angle: int) -> None:
    """Force on the grip times the whole lever: the formula the other way round."""
    import math

    found = adapter_setting(Torque(value=D(target), unit="N·m"), D(wrench), D(adapter), D(angle))
    force = target * float(found.factor) / wrench
    assert force * (wrench + adapter * math.cos(math.radians(angle))) == pytest.approx(target, rel=1e-9)


def wrench(**given: object) -> Tool:
    return Tool(**({"name": "small torque wrench", "kind": "torque-wrench"} | given))  # type: ignore[arg-type]


def test_the_range_of_the_wrench() -> None:
    tool = wrench(low=D(20), high=D(100), unit="N·m")
    assert in_tool_range(Torque(value=D(65), unit="N·m"), tool).verdict == "inside"
    assert in_tool_range(Torque(value=D(15), unit="N·m"), tool).verdict == "below"
    above = in_tool_range(Torque(value=D(80), unit="lbf·ft"), tool)
    assert not above.fits
    assert above.reason == "108 N·m is above the small torque wrench, 20 to 100 N·m: take a larger one."
    assert in_tool_range(Torque(low=D(90), high=D(110), unit="N·m"), tool).verdict == "above"
    assert in_tool_range(Torque(value=D(65), unit="N·m"), wrench()).verdict == "unknown"


def test_without_a_lower_end_a_tool_serves_from_a_fifth_of_its_upper() -> None:
    """ISO 6789, from memory."""
    tool = wrench(high=D(100), unit="N·m")
    assert in_tool_range(Torque(value=D(20), unit="N·m"), tool).fits
    assert not in_tool_range(Torque(value=D(19), unit="N·m"), tool).fits


def test_a_wrench_in_a_unit_that_is_no_torque() -> None:
    with pytest.raises(UnitError):
        in_tool_range(NM100, wrench(low=D(20), high=D(100), unit="bar"))
