"""One action or statement of a sentence, and the figures that stand free in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from .figures import Figure
from .mention import Mention

OTHER_SIDE = {"most": "least", "least": "most"}
"""Where what is told is too much or too little, the limit is on the other side."""


@dataclass(slots=True)
class Free:
    """A figure that belongs to no name: "to 65 newton metres"."""

    figure: Figure
    before: str = ""
    """The word before it: to, of, at, for, another, most, least."""
    beside: str = ""
    """The word after it: hex, spanner, long, first."""
    link: Mention | None = None
    """"sixty-five for the flange bolts"."""
    at: int = -1
    """Item at which it stands; -1 where the clause was put together from two."""


@dataclass(slots=True)
class Clause:
    """One action or statement."""

    words: str
    start: int = 0
    end: int = 0
    """Items of the sentence."""
    verb: str = ""
    """Base form; empty for a statement or a clause without a verb."""
    particle: str = ""
    meaning: str = ""
    """A key of meanings.yaml, or holds, needs, leave; empty where nothing is done."""
    strong: bool = False
    objects: list[Mention] = field(default_factory=list)
    subject: list[Mention] = field(default_factory=list)
    """What stands before the verb (then also in `objects` where the verb acts on it)."""
    beside: list[tuple[str, Mention]] = field(default_factory=list)
    """("with", a strap), ("into", the block)."""
    figures: list[Free] = field(default_factory=list)
    manners: list[str] = field(default_factory=list)
    treatments: list[str] = field(default_factory=list)
    sub: str = ""
    """The word that makes it no action of its own: before, once, if, to, that."""
    negated: str = ""
    past: bool = False
    third: bool = False
    """"comes", "goes"."""
    by_person: bool = False
    """"you take", "I took"."""
    passive: bool = False
    going_on: bool = False
    """"is hanging on the bolts": how it is, not what is done."""
    apart: bool = False
    """What follows the verb stands behind a pause: "the top bolt goes in, then the lower two"."""
    tail: str = ""
    """A side remark that opens behind the verb: because, so, in case."""
    opens: str = ""
    """The word that joins it to the clause before: and, then, comma."""
    lows: tuple[str, ...] = ()
    """Its words, lower case."""

    @property
    def mentions(self) -> list[Mention]:
        seen: list[Mention] = []
        for mention in (*self.subject, *self.objects, *(one for _, one in self.beside)):
            if not any(mention is known for known in seen):
                seen.append(mention)
        return seen
