"""Does everything that a card refers to stand on it: ids, options, facts, places, passes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

from .fault import Fault
from .model import Card
from .nearest import did_you_mean
from .plan import KINDS, VERB_KIND, conditions, things
from .written import Path, Written

MOST_STEPS, MOST_NAMES, MOST_FACTS = 5_000, 5_000, 60


class _Misfit(NamedTuple):
    path: Path
    what: str
    mend: str


def faults_between(card: Card, written: Written, file: str) -> tuple[Fault, ...]:
    """Faults that show only when entries are held against each other, in the order of the file."""
    checks: tuple[Callable[[Card], Iterator[_Misfit]], ...] = (
        _same_id_twice, _conditions_known, _links_known, _verdicts_fit, _derived_from_known, _steps_fit, _names_apart,
        _accepted_known,
    )  # fmt: skip
    if size := _too_large(card):
        place = written.place(size.path)
        return (Fault(place.line, place.column, size.what, size.mend, file),)
    faults = []
    for check in checks:
        for path, what, mend in check(card):
            place = written.place(path)
            faults.append(Fault(place.line, place.column, what, mend, file))
    return tuple(sorted(set(faults)))


def _too_large(card: Card) -> _Misfit | None:
    names = sum(1 + len(thing.entry.aka) for thing in things(card).values())
    steps = sum(len(section.steps) for section in card.sections)
    for path, what, count, most in (
        ("sections", "steps", steps, MOST_STEPS),
        ("title", "names of things", names, MOST_NAMES),
        ("facts", "facts", len(card.facts), MOST_FACTS),
    ):
        if count > most:
            return _Misfit((path,), f"This card has {count} {what}, more than {most}.", "Split it into several cards.")
    return None


def _unknown(path: Path, thing_id: str, known: Iterable[str], kind: str) -> Iterator[_Misfit]:
    known = list(known)
    if thing_id not in known:
        mend = did_you_mean(thing_id, known, f"Add it under the card's {kind}s, or mend the name.")
        yield _Misfit(path, f'There is no {kind} "{thing_id}" on this card.', mend)


def _same_id_twice(card: Card) -> Iterator[_Misfit]:
    seen: dict[str, str] = {"vehicle": "the vehicle itself"}
    for kind, table in KINDS.items():
        for thing_id in getattr(card, table):
            if thing_id in seen:
                what = f'The id "{thing_id}" is taken already ({seen[thing_id]}).'
                yield _Misfit((table, thing_id), what, "Each thing has an id of its own: rename one.")
            seen.setdefault(thing_id, kind)
    sections: set[str] = set()
    steps: set[str] = set()
    for s, section in enumerate(card.sections):
        if section.id in sections:
            yield _Misfit(("sections", s, "id"), f'Two sections are called "{section.id}".', "Rename one.")
        sections.add(section.id)
        for i, step in enumerate(section.steps):
            if step.id in steps:
                yield _Misfit(("sections", s, "steps", i, "id"), f'Two steps are called "{step.id}".', "Rename one.")
            steps.add(step.id)
    follow_ups: set[str] = set()
    for i, item in enumerate(card.follow_ups):
        if item.id in follow_ups:
            yield _Misfit(("follow-ups", i, "id"), f'Two follow-ups are called "{item.id}".', "Rename one.")
        follow_ups.add(item.id)


def _conditions_known(card: Card) -> Iterator[_Misfit]:
    for path, when in conditions(card):
        for fact, options in when.items():
            if fact not in card.facts:
                mend = did_you_mean(fact, card.facts, "Ask it under `facts`, or take the condition out.")
                yield _Misfit((*path, fact), f'The fact "{fact}" is never asked.', mend)
                continue
            for option in [options] if isinstance(options, str) else options:
                if option not in card.facts[fact].options:
                    known = card.facts[fact].options
                    mend = did_you_mean(option, known, f"Its options are: {', '.join(known)}.")
                    yield _Misfit((*path, fact), f'The fact "{fact}" has no option "{option}".', mend)
            if not options:
                yield _Misfit((*path, fact), f'No option of "{fact}" is named.', "Name at least one.")


def _links(card: Card) -> Iterator[tuple[Path, str, tuple[str, ...]]]:
    """Every reference of one thing to another: path, id, kinds that it may be."""
    for kind, table in KINDS.items():
        for thing_id, entry in getattr(card, table).items():
            fields: Mapping[str, tuple[str, ...]] = {
                "joins": ("part",),
                "behind": ("part",),
                "held_by": ("fastener", "connection", "part"),
                "over": ("part", "connection"),
                "carries": ("part",),
            }
            for field, kinds in fields.items():
                for n, other in enumerate(getattr(entry, field, [])):
                    if (field, other) != ("carries", "vehicle"):
                        yield (table, thing_id, field, n), other, kinds
            if kind == "part" and entry.replaces is not None:
                yield (table, thing_id, "replaces"), entry.replaces, ("part",)
            if kind in ("fastener", "measure") and entry.tool is not None:
                yield (table, thing_id, "tool"), entry.tool, ("tool",)
            if kind == "measure" and entry.part is not None:
                yield (table, thing_id, "part"), entry.part, ("part", "fastener", "fluid", "connection")
    for i, item in enumerate(card.follow_ups):
        if item.fastener is not None:
            yield ("follow-ups", i, "fastener"), item.fastener, ("fastener",)


def _links_known(card: Card) -> Iterator[_Misfit]:
    known = things(card)
    for path, other, kinds in _links(card):
        of_kind = [thing.id for thing in known.values() if thing.kind in kinds]
        if other in known and other not in of_kind:
            what = f'"{other}" is a {known[other].kind}; a {" or ".join(kinds)} belongs here.'
            yield _Misfit(path, what, did_you_mean(other, of_kind, "Mend the name."))
        else:
            yield from _unknown(path, other, of_kind, kinds[0])
    hides = {part_id: list(part.behind) for part_id, part in card.parts.items()}
    yield from _circles(hides, "parts", "behind", "hides itself")
    takes_place = {part_id: [part.replaces] for part_id, part in card.parts.items() if part.replaces}
    yield from _circles(takes_place, "parts", "replaces", "replaces itself")


def _verdicts_fit(card: Card) -> Iterator[_Misfit]:
    for measure_id, measure in card.measures.items():
        verdict, path = measure.out, ("measures", measure_id, "out")
        if verdict is None:
            continue
        if measure.limits is None:
            yield _Misfit(path, "This says what follows out of limits, but there are none.", "Add `limits`.")
        if verdict.sets is None:
            continue
        if verdict.sets not in card.facts:
            mend = did_you_mean(verdict.sets, card.facts, "Add the fact with the same options.")
            yield _Misfit((*path, "sets"), f'There is no fact "{verdict.sets}".', mend)
            continue
        known = card.facts[verdict.sets].options
        for option in verdict.options:
            if option not in known:
                mend = did_you_mean(option, known, f"Its options are: {', '.join(known)}.")
                yield _Misfit((*path, "options", option), f'The fact "{verdict.sets}" has no option "{option}".', mend)
        if verdict.inside is not None and verdict.inside not in known:
            mend = did_you_mean(verdict.inside, known, f"Its options are: {', '.join(known)}.")
            yield _Misfit((*path, "inside"), f'The fact "{verdict.sets}" has no option "{verdict.inside}".', mend)


def _derived_from_known(card: Card) -> Iterator[_Misfit]:
    inputs: dict[str, list[str]] = {}
    for measure_id, measure in card.measures.items():
        if measure.derived is None:
            continue
        inputs[measure_id] = list(measure.derived.of)
        path: Path = ("measures", measure_id, "derived")
        for n, other in enumerate(measure.derived.of):
            yield from _unknown((*path, "of", n), other, card.measures, "measure")
            if other in card.measures and card.measures[other].unit != measure.unit:
                what = f'"{measure_id}" is in {measure.unit}, "{other}" in {card.measures[other].unit}.'
                yield _Misfit((*path, "of", n), what, "A derived reading and what it is made of share one unit.")
        only = card.measures.get(measure.derived.of[0])
        if measure.derived.kind in ("spread", "mean") and len(measure.derived.of) == 1 and only and only.readings == 1:
            what = f'"{measure.derived.of[0]}" is read once; there is no {measure.derived.kind} of one reading.'
            yield _Misfit((*path, "of"), what, "Give that measure `readings` of 2 or more.")
    yield from _circles(inputs, "measures", "derived", "is worked out of itself")


def _circles(links: Mapping[str, list[str]], table: str, field: str, wrong: str) -> Iterator[_Misfit]:
    """A misfit at the first member of a circle of references, if there is one."""
    try:
        TopologicalSorter(links).prepare()
    except CycleError as error:
        circle: list[str] = error.args[1]
        what = f'"{circle[0]}" {wrong}: {" -> ".join(circle)}.'
        yield _Misfit((table, min(circle, key=list(links).index), field), what, "Break the circle.")


def _steps_fit(card: Card) -> Iterator[_Misfit]:
    known = things(card)
    by_kind = {kind: [t.id for t in known.values() if t.kind == kind] for kind in KINDS}
    for s, section in enumerate(card.sections):
        for i, step in enumerate(section.steps):
            path: Path = ("sections", s, "steps", i)
            for n, tool in enumerate(step.tools):
                yield from _unknown((*path, "tools", n), tool, by_kind["tool"], "tool")
            for n, connection in enumerate(step.hold.off if step.hold else []):
                yield from _unknown((*path, "hold", "off", n), connection, by_kind["connection"], "connection")
            for n, support in enumerate(step.hold.needs if step.hold else []):
                yield from _unknown((*path, "hold", "needs", n), support, by_kind["support"], "support")
            for a, action in enumerate(step.does):
                here: Path = (*path, "does", a)
                kinds = VERB_KIND[action.verb]
                of_kind = [thing_id for kind in kinds for thing_id in by_kind[kind]]
                verb = action.verb.replace("_", "-")
                if action.thing in known and action.thing not in of_kind:
                    what = f'"{action.thing}" is a {known[action.thing].kind}; one cannot {verb} it.'
                    yield _Misfit(here, what, "Use the verb for that kind of thing.")
                    continue
                if action.thing not in known:
                    yield from _unknown(here, action.thing, of_kind, kinds[0])
                    continue
                fastener = card.fasteners.get(action.thing)
                if fastener is None:
                    continue
                if action.only_pass and action.only_pass > max(1, len(fastener.passes)):
                    what = f'"{action.thing}" has {len(fastener.passes)} passes, not {action.only_pass}.'
                    yield _Misfit((*here, "only-pass"), what, "Mend the pass.")
                if action.some and fastener.count:
                    some = action.some
                    number = some.count or some.all_but or 0
                    if number > fastener.count or some.all_but == fastener.count:
                        what = f'"{action.thing}" is a set of {fastener.count}.'
                        yield _Misfit((*here, "some"), what, "Mend the number.")
                    for place in some.places:
                        if place not in fastener.places:
                            what = f'"{action.thing}" has no place "{place}".'
                            mend = did_you_mean(place, fastener.places, "Name its `places`.")
                            yield _Misfit((*here, "some"), what, mend)


def _names_apart(card: Card) -> Iterator[_Misfit]:
    """One name for two things of one kind, unless no vehicle has both."""
    for table in KINDS.values():
        seen: dict[str, list[str]] = {}
        entries = getattr(card, table)
        for thing_id, entry in entries.items():
            for name in {" ".join(n.lower().replace("-", " ").split()) for n in (entry.name, *entry.aka)}:
                for other in seen.get(name, []):
                    if not never_together(getattr(entry, "when", {}), getattr(entries[other], "when", {})):
                        what = f'"{other}" and "{thing_id}" are both called "{name}".'
                        yield _Misfit((table, thing_id, "name"), what, "Give one of them another name.")
                seen.setdefault(name, []).append(thing_id)


def _accepted_known(card: Card) -> Iterator[_Misfit]:
    known = [*things(card), *card.facts, *(step.id for section in card.sections for step in section.steps)]
    for n, accepted in enumerate(card.accepted):
        if accepted.of not in known:
            mend = did_you_mean(accepted.of, known, "Name a thing, a fact or a step.")
            yield _Misfit(("accepted", n, "of"), f'There is no "{accepted.of}" on this card.', mend)


def never_together(one: Mapping[str, str | list[str]], other: Mapping[str, str | list[str]]) -> bool:
    """True where two conditions name a fact with no option in common."""
    for fact in one.keys() & other.keys():
        a, b = one[fact], other[fact]
        if not ({a} if isinstance(a, str) else set(a)) & ({b} if isinstance(b, str) else set(b)):
            return True
    return False
