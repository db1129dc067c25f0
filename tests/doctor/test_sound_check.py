"""The sound check on made-up rooms: noise, our voice coming back, a sentence."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
import soxr

from assistant.doctor.finding import Finding, State
from assistant.doctor.sound_check import (
    NOISE_S,
    TRIAL,
    SoundCheck,
    findings_of,
    heard_back,
    level_finding,
    meter_line,
    sound_check,
)
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.frames import FRAME, FRAME_S, CaptureEvent, Frames, Lost
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Samples
from assistant.hearing.level import Level
from assistant.voice.manner import Manner
from assistant.voice.play import Player
from assistant.voice.speak import Espeak
from assistant.voice.talk import Voice
from tests.bay.test_live import NoPhrases, Script, said, talk
from tests.voice.test_play import CountedOutput


@pytest.fixture(scope="module")
def trial() -> Samples:
    speech = Espeak().render(TRIAL)
    return np.asarray(soxr.resample(speech.samples, speech.rate, SAMPLE_RATE), np.float32)


def _noise(seconds: float, db: float, seed: int = 1) -> Samples:
    noise = np.random.default_rng(seed).standard_normal(round(seconds * SAMPLE_RATE)) * 10 ** (db / 20)
    return noise.astype(np.float32)


def _hum(seconds: float) -> Samples:
    t = np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    return (0.2 * np.sin(2 * np.pi * 50 * t) + 0.1 * np.sin(2 * np.pi * 150 * t)).astype(np.float32)


@pytest.mark.parametrize("delay_ms", [40, 180, 700])
@pytest.mark.parametrize("echo_db", [0, -12])
def test_our_voice_is_found_in_a_loud_room_with_its_delay(delay_ms: int, echo_db: int, trial: Samples) -> None:
    """A room with two reflections, and noise 6 dB under the voice itself."""
    start = delay_ms * 16
    recorded = _noise(len(trial) / SAMPLE_RATE + 2, -30 + echo_db) + 0.3 * _hum(len(trial) / SAMPLE_RATE + 2)
    for later, gain in ((0, 0.5), (90, 0.2), (400, 0.1)):
        recorded[start + later : start + later + len(trial)] += gain * 10 ** (echo_db / 20) * trial
    found, ms = heard_back(trial, recorded)
    assert found
    assert ms == pytest.approx(delay_ms, abs=2)


def test_noise_hum_and_another_sentence_are_not_our_voice(trial: Samples) -> None:
    seconds = len(trial) / SAMPLE_RATE + 2
    other = Espeak().render(
        "Loosen the eight bolts crosswise, half a turn each, and catch the oil.", voice="en-gb-x-rp"
    )
    elsewhere = np.zeros(round(seconds * SAMPLE_RATE), np.float32)
    elsewhere[4000:][: len(trial)] += soxr.resample(other.samples, other.rate, SAMPLE_RATE)[: len(trial)]
    assert not heard_back(trial, _noise(seconds, -30))[0]
    assert not heard_back(trial, _hum(seconds) + _noise(seconds, -50))[0]
    assert not heard_back(trial, elsewhere + _noise(seconds, -50))[0]
    assert not heard_back(trial, np.zeros(round(seconds * SAMPLE_RATE), np.float32))[0]


class Room:
    """Noise, then speech when asked for; the loudspeaker comes back where `echo` says so."""

    def __init__(self, echo: float, speaks: bool = True, stops_at_s: float = 1e9) -> None:
        self.output = CountedOutput()
        self.echo, self.speaks, self.stops_at_s = echo, speaks, stops_at_s
        self.asked: list[str] = []
        self.levels: list[Level] = []

    def say(self, line: str) -> None:
        self.asked.append(line)

    def events(self) -> Iterator[CaptureEvent]:
        at_s, rest, spoken_s = 0.0, np.zeros(0, np.float32), 0.0
        draw = np.random.default_rng(2)
        while True:
            while len(rest) < FRAME:
                take = self.output.take
                rest = np.concatenate([rest, take(320, at_s) if take else np.zeros(320, np.float32)])
            samples = (self.echo * rest[:FRAME] + draw.standard_normal(FRAME) * 0.002).astype(np.float32)
            rest = rest[FRAME:]
            if self.speaks and len(self.asked) == 3 and spoken_s < 1.0:
                samples += draw.standard_normal(FRAME).astype(np.float32) * 0.1
                spoken_s += FRAME_S
            if at_s > self.stops_at_s:
                yield Lost(at_s, "The microphone gives no sound any more.")
            yield Frames(samples, at_s, at_s)
            at_s += FRAME_S

    def check(self, reading: Heard, name: str = "", loudspeaker: bool = True) -> SoundCheck:
        voice = Voice(Espeak(), Player(self.output, 1.0), Manner(volume=10)) if loudspeaker else None
        ear = Ear(Script([reading] * 3), activity=lambda frame: float(np.sqrt(np.mean(frame**2)) > 0.06))
        return sound_check(
            self.events(),
            ear,
            lambda: Listening(NoPhrases(False), lambda _: None),
            voice,
            self.say,
            self.levels.append,
            name,
        )


def _of(findings: Iterator[Finding], name: str) -> Finding:
    return next(finding for finding in findings if finding.name == name)


def test_a_quiet_room_with_a_headset_is_measured_and_understood() -> None:
    room = Room(echo=0.0)
    check = room.check(said("What is next"))
    assert check.heard_back is False
    assert check.level.noise_db == pytest.approx(-54, abs=1)
    assert check.level.snr_db == pytest.approx(34, abs=2)
    assert len(room.asked) == 3
    assert len(room.levels) > NOISE_S * 9
    found = list(findings_of(check, headset=True))
    assert [finding.state for finding in found] == [State.GOOD] * 3
    assert 'Understood "what is next"' in _of(iter(found), "understood").says
    assert "may be talked over" in _of(iter(found), "heard back").says


def test_a_loudspeaker_in_the_room_is_heard_back_and_a_wrong_headset_setting_told() -> None:
    check = Room(echo=0.15).check(said("What is next"))
    assert check.heard_back is True
    assert _of(findings_of(check, headset=False), "heard back").state is State.GOOD
    told = _of(findings_of(check, headset=True), "heard back")
    assert told.state is State.POOR
    assert "ear.headset to false" in told.mend


def test_without_a_loudspeaker_it_is_not_tried() -> None:
    check = Room(echo=0.0).check(said("What is next"), loudspeaker=False)
    assert check.heard_back is None
    assert _of(findings_of(check, headset=False), "heard back").state is State.UNKNOWN


def test_nobody_speaks() -> None:
    check = Room(echo=0.0, speaks=False).check(said("What is next"))
    assert check.heard is None
    assert _of(findings_of(check, headset=False), "understood").state is State.BAD


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        (said("What is text", decision=Decision.CONFIRM), "not clearly enough"),
        (talk("Hello there"), "nothing that can be asked"),
    ],
)
def test_what_was_heard_is_shown_when_it_was_not_understood(reading: Heard, says: str) -> None:
    finding = _of(findings_of(Room(echo=0.0).check(reading), headset=False), "understood")
    assert finding.state is State.POOR
    assert reading.free in finding.says
    assert says in finding.says


def test_the_name_is_tried_by_ear() -> None:
    known = Room(echo=0.0).check(said("Capricorn, what is next?"), name="capricorn")
    assert known.named is True
    unknown = Room(echo=0.0).check(said("Caffe returns what is next"), name="capricorn")
    assert _of(findings_of(unknown, headset=False), "name").state is State.POOR


def test_a_microphone_that_goes_in_the_midst_of_it_is_told() -> None:
    check = Room(echo=0.0, stops_at_s=2.0).check(said("What is next"))
    assert _of(findings_of(check, headset=False), "microphone").state is State.BAD


def test_levels_are_told_in_figures_with_what_to_do() -> None:
    good = level_finding(Level(-50, -10, -55, -25, 0.0, 0.0, None))
    assert good.says == "Noise -55 dB, speech -25 dB, SNR 30 dB (re full scale)."
    assert good.state is State.GOOD
    muted = level_finding(Level(-120, -120, -120, None, 0.0, 9.0, None))
    assert muted.state is State.BAD
    assert "muted" in muted.mend


def test_the_meter_rises_with_the_level() -> None:
    quiet, loud = (meter_line(Level(db, -3, -60, None, 0, 0, None)) for db in (-60, -10))
    assert quiet.count("█") < loud.count("█")
    assert "noise  -60 dB" in loud
