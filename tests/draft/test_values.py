"""Values: only what was said, and only for what it was said of."""

from __future__ import annotations

import pytest

from assistant.card.draft.card_text import torque_line

from .telling import step, thing, told


def torque(words: str, name: str) -> str:
    found = thing(told(words), name)
    return torque_line(found.torque, found.angle_deg) if found.torque else ""


@pytest.mark.parametrize(
    "words",
    [
        "Tighten the flange bolts to 65 newton metres.",
        "The flange bolts are 65 Nm.",
        "The flange bolts get sixty-five newton metres.",
        "Sixty-five newton metres for the flange bolts.",
        "Flange bolts, 65 Nm.",
        "The flange bolts want 65 newton metres.",
        "Take out the flange bolts. Fit the flange. Fit the flange bolts and torque them to 65 newton metres.",
        "Pull the flange bolts up to 65 newton metres.",
        "65 newton metres is the flange bolts.",
    ],
)
def test_a_torque_belongs_to_the_fastener_it_was_said_of(words: str) -> None:
    assert torque(words, "flange bolts") == "65 N·m"


def test_two_values_in_one_sentence_keep_their_owners() -> None:
    words = "Sixty-five newton metres for the flange bolts and forty for the bracket nuts."
    assert (torque(words, "flange bolts"), torque(words, "bracket nuts")) == ("65 N·m", "40 N·m")


def test_first_then_are_passes() -> None:
    draft = told("Tighten the head bolts across, first to thirty newton metres, then to seventy newton metres.")
    bolts = thing(draft, "head bolts")
    assert ([torque_line(one) for one in bolts.passes], torque_line(bolts.torque), bolts.order) == (
        ["30 N·m"],
        "70 N·m",
        "across",
    )  # type: ignore[arg-type]


def test_torque_and_angle() -> None:
    assert (
        torque("Tighten the rod bolts to 40 newton metres and then another ninety degrees.", "rod bolts")
        == "40 N·m + 90 deg"
    )


def test_half_a_turn_loose_is_no_angle_of_tightening() -> None:
    words = "Slacken the casing nuts half a turn. Tighten the casing nuts to 80 newton metres."
    assert torque(words, "casing nuts") == "80 N·m"


def test_a_number_without_unit_is_no_torque() -> None:
    draft = told("Take out the guard screws. Fit the guard. The guard screws get ten.")
    assert thing(draft, "guard screws").torque is None
    assert any("no unit" in reason for reason in thing(draft, "guard screws").unsure)


def test_a_torque_for_nobody_is_listed_and_given_to_nobody() -> None:
    draft = told("Take out the front bolts and the rear bolts. Fit the shaft. That's ninety newton metres.")
    assert all(one.torque is None for one in draft.things)
    assert any("torque" in one.why for one in draft.unread)


def test_the_bolts_of_two_sets_are_not_guessed() -> None:
    draft = told(
        "Take out the six cover bolts. Lift off the cover plate. Take out the four pump bolts. Lift off the pump. "
        "Inspect the gear. Check the chain. Look at the bearings. Clean the face. Tighten the bolts to 30 Nm."
    )
    assert all(one.torque is None for one in draft.things)
    assert any("could be" in reason for one in draft.steps for reason in one.unsure)


def test_counts_that_differ_between_out_and_in_are_asked_about() -> None:
    draft = told("Take out the six cover bolts. Lift off the plate. Fit the plate. Fit the five cover bolts.")
    bolts = thing(draft, "cover bolts")
    assert bolts.count == 6
    assert any("6 said first and 5 later" in reason for reason in bolts.unsure)


def test_what_was_not_said_is_unknown() -> None:
    bolts = thing(told("Take out the flange bolts."), "flange bolts")
    assert (bolts.count, bolts.torque, bolts.thread, bolts.wrench) == (None, None, "", None)


@pytest.mark.parametrize(
    ("words", "name", "torque_said"),
    [
        ("Tighten the nuts to fifty newton metres. No, wait, fifty-five.", "nuts", "55 N·m"),
        ("Tighten the nuts to fifty newton metres, sorry, sixty.", "nuts", "60 N·m"),
        ("The nuts get ninety newton metres. I tell a lie, eighty newton metres.", "nuts", "80 N·m"),
        ("The nuts get ninety newton metres. Wait. They get eighty newton metres.", "nuts", "80 N·m"),
        ("the nuts get ninety newton metres sorry eighty newton metres", "nuts", "80 N·m"),
    ],
)
def test_only_the_value_put_right_is_kept(words: str, name: str, torque_said: str) -> None:
    assert torque(words, name) == torque_said


def test_the_thing_put_right_is_the_only_one() -> None:
    draft = told("Take off the four lower bolts, no, sorry, the four upper ones.")
    assert [one.name for one in draft.things if one.kind == "fastener"] == ["upper bolts"]
    assert "put right by the speaker" in draft.steps[0].unsure[0]


def test_no_more_than_is_no_slip() -> None:
    draft = told("Measure the runout. No more than 0.1 millimetres.")
    assert (thing(draft, "runout").low, str(thing(draft, "runout").high.value)) == (None, "0.1")  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("no more than 0.4 mm", "", "0.4"),
        ("at least three millimetres", "3", ""),
        ("maximum 1.5 mm", "", "1.5"),
        ("between 0.2 and 0.6 mm", "0.2", "0.6"),
        ("It must not be more than 0.05 mm", "", "0.05"),
        ("It must not be less than 4 mm", "4", ""),
        ("anything under four mil is scrap", "4", ""),
        ("0.8 mm is the most that is allowed", "", "0.8"),
        ("It must not be over 0.1 mm", "", "0.1"),
    ],
)
def test_a_limit_is_never_turned_round(words: str, low: str, high: str) -> None:
    play = thing(told(f"Measure the play. {words[0].upper()}{words[1:]}."), "play")
    assert (str(play.low.value) if play.low else "", str(play.high.value) if play.high else "") == (low, high)


def test_a_limit_with_a_not_that_could_turn_it_round_is_left_open() -> None:
    draft = told("Measure the play. You would never want to find under 3 mm there.")
    assert not any(one.low or one.high for one in draft.things) or thing(draft, "play").high is None


def test_treatment_and_where_it_goes() -> None:
    nut = thing(told("Put the flange nut on with a drop of medium thread locker on the threads."), "flange nut")
    assert (nut.treatment, nut.treatment_where) == ("locker-medium", "on the threads")


def test_sizes_threads_and_lengths() -> None:
    bolts = thing(
        told("There are six flange bolts, M16, ninety millimetres long, with twenty four millimetre heads."),
        "flange bolts",
    )
    assert (bolts.count, bolts.thread, bolts.length.said, bolts.wrench.said) == (
        6,
        "M16",
        "ninety millimetres",
        "twenty four millimetre",
    )  # type: ignore[union-attr]


def test_weights_and_amounts() -> None:
    draft = told("Lift out the gearbox, it weighs 42 kilos. Fill up with four litres of gear oil.")
    assert thing(draft, "gearbox").mass.said == "42 kilos"  # type: ignore[union-attr]
    assert thing(draft, "gear oil").quantity.said == "four litres"  # type: ignore[union-attr]


def test_about_is_marked() -> None:
    assert any(
        "about" in reason for reason in thing(told("Lift out the pump, it weighs about twenty kilos."), "pump").unsure
    )


def test_a_tightening_that_nobody_said_is_marked() -> None:
    draft = told("Take out the pump bolts. Lift off the pump. Fit the pump. Pump bolts, twenty newton metres.")
    assert "a value was said, no deed" in step(draft, "tighten", "pump bolts").unsure[0]
