"""One fact, many ways to say it: counts behind the name, what is left in, limits, the same again, what comes after."""

from __future__ import annotations

import pytest

from assistant.card.draft.card_text import torque_line
from assistant.card.draft.story import Deed

from .telling import deeds, step, thing, told


@pytest.mark.parametrize(
    "words",
    [
        "Cover bolts. Four of them, M10. Take them out.",
        "The cover bolts are taken out, four in number.",
        "Take out the cover bolts. There's four.",
        "Cover bolts are M10, four of them altogether.",
        "Cover bolts, two each side, so four.",
        "Wind the cover bolts in by hand, all four.",
        "Cover bolts: four, M10.",
    ],
)
def test_how_many_there_are_may_stand_behind_the_name(words: str) -> None:
    assert thing(told(words), "cover bolts").count == 4


def test_how_many_at_each_end_is_not_how_many_in_all() -> None:
    draft = told("The end covers are held by twelve cover nuts, thirteen millimetre, six at each end.")
    assert thing(draft, "cover nuts").count == 12


def test_a_number_of_the_list_counts_nothing() -> None:
    assert thing(told("8. Remove the seals. 9. Clean the bore."), "seals").count is None


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("Take the buffer nuts off except the top left one.", 1),
        ("Take out the buffer nuts, but not the one on top.", 1),
        ("Ten buffer nuts hold it. Undo them all bar two.", 2),
        ("Take out the buffer nuts, all but the top two.", 2),
        ("Take the buffer nuts off apart from the last one.", 1),
    ],
)
def test_what_is_left_in_is_told_in_many_ways(words: str, left: int) -> None:
    (out,) = [deed for one in told(words).steps for deed in one.deeds if deed.verb == "take_out"]
    assert out.all_but == left


def test_one_nut_left_on_its_thread_is_not_all_but_one() -> None:
    draft = told("Slacken the prop nut but leave it on the thread.")
    assert [deed.all_but for one in draft.steps for deed in one.deeds] == [None]


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("One and a half mil, no more", "", "1.5"),
        ("Three mil, no less", "3", ""),
        ("Do it while you can, anything over two millimetres and we change it", "", "2"),
        ("If it is less than 54 mm, the vane is finished", "54", ""),
        ("It is between point one and point two five of a millimetre", "0.1", "0.25"),
        ("Minimum wear is 3 mm", "3", ""),
    ],
)
def test_a_limit_may_stand_behind_or_be_told_as_too_much(words: str, low: str, high: str) -> None:
    wear = thing(told(f"Measure the wear. {words}."), "wear")
    assert (str(wear.low.value) if wear.low else "", str(wear.high.value) if wear.high else "") == (low, high)


def test_an_angle_that_is_measured_has_a_limit() -> None:
    angle = thing(told("Measure the joint angle. It's not to be more than three degrees."), "joint angle")
    assert angle.high is not None
    assert (str(angle.high.value), angle.high.unit) == ("3", "deg")


def test_the_same_again_is_the_value_said_just_before() -> None:
    draft = told("The flange bolts get ninety newton metres, the bracket bolts the same.")
    assert [torque_line(one.torque) for one in draft.things if one.torque is not None] == ["90 N·m", "90 N·m"]
    assert any("the same" in reason for reason in thing(draft, "bracket bolts").unsure)


def test_both_of_two_get_the_value() -> None:
    draft = told("Fit the lower bolt first, then the upper one. Both get sixty newton metres.")
    assert [torque_line(one.torque) for one in draft.things if one.torque is not None] == ["60 N·m", "60 N·m"]


def test_a_value_of_another_model_is_dropped() -> None:
    words = "Plate back on. Start the plate bolts by hand. Then it's eighty newton metres, no, that's the old model. "
    bolts = thing(told(f"{words} A hundred and ten newton metres."), "plate bolts")
    assert bolts.torque is not None
    assert torque_line(bolts.torque) == "110 N·m"


def test_a_round_told_behind_another_deed_is_the_last_round() -> None:
    words = "Prop nut on by hand, and then it's 300 newton metres, tap the hub round, and then 420 newton metres."
    nut = thing(told(words), "propeller shaft nut")
    assert nut.torque is not None
    assert ([torque_line(one) for one in nut.passes], torque_line(nut.torque)) == (["300 N·m"], "420 N·m")


def test_the_last_round_is_no_round_before_it() -> None:
    nuts = thing(told("Wheel nuts to 300 newton metres in two stages, first 150, then 300."), "wheel nuts")
    assert [torque_line(one) for one in nuts.passes] == ["150 N·m"]


def test_what_only_lies_near_the_hoist_has_no_weight() -> None:
    words = "Never hit it, the seal's right behind. Sling round two of the blades, it's eighty kilos. "
    assert all(one.mass is None for one in told(words).things)
    propeller = thing(told(f"{words} Nut off, propeller off."), "propeller")
    assert propeller.mass is not None
    assert any("before it was named" in reason for reason in propeller.unsure)


@pytest.mark.parametrize(
    ("words", "liters"),
    [
        ("Fill up the box, twenty-five litres of water, no, thirty, thirty litres.", "30"),
        ("Fill in four litres of coolant. Sorry, five litres.", "5"),
    ],
)
def test_an_amount_is_put_right(words: str, liters: str) -> None:
    assert [str(one.quantity.value) for one in told(words).things if one.quantity is not None] == [liters]


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("Loosen the shaft bolt. Shaft nut, I mean.", "loosen shaft nut"),
        ("Check the cylinder, not the cylinder, the piston, for wear.", "inspect piston"),
    ],
)
def test_a_name_is_put_right_behind_itself(words: str, meant: str) -> None:
    assert deeds(words) == [meant]


@pytest.mark.parametrize(
    ("words", "done"),
    [
        ("Six guard bolts, M16. Out. Guard off.", ["take_out guard bolts", "remove guard"]),
        ("Wedge plate up and away.", ["remove wedge plate"]),
        ("PTO shaft I take off.", ["remove pto shaft"]),
        ("Under the pump is the drain plug. Plug out.", ["take_out drain plug"]),
        ("The old gasket needs scraping off.", ["remove old gasket"]),
        ("Undo the nuts. Don't take them off yet.", ["loosen nuts"]),
        ("I make a line across the flange.", ["mark line"]),
        ("Don't go putting longer bolts in.", []),
        ("Let the guide hang.", ["move guide"]),
        ("With the crane on the housing, take the eight nuts off.", ["support crane", "take_out nuts"]),
        ("Chain on the jaw plate, take the weight up.", ["support chain"]),
        ("Take the grub screws out but not the studs.", ["take_out grub screws"]),
    ],
)
def test_what_is_done_is_told_in_many_ways(words: str, done: list[str]) -> None:
    assert deeds(words) == done


def test_the_other_two_are_those_left_in() -> None:
    draft = told("Take out the four foot bolts but leave two of them in. Then whip the other two out.")
    out = [deed for one in draft.steps for deed in one.deeds if deed.verb == "take_out"]
    assert [(one.all_but, one.count, one.rest) for one in out] == [(2, None, False), (None, 2, True)]
    assert thing(draft, "foot bolts").count == 4


def test_what_stands_behind_a_colon_is_done_to_the_heading() -> None:
    assert deeds("Shaft seal: prise out, new one in.") == ["remove shaft seal", "fit shaft seal"]


def test_a_litre_and_a_half_is_more_than_a_litre() -> None:
    oil = thing(told("Drain the oil, a litre and a half."), "oil")
    assert oil.quantity is not None
    assert str(oil.quantity.value) == "1.5"


def test_new_pads_after_then_are_put_in() -> None:
    words = "Pads out. New lower pads in, then let the jack down and take it out, then the new upper pads."
    assert deeds(words)[-1] == "fit new upper pads"


def test_wear_plate_bolts_are_no_warning() -> None:
    bolts = thing(told("Plate on. Wear plate bolts, medium threadlocker, start them by hand."), "wear plate bolts")
    assert bolts.treatment == "locker-medium"


def test_strength_may_stand_behind_the_locker() -> None:
    assert (
        thing(told("Housing bolts, thread lock, medium strength, 30 Nm."), "housing bolts").treatment == "locker-medium"
    )


def test_oil_that_goes_along_is_on_the_part() -> None:
    (oil,) = step(told("Old seal out. New seal in, with oil on the lip."), "apply", "oil").deeds
    assert isinstance(oil, Deed)
    assert oil.onto is not None
    assert oil.onto.name == "new seal"


def test_a_word_of_this_job_alone_is_a_thing_when_it_is_named_again() -> None:
    words = "Pull the brindle off. Check the shaft. New brindle on."
    assert deeds(words)[0] == "remove brindle"
    assert deeds(words)[-1] == "fit new brindle"


def test_nine_fifty_is_nine_hundred_and_fifty_where_a_sentence_ends_with_it() -> None:
    for words in (
        "Tighten the wedge bolts. Six hundred newton metres first, then nine hundred. Sorry, nine fifty.",
        "Tighten the wedge bolts. Six hundred newton metres first, then nine fifty.",
    ):
        bolts = thing(told(words), "wedge bolts")
        assert (torque_line(bolts.torque), [torque_line(one) for one in bolts.passes]) == ("950 N·m", ["600 N·m"])


def test_what_is_told_as_the_first_round_is_no_value() -> None:
    both = thing(told("The flange bolts go in. 120 newton metres first. Then 210."), "flange bolts")
    assert (torque_line(both.torque), [torque_line(one) for one in both.passes]) == ("210 N·m", ["120 N·m"])
    alone = thing(told("The cover bolts are tightened to nine foot pounds first."), "cover bolts")
    assert (alone.torque, [torque_line(one) for one in alone.passes]) == (None, ["9 lbf·ft"])


def test_a_further_turn_belongs_to_the_torque_before_it() -> None:
    nut = thing(told("The nut is tightened to 120 newton metres and then turned a further 60 degrees."), "nut")
    assert torque_line(nut.torque, nut.angle_deg) == "120 N·m + 60 deg"
