"""A sound system of the test's own: a null sink stands for the microphone, another for the loudspeaker.

Each is the only sink of a PulseAudio server of its own: a server with a second device would move the streams of a
device that is pulled out to the other one, and the plug would never be missed. The servers run in a folder of their
own and touch no sound server that the machine may have. PortAudio reaches them through ALSA's pulse plugin; it is
told by environment variables that must be set before PortAudio is first opened, so whatever is to use the sound
system runs as a process with `environment`.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import tempfile
import threading
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
ROOM_NOISE_DB = -65.0
"""RMS of the noise that is always in the microphone, dB re full scale."""
_SINK = "bay"
_FORMAT = ["--raw", "--format=float32le", f"--rate={RATE}", "--channels=1"]

_ASOUNDRC = """
pcm.bay_out {{ type pulse server "unix:{loudspeaker}" }}
pcm.bay_in {{ type pulse server "unix:{microphone}" }}
pcm.!default {{ type asym playback.pcm bay_out capture.pcm bay_in }}
pcm.bay_headset {{
  type asym playback.pcm bay_out capture.pcm bay_in
  hint {{ show on description "Bay headset" }}
}}
"""


def missing() -> str:
    """What this machine lacks for it, as Debian packages; empty where it has all."""
    commands = (("pulseaudio", "pulseaudio"), ("pulseaudio-utils", "pactl"))
    lacks = [package for package, command in commands if shutil.which(command) is None]
    plugins = (
        Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so"),
        Path("/usr/lib64").glob("alsa-lib/libasound_module_pcm_pulse.so"),
    )
    if not any(any(found) for found in plugins):
        lacks.append("libasound2-plugins")
    try:
        from assistant import devices

        devices.sound_system()
    except devices.DeviceError:
        lacks.append("libportaudio2")
    return ", ".join(lacks)


class _Pulse:
    """One PulseAudio server with at most one null sink."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self._folder = folder
        self.socket = folder / "native"
        self._module = ""
        self._process = subprocess.Popen(
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
                f"module-native-protocol-unix auth-anonymous=1 socket={self.socket}",
            ],
            env={
                **os.environ,
                "HOME": str(folder),
                "XDG_RUNTIME_DIR": str(folder),
                "XDG_CONFIG_HOME": str(folder / "config"),
                "PULSE_RUNTIME_PATH": str(folder),
                "PULSE_STATE_PATH": str(folder),
                "PULSE_SERVER": "",
            },
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=(folder / "server.log").open("w"),
        )
        self._await()

    @property
    def environment(self) -> dict[str, str]:
        return {**os.environ, "PULSE_SERVER": f"unix:{self.socket}", "PULSE_COOKIE": str(self._folder / "cookie")}

    def control(self, *words: str) -> str:
        """One `pactl` command."""
        done = subprocess.run(
            ["pactl", *words], env=self.environment, capture_output=True, text=True, timeout=10, check=True
        )
        return done.stdout.strip()

    def plug_in(self) -> None:
        self._module = self.control(
            "load-module", "module-null-sink", f"sink_name={_SINK}", f"rate={RATE}", "channels=1"
        )

    def pull_out(self) -> None:
        self.control("unload-module", self._module)

    def start(self, command: str, *words: str, **pipes: object) -> subprocess.Popen[bytes]:
        """`pacat`, `parec` or `paplay` on this server; pipes not named go nowhere."""
        nowhere = subprocess.DEVNULL
        streams = {"stdin": nowhere, "stdout": nowhere, "stderr": nowhere, **pipes}
        return subprocess.Popen([command, *words], env=self.environment, **streams)  # type: ignore[call-overload,no-any-return]

    def close(self) -> None:
        self._process.terminate()
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(5)

    def _await(self) -> None:
        end = time.monotonic() + 10
        while time.monotonic() < end and self._process.poll() is None:
            try:
                self.control("info")
            except subprocess.CalledProcessError:
                time.sleep(0.05)
            else:
                return
        self.close()
        raise RuntimeError(f"The sound server does not start: {(self._folder / 'server.log').read_text()}")


class Loudspeaker:
    """What comes out of the loudspeaker, as it comes: for somebody who waits until it has spoken."""

    LOUD = 0.003
    """Full scale; what the null sink gives between two sounds is far below."""

    def __init__(self, recorder: subprocess.Popen[bytes]) -> None:
        self._recorder = recorder
        self._lock = threading.Lock()
        self._blocks: list[Samples] = []
        self._silent_since: float | None = None
        threading.Thread(target=self._listen, daemon=True).start()

    def forget(self) -> None:
        """What was heard up to now; `heard` and `until_silent` begin anew."""
        with self._lock:
            self._blocks = []
            self._silent_since = None

    def heard(self) -> Samples:
        """All since the last `forget`, mono at RATE."""
        with self._lock:
            return np.concatenate([*self._blocks, np.zeros(0, np.float32)])

    def until_silent(self, for_s: float, at_most_s: float) -> None:
        """Until something has sounded and has been silent for so long. Raises RuntimeError if nothing of it comes."""
        end = time.monotonic() + at_most_s
        while time.monotonic() < end:
            with self._lock:
                since = self._silent_since
            if since is not None and time.monotonic() - since > for_s:
                return
            time.sleep(0.02)
        raise RuntimeError(f"The loudspeaker was not heard out in {at_most_s:.0f} s")

    def _listen(self) -> None:
        assert self._recorder.stdout is not None
        while block := self._recorder.stdout.read(RATE // 50 * 4):
            sound = np.frombuffer(block, np.float32)
            with self._lock:
                self._blocks.append(sound)
                if np.abs(sound).max() > self.LOUD:
                    self._silent_since = time.monotonic()


class SoundServer:
    """A microphone that others speak into, and a loudspeaker that others record."""

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="bay-sound-"))
        self._microphone = _Pulse(self._folder / "microphone")
        self._loudspeaker = _Pulse(self._folder / "loudspeaker")
        asoundrc = _ASOUNDRC.format(microphone=self._microphone.socket, loudspeaker=self._loudspeaker.socket)
        (self._folder / "asoundrc").write_text(asoundrc)
        self._others: list[subprocess.Popen[bytes]] = []
        self.plug_in_loudspeaker()
        self.plug_in_microphone()

    @property
    def environment(self) -> dict[str, str]:
        """For the process under test."""
        return {"ALSA_CONFIG_PATH": f"/usr/share/alsa/alsa.conf:{self._folder / 'asoundrc'}"}

    def plug_in_microphone(self) -> None:
        self._microphone.plug_in()
        self._fill_the_room()

    def pull_out_microphone(self) -> None:
        self._microphone.pull_out()

    def plug_in_loudspeaker(self) -> None:
        self._loudspeaker.plug_in()

    def pull_out_loudspeaker(self) -> None:
        self._loudspeaker.pull_out()

    def speak(self, samples: Samples, rate: int = RATE) -> subprocess.Popen[bytes]:
        """Plays into the microphone; returns at once."""
        file = self._folder / f"played-{time.monotonic_ns()}.raw"
        np.asarray(samples, np.float32).tofile(file)
        form = [word if not word.startswith("--rate") else f"--rate={rate}" for word in _FORMAT]
        return self._microphone.start("paplay", "-d", _SINK, *form, str(file))

    @contextmanager
    def echo(self) -> Iterator[None]:
        """What the loudspeaker plays also reaches the microphone, as in a room: at once, and no later after an hour.

        The two servers have clocks of their own. Joined by a plain pipe the echo came later and later, seconds of it
        after a minute; so what the microphone cannot take at once is dropped.
        """
        listen = ["-d", f"{_SINK}.monitor", *_FORMAT, "--latency-msec=20"]
        heard = self._loudspeaker.start("parec", *listen, stdout=subprocess.PIPE)
        play = ["-d", _SINK, *_FORMAT, "--latency-msec=20"]
        played = self._microphone.start("pacat", *play, stdin=subprocess.PIPE)
        assert heard.stdout is not None
        assert played.stdin is not None
        source, air = heard.stdout, played.stdin.fileno()
        fcntl.fcntl(air, fcntl.F_SETPIPE_SZ, 4096)
        os.set_blocking(air, False)

        def carry() -> None:
            while block := source.read(RATE // 100 * 4):
                try:
                    os.write(air, block)
                except BlockingIOError:
                    continue
                except OSError:
                    return

        carrier = threading.Thread(target=carry, daemon=True)
        carrier.start()
        try:
            yield
        finally:
            for process in (heard, played):
                process.terminate()
                process.wait(5)
            carrier.join(5)

    @contextmanager
    def loudspeaker(self) -> Iterator[Loudspeaker]:
        """The loudspeaker, listened to while it plays."""
        listen = ["-d", f"{_SINK}.monitor", *_FORMAT, "--latency-msec=20"]
        recorder = self._loudspeaker.start("parec", *listen, stdout=subprocess.PIPE)
        try:
            yield Loudspeaker(recorder)
        finally:
            recorder.terminate()
            recorder.wait(5)

    @contextmanager
    def record_loudspeaker(self) -> Iterator[list[Samples]]:
        """Records what the loudspeaker plays; the list holds the sound, mono at RATE, once the block has ended."""
        with self._record(self._loudspeaker) as (heard, _):
            yield heard

    @contextmanager
    def record_both(self) -> Iterator[tuple[list[Samples], list[Samples], list[float]]]:
        """Microphone and loudspeaker, and the monotonic clock at which each recording began (good to some 40 ms)."""
        with self._record(self._microphone) as (spoken, one), self._record(self._loudspeaker) as (heard, other):
            yield spoken, heard, [one, other]

    @contextmanager
    def _record(self, server: _Pulse) -> Iterator[tuple[list[Samples], float]]:
        into = self._folder / f"recorded-{time.monotonic_ns()}.raw"
        heard: list[Samples] = []
        with into.open("wb") as file:
            listen = ["-d", f"{_SINK}.monitor", *_FORMAT, "--latency-msec=20"]
            recorder = server.start("parec", *listen, stdout=file)
            while not into.stat().st_size and recorder.poll() is None:
                time.sleep(0.005)
            began = time.monotonic() - into.stat().st_size / 4 / RATE
            try:
                yield heard, began
            finally:
                recorder.terminate()
                recorder.wait(5)
        heard.append(np.fromfile(into, np.float32))

    def close(self) -> None:
        for other in self._others:
            other.kill()
            other.wait(5)
        self._microphone.close()
        self._loudspeaker.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def __enter__(self) -> SoundServer:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _fill_the_room(self) -> None:
        """Plays quiet noise into the microphone for good: a microphone in a room is never digitally silent."""
        noise = np.random.default_rng(1).standard_normal(RATE) * 10 ** (ROOM_NOISE_DB / 20)
        second = noise.astype(np.float32).tobytes()
        room = self._microphone.start("pacat", "-d", _SINK, *_FORMAT, stdin=subprocess.PIPE)
        self._others.append(room)

        def play() -> None:
            assert room.stdin is not None
            try:
                while True:
                    room.stdin.write(second)
            except (BrokenPipeError, ValueError):
                return

        threading.Thread(target=play, daemon=True).start()
