"""How near two names are to the ear."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.dialogue.sounds import confused_pairs, easily_confused, sounds_like_distance, sounds_of


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("cross member bolts", "crossmember bolts"),
        ("bell housing", "bellhousing"),
        ("fly wheel", "flywheel"),
        ("caliper", "calliper"),
        ("gauge", "gage"),
        ("brake", "break"),
        ("bolt 2", "bolt two"),
        ("14", "fourteen"),
        ("Knuckle", "nuckle"),
        ("wrench", "rench"),
    ],
)
def test_spellings_of_one_sound_have_no_distance(one: str, other: str) -> None:
    assert sounds_like_distance(one, other) == 0


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("13", "30"),
        ("14", "40"),
        ("15", "50"),
        ("116", "160"),
        ("dowel bolts", "towel bolts"),
        ("pump bolts", "bump bolts"),
        ("left stud", "lift stud"),
        ("top plate", "stop plate"),
        ("bearing cap", "bearing cup"),
        ("prop shaft", "drop shaft"),
        ("slave cylinder", "sleeve cylinder"),
        ("axle nut", "axle nuts"),
    ],
)
def test_one_blurred_sound_makes_names_easily_confused(one: str, other: str) -> None:
    assert easily_confused(one, other)
    assert 0 < sounds_like_distance(one, other) < 0.3


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("front hub bolts", "rear hub bolts"),
        ("inner guard bolts", "outer guard bolts"),
        ("upper mount nuts", "lower mount nuts"),
        ("left cover", "right cover"),
        ("flywheel bolts", "clutch bolts"),
        ("20", "70"),
    ],
)
def test_a_long_common_tail_does_not_make_names_alike(one: str, other: str) -> None:
    assert not easily_confused(one, other)


def test_voicing_costs_less_than_another_sound() -> None:
    assert (
        sounds_like_distance("pump", "bump")
        < sounds_like_distance("pump", "lump")
        < sounds_like_distance("pump", "oil")
    )


def test_the_card_checker_finds_the_pairs_among_many_names() -> None:
    names = [f"{where} {what} bolts" for where in ("front", "rear") for what in ("hub", "sump", "flywheel", "gearbox")]
    assert list(confused_pairs(names)) == []
    assert list(confused_pairs([*names, "rear sum bolts", "front hub bolts"])) == [
        ("rear sump bolts", "rear sum bolts")
    ]


NAMES = [
    "dowel",
    "towel",
    "vowel",
    "bowl",
    "cap",
    "cup",
    "cab",
    "hub",
    "tub",
    "nut",
    "knot",
    "stud",
    "strut",
    "stop",
    "top",
]

words = st.text(alphabet="abcdefghijklmnopqrstuvwxyz 0123456789", max_size=30)


@given(words, words)
def test_distance_is_even_handed_and_bounded(one: str, other: str) -> None:
    distance = sounds_like_distance(one, other)
    assert 0 <= distance <= 1
    assert distance == sounds_like_distance(other, one)
    assert sounds_like_distance(one, one) == 0


@given(st.lists(st.sampled_from(NAMES), unique=True))
def test_the_sieve_loses_no_pair(names: list[str]) -> None:
    every = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :] if easily_confused(a, b)]
    assert list(confused_pairs(names)) == every


def test_sounds_of_nothing() -> None:
    assert sounds_of("") == ""
    assert sounds_like_distance("", "") == 0
    assert sounds_like_distance("", "bolt") == pytest.approx(1)
