"""Joint angles and speed swing against the textbook: tan(out) = tan(in) x cos b; ratio between cos b and 1/cos b."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measuring.limits import MeasuringError
from assistant.measuring.shafts import Inclination, joint_angles, output_angle, speed_swing, working_angle


def test_working_angles_in_side_view_are_the_differences_of_slope() -> None:
    """Gearbox 3° down, shaft 7° down, axle 4° down: 4° and 3°."""
    found = joint_angles(Inclination(3), Inclination(7), Inclination(4))
    assert found.first_deg == pytest.approx(4)
    assert found.second_deg == pytest.approx(3)
    assert found.difference_deg == pytest.approx(1)
    assert found.in_one_plane


def test_compound_angle_by_the_textbook() -> None:
    """A shaft along the axis against one sloping in both views: tan² = tan² side + tan² plan."""
    expected = math.degrees(math.atan(math.hypot(math.tan(math.radians(6)), math.tan(math.radians(4)))))
    assert working_angle(Inclination(0, 0), Inclination(6, 4)) == pytest.approx(expected)
    assert expected == pytest.approx(7.20, abs=0.01)


@pytest.mark.parametrize("angle", [1, 5, 10, 20, 30, 45])
def test_swing_is_one_over_cosine_less_cosine(angle: float) -> None:
    cosine = math.cos(math.radians(angle))
    assert speed_swing(angle) == pytest.approx(1 / cosine - cosine)


def test_swing_at_ten_degrees() -> None:
    """Textbook: ratio from 0.985 to 1.015, about three per cent."""
    assert speed_swing(10) == pytest.approx(0.0306, abs=0.0001)


@given(st.floats(0.5, 40))
def test_swing_is_what_a_turned_joint_shows(angle: float) -> None:
    """Against the formula for the turn: the slope of tan(out) = tan(in) cos b at its steepest and flattest."""
    step = 0.01
    ratios = [(output_angle(a + step, angle) - output_angle(a - step, angle)) / (2 * step) for a in (0.0, 90.0)]
    assert max(ratios) - min(ratios) == pytest.approx(speed_swing(angle), rel=1e-3)


def test_the_output_is_back_in_step_every_quarter_turn() -> None:
    for quarter in range(-8, 9):
        assert output_angle(90 * quarter, 25) == pytest.approx(90 * quarter, abs=1e-9)


@given(st.floats(0, 30), st.floats(-25, 25))
def test_equal_angles_with_yokes_in_phase_cancel(angle: float, slope: float) -> None:
    """Both the Z and the W arrangement."""
    for end in (slope, slope + 2 * angle):
        found = joint_angles(Inclination(slope), Inclination(slope + angle), Inclination(end))
        assert found.output_swing == pytest.approx(0, abs=1e-9)


def test_out_of_phase_the_swings_add_up() -> None:
    right = joint_angles(Inclination(0), Inclination(10), Inclination(0))
    wrong = joint_angles(Inclination(0), Inclination(10), Inclination(0), yokes_in_phase=False)
    assert right.output_swing == pytest.approx(0)
    assert wrong.output_swing > 2 * speed_swing(10) - 1e-3


@given(st.floats(0.5, 30), st.floats(0.5, 30))
def test_two_joints_turned_one_after_the_other_agree(first: float, second: float) -> None:
    """In phase the second joint undoes tangent for tangent what the first did."""
    found = joint_angles(Inclination(0), Inclination(first), Inclination(first + second))
    ratio = math.cos(math.radians(first)) / math.cos(math.radians(second))
    assert found.output_swing == pytest.approx(abs(ratio - 1 / ratio), abs=1e-9)


def test_shafts_that_do_not_lie_in_one_plane_are_told() -> None:
    assert not joint_angles(Inclination(0, 0), Inclination(5, 0), Inclination(0, 5)).in_one_plane
    assert joint_angles(Inclination(2, 2), Inclination(2, 2), Inclination(2, 2)).in_one_plane


def test_slopes_that_no_shaft_has() -> None:
    with pytest.raises(MeasuringError):
        working_angle(Inclination(90), Inclination(0))
    with pytest.raises(MeasuringError):
        speed_swing(90)
