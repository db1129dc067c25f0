"""Torque, asked and logged: never a number without its fastener, never one outside the card's without a reason."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.card.model import Tool
from assistant.grammar.request import Quantity
from assistant.job.events import AdapterSet, Torqued
from tests.dialogue.talk import Talk, bare, belt_guard, mm, nm


@pytest.fixture
def talk() -> Talk:
    return Talk().begin()


@pytest.fixture
def at_pulley() -> Talk:
    return Talk().to("pulley-on")


def test_the_answer_names_the_fastener_before_the_value_and_repeats_it_in_digits(talk: Talk) -> None:
    assert talk("torque", fastener="front-motor-bolts") == "Front motor bolts: 40 N·m, 4 0."
    assert talk.outcome.reply.spoken == "Front motor bolts: forty newton metres, four zero."


def test_a_range_is_said_as_a_range(talk: Talk) -> None:
    assert talk("torque", fastener="rear-motor-bolts") == "Rear motor bolts: 60 to 70 N·m, 6 0 to 7 0."


def test_two_fasteners_that_could_be_meant_are_asked_about(talk: Talk) -> None:
    assert talk("torque", fastener="motor bolts") == "Which motor bolts: front or rear?"
    assert talk("answer", option="rear-motor-bolts") == "Rear motor bolts: 60 to 70 N·m, 6 0 to 7 0."


def test_a_name_shared_by_two_is_asked_about(talk: Talk) -> None:
    assert talk("torque", fastener="front-motor-bolts|rear-motor-bolts") == "Which motor bolts: front or rear?"
    assert talk("answer", option="front").startswith("Front motor bolts:")


def test_a_fastener_that_is_not_on_the_card_is_never_replaced_by_another(talk: Talk) -> None:
    assert talk("torque", fastener="gizmo bolts") == "Gizmo bolts: not on this card."


def test_another_unit_is_said_beside_the_cards(talk: Talk) -> None:
    answer = talk("torque", fastener="front-motor-bolts", in_unit="lbf·ft")
    assert answer == "Front motor bolts: 40 N·m, 4 0; that is 29.5 lbf·ft, 2 9.5."


def test_a_question_without_a_name_is_about_the_fastener_just_named(talk: Talk) -> None:
    talk("torque", fastener="rear-motor-bolts")
    assert talk("size") == "Rear motor bolts: M12, class 8.8."
    assert talk("count") == "Rear motor bolts: 2."
    talk("where")
    assert talk("size") == "Which fastener?"


def test_without_a_name_the_step_says_which(at_pulley: Talk) -> None:
    assert at_pulley("torque").startswith("Pulley bolts: 50 N·m, 5 0.")
    assert at_pulley("treatment") == "Pulley bolts: medium-strength thread locker, on the threads."
    assert at_pulley("reuse") == "Pulley bolts: use again, new if stretched."
    assert at_pulley("order").startswith("Pulley bolts: 1, 3, 2, 4.")


def test_the_passes_are_said_with_their_values(at_pulley: Talk) -> None:
    assert at_pulley("passes") == "Pulley bolts: 1, 25 N·m, 2 5; 2, 50 N·m, 5 0."


def test_fasteners_at_a_value_are_found_over_the_whole_card(talk: Talk) -> None:
    assert "front motor bolts" in talk("fasteners-at", value=nm(40), relation="at")
    over = talk("fasteners-at", value=nm(55), relation="over")
    assert "rear motor bolts" in over
    assert "shaft nut" in over
    assert "front motor bolts" not in over
    assert talk("fasteners-at", value=nm(500), relation="over") == "Over 500 N·m: none on this card."


def test_a_logged_value_is_echoed_with_its_name_and_digits(at_pulley: Talk) -> None:
    assert at_pulley("torqued", fastener="pulley-bolts", value=nm(50)) == "Pulley bolts: 50 N·m, 5 0. Logged."


def test_a_value_without_a_unit_is_taken_in_the_cards_and_that_is_said(at_pulley: Talk) -> None:
    assert at_pulley("torqued", value=bare(50)).endswith("Taken as newton metres, the card's unit.")


def test_a_value_in_another_unit_is_judged_in_the_cards(at_pulley: Talk) -> None:
    answer = at_pulley("torqued", value=Quantity(Decimal(37), "lbf·ft"))
    assert answer == "Pulley bolts: 37 lbf·ft, 3 7. Logged."
    assert at_pulley.logged(Torqued)[-1] == Torqued("pulley-bolts", Decimal(37), "lbf·ft")


def test_a_value_outside_is_refused_or_kept_with_a_reason_and_a_yes(at_pulley: Talk) -> None:
    answer = at_pulley("torqued", fastener="pulley-bolts", value=nm(45))
    assert answer.startswith("Pulley bolts: 45 N·m, 4 5 is under the card's 50 N·m, 5 0.")
    assert not at_pulley.logged(Torqued)
    assert at_pulley("reason", text="old threads").startswith("Keep pulley bolts at 45 N·m, 4 5, old threads?")
    assert not at_pulley.logged(Torqued)
    assert "Kept: old threads." in at_pulley("yes")
    body = at_pulley.logged(Torqued)[-1]
    assert body == Torqued("pulley-bolts", Decimal(45), "N·m", verdict="outside", reason="old threads")


def test_the_right_figure_in_the_wrong_unit_is_asked_about(at_pulley: Talk) -> None:
    answer = at_pulley("torqued", fastener="pulley-bolts", value=Quantity(Decimal(50), "lbf·ft"))
    assert "Was it 50 N·m, 5 0?" in answer
    assert not at_pulley.logged(Torqued)


@pytest.mark.parametrize("value", ["9000", "0", "-50"])
def test_a_value_that_cannot_be_is_never_logged(at_pulley: Talk, value: str) -> None:
    assert "cannot be right" in at_pulley("torqued", fastener="pulley-bolts", value=nm(value))
    assert not at_pulley.logged(Torqued)


def test_a_unit_that_is_no_torque_is_never_logged(at_pulley: Talk) -> None:
    assert "no unit of torque" in at_pulley("torqued", fastener="pulley-bolts", value=mm(50))
    assert not at_pulley.logged(Torqued)


def test_torque_before_the_part_is_on_says_why_not(talk: Talk) -> None:
    talk.to("pulley-off")
    assert talk("torqued", fastener="front-motor-bolts", value=nm(40)) == "Not recorded. The motor is not on yet."
    assert talk.question == ""
    assert not talk.logged(Torqued)


def test_torque_behind_something_says_what_is_in_front(talk: Talk) -> None:
    answer = talk("torqued", fastener="pulley-bolts", value=nm(50))
    assert answer == "Not recorded. The belt guard is still in front of the pulley bolts."


def test_snug_by_hand_has_no_value_to_log(talk: Talk) -> None:
    assert talk("torqued", fastener="guard-screws", value=nm(5)) == "Guard screws: snug by hand, no value to log."


def test_torque_and_angle_are_logged_only_when_both_were_done() -> None:
    talk = Talk().to("nut")
    talk("done")
    answer = talk("digits", value=nm(80))
    assert answer == "Shaft nut: 80 N·m, 8 0. And 60°, 6 0 further, done?"
    assert not [b for b in talk.logged(Torqued) if b.fastener == "shaft-nut"]  # type: ignore[attr-defined]
    assert talk("yes").startswith("Shaft nut: 80 N·m, 8 0, and 60°, 6 0. Logged. 10 done.")
    assert talk.logged(Torqued)[-1] == Torqued("shaft-nut", Decimal(80), "N·m", angle_deg=Decimal(60))


def test_a_wrong_angle_is_not_taken_for_done() -> None:
    talk = Talk().to("nut")
    talk("done")
    talk("digits", value=nm(80))
    talk("digits", value=Quantity(Decimal(30), "deg"))
    assert not [b for b in talk.logged(Torqued) if b.fastener == "shaft-nut"]  # type: ignore[attr-defined]


def test_one_bolt_of_a_set_is_logged_by_its_number(at_pulley: Talk) -> None:
    answer = at_pulley("torqued", fastener="pulley-bolts", bolt=2, value=nm(50))
    assert answer == "Pulley bolts, number 2: 50 N·m, 5 0. Logged."
    assert at_pulley.state.fastener("pulley-bolts").at_value == {2}
    assert at_pulley("torqued", fastener="pulley-bolts", bolt=9, value=nm(50)).startswith("Not recorded.")


def test_what_was_only_talked_about_is_not_logged_for(at_pulley: Talk) -> None:
    at_pulley("torque", fastener="rear-motor-bolts")
    assert at_pulley("torqued", value=nm(50)).startswith("Which")
    assert not at_pulley.logged(Torqued)


def test_an_adapter_corrects_the_setting_and_both_are_said(at_pulley: Talk) -> None:
    # T·L/(L+E): 50 · 300/(300+60) = 41.7, worked by hand
    assert at_pulley("adapter", length=mm(60)) == "Adapter 60 mm. How long is the wrench, grip to drive?"
    answer = at_pulley("digits", value=mm(300))
    assert answer == "Wrench 300 mm. Pulley bolts: 50 N·m, 5 0; set the wrench to 41.7 N·m, 4 1.7."
    assert "set the wrench to 41.7 N·m" in at_pulley("torque")
    at_pulley("torqued", value=nm(50))
    assert "set 41.7 N·m" in at_pulley.logged(Torqued)[-1].adapter  # type: ignore[attr-defined]
    assert at_pulley("no-adapter") == "No adapter. Settings as on the card."
    assert at_pulley.logged(AdapterSet)[-1] == AdapterSet(None)
    assert "set the wrench" not in at_pulley("torque")


def test_a_wrench_that_does_not_reach_the_torque_of_the_step_is_said_to_be_wrong() -> None:
    talk = Talk().to("nut")
    assert talk("use-tool", tool="torque-wrench") == "Torque wrench in use."
    talk = Talk(belt_guard().model_copy(update={"tools": {**belt_guard().tools, "small": _small_wrench()}}))
    talk.to("nut")
    answer = talk("use-tool", tool="small")
    assert "Small wrench in use." in answer
    assert "above the small wrench" in answer
    assert "due for calibration" in answer


def _small_wrench() -> Tool:
    return Tool(name="small wrench", kind="torque-wrench", low=Decimal(5), high=Decimal(25), unit="N·m",
                calibrated="2024-01-10")  # fmt: skip


def test_the_tool_in_hand_is_logged_with_the_torque(at_pulley: Talk) -> None:
    at_pulley("use-tool", tool="torque-wrench")
    at_pulley("torqued", value=nm(50))
    assert at_pulley.logged(Torqued)[-1].tool == "torque-wrench"  # type: ignore[attr-defined]
