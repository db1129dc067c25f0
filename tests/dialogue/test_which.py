"""Which thing was meant: one, a question, or not on the card; never the nearest instead."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Fastener
from assistant.dialogue.which import Candidate, Close, Found, Names, NotOnCard, candidates_of, tells_apart, which

FASTENERS = Names(
    (
        Candidate("flywheel", "flywheel bolts", ("ring bolts",), "bolt"),
        Candidate("front-hub", "front hub bolts", ("hub bolts",), "bolt"),
        Candidate("rear-hub", "rear hub bolts", ("hub bolts",), "bolt"),
        Candidate("axle", "axle nut", (), "nut"),
        Candidate("housing", "bell housing bolts", (), "bolt"),
        Candidate("drain", "drain plug", (), "plug"),
        Candidate("mount-1", "upper mount bolt 1", (), "bolt"),
        Candidate("mount-2", "upper mount bolt 2", (), "bolt"),
        Candidate("wheel", "wheel bolts", (), "bolt"),
        Candidate("crossmember", "crossmember bolts", ("cross member bolts",), "bolt"),
        Candidate("bracket", "crossmember bracket bolts", (), "bolt"),
    )
)


@pytest.mark.parametrize(
    ("words", "id_"),
    [
        ("flywheel bolts", "flywheel"),
        ("the fly wheel bolts", "flywheel"),
        ("Flywheel", "flywheel"),
        ("ring bolts", "flywheel"),
        ("those ring fasteners", "flywheel"),
        ("rear hub", "rear-hub"),
        ("bellhousing bolts", "housing"),
        ("wheel bolts", "wheel"),
        ("upper mount bolt two", "mount-2"),
        ("mount bolt 1", "mount-1"),
        ("crossmember bolts", "crossmember"),
        ("nut", "axle"),
        ("plug", "drain"),
    ],
)
def test_a_name_or_enough_of_it_finds_the_one(words: str, id_: str) -> None:
    assert which(words, FASTENERS) == Found(id_, exact=True)


@pytest.mark.parametrize(
    ("words", "id_"), [("flyweel bolts", "flywheel"), ("frunt hub bolts", "front-hub"), ("axel nut", "axle")]
)
def test_a_slip_of_tongue_or_key_is_found_but_not_as_exact(words: str, id_: str) -> None:
    assert which(words, FASTENERS) == Found(id_, exact=False)


def test_two_that_fit_are_asked_about_by_what_tells_them_apart() -> None:
    assert which("hub bolts", FASTENERS) == Close(("front-hub", "rear-hub"), ("front", "rear"), "Front or rear?")
    assert which("upper mount", FASTENERS) == Close(("mount-1", "mount-2"), ("1", "2"), "1 or 2?")


def test_what_the_step_is_about_comes_first() -> None:
    assert which("hub bolts", FASTENERS, here={"rear-hub"}) == Found("rear-hub")
    assert which("those", FASTENERS, here={"drain"}) == Found("drain")
    assert which("bolts", FASTENERS, here={"wheel", "drain"}) == Found("wheel")


def test_a_whole_name_elsewhere_against_part_of_one_here_is_asked() -> None:
    answer = which("crossmember bolts", FASTENERS, here={"bracket"})
    assert isinstance(answer, Close)
    assert answer.ids == ("bracket", "crossmember")
    assert answer.ask == "Crossmember bracket bolts or crossmember bolts?"


def test_the_answer_to_a_question_settles_it() -> None:
    asked = which("hub bolts", FASTENERS)
    assert isinstance(asked, Close)
    left = [candidate for candidate in FASTENERS.candidates if candidate.id in asked.ids]
    assert which("the front ones", left) == Found("front-hub")
    assert which("rear", left) == Found("rear-hub")


@pytest.mark.parametrize(
    "words",
    [
        "gearbox bolts",
        "outer hub bolts",
        "upper mount bolt 3",
        "lower mount bolt 1",
        "wheel nuts",
        "bell housing studs",
        "left hub bolts",
    ],
)
def test_a_name_that_is_not_on_the_card_is_never_replaced_by_the_nearest(words: str) -> None:
    assert isinstance(which(words, FASTENERS), NotOnCard)


def test_the_nearest_is_told_for_information() -> None:
    assert which("wheel nuts", FASTENERS) == NotOnCard(("wheel bolts", "flywheel bolts"))
    assert which("outer hub bolts", FASTENERS) in (
        NotOnCard(("rear hub bolts", "front hub bolts")),
        NotOnCard(("front hub bolts", "rear hub bolts")),
    )
    assert which("kwyjibo bolts", FASTENERS) == NotOnCard(())


@pytest.mark.parametrize("words", ["", "the", "it", "those", "that one"])
def test_pointing_at_nothing_finds_nothing(words: str) -> None:
    assert which(words, FASTENERS) == NotOnCard()


def test_pointing_at_two_is_asked() -> None:
    answer = which("those", FASTENERS, here=("flywheel", "drain"))
    assert isinstance(answer, Close)
    assert answer.ask == "Flywheel bolts or drain plug?"


def test_many_are_asked_about_in_few_words() -> None:
    answer = which("bolts", FASTENERS)
    assert isinstance(answer, Close)
    assert len(answer.ids) == 9
    assert answer.ask == "Which one: flywheel, front hub, rear hub, or another?"


def test_what_tells_names_apart() -> None:
    assert tells_apart(["front left hub bolts", "front right hub bolts"]) == ("left", "right")
    assert tells_apart(["hub bolts", "rear hub bolts"]) == ("hub bolts", "rear hub bolts")
    assert tells_apart(["clutch bolts", "cover nuts"]) == ("clutch bolts", "cover nuts")


def test_candidates_come_from_a_card() -> None:
    table = {"axle": Fastener(name="axle nut", aka=["hub nut"], kind="nut", count=1)}
    assert candidates_of(table) == (Candidate("axle", "axle nut", ("hub nut",), "nut"),)


WHERE = ["front", "rear", "left", "right", "upper", "lower", "inner", "outer"]
WHAT = [
    "flywheel",
    "clutch",
    "gearbox",
    "bracket",
    "caliper",
    "yoke",
    "flange",
    "bearing",
    "cover",
    "sump",
    "pump",
    "turbine",
]
PART = ["case", "ring", "arm", "link", "plate", "pin", "seal", "carrier"]
MANY = Names(
    tuple(
        Candidate(
            f"f{n}",
            f"{WHERE[n % 8]} {WHAT[n // 8 % 12]} {PART[n // 96 % 8]} {['bolts', 'nuts'][n // 768 % 2]} {n // 1536 + 1}",
        )
        for n in range(3000)
    )
)


@given(st.integers(0, 2999))
def test_among_three_thousand_each_full_name_finds_its_own(n: int) -> None:
    candidate = MANY.candidates[n]
    assert which(candidate.name, MANY) == Found(candidate.id)


@given(st.integers(0, 2999), st.sampled_from(WHERE))
def test_among_three_thousand_a_place_is_never_taken_for_another(n: int, place: str) -> None:
    """Whatever is found holds every word that was said."""
    words = MANY.candidates[n].name.split()
    said = " ".join([place, *words[1:]])
    answer = which(said, MANY)
    assert not isinstance(answer, Found) or next(c.name for c in MANY.candidates if c.id == answer.id) == said


@given(st.text(max_size=40))
def test_any_text_gets_an_answer(words: str) -> None:
    assert isinstance(which(words, FASTENERS, here={"axle", "drain"}), Found | Close | NotOnCard)
