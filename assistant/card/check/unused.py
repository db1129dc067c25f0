"""What stands on the card and nothing uses, and what a draft has left open."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.card.plan import KINDS, conditions, decided_facts
from assistant.card.written import Path

from .finding import Finding
from .happenings import Row

_NEEDS_A_STEP = ("part", "fastener", "connection", "fluid", "cover", "mark", "support")


def unused_findings(row: Row) -> Iterator[Finding]:
    yield from _facts(row)
    yield from _things(row)
    yield from _measures(row)
    yield from _drafts(row)


def _facts(row: Row) -> Iterator[Finding]:
    used = {fact for _, when in conditions(row.card) for fact in when}
    set_by = decided_facts(row.card)
    for fact in row.card.facts:
        if fact not in used:
            doing = "decided" if fact in set_by else "asked"
            message = f"The fact {fact} is {doing}, and nothing depends on it."
            mend = "Take it out, or give the steps it is about a `when`."
            yield row.finding(("facts", fact), "never-asked-for", message, mend, severity="warning")


def _mentioned(row: Row) -> set[str]:
    """Things that others refer to."""
    found: set[str] = set()
    for thing in row.things.values():
        for field in ("joins", "behind", "over", "held_by", "carries"):
            found.update(getattr(thing.entry, field, ()))
        for field in ("tool", "part", "replaces"):
            if (other := getattr(thing.entry, field, None)) is not None:
                found.add(other)
    for section in row.card.sections:
        for step in section.steps:
            found.update(step.tools)
    return found


def _things(row: Row) -> Iterator[Finding]:
    mentioned = _mentioned(row)
    for thing in row.things.values():
        if row.happenings[thing.id] or thing.kind == "measure":
            continue
        needs_step = thing.kind in _NEEDS_A_STEP and thing.kind != "part"
        if needs_step or thing.id not in mentioned:
            message = f"No step uses the {thing.entry.name}."
            yield row.finding(
                (KINDS[thing.kind], thing.id), "never-used", message, "Take it out, or name it in a step.",
                severity="warning",
            )  # fmt: skip


def _measures(row: Row) -> Iterator[Finding]:
    for measure_id, measure in row.card.measures.items():
        taken = [h for h in row.happenings[measure_id] if h.verb == "measure"]
        if measure.derived is None and not taken:
            message = f"No step takes the {measure.name}."
            mend = f"Add `measure: {measure_id}` to a step, or take it out."
            yield row.finding(("measures", measure_id), "never-measured", message, mend, severity="warning")
        elif measure.derived is not None and taken:
            message = f"Step {taken[0].number} takes the {measure.name}, which is worked out from other readings."
            mend = f"Measure {', '.join(measure.derived.of)} instead; the rest follows."
            yield row.finding(taken[0].path, "not-there", message, mend)


def _drafts(row: Row) -> Iterator[Finding]:
    spots: list[tuple[Path, list[str]]] = [(("unsure",), row.card.unsure)]
    for thing in row.things.values():
        spots.append(((KINDS[thing.kind], thing.id, "unsure"), thing.entry.unsure))
    for s, section in enumerate(row.card.sections):
        for i, step in enumerate(section.steps):
            spots.append((("sections", s, "steps", i, "unsure"), step.unsure))
    for path, questions in spots:
        for n, question in enumerate(questions):
            mend = "Settle it, and take the line out."
            yield row.finding((*path, n), "unsettled", f"Left open by the draft: {question}", mend, severity="warning")
    for fastener_id, fastener in row.card.fasteners.items():
        if not fastener.count:
            path = ("fasteners", fastener_id, "count")
            yield row.finding(path, "unsettled", f"How many {fastener.name} there are is unknown.", "Count them.")
