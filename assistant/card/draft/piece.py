"""A clause with the sentence it was said in."""

from __future__ import annotations

from dataclasses import dataclass

from .clause import Clause, Free
from .words import Sentence


@dataclass(slots=True)
class Piece:
    """A clause with the sentence it was said in."""

    clause: Clause
    sentence: Sentence
    condition: tuple[str, ...] = ()
    """Words of a condition that held for the sentence: ("on", "early", "models")."""
    mended: str = ""
    """What was said first, where it was put right."""
    asked: bool = False
    """Part of a question."""
    first: bool = False
    """Opens its sentence."""
    open_numbers: tuple[str, ...] = ()
    """Numbers on both sides of a correction of which it is not clear which one stands: none does."""
    taken_back: tuple[Free, ...] = ()
    """Figures that were another machine's: what stands in their place has their side and their unit."""
    only_cue: str = ""
    """The whole sentence is "no, wait": what puts it right comes next."""
