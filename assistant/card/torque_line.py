"""A torque on one line of a card: "65 N·m", "60 to 70 N·m", "65 ± 5 N·m", "50 N·m + 90 deg", "snug by hand"."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from assistant.fastening.units import TORQUE_UNITS, UnitError, unit_named

from .fault import RuleBroken
from .nearest import did_you_mean

_NUMBER = r"\d+(?:[.]\d+)?"
_LINE = re.compile(
    rf"""^(?P<first>{_NUMBER})
        (?:\s*(?P<join>to|-|–|±|\+/-|\+-)\s*(?P<second>{_NUMBER}))?
        \s*(?P<unit>[^\d+]*?)
        (?:\s*\+\s*(?P<angle>{_NUMBER})\s*(?:deg|degree|degrees|°))?$""",
    re.VERBOSE,
)
_BY_HAND = {"snug by hand", "by hand", "hand tight", "hand-tight", "snug"}
FORMS = 'Write it as "65 N·m", "60 to 70 N·m", "65 ± 5 N·m", "50 N·m + 90 deg" or "snug by hand".'


def torque_unit(text: str) -> str:
    """The canonical unit for any usual spelling of it. Raises RuleBroken with the nearest known one."""
    try:
        unit = unit_named(text)
    except UnitError:
        unit = ""
    if unit not in TORQUE_UNITS:
        what = f'"{text}" is not a unit of torque.'
        raise RuleBroken(what, did_you_mean(text, TORQUE_UNITS, "Use N·m, lbf·ft, lbf·in or kgf·m."))
    return unit


def read_torque(line: str) -> dict[str, Any]:
    """The fields of `model.Torque` that the line states. Raises RuleBroken."""
    text = " ".join(line.split())
    if text.lower() in _BY_HAND:
        return {"by_hand": True}
    if re.fullmatch(r"-\s*\d.*", text):
        raise RuleBroken(f'The torque "{line}" is negative.', "A torque is more than nothing; take the sign away.")
    if re.search(r"\d,\d", text):
        raise RuleBroken(f'The torque "{line}" has a comma in its number.', "Write the decimal sign as a point.")
    match = _LINE.match(text)
    if match is None:
        raise RuleBroken(f'"{line}" is not a torque.', FORMS)
    if not match["unit"]:
        raise RuleBroken(f'The torque "{line}" has no unit.', f"Write the unit of its source. {FORMS}")
    fields: dict[str, Any] = {"unit": torque_unit(match["unit"])}
    first, join = Decimal(match["first"]), match["join"]
    if join is None:
        fields["value"] = first
    else:
        second = Decimal(match["second"])
        if join in ("to", "-", "–"):
            fields |= {"low": first, "high": second}
        else:
            fields |= {"value": first, "low": first - second, "high": first + second}
    if match["angle"]:
        fields["angle_deg"] = Decimal(match["angle"])
    return fields
