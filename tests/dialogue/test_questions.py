"""The question that stands open: back after an aside, alive after a power cut, and telling the ear what to expect."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.dialogue.live import _PENDING, listening
from assistant.dialogue.pending import QUESTIONS
from assistant.dialogue.questions import _PUT
from assistant.hearing.heard import Decision
from assistant.job.events import Event, FactSet
from tests.dialogue.talk import Talk, bare, confirmed_by, mm, nm


def _torque_value() -> Talk:
    talk = Talk().to("pulley-on")
    talk("done")
    return talk


def _outside() -> Talk:
    talk = _torque_value()
    talk("digits", value=nm(45))
    return talk


def _after(talk: Talk, name: str, **slots: object) -> Talk:
    talk(name, **slots)  # type: ignore[arg-type]
    return talk


def _fact() -> Talk:
    return _after(Talk(), "begin")


def _hold() -> Talk:
    talk = Talk().begin()
    talk("done")
    return _after(talk, "yes")


def _support() -> Talk:
    talk = Talk().to("sling")
    talk("skip", reason="no hoist")
    return _after(talk, "yes")


def _check() -> Talk:
    return _after(Talk().begin(), "done")


def _decision() -> Talk:
    return _after(Talk().to("measure"), "measured", measure="runout", value=mm("0.4"))


def _bolts() -> Talk:
    talk = Talk().to("pulley-on")
    talk("start-fastener", fastener="pulley-bolts")
    for _ in range(8):
        talk("done")
    return talk


def _item() -> Talk:
    talk = Talk().to("pulley-on")
    talk("skip", reason="x y")
    talk("yes")
    talk.to("close")
    talk.obey()
    return _after(talk, "finish")


def _finish() -> Talk:
    talk = Talk().to("close")
    talk.obey()
    return _after(talk, "finish")


def _angle() -> Talk:
    return _after(_after(Talk().to("nut"), "done"), "digits", value=nm(80))


def _confirm() -> Talk:
    talk = Talk().to("belt-off")
    talk.hear("skip", decision=Decision.CONFIRM, reason="rust")
    return talk


def _digits() -> Talk:
    talk = Talk().to("pulley-on")
    talk.hear("torqued", fastener="pulley-bolts", value=nm(15))
    return talk


ASKED: dict[str, Callable[[], Talk]] = {
    "fact": _fact,
    "hold": _hold,
    "support": _support,
    "lift": lambda: _lift(),
    "check": _check,
    "torque-value": _torque_value,
    "outside-torque": _outside,
    "keep-outside": lambda: _after(_outside(), "reason", text="old threads"),
    "angle": _angle,
    "measure-value": lambda: _after(Talk().to("measure"), "done"),
    "decision": _decision,
    "skip-reason": lambda: _after(Talk().to("belt-off"), "skip"),
    "skip-confirm": lambda: _after(Talk().to("belt-off"), "skip", reason="rust"),
    "override-reason": lambda: _after(_hold(), "override"),
    "override-confirm": lambda: _after(_hold(), "override", reason="lock lost"),
    "which": lambda: _after(Talk().begin(), "torque", fastener="motor bolts"),
    "digits": _digits,
    "confirm": _confirm,
    "note-text": lambda: _after(Talk().begin(), "note"),
    "bolts-value": _bolts,
    "item": _item,
    "accept-reason": lambda: _after(_item(), "accept"),
    "accept-confirm": lambda: _after(_item(), "accept", reason="goes back"),
    "finish-confirm": _finish,
    "timer-length": lambda: _after(Talk().begin(), "timer"),
    "person-name": lambda: _after(Talk().begin(), "person"),
    "who-confirms": lambda: _who(),
    "wrench-length": lambda: _after(Talk().begin(), "wrench-length"),
}


def _who() -> Talk:
    talk = Talk(confirmed_by("second-person")).begin()
    talk("done")
    talk("yes")
    return _after(talk, "yes")


def _lift() -> Talk:
    talk = Talk().to("nut")
    while talk.question != "lift":
        talk.obey()
    return talk


def test_every_question_can_be_put_again_and_tells_the_ear_what_to_expect() -> None:
    assert set(ASKED) == QUESTIONS == set(_PUT) == set(_PENDING)


@pytest.mark.parametrize("question", sorted(ASKED))
def test_a_question_survives_a_power_cut(question: str) -> None:
    talk = ASKED[question]()
    assert talk.question == question
    answer = talk.power_cut()
    assert talk.question == question
    assert answer.endswith(("?", ".")), answer
    put_again = talk.power_cut()
    assert put_again == answer, "the same question again gives the same answer"


@pytest.mark.parametrize("question", sorted(set(ASKED) - {"note-text"}))
def test_a_question_comes_back_after_an_aside(question: str) -> None:
    talk = ASKED[question]()
    answer = talk("torque", fastener="front-motor-bolts")
    assert answer.startswith("Front motor bolts: 40 N·m, 4 0.")
    assert len(answer) > len("Front motor bolts: 40 N·m, 4 0.")
    assert talk.question == question


@pytest.mark.parametrize("question", sorted(ASKED))
def test_a_question_can_be_cancelled_and_nothing_was_recorded_by_it(question: str) -> None:
    talk = ASKED[question]()
    before = talk.state
    talk("cancel")
    after = talk.state
    assert (after.steps, after.fasteners, after.things, after.facts, after.notes, after.accepted) == (
        before.steps, before.fasteners, before.things, before.facts, before.notes, before.accepted,
    )  # fmt: skip
    assert after.question is None or question == "fact"


@pytest.mark.parametrize("question", sorted(set(ASKED) - {"fact"}))
def test_asking_narrows_what_is_listened_for(question: str) -> None:
    talk = ASKED[question]()
    _, live = listening(talk.state)
    _, free = listening(Talk().begin().state)
    assert len({name for name in live if not name.startswith("option:")}) < len(free)
    assert "cancel" in live or "stop" in live


def test_the_answers_to_a_question_are_listened_for() -> None:
    for question, wanted in {
        "hold": {"yes", "no", "override"},
        "torque-value": {"digits", "torqued", "start-fastener", "override"},
        "measure-value": {"digits", "measured"},
        "item": {"yes", "no", "accept", "close", "digits"},
        "skip-reason": {"reason"},
        "note-text": {"reason", "end-note"},
        "digits": {"digits"},
    }.items():
        assert wanted <= listening(ASKED[question]().state)[1], question


def test_the_options_are_offered_in_the_order_in_which_they_were_said() -> None:
    ask, live = listening(_fact().state)
    assert ask.options == ("one", "two")
    assert {"answer", "option:1:one", "option:2:two"} <= live


def test_the_moment_is_about_the_things_of_the_step() -> None:
    ask, _ = listening(Talk().to("pulley-on").state)
    assert {"pulley-bolts", "shaft-cap"} <= ask.about
    assert "rear-motor-bolts" not in ask.about


def test_a_clarification_gives_the_earlier_question_back() -> None:
    talk = _torque_value()
    talk("torque", fastener="motor bolts")
    assert talk.question == "which"
    answer = talk("answer", option="front")
    assert answer == "Front motor bolts: 40 N·m, 4 0. Pulley bolts: torqued to what?"
    assert talk("digits", value=bare(50)).startswith("Pulley bolts: 50 N·m, 5 0. Logged.")
    assert talk.state.steps["pulley-on"].how == "done"


def test_going_on_to_something_else_drops_the_question() -> None:
    talk = Talk().to("belt-off")
    talk("skip", reason="rust")
    talk("done")
    assert talk.state.steps["belt-off"].how == "done"
    assert talk.question == ""


def test_a_yes_that_nothing_asked_for_does_nothing() -> None:
    talk = Talk().begin()
    before = talk.recorded
    assert talk("yes") == "Nothing was asked."
    assert talk.recorded == before


def test_a_log_by_other_rules_is_resumed_and_what_does_not_fit_is_told() -> None:
    talk = Talk().to("belt-off")
    strange = Event(talk.log[-1].seq + 1, talk.now, "", "belt-off", FactSet("colour", "red"))
    talk.log.append(strange)
    assert f"1 entry of the log, from number {strange.seq}" in talk.power_cut()
    assert talk("where").startswith("Step 3 of 15")
