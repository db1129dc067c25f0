"""Bolt by bolt: the rounds over a set, in which order, to what."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from assistant.card.model import Fastener, Pass


@dataclass(frozen=True, slots=True)
class Round:
    """One pass over a set."""

    number: int
    """1-based."""
    positions: tuple[int, ...]
    """In the order they are done, 1-based."""
    target: Pass | None
    """What the card says of this pass; None for the value itself."""


@lru_cache(maxsize=512)
def _order(pattern: str, count: int, rows: tuple[int, ...], listed: tuple[int, ...]) -> tuple[int, ...]:
    if pattern == "as-listed" and listed:
        return listed
    return tuple(range(1, count + 1))


def rounds_of(fastener: Fastener) -> tuple[Round, ...]:
    """The rounds of a set: those of the card, or a single one to the value."""
    order = fastener.order
    count = max(1, fastener.count)
    turns = _order(
        order.pattern if order else "round",
        count,
        tuple(order.rows or ()) if order else (),
        tuple(order.listed or ()) if order else (),
    )
    rounds = [
        Round(number, tuple(range(1, count + 1)) if each.pattern == "round" else turns, each)
        for number, each in enumerate(fastener.passes, start=1)
    ]
    return tuple(rounds) or (Round(1, turns, None),)
