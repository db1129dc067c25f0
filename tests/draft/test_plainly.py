"""Turns of talk that say a plain thing: what it is not, how many behind the name, which side of a limit.

Common practice of talk, learned by the narrations in `rounds/`.
"""

from __future__ import annotations

import pytest

from .telling import deeds, thing, told


def limits(words: str) -> tuple[str, str]:
    measure = next(one for one in told(words).things if one.kind == "measure")
    return tuple("" if side is None else str(side.value) for side in (measure.low, measure.high))  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Measure the play. More than one point six millimetres and you stop, it's a new bearing.", ("", "1.6")),
        ("Measure the gap. Up to nought point three of a millimetre is all right, anything more and it's skimmed.",
         ("", "0.3")),
        ("Measure the disc thickness. Thirty-seven millimetres is the lowest it may be.", ("37", "")),
        ("Measure the disc thickness. The limit is five millimetres. Under that it's scrap.", ("5", "")),
        ("Measure the plate thickness. Nine millimetres, least.", ("9", "")),
        ("Measure the backlash. It shouldn't be under 0.08 millimetres, nor over 0.25 millimetres.", ("0.08", "0.25")),
        ("Measure the play. Less than two millimetres and you're fine.", ("", "2")),
        ("Measure the play. More than two millimetres and you're not happy.", ("", "2")),
        ("Measure the pads. More than three millimetres and you're fine.", ("3", "")),
        ("Measure the fork pads. If they're under six millimetres, they're junk.", ("6", "")),
    ],
)  # fmt: skip
def test_the_side_of_a_limit(words: str, said: tuple[str, str]) -> None:
    assert limits(words) == said


@pytest.mark.parametrize(
    ("words", "name", "count"),
    [
        ("Loosen the sprocket bolts, because it's the track that's holding the hub. Twelve of them, M16.",
         "sprocket bolts", 12),
        ("The big hoses have flange bolts, eight between the pair of them. Take the flange bolts out.",
         "flange bolts", 8),
        ("Blank everything off with caps. You'll want six caps.", "caps", 6),
        ("Take the motor off. Going back. New flange seals, two of them.", "new flange seals", 2),
        ("Take the hose off. Going back. Feed hose on, with two new copper washers.", "new copper washers", 2),
        ("Lift out the friction discs, that's five, and the steel plates, that's four.", "steel plates", 4),
        ("Put a plastic cap on each of the hoses, so two caps.", "plastic caps", 2),
    ],
)  # fmt: skip
def test_a_count_told_behind_the_name(words: str, name: str, count: int) -> None:
    assert thing(told(words), name).count == count


def test_two_sorts_of_one_bolt_are_two_sets() -> None:
    draft = told(
        "There are two sorts of sump bolt, you see, the long ones at the front, four of those, forty-five millimetres, "
        "and the short ones everywhere else, twenty of those. Take the short ones out, and then the long ones."
    )
    found = {one.name: (one.count, one.length and one.length.value) for one in draft.things if one.kind == "fastener"}
    assert found == {"long sump bolts": (4, 45), "short sump bolts": (20, None)}


@pytest.mark.parametrize(
    ("words", "name", "value"),
    [
        ("It's forty-two kilos, that caliper, so the strap isn't for decoration.", "caliper", 42),
        ("Get a chain block on it, for the drum's two hundred and twenty kilos.", "drum", 220),
        ("Get the wheel off. Ninety-five kilos with the tyre on, so don't be a hero.", "wheel", 95),
        ("Get the jack under the retarder. And it is a weight, 190 kilos, so nobody's being a hero, all right?",
         "retarder", 190),
        ("Have somebody hold it, because the spring weighs fifty-four kilos.", "spring", 54),
    ],
)  # fmt: skip
def test_what_weighs_so_much(words: str, name: str, value: int) -> None:
    first = f"Take the {name} nuts off and lift the {name} away. " if name in ("caliper", "drum") else ""
    mass = thing(told(first + words), name).mass
    assert mass is not None
    assert mass.value == value


def test_a_spanner_size_with_no_unit_is_millimetres_and_is_asked_about() -> None:
    bolts = thing(told("Six guard bolts, thirteen socket. Take them out."), "guard bolts")
    assert bolts.wrench is not None
    assert (str(bolts.wrench.value), bolts.wrench.unit) == ("13", "mm")
    assert any("with no unit" in doubt for doubt in bolts.unsure)
    screws = thing(told("Take out the 6 socket head screws."), "screws")
    assert (screws.count, screws.wrench) == (6, None), "how many, and no size"


def test_what_it_is_not_is_left_out() -> None:
    draft = told("Take the end plate off. Run a bead of sealant round the end plate, not half a tube like Gordon.")
    assert [(deed.verb, deed.onto and deed.onto.name) for deed in draft.steps[-1].deeds] == [("apply", "end plate")]
    assert deeds("Take the bolts out. Lift the starter off, it's seventeen kilos and not one handle on it.") == [
        "take_out bolts",
        "remove starter",
    ]


def test_what_is_told_of_all_is_of_each() -> None:
    draft = told(
        "Take out the long bolts and the short bolts. Going back. Start the long bolts and the short bolts by hand. "
        "First round, long bolts and short bolts, everybody gets twenty newton metres. Second round, the short bolts "
        "get 46 newton metres. And then the long bolts get 58 newton metres."
    )
    found = {one.name: ([p.value for p in one.passes], one.torque and one.torque.value) for one in draft.things}
    assert found == {"long bolts": ([20], 58), "short bolts": ([20], 46)}


def test_that_was_only_the_first_round() -> None:
    bolts = thing(
        told(
            "Take the sprocket bolts out. Going back. Sprocket bolts in by hand. Then go across at a hundred newton "
            "metres, and that's only the first round. Sprocket bolts, last round. Two hundred and sixty newton metres."
        ),
        "sprocket bolts",
    )
    assert ([one.value for one in bolts.passes], bolts.torque and bolts.torque.value) == ([100], 260)


def test_what_somebody_else_did_is_nothing_to_do() -> None:
    bolts = thing(
        told("Start the motor bolts by hand. They go in dry. A lad oiled them once and stretched the lot."),
        "motor bolts",
    )
    assert bolts.treatment == "dry"


@pytest.mark.parametrize(
    "words",
    [
        "Take the drain plug out. Let it drip. New copper washer, plug back in, sixty-five newton metres.",
        "Undo the drain plug. Drain the oil. Take the cover off. Cover back on. New washer on the drain plug, and the "
        "plug gets sixty-five newton metres.",
    ],
)
def test_the_plug_is_the_one_that_came_out(words: str) -> None:
    plug = thing(told(words), "drain plug")
    assert plug.torque is not None
    assert plug.torque.value == 65


def test_which_hose_the_fat_one_is() -> None:
    draft = told(
        "Take the drain plug out. Now the hoses, a fat one and a thin one. Fat one's the suction hose. "
        "Pull the suction hose off. Drain plug back in, seventy newton metres."
    )
    assert [one.name for one in draft.things if one.kind == "fastener"] == ["drain plug"]


def test_both_of_two_parts_are_each_meant() -> None:
    words = "Press the eye bush in, then press the hanger bush in, and they both go in dry."
    draft = told(f"Press the eye bush out. Press the hanger bush out. Going back. {words}")
    assert [one.treatment for one in draft.things if one.kind == "part"] == ["dry", "dry"]
    draft = told("Pull the upper pin out. Pull the lower pin out. Grease both pins, and don't be mean.")
    greased = [deed.onto.name for step in draft.steps for deed in step.deeds if deed.verb == "apply" and deed.onto]
    assert greased == ["upper pin", "lower pin"]


@pytest.mark.parametrize(
    ("words", "name", "torque"),
    [
        ("Disconnect the line. Plate bolts out. Connect the line, and that gets 22 newton metres at each end.", "line",
         22),
        ("Take the grease nipple out. Going back. Grease nipple back in, eight newton metres.", "grease nipple", 8),
        ("Loosen the locknut on the tension screw. Going back. Before the guard, the locknut on the tension screw. "
         "Tighten that, thirty newton metres, or it all goes slack again.", "tension screw lock nut", 30),
        ("Fat hose off, six flange bolts. Take the bolts out. Fat hose on. Its six bolts get 85 newton metres.",
         "flange bolts", 85),
    ],
)  # fmt: skip
def test_whose_torque_it_is(words: str, name: str, torque: int) -> None:
    draft = told(words)
    assert [(one.name, one.torque.value) for one in draft.things if one.torque] == [(name, torque)]


def test_those_on_the_pinion_are_the_ones_that_were_named() -> None:
    words = "Take the plate bolts out. Going back. Plate on. Those plate bolts on the pinion, 110 newton metres."
    assert [one.torque and one.torque.value for one in told(words).things if one.kind == "fastener"] == [110]


def test_two_torques_in_one_breath_go_to_the_two_that_are_named() -> None:
    draft = told(
        "Take out the front spring bolt and the rear shackle bolt. Going back. Now tighten the front spring bolt to "
        "240 newton metres, and the rear shackle bolt to 190 newton metres."
    )
    assert [(one.name, one.torque.value) for one in draft.things if one.torque] == [
        ("front spring bolt", 240),
        ("rear shackle bolt", 190),
    ]


def test_what_is_laid_on_something_is_carried_by_it() -> None:
    assert deeds("Lay the breaker down flat on two timber sleepers.") == ["support timber sleepers"]


def test_one_part_by_two_names_is_one() -> None:
    draft = told("The big pin up at the tower comes out today. Draw the pivot pin out. It weighs nineteen kilos.")
    pins = [one for one in draft.things if one.head == "pin"]
    assert [one.mass.value for one in pins if one.mass] == [19]
    assert len(pins) == 1


def test_a_tray_is_no_plug() -> None:
    draft = told(
        "Take the filler plug out. Tray underneath. A big one. Going back. Tighten the plug to 48 newton metres."
    )
    assert [(one.name, one.torque and one.torque.value) for one in draft.things if one.kind == "fastener"] == [
        ("filler plug", 48)
    ]


def test_start_it_dry_is_a_warning() -> None:
    draft = told(
        "Take the drain plug out. Drain plug back in. Fill it with oil. Start it dry and you've bought a pump."
    )
    assert [one.treatment for one in draft.things if one.kind == "fastener"] == [""]
