"""Open questions one after another; answers written in with who said so and when."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.card.draft.answer import NotUnderstood
from assistant.card.draft.answers import answered, read_yaml, text_of, understood_answer
from assistant.card.draft.drafting import draft_of
from assistant.card.draft.questions import Question, questions_of
from assistant.card.draft.reading import narration_of
from assistant.card.draft.review import review
from assistant.card.load import load_card_text
from assistant.card.model import Card

AT = datetime(2026, 3, 1, 14, 2, tzinfo=UTC)
TALK = (
    "[0:01] Rear mount job. [0:05] Take out the rear mount bolts and lift off the mount. [0:09] Take off the spacer. "
    "Disconnect the hose. [0:20] Fit the mount. Fit the rear mount bolts and tighten them. [0:30] Fit the guard."
)


def drafted(words: str = TALK) -> str:
    return draft_of(narration_of(words.replace(" [", "\n["), "a.txt")).text


class Answers:
    """Somebody who answers from a list, then leaves."""

    def __init__(self, *answers: str, is_heard: bool = False) -> None:
        self.is_heard = is_heard
        self.left = list(answers)
        self.asked: list[str] = []
        self.told: list[str] = []

    def tell(self, words: str) -> None:
        self.told.append(words)

    def ask(self, words: str) -> str | None:
        self.asked.append(words)
        return self.left.pop(0) if self.left else None


def after(text: str, talk: Answers) -> Card:
    return load_card_text(review(text, talk, "Mara", lambda: AT, lambda _: None).text, "draft")


def question(text: str, key: str) -> Question:
    return next(one for one in questions_of(load_card_text(text, "draft")) if one.key == key)


def test_the_questions_are_those_a_person_would_ask() -> None:
    asked = [one.ask for one in questions_of(load_card_text(drafted(), "draft"))]
    for wanted in (
        "How many rear mount bolts?",
        "Which torque for the rear mount bolts?",
        "Not said: where does the spacer go back?",
        "Not said: when is the hose connected again?",
        "The guard goes on and never came off. Is it new, or when does it come off?",
        "Which vehicle is it for?",
    ):
        assert wanted in asked


def test_a_count_is_written_with_who_and_when() -> None:
    text = drafted()
    key = question(text, "count:rear-mount-bolts")
    card = read_yaml(text)
    answer = understood_answer(card, key, "four")
    assert not isinstance(answer, NotUnderstood)
    written = text_of(answered(card, key, answer, "four", "Mara", AT), text)
    assert 'count: 4 # "four" said by Mara, 2026-03-01 14:02' in written.replace("4  #", "4 #")
    assert load_card_text(written, "draft").fasteners["rear-mount-bolts"].count == 4


def test_a_torque_is_written_with_its_unit_and_its_source() -> None:
    card = after(drafted(), Answers("four", "sixty-five newton metres"))
    fastener = card.fasteners["rear-mount-bolts"]
    assert (str(fastener.torque.value), fastener.torque.unit) == ("65", "N·m")  # type: ignore[union-attr]
    assert fastener.source == '"sixty-five newton metres" said by Mara, 2026-03-01 14:02'
    assert fastener.unsure == []


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("count:rear-mount-bolts", "a few"),
        ("count:rear-mount-bolts", "four or five"),
        ("count:rear-mount-bolts", "four newton metres"),
        ("torque:rear-mount-bolts", "sixty-five"),
        ("torque:rear-mount-bolts", "tight"),
        ("back:spacer", "later"),
        ("back:spacer", "after the thingamajig"),
        ("torque:rear-mount-bolts", "fifty newton metres or sixty newton metres"),
    ],
)
def test_what_is_no_clear_answer_is_asked_again_and_writes_nothing(key: str, words: str) -> None:
    text = drafted()
    assert isinstance(understood_answer(read_yaml(text), question(text, key), words), NotUnderstood)


def test_where_the_spacer_goes_back() -> None:
    text = drafted()
    key = question(text, "back:spacer")
    answer = understood_answer(read_yaml(text), key, "before the mount")
    assert not isinstance(answer, NotUnderstood)
    card = load_card_text(
        text_of(answered(read_yaml(text), key, answer, "before the mount", "Mara", AT), text), "draft"
    )
    back = [step.id for section in card.sections for step in section.steps]
    assert back.index("fit-spacer") == back.index("fit-rear-mount") - 1


def test_what_stays_off_and_what_is_new() -> None:
    text = drafted()
    for key, words, field in (("back:spacer", "it stays off", "consumed"), ("out:guard", "it's a new one", "new")):
        asked = question(text, key)
        answer = understood_answer(read_yaml(text), asked, words)
        assert not isinstance(answer, NotUnderstood)
        card = load_card_text(text_of(answered(read_yaml(text), asked, answer, words, "Mara", AT), text), "draft")
        assert getattr(card.parts[asked.about], field) is True
        assert asked.key not in [one.key for one in questions_of(card)]


def test_two_torques_are_settled_by_a_third_word() -> None:
    text = drafted(
        "Take out the four nuts. Fit the nuts and tighten the nuts to 70 Nm. Then tighten the nuts to 60 Nm."
    )
    (asked,) = [one for one in questions_of(load_card_text(text, "draft")) if "two torques" in one.mark]
    answer = understood_answer(read_yaml(text), asked, "sixty newton metres")
    assert not isinstance(answer, NotUnderstood)
    card = load_card_text(
        text_of(answered(read_yaml(text), asked, answer, "sixty newton metres", "Mara", AT), text), "draft"
    )
    assert (str(card.fasteners["nuts"].torque.value), card.fasteners["nuts"].unsure) == ("60", [])  # type: ignore[union-attr]


def test_a_stray_torque_finds_its_owner_only_by_name() -> None:
    text = drafted(
        "Take out the two front bolts and the two rear bolts. "
        "Fit the front bolts and the rear bolts. Fit the shaft. That's ninety newton metres."
    )
    (asked,) = [one for one in questions_of(load_card_text(text, "draft")) if one.key.startswith("card:a torque")]
    assert isinstance(understood_answer(read_yaml(text), asked, "the bolts"), NotUnderstood)
    answer = understood_answer(read_yaml(text), asked, "the rear bolts")
    assert not isinstance(answer, NotUnderstood)
    card = load_card_text(
        text_of(answered(read_yaml(text), asked, answer, "the rear bolts", "Mara", AT), text), "draft"
    )
    assert str(card.fasteners["rear-bolts"].torque.value) == "90"  # type: ignore[union-attr]
    assert card.fasteners["front-bolts"].torque is None


def test_the_comments_above_the_steps_survive_the_answers() -> None:
    text = drafted()
    done = review(
        text,
        Answers("four", "60 Nm", "after the mount", "at the end", "new", *["yes"] * 30),
        "Mara",
        lambda: AT,
        lambda _: None,
    )
    above = {row.strip() for row in text.split("\n") if row.strip().startswith("# 0:")}
    assert above <= {row.strip() for row in done.text.split("\n")}


def test_skip_leaves_a_question_and_stop_ends() -> None:
    talk = Answers("skip", "sixty newton metres", "stop")
    done = review(drafted(), talk, "Mara", lambda: AT, lambda _: None)
    assert done.settled == 1
    assert "How many rear mount bolts?" in [one.ask for one in questions_of(load_card_text(done.text, "draft"))]


def test_each_answer_is_kept_at_once() -> None:
    kept: list[str] = []
    review(drafted(), Answers("four", "60 Nm"), "Mara", lambda: AT, kept.append)
    assert len(kept) == 2
    assert load_card_text(kept[0], "draft").fasteners["rear-mount-bolts"].torque is None


def test_a_heard_value_is_said_back_and_written_only_after_yes() -> None:
    talk = Answers("fourteen", "no", "forty", "yes", is_heard=True)
    card = after(drafted(), talk)
    assert card.fasteners["rear-mount-bolts"].count == 40
    assert talk.asked[1] == "rear mount bolts: 14. Right?"


@pytest.mark.parametrize("answer", ["yes but", "no", "yes, no, wait", "maybe", ""])
def test_only_a_plain_yes_writes_what_was_heard(answer: str) -> None:
    card = after(drafted(), Answers("fourteen", answer, is_heard=True))
    assert card.fasteners["rear-mount-bolts"].count == 0


def test_a_question_not_understood_three_times_is_left_for_later() -> None:
    talk = Answers("mumble", "mumble", "mumble", "sixty newton metres")
    card = after(drafted(), talk)
    assert (card.fasteners["rear-mount-bolts"].count, str(card.fasteners["rear-mount-bolts"].torque.value)) == (0, "60")  # type: ignore[union-attr]


def test_of_two_torques_both_are_told_where_it_is_asked_which() -> None:
    text = drafted(
        "Take out the flange bolts. Going back. Flange bolts in. Tighten the flange bolts to forty newton metres. "
        "Connect the hose. Fill it with oil. Fit the guard. Clean the frame. The flange bolts get 105 newton metres."
    )
    asked = [one.ask for one in questions_of(load_card_text(text, "draft"))]
    assert any("forty newton metres" in words and "105 newton metres" in words for words in asked), asked
