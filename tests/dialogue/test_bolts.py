"""Bolt by bolt through the passes."""

from __future__ import annotations

import pytest

from assistant.job.events import BoltDone, Torqued
from tests.dialogue.talk import Talk


@pytest.fixture
def talk() -> Talk:
    talk = Talk().to("pulley-on")
    talk("done")
    talk("start-fastener", fastener="pulley-bolts")
    return talk


def test_the_first_bolt_is_called_by_pass_number_and_place() -> None:
    talk = Talk().to("pulley-on")
    answer = talk("start-fastener", fastener="pulley-bolts")
    assert answer == "Pulley bolts, 2 passes. Pass 1: 25 N·m, 2 5. Number 1, twelve o'clock."


def test_the_order_goes_across(talk: Talk) -> None:
    assert talk("done") == "Next 3, six o'clock."
    assert talk("click") == "Next 2, three o'clock."
    assert talk("done") == "Next 4, nine o'clock."


def test_each_pass_begins_with_its_value(talk: Talk) -> None:
    for _ in range(3):
        talk("done")
    assert talk("done") == "Pass 1 done. Pass 2: 50 N·m, 5 0. Next 1, twelve o'clock."


def test_one_can_go_back_one(talk: Talk) -> None:
    talk("done")
    talk("done")
    assert talk("back") == "Back. Number 3, six o'clock."
    assert talk.state.fastener("pulley-bolts").bolts == ((1, 1),)
    assert talk("undo") == "Back. Number 1, twelve o'clock."
    assert talk("back") == "This is the first one."


def test_next_calls_the_bolt_again_and_counts_nothing(talk: Talk) -> None:
    talk("done")
    assert talk("next") == "Next 3, six o'clock."
    assert len(talk.state.fastener("pulley-bolts").bolts) == 1


def test_leaving_the_step_leaves_the_set_so_that_done_means_the_step_again(talk: Talk) -> None:
    talk("done")
    talk("skip", reason="the wrench broke")
    talk("yes")
    assert not talk.state.bolting
    assert talk.state.fastener("pulley-bolts").bolts == ((1, 1),)


def test_another_question_does_not_lose_the_place(talk: Talk) -> None:
    talk("done")
    talk("torque", fastener="rear-motor-bolts")
    talk("where")
    assert talk("repeat") == "Next 3, six o'clock."


def test_a_power_cut_does_not_lose_the_place(talk: Talk) -> None:
    talk("done")
    assert talk.power_cut().endswith("Pulley bolts, bolt by bolt. Pass 1: 25 N·m, 2 5. Number 3, six o'clock.")
    assert talk("click") == "Next 2, three o'clock."


def test_after_a_break_it_tells_the_pass_and_the_bolt(talk: Talk) -> None:
    talk("done")
    talk("pause")
    where = "Pulley bolts, bolt by bolt. Pass 1: 25 N·m, 2 5. Number 3, six o'clock."
    assert talk("resume").endswith(where)
    assert talk("where").endswith(where)


def test_counting_logs_no_value_before_the_yes(talk: Talk) -> None:
    for _ in range(7):
        talk("done")
    assert talk("done") == "Pulley bolts: all 4 done. All at 50 N·m, 5 0?"
    assert not talk.logged(Torqued)
    answer = talk("yes")
    assert answer.startswith("Pulley bolts: 50 N·m, 5 0. Logged. 9 done.")
    assert len(talk.logged(BoltDone)) == 8


def test_a_no_at_the_end_asks_for_the_value(talk: Talk) -> None:
    for _ in range(8):
        talk("done")
    assert talk("no").startswith("Pulley bolts: torqued to what?")
    assert not talk.logged(Torqued)


def test_stopping_keeps_the_count_and_starting_goes_on(talk: Talk) -> None:
    talk("done")
    assert talk("stop-fastener") == "Pulley bolts: stopped after 1 bolt. Say bolt by bolt to go on."
    assert talk("click") == "No set is being worked bolt by bolt."
    assert talk("start-fastener", fastener="pulley-bolts").endswith("Number 3, six o'clock.")


def test_a_set_that_cannot_be_reached_is_not_started() -> None:
    talk = Talk().begin()
    assert talk("start-fastener", fastener="pulley-bolts").startswith("Not yet. The belt guard is still in front")
