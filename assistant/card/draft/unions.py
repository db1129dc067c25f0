"""The nut on a line itself: people say a torque of the hose, and a card has torques on fasteners only."""

from __future__ import annotations

from collections.abc import Iterable

from .thing import Thing

_APART = 1_000_000
"""Added to the number of a line for that of its union."""
ON_LINES = {"disconnect": "loosen", "connect": "tighten"}
"""What is done to the union where its line is parted and joined."""


def unions_of(things: Iterable[Thing]) -> dict[int, Thing]:
    """Line number to the union that takes what was said of the line: its torque, the spanner for it, its thread."""
    found: dict[int, Thing] = {}
    for line in things:
        if line.kind != "connection" or not (line.torque or line.wrench or line.thread):
            continue
        union = Thing(line.number + _APART, "fastener", "union", line.plural, first=line.first)
        union.places, union.mods = set(line.places), [*line.mods, line.head]
        union.torque, union.torque_said, union.angle_deg = line.torque, line.torque_said, line.angle_deg
        union.wrench, union.thread, union.passes = line.wrench, line.thread, list(line.passes)
        union.treatment, union.when = line.treatment, dict(line.when)
        union.doubt(f"said of the {line.name}: taken for the nut or union on it")
        found[line.number] = union
    return found
