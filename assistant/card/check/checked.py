"""All checks of a card, in the order of its file."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.card.load import ReadCard

from .carrying import carrying_rules
from .closing import closing_rules
from .finding import Finding
from .happenings import Row
from .names import name_findings
from .numbers import number_findings
from .order import order_rules
from .phrases import phrase_findings
from .reach import reach_findings
from .rule import Rule, prove
from .said import said_findings
from .unused import unused_findings


def check_card(read: ReadCard) -> tuple[Finding, ...]:
    """Everything that is wrong with the card or wants a look; empty for a card that is proved sound."""
    row = Row(read)
    found = {
        *prove(row, rules_of(row)), *reach_findings(row), *unused_findings(row), *number_findings(row),
        *name_findings(row), *phrase_findings(row), *said_findings(row),
    }  # fmt: skip
    return tuple(sorted(_without_accepted(row, found)))


def _without_accepted(row: Row, found: set[Finding]) -> Iterator[Finding]:
    """Warnings that the card accepts are left out; an acceptance that meets nothing is told."""
    left = {(accepted.finding, accepted.of): n for n, accepted in enumerate(row.card.accepted)}
    met = set()
    for finding in found:
        key = (finding.code, finding.about)
        if finding.severity == "warning" and key in left:
            met.add(key)
        else:
            yield finding
    for (code, about), n in left.items():
        if (code, about) not in met:
            message = f'"{code}" is accepted of {about}, and the check finds no such thing there.'
            yield row.finding(("accepted", n), "accepted-in-vain", message, "Take it out.", severity="warning")


def rules_of(row: Row) -> Iterator[Rule]:
    """Everything that is proved by search."""
    yield from closing_rules(row)
    yield from order_rules(row)
    yield from carrying_rules(row)
