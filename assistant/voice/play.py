"""From samples to the loudspeaker: where blocks go, and the player that feeds them.

We play in small blocks ourselves, because speech must stop the moment somebody asks for it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import soundfile
import soxr

from assistant import devices
from assistant.devices import DeviceError, Kind
from assistant.dialogue.reply import Sound
from assistant.voice.errors import NoLoudspeaker
from assistant.voice.playlist import Piece, Playlist, Priority, Samples
from assistant.voice.sounds import small_sound
from assistant.voice.speak import Speech
from assistant.voice.steady import Steady

BLOCK_S = 0.01
LATENCY_S = (0.06, 0.1)
"""Asked of the device: what an answer waits in its buffer, and what sounds on where a cut cannot drop it. The longer
is taken once the shorter has run dry on a busy machine, which breaks up the words."""
RAN_DRY = 2
"""Times, after which the longer buffer is taken at the next silence."""
SILENT_AFTER_S = 3.0
"""A loudspeaker that takes no block for this long is gone."""
_STARTS_WITHIN_S = 5.0
"""A sound server may sleep over its own buffer before it takes the second block."""

Take = Callable[[int, float], Samples]
"""How many samples, and the clock's time at which they sound -> the samples."""


class Output(Protocol):
    """Where blocks go."""

    @property
    def rate(self) -> int:
        """Hz."""
        ...

    def open(self, take: Take) -> None:
        """Begins to take blocks. Raises DeviceError or NoLoudspeaker."""
        ...

    def cut(self) -> None:
        """Drops what was taken but has not sounded yet, as far as the device lets one."""
        ...

    @property
    def drops_s(self) -> float:
        """Seconds of what was taken that a `cut` drops; 0 where all of it sounds on."""
        ...

    def close(self) -> None: ...

    @property
    def is_taking(self) -> bool:
        """False once the device is gone."""
        ...


class DeviceOutput:
    """A loudspeaker of the machine. It takes blocks of silence too, so that speech begins without delay."""

    def __init__(self, wanted: str = "", rate: int | None = None) -> None:
        """`wanted` is a number, a name or part of one, or empty for the default. Raises DeviceError."""
        self._wanted = wanted
        self._asked_rate = rate
        self._stream: Any = None
        self._last_block_s = 0.0
        self._last_loud_s = 0.0
        self._leave: Callable[[], None] = lambda: None
        self._latency = 0
        self._ran_dry = 0
        self._steady = Steady(0.0)
        device = devices.find(wanted, Kind.LOUDSPEAKER)
        self.name = device.name
        self._rate = rate or device.rate

    @property
    def rate(self) -> int:
        return self._rate

    def open(self, take: Take) -> None:
        sd = devices.sound_system()
        if self._wants_a_longer_buffer:
            self._latency, self._ran_dry = self._latency + 1, 0
        latency_s = LATENCY_S[self._latency]

        def fill(out: Any, count: int, stamps: Any, status: Any) -> None:
            now = time.monotonic()
            sounding = now - self._last_loud_s < BLOCK_S + latency_s
            if sounding and (status or now - self._last_block_s > BLOCK_S + latency_s):
                self._ran_dry += 1
            self._last_block_s = max(now, self._last_block_s)
            ahead = stamps.outputBufferDacTime - stamps.currentTime
            if not self._steady.keeps(now, bool(status)):
                out[:] = 0
                return
            block = take(count, now + (ahead if 0 < ahead < 2 else latency_s))
            if block.any():
                self._last_loud_s = now
            out[:, 0] = block

        with devices.using():
            device = devices.find(self._wanted, Kind.LOUDSPEAKER)
            self.name = device.name
            try:
                self._stream = sd.OutputStream(
                    samplerate=self._rate,
                    blocksize=round(BLOCK_S * self._rate),
                    device=device.number,
                    channels=1,
                    dtype="float32",
                    latency=latency_s,
                    callback=fill,
                )
                self._steady = Steady(time.monotonic())
                self._stream.start()
            except (sd.PortAudioError, ValueError) as error:
                self._stream = None
                raise devices.explain(error, device.name, Kind.LOUDSPEAKER, self._rate) from error
            self._last_block_s = time.monotonic() + _STARTS_WITHIN_S - SILENT_AFTER_S
            self._leave = devices.hold_stream(self._release, self._is_sounding)

    @property
    def drops_s(self) -> float:
        stream = self._stream
        return float(stream.latency) if stream is not None else 0.0

    def cut(self) -> None:
        """Some 5 ms, and silent in 10: the buffer is thrown away, and taken up again empty."""
        stream = self._stream
        if stream is None or time.monotonic() - self._last_loud_s > stream.latency + BLOCK_S:
            return
        sd = devices.sound_system()
        with devices.using():
            try:
                stream.abort()
                self._steady = Steady(time.monotonic())
                stream.start()
            except sd.PortAudioError:
                self._release()

    def close(self) -> None:
        self._leave()
        self._release()

    @property
    def is_taking(self) -> bool:
        return self._is_alive and (not self._wants_a_longer_buffer or self._is_sounding())

    @property
    def _is_alive(self) -> bool:
        stream = self._stream
        return stream is not None and bool(stream.active) and time.monotonic() - self._last_block_s < SILENT_AFTER_S

    @property
    def _wants_a_longer_buffer(self) -> bool:
        return self._ran_dry >= RAN_DRY and self._latency + 1 < len(LATENCY_S)

    def _is_sounding(self) -> bool:
        return self._is_alive and time.monotonic() - self._last_loud_s < SILENT_AFTER_S

    def _release(self) -> None:
        with devices.using():
            stream, self._stream = self._stream, None
            if stream is not None:
                stream.close(ignore_errors=True)


class SoundFileOutput:
    """A sound file in place of a loudspeaker; time goes on when `advance` is called."""

    def __init__(self, path: Path, rate: int = 22_050) -> None:
        self._rate = rate
        self._path = path
        self._take: Take | None = None
        self._written = 0
        self._file: soundfile.SoundFile | None = None

    @property
    def rate(self) -> int:
        return self._rate

    def open(self, take: Take) -> None:
        try:
            self._file = soundfile.SoundFile(self._path, "w", samplerate=self._rate, channels=1, subtype="PCM_16")
        except (OSError, RuntimeError) as error:
            raise NoLoudspeaker(
                f"The sound of the replies cannot be written to {self._path} ({error}). Name another file."
            ) from error
        self._take = take

    def advance(self, to_s: float) -> None:
        """Writes up to `to_s` seconds from the file's beginning; silence where nothing is said."""
        block = round(BLOCK_S * self._rate)
        while self._take is not None and self._file is not None and self._written + block <= to_s * self._rate:
            self._file.write(self._take(block, self._written / self._rate))
            self._written += block

    def cut(self) -> None:
        return

    @property
    def drops_s(self) -> float:
        return 0.0

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
        self._file = self._take = None

    @property
    def is_taking(self) -> bool:
        return self._take is not None


class NoOutput:
    """No loudspeaker: whatever is said counts as said at once."""

    rate = 22_050
    is_taking = True
    drops_s = 0.0

    def open(self, take: Take) -> None:
        return

    def cut(self) -> None:
        return

    def close(self) -> None:
        return


class Player:
    """Says pieces one after the other; stops, holds and goes on at once. Half duplex is told by `sounded_within`."""

    def __init__(self, output: Output, gain: float = 0.5) -> None:
        """Opens the output. Raises DeviceError or NoLoudspeaker."""
        self._output = output
        self._gain = gain
        self.playlist = Playlist(output.rate)
        self._trouble: str | None = None
        output.open(self._take)

    @property
    def is_silent(self) -> bool:
        """True where there is nothing to hear us with."""
        return isinstance(self._output, NoOutput)

    @property
    def is_speaking(self) -> bool:
        return self.playlist.is_speaking

    @property
    def is_held(self) -> bool:
        return self.playlist.is_held

    def say(self, speech: Speech, text: str = "", priority: Priority = Priority.ANSWER) -> None:
        """Puts a rendered text in line."""
        if self.is_silent:
            return
        samples, rate = speech.samples, self._output.rate
        if rate != speech.rate and len(samples):
            samples = soxr.resample(samples, speech.rate, rate, quality="HQ")
        sentences = tuple(min(start * rate // speech.rate, max(len(samples) - 1, 0)) for start in speech.sentences)
        self.playlist.add(Piece(samples, text, priority, sentences))

    def sound(self, sound: Sound, priority: Priority = Priority.ANSWER) -> None:
        """Puts one of the small sounds in line."""
        if not self.is_silent:
            self.playlist.add(Piece(small_sound(sound, self._output.rate), "", priority))

    def stop(self) -> tuple[str, ...]:
        """Silent at once; returns the texts that were not said whole. Alerts that wait are still said."""
        unsaid = self.playlist.stop(faded=not self._output.drops_s)
        self._output.cut()
        return unsaid

    def hold(self) -> None:
        """Silent at once, until `go_on`, `take_up` or `stop`."""
        self.playlist.hold(self._output.drops_s)
        self._output.cut()

    def go_on(self) -> None:
        """From the sentence that was cut."""
        self.playlist.go_on()

    def take_up(self) -> None:
        """From the word that was cut."""
        self.playlist.take_up()

    def set_gain(self, gain: float) -> None:
        """Takes effect with the next block, in the midst of a word if need be."""
        self._gain = gain

    def sounded_within(self, begin_s: float, end_s: float) -> bool:
        """True if the loudspeaker sounded between two times of the clock that the output stamps its blocks with."""
        return self.playlist.sounded_within(begin_s, end_s)

    def watch(self) -> str | None:
        """To be called now and then: notices a loudspeaker that went or came back; a sentence when that changes."""
        if self._output.is_taking:
            return None
        try:
            self._output.close()
            self._output.open(self._take)
        except (DeviceError, NoLoudspeaker) as trouble:
            if self._trouble is not None:
                return None
            self._trouble = str(trouble)
            return f"The loudspeaker is gone: the text goes on without sound. {trouble}"
        was, self._trouble = self._trouble, None
        return "The loudspeaker is back." if was is not None else None

    def wait_until_said(self, at_most_s: float) -> bool:
        """Waits for the queue to run dry; False if it had not by then."""
        end = time.monotonic() + at_most_s
        while self.is_speaking and self._output.is_taking:
            if time.monotonic() > end:
                return False
            time.sleep(BLOCK_S)
        time.sleep(max(LATENCY_S))
        return True

    def close(self) -> None:
        self._output.close()

    def _take(self, count: int, at_s: float) -> Samples:
        loud: Samples = np.clip(self.playlist.take(count, at_s) * np.float32(self._gain), -1.0, 1.0)
        return loud
