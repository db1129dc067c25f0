"""Microphones and loudspeakers as the machine has them: found by name or number, and what is wrong in plain words.

PortAudio (through sounddevice) keeps the list of devices that it found when it was opened. Finding a device that was
plugged in later means opening it afresh, which ends every stream: whoever holds one registers here and gives it up.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import importlib
import os
import platform
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from types import ModuleType
from typing import Any

from assistant.errors import BayError


class DeviceError(BayError):
    """Base of what can be wrong with a microphone or a loudspeaker. One sentence and what to do."""


class NoSoundSystem(DeviceError):
    """PortAudio is missing or does not start."""


class NoDevice(DeviceError):
    """There is none, or none of that name."""


class DeviceBusy(DeviceError):
    """Another program has it."""


class RateRefused(DeviceError):
    """The device does not run at the rate that was asked for."""


class Kind(StrEnum):
    MICROPHONE = "microphone"
    LOUDSPEAKER = "loudspeaker"


@dataclass(frozen=True, slots=True)
class Device:
    """One sound device, as PortAudio lists it."""

    number: int
    name: str
    host: str
    """Which of the system's ways to sound it belongs to: "ALSA", "Core Audio", "Windows WASAPI", ..."""
    inputs: int
    """Channels."""
    outputs: int
    rate: int
    """Native rate, Hz."""
    is_default_input: bool = False
    is_default_output: bool = False

    def is_a(self, kind: Kind) -> bool:
        return (self.inputs if kind is Kind.MICROPHONE else self.outputs) > 0

    def is_default(self, kind: Kind) -> bool:
        return self.is_default_input if kind is Kind.MICROPHONE else self.is_default_output


PORTAUDIO_MEND = {
    "debian": "sudo apt-get install libportaudio2 libasound2-plugins",
    "fedora": "sudo dnf install portaudio alsa-plugins-pulseaudio",
    "darwin": "brew install portaudio",
    "win32": "pip install --force-reinstall sounddevice",
}
"""How to get PortAudio, by kind of system (common practice; Debian's also serves Ubuntu)."""


_system_lock = threading.RLock()
_handler_kept: list[Any] = []


def sound_system() -> ModuleType:
    """sounddevice, imported only when sound is wanted. Raises NoSoundSystem where PortAudio is missing."""
    with using():
        try:
            if "sounddevice" not in sys.modules:
                _hush_alsa()
                _hush_c_stderr()
            return importlib.import_module("sounddevice")
        except (ImportError, OSError) as error:
            mend = PORTAUDIO_MEND.get(sys.platform, PORTAUDIO_MEND["debian"])
            raise NoSoundSystem(
                f"PortAudio, which reaches the microphone and loudspeaker, is missing ({error}). Mend it with: {mend}. "
                "Until then use --typed or --audio."
            ) from error


def all_devices() -> list[Device]:
    """Every device, in PortAudio's order."""
    sd = sound_system()
    with using():
        hosts = sd.query_hostapis()
        default_input, default_output = _defaults(hosts)
        return [
            Device(
                number=number,
                name=str(raw["name"]),
                host=str(hosts[raw["hostapi"]]["name"]),
                inputs=int(raw["max_input_channels"]),
                outputs=int(raw["max_output_channels"]),
                rate=int(raw["default_samplerate"]),
                is_default_input=number == default_input,
                is_default_output=number == default_output,
            )
            for number, raw in enumerate(sd.query_devices())
        ]


def _defaults(hosts: Sequence[dict[str, Any]]) -> tuple[int, int]:
    inputs = [host["default_input_device"] for host in hosts if host["default_input_device"] >= 0]
    outputs = [host["default_output_device"] for host in hosts if host["default_output_device"] >= 0]
    return (inputs[0] if inputs else -1, outputs[0] if outputs else -1)


def pick(devices: Sequence[Device], wanted: str, kind: Kind) -> Device:
    """The device that `wanted` means: a number, a whole name or part of one, or the default where it is empty.

    Raises NoDevice naming what there is, also where a part of a name fits several different devices.
    """
    able = [device for device in devices if device.is_a(kind)]
    if not able:
        raise NoDevice(f"This machine has no {kind}. Plug one in, or use {_way_round(kind)}.")
    if not wanted:
        return next((device for device in able if device.is_default(kind)), able[0])
    if wanted.isdecimal():
        for device in able:
            if device.number == int(wanted):
                return device
        raise NoDevice(f"No {kind} has the number {wanted}. There are: {_list(able)}.")
    exact = [device for device in able if device.name.casefold() == wanted.casefold()]
    like = exact or [device for device in able if wanted.casefold() in device.name.casefold()]
    if not like:
        raise NoDevice(f"No {kind} is called {wanted!r}. There are: {_list(able)}.")
    if len({device.name for device in like}) > 1:
        raise NoDevice(f"{wanted!r} could be any of these {kind}s: {_list(like)}. Say more of the name, or its number.")
    return next((device for device in like if device.is_default(kind)), like[0])


def find(wanted: str, kind: Kind) -> Device:
    """As `pick`, among the devices of this machine."""
    return pick(all_devices(), wanted, kind)


def _list(devices: Sequence[Device]) -> str:
    return ", ".join(f"{device.number} {device.name!r}" for device in devices)


def _way_round(kind: Kind) -> str:
    return "--typed or --audio" if kind is Kind.MICROPHONE else "the text on the screen; the run goes on"


_RATE_REFUSED, _UNAVAILABLE, _HOST_ERROR, _TIMED_OUT = -9997, -9985, -9999, -9987
_INVALID_DEVICE, _BAD_CHANNELS = -9996, -9998


def explain(error: Exception, name: str, kind: Kind, rate: int) -> DeviceError:
    """What a PortAudio error means for the person: one sentence and what to do."""
    code = error.args[1] if len(error.args) > 1 and isinstance(error.args[1], int) else None
    text = str(error.args[0]) if error.args else str(error)
    busy = "busy" in text.casefold() or "busy" in str(error).casefold()
    if code == _RATE_REFUSED:
        return RateRefused(
            f"The {kind} {name!r} refuses {rate} Hz. Set {_setting(kind)}_rate to a rate it has (often 48000 or 44100)."
        )
    if busy or code in (_UNAVAILABLE, _TIMED_OUT):
        return DeviceBusy(
            f"The {kind} {name!r} is in use by another program, or not ready. Close that program, or choose another "
            f"with {_setting(kind)}; `bay doctor` lists them."
        )
    if code in (_INVALID_DEVICE, _BAD_CHANNELS):
        return NoDevice(f"The {kind} {name!r} is gone or is no {kind}. `bay doctor` lists what there is.")
    return DeviceError(f"The {kind} {name!r} does not open ({text}). `bay doctor` shows what is wrong.")


def _setting(kind: Kind) -> str:
    return "ear.microphone" if kind is Kind.MICROPHONE else "voice.loudspeaker"


@dataclass(frozen=True, slots=True)
class _Holder:
    release: Callable[[], None]
    is_busy: Callable[[], bool]


_holders: list[_Holder] = []


def hold_stream(release: Callable[[], None], is_busy: Callable[[], bool] = lambda: False) -> Callable[[], None]:
    """Registers an open stream: `release` closes it when devices are looked for afresh, which waits while it `is_busy`.

    Returns what deregisters it.
    """
    holder = _Holder(release, is_busy)
    with _system_lock:
        _holders.append(holder)

    def leave() -> None:
        with _system_lock:
            if holder in _holders:
                _holders.remove(holder)

    return leave


def look_again() -> bool:
    """Opens PortAudio afresh, so that devices plugged in since are found. Every registered stream is closed first.

    False, and nothing done, while one of them is busy: nobody's sentence is cut for it.
    """
    sd = sound_system()
    with using():
        if any(holder.is_busy() for holder in _holders):
            return False
        for holder in _holders:
            holder.release()
        _holders.clear()
        sd._terminate()
        sd._initialize()
        return True


@contextmanager
def using() -> Iterator[None]:
    """Streams are opened and closed inside this: PortAudio allows neither from two threads at once.

    Meanwhile the C libraries' remarks on standard error go nowhere: PortAudio writes lines of its own source code
    there for a device that is merely busy, and what matters is in the error that it returns.
    """
    with _system_lock, _hushed():
        yield


@contextmanager
def _hushed() -> Iterator[None]:
    if sys.platform == "win32":
        yield
        return
    try:
        kept = os.dup(2)
    except OSError:  # no standard error at all
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)


def _hush_alsa() -> None:
    """ALSA writes pages of its own trouble to standard error while PortAudio tries each device; none helps anybody."""
    if not sys.platform.startswith("linux"):
        return
    found = ctypes.util.find_library("asound")
    if found is None:
        return
    handler_type = ctypes.CFUNCTYPE(None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p)
    handler = handler_type(lambda *_: None)
    _handler_kept.append(handler)
    try:
        ctypes.CDLL(found).snd_lib_error_set_handler(handler)
    except (OSError, AttributeError):
        return


def _hush_c_stderr() -> None:
    """PortAudio's own threads write lines of its source code to C's `stderr` when a plug is pulled, at any time.

    That one variable is pointed elsewhere. Python writes its errors to the file descriptor, and so do glibc's own
    reports of a crash: all of those still come. Only glibc documents the variable as one that may be assigned to.
    """
    if not sys.platform.startswith("linux") or platform.libc_ver()[0] != "glibc":
        return
    try:
        libc = ctypes.CDLL(None)
        stderr = ctypes.c_void_p.in_dll(libc, "stderr")
        libc.fopen.restype = ctypes.c_void_p
        nowhere = libc.fopen(os.devnull.encode(), b"w")
    except (OSError, ValueError, AttributeError):
        return
    if nowhere:
        stderr.value = nowhere
