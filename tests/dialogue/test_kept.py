"""What a colleague keeps in mind between two answers: the rest of a long one, and which fastener "it" is."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.hearing.heard import Decision
from tests.dialogue.talk import Talk
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


def test_cautions_that_nobody_heard_yet_come_after_the_rest_of_another_answer(bay: Bay) -> None:
    assert "never on a jack alone" in said(bay, "more")
    said(bay, "what tools do I need for the job")
    parts_told = 0
    while "Caution" not in (line := said(bay, "more")):
        parts_told += 1
        assert parts_told < 20, line
    assert parts_told > 0
    assert "transmission jack" in line
    bay.type("done")
    bay.power_cut()
    assert "Never blow it off" in said(bay, "more")
    assert said(bay, "more") == "That is all."


def test_after_louder_or_a_misheard_word_more_goes_on_where_it_was(bay: Bay) -> None:
    first = said(bay, "tools")
    following = bay.talk.rest[0]
    for line in ("louder", "slower", "gurgle gurgle", "what did you say"):
        said(bay, line)
    assert said(bay, "more") == f"{following}." != first


def test_what_did_you_say_never_repeats_that_nothing_was_understood() -> None:
    talk = Talk().to("pulley-on")
    told = talk("how")
    assert talk.hear("done", Decision.AGAIN) != told
    assert talk("again") == told


def test_it_is_still_the_fastener_last_talked_about_after_a_power_cut(bay: Bay) -> None:
    said(bay, "what's the torque on the flywheel bolts")
    bay.power_cut()
    assert said(bay, "what size are they").startswith("Flywheel bolts")


def test_in_a_new_step_it_is_what_that_step_is_about() -> None:
    talk = Talk().to("pulley-on")
    talk("torque", fastener="shaft-nut")
    talk("go-to", step=talk.state.plan.by_id["belt-off"].number)
    assert talk.state.subject == ""
