"""Every combination of the facts that matter to a question, and no other.

A step, an action and a thing are bound to the few facts that their `when` names, so a rule about two
things is settled by searching the combinations of their facts alone: the rest cannot change it. That
is what keeps a proof over eight facts small.

A fact that a decision sets has one value more, "undecided": its measure was not taken, or read inside.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from itertools import islice, product

from assistant.card.model import Card, When
from assistant.card.plan import applies, options_of, things

UNDECIDED = "undecided"
MOST_COMBINATIONS = 4096
"""Searched for one question. A card that has more of the facts on one thing is told so."""
Facts = Mapping[str, str]
Conditions = tuple[When, ...]


def hold(conditions: Conditions, facts: Facts) -> bool:
    """True where all of several `when` hold; an undecided fact holds nowhere."""
    return all(applies(when, facts) for when in conditions)


class Combinations:
    """The facts of one card and what may be the case together."""

    def __init__(self, card: Card) -> None:
        self.card = card

    @cached_property
    def setters(self) -> dict[str, list[tuple[str, list[Conditions]]]]:
        """Decided fact -> its measures, each with the conditions under which some step takes it."""
        taken: dict[str, list[Conditions]] = {}
        known = things(self.card)
        for section in self.card.sections:
            for step in section.steps:
                for action in step.does:
                    if action.measure is not None:
                        when: When = getattr(known[action.measure].entry, "when", {})
                        taken.setdefault(action.measure, []).append((step.when, action.when, when))
        found: dict[str, list[tuple[str, list[Conditions]]]] = {}
        for measure_id, measure in self.card.measures.items():
            if measure.out is not None and measure.out.sets is not None:
                ways = list(taken.get(measure_id, []))
                if measure.derived is not None:
                    # worked out as soon as the last of its readings is in; that one's condition stands for it
                    ways = [(*way, measure.when) for way in taken.get(measure.derived.of[-1], [])]
                found.setdefault(measure.out.sets, []).append((measure_id, ways))
        return found

    def closed(self, facts: Iterable[str]) -> tuple[str, ...]:
        """The facts, and those on which the decisions among them depend, in the order of the card."""
        wanted, ahead = set(facts), list(facts)
        while ahead:
            for _, ways in self.setters.get(ahead.pop(), []):
                for way in ways:
                    for when in way:
                        new = when.keys() - wanted
                        wanted |= new
                        ahead.extend(new)
        return tuple(fact for fact in self.card.facts if fact in wanted)

    def values(self, fact: str) -> list[str]:
        """What a fact may be: its options, or what its decisions can lead to."""
        if fact not in self.setters:
            return list(self.card.facts[fact].options)
        decided: dict[str, None] = {}
        for measure_id, _ in self.setters[fact]:
            out = self.card.measures[measure_id].out
            assert out is not None
            decided |= dict.fromkeys([*out.options, *([out.inside] if out.inside else [])])
        return [*decided, UNDECIDED]

    def size(self, facts: Iterable[str]) -> int:
        """An upper bound of how many combinations there are."""
        count = 1
        for fact in self.closed(facts):
            count *= len(self.values(fact))
        return count

    def of(self, facts: Iterable[str], most: int = MOST_COMBINATIONS) -> Iterator[dict[str, str]]:
        """Every combination of these facts that can be the case; of `size` no more than `most` are looked at."""
        names = self.closed(facts)
        for values in islice(product(*(self.values(name) for name in names)), most):
            combination = dict(zip(names, values, strict=True))
            if all(self._can_be(fact, combination) for fact in names if fact in self.setters):
                yield combination

    def _can_be(self, fact: str, combination: Facts) -> bool:
        """A decision was taken only where its measure was, and is open only where it may be."""
        allowed: set[str] = set()
        for measure_id, ways in self.setters[fact]:
            if any(hold(way, combination) for way in ways):
                out = self.card.measures[measure_id].out
                assert out is not None
                allowed |= {*out.options, out.inside or UNDECIDED}
        return combination[fact] in (allowed or {UNDECIDED})

    def needed(self, bad: list[dict[str, str]], all_of: list[dict[str, str]]) -> tuple[tuple[str, str], ...]:
        """The first bad combination, without the facts whose other values are just as bad."""
        if len(bad) == len(all_of):
            return ()
        known = {frozenset(combination.items()) for combination in bad}
        example = dict(bad[0])
        for fact in list(example):
            rest = {name: value for name, value in example.items() if name != fact}
            like = [frozenset(c.items()) for c in all_of if rest.items() <= c.items()]
            if known.issuperset(like):
                example = rest
        return tuple(example.items())


def disjoint(*conditions: When) -> bool:
    """True where two of the conditions ask one fact for options that have nothing in common."""
    seen: dict[str, frozenset[str]] = {}
    for when in conditions:
        for fact, options in options_of(when).items():
            seen[fact] = seen.get(fact, options) & options
            if not seen[fact]:
                return True
    return False
