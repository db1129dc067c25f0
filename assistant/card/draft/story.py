"""What the narration tells: steps in order, the things they work on, and what stays open."""

from __future__ import annotations

from dataclasses import dataclass, field

from .piece import Piece
from .thing import Said, Thing

CLOSING = frozenset({"fit", "start", "snug", "tighten", "connect", "fill", "uncover", "line_up", "release"})
OPENING = frozenset({"loosen", "take_out", "remove", "disconnect", "drain", "cover", "mark", "support"})


@dataclass(slots=True)
class Deed:
    """One action of a step, by the card's verb (or `clean`, `move`, `check`, which the card tells in words only)."""

    verb: str
    thing: Thing | None
    count: int | None = None
    all_but: int | None = None
    places: list[str] = field(default_factory=list)
    rest: bool = False
    to: str = ""
    onto: Thing | None = None
    """Of an `apply`: the part or fastener that it goes on."""
    implied: bool = False
    """Nobody said the verb: a value or a new part stood alone."""


@dataclass(slots=True)
class Trouble:
    sign: str
    do: str = ""
    never: str = ""


@dataclass(slots=True)
class Telling:
    """One step as told."""

    deeds: list[Deed]
    said: list[Said]
    words: str = ""
    """The clause, cleaned of fillers."""
    how: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    check: str = ""
    why: str = ""
    tools: list[Thing] = field(default_factory=list)
    unsure: list[str] = field(default_factory=list)
    when: dict[str, str] = field(default_factory=dict)
    section: str = ""

    def doubt(self, reason: str) -> None:
        if reason not in self.unsure:
            self.unsure.append(reason)


@dataclass(frozen=True, slots=True)
class Condition:
    """A fact of the vehicle that switches steps."""

    id: str
    ask: str
    options: tuple[tuple[str, str], ...]
    """Option id and its words."""
    said: Said


@dataclass(frozen=True, slots=True)
class Unread:
    """A passage with trade words in it that could not be understood, or a value that has no owner."""

    said: Said
    why: str


@dataclass(slots=True)
class Understanding:
    """All that was understood of one narration."""

    title: str
    steps: list[Telling]
    things: list[Thing]
    conditions: dict[str, Condition]
    unread: list[Unread]
    aside: list[Said]
    """Talk about something else, left out."""
    cautions: list[str]
    """Of the whole job."""
    cut: int = 0
    """Sentences beyond the longest job that a card takes, left out."""


def said_of(piece: Piece) -> Said:
    return Said(piece.sentence.words.lstrip("- "), piece.sentence.at_s, piece.sentence.line)
