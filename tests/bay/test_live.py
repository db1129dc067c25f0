"""The live path with the readings written down beforehand: who is answered, when the ear is deaf, what is said.

Sound is made of stretches: silence, and speech (a loud tone). The n-th stretch of speech is read as the n-th entry of
the script. The loudspeaker takes a block for every 20 ms of the stream; nothing depends on the wall clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from assistant.dialogue.reply import Outcome, Reply, Sound
from assistant.grammar.request import Request
from assistant.hearing.attention import Mode
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.endpoint import Pauses
from assistant.hearing.frames import FRAME, FRAME_S, Back, CaptureEvent, Frames, Lost, Overrun, StillLost
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Reading, Samples, Utterance
from assistant.live import Bay, Line, Shown
from assistant.settings import EarSettings, SettingsError, VoiceSettings
from assistant.voice.manner import Manner
from assistant.voice.play import Player
from assistant.voice.speak import Speech
from assistant.voice.talk import Voice
from tests.voice.test_play import CountedOutput

T0 = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
SAID_S = 1.0
"""Every reply of the scripted session takes this long to say."""


def said(words: str, request: str = "next", decision: Decision = Decision.ACT, **slots: str) -> Heard:
    return Heard(words, Reading(words.casefold(), Request(request, slots), -0.3), decision=decision)


def talk(words: str) -> Heard:
    return Heard(words, None, decision=Decision.IGNORE)


class Script:
    """A recogniser that reads what stands in the script."""

    name = "script"

    def __init__(self, readings: list[Heard]) -> None:
        self.readings = readings
        self.heard = 0
        self.acceptors: list[object] = []

    def hear(self, utterance: Utterance, acceptor: object, reads: object) -> Heard:
        from dataclasses import replace

        self.acceptors.append(acceptor)
        reading = self.readings[self.heard]
        self.heard += 1
        return replace(reading, start_s=utterance.start_s, end_s=utterance.end_s)


class NoPhrases:
    """An acceptor that knows no letters: nothing can go on, so an utterance ends at its first pause."""

    start = 0

    def __init__(self, named: bool) -> None:
        self.named = named

    def step(self, position: int, letter: str) -> int:
        return 0 if letter != " " else -1

    def may_end(self, position: int) -> bool:
        return True

    def letters(self, position: int) -> str:
        return ""

    def takes_free_words(self, position: int) -> bool:
        return False


@dataclass
class Diary:
    """A session that answers by name of the request and writes down all that it was asked."""

    answers: dict[str, Outcome] = field(default_factory=dict)
    taken: list[tuple[str, str]] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    overheards: list[tuple[str, str]] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    typed: list[str] = field(default_factory=list)
    rings: list[Reply] = field(default_factory=list)
    notes_ended: int = 0
    is_over: bool = False

    def live(self, named: bool) -> Listening:
        return Listening(NoPhrases(named), lambda _: None)

    def take(self, heard: Heard, now: datetime) -> Outcome:
        name = heard.best.request.name if heard.best else heard.decision
        self.taken.append((str(name), heard.free))
        self.decisions.append(heard.decision)
        return self.answers.get(str(name), Outcome(Reply(f"Answer to {name}.")))

    def take_typed(self, text: str, now: datetime) -> Outcome:
        self.typed.append(text)
        return Outcome(Reply(f"Answer to {text}."))

    def overheard(self, heard: Heard, why: str, now: datetime) -> None:
        assert heard.decision is Decision.IGNORE or why
        self.overheards.append((heard.free, str(why)))

    def tell(self, text: str, about: str, now: datetime) -> Reply:
        self.told.append(text)
        return Reply(text)

    def end_note(self, now: datetime) -> Outcome:
        self.notes_ended += 1
        return Outcome(Reply("Noted."))

    def tick(self, now: datetime) -> tuple[Reply, ...]:
        rings, self.rings = self.rings, []
        return tuple(rings)


class Spoken:
    """A second of tone for every text; keeps the texts."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def render(self, text: str, speed_wpm: int = 0, voice: str = "") -> Speech:
        self.texts.append(text)
        return Speech(np.full(round(SAID_S * SAMPLE_RATE), 0.3, np.float32), SAMPLE_RATE)


class Pedal:
    def __init__(self) -> None:
        self.pressed: list[float] = []
        self.typed: list[str] = []
        self.wants_keys = False

    def by_pedal(self, wants_keys: bool) -> None:
        self.wants_keys = wants_keys

    def presses(self) -> list[float]:
        pressed, self.pressed = self.pressed, []
        return pressed

    def lines(self) -> list[str]:
        lines, self.typed = self.typed, []
        return lines


CLOCK_BEGAN = 5000.0


class Bench:
    """A bay whose time is the stream's."""

    def __init__(self, readings: list[Heard], diary: Diary | None = None, **ear: object) -> None:
        self.script, self.diary, self.spoken, self.pedal = Script(readings), diary or Diary(), Spoken(), Pedal()
        self.output = CountedOutput()
        self.lines: list[Line] = []
        self.kept: list[tuple[str, object]] = []
        self.at_s = 0.0
        self._speech = 0.0
        pauses = Pauses(read=0.2, words=0.3, number=0.3, free=0.3, unclear=0.3)
        self.voice = Voice(self.spoken, Player(self.output), Manner())
        self.bay = Bay(
            self.diary,
            Ear(self.script, activity=lambda frame: float(np.abs(frame).max() > 0.05), pauses=pauses),
            self.voice,
            EarSettings(**ear),  # type: ignore[arg-type]
            VoiceSettings(),
            self.pedal,
            self.lines.append,
            lambda option, value: self.kept.append((option, value)),
            lambda: T0 + timedelta(seconds=self.at_s),
        )
        self._taken = 0.0

    def speech(self, seconds: float = 0.8) -> None:
        self._pass(seconds, 0.3)

    def silence(self, seconds: float = 0.6) -> None:
        self._pass(seconds, 0.001)

    def until_said(self) -> None:
        for _ in range(400):
            if not self.voice.player.is_speaking:
                return
            self.silence(0.1)
        raise AssertionError("never silent")

    def event(self, event: CaptureEvent) -> None:
        self.at_s = event.at_s
        self.bay.take(event)

    def _pass(self, seconds: float, level: float) -> None:
        for samples in self._frames(seconds, level):
            while self._taken < self.at_s + FRAME_S:
                if self.output.take is not None:
                    self.output.blocks.append(self.output.take(320, CLOCK_BEGAN + self._taken))
                self._taken += 0.02
            self.bay.take(Frames(samples, self.at_s, CLOCK_BEGAN + self.at_s))
            self.at_s += FRAME_S

    def _frames(self, seconds: float, level: float) -> Iterator[Samples]:
        for _ in range(round(seconds / FRAME_S)):
            phase = (self.at_s * SAMPLE_RATE + np.arange(FRAME)) / SAMPLE_RATE
            yield (level * np.sin(2 * np.pi * 300 * phase)).astype(np.float32)

    def loud_since(self, blocks: int) -> int:
        """Blocks of 20 ms that sounded, after the first `blocks`."""
        return sum(float(np.abs(block).max()) > 1e-4 for block in self.output.blocks[blocks:])


def test_a_request_is_answered_aloud_shown_and_taken_once() -> None:
    bench = Bench([said("What is next")])
    bench.speech()
    bench.silence()
    assert bench.diary.taken == [("next", "What is next")]
    assert bench.spoken.texts == ["Answer to next."]
    assert [(line.what, line.text) for line in bench.lines] == [
        (Shown.HEARD, "what is next"),
        (Shown.REPLY, "Answer to next."),
    ]
    bench.until_said()
    assert bench.loud_since(0) * 0.02 == pytest.approx(SAID_S, abs=0.05)


def test_a_radio_is_logged_and_answered_by_nothing_at_all() -> None:
    bench = Bench([talk("And now the weather")])
    bench.speech(2.0)
    bench.silence(1.0)
    assert bench.diary.taken == []
    assert bench.diary.overheards == [("And now the weather", "the ear takes it for other talk")]
    assert bench.spoken.texts == []
    assert bench.loud_since(0) == 0


def test_our_own_voice_from_a_loudspeaker_is_never_heard() -> None:
    """While it speaks, and while the room rings on, loud sound in the microphone is no utterance."""
    bench = Bench([said("What is next"), said("Done", "done")])
    bench.speech()
    bench.silence(0.4)
    assert bench.voice.player.is_speaking
    bench.speech(SAID_S + 0.2)  # the loudspeaker, heard by the microphone
    bench.silence(1.0)
    assert bench.diary.taken == [("next", "What is next")]
    assert bench.script.heard == 1
    bench.speech()
    bench.silence()
    assert bench.diary.taken[1] == ("done", "Done"), "and hears again afterwards"


def test_with_a_headset_the_next_request_cuts_the_reply_and_the_cut_is_quick() -> None:
    bench = Bench([said("What is next"), said("Done", "done")], headset=True)
    bench.speech()
    bench.silence(0.4)
    before = len(bench.output.blocks)
    bench.speech(0.6)
    assert bench.loud_since(before) * 0.02 <= 0.150
    bench.silence(0.3)
    assert bench.diary.taken[-1] == ("done", "Done")
    bench.until_said()
    assert bench.spoken.texts == ["Answer to next.", "Answer to done."]
    spoken_blocks = bench.loud_since(before) * 0.02
    assert spoken_blocks == pytest.approx(SAID_S, abs=0.25), "the old reply is not taken up again"


def test_with_a_headset_talk_that_is_not_ours_only_holds_the_reply() -> None:
    bench = Bench([said("What is next"), talk("Pass me that")], headset=True)
    bench.speech()
    bench.silence(0.4)
    before = len(bench.output.blocks)
    bench.speech(0.6)
    assert bench.loud_since(before) * 0.02 <= 0.150
    bench.silence(0.5)
    bench.until_said()
    assert bench.diary.taken == [("next", "What is next")]
    assert bench.loud_since(before) * 0.02 == pytest.approx(SAID_S, abs=0.2), "its sentence is said from the start"


def test_with_a_headset_a_cough_holds_the_reply_for_a_moment_only() -> None:
    bench = Bench([said("What is next")], headset=True)
    bench.speech()
    bench.silence(0.4)
    bench.speech(0.07)
    assert bench.voice.player.playlist.is_held
    bench.silence(3.0)
    assert not bench.voice.player.playlist.is_held
    bench.until_said()
    assert bench.diary.taken == [("next", "What is next")]


def test_with_a_headset_it_falls_silent_at_the_first_stir_and_goes_on_after_a_knock() -> None:
    bench = Bench([said("What is next")], headset=True)
    bench.speech()
    bench.silence(0.4)
    bench.speech(FRAME_S)
    assert bench.voice.player.is_held, "one frame is enough"
    bench.silence(0.2)
    assert bench.voice.player.is_held
    bench.silence(0.1)
    assert not bench.voice.player.is_held
    assert bench.voice.player.is_speaking
    bench.until_said()
    assert bench.diary.taken == [("next", "What is next")]


def test_with_a_headset_knocks_without_end_do_not_make_it_stammer() -> None:
    bench = Bench([said("What is next")], headset=True)
    bench.speech()
    bench.silence(0.4)
    for _ in range(3):
        bench.speech(FRAME_S)
        assert bench.voice.player.is_held
        bench.silence(0.35)
    bench.speech(FRAME_S)
    assert not bench.voice.player.is_held
    bench.until_said()


def test_with_a_headset_a_chatterer_cannot_keep_it_from_ending() -> None:
    bench = Bench([said("What is next"), *[talk("And so on")] * 3], headset=True)
    bench.speech()
    bench.silence(0.4)
    for _ in range(3):
        bench.speech(0.5)
        bench.silence(0.45)
    bench.speech(1.5)
    assert not bench.voice.player.is_speaking
    assert bench.diary.taken == [("next", "What is next")]


def test_stop_talking_says_nothing_and_stops() -> None:
    diary = Diary({"stop": Outcome(Reply(""), manner={"stop": "1"})})
    bench = Bench([said("What is next"), said("Stop talking", "stop")], diary, headset=True)
    bench.speech()
    bench.silence(0.4)
    bench.speech(0.5)
    bench.silence(0.5)
    assert not bench.voice.player.is_speaking
    assert bench.spoken.texts == ["Answer to next."]


def test_louder_takes_hold_with_the_answer_and_is_kept() -> None:
    diary = Diary({"louder": Outcome(Reply("Louder."), manner={"volume": "+1"})})
    bench = Bench([said("Louder", "louder")], diary)
    bench.speech()
    bench.silence()
    assert bench.kept == [("voice.volume", 9)]
    assert max(np.abs(block).max() for block in bench.output.blocks) == pytest.approx(
        0.3 * Manner(volume=9).gain, rel=0.01
    )


def test_a_settings_file_that_cannot_be_written_stops_no_job() -> None:
    def refuse(option: str, value: object) -> None:
        raise SettingsError(f"mara.toml: cannot be written. {option} holds for this run only.")

    bench = Bench([said("Louder", "louder")], Diary({"louder": Outcome(Reply("Louder."), manner={"volume": "+1"})}))
    bench.bay._keep = refuse
    bench.speech()
    bench.silence()
    assert bench.voice.manner.volume == 9
    assert [line.text for line in bench.lines if line.what is Shown.TROUBLE] == [
        "mara.toml: cannot be written. voice.volume holds for this run only."
    ]


def test_by_name_the_grammar_wants_the_name_outside_the_window_only() -> None:
    bench = Bench(
        [said("What is next"), said("Jericho what is next"), said("Done", "done")], attention="name", name="Jericho"
    )
    for _ in range(3):
        bench.speech()
        bench.silence()
        bench.until_said()
    assert [acceptor.named for acceptor in bench.script.acceptors] == [True, True, False]  # type: ignore[attr-defined]
    assert bench.diary.overheards == [("What is next", "name not said")]
    assert [name for name, _ in bench.diary.taken] == ["next", "done"]


def test_the_name_alone_is_answered_by_the_small_sound() -> None:
    bench = Bench([talk("Jericho"), said("Done", "done")], attention="name", name="jericho")
    bench.speech()
    bench.silence()
    assert bench.diary.taken == []
    assert 0 < bench.loud_since(0) * 0.02 < 0.2
    bench.speech()
    bench.silence()
    assert bench.diary.taken == [("done", "Done")]


def test_the_pedal_opens_the_ear_and_shuts_us_up() -> None:
    bench = Bench([said("Next"), said("Next"), said("Done", "done")], attention="pedal")
    assert bench.pedal.wants_keys
    bench.speech()
    bench.silence()
    assert bench.diary.taken == []
    bench.pedal.pressed.append(CLOCK_BEGAN + bench.at_s)
    bench.speech()
    bench.silence(0.4)
    assert bench.voice.player.is_speaking
    bench.pedal.pressed.append(CLOCK_BEGAN + bench.at_s)
    bench.silence(0.1)
    assert not bench.voice.player.is_speaking
    bench.silence(0.4)
    bench.speech()
    bench.silence()
    assert [name for name, _ in bench.diary.taken] == ["next", "done"]


def test_the_way_of_attention_changes_by_voice_and_is_kept() -> None:
    diary = Diary({"attention": Outcome(Reply("Listening while the pedal is down."), manner={"attention": "pedal"})})
    bench = Bench([said("Pedal mode", "attention")], diary)
    bench.speech()
    bench.silence()
    assert bench.bay.attention.mode is Mode.PEDAL
    assert bench.pedal.wants_keys
    assert bench.kept == [("ear.attention", "pedal")]


def test_asleep_nothing_is_answered_until_woken() -> None:
    diary = Diary(
        {
            "sleep": Outcome(Reply("Asleep."), manner={"sleep": "1"}),
            "wake": Outcome(Reply("Awake."), manner={"sleep": "0"}),
        }
    )
    bench = Bench([said("Sleep", "sleep"), said("Next"), said("Wake up", "wake"), said("Next")], diary)
    for _ in range(4):
        bench.speech()
        bench.silence()
        bench.until_said()
        bench.silence(0.5)
    assert [name for name, _ in diary.taken] == ["sleep", "wake", "next"]
    assert diary.overheards == [("Next", "asleep")]


def test_everything_in_a_note_is_note_and_the_pause_ends_it() -> None:
    bench = Bench([said("Take a note", "note"), talk("The seal weeps"), said("Done", "done"), said("Next")])
    bench.speech()
    bench.silence()
    bench.until_said()
    bench.silence(0.5)
    for _ in range(2):
        bench.speech()
        bench.silence(0.8)
    assert bench.diary.taken[1:] == [("reason", "The seal weeps"), ("continue-note", "Done")]
    assert bench.spoken.texts == ["Answer to note."], "nothing is said into a dictation"
    bench.silence(7.0)
    assert bench.diary.notes_ended == 1
    assert bench.spoken.texts[-1] == "Noted."
    bench.speech()
    bench.silence()
    assert bench.diary.taken[-1] == ("next", "Next")


def test_end_note_ends_it() -> None:
    bench = Bench([said("Take a note", "note"), said("End note", "end-note"), said("Next")])
    for _ in range(3):
        bench.speech()
        bench.silence()
        bench.until_said()
        bench.silence(0.5)
    assert [name for name, _ in bench.diary.taken] == ["note", "end-note", "next"]
    assert bench.diary.notes_ended == 0


def test_a_timer_waits_for_the_speaker_and_goes_before_the_answer() -> None:
    bench = Bench([said("What is next")])
    bench.speech(0.3)
    bench.diary.rings.append(Reply("The glue timer is over.", Sound.TIMER))
    bench.speech(0.5)
    assert bench.spoken.texts == []
    bench.silence()
    assert sorted(bench.spoken.texts) == ["Answer to next.", "The glue timer is over."]


def test_a_timer_rings_while_the_microphone_is_lost() -> None:
    bench = Bench([])
    bench.event(Lost(1.0, "The microphone gives no sound any more."))
    bench.diary.rings.append(Reply("The glue timer is over.", Sound.TIMER))
    bench.event(StillLost(1.5))
    assert "The glue timer is over." in bench.spoken.texts


def test_a_microphone_lost_in_mid_word_acts_on_nothing_and_is_told_aloud_and_on_the_log() -> None:
    bench = Bench([said("Skip", "skip")])
    bench.speech(0.6)
    bench.event(Lost(bench.at_s, "The microphone gives no sound any more. Check its plug."))
    assert bench.diary.taken == []
    assert bench.diary.overheards == [("Skip", "microphone lost")]
    assert bench.diary.told == ["The microphone gives no sound any more. Check its plug."]
    assert bench.spoken.texts == bench.diary.told
    bench.event(Back(bench.at_s + 9, 9.0))
    assert bench.diary.told[-1] == "The microphone is back. 9 seconds were not heard."


def test_an_utterance_with_a_hole_is_asked_for_again() -> None:
    bench = Bench([said("Torqued to sixty", "torqued")])
    bench.speech(0.5)
    bench.event(Overrun(bench.at_s, 2.0))
    bench.speech(0.5)
    bench.silence()
    assert bench.diary.taken == [("torqued", "Torqued to sixty")]
    assert bench.diary.told == ["2 seconds of sound were lost. What was said then was not heard."]
    assert bench.diary.decisions == [Decision.AGAIN]


def test_a_muted_microphone_is_told_once_in_ten_minutes() -> None:
    bench = Bench([])
    for _ in range(round(30 / FRAME_S)):
        bench.bay.take(Frames(np.zeros(FRAME, np.float32), bench.at_s, CLOCK_BEGAN + bench.at_s))
        bench.at_s += FRAME_S
    assert len(bench.diary.told) == 1
    assert "muted" in bench.diary.told[0]
    assert bench.spoken.texts == bench.diary.told


def test_a_typed_line_is_taken_as_well() -> None:
    bench = Bench([])
    bench.pedal.typed.append("what is left")
    bench.silence(0.5)
    assert bench.diary.typed == ["what is left"]
    assert bench.spoken.texts == ["Answer to what is left."]


def test_a_loudspeaker_that_goes_is_told_and_logged() -> None:
    bench = Bench([])
    bench.output.gone = True
    bench.silence(0.5)
    bench.silence(2.0)
    assert len(bench.diary.told) == 1
    assert "text goes on" in bench.diary.told[0]


def test_at_the_end_of_a_recording_the_last_words_count_and_a_note_is_closed() -> None:
    bench = Bench([said("Take a note", "note"), talk("The seal weeps")])
    bench.speech()
    bench.silence()
    bench.until_said()
    bench.silence(0.5)
    bench.speech()
    bench.bay.end()
    assert bench.diary.taken[-1] == ("reason", "The seal weeps")
    assert bench.diary.notes_ended == 1
