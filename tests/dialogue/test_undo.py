""" "Scratch that": the last thing recorded is taken back, whole, and named."""

from __future__ import annotations

import pytest

from assistant.job.events import Withdrawn
from tests.dialogue.talk import Talk, mm, nm


@pytest.fixture
def talk() -> Talk:
    return Talk().to("pulley-on")


def test_nothing_recorded_nothing_undone() -> None:
    assert Talk()("undo") == "There is nothing to undo."


def test_a_logged_torque_is_taken_back_and_named(talk: Talk) -> None:
    talk("torqued", fastener="pulley-bolts", value=nm(50))
    assert talk("undo") == "Undone: pulley bolts at 50 N·m."
    assert not talk.state.fastener("pulley-bolts").whole
    assert not talk.state.torques


def test_a_question_between_is_not_what_is_undone(talk: Talk) -> None:
    talk("torqued", fastener="pulley-bolts", value=nm(50))
    talk("torque", fastener="rear-motor-bolts")
    talk("back")
    assert talk("undo").startswith("Undone: pulley bolts at 50 N·m.")


def test_done_is_taken_back_with_all_that_it_recorded(talk: Talk) -> None:
    before = talk.state
    talk("done")
    talk("digits", value=nm(50))
    assert talk.state.at == "nut"
    answer = talk("undo")
    assert answer.startswith("Undone: step 9 done and pulley bolts at 50 N·m. Pulley bolts: torqued to what?")
    assert talk.state.at == "pulley-on"
    assert "pulley-on" not in talk.state.steps
    assert talk("undo") == "Dropped."
    talk("undo")
    assert talk.state.fasteners == before.fasteners
    assert talk.state.things == before.things


def test_undo_goes_further_back_each_time(talk: Talk) -> None:
    steps = len(talk.state.steps)
    for _ in range(6):
        talk("undo")
    assert len(talk.state.steps) < steps - 1
    taken_back = [seq for body in talk.logged(Withdrawn) for seq in body.seqs]  # type: ignore[attr-defined]
    assert len(taken_back) == len(set(taken_back)), "nothing is taken back twice"


def test_a_question_that_recorded_nothing_is_dropped_by_undo(talk: Talk) -> None:
    talk("skip", reason="no pulley")
    steps = dict(talk.state.steps)
    assert talk("undo") == "Dropped."
    assert dict(talk.state.steps) == steps
    assert talk.question == ""


def test_a_reading_that_is_taken_back_is_asked_for_again() -> None:
    talk = Talk().to("belt-on")
    talk("done")
    talk("digits", value=mm(9))
    assert talk("undo") == "Undone: belt gap 9 mm. Belt gap, 2 readings. The first?"
    assert talk("digits", value=mm(10)).startswith("Belt gap, 1 of 2: 10 mm, 1 0.")


def test_a_fact_that_is_taken_back_is_asked_again() -> None:
    talk = Talk()
    talk("begin")
    talk("answer", option="one")
    assert talk("undo") == "Undone: One belt. Is it driven by one belt or by two?"
    talk("answer", option="two")
    assert talk.state.facts == {"drive": "two"}


def test_a_fact_is_not_changed_under_steps_that_hang_on_it() -> None:
    talk = Talk().to("close")
    for _ in range(60):
        answer = talk("undo")
        if "Is it driven" in answer:
            break
        if talk.question:
            talk("cancel")
    assert talk.state.facts == {}
    assert not talk.state.steps


def test_finishing_can_be_taken_back() -> None:
    talk = Talk().to("close")
    talk.obey()
    talk("finish")
    talk("yes")
    assert talk.state.finished
    assert talk("undo") == "Undone: finishing."
    assert not talk.state.finished


def test_taking_a_note_back_leaves_the_question_about_the_step() -> None:
    talk = Talk().begin()
    talk("done")
    talk("yes")
    talk("note", text="the lock is stiff")
    assert talk("undo") == "Undone: the note, the lock is stiff. Step 2 waits. Is the lock on?"
    assert talk("yes").endswith("Step 2: Take off the belt guard.")
