"""Reply to sound: small sound, then words; and what happens where one of the two is missing."""

from __future__ import annotations

import numpy as np
import pytest

from assistant import devices
from assistant.dialogue.reply import Reply, Sound
from assistant.voice import talk
from assistant.voice.errors import NoVoice
from assistant.voice.manner import Manner
from assistant.voice.play import NoOutput, Player
from assistant.voice.speak import Espeak, Speech
from assistant.voice.talk import Voice, open_voice
from tests.voice.test_play import CountedOutput


class Recorded:
    """Renders 0.1 s for every text and keeps what it was asked for."""

    def __init__(self, missing: tuple[str, ...] = ()) -> None:
        self.asked: list[tuple[str, int, str]] = []
        self.missing = missing

    def render(self, text: str, speed_wpm: int = 0, voice: str = "") -> Speech:
        self.asked.append((text, speed_wpm, voice))
        if voice in self.missing:
            raise NoVoice(f"There is no voice called {voice!r}.")
        return Speech(np.full(1600, 0.3, np.float32), 16_000)


def _voice(speaker: Recorded | None, manner: Manner | None = None) -> tuple[Voice, CountedOutput]:
    output = CountedOutput()
    return Voice(speaker, Player(output), manner or Manner()), output


def test_what_is_spoken_is_the_spoken_form_in_the_persons_manner() -> None:
    speaker = Recorded()
    voice, _ = _voice(speaker, Manner(speed_wpm=190, voice="en-gb-x-rp"))
    voice.say(Reply("Flywheel bolts: 65 N·m, 6 5.", spoken="flywheel bolts, sixty-five newton metres, six five"))
    voice.say(Reply("Step 2 of 9."))
    assert speaker.asked == [
        ("flywheel bolts, sixty-five newton metres, six five", 190, "en-gb-x-rp"),
        ("Step 2 of 9.", 190, "en-gb-x-rp"),
    ]


def test_the_small_sound_comes_first_and_can_be_turned_off() -> None:
    voice, output = _voice(Recorded())
    voice.say(Reply("Say again.", Sound.NOT_UNDERSTOOD))
    assert voice.player.playlist.waiting_s == pytest.approx(0.37 + 0.1, abs=0.01)
    quiet, _ = _voice(Recorded(), Manner(sounds=False))
    quiet.say(Reply("Say again.", Sound.NOT_UNDERSTOOD))
    assert quiet.player.playlist.waiting_s == pytest.approx(0.1, abs=0.01)
    assert output.run(5).max() > 0.1


def test_an_empty_reply_says_nothing() -> None:
    speaker = Recorded()
    voice, _ = _voice(speaker)
    voice.say(Reply(""))
    assert speaker.asked == []
    assert not voice.player.is_speaking


def test_louder_takes_effect_at_once() -> None:
    voice, output = _voice(Recorded(), Manner(volume=5))
    voice.say(Reply("One."))
    soft = output.run(1).max()
    voice.manner = Manner(volume=6)
    assert output.run(1).max() / soft == pytest.approx(10 ** (3 / 20), rel=0.01)


def test_without_a_speaker_the_small_sounds_remain() -> None:
    voice, output = _voice(None)
    assert voice.say(Reply("Step two.", Sound.HEARD)) is None
    assert output.run(3).max() > 0.1


def test_a_voice_that_is_not_there_is_told_once_and_another_speaks() -> None:
    speaker = Recorded(missing=("en-atlantis",))
    voice, _ = _voice(speaker, Manner(voice="en-atlantis"))
    assert "en-atlantis" in str(voice.say(Reply("One.")))
    assert voice.say(Reply("Two.")) is None
    assert [voice_name for _, _, voice_name in speaker.asked] == ["en-atlantis", "en-us", "en-us"]
    assert voice.player.is_speaking


def test_with_no_loudspeaker_the_run_goes_on_and_it_is_said_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> devices.Device:
        raise devices.NoDevice("This machine has no loudspeaker. Plug one in.")

    monkeypatch.setattr(devices, "find", none)
    voice, missing = open_voice(Manner())
    assert missing is not None
    assert "no loudspeaker" in missing
    assert "shown, not spoken" in missing
    assert voice.say(Reply("Step two.", Sound.HEARD)) is None
    assert not voice.player.is_speaking


def test_with_no_espeak_the_run_goes_on_and_it_is_said_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: Espeak) -> None:
        raise NoVoice("Nothing can be spoken: the espeak-ng library is missing.")

    monkeypatch.setattr(Espeak, "__init__", broken)
    monkeypatch.setattr(talk, "DeviceOutput", lambda *_: NoOutput())
    voice, missing = open_voice(Manner())
    assert missing == "Nothing can be spoken: the espeak-ng library is missing."
    voice.say(Reply("Step two.", Sound.HEARD))
    voice.close(wait_s=0.1)
