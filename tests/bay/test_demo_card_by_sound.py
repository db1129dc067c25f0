"""The README's "With a microphone", followed to the end: the driveline card, by nothing but sound.

`bay work gearbox-and-clutch` runs as it stands there, between two virtual sound cards. The technician speaks the lines
of the written clean run into the one, hears when the other has gone silent, says again what was not understood, and
answers what is asked back. The same lines, typed, tell what must be answered and logged.
"""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC
from itertools import islice
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest
import soxr

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.view import Settings
from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.job.events import Body, Event, Measured, Said, Torqued
from assistant.job.open_items import blocking
from assistant.job.state import fold
from assistant.logbook.store import Logbook
from assistant.voice.speak import Espeak, Speech
from assistant.voice.wording import speakable
from tests.bay import sound_server
from tests.bay.listening import says
from tests.bay.sound_server import RATE, Loudspeaker, SoundServer
from tests.bay.technician import Technician
from tests.conftest import Needs
from tests.scripts.play import FOLDER, UNTOLD, Bay, begin, card_named, event_in_words, read
from tests.sound.voices import available
from tests.sound.voices import missing as missing_voice

pytestmark = pytest.mark.sound_server

CARD = "gearbox-and-clutch"
VOICES = available(("flite:slt", "piper:joe", "espeak:en-us+m3", "espeak:en-us+f5"))
"""In the order in which a line is tried: who is not understood is followed by a colleague."""
SPEED_WPM = 400
VERBOSITY = "terse"
READ_BACK = "Did you say: "
SAY_IT_AGAIN = "Say it again."
NOTHING_DONE = ("Say again?", "Yes or no: ", READ_BACK)
TRIES = 8
"""A technician who has said a line so often puts the tool down."""
WHILE_S = r"\b(?:\d+ h )?\d+ (?:min|h|s)\b"
"""How long the work took: the one thing that differs between two runs."""


@pytest.fixture
def server(needs: Needs) -> Iterator[SoundServer]:
    lacks = sound_server.missing()
    needs(not lacks, f"a sound server (Debian: {lacks})")
    lacks = missing_voice("flite:slt")
    needs(not lacks, lacks or "flite")
    with SoundServer() as running:
        yield running


@dataclass
class Tally:
    """What it took."""

    lines: int = 0
    spoken: int = 0
    again: Counter[str] = field(default_factory=Counter)
    """Not done at once, by what came of it: "ignored", "said again", "read back", "digits"."""


def typed(lines: int | None = None) -> tuple[list[tuple[str, str]], Bay]:
    """The clean run's lines with the answers to them, as this technician likes them; the job that they make."""
    head, exchanges = read(FOLDER / "clean-run.txt")
    bay = begin(head)
    bay.talk, _ = Conversation.begin(
        card_named(head["card"]), bay.now, settings=Settings(zone=UTC, verbosity=VERBOSITY)
    )
    bay.log = list(bay.talk.fresh)
    said = (exchange.line[1:].strip() for exchange in exchanges if exchange.line.startswith(">"))
    return [(words, bay.type(words).reply.text) for words in islice(said, lines)], bay


def spoken(words: str) -> str:
    """As a synthesiser reads it best: figures as words."""
    return speakable(words).replace("metre", "meter")


def digit_by_digit(words: str) -> str:
    number = re.search(r"[\d.]+", words)
    if number is None:
        return words.rpartition(" ")[0]
    names = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    return " ".join("point" if mark == "." else names[int(mark)] for mark in number[0])


def plain(words: str) -> str:
    """Without what changes no meaning: "it's bolted on" is "bolted on"."""
    return re.sub(r"\b(?:it's|it is|that's|the)\b|[^\w. ]|[.?]+$", "", words.casefold().replace("-", " ")).strip()


def same(reply: str, wanted: str) -> bool:
    return re.sub(WHILE_S, "...", reply) == re.sub(WHILE_S, "...", wanted)


class AtWork:
    """The technician with the script in the head."""

    def __init__(self, technician: Technician, loudspeaker: Loudspeaker, headset: bool) -> None:
        """With a headset the technician knows the card and talks over what is read out, as one may."""
        self.tally = Tally()
        self._headset = headset
        self._technician, self._loudspeaker = technician, loudspeaker
        self._last = ""
        """What was answered last; it does no harm to be told it once more."""
        self._began = time.monotonic()
        self._comparing = ThreadPoolExecutor(max_workers=1)
        self._reading_aloud = ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn"))
        """The same texts in the same order as in the run, and nothing before: espeak keeps some state between texts."""
        self._compared: list[tuple[str, Future[bool]]] = []

    def greeted(self) -> None:
        greeting = self._technician.wait(lambda line: line.get("what") == "reply", "greeting")["text"]
        assert "Do not use it on a real vehicle" in greeting
        self._last = greeting
        self._hear_out(greeting)

    def work(self, words: str, wanted: str) -> None:
        """Says a line until it is answered as the script has it; any other answer is a fault."""
        self.tally.lines += 1
        saying, before = spoken(words), self._last
        for attempt in range(TRIES):
            voice = VOICES[attempt % len(VOICES)]
            reply = self._answer(saying, voice)
            if reply.startswith(READ_BACK):
                self.tally.again["read back"] += 1
                back = plain(spoken(reply.removeprefix(READ_BACK).partition(",")[0]))
                reply = self._answer("yes" if back in (plain(spoken(words)), plain(saying)) else "no", voice)
            if same(reply, wanted):
                self._last = reply
                return
            if reply.casefold().endswith("digit by digit."):
                self.tally.again["digits"] += 1
                saying = digit_by_digit(words)
                continue
            self.tally.again["said again" if reply else "ignored"] += 1
            harmless = not reply or reply == before or reply.startswith(NOTHING_DONE) or SAY_IT_AGAIN in reply
            assert harmless, f"{words!r} was answered {reply!r}, wanted {wanted!r}"
        raise AssertionError(f"{words!r} was not understood in {TRIES} tries")

    def _answer(self, words: str, voice: str) -> str:
        """Says it and hears the answer out; empty where it was taken for talk."""
        self.tally.spoken += 1
        self._loudspeaker.forget()
        self._technician.say(words, voice)
        reply = self._technician.wait(lambda line: line.get("what") in ("reply", "ignored"), f"answer to {words!r}")
        text = reply["text"] if reply["what"] == "reply" else self._technician.next_reply(within_s=2)
        print(f"{time.monotonic() - self._began:7.1f} s  {voice:18} {words!r} -> {text or reply!r}", flush=True)
        if text:
            self._hear_out(text)
        return text

    def _hear_out(self, text: str) -> None:
        if self._headset:
            time.sleep(0.15)
            return
        speech = self._reading_aloud.submit(_read_aloud, text).result()
        self._loudspeaker.until_silent(for_s=0.6, at_most_s=2 * speech.seconds + 10)
        self._compared.append((text, self._comparing.submit(_comes_out, self._loudspeaker.heard(), speech)))

    def not_heard_back(self) -> list[str]:
        """Replies that did not come out of the loudspeaker word for word."""
        self._reading_aloud.shutdown()
        return [text for text, comes_out in self._compared if not comes_out.result()]


def _read_aloud(text: str) -> Speech:
    return Espeak().render(speakable(text), SPEED_WPM)


def _comes_out(heard: Samples, speech: Speech) -> bool:
    return says(_at_ear_rate(heard), speech)


def _at_ear_rate(sound: Samples) -> Samples:
    return np.asarray(soxr.resample(sound, RATE, SAMPLE_RATE), np.float32)


def logged(home: Path) -> list[Event]:
    with Logbook.open(home, read_only=True) as logbook:
        return logbook.events(logbook.find_job().name)


def told(events: list[Event]) -> list[str]:
    """What a script says of events: all but the talk, and the start, which names the vehicle."""
    return [event_in_words(event.body) for event in events[1:] if not isinstance(event.body, UNTOLD)]


def numbers(events: list[Event]) -> list[tuple[str, str, str, str]]:
    """Every torque and every reading, with unit and verdict."""
    bodies: list[Body] = [event.body for event in events]
    return [
        (body.fastener if isinstance(body, Torqued) else body.measure, str(body.value), body.unit, body.verdict)
        for body in bodies
        if isinstance(body, Torqued | Measured)
    ]


def test_the_demo_card_is_begun_by_sound(server: SoundServer, tmp_path: Path) -> None:
    lines, bay = typed(3)
    at_work = _worked(server, tmp_path, lines, headset=False)
    assert at_work.not_heard_back() == []
    assert told(logged(tmp_path)) == told(bay.log)


@pytest.mark.slow
def test_the_demo_card_is_worked_from_first_step_to_finish_by_sound(server: SoundServer, tmp_path: Path) -> None:
    lines, bay = typed()
    began = time.monotonic()
    at_work = _worked(server, tmp_path, lines, headset=True)
    print(f"{at_work.tally} in {time.monotonic() - began:.0f} s")
    events = logged(tmp_path)
    assert numbers(events) == numbers(bay.log)
    assert len(numbers(events)) > 40
    assert told(events) == told(bay.log)
    state = fold(card_named(CARD), events)
    assert state.finished
    assert not blocking(state)
    acted = sum(isinstance(event.body, Said) and event.body.decision == "act" for event in events)
    assert acted >= len(lines)


def _worked(server: SoundServer, home: Path, lines: list[tuple[str, str]], headset: bool) -> AtWork:
    flags: tuple[str, ...] = (
        "--vehicle",
        "carrier 07",
        "--speed",
        str(SPEED_WPM),
        "--verbosity",
        VERBOSITY,
        "--volume",
        "10",
    )
    flags += ("--headset",) if headset else ()
    with (
        server.loudspeaker() as loudspeaker,
        Technician(server, Path(CARD), home, *flags, by_command=True) as technician,
    ):
        at_work = AtWork(technician, loudspeaker, headset)
        at_work.greeted()
        for words, wanted in lines:
            at_work.work(words, wanted)
        if lines[-1][1].startswith("Finished."):
            assert technician.wait_for_end() == 0
    return at_work
