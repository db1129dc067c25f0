"""Through the card by voice: what is read, what is held, what counts as done."""

from __future__ import annotations

import pytest

from assistant.job.events import ActionDone, Confirmed, Overridden, StepDone, StepSkipped, Torqued
from assistant.job.open_items import open_items
from tests.dialogue.talk import START, Talk, bare, nm
from tests.scripts.play import Bay


@pytest.fixture
def talk() -> Talk:
    return Talk()


def test_the_notice_is_said_before_anything_else(talk: Talk) -> None:
    assert "Do not use it on a real machine" in talk.outcome.reply.text


def test_facts_are_asked_once_and_then_the_first_step_is_read_with_its_cautions(talk: Talk) -> None:
    assert talk("begin") == "Is it driven by one belt or by two?"
    answer = talk("answer", option="one")
    assert answer.startswith("One belt, noted. Caution: A drive that starts by itself takes hands off.")
    assert "Step 1: Switch the drive off" in answer
    assert "second-belt" not in {place.step.id for place in talk.state.path}


def test_an_answer_that_is_none_of_the_options_sets_nothing(talk: Talk) -> None:
    talk("begin")
    assert "Say one belt or two belts" in talk("answer", option="three")
    assert not talk.state.facts


def test_next_reads_ahead_and_marks_nothing_done(talk: Talk) -> None:
    talk.begin()
    answer = talk("next")
    assert answer.startswith("Coming: step 2. Take off the belt guard.")
    assert "Step 1 is not done yet" in answer
    assert talk.state.at == "lock"
    assert not talk.state.steps


def test_done_asks_the_check_and_only_a_yes_marks_the_step(talk: Talk) -> None:
    talk.begin()
    assert talk("done") == "Is it dead?"
    assert talk("no") == "Then step 1 is not done. Put it right and say done."
    assert not talk.state.steps
    talk("done")
    answer = talk("yes")
    assert answer.startswith("1 done.")
    assert talk.state.steps["lock"].how == "done"


def test_a_step_with_a_hold_is_not_started_before_the_yes(talk: Talk) -> None:
    talk.begin()
    talk("done")
    assert talk("yes") == "1 done. Step 2 waits. Is the lock on?"
    assert talk.state.at == "lock"
    assert talk("no") == "Not started, then. Say next when it is ready."
    assert talk("next") == "Step 2 waits. Is the lock on?"
    assert talk("yes") == "Caution: Edges cut. Step 2: Take off the belt guard."
    assert Confirmed("guard-off", "hold") in talk.logged(Confirmed)


def test_a_hold_is_overridden_only_with_a_reason_and_a_yes(talk: Talk) -> None:
    talk.begin()
    talk("done")
    talk("yes")
    assert talk("override") == "Override the hold: for what reason?"
    assert talk("reason", text="yes") == "Override the hold: for what reason?"
    talk("reason", text="the lock is lost")
    assert not talk.state.overridden
    assert "Step 2: Take off the belt guard." in talk("yes")
    assert talk.logged(Overridden) == [Overridden("guard-off", "hold", "the lock is lost")]


def test_a_caution_is_said_once_and_again_when_asked_for(talk: Talk) -> None:
    talk.to("guard-off")
    assert "Caution" not in talk("repeat")
    assert talk("caution") == "Caution: Edges cut."


def test_a_caution_of_a_fastener_comes_with_the_first_step_that_touches_it(talk: Talk) -> None:
    talk.to("pulley-off")
    assert "Caution: Never oil them." in talk.outcome.reply.text
    talk.to("pulley-on")
    assert "Never oil them" not in talk.outcome.reply.text


def test_done_twice_does_not_do_the_next_step(talk: Talk) -> None:
    talk.begin()
    talk("done")
    talk("yes")
    assert talk("done") == "Step 2 waits. Is the lock on?"
    assert set(talk.state.steps) == {"lock"}


def test_a_heavy_part_asks_for_help_or_a_jack(talk: Talk) -> None:
    talk.to("sling")
    talk("skip", reason="no hoist in the shop")
    answer = talk("yes")
    assert "Step 5 waits." in answer
    assert "Chain hoist: not in place. In place now?" in answer
    assert talk.state.at == "sling"


def test_what_is_under_a_part_by_word_is_logged_as_in_place(talk: Talk) -> None:
    talk.to("sling")
    talk("skip", reason="done already")
    talk("yes")
    assert "Step 5: Take out all motor bolts" in talk("yes")
    assert ActionDone("support", "hoist") in talk.logged(ActionDone)


def test_done_asks_for_the_torque_and_the_step_is_not_done_without_it(talk: Talk) -> None:
    talk.to("pulley-on")
    assert talk("done").startswith("Pulley bolts: torqued to what?")
    assert "pulley-on" not in talk.state.steps
    answer = talk("digits", value=bare(50))
    assert answer.startswith("Pulley bolts: 50 N·m, 5 0. Logged. Taken as newton metres, the card's unit. 9 done.")
    assert talk.state.steps["pulley-on"].how == "done"
    assert talk.logged(Torqued)[-1] == Torqued("pulley-bolts", nm(50).value, "N·m")


def test_a_torque_said_before_done_is_not_asked_again(talk: Talk) -> None:
    talk.to("pulley-on")
    talk("torqued", fastener="pulley-bolts", value=nm(50))
    assert talk("done").startswith("9 done.")


def test_a_missing_torque_can_be_overridden_with_a_reason_and_stays_open(talk: Talk) -> None:
    talk.to("pulley-on")
    talk("done")
    talk("override", reason="the wrench is away")
    assert "9 done." in talk("yes")
    assert "not-at-value:pulley-bolts" in {item.id for item in open_items(talk.state)}


def test_a_skip_needs_a_reason_and_a_yes(talk: Talk) -> None:
    talk.to("belt-off")
    assert talk("skip") == "Skip step 3: for what reason?"
    assert talk("reason", text="the belt is good") == "Skip step 3, the belt is good?"
    assert talk("no") == "Not skipped."
    assert "belt-off" not in talk.state.steps
    talk("skip", reason="the belt is good")
    assert talk("yes").startswith("3 skipped.")
    assert talk.logged(StepSkipped) == [StepSkipped("belt-off", "the belt is good")]


def test_a_mark_that_was_never_made_cannot_be_lined_up_but_the_step_can_be_overridden(talk: Talk) -> None:
    talk.to("sling")
    talk("skip", reason="no paint")
    talk.to("motor-on")
    answer = talk("done")
    assert answer.startswith("Not recorded. The motor mark was never made")
    assert "motor-on" not in talk.state.steps
    talk("override", reason="dowels find the place")
    assert "done" in talk("yes")
    assert talk.state.is_on("motor")


def test_going_to_a_step_says_how_many_before_it_are_not_done(talk: Talk) -> None:
    talk.begin()
    assert talk("go-to", step=3).endswith("2 steps before it are not done.")
    assert talk("go-to", step=99) == "There is no step 99: the card has 15 steps."
    assert talk("go-to", step=14) == "Step 14 does not apply to this vehicle."


def test_a_step_left_behind_comes_up_again_at_the_end(talk: Talk) -> None:
    talk.to("belt-off")
    talk("go-to", step=4)
    talk.to("close")
    answer = talk("done")
    assert "Left behind:" in answer
    assert talk.state.at == "belt-off"


def test_back_reads_and_changes_nothing(talk: Talk) -> None:
    talk.to("belt-off")
    before = dict(talk.state.steps)
    assert talk("back") == "Step 2: Take off the belt guard."
    assert dict(talk.state.steps) == before
    assert talk("next").startswith("Step 3:")


def test_where_names_step_and_section(talk: Talk) -> None:
    talk.to("belt-off")
    assert talk("where") == "Step 3 of 15, Taking off. Take the old belt off."


def test_the_step_that_the_other_fact_skips_is_passed_over() -> None:
    one, two = Talk().begin("one"), Talk().begin("two")
    one.to("close")
    assert one.state.steps.keys().isdisjoint({"second-belt"})
    two.to("second-belt")
    assert "Fit the second belt" in two.outcome.reply.text


def test_each_section_ends_with_what_is_open(talk: Talk) -> None:
    talk.to("pulley-off")
    answer = talk("done")
    assert "Taking off: done in" in answer
    assert "open:" in answer


def test_done_at_every_step_marks_every_step_once(talk: Talk) -> None:
    talk.to("close")
    talk.obey()
    assert len(talk.logged(StepDone)) == len({body.step for body in talk.logged(StepDone)}) == len(talk.state.path)  # type: ignore[attr-defined]


@pytest.mark.parametrize("question", ["skip", "override"])
def test_while_a_reason_is_awaited_a_question_is_answered_and_becomes_no_reason(question: str) -> None:
    bay = Bay("gearbox-and-clutch", START)
    for line in (
        "begin",
        "hydraulics",
        "bolted on",
        "solid",
        "go to step 5" if question == "override" else "where am I",
    ):
        bay.type(line)
    bay.type(question)
    asked = bay.talk.state.question
    assert asked is not None
    assert asked.name == f"{question}-reason"
    for line in ("what's the torque on the drain plug", "say again", "what was that bolt called", "why", "where am I"):
        bay.type(line)
        assert bay.talk.state.question == asked, line
    assert bay.type("it's seized and I can't get it out").reply.text.count("it's seized and I can't get it out") == 1
    assert bay.talk.state.question is not None
    assert bay.talk.state.question.name == f"{question}-confirm"


@pytest.mark.parametrize("word", ["no", "cancel", "never mind"])
def test_who_changes_his_mind_gives_no_reason(word: str) -> None:
    bay = Bay("gearbox-and-clutch", START)
    for line in ("begin", "hydraulics", "bolted on", "solid", "skip"):
        bay.type(line)
    assert bay.type(word).reply.text == "Not skipped."
    assert bay.talk.state.question is None
