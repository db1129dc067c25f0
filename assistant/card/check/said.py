"""Texts that name a torque: is it the one that the fastener has. A technician hears both."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from assistant.card.model import Fastener, Step
from assistant.card.written import Path
from assistant.fastening.units import SPELLINGS, TORQUE_UNITS, unit_named

from .finding import Finding
from .happenings import Row

_spelled = sorted({s for unit in TORQUE_UNITS for s in (*SPELLINGS[unit], unit)}, key=len, reverse=True)
_UNIT = "|".join(re.escape(spelling).replace(r"\ ", r"[\s·.\-]+") for spelling in _spelled)
_NUMBER = r"\d+(?:\.\d+)?"
_TORQUE = re.compile(rf"(?:({_NUMBER})\s*(?:to|-|–|±)\s*)?({_NUMBER})[\s-]*({_UNIT})\b", re.IGNORECASE)


def said_findings(row: Row) -> Iterator[Finding]:
    """Torques in the texts of steps against the fasteners of the step; in a fastener's texts against its own."""
    for s, section in enumerate(row.card.sections):
        for i, step in enumerate(section.steps):
            ids = dict.fromkeys(action.thing for action in step.does if action.thing in row.card.fasteners)
            fasteners = [row.card.fasteners[fastener] for fastener in ids]
            for field, text in _texts(step):
                yield from _compared(row, ("sections", s, "steps", i, field), text, fasteners)
    for fastener_id, fastener in row.card.fasteners.items():
        for field in ("what", "caution"):
            if text := getattr(fastener, field):
                yield from _compared(row, ("fasteners", fastener_id, field), text, [fastener])


def _texts(step: Step) -> Iterator[tuple[str, str]]:
    for field in ("say", "how", "why", "check"):
        if text := getattr(step, field):
            yield field, text
    for text in step.cautions:
        yield "cautions", text
    if step.hold is not None:
        yield "hold", step.hold.ask


def _compared(row: Row, path: Path, text: str, fasteners: list[Fastener]) -> Iterator[Finding]:
    for found in _TORQUE.finditer(text):
        unit = unit_named(found[3])
        said = {(Decimal(number), unit) for number in (found[1], found[2]) if number}
        known = {torque for fastener in fasteners for torque in _torques(fastener)}
        if said <= known:
            continue
        if fasteners:
            names = " or ".join(fastener.name for fastener in fasteners)
            message = f'"{found[0]}" is said here; the {names} have another torque.'
        else:
            message = f'"{found[0]}" is said here, and the step works on no fastener.'
        yield row.finding(path, "said-otherwise", message, "Leave the number to the fastener, which speaks it exactly.")


def _torques(fastener: Fastener) -> Iterator[tuple[Decimal, str]]:
    for torque in (fastener.torque, *(one.torque for one in fastener.passes)):
        if torque is not None:
            for number in (torque.value, torque.low, torque.high):
                if number is not None:
                    yield number, torque.unit
            if torque.value is not None and torque.high is not None:
                yield torque.high - torque.value, torque.unit
