"""What applies under which facts."""

from decimal import Decimal

import pytest

from assistant.card import plan
from assistant.card.load import find_card, load_card_text

from .conftest import SMALL

CARD = load_card_text(SMALL)
DRUM, DISC = {"brakes": "drum"}, {"brakes": "disc"}


def test_a_condition_holds_when_every_fact_has_one_of_its_options() -> None:
    when = {"brakes": ["drum", "disc"], "side": "left"}
    assert plan.applies({}, {})
    assert plan.applies(when, {"brakes": "disc", "side": "left"})
    assert not plan.applies(when, {"brakes": "disc", "side": "right"})


def test_an_unanswered_fact_does_not_hold() -> None:
    assert not plan.applies({"brakes": ["drum", "disc"]}, {})


def test_steps_that_apply() -> None:
    assert [step.id for step in plan.steps_for(CARD, DRUM)] == ["wheel-off", "drum-off", "look", "drum-on", "wheel-on"]
    assert [step.id for step in plan.steps_for(CARD, DISC)] == ["wheel-off", "look", "wheel-on"]


def test_a_step_keeps_its_number_whatever_the_facts() -> None:
    assert plan.number_of(CARD, "wheel-on") == 5
    assert plan.section_of(CARD, "wheel-on").id == "in"
    with pytest.raises(KeyError):
        plan.number_of(CARD, "nowhere")
    with pytest.raises(KeyError):
        plan.section_of(CARD, "nowhere")


def test_things_by_id() -> None:
    things = plan.things(CARD)
    assert things["wheel-nuts"].kind == "fastener"
    assert things["drum"].entry.name == "brake drum"


def test_actions_follow_the_step_and_the_thing() -> None:
    drum_off = next(step for step in CARD.sections[0].steps if step.id == "drum-off")
    assert [(a.verb, a.thing) for a in plan.actions_for(CARD, drum_off, DRUM)] == [("remove", "drum")]
    assert plan.actions_for(CARD, drum_off, DISC) == ()


def test_time_left_counts_what_is_not_done() -> None:
    assert plan.minutes_for(CARD, DISC) == 3 * plan.DEFAULT_MINUTES
    assert plan.minutes_for(CARD, DISC, frozenset({"look"})) == Decimal(6)


def test_a_fact_that_a_decision_answers_is_not_asked() -> None:
    card = find_card("gearbox-and-clutch").card
    assert plan.decided_facts(card) == {"flywheel-face", "clutch-parts"}
    assert list(plan.asked_facts(card)) == ["clutch-control", "transfer-box", "flywheel-kind"]


def test_a_replacement_fills_the_place_of_the_first() -> None:
    card = find_card("gearbox-and-clutch").card
    assert plan.place_of(card, "new-flywheel") == "flywheel"
    assert plan.place_of(card, "starter") == "starter"


def test_follow_ups_depend_on_facts() -> None:
    card = find_card("wheel-end").card
    ids = [item.id for item in plan.follow_ups_for(card, {"wheel-fixing": "bolts", "bearing-kind": "bolted"})]
    assert ids == ["wheel-bolts-again"]
