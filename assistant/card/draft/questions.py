"""What a draft leaves open, as questions one after another. Pure: the card in, the questions out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from assistant.card.model import Action, Card, Fastener


class Wants(StrEnum):
    """What kind of answer a question takes."""

    WORDS = "words"
    COUNT = "count"
    TORQUE = "torque"
    WHERE_BACK = "where-back"
    """"after the shaft", "before step twelve", "it stays off"."""
    WHERE_OUT = "where-out"
    """"new", or where it comes off."""
    OWNER = "owner"
    """The fastener that a stray torque belongs to."""
    SETTLED = "settled"
    """Yes, the card is right as it stands; a value puts it right."""


@dataclass(frozen=True, slots=True)
class Question:
    """One open question. `key` tells it from every other and stays the same while it is open."""

    key: str
    wants: Wants
    ask: str
    about: str = ""
    """Card id of the thing or step; a field of the card ("vehicle") otherwise."""
    mark: str = ""
    """The text of the `unsure` mark that it settles."""


_UNKNOWN_FIELDS = {
    "title": "What is the job called?",
    "vehicle": "Which vehicle is it for?",
    "maker": "Who makes that vehicle?",
}
_SAID_BY_OTHERS = (
    "how many was not said",
    "no torque was said",
    "the vehicle and its maker were not said",
    "the title was not said",
)
"""Marks that a question of its own stands for."""


def questions_of(card: Card) -> tuple[Question, ...]:
    """All open questions, those about values first, then what stays open, then the marks in the order of the card."""
    found = (*_values(card), *_left_open(card), *_marks(card), *_fields(card))
    return tuple({question.key: question for question in found}.values())


def _fields(card: Card) -> Iterator[Question]:
    for field, ask in _UNKNOWN_FIELDS.items():
        if str(getattr(card, field)).lower() == "unknown":
            yield Question(f"field:{field}", Wants.WORDS, ask, field)


def _deeds(card: Card) -> Iterator[Action]:
    for section in card.sections:
        for step in section.steps:
            yield from step.does


def _done_to(card: Card) -> dict[str, set[str]]:
    """Thing to the verbs that steps do to it."""
    done: dict[str, set[str]] = {}
    for action in _deeds(card):
        done.setdefault(action.thing, set()).add(action.verb)
    return done


def _values(card: Card) -> Iterator[Question]:
    done = _done_to(card)
    for id_, fastener in card.fasteners.items():
        if not fastener.count:
            yield Question(f"count:{id_}", Wants.COUNT, f"How many {fastener.name}?", id_, "how many was not said")
        if fastener.torque is None and "tighten" in done.get(id_, set()):
            yield Question(
                f"torque:{id_}", Wants.TORQUE, f"Which torque for the {fastener.name}?{_hint(fastener)}", id_
            )


def _hint(fastener: Fastener) -> str:
    for mark in fastener.unsure:
        if mark.startswith("torque said with no unit"):
            said = mark.split('"')[1] if '"' in mark else ""
            return f' "{said}" was said, and no unit.'
        if mark.startswith("two torques said"):
            said = " and later ".join(f'"{words}"' for words in mark.split('"')[1::2])
            return f" {said} were said."
    return ""


_OPENED = {"take_out", "remove", "disconnect", "cover", "support", "drain", "mark"}
_BACK = {
    "fastener": {"tighten", "snug"},
    "part": {"fit"},
    "connection": {"connect"},
    "cover": {"uncover"},
    "support": {"release"},
    "fluid": {"fill"},
    "mark": {"line_up"},
}
BACK_VERB = {
    "fastener": "tighten",
    "part": "fit",
    "connection": "connect",
    "cover": "uncover",
    "support": "release",
    "fluid": "fill",
    "mark": "line-up",
}
OUT_VERB = {
    "fastener": "take-out",
    "part": "remove",
    "connection": "disconnect",
    "cover": "cover",
    "support": "support",
    "fluid": "drain",
    "mark": "mark",
}
TABLES = {
    "fastener": "fasteners",
    "part": "parts",
    "connection": "connections",
    "cover": "covers",
    "support": "supports",
    "fluid": "fluids",
    "mark": "marks",
}
_ASK_BACK = {
    "fastener": "The {name} come out and are never tightened. Where do they go back?",
    "part": "Not said: where does the {name} go back?",
    "connection": "Not said: when is the {name} connected again?",
    "cover": "Not said: when does the {name} come off again?",
    "support": "Not said: when is the {name} taken away?",
    "fluid": "Not said: when is the {name} filled in again?",
    "mark": "Not said: when is the {name} lined up?",
}
_ASK_OUT = {
    "fastener": "The {name} are tightened and never came out. When do they come out?",
    "part": "The {name} goes on and never came off. Is it new, or when does it come off?",
    "connection": "The {name} is connected and was never parted. When is it parted?",
    "cover": "The {name} comes off and was never put on. When is it put on?",
    "support": "The {name} is taken away and was never put in place. When is it put in place?",
}


def _left_open(card: Card) -> Iterator[Question]:
    done = _done_to(card)
    replaced = {part.replaces for part in card.parts.values() if part.replaces}
    for kind, table in TABLES.items():
        for id_, thing in getattr(card, table).items():
            verbs = done.get(id_, set())
            opened, closed = bool(verbs & _OPENED), bool(verbs & _BACK[kind])
            loosened = kind == "fastener" and "loosen" in verbs
            if (opened or loosened) and not closed and not getattr(thing, "consumed", False) and id_ not in replaced:
                yield Question(f"back:{id_}", Wants.WHERE_BACK, _number(_ASK_BACK[kind], thing.name), id_)
            elif (
                closed
                and not opened
                and not loosened
                and kind in _ASK_OUT
                and not getattr(thing, "new", False)
                and not getattr(thing, "starts_off", False)
            ):
                yield Question(f"out:{id_}", Wants.WHERE_OUT, _number(_ASK_OUT[kind], thing.name), id_)


def _number(ask: str, name: str) -> str:
    """The verb in the number of the name: "the hoses are", "the hose is"."""
    plural = name.endswith("s") and not name.endswith("ss")
    if plural:
        for one, many in (
            ("does the", "do the"),
            ("is the", "are the"),
            (" goes on", " go on"),
            (" comes off", " come off"),
            (" is ", " are "),
            (" was ", " were "),
            ("Is it new", "Are they new"),
            ("does it come", "do they come"),
            ("when is it", "when are they"),
            ("When is it", "When are they"),
        ):
            ask = ask.replace(one, many)
    else:
        for many, one in (
            (" come out and are", " comes out and is"),
            ("do they go", "does it go"),
            (" are tightened and never came", " is tightened and never came"),
            ("do they come", "does it come"),
        ):
            ask = ask.replace(many, one)
    return ask.format(name=name)


def _marks(card: Card) -> Iterator[Question]:
    for mark in card.unsure:
        if mark in _SAID_BY_OTHERS:
            continue
        if mark.startswith("a torque ("):
            yield Question(f"card:{mark}", Wants.OWNER, f"{_sentence(mark)} Which fasteners is it for?", "card", mark)
        else:
            yield Question(f"card:{mark}", Wants.SETTLED, f"{_sentence(mark)} Does it need no more?", "card", mark)
    for table in ("fasteners", "parts", "connections", "fluids", "covers", "marks", "supports", "measures"):
        for id_, thing in getattr(card, table).items():
            for mark in thing.unsure:
                if mark in _SAID_BY_OTHERS or mark.startswith("torque said with no unit"):
                    continue
                yield Question(
                    f"{id_}:{mark}", Wants.SETTLED, f"The {thing.name}: {_sentence(mark)}{_is_right(mark)}", id_, mark
                )
    place = 0
    for section in card.sections:
        for step in section.steps:
            place += 1
            for mark in step.unsure:
                if mark not in _SAID_BY_OTHERS:
                    yield Question(
                        f"{step.id}:{mark}",
                        Wants.SETTLED,
                        f'Step {place}, "{step.say}": {_sentence(mark)} Is the step right?',
                        step.id,
                        mark,
                    )


def _is_right(mark: str) -> str:
    return "" if mark.endswith("which?") else " Is that right?"


def _sentence(mark: str) -> str:
    return mark if mark.endswith((".", "?", "!")) else f"{mark}."
