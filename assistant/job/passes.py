"""Bolt by bolt: whose turn it is, pass after pass."""

from __future__ import annotations

from assistant.card.model import Fastener
from assistant.fastening.passes import PassError, TighteningPass, passes_of


def rounds_of(fastener: Fastener) -> tuple[TighteningPass, ...]:
    """The passes of a set, at least one; a set whose passes cannot be worked out is gone round once."""
    try:
        return passes_of(fastener)
    except PassError:
        around = tuple(range(1, max(1, fastener.count) + 1))
        return (TighteningPass(1, "to the value", around, is_final=True),)


def turns_of(fastener: Fastener) -> tuple[tuple[TighteningPass, int], ...]:
    """(pass, position) in the order in which they are done."""
    return tuple((each, position) for each in rounds_of(fastener) for position in each.sequence)
