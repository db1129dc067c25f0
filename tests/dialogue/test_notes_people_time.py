"""Notes, people, timers, pauses."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from assistant.grammar.request import Quantity
from assistant.job.events import HandedOver, Noted, Paused, PersonChanged, Resumed, TimerEnded
from assistant.job.state import fold
from tests.dialogue.talk import START, Talk, bare


@pytest.fixture
def talk() -> Talk:
    return Talk().to("belt-off")


def test_a_note_is_filed_under_the_step_and_the_thing(talk: Talk) -> None:
    assert talk("note", text="the guard is bent", thing="guard") == "Noted, belt guard."
    note = next(iter(talk.state.notes.values()))
    assert (note.text, note.step, note.about, note.sort) == ("the guard is bent", "belt-off", "guard", "note")


def test_an_open_note_takes_the_next_words_whatever_they_are(talk: Talk) -> None:
    assert talk("note") == "Go ahead."
    assert talk("reason", text="done and dusted") == "Noted."
    assert talk.logged(Noted) == [Noted("done and dusted")]
    assert "belt-off" not in talk.state.steps


def test_a_note_in_the_middle_of_a_question_leaves_the_question(talk: Talk) -> None:
    talk("skip", reason="no belt")
    assert talk("note", text="belt is the long one").endswith("Skip step 3, no belt?")
    assert talk("yes").startswith("3 skipped.")


def test_notes_are_read_back_continued_and_withdrawn(talk: Talk) -> None:
    talk("note", text="oil at the seal")
    assert talk("continue-note", text="and on the floor") == "Added."
    assert talk("read-notes") == "1 note. step 3, oil at the seal and on the floor."
    assert talk("withdraw-note") == "Note taken back: oil at the seal and on the floor."
    assert talk("read-notes") == "No notes yet."


def test_a_part_to_order_and_a_fault_are_notes_of_their_own_kind(talk: Talk) -> None:
    talk("part-to-order", text="two belts")
    talk("fault-found", text="cracked", thing="pulley")
    assert [note.sort for note in talk.state.notes.values()] == ["part-to-order", "fault"]


def test_a_name_changes_who_is_speaking_from_then_on(talk: Talk) -> None:
    assert talk("person", name="mara") == "Hello Mara. Step 3 next."
    talk("note", text="one")
    talk("person", name="Jonas")
    talk("note", text="two")
    assert [note.by for note in talk.state.notes.values()] == ["Mara", "Jonas"]
    assert talk("who") == "Jonas is working. Before: Mara."
    assert talk.logged(PersonChanged) == [PersonChanged("Mara"), PersonChanged("Jonas")]


def test_the_hand_over_says_where_what_is_open_and_what_is_next(talk: Talk) -> None:
    answer = talk("hand-over")
    assert "Step 3 of 15" in answer
    assert "It is not done yet." in answer
    assert "1 part off" in answer
    assert "Next: step 4" in answer
    assert talk.logged(HandedOver) == [HandedOver(answer)]


def test_what_is_in_doubt_is_in_the_hand_over(talk: Talk) -> None:
    talk("skip", reason="rusted")
    talk("yes")
    assert "In doubt: step 3 skipped." in talk("hand-over")


def test_a_timer_rings_once_and_says_what_it_was_for(talk: Talk) -> None:
    talk("timer", duration=Quantity(bare(5).value, "min"), text="the glue")
    assert talk.wait(minutes=2) == ""
    assert "2 min 30 s left for the glue" in talk("timers")
    assert talk.wait(minutes=3) == "Time is up: the glue."
    assert talk.wait(minutes=3) == ""
    assert [b.how for b in talk.logged(TimerEnded)] == ["rang"]  # type: ignore[attr-defined]


def test_a_timer_survives_a_power_cut(talk: Talk) -> None:
    talk("timer", duration=Quantity(bare(5).value, "min"))
    talk.power_cut()
    assert talk.wait(minutes=6) == "Time is up."


def test_a_timer_without_a_length_asks_for_it(talk: Talk) -> None:
    assert talk("timer") == "For how long?"
    assert talk("digits", value=Quantity(bare(90).value, "s")) == "Timer, 1 min."
    assert talk("cancel-timer") == "Timer off."


def test_a_timer_of_two_days_is_refused(talk: Talk) -> None:
    assert talk("timer", duration=Quantity(bare(2).value, "d")) == "A timer runs from one second to 24 hours."
    assert not talk.state.timers


def test_pauses_are_not_time_worked(talk: Talk) -> None:
    talk("pause")
    talk.now += timedelta(hours=1)
    answer = talk("resume")
    assert answer.startswith("Going on after 1 h")
    assert "Step 3:" in answer
    worked = sum(talk.state.clock.worked.values())
    assert worked == (talk.now - START).total_seconds() - 3630


def test_work_ends_a_pause_and_that_is_said(talk: Talk) -> None:
    talk("pause")
    assert talk("done").startswith("Going on after 30 s. 3 done.")
    kinds = [type(event.body) for event in talk.log]
    assert kinds.index(Paused) < kinds.index(Resumed)


def test_a_question_does_not_end_a_pause(talk: Talk) -> None:
    talk("pause")
    talk("torque", fastener="pulley-bolts")
    assert talk.state.paused


def test_the_night_with_the_tool_off_is_not_time_worked(talk: Talk) -> None:
    before = sum(talk.state.clock.worked.values())
    talk.now += timedelta(hours=14)
    talk.power_cut()
    assert sum(talk.state.clock.worked.values()) == before


def test_time_worked_is_told_by_section(talk: Talk) -> None:
    assert talk("time-worked").startswith("3 min worked:")
    assert "Taking off" in talk("time-worked")


def test_the_time_of_day(talk: Talk) -> None:
    talk.now = START + timedelta(minutes=59, seconds=30)
    assert talk("time") == "It is 09:00."


def test_how_one_is_spoken_to_and_what_more_goes_on_with_outlive_a_power_cut() -> None:
    talk = Talk().begin()
    talk("terse")
    talk("help")
    rest = talk.conversation.rest
    assert rest
    talk.power_cut()
    assert talk("more") == rest[0]
    assert talk.conversation.settings.verbosity == "terse"


def test_a_timer_that_rings_does_not_take_the_rest_away() -> None:
    talk = Talk().begin()
    talk("timer", duration=Quantity(Decimal(60), "s"))
    talk("help")
    rest = talk.conversation.rest
    assert talk.wait(minutes=2) == "Time is up."
    assert talk("more") == rest[0]


def test_who_went_to_sleep_still_sleeps_after_a_power_cut_and_says_so() -> None:
    talk = Talk().begin()
    talk("sleep")
    assert "Sleeping. Say wake up." in talk.power_cut()
    assert talk("next") == ""
    assert talk("wake") == "Awake."
    talk.power_cut()
    assert talk("where").startswith("Step 1")


def test_the_log_alone_tells_how_one_is_spoken_to() -> None:
    talk = Talk().begin()
    talk("terse")
    talk("help")
    again = fold(talk.card, talk.log)
    assert (again.verbosity, again.asleep, again.rest) == ("terse", False, talk.conversation.rest)
