"""The microphone, over a source and a clock that the test turns by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from assistant.devices import DeviceError, NoDevice
from assistant.hearing.capture import Deliver, Microphone
from assistant.hearing.frames import FRAME, FRAME_S, Back, CaptureEvent, Frames, Lost, Overrun, StillLost
from assistant.hearing.heard import SAMPLE_RATE, Samples


class Bench:
    """A clock, and a sound card that delivers a block for every 20 ms of it while it is plugged in."""

    def __init__(self, rate: int = 48_000, sound: Callable[[np.ndarray], np.ndarray] | None = None) -> None:
        self.name = "bench microphone"
        self.now = 100.0
        self.rate = rate
        self.plugged = True
        self.known = True
        self.delivers = True
        self.opened = 0
        self._sound = sound or (lambda t: 0.1 * np.sin(2 * np.pi * 440 * t))
        self._deliver: Deliver | None = None
        self._sent = 0
        self._opened_at = 0.0

    # the source
    def open(self, deliver: Deliver) -> int:
        self.opened += 1
        if not (self.plugged and self.known):
            raise NoDevice("This machine has no microphone.")
        self._deliver, self._sent, self._opened_at = deliver, 0, self.now
        return self.rate

    def close(self) -> None:
        self._deliver = None

    @property
    def is_delivering(self) -> bool:
        return self._deliver is not None

    def look_again(self) -> None:
        self.known = True

    # the clock
    def clock(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.pass_time(seconds)

    def pass_time(self, seconds: float) -> None:
        self.now += seconds
        block = self.rate // 50
        if not self.plugged:
            self.known = False
        while (
            self._deliver is not None
            and self.plugged
            and self.delivers
            and self._opened_at + (self._sent + block) / self.rate <= self.now
        ):
            began = self._opened_at + self._sent / self.rate
            t = began + np.arange(block) / self.rate
            self._deliver(np.asarray(self._sound(t), np.float32), began)
            self._sent += block

    def microphone(self) -> Microphone:
        return Microphone(self, clock=self.clock, sleep=self.sleep)


def _take(microphone: Microphone, seconds: float, bench: Bench) -> list[CaptureEvent]:
    """Everything until `seconds` from now on the bench's clock."""
    until, events = bench.now + seconds, []
    for event in microphone.listen():
        events.append(event)
        if bench.now >= until:
            break
    return events


def _sound(events: list[CaptureEvent]) -> Samples:
    return np.concatenate([event.samples for event in events if isinstance(event, Frames)])


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000, 96_000])
def test_any_native_rate_arrives_as_the_same_tone(rate: int) -> None:
    bench = Bench(rate)
    events = _take(bench.microphone(), 3.0, bench)
    assert all(isinstance(event, Frames) for event in events)
    sound = _sound(events)
    assert len(sound) / SAMPLE_RATE == pytest.approx(3.0, abs=0.15)
    power = np.abs(np.fft.rfft(sound[4000:36_000] * np.hanning(32_000))) ** 2
    assert np.fft.rfftfreq(32_000, 1 / SAMPLE_RATE)[power.argmax()] == pytest.approx(440, abs=1)
    assert np.abs(sound[4000:]).max() == pytest.approx(0.1, rel=0.02)


def test_frames_carry_the_moment_of_their_first_sample() -> None:
    """A click at a known time is in the frame that spans that time."""
    bench = Bench(sound=lambda t: np.where(np.abs(t - 102.5) < 0.0005, 0.9, 0.0))
    events = _take(bench.microphone(), 4.0, bench)
    loud = [event for event in events if isinstance(event, Frames) and np.abs(event.samples).max() > 0.3]
    assert loud
    at = loud[0].clock_s + np.abs(loud[0].samples).argmax() / SAMPLE_RATE
    assert at == pytest.approx(102.5, abs=0.003)
    assert loud[0].clock_s - loud[0].at_s == pytest.approx(100.0, abs=0.01)


def test_ten_seconds_of_slow_decoding_lose_nothing() -> None:
    bench = Bench(sound=lambda t: (t - 100.0) / 60)
    microphone = bench.microphone()
    events = []
    for event in microphone.listen():
        events.append(event)
        if len(events) == 30:
            bench.pass_time(10.0)  # the reader is busy; the card goes on delivering
        if bench.now > 115:
            break
    assert all(isinstance(event, Frames) for event in events)
    sound = _sound(events)[200:]
    assert np.all(np.diff(sound) > 0), "a ramp without a step"
    steps = np.diff([event.at_s for event in events if isinstance(event, Frames)])
    np.testing.assert_allclose(steps, FRAME_S, atol=1e-3)


def test_a_minute_of_it_loses_the_newest_and_says_how_much() -> None:
    bench = Bench()
    microphone = bench.microphone()
    events: list[CaptureEvent] = []
    for event in microphone.listen():
        events.append(event)
        if len(events) == 30:
            bench.pass_time(60.0)
        if bench.now > 165:
            break
    overruns = [event for event in events if isinstance(event, Overrun)]
    assert len(overruns) == 1
    heard_s = len(_sound(events)) / SAMPLE_RATE
    assert overruns[0].lost_s == pytest.approx(30.0, abs=0.5)
    assert heard_s + overruns[0].lost_s == pytest.approx(bench.now - 100.0, abs=0.2)
    after = events[events.index(overruns[0]) + 1]
    assert isinstance(after, Frames)
    assert after.at_s == pytest.approx(overruns[0].at_s + overruns[0].lost_s, abs=0.1), "time goes on over the hole"


def test_a_pulled_plug_is_noticed_within_two_seconds_and_taken_up_again() -> None:
    bench = Bench()
    microphone = bench.microphone()
    events: list[CaptureEvent] = []
    noticed_after = None
    for event in microphone.listen():
        events.append(event)
        if bench.now >= 103 and bench.plugged and noticed_after is None:
            bench.plugged = False
        if isinstance(event, Lost):
            noticed_after = bench.now - 103
            bench.pass_time(7.0)
            bench.plugged = True
        if bench.now > 125:
            break
    assert noticed_after is not None
    assert noticed_after < 2.0
    lost = [event for event in events if isinstance(event, Lost)]
    back = [event for event in events if isinstance(event, Back)]
    assert len(lost) == len(back) == 1
    assert "bench microphone" in lost[0].why
    assert "by itself" in lost[0].why
    assert lost[0].at_s == pytest.approx(3.0, abs=0.1)
    assert back[0].gap_s == pytest.approx(back[0].at_s - lost[0].at_s, abs=0.1)
    assert 7.0 < back[0].gap_s < 11.0
    at = [event.at_s for event in events]
    assert at == sorted(at)
    frames_after = [event for event in events[events.index(back[0]) :] if isinstance(event, Frames)]
    assert frames_after[-1].at_s == pytest.approx(bench.now - 100.0, abs=0.2), "time is the clock's, gap and all"


def test_no_frame_is_made_up_while_nothing_is_heard() -> None:
    bench = Bench()
    microphone = bench.microphone()
    listening = microphone.listen()
    for _ in range(10):
        next(listening)
    bench.plugged = False
    events = [next(listening)]
    while not isinstance(events[-1], Lost):
        events.append(next(listening))
    heard = [event for event in events if isinstance(event, Frames)]
    assert len(heard) <= 3
    after = [next(listening) for _ in range(20)]
    assert all(isinstance(event, StillLost) for event in after), "others get their turn, twice a second"
    assert after[-1].at_s - after[0].at_s == pytest.approx(19 * 0.5, abs=0.1)
    bench.plugged = True
    assert isinstance(
        next(event for event in (next(listening) for _ in range(4)) if not isinstance(event, StillLost)), Back
    )


def test_a_card_that_opens_but_gives_nothing_is_told_at_once() -> None:
    bench = Bench()
    bench.delivers = False
    with pytest.raises(DeviceError, match="opens but gives nothing"):
        bench.microphone().open()
    assert bench.opened == 3
    assert not bench.is_delivering


def test_no_microphone_is_told_at_once() -> None:
    bench = Bench()
    bench.plugged = False
    with pytest.raises(NoDevice):
        next(bench.microphone().listen())


def test_close_ends_the_listening_and_gives_the_device_back() -> None:
    bench = Bench()
    microphone = bench.microphone()
    for count, _ in enumerate(microphone.listen()):
        if count == 20:
            microphone.close()
    assert not bench.is_delivering


def test_every_frame_is_whole() -> None:
    bench = Bench(44_100)
    microphone = bench.microphone()
    for event in microphone.listen():
        if isinstance(event, Frames):
            assert event.samples.shape == (FRAME,)
            assert event.samples.dtype == np.float32
        if bench.now > 103:
            bench.plugged = False
        if isinstance(event, Lost):
            break
