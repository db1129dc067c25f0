"""A card as one row of happenings: what is done to what, in order, and when it applies."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from assistant.card.load import ReadCard
from assistant.card.model import Action, Card, Some, Step, When
from assistant.card.plan import Thing, place_of, things
from assistant.card.written import Path, Place

from .combinations import Combinations, Conditions
from .finding import Finding, Severity


@dataclass(frozen=True, slots=True)
class Happening:
    """One action, or the hold before a step's actions (verb "hold")."""

    at: int
    """Its place in the whole row, 0, 1, 2 ..."""
    number: int
    """Number of its step, 1-based."""
    step: Step
    verb: str
    thing: str
    some: Some | None
    only_pass: int | None
    conditions: Conditions
    path: Path


class Row:
    """The card that is checked, its happenings by thing, and where everything stands in the file."""

    def __init__(self, read: ReadCard) -> None:
        self.read = read
        self.card: Card = read.card
        self.things: dict[str, Thing] = things(read.card)
        self.combinations = Combinations(read.card)
        self.happenings: dict[str, list[Happening]] = {thing: [] for thing in self.things}
        at = number = 0
        for s, section in enumerate(self.card.sections):
            for i, step in enumerate(section.steps):
                number += 1
                path: Path = ("sections", s, "steps", i)
                for n, support in enumerate(step.hold.needs if step.hold else ()):
                    conditions = (step.when, self.when(support))
                    where = (*path, "hold", "needs", n)
                    self._add(Happening(at, number, step, "hold", support, None, None, conditions, where))
                    at += 1
                for a, action in enumerate(step.does):
                    self._add(self._of_action(at, number, step, action, (*path, "does", a)))
                    at += 1

    def _of_action(self, at: int, number: int, step: Step, action: Action, path: Path) -> Happening:
        conditions = tuple(when for when in (step.when, action.when, self.when(action.thing)) if when)
        return Happening(
            at, number, step, action.verb, action.thing, action.some, action.only_pass, conditions, path
        )  # fmt: skip

    def _add(self, happening: Happening) -> None:
        self.happenings[happening.thing].append(happening)

    def when(self, thing: str) -> When:
        """The condition under which the vehicle has the thing."""
        when: When = getattr(self.things[thing].entry, "when", {})
        return when

    def name(self, thing: str) -> str:
        return self.things[thing].entry.name

    def slot(self, part: str) -> str:
        """The place that a part fills: the part that was there first."""
        return place_of(self.card, part)

    @cached_property
    def fillers(self) -> dict[str, list[str]]:
        """Place -> the parts that fill it, the one that was there first before its replacements."""
        found: dict[str, list[str]] = {}
        for part in self.card.parts:
            found.setdefault(self.slot(part), []).append(part)
        return found

    @cached_property
    def holding(self) -> dict[str, list[str]]:
        """Place of a part -> the fasteners that hold what is in it."""
        found: dict[str, list[str]] = {}
        for fastener_id, fastener in self.card.fasteners.items():
            for slot in dict.fromkeys(self.slot(part) for part in fastener.joins):
                found.setdefault(slot, []).append(fastener_id)
        return found

    def of(self, thing_ids: Iterable[str]) -> list[Happening]:
        """What happens to any of several things, in order."""
        return sorted((h for thing in dict.fromkeys(thing_ids) for h in self.happenings[thing]), key=lambda h: h.at)

    def facts_of(self, thing_ids: Iterable[str]) -> set[str]:
        """The facts that decide what happens to the things, and whether they are there."""
        found: set[str] = set()
        for thing in thing_ids:
            found |= self.when(thing).keys()
            for happening in self.happenings[thing]:
                for when in happening.conditions:
                    found |= when.keys()
        return found

    def place(self, path: Path) -> Place:
        return self.read.written.place(path)

    def finding(
        self,
        path: Path,
        code: str,
        message: str,
        mend: str,
        *,
        severity: Severity = "error",
        facts: tuple[tuple[str, str], ...] = (),
    ) -> Finding:
        """A finding with its place in the file."""
        place = self.place(path)
        about = self._about(path)
        return Finding(self.read.file, place.line, place.column, code, severity, message, mend, about, facts)

    def _about(self, path: Path) -> str:
        """Id of the step, thing or fact that a path leads into."""
        match path:
            case ("sections", int(section), "steps", int(step), *_):
                return self.card.sections[section].steps[step].id
            case (_, str(thing), *_):
                return thing
        return ""
