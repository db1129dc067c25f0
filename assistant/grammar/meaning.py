"""Meaning -> Request: each slot's words become the kind of value that the slot holds."""

from __future__ import annotations

from assistant.grammar.letters import Spelled
from assistant.grammar.numbers import read_whole
from assistant.grammar.parse import Meaning
from assistant.grammar.quantity import read_duration, read_quantity, read_unit
from assistant.grammar.request import Request, SlotValue

QUANTITIES = frozenset({"value", "length", "angle"})
WHOLE_NUMBERS = frozenset({"bolt", "step"})
FREE_TEXTS = frozenset({"text", "reason"})
LONGEST_NAME = 3
"""Words."""


def request_of(meaning: Meaning, phrase: Spelled) -> Request | None:
    """The request; None where a number in it cannot be read in one way only."""
    slots: dict[str, SlotValue] = dict(meaning.sets)
    for slot, start, end in meaning.captures:
        value = _value(slot, phrase, start, end)
        if value is None:
            return None
        slots[slot] = value
    return Request(meaning.name, slots, phrase.text, meaning.weight)


def _value(slot: str, phrase: Spelled, start: int, end: int) -> SlotValue | None:
    words = phrase.text[start:end].strip()
    if slot in QUANTITIES:
        return read_quantity(words)
    if slot == "duration":
        return read_duration(words)
    if slot in WHOLE_NUMBERS:
        return read_whole(words)
    if slot == "in-unit":
        return read_unit(words)
    if slot == "name" and len(words.split()) > LONGEST_NAME:  # talk: "my name is coming over on Thursday"
        return None
    if slot == "name":  # a recogniser writes small letters
        return " ".join(word[:1].upper() + word[1:] for word in phrase.original(start, end).rstrip(".!?").split())
    return phrase.original(start, end) if slot in FREE_TEXTS else words
