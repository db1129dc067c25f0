"""Whose bolts, whose value: what the talk is at, what was put right, what is said of a hose."""

from __future__ import annotations

import pytest

from assistant.card.draft.card_text import torque_line
from assistant.card.draft.drafting import draft_of
from assistant.card.draft.reading import narration_of
from assistant.card.load import load_card_text

from .telling import deeds, thing, told


def torque(words: str, name: str) -> str:
    found = thing(told(words), name)
    return torque_line(found.torque, found.angle_deg) if found.torque else ""


def passes(words: str, name: str) -> list[str]:
    return [torque_line(one) for one in thing(told(words), name).passes]


@pytest.mark.parametrize(
    ("words", "name", "count"),
    [
        ("Take the cover off. Now the bracket. Four bolts, M20. Take them out.", "bracket bolts", 4),
        ("Rear flange. Eight bolts, M12. Pull the bolts out.", "rear flange bolts", 8),
        ("Feed hood off. Eight bolts. Take them out.", "feed hood bolts", 8),
        ("Well, the guard's in the way, so the guard first. Three bolts, M8. Take those out.", "guard bolts", 3),
        ("Then back to the elbow. Six nuts, M20. Take the nuts off.", "elbow nuts", 6),
    ],
)
def test_bolts_told_by_number_are_those_of_the_part_that_the_talk_is_at(words: str, name: str, count: int) -> None:
    assert thing(told(words), name).count == count


def test_the_next_part_has_bolts_of_its_own() -> None:
    draft = told(
        "Feed hood. Eight bolts, M16. Take them out. Feed hood off. "
        "Side door. Two bolts, M30. Take them out. Side door off. "
        "Side door on. Two bolts, 300 newton metres. Feed hood on. Eight bolts, 180 newton metres."
    )
    found = {one.name: (one.count, one.thread) for one in draft.things if one.kind == "fastener"}
    assert found == {"feed hood bolts": (8, "M16"), "side door bolts": (2, "M30")}
    assert [one.torque.value for one in draft.things if one.torque] == [180, 300]


def test_there_is_a_nut_and_it_is_a_big_nut_are_one_nut() -> None:
    draft = told("There's a big nut in the middle of the flange. It's a thirty-six mil nut. Take the nut off.")
    assert len([one for one in draft.things if one.kind == "fastener"]) == 1


def test_the_lock_nut_is_none_of_the_wheel_nuts() -> None:
    words = (
        "Take out the wheel nuts. Loosen the locknut. Locknut, fifty-five foot pounds. Wheel nuts, 600 newton metres."
    )
    assert (torque(words, "lock nut"), torque(words, "wheel nuts")) == ("55 lbf·ft", "600 N·m")


@pytest.mark.parametrize(
    "words",
    [
        "Tighten the cap bolts to sixty newton metres. Then tighten them to 150 newton metres.",
        "Tighten the cap bolts across to 60 newton metres. Then tighten them again to 150 newton metres.",
        "Cap bolts. First round, sixty newton metres. Second round, 150 newton metres.",
        "Tighten the cap bolts. The first round is 60 newton metres. Then the second round is 150 newton metres.",
        "Cap bolts, they go back at 150 newton metres. Tighten the cap bolts, sixty newton metres the first time.",
        "Tighten the cap bolts to 60 newton metres. Slacken them off. Then tighten them again, 150 newton metres.",
    ],
)
def test_rounds_told_as_steps_are_passes(words: str) -> None:
    assert (passes(words, "cap bolts"), torque(words, "cap bolts")) == (["60 N·m"], "150 N·m")


def test_a_nut_set_and_eased_has_less_in_the_end() -> None:
    words = "Tighten the hub nut to 200 newton metres. Slacken it off. Then tighten it again, fifty newton metres."
    assert (passes(words, "hub nut"), torque(words, "hub nut")) == (["200 N·m"], "50 N·m")


def test_a_turn_told_long_after_the_torque_is_asked_about() -> None:
    draft = told(
        "Tighten the nut to 280 newton metres. Check the gap. Wipe the plate. Take the block out. "
        "Another half turn on the nut."
    )
    assert thing(draft, "nut").angle_deg is None
    assert any("turn" in one.why for one in draft.unread)


@pytest.mark.parametrize(
    ("words", "name", "expected"),
    [
        ("Connect the earth lead, eighteen foot pounds.", "earth lead", "18 lbf·ft"),
        ("Spray pipe on. Fifty newton metres.", "spray pipe", "50 N·m"),
        ("Connect the brake line. Thirty-eight newton metres on that union.", "brake line", "38 N·m"),
    ],
)
def test_a_torque_said_of_a_line_stays_with_the_line(words: str, name: str, expected: str) -> None:
    assert torque(words, name) == expected


def test_in_the_card_the_torque_of_a_line_is_its_unions() -> None:
    words = (
        "Disconnect the two pressure hoses, thirty-six millimetre spanner. Take the pump off. Fit the pump. "
        "Connect the pressure hoses, a hundred and twenty newton metres each."
    )
    card = load_card_text(draft_of(narration_of(words, "talk.txt")).text, "draft")
    union = card.fasteners["pressure-hose-unions"]
    assert (str(union.torque.value), union.count) == ("120", 0)  # type: ignore[union-attr]
    assert any("pressure hoses" in reason for reason in union.unsure)


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("It should be not less than 0.12 millimetres and not more than 0.28 millimetres.", "0.12", "0.28"),
        ("It shall be no less than 84 millimetres, and no more than 86 millimetres.", "84", "86"),
        ("Twelve millimetres is the limit, and beyond that it is scrap.", None, "12"),
        ("More than 1.2 millimetres is not permitted.", None, "1.2"),
        ("Owt less than two point six millimetres, and you have new ones.", "2.6", None),
        ("More than half a millimetre, that's scrap as well.", None, "0.5"),
        ("The most we accept is 0.08 millimetres.", None, "0.08"),
        ("You don't want less than nine millimetres there.", "9", None),
        ("Nothing under nought point two five millimetres.", "0.25", None),
        ("No more than two fifty millimetres.", None, "250"),
        ("Never less than point oh three millimetres, or it will cook.", "0.03", None),
        ("Less than half a millimetre.", None, None),
    ],
)
def test_limits_as_people_say_them(words: str, low: str | None, high: str | None) -> None:
    gap = thing(told(f"Measure the gap. {words}"), "gap")
    told_so = tuple(str(one.value) if one is not None else None for one in (gap.low, gap.high))
    assert told_so == (low, high)


def test_a_limit_belongs_to_what_was_measured_last_by_whatever_name() -> None:
    draft = told(
        "Measure the disc thickness, at least 4.2 millimetres. "
        "Measure the plate warp on a flat table, 0.15 millimetres is the limit."
    )
    assert thing(draft, "disc thickness").high is None
    high = thing(draft, "plate warp").high
    assert high is not None
    assert str(high.value) == "0.15"


def test_what_is_said_along_with_a_correction_is_kept() -> None:
    bolts = thing(told("The chute has six bolts, no, sorry, eight bolts, M16. Take the bolts out."), "chute bolts")
    assert (bolts.count, bolts.thread) == (8, "M16")


def test_of_two_numbers_with_a_correction_that_cannot_be_read_neither_stands() -> None:
    draft = told("Tighten the nut to eight newton metres, eighty, sorry, ninety newton metres, or near it.")
    assert thing(draft, "nut").torque is None or thing(draft, "nut").torque.value == 90  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("words", "name", "treatment"),
    [
        ("Take out the oil plug. The oil plug goes in with sealant.", "oil plug", "sealant"),
        ("The flywheel bolts get sealant on the threads.", "flywheel bolts", "sealant"),
        ("The shoe bolts have oil on the threads.", "shoe bolts", "oil"),
        ("Start the cap bolts by hand, with a little oil on the threads.", "cap bolts", "oil"),
    ],
)
def test_what_goes_on_the_threads(words: str, name: str, treatment: str) -> None:
    assert thing(told(words), name).treatment == treatment


def test_two_treatments_that_rule_each_other_out_leave_none() -> None:
    nut = thing(told("The nut has low strength threadlocker. The nut has medium strength threadlocker."), "nut")
    assert (nut.treatment, bool(nut.unsure)) == ("", True)


def test_sealant_under_the_cap_is_not_on_the_screws() -> None:
    words = "Take out the three screws. Put the three screws in with a bit of sealant under the cap."
    assert [one.treatment for one in told(words).things if one.kind == "fastener"] == [""]


def test_a_weight_is_not_that_of_a_part_named_before_other_bolts() -> None:
    draft = told(
        "Put a strap round the turbo. Take out the manifold bolts. It's 27 kilos of cast iron. Lift the manifold off."
    )
    assert thing(draft, "turbo").mass is None
    assert thing(draft, "manifold").mass is not None


@pytest.mark.parametrize(
    "words",
    [
        "I bought a new van last week.",
        "Keep your fingers out of there.",
        "Everybody wants to oil the seal.",
        "People try to save that seal.",
        "There are always two of us on the roof for that.",
    ],
)
def test_talk_beside_the_work_is_no_deed(words: str) -> None:
    assert [one for one in deeds(words) if not one.startswith("move")] == []


def test_how_many_of_us_there_are_counts_no_bolts() -> None:
    draft = told("The fan is held by four bolts. The fan weighs 16 kilos, and there are always two of us for that.")
    assert thing(draft, "fan bolts").count == 4


def test_what_is_only_spoken_of_is_asked_about() -> None:
    draft = told("Take the end plate off. Inside there's two nuts, one on top of the other.")
    assert any("nothing was said to be done" in one.why for one in draft.unread)


TWO_SETS = "Take out the four long bolts and the six short bolts. Take the cover off. Put the cover on. "


@pytest.mark.parametrize(
    ("words", "long", "short"),
    [
        ("The long ones get 80 newton metres, the short ones 45.", "80", "45"),
        ("The long bolts get 80 newton metres. The rest get 45 newton metres.", "80", "45"),
        ("The four long ones get 80 newton metres and the others 45 newton metres.", "80", "45"),
        ("Start with the short ones, 45 newton metres, then the long ones, 80 newton metres.", "80", "45"),
        ("Those get 80 newton metres.", None, None),
        ("The bolts get 80 newton metres.", None, None),
        ("All ten get 80 newton metres.", None, None),
        ("Both sets get 80 newton metres.", None, None),
    ],
)
def test_of_two_sets_each_has_its_own_torque_or_none(words: str, long: str | None, short: str | None) -> None:
    draft = told(TWO_SETS + words)
    found = [thing(draft, name).torque for name in ("long bolts", "short bolts")]
    assert [str(one.value) if one is not None else None for one in found] == [long, short]


def test_of_two_heads_each_belongs_to_the_bolts_named_before_it() -> None:
    draft = told(TWO_SETS + "The long bolts have a 24 mil head and the short ones 19 mil.")
    assert thing(draft, "long bolts").wrench is not None
    assert thing(draft, "short bolts").wrench is None


@pytest.mark.parametrize(
    "words",
    [
        "Five screws, 20 newton metres. Left cover on. Screws, 9 newton metres.",
        "The screws get 20 newton metres. Left cover on, and the screws get 9 newton metres.",
    ],
)
def test_the_screws_are_those_of_the_cover_that_goes_on(words: str) -> None:
    draft = told(
        "Left cover, four screws. Take them out, left cover off. "
        f"Right cover, five screws. Take them out, right cover off. Right cover on. {words}"
    )
    found = {one.name: str(one.torque.value) for one in draft.things if one.torque is not None}
    assert found == {"left cover screws": "9", "right cover screws": "20"}


def test_three_bolts_each_are_not_three_bolts() -> None:
    draft = told("There's two brackets with three bolts each. Take the bolts out.")
    assert [one.count for one in draft.things if one.kind == "fastener"] == [None]


def test_what_holds_only_in_a_case_is_no_value_of_every_case() -> None:
    draft = told("Take out the six cover bolts. If the threads are rusty put anti-seize on the cover bolts.")
    bolts = thing(draft, "cover bolts")
    assert (bolts.treatment, any("only in a case" in reason for reason in bolts.unsure)) == ("", True)


def test_it_after_a_lone_nut_may_be_the_nut_and_weighs_nothing_else() -> None:
    draft = told(
        "Take the rain cover off. Behind the rain cover is the pin nut. Loosen the pin nut and take it off. "
        "It's nine kilos. Take the grease nipple out. Lift the bearing out."
    )
    assert [one.name for one in draft.things if one.mass is not None] == []


def test_a_plate_that_lies_across_a_nut_gives_it_no_order() -> None:
    draft = told("You'll see the pin nut with a lock plate across it. Pin nut off. Pin nut on, forty newton metres.")
    assert not thing(draft, "pin nut").order


def test_screws_told_after_a_ring_is_named_next_are_the_rings() -> None:
    draft = told("Lift the jaw out. Wear ring last. Six screws, M10. Take them out. Ring off.")
    assert [(one.name, one.count) for one in draft.things if one.kind == "fastener"] == [("wear ring screws", 6)]


def test_two_sets_named_in_one_breath_each_have_their_own_length() -> None:
    draft = told("There's four long bolts, and they're ninety millimetres, and two short bolts, and they're fifty.")
    assert thing(draft, "long bolts").count == 4
    assert thing(draft, "short bolts").count == 2


@pytest.mark.parametrize(
    ("words", "done"),
    [
        ("Two guard halves. Lift them off.", ["remove guard halves"]),
        ("So now we're to those four pump bolts. Take them out.", ["take_out pump bolts"]),
        ("You want the drain plug out of the tank.", ["take_out drain plug"]),
        ("It'll have your toes off if you're daft.", []),
        ("Hydraulic oil will go right in under your skin.", []),
        ("Work the lever some with the engine off.", []),
        ("Somebody oils them every year.", []),
        ("Four wheel chocks.", ["support wheel chocks"]),
        ("Run the lift table in under the motor.", ["support lift table"]),
        ("Run the wheel nuts up snug by hand.", ["snug wheel nuts"]),
        ("Twist the pump until you can line up the paint mark.", ["line_up paint mark"]),
        (
            "Unplug the encoder cable. Bag off the power connector, and plug that in till it clicks.",
            ["disconnect encoder cable", "uncover bag", "connect power connector"],
        ),
        (
            "Six bolts, M16. Put a strap round the gearbox. Take the bolts all out but one. "
            "Look at the strap. Then take that last one out.",
            ["support strap", "take_out bolts", "inspect strap", "take_out bolts"],
        ),
    ],
)
def test_what_is_done_and_with_what(words: str, done: list[str]) -> None:
    assert deeds(words) == done


def test_a_slip_that_says_what_not_takes_it_away() -> None:
    assert deeds("Put grease on the shaft. No, what am I saying, not grease, anti-seize.") == ["apply anti-seize"]
    assert deeds("Put grease on the shaft. No, not grease, anti-seize.") == ["apply anti-seize"]


def test_a_lines_value_is_not_that_of_another_lines_clamp() -> None:
    words = (
        "Loosen the hose clamp, and pull the suction hose off the pump. Pressure hose off. "
        "Put the suction hose on, and the hose clamp gets forty inch pounds. "
        "Pressure hose goes on next, and that's sixty-two foot pounds."
    )
    assert torque(words, "hose clamp") == "40 lbf·in"
    assert torque(words, "pressure hose") == "62 lbf·ft"


def test_what_goes_in_with_oil_is_what_is_wanted_and_not_the_bolts() -> None:
    draft = told(
        "Three valve bolts, M10, take those out. The new valve wants two O-rings, and they go in with oil on them."
    )
    assert thing(draft, "valve bolts").treatment in ("", None)
    assert thing(draft, "new o rings").count == 2


def test_eight_wheel_bolts_are_not_the_six_of_the_wheel_guard() -> None:
    draft = told(
        "Then the wheel guard. That's held with six bolts, seventeen mil spanner. Take the bolts out and lift "
        "the guard off. Eight wheel bolts, M16, twenty-four mil socket. Take them out. "
        "The wheel bolts get two hundred newton metres."
    )
    assert (thing(draft, "wheel bolts").count, thing(draft, "wheel bolts").thread) == (8, "M16")
    assert (thing(draft, "wheel guard bolts").count, thing(draft, "wheel guard bolts").thread) == (6, "")


@pytest.mark.parametrize(
    ("words", "strength"),
    [
        ("with threadlocker on, the high-strength one, er, no, not the high, the medium", "locker-medium"),
        ("with high strength thread locker, no, medium, medium strength", "locker-medium"),
        ("with medium threadlocker on. No, sorry, high, high strength", "locker-high"),
    ],
)
def test_the_strength_that_was_meant_stands(words: str, strength: str) -> None:
    assert thing(told(f"The right bearing bolts go in {words}."), "right bearing bolts").treatment == strength


def test_what_it_goes_in_with_is_put_right() -> None:
    done = deeds("New O-ring on the motor first, and it goes in with oil on it. No, sorry, grease.")
    assert "apply grease" in done
    assert "apply oil" not in done


def test_a_second_round_told_much_later_is_the_last() -> None:
    words = (
        "Wedge bolts. Two of them. Loosen both. Take the wedge bolts out. Fit the wedges. New wedge bolts. "
        "Start both by hand. Wedge bolts, two hundred newton metres. Both. Hit each wedge with the hammer. "
        "A ring is good. A dull knock means dirt, and you begin again. Look at the housing. "
        "Second round, wedge bolts, four hundred and fifty newton metres."
    )
    assert torque(words, "wedge bolts") == "450 N·m"
    assert passes(words, "wedge bolts") == ["200 N·m"]


@pytest.mark.parametrize(
    ("words", "done"),
    [
        ("Up with the pinion shaft now.", ["remove pinion shaft"]),
        ("Unplug the wire-break sensor.", ["disconnect wire-break sensor"]),
        ("The guard's got five bolts in it.", []),
        ("The valve is held up by three nuts, M10.", []),
    ],
)
def test_particles_and_hyphens(words: str, done: list[str]) -> None:
    assert deeds(words) == done


def test_a_spanner_told_behind_the_nut_is_taken_once_and_not_asked_about() -> None:
    draft = told("Loosen the hook nut. It's a ring spanner, ninety-five millimetres.")
    wrench = thing(draft, "hook nut").wrench
    assert wrench is not None
    assert wrench.said == "ninety five millimetres"
    assert not any("length" in one.why for one in draft.unread)


def test_a_nut_on_a_line_that_was_named_before_keeps_its_own_value() -> None:
    words = "Undo the pipe nut. Take the drain pipe off. Connect the drain pipe. Pipe nut, forty newton metres."
    assert torque(words, "pipe nut") == "40 N·m"
    assert torque("Connect the drain pipe. Pipe nut, forty newton metres.", "drain pipe") == "40 N·m"


def test_a_bare_number_takes_no_weights_place() -> None:
    draft = told("Lift the rotor out. Ninety kilos. On the bench. Cap screws. Four. No, six, four's the small pump.")
    assert thing(draft, "cap screws").count == 6
    mass = thing(draft, "rotor").mass
    assert mass is not None
    assert mass.said == "Ninety kilos"


def test_how_dry_it_was_is_no_treatment() -> None:
    draft = told("Sleeve off. Bit dry, that. Put the sleeve back on, with grease on it, since it was so dry.")
    assert thing(draft, "sleeve").treatment != "dry"


def test_it_after_a_lip_is_the_seal() -> None:
    assert "apply grease" in deeds("Old seal out. New seal in. Lip inwards. It goes in with grease on it.")
    draft = told("Old seal out. New seal in. Lip inwards. It goes in with grease on it.")
    onto = [deed.onto.name for step in draft.steps for deed in step.deeds if deed.onto is not None]
    assert onto == ["new seal"]


def test_a_plug_named_for_its_washer_is_the_plug_that_comes_next() -> None:
    words = (
        "Drain plug out. Clean the housing. Look at the shaft. Pull the old seal. Wipe the bore. Clean the flange. "
        "Look at the rotor. Fit the rotor. Fit the flange. New copper washer on for the drain plug. "
        "Then the plug, thirty-five newton metres."
    )
    assert torque(words, "drain plug") == "35 N·m"
