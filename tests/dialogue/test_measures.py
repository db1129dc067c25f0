"""Readings: echoed, converted, judged, and what follows."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.card.model import Limits, Measure
from assistant.dialogue.measures import limit_in_words
from assistant.grammar.request import Quantity
from assistant.job.events import Decided, Measured
from assistant.job.open_items import open_items
from tests.dialogue.talk import Talk, bare, mm, nm


@pytest.fixture
def talk() -> Talk:
    return Talk().to("measure")


def test_a_reading_is_echoed_and_judged(talk: Talk) -> None:
    answer = talk("measured", measure="runout", value=mm("0.10"))
    assert answer == "Pulley runout: 0.10 mm, 0.1 0, inside the limit, at most 0.15 mm. Logged."


def test_four_thousandths_are_converted_to_the_limits_unit(talk: Talk) -> None:
    # 0.004 in x 25.4 = 0.1016 mm (NIST SP 811: the inch is exactly 25.4 mm)
    answer = talk("measured", measure="runout", value=Quantity(Decimal("0.004"), "in"))
    assert "0.004 in" in answer
    assert "that is 0.1 mm" in answer or "that is 0.102 mm" in answer or "that is 0.10 mm" in answer
    assert talk.logged(Measured)[-1] == Measured("runout", Decimal("0.004"), "in", "inside")


def test_a_reading_without_a_unit_is_taken_in_the_cards(talk: Talk) -> None:
    assert talk("measured", measure="runout", value=bare("0.1")).endswith("Taken as millimetres, the card's unit.")


def test_a_reading_too_close_to_the_limit_is_not_called(talk: Talk) -> None:
    # ISO 14253-1, from memory: within the uncertainty of the limit neither is proved; here half of 0.01
    assert "too close to the limit" in talk("measured", measure="runout", value=mm("0.15"))


def test_out_of_limit_leads_to_the_cards_decision_and_its_branch(talk: Talk) -> None:
    talk("done")
    answer = talk("digits", value=mm("0.3"))
    assert "out of the limit" in answer
    assert answer.endswith("The pulley runs out too far. Say keep it or replace it.")
    assert "measure" not in talk.state.steps
    answer = talk("answer", option="replace")
    assert answer.startswith("Pulley runout: replace it. Noted. 7 done.")
    assert talk.state.at == "pulley-new"
    assert talk.logged(Decided) == [Decided("runout", "replace")]


def test_a_reading_too_close_to_call_leaves_the_decision_to_a_person(talk: Talk) -> None:
    talk("done")
    answer = talk("digits", value=mm("0.15"))
    assert "too close to the limit" in answer
    assert answer.endswith("Say keep it or replace it."), "else the pulley would never go on, and nobody be asked"
    assert talk.state.at != "pulley-on"
    talk("answer", option="keep")
    assert talk.state.facts["pulley-fate"] == "keep"
    assert talk.state.at == "pulley-on"


def test_inside_the_limit_settles_the_fact_too(talk: Talk) -> None:
    talk("done")
    talk("digits", value=mm("0.05"))
    assert talk.state.facts["pulley-fate"] == "keep"
    assert talk.state.at == "pulley-on"


def test_a_skipped_measurement_leaves_the_fact_to_be_asked(talk: Talk) -> None:
    talk("skip", reason="no gauge")
    answer = talk("yes")
    assert "What is to be done with the pulley? Say keep it or replace it." in answer
    talk("answer", option="keep")
    assert talk.state.at == "pulley-on"


def test_several_readings_are_asked_for_one_by_one_and_the_derived_one_worked_out() -> None:
    talk = Talk().to("belt-on")
    assert talk("done") == "Belt gap, 2 readings. The first?"
    assert talk("digits", value=mm(9)) == "Belt gap, 1 of 2: 9 mm. Reading 2?"
    answer = talk("digits", value=mm("9.5"))
    assert "Belt gap spread: 0.5 mm, 0.5" in answer
    assert [b.measure for b in talk.logged(Measured)][-1] == "gap-spread"  # type: ignore[attr-defined]


def test_an_open_decision_is_an_open_item(talk: Talk) -> None:
    talk("measured", measure="runout", value=mm("0.3"))
    assert "undecided:runout" in {item.id for item in open_items(talk.state)}
    talk("answer", option="keep")
    assert "undecided:runout" not in {item.id for item in open_items(talk.state)}


def test_a_new_reading_calls_for_a_new_decision(talk: Talk) -> None:
    talk("measured", measure="runout", value=mm("0.3"))
    talk("answer", option="keep")
    talk("measured", measure="runout", value=mm("0.4"))
    assert "undecided:runout" in {item.id for item in open_items(talk.state)}


@pytest.mark.parametrize("value", [nm(5), mm(900)])
def test_what_no_gauge_can_show_is_never_logged(talk: Talk, value: Quantity) -> None:
    talk("measured", measure="runout", value=value)
    assert not talk.logged(Measured)


def test_the_limit_and_the_readings_can_be_asked_for(talk: Talk) -> None:
    assert talk("limit") == "Pulley runout: at most 0.15 mm, 0.1 5."
    talk("measured", measure="runout", value=mm("0.10"))
    assert talk("limit") == "Pulley runout: at most 0.15 mm, 0.1 5. Measured: 0.10 mm, 0.1 0, inside."
    assert talk("readings") == "Pulley runout: 0.10 mm, 0.1 0, inside."


def test_a_measure_that_is_not_on_the_card_is_said_to_be_none(talk: Talk) -> None:
    assert talk("measured", measure="gizmo play", value=mm(1)) == "Gizmo play: not measured on this card."


def test_both_ends_of_a_limit_are_told_in_digits() -> None:
    bore = Measure(name="pilot bore", unit="mm", limits=Limits(low=Decimal("15.02"), high=Decimal("15.08")))
    assert limit_in_words(bore, digits=True) == "15.02 to 15.08 mm, 1 5.0 2 to 1 5.0 8"
    assert limit_in_words(bore) == "15.02 to 15.08 mm"
