"""Can the names be told apart by ear, and does each phrase of the grammar ask for one thing."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.card.plan import KINDS
from assistant.dialogue.sounds import confused_pairs

from .combinations import disjoint
from .finding import Finding
from .happenings import Row


def name_findings(row: Row) -> Iterator[Finding]:
    """Pairs of names of different things that one vehicle may have together."""
    owners: dict[str, list[str]] = {}
    for thing in row.things.values():
        for name in dict.fromkeys(" ".join(n.lower().split()) for n in (thing.entry.name, *thing.entry.aka)):
            owners.setdefault(name, []).append(thing.id)
    for name, things in owners.items():
        for n, one in enumerate(things):
            for other in things[n + 1 :]:
                if one != other and not disjoint(row.when(one), row.when(other)):
                    kinds = f"{row.things[one].kind} and a {row.things[other].kind}"
                    message = f'A {kinds} are both called "{name}".'
                    mend = "Give one of them another name."
                    path = (KINDS[row.things[other].kind], other, "name")
                    yield row.finding(path, "sounds-alike", message, mend, severity="warning")
    told: set[tuple[str, str]] = set()
    for first, second in confused_pairs(owners):
        for one in owners[first]:
            for other in owners[second]:
                pair = (min(one, other), max(one, other))
                if one == other or pair in told or disjoint(row.when(one), row.when(other)):
                    continue
                told.add(pair)
                message = f'"{first}" and "{second}" are one swallowed sound apart.'
                mend = "Rename one, or make them differ in a whole word."
                path = (KINDS[row.things[other].kind], other, "name")
                yield row.finding(path, "sounds-alike", message, mend, severity="warning")
