"""What an answer to an open question means, before it is written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer means, before it is written."""

    echo: str
    """What would be written, said back: "Flange bolts: 4"."""
    value: Any = None
    """int, Figure, "by hand", Place, words, or True for "it is right so"."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a step is put in: before or after another, at an end, or nowhere because the thing stays off or is new."""

    kind: str
    """after, before, first, last, stays-off, new"""
    step: str = ""
    """Id of the other step."""


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Why an answer does not do, and what would."""

    say: str
