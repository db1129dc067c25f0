"""Who is spoken to: open, by name, by pedal; asleep; in a note."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.grammar.request import Request
from assistant.hearing.attention import (
    SUGGESTED_NAMES,
    Attention,
    Meant,
    Mode,
    Why,
    as_note,
    attend,
    close_note,
    ends_note,
    fault_of_name,
    note_is_over,
    open_note,
    pressed,
    replied,
    wished,
)
from assistant.hearing.heard import Decision, Heard, Reading


def _said(
    words: str, request: str = "next", at_s: float = 10.0, decision: Decision = Decision.ACT, **slots: str
) -> Heard:
    reading = Reading(words.casefold().strip("."), Request(request, slots), -0.3)
    return Heard(words, reading, decision=decision, start_s=at_s, end_s=at_s + 1.0)


def _talk(words: str, at_s: float = 10.0) -> Heard:
    return Heard(words, None, decision=Decision.IGNORE, start_s=at_s, end_s=at_s + 2.0)


NAMED = Attention(Mode.NAME, "jericho")


def test_open_takes_what_the_ear_takes_for_ours_and_nothing_else() -> None:
    assert attend(Attention(), _said("What is next?"))[1] == Meant(True, Why.OPEN)
    assert attend(Attention(), _said("What is next?", decision=Decision.AGAIN))[1].ours
    assert not attend(Attention(), _said("What is next?", decision=Decision.IGNORE))[1].ours
    assert not attend(Attention(), _talk("And now the weather."))[1].ours


def test_by_name_nothing_happens_without_the_name() -> None:
    after, meant = attend(NAMED, _said("What is next?"))
    assert meant == Meant(False, Why.NO_NAME)
    assert after == NAMED


@pytest.mark.parametrize(
    ("name", "free", "phrase", "said"),
    [
        ("rosie", "What is the talk of the cover-boats?", "rosie what is the torque of the cover bolts", False),
        ("rosie", "Rollsy tongue,", "rosie done", True),
        ("juniper", "Jew liver done.", "juniper done", True),
        ("domino", "Don the new, John.", "domino done", True),
        ("domino", "John.", "domino done", False),
    ],
)
def test_a_name_that_only_the_grammar_has_was_not_said(name: str, free: str, phrase: str, said: bool) -> None:
    """Read from synthesised voices, with the name and without."""
    reading = Reading(phrase, Request("done"), -0.9)
    heard = Heard(free, reading, decision=Decision.CONFIRM, start_s=10.0, end_s=11.0)
    assert attend(Attention(Mode.NAME, name), heard)[1].ours is said


@pytest.mark.parametrize("heard", ["Jericho, what is next?", "Jerico what is next.", "Jerichoh, what is next?"])
def test_the_name_is_known_however_it_is_written(heard: str) -> None:
    assert attend(NAMED, _said(heard))[1] == Meant(True, Why.NAME)


@pytest.mark.parametrize("heard", ["Jury, what is next?", "What is next, Jericho?", "Cherry, next.", "Eric, next?"])
def test_another_name_or_the_name_at_the_end_is_not_ours(heard: str) -> None:
    assert not attend(NAMED, _said(heard))[1].ours


def test_after_the_name_there_is_a_window_without_it() -> None:
    attention, _ = attend(NAMED, _said("Jericho, what is next?", at_s=10.0))
    _, meant = attend(attention, _said("How?", "how", at_s=18.9))
    assert meant == Meant(True, Why.WINDOW)
    _, meant = attend(attention, _said("How?", "how", at_s=19.1))
    assert meant == Meant(False, Why.NO_NAME)


def test_the_window_counts_from_the_end_of_our_reply() -> None:
    attention, _ = attend(NAMED, _said("Jericho, read the caution.", at_s=10.0))
    attention = replied(attention, end_s=40.0)
    assert attend(attention, _said("Next.", at_s=47.0))[1].ours
    assert not attend(attention, _said("Next.", at_s=49.0))[1].ours


def test_what_began_in_the_window_counts_though_it_ended_after_it() -> None:
    attention, _ = attend(NAMED, _said("Jericho, next.", at_s=10.0))
    late = replace(_said("Torqued the flywheel bolts.", "torqued", at_s=18.5), end_s=25.0)
    assert attend(attention, late)[1].ours


def test_the_name_alone_opens_the_window_even_where_the_ear_knows_no_such_phrase() -> None:
    attention, meant = attend(NAMED, _talk("Jericho.", at_s=10.0))
    assert meant.ours
    assert meant.only_name
    assert attend(attention, _said("Next.", at_s=15.0))[1].ours


def test_talk_in_the_window_that_the_ear_ignores_stays_ignored() -> None:
    attention, _ = attend(NAMED, _said("Jericho, next.", at_s=10.0))
    assert attend(attention, _talk("Pass me the ratchet, will you?", at_s=13.0))[1] == Meant(False, Why.NOT_OURS)


def test_the_pedal_opens_one_window_and_our_question_another() -> None:
    pedal = Attention(Mode.PEDAL)
    assert attend(pedal, _said("Next."))[1] == Meant(False, Why.NO_PEDAL)
    down = pressed(pedal, 10.0)
    down, meant = attend(down, _said("Finish.", "finish", at_s=11.0))
    assert meant == Meant(True, Why.PEDAL)
    assert not attend(replied(down, 30.0), _said("Next.", at_s=32.0))[1].ours
    assert attend(replied(down, 30.0, asked=True), _said("Yes.", "yes", at_s=32.0))[1].ours


def test_asleep_only_waking_up_is_heard() -> None:
    asleep = wished(Attention(), {"sleep": "1"})
    assert attend(asleep, _said("Next."))[1] == Meant(False, Why.ASLEEP)
    assert attend(asleep, _said("Wake up.", "wake", decision=Decision.CONFIRM))[1] == Meant(False, Why.ASLEEP)
    awake, meant = attend(asleep, _said("Wake up.", "wake"))
    assert meant == Meant(True, Why.WOKEN)
    assert attend(awake, _said("Next.", at_s=12.0))[1].ours


def test_by_name_a_song_does_not_wake_us() -> None:
    asleep = wished(NAMED, {"sleep": "1"})
    assert not attend(asleep, _said("Wake up, little one.", "wake"))[1].ours
    assert attend(asleep, _said("Jericho, wake up.", "wake"))[1].ours


def test_the_pedal_wakes() -> None:
    assert attend(pressed(wished(Attention(Mode.PEDAL), {"sleep": "1"}), 9.0), _said("Next."))[1].ours


def test_the_way_is_changed_by_voice_and_a_wrong_word_changes_nothing() -> None:
    assert wished(Attention(), {"attention": "name"}).mode is Mode.NAME
    assert wished(Attention(), {"attention": "telepathy"}).mode is Mode.OPEN
    assert wished(wished(Attention(), {"sleep": "1"}), {"wake": "1"}).asleep is False


def test_in_a_note_everything_is_note_until_a_pause() -> None:
    attention, _ = attend(Attention(), _said("Take a note.", "note", at_s=10.0, text=""))
    assert attention.taking_note
    attention, meant = attend(attention, _talk("The rear seal is weeping, next to the drain.", at_s=13.0))
    assert meant == Meant(True, Why.NOTE)
    assert not note_is_over(attention, 20.9)
    assert note_is_over(attention, 21.0)


def test_a_note_that_came_with_its_words_is_no_open_note() -> None:
    attention, _ = attend(Attention(), _said("Take a note: seal weeps.", "note", text="seal weeps"))
    assert not attention.taking_note


def test_a_note_opens_by_clear_word_only() -> None:
    attention, _ = attend(Attention(), _said("Take a note.", "note", decision=Decision.CONFIRM, text=""))
    assert not attention.taking_note


def test_a_command_inside_a_note_is_words_of_the_note() -> None:
    attention = open_note(Attention(), 10.0)
    requests = []
    for words in ("Finish the job tomorrow.", "Skip the paint."):
        heard = _said(words, "finish")
        attention, _ = attend(attention, heard)
        note = as_note(attention, heard)
        assert note.best is not None
        requests.append((note.best.request.name, note.best.request.slots["text"]))
    assert requests == [("reason", "Finish the job tomorrow."), ("continue-note", "Skip the paint.")]


def test_end_note_ends_it_only_when_clear() -> None:
    assert ends_note(_said("End note.", "end-note"))
    assert not ends_note(_said("End of the note in the book.", "end-note", decision=Decision.CONFIRM))
    assert not close_note(open_note(Attention(), 3.0)).taking_note


def test_sleep_ends_a_note_and_the_window() -> None:
    attention = wished(open_note(pressed(NAMED, 5.0), 5.0), {"sleep": "1"})
    assert not attention.taking_note
    assert not attend(wished(attention, {"wake": "1"}), _said("Next.", at_s=6.0))[1].ours


PHRASES = frozenset(("next", "torque", "measured", "done", "undo", "sleep", "how many", "say again", "caution"))


@pytest.mark.parametrize("name", SUGGESTED_NAMES)
def test_the_suggested_names_are_good_ones(name: str) -> None:
    assert fault_of_name(name, PHRASES) is None


@pytest.mark.parametrize(
    ("name", "says"),
    [("Bo", "too short"), ("Turk", "too short"), ("corsion", "caution"), ("my dear old friend", "one or two words")],
)
def test_a_poor_name_is_told_why(name: str, says: str) -> None:
    fault = fault_of_name(name, PHRASES)
    assert fault is not None
    assert says in fault
