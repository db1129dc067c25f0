"""Joint angles of a shaft with two universal joints, and how unevenly it turns.

A universal joint at angle b: tan(out) = tan(in) x cos b, or its inverse by the choice of zero; within each turn the
speed ratio swings twice between cos b and 1/cos b (textbook). Two joints in one plane with their yokes in phase
leave what the quotient of their cosines leaves: nothing at equal angles. Out of phase by a quarter turn their
cosines multiply. Angles in degrees throughout; float, for they go through sine and cosine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .limits import MeasuringError


@dataclass(frozen=True, slots=True)
class Inclination:
    """How a shaft lies: slope in side view and in plan view, degrees; down and to the right are positive."""

    side_deg: float
    plan_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class JointAngles:
    """A shaft between a driving and a driven one."""

    first_deg: float
    """Working angle of the joint at the driving end."""
    second_deg: float
    """Working angle of the joint at the driven end."""
    difference_deg: float
    first_swing: float
    """Speed swing of the shaft between the joints: largest less smallest speed ratio."""
    output_swing: float
    """Speed swing of the driven shaft."""
    in_one_plane: bool
    """Both joints bend in one plane. If not, output_swing holds only if the yokes are turned to make up for it."""


def working_angle(one: Inclination, other: Inclination) -> float:
    """Angle between two shafts, degrees, 0 to 90: from their directions, so it holds for compound angles too."""
    first, second = _direction(one), _direction(other)
    cross = math.hypot(
        first[1] * second[2] - first[2] * second[1],
        first[2] * second[0] - first[0] * second[2],
        first[0] * second[1] - first[1] * second[0],
    )
    return math.degrees(math.atan2(cross, sum(a * b for a, b in zip(first, second, strict=True))))


def _direction(lies: Inclination) -> tuple[float, float, float]:
    """Along, sideways, down. Raises MeasuringError for a slope that no shaft has."""
    if not (abs(lies.side_deg) < 90 and abs(lies.plan_deg) < 90):
        raise MeasuringError("A slope is less than 90° either way.")
    return (1.0, math.tan(math.radians(lies.plan_deg)), math.tan(math.radians(lies.side_deg)))


def speed_swing(angle_deg: float) -> float:
    """Largest less smallest speed ratio of one joint: 1/cos b - cos b, which is sin b x tan b."""
    if not 0 <= angle_deg < 90:
        raise MeasuringError("A joint works at 0° to less than 90°.")
    angle = math.radians(angle_deg)
    return math.sin(angle) * math.tan(angle)


def output_angle(input_deg: float, joint_deg: float) -> float:
    """Turn of the output for a turn of the input, degrees, 0 where the input yoke lies square to the joint's plane."""
    turn, joint = math.radians(input_deg), math.radians(joint_deg)
    out = math.degrees(math.atan2(math.sin(turn) * math.cos(joint), math.cos(turn)))
    return out + 360 * round((input_deg - out) / 360)


def joint_angles(
    driving: Inclination, shaft: Inclination, driven: Inclination, yokes_in_phase: bool = True
) -> JointAngles:
    """Working angles of both joints, their difference, and the speed swing behind each."""
    first, second = working_angle(driving, shaft), working_angle(shaft, driven)
    cosines = math.cos(math.radians(first)), math.cos(math.radians(second))
    rest = cosines[0] / cosines[1] if yokes_in_phase else cosines[0] * cosines[1]
    rest = min(rest, 1 / rest)
    return JointAngles(
        first, second, abs(first - second), speed_swing(first), 1 / rest - rest, _in_one_plane(driving, shaft, driven)
    )


def _in_one_plane(*shafts: Inclination) -> bool:
    """True where the three directions lie in one plane, to a tenth of a degree or so."""
    a, b, c = (_unit(_direction(lies)) for lies in shafts)
    volume = (
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    return abs(volume) < 1e-5


def _unit(direction: tuple[float, float, float]) -> tuple[float, float, float]:
    length = math.hypot(*direction)
    return (direction[0] / length, direction[1] / length, direction[2] / length)
