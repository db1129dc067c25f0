"""Which steps and things of a card hold for which facts. Pure; facts are a mapping of fact id to option id."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

from .model import Action, Card, Fact, FollowUp, Named, Section, Step, When

KINDS: Mapping[str, str] = {
    "tool": "tools",
    "consumable": "consumables",
    "part": "parts",
    "fastener": "fasteners",
    "connection": "connections",
    "fluid": "fluids",
    "cover": "covers",
    "mark": "marks",
    "support": "supports",
    "measure": "measures",
}
"""Kind of a thing to the table of the card that holds it. Ids are unique over all kinds."""

VERB_KIND: Mapping[str, tuple[str, ...]] = {
    "loosen": ("fastener",),
    "take_out": ("fastener",),
    "start": ("fastener",),
    "snug": ("fastener",),
    "tighten": ("fastener",),
    "remove": ("part",),
    "fit": ("part",),
    "disconnect": ("connection",),
    "connect": ("connection",),
    "drain": ("fluid",),
    "fill": ("fluid",),
    "cover": ("cover",),
    "uncover": ("cover",),
    "mark": ("mark",),
    "line_up": ("mark",),
    "support": ("support",),
    "release": ("support",),
    "measure": ("measure",),
    "inspect": ("part", "fastener", "connection", "fluid", "support", "tool"),
    "apply": ("consumable",),
}
"""Verb of an action to the kinds of thing that it may be about."""

DEFAULT_MINUTES = Decimal(3)
"""Counted for a step that states no usual time."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Anything on a card that may be named by voice."""

    id: str
    kind: str
    """A key of KINDS."""
    entry: Named
    """The model itself: `Fastener`, `Part`, ..."""


class Numbered(NamedTuple):
    """A step and where it stands among all steps of the card."""

    number: int
    """1, 2, 3 ... over all sections, whatever the facts: step fourteen stays step fourteen."""
    section: Section
    step: Step


def applies(when: When, facts: Mapping[str, str]) -> bool:
    """True where every fact named has one of its options; a fact not yet answered does not hold."""
    for fact, options in when.items():
        option = facts.get(fact)
        if option is None or (option != options if isinstance(options, str) else option not in options):
            return False
    return True


def options_of(when: When) -> dict[str, frozenset[str]]:
    """Each fact of a condition with the options under which it holds."""
    return {fact: frozenset([options] if isinstance(options, str) else options) for fact, options in when.items()}


def all_steps(card: Card) -> Iterator[Numbered]:
    """Every step in order, whether it applies or not."""
    number = 0
    for section in card.sections:
        for step in section.steps:
            number += 1
            yield Numbered(number, section, step)


def steps_for(card: Card, facts: Mapping[str, str]) -> tuple[Step, ...]:
    """The steps that apply under the facts known now, in order."""
    return tuple(step for _, _, step in all_steps(card) if applies(step.when, facts))


def actions_for(card: Card, step: Step, facts: Mapping[str, str]) -> tuple[Action, ...]:
    """What the step does under these facts: its own condition and the thing's both hold."""
    known = things(card)
    return tuple(
        action
        for action in step.does
        if applies(action.when, facts) and applies(getattr(known[action.thing].entry, "when", {}), facts)
    )


def things(card: Card) -> dict[str, Thing]:
    """All things of the card by id."""
    return {
        thing_id: Thing(thing_id, kind, entry)
        for kind, table in KINDS.items()
        for thing_id, entry in _table(card, table).items()
    }


def section_of(card: Card, step_id: str) -> Section:
    """Raises KeyError for a step that is not on the card."""
    for _, section, step in all_steps(card):
        if step.id == step_id:
            return section
    raise KeyError(step_id)


def number_of(card: Card, step_id: str) -> int:
    """The number of a step, 1-based over the whole card. Raises KeyError."""
    for number, _, step in all_steps(card):
        if step.id == step_id:
            return number
    raise KeyError(step_id)


def decided_facts(card: Card) -> frozenset[str]:
    """Facts that a decision during the job answers; they are not asked at the start."""
    return frozenset(m.out.sets for m in card.measures.values() if m.out is not None and m.out.sets is not None)


def asked_facts(card: Card) -> dict[str, Fact]:
    """Facts that are asked once, at the start, in the order of the card."""
    decided = decided_facts(card)
    return {fact_id: fact for fact_id, fact in card.facts.items() if fact_id not in decided}


def minutes_for(card: Card, facts: Mapping[str, str], done: frozenset[str] = frozenset()) -> Decimal:
    """Usual time of the steps that apply and are not done, in minutes."""
    return sum(
        (step.minutes or DEFAULT_MINUTES for step in steps_for(card, facts) if step.id not in done), start=Decimal(0)
    )


def follow_ups_for(card: Card, facts: Mapping[str, str]) -> tuple[FollowUp, ...]:
    """What is due after the job under these facts."""
    return tuple(item for item in card.follow_ups if applies(item.when, facts))


def _table(card: Card, table: str) -> Mapping[str, Named]:
    tables: Mapping[str, Named] = getattr(card, table)
    return tables


def place_of(card: Card, part_id: str) -> str:
    """The part whose place this one takes in the end; a part that replaces nothing has its own."""
    while (part := card.parts.get(part_id)) is not None and part.replaces is not None:
        part_id = part.replaces
    return part_id


def conditions(card: Card) -> Iterator[tuple[tuple[str | int, ...], When]]:
    """Every `when` of the card with its path."""
    for kind in KINDS.values():
        for thing_id, entry in _table(card, kind).items():
            when: When = getattr(entry, "when", {})
            if when:
                yield (kind, thing_id, "when"), when
    for s, section in enumerate(card.sections):
        for i, step in enumerate(section.steps):
            path: tuple[Any, ...] = ("sections", s, "steps", i)
            if step.when:
                yield (*path, "when"), step.when
            for a, action in enumerate(step.does):
                if action.when:
                    yield (*path, "does", a, "when"), action.when
    for i, item in enumerate(card.follow_ups):
        if item.when:
            yield ("follow-ups", i, "when"), item.when
