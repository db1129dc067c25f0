"""Where an utterance ends: at once where the phrase cannot go on, patiently inside a number."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from assistant.grammar.request import Request
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.endpoint import PAUSES, GoesOn, Segmenter, goes_on
from assistant.hearing.files import as_frames
from assistant.hearing.frames import FRAME, FRAME_S, CaptureEvent, Frames, Lost
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Reading, Samples, Utterance
from tests.hearing.conftest import CLEAR, PhraseList, Shop
from tests.sound import noises, voices


def stream(*parts: Samples | float) -> Samples:
    """Speech and pauses (seconds) one after the other, in a quiet room."""
    return np.concatenate([noises.quiet(part, 7) if isinstance(part, float) else part for part in parts])


def answers(shop: Shop, sound: Samples) -> list[tuple[Heard, float]]:
    """What was heard, and how long after the end of speech in stream time."""
    at = 0.0
    found: list[tuple[Heard, float]] = []

    def passing() -> Iterator[CaptureEvent]:
        nonlocal at
        for frame in as_frames(sound):
            at = frame.at_s + FRAME_S
            yield frame

    for heard in Ear(shop.recogniser).listen(passing(), lambda: Listening(shop.acceptor, shop.reads)):
        found.append((heard, at - heard.end_s))
    return found


@pytest.mark.parametrize("pause_s", [0.4, 0.6, 0.8])
def test_a_number_with_a_pause_inside_is_one_utterance(shop: Shop, pause_s: float) -> None:
    number = voices.with_pause(["one hundred", "ten"], pause_s, CLEAR)
    heard = shop.listens(stream(0.5, number, 1.5))
    assert len(heard) == 1
    assert heard[0].best is not None
    assert heard[0].best.request.slots["value"] == 110


def test_a_torque_said_with_a_pause_before_the_value_is_one_utterance(shop: Shop) -> None:
    spoken = voices.with_pause(["torqued the flywheel bolts to", "sixty two newton metres"], 0.8, CLEAR)
    heard = shop.listens(stream(0.5, spoken, 1.5))
    assert len(heard) == 1
    assert heard[0].best is not None
    assert heard[0].best.request.slots["value"] == 62


def test_a_phrase_that_cannot_go_on_is_answered_after_the_shortest_pause(shop: Shop) -> None:
    ((heard, waited_s),) = answers(shop, stream(0.5, voices.speak("how many drain plug", CLEAR), 2.0))
    assert heard.best is not None
    assert waited_s <= PAUSES.read + 2 * FRAME_S


def test_a_number_is_waited_for(shop: Shop) -> None:
    ((_, waited_s),) = answers(shop, stream(0.5, voices.speak("twenty two", CLEAR), 2.0))
    assert waited_s >= 0.8


def test_two_commands_with_a_second_between_are_two_utterances(shop: Shop) -> None:
    sound = stream(0.5, voices.speak("next step", CLEAR), 1.0, voices.speak("go back", CLEAR), 1.0)
    assert [heard.best.words for heard in shop.listens(sound) if heard.best] == ["next step", "go back"]


def test_the_last_words_of_a_stream_are_read_to_their_end(shop: Shop) -> None:
    assert len(shop.listens(stream(0.5, voices.speak("next step", CLEAR)))) == 1


def test_how_a_phrase_goes_on() -> None:
    grammar = PhraseList(["next", "next step", "torqued to 65 newton metres", "65", "65 newton metres"], free=["note"])
    assert goes_on(grammar, "next step") is GoesOn.NOT
    assert goes_on(grammar, "next") is GoesOn.WORDS
    assert goes_on(grammar, "65") is GoesOn.NUMBER
    assert goes_on(grammar, "65 newton metres") is GoesOn.NOT
    assert goes_on(grammar, "note") is GoesOn.FREE
    assert goes_on(grammar, "note the seal is hard") is GoesOn.FREE
    assert goes_on(grammar, "next", lambda words: False) is GoesOn.NOT


class Echo:
    """A recogniser that hears the same in all sound."""

    name = "echo"

    def __init__(self) -> None:
        self.lengths_s: list[float] = []

    def hear(self, utterance: Utterance, acceptor: object, reads: object) -> Heard:
        self.lengths_s.append(len(utterance.samples) / SAMPLE_RATE)
        reading = Reading("next step", Request("next"), -0.1)
        return Heard("Next step.", reading, decision=Decision.ACT, start_s=utterance.start_s, end_s=utterance.end_s)


def marked(pattern: str, first_s: float = 0.0) -> list[CaptureEvent]:
    """Frames from a drawing of a tenth of a second a letter: S speech, . silence, L the microphone is lost."""
    events: list[CaptureEvent] = []
    at_s = first_s
    for letter in pattern:
        if letter == "L":
            events.append(Lost(at_s, "The microphone is gone."))
            continue
        for _ in range(round(0.1 / FRAME_S)):
            level = 0.5 if letter == "S" else 0.0
            events.append(Frames(np.full(FRAME, level, dtype=np.float32), at_s, at_s))
            at_s += FRAME_S
    return events


def drawn(pattern: str) -> tuple[list[Heard], Echo]:
    grammar = PhraseList(["next step"])
    echo = Echo()
    ear = Ear(echo, activity=lambda frame: float(frame[0] > 0.1))
    listening = Listening(grammar, lambda words: Request("next"))
    return list(ear.listen(marked(pattern), lambda: listening)), echo


def test_a_click_is_no_utterance() -> None:
    heard, echo = drawn("....S.....")
    assert heard == []
    assert echo.lengths_s == []


def test_what_was_said_into_a_lost_microphone_is_asked_for_again() -> None:
    heard, _ = drawn("..SSSSLSSSS........")
    assert [each.decision for each in heard] == [Decision.AGAIN]


def test_endless_talk_is_cut_into_utterances() -> None:
    heard, _ = drawn("S" * 700)
    assert len(heard) >= 2


def test_times_are_of_the_stream() -> None:
    heard, _ = drawn("." * 20 + "S" * 10 + "." * 20)
    assert heard[0].start_s == pytest.approx(20 * 3 * FRAME_S, abs=0.1)
    assert heard[0].end_s == pytest.approx(30 * 3 * FRAME_S, abs=0.1)


def test_a_long_pause_inside_is_shortened_before_reading() -> None:
    segmenter = Segmenter()
    for number, letter in enumerate("S" * 20 + "." * 25 + "S" * 20):
        frame = np.full(FRAME, 0.5 if letter == "S" else 0.0, dtype=np.float32)
        segmenter.take(frame, number * FRAME_S, float(letter == "S"))
    utterance = segmenter.utterance()
    assert utterance is not None
    assert utterance.end_s - utterance.start_s == pytest.approx(65 * FRAME_S)
    assert len(utterance.samples) / SAMPLE_RATE < 50 * FRAME_S


def test_eight_hours_of_a_quiet_bay_are_passed_over() -> None:
    heard, echo = drawn("." * 2000)
    assert heard == []
    assert echo.lengths_s == []
