"""Whose a value is: it stands with the fastener it was said of, or nowhere."""

from __future__ import annotations

import pytest

from assistant.card.draft.card_text import torque_line

from .telling import thing, told


def torques(words: str) -> dict[str, str]:
    return {one.name: torque_line(one.torque, one.angle_deg) for one in told(words).things if one.torque is not None}


def test_the_bolts_are_those_of_the_part_just_put_on() -> None:
    talk = (
        "Take out the four cover bolts and lift the cover off. Take out the six flange bolts and pull the flange. "
        "Flange on, bolts in, 45 newton metres. Cover on, bolts in, 20 newton metres."
    )
    assert torques(talk) == {"flange bolts": "45 N·m", "cover bolts": "20 N·m"}


def test_bolts_of_a_part_never_named_take_no_value_of_another() -> None:
    talk = (
        "Take the guard off, four guard bolts. Slide the roller out. New roller in. Bolts in. "
        "Tighten all the bolts to 210 newton metres."
    )
    assert torques(talk) == {}
    assert any("210" in one.why for one in told(talk).unread)


def test_another_count_and_another_thread_are_another_set() -> None:
    draft = told(
        "The sprocket's bolted on with sixteen bolts, M14. With the sprocket off you can see the cover. "
        "Twelve M12 bolts on that. Undo them."
    )
    assert sorted((one.count, one.thread) for one in draft.things if one.kind == "fastener") == [
        (12, "M12"),
        (16, "M14"),
    ]


@pytest.mark.parametrize(
    "talk",
    [
        "Two M10 bolts a side hold the brackets. Take the bolts out.",
        "There are four bolts on each side. Take the bolts out.",
        "Each wheel has eight nuts. Take the nuts off.",
        "Pressure hoses, there's two, each one's a flange with four bolts. Take the bolts out.",
    ],
)
def test_a_count_for_each_is_not_the_count_of_all(talk: str) -> None:
    assert all(one.count is None for one in told(talk).things if one.kind == "fastener")


def test_what_a_wrench_can_do_is_no_torque_of_the_bolts() -> None:
    assert torques("Tighten the bolts. I use the small torque wrench, it goes up to 110 newton metres.") == {}


def test_what_it_was_done_up_to_last_time_is_not_what_it_gets() -> None:
    talk = "Remove the hub nut. It was done up to 300 newton metres last time. Hub nut on, 250 newton metres."
    assert torques(talk) == {"hub nut": "250 N·m"}


def test_a_turn_upon_a_turn_leaves_the_torque_open() -> None:
    assert torques("Fit the cap with two new bolts. 30 newton metres, then 60 degrees, then another 60 degrees.") == {}


def test_a_third_of_a_turn_is_a_hundred_and_twenty_degrees() -> None:
    assert torques("Eye bolt in, 300 newton metres plus a third of a turn.") == {"eye bolt": "300 N·m + 120 deg"}


def test_rounds_said_one_sentence_after_another() -> None:
    draft = told("Six housing bolts. Housing bolts in by hand. Then across, 80 newton metres. Then 190 newton metres.")
    bolts = thing(draft, "housing bolts")
    assert ([torque_line(one) for one in bolts.passes], torques_of(bolts)) == (["80 N·m"], "190 N·m")


def torques_of(one: object) -> str:
    torque = getattr(one, "torque", None)
    return torque_line(torque) if torque is not None else ""


def test_the_first_the_second_and_the_third_bolt_are_no_rounds_of_one() -> None:
    talk = "The first bolt gets 20 newton metres, the second one 30 newton metres, and the third 40 newton metres."
    assert "40 N·m" not in torques(talk).values()


def test_what_was_put_right_never_comes_back() -> None:
    talk = (
        "The clamp nut, twenty newton metres first, and then fifty five. "
        "No, sorry, sixty five newton metres, fifty five is the other engine."
    )
    nut = thing(told(talk), "clamp nut")
    assert torques_of(nut) == "65 N·m"
    assert [torque_line(one) for one in nut.passes] == ["20 N·m"]


def test_a_count_said_anew_takes_the_place_of_the_old() -> None:
    assert thing(told("Five bolts, no, six bolts hold the cover. Take them out."), "cover bolts").count == 6


def test_a_size_of_a_nameless_number_is_no_count() -> None:
    draft = told("There's one bolt through the pedestal. Nineteen... no, that's a twenty two. Get that bolt out.")
    assert [one.count for one in draft.things if one.kind == "fastener"] == [1]


@pytest.mark.parametrize(
    ("talk", "low", "high"),
    [
        ("Measure the pad thickness. Change them under 3 millimetres.", 3, None),
        ("Check the play. If you get more than 0.8 millimetres of play they want changing.", None, 0.8),
        ("Measure the clearance. It may not exceed 0.4 millimetres and should not be below 0.2.", 0.2, 0.4),
    ],
)
def test_a_limit_stands_on_the_side_that_was_meant(talk: str, low: float | None, high: float | None) -> None:
    measure = next(one for one in told(talk).things if one.kind == "measure")
    found = [None if one is None or one.value is None else float(one.value) for one in (measure.low, measure.high)]
    assert found == [low, high]


def test_the_weight_of_two_things_together_is_of_neither() -> None:
    draft = told("Lift the pressure plate off. It weighs thirty kilos with the disc.")
    assert all(one.mass is None for one in draft.things)


def test_a_weight_is_never_that_of_a_bolt_head() -> None:
    draft = told("Take the spring down. You hold the bolt's head with a spanner. It's 62 kilos.")
    assert all(one.mass is None for one in draft.things if one.head == "head")


def test_no_sealant_is_no_treatment() -> None:
    draft = told("New cover gasket, and it goes on dry, no sealant. Rocker cover on.")
    assert not any(deed.verb == "apply" for step in draft.steps for deed in step.deeds)
    assert thing(draft, "new cover gasket").treatment == "dry"


def test_the_spanner_of_one_thing_is_not_the_head_of_another() -> None:
    draft = told("Take the two M10 screws out. Open the grease valve with a 19 mm spanner.")
    assert all(one.wrench is None for one in draft.things if one.kind == "fastener")


def test_eighty_millimetres_are_no_width_across_flats() -> None:
    assert thing(told("Take out the three long bolts, 80 millimetres."), "long bolts").wrench is None
