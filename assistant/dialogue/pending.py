"""Questions to the person: their names, how each is put, and what answers it.

A question is a value, a name and what it is about (words only), so that it stands in the log and survives
a power cut. Nothing else remembers it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from assistant.grammar.request import Quantity, Request, SlotValue
from assistant.job.records import Question

YES_NO = frozenset((
    "support", "hold", "lift", "check", "angle", "skip-confirm", "override-confirm", "confirm", "bolts-value",
    "keep-outside", "accept-confirm", "finish-confirm",
))  # fmt: skip
FREE_WORDS = frozenset(("skip-reason", "override-reason", "outside-torque", "accept-reason", "note-text"))
"""Answered in the person's own words."""
NUMBERS = frozenset(("torque-value", "measure-value", "digits", "timer-length", "wrench-length", "outside-torque"))
CHOICES = frozenset(("fact", "which", "decision"))
OTHERS = frozenset(("item", "person-name", "who-confirms"))
QUESTIONS = YES_NO | FREE_WORDS | NUMBERS | CHOICES | OTHERS


READINGS_IN_DOUBT = frozenset(("which", "digits", "confirm"))
"""Questions about what was just said; a second one takes the place of the first."""
CLEARING = frozenset(("which", "digits", "confirm", "note-text", "timer-length", "person-name", "wrench-length"))
"""Questions that only make one thing clear: after them, the question that they interrupted stands again."""


def pack_question(question: Question) -> str:
    """A question as words, to be kept in another."""
    return json.dumps([question.name, dict(question.about)])


def unpack_question(packed: str) -> Question:
    """The question that `pack_question` kept."""
    name, about = json.loads(packed)
    return Question(name, about)


def pack(request: Request) -> str:
    """A request as words, to be kept in a question."""
    return json.dumps([request.name, {k: _plain(v) for k, v in request.slots.items()}, request.words])


def unpack(packed: str) -> Request:
    """The request that `pack` kept."""
    name, slots, words = json.loads(packed)
    return Request(name, {k: _slot(v) for k, v in slots.items()}, words)


def with_slot(request: Request, slot: str, value: SlotValue) -> Request:
    return Request(request.name, {**request.slots, slot: value}, request.words)


def _plain(value: SlotValue) -> Any:
    if isinstance(value, Quantity):
        return {"value": str(value.value), "unit": value.unit, "said": value.said}
    return value


def _slot(value: Any) -> SlotValue:
    if isinstance(value, Mapping):
        return Quantity(Decimal(value["value"]), value["unit"], value["said"])
    if isinstance(value, int | str):
        return value
    raise TypeError(f"a slot holds no {type(value).__name__}")
