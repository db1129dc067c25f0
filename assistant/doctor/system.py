"""Which system this is, and the exact commands that mend sound on it (common practice of each system)."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path


class System(StrEnum):
    DEBIAN = "Debian"
    UBUNTU = "Ubuntu"
    FEDORA = "Fedora"
    MACOS = "macOS"
    WINDOWS = "Windows"
    OTHER = "this system"


@dataclass(frozen=True, slots=True)
class Mends:
    """What to do on one system, each a command or a way through its settings."""

    portaudio: str
    audio_group: str
    microphone: str
    """Allow the microphone, or find out why none is listed."""
    loudspeaker: str


_APT = Mends(
    portaudio="sudo apt-get install libportaudio2 libasound2-plugins",
    audio_group="sudo usermod -aG audio $USER  (then log out and in)",
    microphone="pactl list short sources  (package pulseaudio-utils); unmute with: "
    "pactl set-source-mute @DEFAULT_SOURCE@ 0",
    loudspeaker="pactl list short sinks; unmute with: pactl set-sink-mute @DEFAULT_SINK@ 0",
)
MENDS: dict[System, Mends] = {
    System.DEBIAN: _APT,
    System.UBUNTU: _APT,
    System.FEDORA: Mends(
        portaudio="sudo dnf install portaudio alsa-plugins-pulseaudio",
        audio_group="sudo usermod -aG audio $USER  (then log out and in)",
        microphone="wpctl status; unmute with: wpctl set-mute @DEFAULT_AUDIO_SOURCE@ 0",
        loudspeaker="wpctl status; unmute with: wpctl set-mute @DEFAULT_AUDIO_SINK@ 0",
    ),
    System.MACOS: Mends(
        portaudio="pip install --force-reinstall sounddevice",
        audio_group="",
        microphone="System Settings > Privacy & Security > Microphone: allow the terminal, then start it again",
        loudspeaker="System Settings > Sound > Output: choose the loudspeaker and raise its volume",
    ),
    System.WINDOWS: Mends(
        portaudio="pip install --force-reinstall sounddevice",
        audio_group="",
        microphone="start ms-settings:privacy-microphone  (let desktop apps use the microphone)",
        loudspeaker="start ms-settings:sound  (choose the output and raise its volume)",
    ),
    System.OTHER: Mends(
        portaudio="install PortAudio (libportaudio2, portaudio) with your package tool",
        audio_group="sudo usermod -aG audio $USER  (then log out and in)",
        microphone="see that a microphone is plugged in, chosen and not muted in the system's sound settings",
        loudspeaker="see that a loudspeaker is plugged in, chosen and not muted in the system's sound settings",
    ),
}


def this_system(platform: str = sys.platform, release: Path = Path("/etc/os-release")) -> System:
    """By platform, and on Linux by os-release(5): ID, else ID_LIKE."""
    if platform == "darwin":
        return System.MACOS
    if platform == "win32":
        return System.WINDOWS
    try:
        lines = release.read_text(encoding="utf-8").splitlines()
    except OSError:
        return System.OTHER
    fields = dict(line.split("=", 1) for line in lines if "=" in line)
    kinds = [fields.get("ID", "").strip('"'), *fields.get("ID_LIKE", "").strip('"').split()]
    for kind in kinds:
        for system in (System.DEBIAN, System.UBUNTU, System.FEDORA):
            if kind == system.lower():
                return system
        if kind in ("rhel", "centos"):
            return System.FEDORA
    return System.OTHER
