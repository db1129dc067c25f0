"""The voice: espeak from the wheel, through pyttsx3, whole and in memory."""

from __future__ import annotations

import subprocess
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest

from assistant.voice.errors import NoVoice
from assistant.voice.speak import Espeak


@pytest.fixture(scope="module")
def espeak() -> Espeak:
    return Espeak()


def test_a_sentence_comes_back_as_sound_of_its_own_length(espeak: Espeak) -> None:
    short = espeak.render("Next.")
    long = espeak.render("Flywheel bolts, sixty-five newton metres, six five.")
    assert 0.2 < short.seconds < 1.5
    assert 2.5 < long.seconds < 6
    assert np.abs(long.samples).max() > 0.3


def test_two_and_a_half_minutes_of_text_are_whole_when_render_returns(espeak: Espeak) -> None:
    """What pyttsx3's save_to_file does not give: it returns before the sound is there."""
    one = espeak.render("Flywheel bolts, sixty-five newton metres, six five. ")
    forty = espeak.render("Flywheel bolts, sixty-five newton metres, six five. " * 40)
    assert forty.seconds == pytest.approx(40 * one.seconds, rel=0.05)
    assert len(forty.sentences) == 40


def test_sentences_begin_where_the_pause_before_them_ends(espeak: Espeak) -> None:
    """A sentence that was cut into is spoken again from its first word: a value is never spoken half."""
    speech = espeak.render("Stands first. Then the jack. Then the last bolt.")
    assert speech.sentences[0] == 0
    assert len(speech.sentences) == 3
    for start in speech.sentences[1:]:
        before = speech.samples[start - speech.rate // 10 : start]
        assert np.abs(before).max() < 0.02


def test_nothing_to_say_is_no_sound(espeak: Espeak) -> None:
    assert espeak.render(" \0 \n").seconds == 0


def test_faster_is_shorter_and_a_mad_speed_is_clamped(espeak: Espeak) -> None:
    words = "Where are we. Step fourteen of forty-eight."
    slow, fast = espeak.render(words, speed_wpm=120), espeak.render(words, speed_wpm=240)
    assert fast.seconds < 0.75 * slow.seconds
    # 1 % apart from one time to the next, by what was rendered before; 9000 unclamped lasts 0.04 s, 500 a tenth less
    assert espeak.render(words, speed_wpm=9000).seconds == pytest.approx(
        espeak.render(words, speed_wpm=400).seconds, rel=0.03
    )


def test_another_voice_sounds_otherwise_and_an_unknown_one_is_named(espeak: Espeak) -> None:
    assert {"en-us", "en-gb-scotland"} <= set(espeak.voices())
    plain, higher = espeak.render("Torque.", voice="en-us"), espeak.render("Torque.", voice="en-us+f3")
    assert not np.array_equal(plain.samples, higher.samples)
    with pytest.raises(NoVoice, match="'en-atlantis'"):
        espeak.render("Torque.", voice="en-atlantis")


def _afresh(code: str, tmp_path: Path) -> subprocess.CompletedProcess[str]:
    script = tmp_path / "afresh.py"
    script.write_text(textwrap.dedent(code))
    return subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=60, check=False)


def test_no_library_of_the_system_is_used(tmp_path: Path) -> None:
    """Every espeak in the run comes out of the wheel, whether the system has one or not."""
    outcome = _afresh(
        """
        import ctypes, sys
        real = ctypes.CDLL.__init__
        asked = []
        def watch(self, name, *more, **named):
            asked.append(str(name))
            real(self, name, *more, **named)
        ctypes.CDLL.__init__ = watch
        from assistant.voice.speak import Espeak
        speech = Espeak().render("Ready.")
        assert speech.seconds > 0.2
        espeaks = [name for name in asked if "espeak" in name]
        assert len(espeaks) == 1 and "espeakng_loader" in espeaks[0], espeaks
        if sys.platform == "linux":
            mapped = {line.split()[-1] for line in open("/proc/self/maps") if "espeak" in line}
            assert mapped and all("espeakng_loader" in path for path in mapped), mapped
        """,
        tmp_path,
    )
    assert outcome.returncode == 0, outcome.stderr
    assert outcome.stdout == ""


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        ("get_library_path = lambda: '/nowhere/libespeak-ng.so'", "does not load"),
        ("get_data_path = lambda: '/nowhere'", "found no voices in /nowhere"),
    ],
)
def test_a_missing_library_or_voice_folder_is_told_with_its_mend(broken: str, says: str, tmp_path: Path) -> None:
    outcome = _afresh(
        f"""
        import espeakng_loader
        espeakng_loader.{broken}
        from assistant.voice.errors import NoVoice
        from assistant.voice.speak import Espeak
        try:
            Espeak()
        except NoVoice as trouble:
            print(trouble)
        """,
        tmp_path,
    )
    assert outcome.returncode == 0, outcome.stderr
    assert says in outcome.stdout
    assert "pip install --force-reinstall espeakng-loader" in outcome.stdout
    assert "text goes on" in outcome.stdout
