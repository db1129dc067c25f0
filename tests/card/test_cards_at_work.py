"""A card that the check calls sound can be worked to its end: the job refuses nothing and leaves nothing open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from assistant.card.check.combinations import Combinations
from assistant.card.load import find_card, load_card_text, shipped_cards
from assistant.card.model import Action, Card, Measure
from assistant.card.plan import actions_for, decided_facts, steps_for, things
from assistant.job import events as e
from assistant.job.holds import lacking, wanting
from assistant.job.open_items import blocking, needs_value
from assistant.job.state import State, apply, begin

START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


class Worker:
    """Does what the card says, with the facts given and the decisions wanted."""

    def __init__(self, card: Card, facts: Mapping[str, str]) -> None:
        self.card, self.facts, self.seq, self.step = card, facts, 0, ""
        self.state: State = begin(card)
        self.things = things(card)
        self.does(e.JobStarted(card.card, card.revision, "0" * 64, card.title))
        for fact, option in facts.items():
            if fact not in decided_facts(card):
                self.does(e.FactSet(fact, option))

    def does(self, body: e.Body) -> None:
        self.seq += 1
        at = START + timedelta(minutes=self.seq)
        self.state = apply(self.state, e.Event(self.seq, at, "Mara", self.step, body))

    def works(self) -> None:
        done: set[str] = set()
        while step := next((s for s in steps_for(self.card, self.state.facts) if s.id not in done), None):
            self.step = step.id
            for lack in lacking(self.state, step.id):
                assert lack.what in ("hold", "lift"), (step.id, lack.says)
                self.does(e.Confirmed(step.id, lack.what))
            self.does(e.StepStarted(step.id))
            for action in actions_for(self.card, step, self.state.facts):
                for body in self.acts(action):
                    self.does(body)
            if step.check:
                self.does(e.Confirmed(step.id, "check"))
            assert [lack.says for lack in wanting(self.state, step.id)] == [], step.id
            self.does(e.StepDone(step.id))
            done.add(step.id)

    def acts(self, action: Action) -> Iterator[e.Body]:
        if action.verb == "measure":
            yield from self.measures(action.thing, self.card.measures[action.thing])
        elif action.verb == "tighten":
            fastener = self.card.fasteners[action.thing]
            last = max(1, len(fastener.passes))
            if action.only_pass is not None and action.only_pass < last:
                yield e.ActionDone("tighten", action.thing, pass_no=action.only_pass)
            elif needs_value(fastener) and fastener.torque is not None:
                value = fastener.torque.value or fastener.torque.low
                assert value is not None
                yield e.Torqued(action.thing, value, fastener.torque.unit)
            else:
                yield e.ActionDone("tighten", action.thing)
        elif action.verb not in ("inspect", "apply"):
            some, count = action.some, None
            if some is not None:
                whole = self.card.fasteners[action.thing].count
                count = some.count or (whole - some.all_but if some.all_but else len(some.places))
            yield e.ActionDone(action.verb, action.thing, count)

    def measures(self, measure_id: str, measure: Measure) -> Iterator[e.Body]:
        """Inside its limits, unless a decision is wanted that only a reading outside leads to; then what is worked
        out from it."""
        outside = self.wants(measure)
        for reading in range(1, measure.readings + 1):
            verdict = "outside" if outside else "inside"
            yield e.Measured(measure_id, a_reading(measure), measure.unit, verdict, reading)
        if outside and measure.out is not None and measure.out.sets is not None:
            yield e.Decided(measure_id, self.facts[measure.out.sets])
        for other_id, other in self.card.measures.items():
            if other.derived is not None and other.derived.of[-1] == measure_id:
                yield from self.measures(other_id, other)

    def wants(self, measure: Measure) -> bool:
        if measure.out is None or measure.out.sets is None:
            return False
        wanted = self.facts[measure.out.sets]
        return wanted in measure.out.options and wanted != measure.out.inside


def a_reading(measure: Measure) -> Decimal:
    """A number that could be read; the verdict is given beside it."""
    limits = (measure.limits.low, measure.limits.high) if measure.limits else ()
    return next(value for value in (measure.nominal, *limits, Decimal(1)) if value is not None)


def ways() -> Iterator[tuple[str, dict[str, str]]]:
    """Every card with every combination of its facts."""
    for name in shipped_cards():
        card = find_card(name).card
        for facts in Combinations(card).of(card.facts):
            yield name, facts


WAYS = list(ways())
CARDS = {name: find_card(name).card for name in shipped_cards()}


@pytest.mark.parametrize(("name", "facts"), WAYS, ids=[f"{n}-{'-'.join(f.values())}" for n, f in WAYS])
def test_it_is_worked_to_its_end(name: str, facts: dict[str, str]) -> None:
    worker = Worker(CARDS[name], facts)
    worker.works()
    assert [f"{item.kind} {item.name}" for item in blocking(worker.state)] == []
    worker.does(e.Finished())
    assert worker.state.finished


def test_what_a_broken_card_forgets_stands_open_at_the_end() -> None:
    text = find_card("wheel-end").text.replace("- connect: wear-wire", "- inspect: caliper")
    worker = Worker(load_card_text(text), WAYS[-1][1])
    worker.works()
    assert [item.id for item in blocking(worker.state)] == ["connection-open:wear-wire"]
