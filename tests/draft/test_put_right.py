"""What people say first and take back: counts, sizes, sides and names put right across sentences.

The ways of saying are common practice of talk; the narrations that they were learned by lie in `rounds/`.
"""

from __future__ import annotations

import pytest

from assistant.card.draft.card_text import torque_line

from .telling import deeds, thing, told


def sizes(words: str, name: str) -> list[str]:
    """Count, thread, width across flats, length and mass, as far as they were said."""
    one = thing(told(words), name)
    figures = [one.wrench, one.length, one.mass]
    return [
        *([str(one.count)] if one.count_said else []),
        *([one.thread] if one.thread else []),
        *(f"{figure.value:f} {figure.unit}" for figure in figures if figure is not None),
    ]


def torque(words: str, name: str) -> list[str]:
    """The rounds and the value."""
    one = thing(told(words), name)
    return [*map(torque_line, one.passes), *([torque_line(one.torque)] if one.torque else [])]


@pytest.mark.parametrize(
    ("words", "name", "said"),
    [
        ("There's a keeper plate with three bolts. Two bolts, sorry, two. Take them out.", "keeper plate bolts", ["2"]),
        ("Four chocks, no, I tell a lie, two chocks, behind the back wheels.", "chocks", ["2"]),
        ("Get it up and put it on four stands. No, what am I saying, two stands, under the rails.", "stands", ["2"]),
        ("Take out the big washers, four of them, no, two, one each side of the bush.", "big washers", ["2"]),
        ("The shaft is held with four bolts. No, that's the old pattern. Three bolts. Take those out.",
         "shaft bolts", ["3"]),
        ("The guard has five bolts, no, wait, that's the other lorry, three guard bolts on this one.",
         "guard bolts", ["3"]),
        ("Run two chains, no, sorry, two straps, from the house down to the frame.", "straps", ["2"]),
        ("Now the manifold bolts. There's ten, no, I tell a lie, twelve, two to a port.", "manifold bolts", ["12"]),
        ("Take out the springs, there's ten, no, let me think, twelve springs.", "springs", ["12"]),
        ("Take out the four saddle bolts, M18. M20, I should say, M20.", "saddle bolts", ["4", "M20"]),
        ("Take off the pressure hose. That's a thirty-two spanner. No, it's a thirty-six mil spanner.", "pressure hose",
         ["36 mm"]),
        ("Three carrier bolts, M10, seventeen socket. Sorry, sixteen, they're sixteens.", "carrier bolts",
         ["3", "M10", "16 mm"]),
        ("Then there's eight flywheel bolts, seventeen socket. Sorry, nineteen, the nineteen socket.", "flywheel bolts",
         ["8", "19 mm"]),
        ("Take the clamp bolt out, nineteen mil, no, seventeen, seventeen mil wrench.", "clamp bolt", ["17 mm"]),
        ("Lift the turbo off. It's twenty-two kilos. No, that's the old one. This one's twenty-six.",
         "turbo", ["26 kg"]),
    ],
)  # fmt: skip
def test_a_number_put_right_is_the_last_one_said(words: str, name: str, said: list[str]) -> None:
    assert sizes(words, name) == said


def test_two_sets_put_right_at_once() -> None:
    draft = told(
        "Hanger bolts then. There's three upper ones and four lower ones... no, sorry, I've turned it round, "
        "it's four upper bolts and three lower bolts. Take out the upper bolts. Take out the lower bolts."
    )
    assert {one.name: one.count for one in draft.things if one.count_said} == {
        "upper hanger bolts": 4,
        "lower hanger bolts": 3,
    }


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Tighten the cap bolts to fifty-four. Forty-five. Forty-five foot pounds, I had it back to front.",
         ["45 lbf·ft"]),
        ("Then tighten the cap bolts to ninety foot pounds. Inch pounds. Ninety inch pounds.", ["90 lbf·in"]),
        ("Tighten the cap bolts to 140 newton metres. Hang on, let me look at the card. 114. Sorry. 114 newton metres.",
         ["114 N·m"]),
        ("Cap bolts, first go, 150 foot pounds. Second go, 260, no, wrong, that's the old bolts. 290 foot pounds.",
         ["150 lbf·ft", "290 lbf·ft"]),
        ("Now tighten the cap bolts, across, not round and round like Dad does it, to two hundred, no, three hundred "
         "newton metres.", ["300 N·m"]),
    ],
)  # fmt: skip
def test_a_torque_put_right_is_the_last_one_said(words: str, said: list[str]) -> None:
    assert torque(f"Take the cap bolts out. Going back. {words}", "cap bolts") == said


def test_a_correction_puts_one_sentence_right_and_not_the_next() -> None:
    draft = told(
        "Take the upper bolts out and the lower bolts. Going back. Upper bolts get 218 newton metres. No. Sorry. "
        "280 newton metres, I always trip on that. Lower bolts get 190 newton metres."
    )
    assert [(one.name, one.torque.value) for one in draft.things if one.torque] == [
        ("upper bolts", 280),
        ("lower bolts", 190),
    ]


def test_the_limit_of_another_machine_lends_its_side_to_the_right_one() -> None:
    draft = told(
        "Measure the run-out. No more than nought point two millimetres. No, that's the old sweeper. "
        "Nought point one five millimetres on this one."
    )
    measure = next(one for one in draft.things if one.kind == "measure")
    assert (measure.low, str(measure.high.value if measure.high else "")) == (None, "0.15")


@pytest.mark.parametrize(
    ("words", "treatment"),
    [
        ("The base bolts take high-strength locker, no, I take that back, medium locker.", "locker-medium"),
        ("The base bolts go in with the red, no, not the red, the blue thread locker on them, the medium one.",
         "locker-medium"),
        ("The base bolts, I want to say anti-seize, no, scratch that, they get high strength thread locker.",
         "locker-high"),
    ],
)  # fmt: skip
def test_a_treatment_put_right(words: str, treatment: str) -> None:
    assert thing(told(f"Take out the base bolts. Going back. {words}"), "base bolts").treatment == treatment


def test_only_one_there_is_no_count() -> None:
    hose = next(one for one in told("So you pull the two air hoses, no, sorry, there's only the one.").things)
    assert hose.count in (None, 1)


def test_a_deed_is_kept_where_its_object_is_put_right() -> None:
    words = "Take out the sixteen, no, sorry, that's the other truck, the twelve guard screws, and lift the guard off."
    assert deeds(words) == ["take_out guard screws", "remove guard"]


def test_what_could_not_be_put_right_does_not_stand() -> None:
    """The safety net: the first number was taken back, and the second belongs to nothing that could be read."""
    draft = told("Take out the six cover bolts. No, hang on, it's the other way about, eight.")
    bolts = thing(draft, "cover bolts")
    assert bolts.count in (None, 8)


@pytest.mark.parametrize(
    ("words", "limit"),
    [
        ("Measure the run-out. Not more than nought point three. No, point four, it's nought point four of a "
         "millimetre.",
         "0.4"),
        ("Measure the wear on the fork. If it's over half a, no, over one millimetre, that fork's scrap.", "1"),
    ],
)  # fmt: skip
def test_a_limit_put_right(words: str, limit: str) -> None:
    measure = next(one for one in told(words).things if one.kind == "measure")
    assert measure.low is None
    assert measure.high is not None
    assert str(measure.high.value) == limit


def test_the_seal_goes_in_with_what_was_said_last() -> None:
    draft = told("New seal now. It goes in with grease round the outside. No! Sealant round the outside, sealant.")
    assert [deed.thing.name for step in draft.steps for deed in step.deeds if deed.thing and deed.verb == "apply"] == [
        "sealant"
    ]
