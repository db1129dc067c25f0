"""What can be looked at without a word being said. Each check gives findings and never raises."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from assistant import devices
from assistant.devices import Device, DeviceError, Kind, NoSoundSystem
from assistant.doctor.finding import Finding, State
from assistant.doctor.system import MENDS, System
from assistant.hearing.attention import fault_of_name
from assistant.hearing.errors import HearingError
from assistant.settings import Held
from assistant.voice.errors import VoiceError
from assistant.voice.speak import Espeak

ENOUGH_DISK_BYTES = 500_000_000
"""A long job with all its clips takes some tens of megabytes."""


def sound_findings(held: Held, system: System, all_devices: Callable[[], list[Device]]) -> Iterator[Finding]:
    """PortAudio, microphone, loudspeaker, and on Linux the right to use the sound card."""
    mends = MENDS[system]
    try:
        found = all_devices()
    except NoSoundSystem as trouble:
        yield Finding("sound system", State.BAD, str(trouble).split(". Mend")[0] + ".", mends.portaudio)
        return
    yield Finding("sound system", State.GOOD, f"PortAudio is there and lists {_count(len(found), 'device')}.")
    settings = held.settings
    lacks_one = False
    for kind, wanted, option, mend in (
        (Kind.MICROPHONE, settings.ear.microphone, "ear.microphone", mends.microphone),
        (Kind.LOUDSPEAKER, settings.voice.loudspeaker, "voice.loudspeaker", mends.loudspeaker),
    ):
        try:
            device = devices.pick(found, wanted, kind)
        except DeviceError as trouble:
            origin = held.origin(option)
            where = f" (set in {origin.where})" if wanted and origin.where else ""
            yield Finding(kind, State.BAD, f"{trouble}{where}", mend)
            lacks_one = True
        else:
            yield Finding(kind, State.GOOD, f"{device.name}, number {device.number}, {device.rate} Hz ({device.host}).")
    if lacks_one and sys.platform.startswith("linux"):
        yield from permission_findings(system)


def permission_findings(
    system: System,
    sound_folder: Path = Path("/dev/snd"),
    may_use: Callable[[Path], bool] = lambda path: os.access(path, os.R_OK | os.W_OK),
) -> Iterator[Finding]:
    """Linux: whether there is a sound card, and whether this user may use it."""
    cards = sorted(sound_folder.glob("pcm*")) if sound_folder.is_dir() else []
    if not cards:
        yield Finding(
            "permission",
            State.UNKNOWN,
            "Linux shows no sound card of its own (a sound server or a Bluetooth headset may still bring one).",
            "see the card with: cat /proc/asound/cards",
        )
        return
    denied = [card for card in cards if not may_use(card)]
    if denied:
        yield Finding(
            "permission",
            State.BAD,
            f"There is a sound card, but you may not use it ({denied[0]}).",
            MENDS[system].audio_group,
        )
    else:
        yield Finding("permission", State.GOOD, "You may use the sound card.")


def voice_findings(held: Held) -> Iterator[Finding]:
    """Whether text can be spoken, with the voice that is set."""
    wanted = held.settings.voice.voice
    try:
        espeak = Espeak()
        speech = espeak.render("Ready.", held.settings.voice.speed, wanted)
    except VoiceError as trouble:
        mend = "pip install --force-reinstall espeakng-loader pyttsx3"
        if "no voice called" in str(trouble):
            mend = "choose another voice.voice; `bay doctor --voices` lists them"
        yield Finding("voice", State.BAD, str(trouble), mend)
        return
    yield Finding("voice", State.GOOD, f"espeak speaks with {wanted} ({speech.rate} Hz).")


def engine_findings(held: Held, check: Callable[[Held], str]) -> Iterator[Finding]:
    """`check` proves the engine's model whole and says what it is; raises HearingError."""
    try:
        yield Finding("engine", State.GOOD, check(held))
    except HearingError as trouble:
        says, _, mend = str(trouble).partition("; run: ")
        yield Finding("engine", State.BAD, says, mend)


def builtin_or_vosk(held: Held) -> str:
    """What the engine of the settings is, once its model is proved whole."""
    ear = held.settings.ear
    if ear.engine == "builtin" or (ear.engine == "auto" and not ear.model):
        from assistant.hearing.speech_model import SHA256, checked, model_folder

        folder = model_folder()
        files = checked(folder)
        size = sum(path.stat().st_size for path in files.values()) / 1e6
        return f"builtin English, {len(SHA256)} files whole ({size:.0f} MB, SHA-256 checked) in {folder}."
    from assistant.hearing import models

    return f"vosk with the model in {models.find(ear.model)}."


def log_findings(held: Held, home: Path, free: Callable[[Path], int] | None = None) -> Iterator[Finding]:
    """Whether the logbook can be written, and has room."""
    there = home
    while not there.exists() and there != there.parent:
        there = there.parent
    if not os.access(there, os.W_OK):
        yield Finding("logbook", State.BAD, f"{home} cannot be written.", "set log.home (BAY_HOME) to another folder")
        return
    left = (free or (lambda path: shutil.disk_usage(path).free))(there)
    if left < ENOUGH_DISK_BYTES:
        yield Finding(
            "disk", State.POOR, f"Only {left / 1e6:.0f} MB are free for the logbook in {home}.", "free some space there"
        )
    else:
        yield Finding("disk", State.GOOD, f"{left / 1e9:.0f} GB are free for the logbook in {home}.")


def name_findings(held: Held, phrases: Sequence[str]) -> Iterator[Finding]:
    """Whether the name that it answers to is a good one."""
    ear = held.settings.ear
    if ear.attention != "name" and not ear.name:
        return
    if not ear.name:
        yield Finding(
            "name", State.BAD, "Attention is by name, but no name is set.", 'set ear.name, for instance to "capricorn"'
        )
        return
    fault = fault_of_name(ear.name, frozenset(phrases))
    if fault:
        yield Finding("name", State.POOR, fault, "set ear.name to another; say it in the sound check to try it")
    else:
        yield Finding("name", State.GOOD, f"{ear.name!r} is unlike anything else that can be said.")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
