"""What the ear advises, and when a number is asked for digit by digit."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.dialogue.pending import pack
from assistant.grammar.request import Quantity, Request
from assistant.hearing.heard import Decision, Heard
from assistant.job.events import Measured, Said, StepDone, Torqued
from assistant.job.records import Question
from tests.dialogue.talk import Talk, bare, mm, nm


@pytest.fixture
def at_pulley() -> Talk:
    return Talk().to("pulley-on")


def test_talk_that_was_not_meant_for_it_does_nothing_and_is_logged(at_pulley: Talk) -> None:
    before = at_pulley.recorded
    assert at_pulley.hear("done", decision=Decision.IGNORE) == ""
    assert at_pulley.recorded == before
    said = at_pulley.log[-1].body
    assert isinstance(said, Said)
    assert (said.request, said.decision, said.free) == ("", "ignore", "done")


def test_what_was_not_understood_is_asked_again_and_does_nothing(at_pulley: Talk) -> None:
    before = at_pulley.recorded
    assert at_pulley.hear("done", decision=Decision.AGAIN) == "Say again?"
    assert at_pulley.outcome.reply.sound == "not-understood"
    assert at_pulley.recorded == before
    assert at_pulley.take(Heard("mumble", None, decision=Decision.AGAIN)) == "Say again?"


def test_what_was_half_heard_is_said_back_and_done_only_on_yes(at_pulley: Talk) -> None:
    answer = at_pulley.hear("torqued", decision=Decision.CONFIRM, fastener="pulley-bolts", value=nm(50))
    assert answer == "Did you say: torqued, 5 0?"
    assert not at_pulley.logged(Torqued)
    assert at_pulley("yes") == "Pulley bolts: 50 N·m, 5 0. Logged."


def test_what_was_said_back_may_be_said_again_instead_of_yes() -> None:
    """ "Did you say: begin?" "Begin." People answer so; heard twice alike, it was said."""
    talk = Talk()
    assert talk.hear("begin", decision=Decision.CONFIRM) == "Did you say: begin?"
    assert "begin" in talk.conversation.live
    assert talk.hear("begin", decision=Decision.CONFIRM) == "Is it driven by one belt or by two?"


def test_a_half_heard_done_is_not_taken_where_done_is_asked_about(at_pulley: Talk) -> None:
    asked = Question("confirm", {"request": pack(Request("done"))})
    conversation = at_pulley.conversation
    at_pulley.conversation = replace(conversation, state=replace(conversation.state, question=asked))
    before = at_pulley.recorded
    assert at_pulley.hear("done", decision=Decision.CONFIRM) == "Say again?"
    assert at_pulley.recorded == before


def test_a_number_that_was_half_heard_twice_is_still_not_right(at_pulley: Talk) -> None:
    """Forty and fourteen are misheard the same way each time."""
    for _ in range(2):
        answer = at_pulley.hear("torqued", decision=Decision.CONFIRM, fastener="pulley-bolts", value=nm(50))
        assert answer == "Did you say: torqued, 5 0?"
    assert not at_pulley.logged(Torqued)
    assert "torqued" in at_pulley.conversation.live, "it may be put right at once"
    assert at_pulley.hear("torqued", fastener="pulley-bolts", value=nm(49)).startswith("Pulley bolts: 49")


def test_two_readings_that_differ_in_the_fastener_alone_are_asked_about_by_name() -> None:
    talk = Talk().begin()
    other = Request("torque", {"fastener": "rear-motor-bolts"})
    answer = talk.hear("torque", decision=Decision.CONFIRM, others=(other,), fastener="front-motor-bolts")
    assert answer == "Which motor bolts: front or rear?"
    assert talk("answer", option="rear-motor-bolts").startswith("Rear motor bolts:")


def test_a_no_to_what_was_said_back_does_nothing(at_pulley: Talk) -> None:
    at_pulley.hear("skip", decision=Decision.CONFIRM, reason="x")
    assert at_pulley("no") == "Sorry. Say it again."
    assert at_pulley.question == ""


@pytest.mark.parametrize("word", ["done", "click", "next", "yes"])
def test_a_word_of_one_syllable_that_was_half_heard_is_never_taken(at_pulley: Talk, word: str) -> None:
    before = at_pulley.recorded
    assert at_pulley.hear(word, decision=Decision.CONFIRM) == "Say again?"
    assert at_pulley.recorded == before


def test_a_half_heard_yes_does_not_confirm(at_pulley: Talk) -> None:
    at_pulley("skip", reason="no pulley")
    assert at_pulley.hear("yes", decision=Decision.CONFIRM) == "Yes or no: Skip step 9, no pulley?"
    assert "pulley-on" not in at_pulley.state.steps


def test_harmless_questions_are_answered_though_half_heard(at_pulley: Talk) -> None:
    assert at_pulley.hear("where", decision=Decision.CONFIRM).startswith("Step 9 of 15")


def test_a_number_with_a_sound_alike_near_is_asked_digit_by_digit(at_pulley: Talk) -> None:
    other = Request("torqued", {"fastener": "pulley-bolts", "value": nm(15)})
    answer = at_pulley.hear("torqued", doubtful=("value",), others=(other,), fastener="pulley-bolts", value=nm(50))
    assert answer == "Pulley bolts: 50 or 15? Digit by digit."
    assert not at_pulley.logged(Torqued)
    assert at_pulley.hear("digits", value=bare(50)) == "Pulley bolts: 50 N·m, 5 0. Logged."


def test_a_number_outside_whose_sound_alike_is_inside_is_asked_digit_by_digit(at_pulley: Talk) -> None:
    answer = at_pulley.hear("torqued", fastener="pulley-bolts", value=nm(15))
    assert answer == "Pulley bolts: 15 or 50? Digit by digit."
    assert not at_pulley.logged(Torqued)
    at_pulley.hear("digits", value=bare(50))
    assert at_pulley.logged(Torqued) == [Torqued("pulley-bolts", nm(50).value, "N·m")]


def test_digits_that_confirm_the_odd_value_are_taken_as_said(at_pulley: Talk) -> None:
    at_pulley.hear("torqued", fastener="pulley-bolts", value=nm(15))
    answer = at_pulley.hear("digits", value=bare(15))
    assert "cannot be right" in answer or "under the card's" in answer or "is under" in answer
    assert not at_pulley.logged(Torqued)


def test_a_number_that_is_inside_is_not_doubted_for_its_sound_alike(at_pulley: Talk) -> None:
    assert at_pulley.hear("torqued", fastener="pulley-bolts", value=nm(50)).endswith("Logged.")


def test_what_is_typed_is_not_doubted(at_pulley: Talk) -> None:
    assert "Digit by digit" not in at_pulley("torqued", fastener="pulley-bolts", value=nm(15))


def test_a_bare_number_that_answers_a_question_is_judged_by_what_was_asked() -> None:
    talk = Talk().to("pulley-on")
    talk("done")
    assert talk.hear("digits", value=bare(15)) == "Pulley bolts: 15 or 50? Digit by digit."
    answer = talk.hear("digits", value=bare(50))
    assert answer.startswith("Pulley bolts: 50 N·m, 5 0. Logged.")
    assert "9 done." in answer, "the done that had asked goes on"
    assert len(talk.logged(StepDone)) == 8


def test_a_doubtful_reading_is_asked_again_too() -> None:
    talk = Talk().to("belt-on")
    talk("done")
    assert talk.hear("digits", doubtful=("value",), value=mm(9)) == "Belt gap: say the number digit by digit."
    assert not [b for b in talk.logged(Measured) if b.measure == "gap"]  # type: ignore[attr-defined]
    talk.hear("digits", value=mm(9))
    assert [b.value for b in talk.logged(Measured) if b.measure == "gap"] == [9]  # type: ignore[attr-defined]


def test_digits_that_were_half_heard_keep_the_unit_and_the_fastener_they_were_asked_for(at_pulley: Talk) -> None:
    at_pulley.hear("torqued", doubtful=("value",), fastener="pulley-bolts", value=nm(50))
    assert at_pulley.hear("digits", decision=Decision.CONFIRM, value=bare(50)) == "Did you say: digits, 5 0?"
    assert not at_pulley.logged(Torqued)
    assert at_pulley("yes") == "Pulley bolts: 50 N·m, 5 0. Logged."


def test_the_reading_that_the_card_allows_is_the_one_offered() -> None:
    talk = Talk().to("belt-on")
    talk("done")
    others = tuple(Request("digits", {"value": mm(value)}) for value in (8111, 9))
    answer = talk.hear("digits", Decision.CONFIRM, ("value",), others, value=mm(811))
    assert answer == "Belt gap: 811 or 9? Digit by digit."


def test_a_unit_that_cannot_be_is_refused_and_never_kept_in_a_doubt() -> None:
    talk = Talk().to("pulley-on")
    talk("done")
    for doubtful in ((), ("value",)):
        for decision in (Decision.ACT, Decision.CONFIRM):
            answer = talk.hear("digits", decision, doubtful, value=mm(50))
            assert answer == "mm is no unit of torque. Say it again."
    assert not talk.logged(Torqued)
    assert talk.hear("digits", value=bare(50)).startswith("Pulley bolts: 50 N·m, 5 0. Logged.")


def test_a_named_value_in_a_unit_that_cannot_be_is_refused(at_pulley: Talk) -> None:
    answer = at_pulley.hear("torqued", doubtful=("value",), fastener="pulley-bolts", value=mm(50))
    assert answer == "mm is no unit of torque. Say it again."


def test_a_torque_is_no_reading_of_a_gap() -> None:
    talk = Talk().to("belt-on")
    talk("done")
    answer = talk.hear("digits", doubtful=("value",), value=nm(9))
    assert answer.startswith("Belt gap is measured in mm, not N·m. Say it again.")
    assert not [b for b in talk.logged(Measured) if b.measure == "gap"]  # type: ignore[attr-defined]


def test_asleep_it_hears_nothing_but_wake() -> None:
    talk = Talk().to("belt-off")
    talk.hear("sleep")
    assert talk.hear("done") == ""
    assert "belt-off" not in talk.state.steps
    assert talk.hear("wake") == "Awake."
    assert talk.hear("done").startswith("3 done.")


def test_every_utterance_is_logged_with_what_was_heard_and_answered(at_pulley: Talk) -> None:
    at_pulley.hear("where")
    said = at_pulley.log[-1].body
    assert isinstance(said, Said)
    assert said.request == "where"
    assert said.reply == at_pulley.outcome.reply.text
    assert said.score == -0.2


def test_an_answer_that_was_half_heard_and_confirmed_is_the_answer() -> None:
    talk = Talk()
    talk("begin")
    assert talk.hear("answer", decision=Decision.CONFIRM, option="two").startswith("Did you say:")
    assert talk("yes").startswith("Two belts, noted.")
    assert talk.state.facts == {"drive": "two"}


def test_a_reason_that_was_half_heard_and_confirmed_is_the_reason() -> None:
    talk = Talk().to("belt-off")
    talk("skip")
    talk.hear("reason", decision=Decision.CONFIRM, text="the belt is new")
    assert talk("yes") == "Skip step 3, the belt is new?"


def test_a_doubtful_number_that_answers_a_question_of_ours_answers_it_once_it_is_clear() -> None:
    talk = Talk().to("belt-off")
    talk("timer")
    assert talk.hear("digits", doubtful=("value",), value=Quantity(Decimal(15), "min")).endswith("digit by digit.")
    assert talk.hear("digits", value=bare(50)) == "Timer, 50 min."
