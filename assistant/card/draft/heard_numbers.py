"""Numbers taken by ear that sound like another."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from assistant.hearing.sound_alikes import sounds_like

from .thing import Thing


def mark_sound_alikes(things: Iterable[Thing]) -> None:
    """A number that sounds like another, taken by ear, is marked on the thing it was put on."""
    for thing in things:
        heard = [
            thing.torque,
            thing.wrench,
            thing.length,
            thing.mass,
            thing.quantity,
            thing.low,
            thing.high,
            *thing.passes,
        ]
        values = [value for one in heard if one is not None for value in (one.value, one.low, one.high)]
        values += [Decimal(thing.count)] if thing.count is not None and thing.count_said is not None else []
        for one in heard:
            said = one.said.lower() if one is not None and one.unit == "N·m" else ""
            if "newton" in said and not re.search(r"met(?:re|er)", said):
                thing.doubt(f'the unit was heard as "{said}" and taken for newton metres')
        for value in dict.fromkeys(values):
            if value is None or value != value.to_integral_value():
                continue
            alike = [other for other in sounds_like(int(value)) if other]
            if alike:
                thing.doubt(
                    f"{value:f} was heard, and {' or '.join(map(str, alike))} sounds the same: listen to it again"
                )
