"""What the doctor finds without a word being said, on machines that are made up."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.devices import Device, NoSoundSystem
from assistant.doctor.checks import (
    engine_findings,
    log_findings,
    name_findings,
    permission_findings,
    sound_findings,
    voice_findings,
)
from assistant.doctor.command import as_line, doctor
from assistant.doctor.finding import Finding, State, as_json, verdict
from assistant.doctor.system import MENDS, System, this_system
from assistant.hearing.errors import ModelError
from assistant.settings import Held, load

HEADSET = Device(3, "Shop Headset USB", "ALSA", 1, 2, 48_000, is_default_input=True, is_default_output=True)
LAMP = Device(4, "Lamp Microphone", "ALSA", 1, 0, 44_100)


def _held(tmp_path: Path, **options: object) -> Held:
    return load({name.replace("__", "."): value for name, value in options.items()}, environ={}, folder=tmp_path)


def _states(findings: list[Finding]) -> dict[str, State]:
    return {finding.name: finding.state for finding in findings}


def test_a_machine_with_a_headset_is_good(tmp_path: Path) -> None:
    found = list(sound_findings(_held(tmp_path), System.DEBIAN, lambda: [HEADSET, LAMP]))
    assert set(_states(found).values()) == {State.GOOD}
    assert "Shop Headset USB, number 3, 48000 Hz" in found[1].says


@pytest.mark.parametrize("system", list(System))
def test_without_portaudio_the_command_of_the_system_is_given(system: System, tmp_path: Path) -> None:
    def none() -> list[Device]:
        raise NoSoundSystem("PortAudio, which reaches the microphone, is missing (not found). Mend it with: ...")

    found = list(sound_findings(_held(tmp_path), system, none))
    assert len(found) == 1
    assert found[0].state is State.BAD
    assert found[0].mend == MENDS[system].portaudio
    assert "Mend" not in found[0].says


def test_every_system_has_a_command_for_every_lack() -> None:
    assert set(MENDS) == set(System)
    for system, mends in MENDS.items():
        assert mends.portaudio
        assert mends.microphone
        assert mends.loudspeaker
        assert bool(mends.audio_group) is (system not in (System.MACOS, System.WINDOWS))
    assert "apt-get install libportaudio2" in MENDS[System.DEBIAN].portaudio
    assert "dnf install portaudio" in MENDS[System.FEDORA].portaudio


def test_a_microphone_that_is_set_and_not_there_is_named_with_where_it_is_set(tmp_path: Path) -> None:
    held = _held(tmp_path, ear__microphone="gooseneck")
    found = list(sound_findings(held, System.FEDORA, lambda: [HEADSET]))
    microphone = next(finding for finding in found if finding.name == "microphone")
    assert microphone.state is State.BAD
    assert "'gooseneck'" in microphone.says
    assert "3 'Shop Headset USB'" in microphone.says
    assert "(set in --microphone)" in microphone.says


def test_a_sound_card_that_the_user_may_not_use_needs_the_group(tmp_path: Path) -> None:
    (tmp_path / "pcmC0D0c").touch()
    denied = list(permission_findings(System.UBUNTU, tmp_path, lambda path: False))
    assert denied[0].state is State.BAD
    assert denied[0].mend.startswith("sudo usermod -aG audio $USER")
    assert next(permission_findings(System.UBUNTU, tmp_path, lambda path: True)).state is State.GOOD
    assert next(permission_findings(System.UBUNTU, tmp_path / "none", lambda path: True)).state is State.UNKNOWN


@pytest.mark.parametrize(
    ("release", "system"),
    [
        ("ID=debian\nVERSION_ID=12\n", System.DEBIAN),
        ('ID=ubuntu\nID_LIKE="debian"\n', System.UBUNTU),
        ("ID=fedora\n", System.FEDORA),
        ('ID=somethingnew\nID_LIKE="ubuntu debian"\n', System.UBUNTU),
        ('ID=other\nID_LIKE="rhel centos fedora"\n', System.FEDORA),
        ("ID=plan9\n", System.OTHER),
    ],
)
def test_the_system_is_known_from_its_release_file(release: str, system: System, tmp_path: Path) -> None:
    (tmp_path / "os-release").write_text(release)
    assert this_system("linux", tmp_path / "os-release") is system


def test_the_other_systems_are_known_from_the_platform(tmp_path: Path) -> None:
    assert this_system("darwin") is System.MACOS
    assert this_system("win32") is System.WINDOWS
    assert this_system("linux", tmp_path / "missing") is System.OTHER


def test_a_voice_that_is_not_there_is_told(tmp_path: Path) -> None:
    assert next(voice_findings(_held(tmp_path))).state is State.GOOD
    missing = next(voice_findings(_held(tmp_path, voice__voice="en-atlantis")))
    assert missing.state is State.BAD
    assert "bay doctor --voices" in missing.mend


def test_a_damaged_model_is_told_with_its_command(tmp_path: Path) -> None:
    def damaged(held: Held) -> str:
        raise ModelError("the model file x is damaged; run: pip install again")

    found = next(engine_findings(_held(tmp_path), damaged))
    assert (found.state, found.says, found.mend) == (
        State.BAD,
        "the model file x is damaged",
        "pip install again",
    )


def test_a_full_disk_is_poor_and_a_folder_of_others_is_bad(tmp_path: Path) -> None:
    held = _held(tmp_path)
    assert next(log_findings(held, tmp_path / "new" / "home", lambda path: 10**9)).state is State.GOOD
    full = next(log_findings(held, tmp_path, lambda path: 10**7))
    assert full.state is State.POOR
    assert "10 MB" in full.says


def test_a_poor_name_is_told(tmp_path: Path) -> None:
    assert list(name_findings(_held(tmp_path), ())) == []
    named = _held(tmp_path, ear__attention="name", ear__name="capricorn")
    assert next(name_findings(named, ("next", "done"))).state is State.GOOD
    assert next(name_findings(_held(tmp_path, ear__attention="name"), ())).state is State.BAD
    near = _held(tmp_path, ear__attention="name", ear__name="finnish")
    assert next(name_findings(near, ("finish",))).state is State.POOR


def test_the_verdict_is_plain_and_names_the_worst() -> None:
    good = Finding("engine", State.GOOD, "Fine.")
    assert verdict([good]).says == "Ready for work by voice."
    assert verdict([good, Finding("level", State.POOR, "Noisy.")]).says == "Ready, but look at: level."
    mute = [good, Finding("microphone", State.BAD, "None."), Finding("loudspeaker", State.BAD, "None.")]
    assert verdict(mute).says == (
        "Not ready for work by voice: microphone and loudspeaker. Until then --typed and --audio work."
    )
    assert "--typed" not in verdict([Finding("engine", State.BAD, "Damaged.")]).says


def test_json_holds_all_and_lines_show_what_to_do() -> None:
    finding = Finding("engine", State.BAD, "Damaged.", "pip install it")
    assert as_json([finding]) == {
        "verdict": {"state": "bad", "says": "Not ready for work by voice: engine."},
        "findings": [{"name": "engine", "state": "bad", "says": "Damaged.", "mend": "pip install it"}],
    }
    assert as_line(finding) == "BAD      engine: Damaged.\n           -> pip install it"


def test_the_command_gives_one_json_object_and_fails_without_a_microphone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:

    def none() -> list[Device]:
        raise NoSoundSystem("PortAudio is missing. Mend it with: ...")

    lines: list[str] = []

    def never() -> object:
        raise AssertionError("no sound check without a sound system")

    from assistant.doctor import command

    monkeypatch.setattr(
        command, "still_findings", lambda held, home, phrases: sound_findings(held, System.DEBIAN, none)
    )
    code = doctor(
        _held(tmp_path),
        tmp_path,
        recogniser=never,  # type: ignore[arg-type]
        listening=never,  # type: ignore[arg-type]
        as_object=True,
        out=lines.append,
    )
    assert code == 1
    assert json.loads("\n".join(lines))["verdict"]["state"] == "bad"


def test_the_builtin_model_is_proved_whole_and_named(tmp_path: Path) -> None:
    from assistant.doctor.checks import builtin_or_vosk

    found = next(engine_findings(_held(tmp_path), builtin_or_vosk))
    assert found.state is State.GOOD
    assert "SHA-256 checked" in found.says
    assert "(0 MB" not in found.says
