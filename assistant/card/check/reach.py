"""Steps and actions that never apply, or apply where they cannot: searched over their own facts."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.card.model import When
from assistant.card.plan import decided_facts
from assistant.card.written import Path

from .combinations import MOST_COMBINATIONS, Conditions, disjoint, hold
from .finding import Finding
from .happenings import Row


def reach_findings(row: Row) -> Iterator[Finding]:
    """Dead steps, dead actions, things that this vehicle does not have, decisions that come too late."""
    decided_in = _decided_in(row)
    number = 0
    for s, section in enumerate(row.card.sections):
        for i, step in enumerate(section.steps):
            number += 1
            path: Path = ("sections", s, "steps", i)
            if not _ever(row, step.when):
                message = f"Step {number} ({step.id}) never applies."
                yield row.finding((*path, "when"), "dead-step", message, "Mend its `when`, or take the step out.")
                continue
            yield from _late(row, number, step.when, (*path, "when"), decided_in)
            for a, action in enumerate(step.does):
                here: Path = (*path, "does", a)
                yield from _late(row, number, action.when, (*here, "when"), decided_in)
                if action.when and not _ever(row, step.when, action.when):
                    message = f"This never applies within step {number}."
                    yield row.finding(here, "dead-action", message, "Mend its `when`, or take it out.")
                else:
                    yield from _wrong_vehicle(row, number, (step.when, action.when), action.thing, here)


def _ever(row: Row, *conditions: When) -> bool:
    """Can several conditions hold together. Facts that are asked are free, so only decisions need a search."""
    if disjoint(*conditions):
        return False
    facts = {fact for when in conditions for fact in when}
    if not facts & row.combinations.setters.keys():
        return True
    unproved = row.combinations.size(facts) > MOST_COMBINATIONS
    return unproved or any(hold(conditions, combination) for combination in row.combinations.of(facts))


def _wrong_vehicle(row: Row, number: int, conditions: Conditions, thing: str, path: Path) -> Iterator[Finding]:
    has = row.when(thing)
    if not has:
        return
    searched = list(row.combinations.of({fact for each in (*conditions, has) for fact in each}))
    bad = [c for c in searched if hold(conditions, c) and not hold((has,), c)]
    if bad:
        message = f"Step {number} works on the {row.name(thing)}, which this vehicle does not have then."
        mend = "Give the step or the action the same `when` as the thing."
        yield row.finding(path, "wrong-vehicle", message, mend, facts=row.combinations.needed(bad, searched))


def _decided_in(row: Row) -> dict[str, list[tuple[int, str, list[When]]]]:
    """Decided fact -> the steps that may decide it: number, measure, conditions."""
    found: dict[str, list[tuple[int, str, list[When]]]] = {}
    for fact in decided_facts(row.card):
        for measure_id, measure in row.card.measures.items():
            if measure.out is None or measure.out.sets != fact:
                continue
            taken = measure_id if measure.derived is None else measure.derived.of[-1]
            for happening in row.happenings[taken]:
                if happening.verb == "measure":
                    entry = (happening.number, measure_id, list(happening.conditions))
                    found.setdefault(fact, []).append(entry)
    return found


def _late(
    row: Row, number: int, when: When, path: Path, decided_in: dict[str, list[tuple[int, str, list[When]]]]
) -> Iterator[Finding]:
    if not when:
        return
    for fact in when:
        for taken, measure, conditions in decided_in.get(fact, []):
            if taken >= number and _ever(row, when, *conditions):
                message = (
                    f"Step {number} depends on {fact}, which the {row.name(measure)} decides only in step {taken}."
                )
                yield row.finding((*path, fact), "decided-too-late", message, "Measure in an earlier step.")
                break
