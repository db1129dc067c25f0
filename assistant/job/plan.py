"""A card read for working by: its steps in one row, what applies under which facts, where each thing begins.

Made once a job; nothing in it changes while the job is worked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from assistant.card.model import Action, Card, Fastener, Measure, Named, Section, Step, When
from assistant.card.plan import applies
from assistant.job.passes import rounds_of

Facts = Mapping[str, str]

FASTENER_VERBS = frozenset(("loosen", "take_out", "start", "snug", "tighten"))
OPENED_AS: dict[str, tuple[str, str]] = {
    # verb: (sort of thing, what the thing is after it)
    "remove": ("part", "off"),
    "fit": ("part", "on"),
    "disconnect": ("connection", "apart"),
    "connect": ("connection", "joined"),
    "drain": ("fluid", "out"),
    "fill": ("fluid", "in"),
    "cover": ("cover", "in"),
    "uncover": ("cover", "out"),
    "mark": ("mark", "made"),
    "line_up": ("mark", "lined-up"),
    "support": ("support", "in-place"),
    "release": ("support", "away"),
}
"""Verbs that take a thing from one of two standings to the other."""
CLOSING = frozenset(("fit", "connect", "fill", "uncover", "line_up", "release"))
AT_REST: dict[str, str] = {
    "part": "on", "connection": "joined", "fluid": "in", "cover": "out", "mark": "none", "support": "away",
}  # fmt: skip
"""How a thing stands before anybody touched it."""
NOT_YET = "not-yet"
"""How a thing stands that comes with the job: a new seal, a new hose."""


@dataclass(frozen=True, slots=True)
class Place:
    """A step where it stands on the card."""

    step: Step
    section: Section
    number: int
    """1-based over the whole card, whatever the facts: the number that is spoken."""


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that a step does under the facts of this job."""

    verb: str
    thing: str
    count: int | None
    """How many of a set; None for all that are left to do."""
    only_pass: int | None
    """For tighten: a pass before the last; None for the whole of it, or the last."""
    action: Action


class Plan:
    """The card, indexed. Two plans of the same card are the same plan."""

    def __init__(self, card: Card) -> None:
        self.card = card
        places = [(section, step) for section in card.sections for step in section.steps]
        self.places = tuple(Place(step, section, number) for number, (section, step) in enumerate(places, start=1))
        self.by_id: dict[str, Place] = {place.step.id: place for place in self.places}
        self._paths: dict[frozenset[tuple[str, str]], tuple[Place, ...]] = {}
        self._deeds: dict[tuple[str, frozenset[tuple[str, str]]], tuple[Deed, ...]] = {}

    # -- things ------------------------------------------------------------

    @cached_property
    def things(self) -> dict[str, tuple[str, Named]]:
        """Thing id to its sort and itself; a fastener comes before a part of the same id."""
        card = self.card
        rows: tuple[tuple[str, Mapping[str, Named]], ...] = (
            ("fastener", card.fasteners), ("part", card.parts), ("connection", card.connections),
            ("fluid", card.fluids), ("cover", card.covers), ("mark", card.marks), ("support", card.supports),
            ("measure", card.measures), ("tool", card.tools), ("consumable", card.consumables),
        )  # fmt: skip
        found: dict[str, tuple[str, Named]] = {}
        for sort, named in rows:
            for thing, it in named.items():
                found.setdefault(thing, (sort, it))
        return found

    def name_of(self, thing: str) -> str:
        """The thing's name as the card has it; the id in words where it has none."""
        if thing in self.things:
            return self.things[thing][1].name
        return thing.replace("-", " ")

    def fastener(self, thing: str) -> Fastener:
        return self.card.fasteners[thing]

    def measure(self, thing: str) -> Measure:
        return self.card.measures[thing]

    @cached_property
    def first_verb(self) -> dict[str, str]:
        """Thing id to the first thing that the card does to it, whatever the facts."""
        first: dict[str, str] = {}
        for place in self.places:
            for action in place.step.does:
                if action.verb not in ("measure", "inspect", "apply"):
                    first.setdefault(action.thing, action.verb)
        return first

    @cached_property
    def ever_tightened(self) -> frozenset[str]:
        """Fasteners that some step takes through their last pass."""
        return frozenset(
            a.thing for p in self.places for a in p.step.does if a.verb == "tighten" and not self._only_pass(a)
        )

    @cached_property
    def taken_out_by(self) -> dict[str, tuple[int, ...]]:
        """Fastener id to the numbers of the steps that loosen it or take it out."""
        found: dict[str, list[int]] = {}
        for place in self.places:
            for action in place.step.does:
                if action.verb in ("loosen", "take_out"):
                    found.setdefault(action.thing, []).append(place.number)
        return {thing: tuple(numbers) for thing, numbers in found.items()}

    @cached_property
    def holding(self) -> dict[str, tuple[str, ...]]:
        """Part id to the fasteners that hold it."""
        found: dict[str, list[str]] = {}
        for thing, fastener in self.card.fasteners.items():
            for part in fastener.joins:
                found.setdefault(part, []).append(thing)
        return {part: tuple(fasteners) for part, fasteners in found.items()}

    @cached_property
    def in_place_of(self) -> dict[str, tuple[str, ...]]:
        """Part id to the new parts that take its place."""
        found: dict[str, list[str]] = {}
        for thing, part in self.card.parts.items():
            if part.replaces:
                found.setdefault(part.replaces, []).append(thing)
        return {part: tuple(others) for part, others in found.items()}

    def begins_off(self, part: str) -> bool:
        """True for a part that is not on the vehicle when the job begins."""
        it = self.card.parts[part]
        return it.new or it.starts_off or self.first_verb.get(part) == "fit"

    def fastener_begins_out(self, thing: str) -> bool:
        fastener = self.card.fasteners[thing]
        return (
            fastener.starts_off
            or self.first_verb.get(thing) in ("start", "snug")
            or (
                self.first_verb.get(thing) == "tighten"
                and any(part in self.card.parts and self.begins_off(part) for part in fastener.joins)
            )
        )

    def at_rest(self, sort: str, thing: str) -> str:
        """How a thing stands before the job: AT_REST, or NOT_YET for what the job brings."""
        if sort == "part":
            return NOT_YET if self.begins_off(thing) else "on"
        verb = self.first_verb.get(thing, "")
        return NOT_YET if verb in CLOSING and verb != "line_up" else AT_REST[sort]

    # -- facts -------------------------------------------------------------

    @cached_property
    def decided_facts(self) -> dict[str, tuple[str, ...]]:
        """Facts that a decision after a reading sets -> the measures of it; they are not asked at the start."""
        found: dict[str, list[str]] = {}
        for thing, measure in self.card.measures.items():
            if measure.out is not None and measure.out.sets:
                found.setdefault(measure.out.sets, []).append(thing)
        return {fact: tuple(measures) for fact, measures in found.items()}

    def to_ask(self, facts: Facts) -> tuple[str, ...]:
        """Facts still to be asked at the start, in the card's order."""
        return tuple(fact for fact in self.card.facts if fact not in facts and fact not in self.decided_facts)

    @staticmethod
    def applies(when: When, facts: Facts) -> bool:
        """True where every fact of `when` is known and has one of its options."""
        return applies(when, facts)

    def path(self, facts: Facts) -> tuple[Place, ...]:
        """The steps that apply, in order."""
        key = frozenset(facts.items())
        if key not in self._paths:
            self._paths[key] = tuple(p for p in self.places if self.applies(p.step.when, facts))
        return self._paths[key]

    def deeds(self, step: str, facts: Facts) -> tuple[Deed, ...]:
        """What the step does under these facts, in the card's order."""
        key = (step, frozenset(facts.items()))
        if key not in self._deeds:
            self._deeds[key] = tuple(
                Deed(a.verb, a.thing, self._how_many(a), self._only_pass(a), a)
                for a in self.by_id[step].step.does
                if self.applies(a.when, facts) and self._there(a.thing, facts)
            )
        return self._deeds[key]

    def depends_on(self, step: str) -> frozenset[str]:
        """The facts that decide whether the step applies or what it does."""
        return self._depending[step]

    @cached_property
    def _depending(self) -> dict[str, frozenset[str]]:
        found = {}
        for place in self.places:
            it = place.step
            whens = [it.when, *(a.when for a in it.does), *(self._when(a.thing) for a in it.does)]
            found[it.id] = frozenset(fact for when in whens for fact in when)
        return found

    def is_there(self, thing: str, facts: Facts) -> bool:
        """False for a thing that this vehicle does not have."""
        return self._there(thing, facts)

    def _there(self, thing: str, facts: Facts) -> bool:
        return self.applies(self._when(thing), facts)

    def _when(self, thing: str) -> When:
        when: When = getattr(self.things[thing][1], "when", {}) if thing in self.things else {}
        return when

    def _only_pass(self, action: Action) -> int | None:
        if action.only_pass is None:
            return None
        passes = rounds_of(self.card.fasteners[action.thing])
        last = action.only_pass >= len(passes) or passes[action.only_pass - 1].is_final
        return None if last else action.only_pass

    def _how_many(self, action: Action) -> int | None:
        some = action.some
        if some is None or action.verb not in FASTENER_VERBS:
            return None
        if some.count is not None:
            return some.count
        if some.all_but is not None:
            return max(0, self.card.fasteners[action.thing].count - some.all_but)
        return len(some.places)
