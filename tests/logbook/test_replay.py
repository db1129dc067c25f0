"""A job told again, by scripted keys and at a clock that does not really wait."""

from __future__ import annotations

import dataclasses
from datetime import UTC, datetime

import numpy as np
import pytest

from assistant.job.events import Answered, Noted, StepSkipped
from assistant.logbook.aloud import Loudspeaker
from assistant.logbook.replay import Line, lines_of, replay
from assistant.logbook.terminal import as_text
from assistant.voice.speak import Speech


class Booth:
    """Screen, keys and sound in one; writes down what happens in order."""

    def __init__(self, *pressed: str, searches: tuple[str, ...] = ()) -> None:
        self.pressed, self.searches = list(pressed), list(searches)
        self.seen: list[str] = []
        self.waits: list[float] = []

    def line(self, line: Line) -> None:
        self.seen.append(line.text)

    def remark(self, text: str) -> None:
        self.seen.append(f"[{text}]")

    def ask(self, prompt: str) -> str:
        return self.searches.pop(0)

    def keys(self, wait_s: float) -> str:
        self.waits.append(wait_s)
        return self.pressed.pop(0) if self.pressed else ""

    def clip(self, sha256: str) -> None:
        self.seen.append(f"<clip {sha256[:4]}>")

    def speak(self, text: str) -> None:
        self.seen.append(f"<spoken {text}>")


def name(thing: str) -> str:
    return thing.replace("-", " ")


@pytest.fixture
def lines(bench, worked):
    return lines_of(bench.events(worked), name)


def test_the_conversation_is_told_with_what_came_of_it(lines):
    assert [(line.who, line.text) for line in lines] == [
        ("", "job begun: Gearbox out and back, revision 3, FC-204"),
        ("Mara", "begin"), ("bay", "Step 1: chock the wheels."),
        ("Mara", "done"), ("bay", "Step 2."),
        ("Mara", "torqued flywheel bolts"), ("bay", "65 N·m, 6 5."), ("", "flywheel bolts: 65 N·m"),
        ("Ivo", "take a note"), ("bay", "Noted."), ("", "pilot bearing feels rough"),
    ]  # fmt: skip
    assert [line.gap_s for line in lines][:4] == [0, 60, 0, 60]


def test_only_what_is_asked_for_is_told(bench, worked):
    def texts(*only: str) -> list[str]:
        return [line.text for line in lines_of(bench.events(worked), name, only=only)]

    assert texts("torque") == ["flywheel bolts: 65 N·m"]
    assert texts("note") == ["pilot bearing feels rough"]
    assert texts("override") == []


def test_skipped_steps_come_with_the_overrides(bench, worked, at):
    with bench.resume(worked) as job:
        job.append([StepSkipped("drain", "dry already")], at(40), "Ivo", "drain")
    told = lines_of(bench.events(worked), name, only=("override",))
    assert [line.text for line in told] == ["drain skipped: dry already"]


def test_it_begins_at_a_step(bench, worked):
    assert lines_of(bench.events(worked), name, from_step="flywheel")[0].text == "torqued flywheel bolts"


def test_it_runs_to_the_end_by_itself(lines):
    booth = Booth()
    replay(lines, booth, booth.keys)
    assert booth.seen == [line.text for line in lines]


def test_long_silences_are_told_short_and_faster_is_shorter(lines):
    slow, fast = Booth(), Booth()
    replay(lines, slow, slow.keys, speed=1)
    replay(lines, fast, fast.keys, speed=4)
    assert max(slow.waits) == 3.0
    assert max(fast.waits) == 0.75


def test_space_holds_until_space(lines):
    booth = Booth("", " ", "", " ", "q")
    replay(lines, booth, booth.keys)
    assert booth.seen == [lines[0].text, lines[1].text, "[held: space goes on]", "[going on]", lines[2].text]


def test_left_is_the_line_before_and_right_the_next_at_once(lines):
    booth = Booth("right", "right", "left", "left", "left", "q")
    replay(lines, booth, booth.keys)
    assert booth.seen == [lines[n].text for n in (0, 1, 2, 1, 0, 0)]


def test_up_and_down_change_the_speed_within_its_limits(lines):
    booth = Booth("up", "up", *["down"] * 9, "q")
    replay(lines, booth, booth.keys)
    assert booth.seen[1:3] == ["[speed 2]", "[speed 4]"]
    assert booth.seen[-1] == "[speed 0.25]"


def test_a_search_goes_to_the_hit_and_holds_there(lines):
    booth = Booth("/", "n", "q", searches=("BEARING",))
    replay(lines, booth, booth.keys)
    assert booth.seen == [lines[0].text, "pilot bearing feels rough", "[nothing more with 'BEARING']"]


def test_with_sound_clips_are_played_and_replies_spoken(lines):
    booth = Booth()
    replay(lines[1:3], booth, booth.keys, aloud=booth)
    assert booth.seen == ["begin", f"<clip {lines[1].clip[:4]}>", lines[2].text, f"<spoken {lines[2].text}>"]


def test_what_would_steer_a_terminal_is_taken_out(bench, start, said, at):
    with start(bench) as job:
        job.append([said("a\x1b[2Jb\x07", "c\x9b31m\r\nd"), Noted("e\u202ef"), Answered("g\x00h")], at(1), "M\x1bra")
    for line in lines_of(bench.events(job.name), name):
        assert line.text.isprintable(), line.text
        assert line.who.isprintable()


class Deck:
    """Takes what a loudspeaker would sound."""

    def __init__(self) -> None:
        self.taken: list[Speech] = []

    def say(self, speech: Speech) -> None:
        self.taken.append(speech)

    def wait_until_said(self, at_most_s: float) -> bool:
        assert at_most_s > self.taken[-1].seconds
        return True


def test_aloud_the_clip_is_the_sound_that_was_kept_and_the_reply_is_spoken(bench, worked, lines, hum):
    deck = Deck()
    aloud = Loudspeaker(bench, deck)
    aloud.clip(lines[1].clip)
    aloud.speak("Flywheel bolts: 65 N·m, 6 5.")
    aloud.clip("0" * 64)
    kept, spoken = deck.taken
    assert np.abs(kept.samples - hum(110)).max() < 1e-4, "16-bit FLAC loses nothing beyond its last bit"
    assert kept.rate == 16_000
    assert spoken.seconds > 1.0
    assert aloud.lacks == 1, "a clip that retention removed is passed over and counted"


def test_a_long_reply_is_set_in_under_its_first_word():
    words = "Step 7: Pull the wear wire. Hang the hook, take out both caliper pin bolts, and hang the caliper up."
    line = Line(3, datetime(2026, 3, 2, 7, 5, tzinfo=UTC), 0.0, "bay", words, "reply", "pads", "", "")
    first, *rest = as_text(line, UTC, 60).plain.splitlines()
    assert first.startswith("07:05:00       bay  Step 7:")
    assert rest
    assert all(each.startswith(" " * 20) and each[20] != " " and len(each) <= 60 for each in rest)


def test_a_gap_over_midnight_names_the_day():
    line = Line(3, datetime(2026, 3, 3, 1, 5, tzinfo=UTC), 7200.0, "Mara", "resume", "heard", "pads", "act", "")
    assert ", 3 March 2026)" in as_text(line, UTC).plain
    by_day = dataclasses.replace(line, at=datetime(2026, 3, 3, 8, 5, tzinfo=UTC))
    assert "March" not in as_text(by_day, UTC).plain
