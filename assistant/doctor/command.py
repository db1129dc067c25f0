"""`bay doctor`: runs the checks, leads through the sound check, prints or gives JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from assistant import devices
from assistant.devices import DeviceError
from assistant.doctor.checks import (
    builtin_or_vosk,
    engine_findings,
    log_findings,
    name_findings,
    sound_findings,
    voice_findings,
)
from assistant.doctor.finding import Finding, State, as_json, verdict
from assistant.doctor.sound_check import findings_of, meter_line, sound_check
from assistant.doctor.system import System, this_system
from assistant.hearing.capture import DeviceSource, Microphone
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.level import Level
from assistant.hearing.recogniser import Recogniser
from assistant.settings import Held
from assistant.voice.speak import Espeak
from assistant.voice.talk import open_voice

_MARKS = {State.GOOD: "good   ", State.POOR: "poor   ", State.BAD: "BAD    ", State.UNKNOWN: "unknown"}


def still_findings(
    held: Held,
    home: Path,
    phrases: tuple[str, ...] = (),
    system: System | None = None,
    all_devices: Callable[[], list[devices.Device]] = devices.all_devices,
) -> Iterator[Finding]:
    """All that can be told without a word being said."""
    yield from sound_findings(held, system or this_system(), all_devices)
    yield from voice_findings(held)
    yield from engine_findings(held, builtin_or_vosk)
    yield from log_findings(held, home)
    yield from name_findings(held, phrases)


def doctor(
    held: Held,
    home: Path,
    *,
    recogniser: Callable[[], Recogniser],
    listening: Callable[[], Listening],
    phrases: tuple[str, ...] = (),
    try_sound: bool = True,
    as_object: bool = False,
    out: Callable[[str], None] = print,
) -> int:
    """The command. 0 where one can work by voice, 1 where not.

    `recogniser` is only made, and `listening` only asked, for the sound check; with `as_object` one JSON object is
    printed, and what the person is to do goes to standard error.
    """

    def aside(line: str) -> None:
        if as_object:
            print(line, file=sys.stderr, flush=True)
        else:
            out(line)

    findings: list[Finding] = []

    def found(finding: Finding) -> None:
        findings.append(finding)
        if not as_object:
            out(as_line(finding))

    for finding in still_findings(held, home, phrases):
        found(finding)
    bad = {finding.name for finding in findings if finding.state is State.BAD}
    if try_sound and not bad & {"sound system", "microphone", "engine"}:
        for finding in _by_ear(held, recogniser, listening, aside):
            found(finding)
    end = verdict(findings)
    out(json.dumps(as_json(findings), ensure_ascii=False, indent=2) if as_object else f"\n{end.says}")
    return 1 if end.state is State.BAD else 0


def _by_ear(
    held: Held, recogniser: Callable[[], Recogniser], listening: Callable[[], Listening], say: Callable[[str], None]
) -> Iterator[Finding]:
    settings = held.settings
    microphone = Microphone(DeviceSource(settings.ear.microphone, settings.ear.microphone_rate or None))
    voice, _ = open_voice(settings.manner, settings.voice.loudspeaker, settings.voice.loudspeaker_rate)
    try:
        microphone.open()
        check = sound_check(
            microphone.listen(),
            Ear(recogniser()),
            listening,
            voice,
            say,
            _meter if sys.stderr.isatty() else lambda level: None,
            settings.ear.name if settings.ear.attention == "name" else "",
        )
    except DeviceError as trouble:
        yield Finding("microphone", State.BAD, str(trouble))
        return
    finally:
        microphone.close()
        microphone.source.close()
        voice.close()
    yield from findings_of(check, settings.ear.headset)


def _meter(level: Level) -> None:
    print(f"\r{meter_line(level)}\033[K", end="", file=sys.stderr, flush=True)


def as_line(finding: Finding) -> str:
    """For the screen: state, name, sentence, and on a line of its own what to do."""
    line = f"{_MARKS[finding.state]}  {finding.name}: {finding.says}"
    return f"{line}\n           -> {finding.mend}" if finding.mend else line


def voices() -> list[str]:
    """For `bay doctor --voices`. Raises NoVoice."""
    return Espeak().voices()
