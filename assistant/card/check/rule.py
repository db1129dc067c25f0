"""A rule about a few things, and its proof over every combination of the facts that touch them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from assistant.card.plan import KINDS
from assistant.card.written import Path

from .bay import Bay
from .combinations import MOST_COMBINATIONS, hold
from .finding import Finding
from .happenings import Happening, Row

MOST_WALKED = 3_000_000
"""Happenings walked for one card, over all rules and combinations: some seconds. The largest real cards need
a hundredth of it."""


class Problem(NamedTuple):
    """What is wrong under one combination of facts."""

    path: Path
    code: str
    message: str
    mend: str


@dataclass(frozen=True, slots=True)
class Rule:
    """Something that must hold of a few things."""

    things: frozenset[str]
    """Everything that the rule looks at."""
    before: Callable[[Bay, Happening], Iterator[Problem]] | None = None
    """Problems of a happening, seen just before it."""
    at_end: Callable[[Bay], Iterator[Problem]] | None = None
    """Problems of how things stand when the job is done."""


def prove(row: Row, rules: Iterable[Rule]) -> Iterator[Finding]:
    """Each problem once, with a combination of facts under which it happens."""
    seen: set[Problem] = set()
    left = MOST_WALKED
    for rule in rules:
        facts, happenings = row.facts_of(rule.things), row.of(rule.things)
        size = row.combinations.size(facts)
        most = min(MOST_COMBINATIONS, left // (len(happenings) + 1))
        if size > most:
            yield _not_proved(row, rule, size, most)
        searched = list(row.combinations.of(facts, most))
        left -= len(searched) * (len(happenings) + 1)
        bad: dict[Problem, list[dict[str, str]]] = {}
        for combination in searched:
            for problem in set(walk(row, rule, happenings, combination)):
                bad.setdefault(problem, []).append(combination)
        for problem, where in bad.items():
            if problem not in seen:
                seen.add(problem)
                needed = row.combinations.needed(where, searched)
                path, code, message, mend = problem
                yield row.finding(path, code, message, mend, facts=needed)


def walk(row: Row, rule: Rule, happenings: list[Happening], combination: dict[str, str]) -> Iterator[Problem]:
    """Problems of one rule under one combination."""
    bay = Bay(row, rule.things, combination)
    for happening in happenings:
        if hold(happening.conditions, combination):
            if rule.before is not None:
                yield from rule.before(bay, happening)
            bay.take(happening)
    if rule.at_end is not None:
        yield from rule.at_end(bay)


def _not_proved(row: Row, rule: Rule, size: int, most: int) -> Finding:
    first = min(rule.things, key=lambda thing: row.happenings[thing][0].at if row.happenings[thing] else 10**9)
    path = (KINDS[row.things[first].kind], first)
    message = (
        f"{row.name(first)}: its steps depend on {size} combinations of facts; only the first {most} were searched."
    )
    mend = "Split the job into cards with fewer facts each."
    return row.finding(path, "not-proved", message, mend, severity="warning")
