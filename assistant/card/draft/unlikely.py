"""Values that a card cannot hold: nothing, upside down, beyond all measure. Kept as a question, never as a value."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pydantic import TypeAdapter, ValidationError

from assistant.card.model import MOST_IN_A_SET, Positive, Turn

from .figures import Figure
from .thing import Thing

_POSITIVE: TypeAdapter[Decimal] = TypeAdapter(Positive)
_TURN: TypeAdapter[Decimal] = TypeAdapter(Turn)


def withdraw_unlikely(things: Iterable[Thing]) -> None:
    """Takes such values off the things and says why. Things are changed in place."""
    for thing in things:
        if thing.count is not None and not 1 <= thing.count <= MOST_IN_A_SET:
            thing.doubt(f"a count of {thing.count} was heard: how many are there?")
            thing.count = None
        for name in ("torque", "mass", "quantity", "wrench", "length"):
            figure = getattr(thing, name)
            if figure is not None and not _can_be(figure):
                thing.doubt(f'{name} heard as "{figure.said}": that cannot be')
                setattr(thing, name, None)
        kept = [figure for figure in thing.passes if _can_be(figure)]
        if len(kept) < len(thing.passes):
            thing.doubt("a round was heard with a torque that cannot be")
            thing.passes = kept
        if thing.angle_deg is not None and not _takes(_TURN, thing.angle_deg):
            thing.doubt(f"a turn of {thing.angle_deg} degrees was heard: that cannot be")
            thing.angle_deg = None
        low, high = thing.low, thing.high
        if low is not None and high is not None and not _in_order(low, high):
            thing.doubt(f'limits heard as "{low.said}" and "{high.said}": which is the least and which the most?')
            thing.low = thing.high = None


def _can_be(figure: Figure) -> bool:
    told = [number for number in (figure.value, figure.low, figure.high) if number is not None]
    upside = figure.low is not None and figure.high is not None and figure.low > figure.high
    return not upside and all(_takes(_POSITIVE, number) for number in told)


def _in_order(low: Figure, high: Figure) -> bool:
    if low.value is None or high.value is None:
        return True
    return low.unit == high.unit and low.value <= high.value


def _takes(bounds: TypeAdapter[Decimal], number: Decimal) -> bool:
    try:
        bounds.validate_python(number)
    except ValidationError:
        return False
    return True
