"""The shipped cards together say everything that the language can, and are cards that one would work by."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from assistant.card.load import find_card, shipped_cards
from assistant.card.model import VERBS, Action, Card, Fastener, Measure, Step, Torque
from assistant.card.plan import all_steps, asked_facts
from assistant.dialogue.sounds import sounds_like_distance

CARDS = {name: find_card(name).card for name in shipped_cards()}


def fasteners() -> Iterator[Fastener]:
    return (fastener for card in CARDS.values() for fastener in card.fasteners.values())


def torques() -> Iterator[Torque]:
    return (fastener.torque for fastener in fasteners() if fastener.torque is not None)


def measures() -> Iterator[Measure]:
    return (measure for card in CARDS.values() for measure in card.measures.values())


def steps() -> Iterator[Step]:
    return (step for card in CARDS.values() for _, _, step in all_steps(card))


def actions() -> Iterator[Action]:
    return (action for step in steps() for action in step.does)


SAID: dict[str, Callable[[], bool]] = {
    "a fact asked once": lambda: any(asked_facts(card) for card in CARDS.values()),
    "a step that depends on one fact": lambda: any(len(step.when) == 1 for step in steps()),
    "an action that depends on a fact": lambda: any(action.when for action in actions()),
    "a condition with several options": lambda: any(isinstance(o, list) for a in actions() for o in a.when.values()),
    "a torque as a value": lambda: any(t.value and not t.low and not t.angle_deg for t in torques()),
    "a range": lambda: any(t.value is None and t.low for t in torques()),
    "a value with tolerance": lambda: any(t.value and t.low for t in torques()),
    "a value plus angle": lambda: any(t.value and t.angle_deg for t in torques()),
    "snug by hand": lambda: any(t.by_hand for t in torques()),
    "several passes": lambda: any(len(f.passes) > 2 for f in fasteners()),
    "a pass with its own torque": lambda: any(p.torque for f in fasteners() for p in f.passes),
    "a last pass round the circle": lambda: any(f.passes and f.passes[-1].pattern == "round" for f in fasteners()),
    "a quarter turn each until snug, then to the value": lambda: any(
        f.passes and f.passes[0].angle_deg == 90 and f.passes[0].until == "snug" and f.passes[-1].share == 100
        for f in fasteners()
    ),
    "sixteen bolts in passes": lambda: any(f.count == 16 and len(f.passes) >= 4 for f in fasteners()),
    "a start mark": lambda: any(f.order and f.order.start for f in fasteners()),
    "all but one": lambda: any(a.some and a.some.all_but == 1 for a in actions()),
    "one pass alone": lambda: any(a.only_pass for a in actions()),
    "a treatment by place": lambda: any(f.treatment and f.treatment.where for f in fasteners()),
    "a material here and none there": lambda: any(a.apply and a.to and a.not_to for a in actions()),
    "lengths by position": lambda: any(f.lengths and f.places for f in fasteners()),
    "a left-hand thread": lambda: any(f.left_hand for f in fasteners()),
    "a fastener that is only lent": lambda: any(f.starts_off for f in fasteners()),
    "a support with its capacity": lambda: any(s.capacity_kg for c in CARDS.values() for s in c.supports.values()),
    "a part over the lift limit": lambda: any(
        p.mass_kg and p.mass_kg > c.lift_limit_kg for c in CARDS.values() for p in c.parts.values()
    ),
    "help with a lift": lambda: any(step.helpers for step in steps()),
    "a new part for an old one": lambda: any(p.replaces for c in CARDS.values() for p in c.parts.values()),
    "a part that does not come back": lambda: any(p.consumed for c in CARDS.values() for p in c.parts.values()),
    "a quantity to fill": lambda: any(f.quantity for c in CARDS.values() for f in c.fluids.values()),
    "limits on both sides": lambda: any(m.limits and m.limits.low and m.limits.high for m in measures()),
    "an instrument's resolution": lambda: any(m.resolution for m in measures()),
    "several readings": lambda: any(m.readings > 1 for m in measures()),
    "what force not to use": lambda: any(t.never for step in steps() for t in step.trouble),
    "a check at the end": lambda: all(list(all_steps(card))[-1].step.check for card in CARDS.values()),
    "again after a distance": lambda: any(f.after_km and f.fastener for c in CARDS.values() for f in c.follow_ups),
    "again after a day": lambda: any(f.after_days for c in CARDS.values() for f in c.follow_ups),
    "again after hours": lambda: any(f.after_hours for c in CARDS.values() for f in c.follow_ups),
    "a caution of a fastener": lambda: any(f.caution for f in fasteners()),
    "where a value comes from": lambda: any(f.source for f in fasteners()),
}


@pytest.mark.parametrize("what", SAID)
def test_the_cards_together_say(what: str) -> None:
    assert SAID[what]()


def test_every_verb_is_used() -> None:
    assert {action.verb for action in actions()} == set(VERBS)


def test_every_unit_order_treatment_and_reuse_is_used() -> None:
    assert {t.unit for t in torques()} == {"N·m", "lbf·ft", "lbf·in", "kgf·m"}
    assert {f.order.pattern for f in fasteners() if f.order} == {"across", "round", "middle-out", "as-listed"}
    assert {f.treatment.kind for f in fasteners() if f.treatment} == {
        "dry", "oil", "locker-low", "locker-medium", "locker-high", "anti-seize", "sealant", "grease", "as-supplied",
    }  # fmt: skip
    assert {f.reuse.rule for f in fasteners() if f.reuse} == {"again", "new", "check"}


def test_every_kind_of_hold_derived_reading_and_decision_is_used() -> None:
    assert {step.hold.who for step in steps() if step.hold} == {"anyone", "second-person", "foreman"}
    assert {m.derived.kind for m in measures() if m.derived} == {
        "difference", "spread", "mean", "angle-between", "sum",
    }  # fmt: skip
    decisions = {option for m in measures() if m.out for option in m.out.options}
    assert decisions >= {"resurface", "replace", "carry-on"}


def test_one_thing_comes_before_cleaning_or_after_by_its_kind() -> None:
    order = [step.id for _, _, step in all_steps(CARDS["gearbox-and-clutch"])]
    assert order.index("pilot-bearing-in") < order.index("face-clean") < order.index("bush-in")
    order = [step.id for _, _, step in all_steps(CARDS["pump-cover"])]
    assert order.index("ring-on-cover") < order.index("faces") < order.index("gasket-on")


def test_the_driveline_card_is_whole() -> None:
    card = CARDS["gearbox-and-clutch"]
    assert [section.id for section in card.sections] == ["out", "inspect", "in"]
    assert len(list(all_steps(card))) >= 45
    assert len(asked_facts(card)) >= 2
    assert len(card.fasteners) >= 30
    assert sum(1 for measure in card.measures.values() if measure.limits) >= 3
    assert {"marks", "covers", "cautions"} <= {field for field in Card.model_fields if getattr(card, field)}


def test_some_names_are_easily_mistaken_and_still_apart() -> None:
    pair = ("upper bellhousing bolts", "lower bellhousing bolts")
    names = {fastener.name for fastener in CARDS["gearbox-and-clutch"].fasteners.values()}
    assert names >= {*pair, "front propshaft flange bolts", "rear propshaft flange bolts"}
    assert 0 < sounds_like_distance(*pair) < 0.25


@pytest.mark.parametrize("name", CARDS)
def test_a_card_says_first_that_it_is_invented(name: str) -> None:
    card = CARDS[name]
    assert "invented" in card.notice
    assert "Do not use" in card.notice
    assert "service information" in card.notice
    assert "invented" in card.maker
    text = shipped_cards()[name].read_text(encoding="utf-8")
    assert "# INVENTED" in text.split("\ncard:")[0]


@pytest.mark.parametrize("name", CARDS)
def test_what_is_read_aloud_is_short(name: str) -> None:
    for _, _, step in all_steps(CARDS[name]):
        sentences = re.split(r"(?<=[.?!])\s+", step.say)
        assert len(sentences) <= 4, step.id
        assert max(len(sentence.split()) for sentence in sentences) <= 22, step.id


@pytest.mark.parametrize("name", CARDS)
def test_every_torqued_fastener_says_treatment_and_reuse(name: str) -> None:
    for fastener in CARDS[name].fasteners.values():
        if fastener.torque is not None and not fastener.torque.by_hand:
            assert fastener.treatment, fastener.name
            assert fastener.reuse, fastener.name
