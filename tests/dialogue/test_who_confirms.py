"""A hold that wants a second person or the foreman is confirmed by name, and the name stands in the log."""

from __future__ import annotations

import pytest

from assistant.job.events import Confirmed, Overridden, PersonChanged, StepStarted
from tests.dialogue.talk import Talk, confirmed_by


def _waiting(who: str = "second-person") -> Talk:
    """Mara has said yes, and is asked who it is."""
    talk = Talk(confirmed_by("foreman" if who == "foreman" else "second-person")).begin()
    talk("person", name="mara")
    talk("done")
    talk("yes")
    assert talk.question == "hold"
    talk("yes")
    assert talk.question == "who-confirms"
    return talk


def _holds(talk: Talk) -> list[Confirmed]:
    return [body for body in talk.logged(Confirmed) if isinstance(body, Confirmed) and body.what == "hold"]


def test_nothing_is_confirmed_or_begun_before_the_name_is_known() -> None:
    talk = _waiting()
    assert "second person" in talk.outcome.reply.text
    assert not _holds(talk)
    assert "guard-off" not in {body.step for body in talk.logged(StepStarted) if isinstance(body, StepStarted)}


@pytest.mark.parametrize("words", ["jonas", "it's jonas", "Jonas here", "this is Jonas", "jonas confirms it"])
def test_the_name_is_logged_and_said_and_the_speaker_stays_who_it_was(words: str) -> None:
    talk = _waiting()
    assert talk("reason", text=words).startswith("Confirmed by Jonas. ")
    assert [body.by for body in _holds(talk)] == ["Jonas"]
    assert talk.state.at == "guard-off"
    assert talk.state.person == "Mara"


def test_who_says_this_is_answers_the_question_and_does_not_take_over() -> None:
    talk = _waiting()
    talk("person", name="jonas")
    assert [body.by for body in _holds(talk)] == ["Jonas"]
    assert len(talk.logged(PersonChanged)) == 1


@pytest.mark.parametrize(
    "words",
    ["yes", "me", "somebody", "Mara", "this is mara", "what was that bolt", "and here is the news at five", "65"],
)
def test_words_that_name_nobody_else_are_asked_again(words: str) -> None:
    talk = _waiting()
    talk("reason", text=words)
    assert talk.question == "who-confirms"
    assert not _holds(talk)


def test_the_foreman_may_be_the_one_who_speaks() -> None:
    talk = _waiting("foreman")
    talk("reason", text="Mara")
    assert [body.by for body in _holds(talk)] == ["Mara"]


@pytest.mark.parametrize("words", ["no", "cancel"])
def test_without_a_name_the_step_is_not_started(words: str) -> None:
    talk = _waiting()
    assert talk(words).startswith("Not started")
    assert talk.question == ""
    assert not _holds(talk)


def test_who_allows_going_on_without_is_asked_and_logged() -> None:
    talk = _waiting()
    talk("override", reason="the lock is lost")
    assert talk("yes") == "Who allows it? Say the name."
    assert not talk.logged(Overridden)
    assert "allowed by Ines" in talk("reason", text="ines")
    assert talk.logged(Overridden) == [Overridden("guard-off", "hold", "the lock is lost", "Ines")]


def test_undo_takes_the_confirmation_back_with_its_name() -> None:
    talk = _waiting()
    talk("reason", text="jonas")
    talk("undo")
    assert ("guard-off", "hold") not in talk.state.confirmed
