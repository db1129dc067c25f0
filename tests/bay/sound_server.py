"""A sound server of the test's own: a null sink stands for the microphone, another for the loudspeaker.

It runs in a folder of its own and touches no sound server that the machine may have. PortAudio reaches it through
ALSA's pulse plugin; both are told by environment variables, which must be set before PortAudio is first opened: so
whatever uses the sound server runs as a process with `environment`.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

RATE = 48_000
"""Hz, of both sinks: not the ear's rate, so that resampling is on the way."""
MICROPHONE, LOUDSPEAKER = "bay_microphone", "bay_loudspeaker"

_ASOUNDRC = """
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.bay_headset { type pulse hint { show on description "Bay headset" } }
"""


def missing() -> str:
    """What this machine lacks for a sound server; empty where it has all."""
    lacks = [
        package
        for package, command in (("pulseaudio", "pulseaudio"), ("pulseaudio-utils", "pactl"))
        if shutil.which(command) is None
    ]
    plugins = [
        Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so"),
        Path("/usr/lib64").glob("alsa-lib/libasound_module_pcm_pulse.so"),
    ]
    if not any(any(found) for found in plugins):
        lacks.append("libasound2-plugins")
    try:
        from assistant import devices

        devices.sound_system()
    except devices.DeviceError:
        lacks.append("libportaudio2")
    return ", ".join(lacks)


class SoundServer:
    """PulseAudio with two null sinks. What is played into the microphone is heard by whoever listens to it."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="bay-sound-"))
        (self._folder / "asoundrc").write_text(_ASOUNDRC)
        self._socket = self._folder / "native"
        self._modules: dict[str, str] = {}
        self._server = subprocess.Popen(
            [
                "pulseaudio",
                "-n",
                "--daemonize=no",
                "--use-pid-file=no",
                "--exit-idle-time=-1",
                "--disallow-exit",
                "--system=no",
                "--log-level=error",
                "--high-priority=no",
                "--realtime=no",
                "--load",
                f"module-native-protocol-unix auth-anonymous=1 socket={self._socket}",
            ],
            env={**os.environ, **self._private, "PULSE_SERVER": ""},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=(self._folder / "server.log").open("w"),
        )
        self._await()
        self.plug_in_loudspeaker()
        self.plug_in_microphone()

    @property
    def _private(self) -> dict[str, str]:
        return {
            "HOME": str(self._folder),
            "XDG_RUNTIME_DIR": str(self._folder),
            "XDG_CONFIG_HOME": str(self._folder / "config"),
            "PULSE_RUNTIME_PATH": str(self._folder),
            "PULSE_STATE_PATH": str(self._folder),
        }

    @property
    def environment(self) -> dict[str, str]:
        """For the process under test."""
        return {
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_COOKIE": str(self._folder / "cookie"),
            "ALSA_CONFIG_PATH": f"/usr/share/alsa/alsa.conf:{self._folder / 'asoundrc'}",
            "PULSE_SOURCE": f"{MICROPHONE}.monitor",
            "PULSE_SINK": LOUDSPEAKER,
        }

    def plug_in_microphone(self) -> None:
        self._load(MICROPHONE)

    def pull_out_microphone(self) -> None:
        self._unload(MICROPHONE)

    def plug_in_loudspeaker(self) -> None:
        self._load(LOUDSPEAKER)

    def pull_out_loudspeaker(self) -> None:
        self._unload(LOUDSPEAKER)

    def speak(self, samples: Samples, rate: int = RATE) -> subprocess.Popen[bytes]:
        """Plays into the microphone; returns at once."""
        return self._play(samples, rate, MICROPHONE)

    @contextmanager
    def echo(self) -> Iterator[None]:
        """What the loudspeaker plays also reaches the microphone, as in a room."""
        number = self.control(
            "load-module", "module-loopback", f"source={LOUDSPEAKER}.monitor", f"sink={MICROPHONE}", "latency_msec=20"
        )
        try:
            yield
        finally:
            self.control("unload-module", number)

    @contextmanager
    def record_loudspeaker(self) -> Iterator[list[Samples]]:
        """Records what the loudspeaker plays; the list holds the sound, mono at RATE, once the block has ended."""
        into = self._folder / f"recorded-{time.monotonic_ns()}.raw"
        heard: list[Samples] = []
        with into.open("wb") as file:
            recorder = subprocess.Popen(
                [
                    "parec",
                    "-d",
                    f"{LOUDSPEAKER}.monitor",
                    "--format=float32le",
                    f"--rate={RATE}",
                    "--channels=1",
                    "--latency-msec=20",
                ],
                env={**os.environ, **self.environment},
                stdin=subprocess.DEVNULL,
                stdout=file,
                stderr=subprocess.DEVNULL,
            )
            while not into.stat().st_size and recorder.poll() is None:
                time.sleep(0.01)
            try:
                yield heard
            finally:
                recorder.terminate()
                recorder.wait(5)
        heard.append(np.fromfile(into, np.float32))

    def control(self, *words: str) -> str:
        """One `pactl` command."""
        done = subprocess.run(
            ["pactl", *words],
            env={**os.environ, **self.environment},
            capture_output=True,
            text=True,
            timeout=10,
            check=True,
        )
        return done.stdout.strip()

    def close(self) -> None:
        self._server.terminate()
        try:
            self._server.wait(5)
        except subprocess.TimeoutExpired:
            self._server.kill()
            self._server.wait(5)
        shutil.rmtree(self._folder, ignore_errors=True)

    def __enter__(self) -> SoundServer:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _play(self, samples: Samples, rate: int, sink: str) -> subprocess.Popen[bytes]:
        file = self._folder / f"played-{time.monotonic_ns()}.raw"
        np.asarray(samples, np.float32).tofile(file)
        return subprocess.Popen(
            ["paplay", "-d", sink, "--raw", "--format=float32le", f"--rate={rate}", "--channels=1", str(file)],
            env={**os.environ, **self.environment},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def _load(self, sink: str) -> None:
        self._modules[sink] = self.control(
            "load-module", "module-null-sink", f"sink_name={sink}", f"rate={RATE}", "channels=1"
        )

    def _unload(self, sink: str) -> None:
        self.control("unload-module", self._modules.pop(sink))

    def _await(self) -> None:
        end = time.monotonic() + 10
        while time.monotonic() < end:
            try:
                self.control("info")
            except subprocess.CalledProcessError:
                if self._server.poll() is not None:
                    break
                time.sleep(0.05)
            else:
                return
        log = (self._folder / "server.log").read_text()
        self.close()
        raise RuntimeError(f"The sound server does not start: {log}")
