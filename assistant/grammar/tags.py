"""What the braces in our grammar files mean.

    {= torque}                    this phrase is the request `torque`
    {fastener: flywheel-bolts}    the slot `fastener` holds this value
    {value: <}                    the slot `value` holds the words of the element that the tag follows

Any other tag belongs to a grammar that is not ours; it is handed on as it stands.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.grammar.expansion import Expansion, Tagged, parts_of

NAME = re.compile(r"=\s*(\S+)")
SLOT = re.compile(r"([a-z-]+)\s*:\s*(.+)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Names:
    """The request's name."""

    request: str


@dataclass(frozen=True, slots=True)
class Sets:
    slot: str
    value: str


@dataclass(frozen=True, slots=True)
class Opens:
    """The words of a slot begin here."""


@dataclass(frozen=True, slots=True)
class Closes:
    """The words of this slot end here; they began at the last Opens that is not closed."""

    slot: str


@dataclass(frozen=True, slots=True)
class Says:
    """A tag of a grammar that is not ours."""

    tag: str


@dataclass(frozen=True, slots=True)
class Weighs:
    """An alternative that its grammar gives less weight than its likeliest neighbour."""

    nats: float
    """Logarithm of the one weight over the other, below 0."""


Mark = Names | Sets | Opens | Closes | Says | Weighs
Marks = tuple[Mark, ...]


def mark_of(tag: str) -> Mark:
    """The meaning of a tag's text. Closes stands for a capture: Opens goes before its element."""
    if named := NAME.fullmatch(tag):
        return Names(named[1])
    if slotted := SLOT.fullmatch(tag):
        return Closes(slotted[1]) if slotted[2].strip() == "<" else Sets(slotted[1], slotted[2].strip())
    return Says(tag)


def names_within(expansion: Expansion) -> set[str]:
    """The requests that the tags within an expansion name; what it refers to is not looked into."""
    found = set().union(*map(names_within, parts_of(expansion)))
    if isinstance(expansion, Tagged) and isinstance(mark := mark_of(expansion.tag), Names):
        found.add(mark.request)
    return found
