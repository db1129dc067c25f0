"""What was met while playing whole jobs: a command is no reason, a bare number is no value, undo is never stuck."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.job.events import BoltsStarted, Measured, Torqued
from tests.dialogue.talk import Talk, nm
from tests.dialogue.test_as_people_say_it import until
from tests.scripts.play import Bay

START = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


@pytest.fixture
def bay() -> Bay:
    bay = Bay("gearbox-and-clutch", START)
    for line in ("begin", "hydraulics", "bolted on", "solid"):
        bay.type(line)
    return bay


def said(bay: Bay, line: str) -> str:
    return bay.type(line).reply.text


@pytest.mark.parametrize(
    "line", ["done", "next", "skip", "finish", "stop tightening", "go back", "start the drain plug"]
)
def test_a_command_is_no_reason_to_keep_a_torque_outside_the_cards(bay: Bay, line: str) -> None:
    until(bay, "drain")
    said(bay, "torqued the drain plug to 60 newton metres")
    assert bay.talk.state.question is not None
    assert bay.talk.state.question.name == "outside-torque"
    said(bay, line)
    said(bay, "yes")
    assert not [event for event in bay.log if isinstance(event.body, Torqued)]


def test_no_set_is_worked_bolt_by_bolt_before_the_job_is_begun() -> None:
    talk = Talk()
    assert talk("start-fastener", fastener="pulley-bolts") == "Nothing is begun yet. Say begin."
    assert not talk.logged(BoltsStarted)


def test_undo_goes_back_through_a_set_that_was_stopped() -> None:
    talk = Talk().to("pulley-on")
    before = talk.state.fastener("pulley-bolts")
    talk("start-fastener", fastener="pulley-bolts")
    talk("click")
    talk("stop-fastener")
    assert talk("undo").startswith("Undone")
    assert talk("undo") == "Undone: pulley bolts bolt by bolt."
    assert talk.state.fastener("pulley-bolts") == before


def test_a_bare_number_at_a_step_that_measures_is_asked_for_and_not_taken(bay: Bay) -> None:
    until(bay, "bite")
    assert said(bay, "110 mm") == "Bite height: what is the reading?"
    assert not [event for event in bay.log if isinstance(event.body, Measured)]
    assert said(bay, "90 mm").startswith("Bite height: 90 mm")


def test_a_bare_number_while_bolts_are_counted_is_taken_for_nothing() -> None:
    talk = Talk().to("pulley-on")
    talk("start-fastener", fastener="pulley-bolts")
    assert talk("digits", value=nm(50)) == "A value of what? Say torqued or measured, and its name."
    assert not talk.logged(Torqued)


def test_many_readings_are_told_in_mouthfuls(bay: Bay) -> None:
    until(bay, "pipe-in")
    assert said(bay, "readings").count(":") <= 4
    assert bay.talk.rest


@pytest.mark.parametrize("line", ["done", "go back", "override", "torqued the drain plug to 40 newton metres"])
def test_a_question_about_the_vehicle_stays_whatever_else_is_said(line: str) -> None:
    bay = Bay("gearbox-and-clutch", START)
    bay.type("begin")
    assert said(bay, line).endswith("Say hydraulics or a cable.")
    assert said(bay, "hydraulics").startswith("Hydraulics, noted.")
