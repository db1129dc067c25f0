"""One set of fasteners under several names, and two sets that are not one."""

from __future__ import annotations

from .telling import deeds, thing, told


def test_bolts_of_a_keeper_plate_are_the_plates_and_not_the_pins() -> None:
    draft = told(
        "The top pin is held by a keeper plate with two bolts. They're M14. I take the keeper plate bolts out. "
        "The keeper plate bolts get 105 newton metres."
    )
    bolts = thing(draft, "keeper plate bolts")
    assert (bolts.count, bolts.thread) == (2, "M14")
    assert bolts.torque is not None
    assert bolts.torque.value == 105
    assert len([one for one in draft.things if one.kind == "fastener"]) == 1


def test_a_bracket_that_sits_on_the_frame_with_six_bolts_has_six_bracket_bolts() -> None:
    draft = told(
        "There is the bearing bracket, and that's on the frame with six bolts. They're M16. Take the bracket bolts out."
    )
    bolts = thing(draft, "bearing bracket bolts")
    assert (bolts.count, bolts.thread) == (6, "M16")


def test_one_bolt_in_each_and_the_bolts_are_one_set() -> None:
    draft = told("Each anchor pin is held by a retaining bolt. The retaining bolts are taken out, two of them.")
    assert [one.count for one in draft.things if one.kind == "fastener"] == [2]


def test_two_centre_bolts_are_not_the_eight_mount_bolts() -> None:
    draft = told(
        "Each mount has one big bolt through the middle, so there are two centre bolts in total. They're M20. "
        "Take the centre bolts out. There's four mount bolts on each side, M12, so that's eight altogether. "
        "Take the mount bolts out."
    )
    assert thing(draft, "centre bolts").thread == "M20"
    assert thing(draft, "centre bolts").count == 2


def test_a_number_after_a_name_counts_the_set_before_it() -> None:
    draft = told("It sits on the lower bolts, three of those, M18, and the upper bolts, four of them, M16.")
    assert (thing(draft, "lower bolts").count, thing(draft, "lower bolts").thread) == (3, "M18")
    assert thing(draft, "upper bolts").thread == "M16"
    assert thing(draft, "upper bolts").count in (None, 4)


def test_a_correction_belongs_to_the_set_whose_name_it_repeats() -> None:
    draft = told(
        "Take out the lower bolts and the upper bolts. "
        "The lower bolts get 240 newton metres, no, sorry, that's the upper ones, the lower ones get 310 newton metres."
    )
    upper, lower = thing(draft, "upper bolts").torque, thing(draft, "lower bolts").torque
    assert upper is not None
    assert upper.value == 240
    assert lower is not None
    assert lower.value == 310


def test_a_thread_said_in_two_ways_stays_unknown() -> None:
    draft = told(
        "There are four cover bolts. The cover bolts are M8. Take the cover bolts out. The cover bolts are M10."
    )
    bolts = thing(draft, "cover bolts")
    assert bolts.thread == ""
    assert any("two threads" in doubt for doubt in bolts.unsure)


def test_a_torque_said_in_two_ways_stays_unknown_however_often_it_is_said() -> None:
    draft = told(
        "Put the cover on. The cover bolts get 25 newton metres. Wipe it down. The cover bolts get 35 newton metres. "
        "The cover bolts get 25 newton metres."
    )
    bolts = thing(draft, "cover bolts")
    assert bolts.torque is None
    assert any("two torques" in doubt for doubt in bolts.unsure)


def test_two_lots_of_bolts_is_no_count() -> None:
    draft = told("There are two lots of bolts on the housing. The flange bolts, six of those, are M12.")
    assert all(one.count in (None, 6) for one in draft.things if one.kind == "fastener")


def test_all_but_one_are_those_of_the_housing_just_named() -> None:
    words = (
        "There's four guard bolts. Take them out. Now the housing. It's got eight housing bolts. Take out all but one."
    )
    assert deeds(words)[-1] == "take_out housing bolts"


def test_the_weight_of_the_whole_lot_is_not_the_shafts() -> None:
    draft = told("I put a sling round the fan shaft, because the whole lot is twenty-eight kilos.")
    assert all(one.mass is None for one in draft.things)


def test_all_four_bolts_are_not_the_two_upper_ones() -> None:
    draft = told(
        "Take out the two upper bolts. Take out the lower bolts. Put the plate on. "
        "All four bolts are tightened to 64 newton metres."
    )
    assert all(one.torque is None for one in draft.things)
    assert draft.unread


def test_five_on_each_half_and_ten_in_all_are_ten() -> None:
    draft = told("There's four mount bolts on each side, M12, so that's eight altogether. Take the mount bolts out.")
    assert thing(draft, "mount bolts").count == 8


def test_all_but_two_and_then_the_last_two() -> None:
    words = "Twelve cover screws, M10. Take out all but two. Hang the cover on the hoist. Then the last two screws."
    assert deeds(words) == ["take_out cover screws", "support hoist", "take_out cover screws"]


def test_plugs_in_the_ports_keep_dirt_out_and_connect_nothing() -> None:
    words = "Disconnect both hoses, put plugs in the ports, and caps on the hoses."
    assert deeds(words) == ["disconnect hoses", "cover plugs", "cover caps"]


def test_a_jack_that_can_go_is_taken_away() -> None:
    assert deeds("Put the jack under the box. Put the box in. Then the jack can go.")[-1] == "release jack"
