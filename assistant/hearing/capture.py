"""From a microphone to frames: never blocking the sound card, noticing a plug that was pulled, and coming back.

`Microphone` is all that others need: `for event in Microphone(DeviceSource("headset")).listen(): ...`
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator
from typing import Any, Protocol

import numpy as np
import soxr

from assistant import devices
from assistant.devices import DeviceError, Kind, RateRefused
from assistant.hearing.frames import FRAME, Back, CaptureEvent, Frames, Lost, Overrun, StillLost
from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.hearing.ring import Ring
from assistant.hearing.stream_time import StreamTime

RING_SAMPLES = 30 * 48_000
"""Native samples kept while nobody takes them: 30 s at 48 kHz."""
SILENT_AFTER_S = 1.0
"""No block for this long: the microphone is gone. Leaves the other second of the two for saying so."""
RETRY_S = 0.5
BLOCK_S = 0.02
_POLL_S = 0.01
OPENINGS = 3
LATENCY_S = (0.1, 0.2, 0.4)
"""Asked of the device, one after the other until it delivers: less stalls on some sound servers from the start."""
_USUAL_RATES = (48_000, 44_100, 16_000)

Deliver = Callable[[Samples, float], None]
"""A block of native samples and the monotonic clock at which its first sample was heard."""


class Source(Protocol):
    """A microphone as its driver gives it."""

    name: str

    def open(self, deliver: Deliver) -> int:
        """Begins to deliver, from a thread of its own; returns the native rate, Hz. Raises DeviceError."""
        ...

    def close(self) -> None: ...

    @property
    def is_delivering(self) -> bool:
        """False once the driver itself knows that the device is gone."""
        ...

    def look_again(self) -> None:
        """Makes the driver notice what was plugged in since; does nothing where that must wait."""
        ...


class DeviceSource:
    """A microphone of the machine, through PortAudio, at its native rate."""

    def __init__(self, wanted: str = "", rate: int | None = None) -> None:
        """`wanted` is a number, a name or part of one, or empty for the default; `rate` forces a rate, Hz."""
        self.name = wanted or "default"
        self._wanted = wanted
        self._asked_rate = rate
        self._stream: Any = None
        self._leave: Callable[[], None] = lambda: None
        self._delivered = True
        self._latency = 0

    def open(self, deliver: Deliver) -> int:
        if not self._delivered:
            self._latency = (self._latency + 1) % len(LATENCY_S)
        self._delivered = False
        with devices.using():
            device = devices.find(self._wanted, Kind.MICROPHONE)
            self.name = device.name
            rates = (self._asked_rate,) if self._asked_rate else dict.fromkeys((device.rate, *_USUAL_RATES))
            refused: DeviceError | None = None
            for rate in rates:
                try:
                    self._stream = self._opened(device, rate, deliver)
                except RateRefused as trouble:
                    refused = refused or trouble
                    continue
                self._leave = devices.hold_stream(self._release)
                return rate
        assert refused is not None
        raise refused

    def close(self) -> None:
        self._leave()
        self._release()

    @property
    def is_delivering(self) -> bool:
        stream = self._stream
        return stream is not None and bool(stream.active)

    def look_again(self) -> None:
        devices.look_again()

    def _opened(self, device: devices.Device, rate: int, deliver: Deliver) -> Any:
        sd = devices.sound_system()

        def take(block: Any, count: int, stamps: Any, _status: Any) -> None:
            ago = stamps.currentTime - stamps.inputBufferAdcTime
            self._delivered = True
            began = ago if 0 < ago < 2 else count / rate
            deliver(block[:, 0], time.monotonic() - began)

        def stream(channels: int) -> Any:
            opened = sd.InputStream(
                samplerate=rate,
                blocksize=round(BLOCK_S * rate),
                device=device.number,
                channels=channels,
                dtype="float32",
                latency=LATENCY_S[self._latency],
                callback=take,
            )
            opened.start()
            return opened

        try:
            return stream(1)
        except sd.PortAudioError as error:
            trouble = devices.explain(error, device.name, Kind.MICROPHONE, rate)
            if device.inputs == 1 or isinstance(trouble, RateRefused):
                raise trouble from error
            try:
                return stream(device.inputs)  # some refuse to give one channel of several
            except sd.PortAudioError:
                raise trouble from error

    def _release(self) -> None:
        with devices.using():
            stream, self._stream = self._stream, None
            if stream is not None:
                stream.close(ignore_errors=True)


class Microphone:
    """Frames of SAMPLE_RATE out of any source, with what was lost and when."""

    def __init__(
        self,
        source: Source,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.source = source
        self._clock = clock
        self._sleep = sleep
        self._opened = self._closed = False
        self._begin_s = 0.0
        self._last_at_s = 0.0
        self._lost_since_s: float | None = None

    def open(self) -> None:
        """Begins to listen. Raises DeviceError where there is nothing to listen with."""
        self._opened = True
        self._begin_s = self._clock()
        for _ in range(OPENINGS):
            self._start()
            if self._delivers():
                return
            self.source.close()
        raise DeviceError(
            f"The microphone {self.source.name!r} opens but gives nothing, not even silence. Another program may hold "
            "it, or the system forbids it: `bay doctor` shows which."
        )

    def listen(self) -> Iterator[CaptureEvent]:
        """Frames, losses and returns, in order and without end until `close`; opens the microphone if need be."""
        if not self._opened:
            self.open()
        try:
            while not self._closed:
                if self._lost_since_s is None:
                    yield from self._hear()
                else:
                    yield from self._come_back()
        finally:
            self.source.close()

    def close(self) -> None:
        """Ends `listen`, from any thread."""
        self._closed = True

    @property
    def backlog_s(self) -> float:
        """Seconds of sound that wait to be taken."""
        return len(self._ring) / self._rate

    def _start(self) -> None:
        ring, stamps = Ring(RING_SAMPLES), deque[tuple[int, float]](maxlen=4096)
        self._ring, self._stamps = ring, stamps
        opened_at = self._clock()
        self._last_block_s = opened_at
        delivered = 0

        def deliver(block: Samples, clock_s: float) -> None:
            nonlocal delivered
            stamps.append((delivered, clock_s))
            delivered += len(block)
            ring.write(block)
            self._last_block_s = self._clock()

        self._rate = self.source.open(deliver)
        self._time = StreamTime(self._rate, opened_at)
        self._native = 0
        self._begin_part()

    def _delivers(self) -> bool:
        """Waits for the first block."""
        opened = self._clock()
        while not len(self._ring) and self._clock() - opened < SILENT_AFTER_S and not self._closed:
            self._sleep(_POLL_S)
        return len(self._ring) > 0

    def _begin_part(self) -> None:
        """A stretch of sound without a hole begins at native sample `_native`."""
        self._resampler = soxr.ResampleStream(self._rate, SAMPLE_RATE, 1, dtype="float32", quality="HQ")
        self._part_native = self._native
        self._part_out = 0
        self._rest: Samples = np.zeros(0, np.float32)

    def _hear(self) -> Iterator[CaptureEvent]:
        while self._stamps:
            before, clock_s = self._stamps.popleft()
            missing_s = self._time.came(before, clock_s)
            if missing_s:
                yield Overrun(self._last_at_s, missing_s)
        part = self._ring.read()
        if part.lost_before:
            yield from self._finish_part()
            yield Overrun(self._at(self._native), part.lost_before / self._rate)
            self._native += part.lost_before
            self._begin_part()
        if len(part.samples):
            self._native += len(part.samples)
            fresh = self._resampler.resample_chunk(np.ascontiguousarray(part.samples))
            yield from self._cut(fresh)
            return
        now = self._clock()
        if now - self._last_block_s > SILENT_AFTER_S or not self.source.is_delivering:
            self._lost_since_s = self._last_block_s
            yield from self._finish_part()
            self.source.close()
            yield Lost(
                self._last_at_s,
                f"The microphone {self.source.name!r} gives no sound any more. Check its plug, switch and battery; "
                "it is taken up again by itself.",
            )
            return
        self._sleep(_POLL_S)

    def _come_back(self) -> Iterator[CaptureEvent]:
        assert self._lost_since_s is not None
        self._sleep(RETRY_S)
        yield StillLost(max(self._clock() - self._begin_s, self._last_at_s))
        try:
            self._start()
        except DeviceError:
            self.source.look_again()
            return
        if not self._delivers():
            self.source.close()
            self.source.look_again()
            return
        began = self._stamps[0][1]
        yield Back(max(began - self._begin_s, self._last_at_s), began - self._lost_since_s)
        self._lost_since_s = None

    def _finish_part(self) -> Iterator[Frames]:
        """What the resampler still holds, filled up with silence to a whole frame."""
        tail = self._resampler.resample_chunk(np.zeros(0, np.float32), last=True)
        yield from self._cut(tail)
        if len(self._rest):
            yield from self._cut(np.zeros(FRAME - len(self._rest), np.float32))

    def _cut(self, fresh: Samples) -> Iterator[Frames]:
        sound = np.concatenate([self._rest, fresh])
        whole = len(sound) // FRAME * FRAME
        for start in range(0, whole, FRAME):
            at_s = self._at(self._part_native + self._part_out * self._rate / SAMPLE_RATE)
            self._part_out += FRAME
            yield Frames(sound[start : start + FRAME], at_s, at_s + self._begin_s)
        self._rest = sound[whole:]

    def _at(self, native: float) -> float:
        """Seconds since `open` of a native sample; never before the one asked for last."""
        self._last_at_s = max(self._time.of(native) - self._begin_s, self._last_at_s)
        return self._last_at_s
