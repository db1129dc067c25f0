"""Short talk drafted, and looked at as facts of the trade."""

from __future__ import annotations

from assistant.card.draft.reading import narration_of
from assistant.card.draft.story import Telling, Understanding
from assistant.card.draft.thing import Thing
from assistant.card.draft.understand import understood
from assistant.card.draft.words import sentences


def told(words: str) -> Understanding:
    return understood(list(sentences(narration_of(words, "talk.txt").passages)))


def deeds(words: str) -> list[str]:
    """ "take_out flange bolts", in the order of working."""
    return [f"{deed.verb} {deed.thing.name}" for step in told(words).steps for deed in step.deeds if deed.thing]


def thing(draft: Understanding, name: str) -> Thing:
    found = [one for one in draft.things if one.name == name]
    assert found, f"no {name!r} among {[one.name for one in draft.things]}"
    return found[0]


def step(draft: Understanding, verb: str, name: str) -> Telling:
    found = [
        one for one in draft.steps for deed in one.deeds if deed.verb == verb and deed.thing and deed.thing.name == name
    ]
    assert found, f"no {verb} {name}"
    return found[0]
