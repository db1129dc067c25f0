"""Eight hours of a bay at high speed through the live path: memory, drift, missed and doubled utterances.

    python -m tests.benchmarks.long_talk [--hours 8] [--ppm 80]

The sound card is made up: it delivers blocks by a crystal that is off by `ppm`, its callbacks come late by up to
30 ms, the reader stalls for twelve seconds once an hour (slow decoding), and in the third hour the plug is out for
twenty seconds. Everything behind it is what a bay runs: microphone, resampling, voice activity, recogniser, attention,
session with its logbook on disk, voice. The technician speaks about once a minute, a radio talks in between, and the
compressor runs for six minutes of every hour. Memory is the process's resident set, taken every simulated half hour.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import soxr

from assistant.devices import NoDevice
from assistant.hearing.capture import Deliver, Microphone
from assistant.hearing.ear import Ear
from assistant.hearing.frames import Back, Frames, Lost, Overrun
from assistant.hearing.heard import SAMPLE_RATE, Heard, Samples
from assistant.live import Bay, Line, NoKeys, Session
from assistant.settings import EarSettings, VoiceSettings
from assistant.voice.manner import Manner
from assistant.voice.play import Player, Take
from assistant.voice.speak import Espeak
from assistant.voice.talk import Voice

RATE = 48_000
BLOCK = RATE // 50
CLOCK_BEGAN = 1000.0
DAY_BEGAN = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
STALL_S = 12.0
LATE_S = 0.03
COMPRESSOR_S = (300.0, 660.0)
"""Seconds of every hour in which the compressor runs."""
QUIETER = np.float32(10 ** (-16 / 20))
"""The noise of the rest of the hour, against it."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """Something that is said in the day."""

    at_s: float
    """Seconds of the true clock from the beginning."""
    sound: Samples
    """At RATE."""
    request: str
    """What it asks for; empty for the radio."""

    @property
    def end_s(self) -> float:
        return self.at_s + len(self.sound) / RATE


class Day:
    """The sound card, the loudspeaker and the clock of one simulated day."""

    name = "simulated microphone"
    rate = SAMPLE_RATE
    """Of the loudspeaker."""

    def __init__(self, spoken: list[Spoken], noise: Samples, ppm: float, out_s: tuple[float, float] | None) -> None:
        self.now = CLOCK_BEGAN
        self._spoken, self._noise, self._out_s = spoken, noise, out_s
        self._true_rate = RATE * (1 + ppm * 1e-6)
        self._draw = np.random.default_rng(11)
        self._deliver: Deliver | None = None
        self._take: Take | None = None
        self._count, self._opened_at, self._sounded_s, self._next = 0, 0.0, CLOCK_BEGAN, 0

    # the microphone
    def open(self, deliver: Deliver) -> int:
        if self._is_out():
            raise NoDevice("This machine has no microphone.")
        self._deliver, self._count, self._opened_at = deliver, 0, self.now
        return RATE

    @property
    def is_delivering(self) -> bool:
        return self._deliver is not None and not self._is_out()

    def look_again(self) -> None:
        return

    # the loudspeaker
    @property
    def is_taking(self) -> bool:
        return True

    def cut(self) -> None:
        return

    def close(self) -> None:
        self._deliver = None

    # the clock
    def clock(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.pass_time(max(seconds, 0.25))

    def pass_time(self, seconds: float) -> None:
        self.now += seconds
        while self._take is not None and self._sounded_s < self.now:
            self._take(SAMPLE_RATE // 50, self._sounded_s)
            self._sounded_s += 0.02
        while self._deliver is not None and not self._is_out():
            began = self._opened_at + self._count / self._true_rate
            if began + BLOCK / self._true_rate > self.now:
                break
            self._deliver(self._block(began - CLOCK_BEGAN), began + float(self._draw.uniform(0, LATE_S)))
            self._count += BLOCK

    def _is_out(self) -> bool:
        return self._out_s is not None and self._out_s[0] <= self.now - CLOCK_BEGAN < self._out_s[1]

    def _block(self, at_s: float) -> Samples:
        start = self._count % (len(self._noise) - BLOCK)
        block = self._noise[start : start + BLOCK]
        if not COMPRESSOR_S[0] <= at_s % 3600 < COMPRESSOR_S[1]:
            block = block * QUIETER
        while self._next < len(self._spoken) and self._spoken[self._next].end_s <= at_s:
            self._next += 1
        if self._next < len(self._spoken):
            one = self._spoken[self._next]
            offset = round((at_s - one.at_s) * RATE)
            if offset > -BLOCK:
                block = block.copy()
                source = one.sound[max(offset, 0) : offset + BLOCK]
                block[max(-offset, 0) : max(-offset, 0) + len(source)] += source
        return block


class Loudspeaker:
    """The day's loudspeaker side: its blocks are taken as time passes."""

    rate = SAMPLE_RATE
    is_taking = True
    drops_s = 0.0

    def __init__(self, day: Day) -> None:
        self._day = day

    def open(self, take: Take) -> None:
        self._day._take = take

    def cut(self) -> None:
        return

    def close(self) -> None:
        self._day._take = None


@dataclass
class Figures:
    """What the day showed."""

    hours: float
    utterances: int = 0
    radio: int = 0
    missed: list[float] = field(default_factory=list)
    """Times of utterances that nothing was made of."""
    doubled: list[float] = field(default_factory=list)
    from_nothing: list[float] = field(default_factory=list)
    """Times at which something was heard though nobody spoke."""
    right: int = 0
    """Utterances that were acted on as what they asked for."""
    asked_again: int = 0
    wrong: int = 0
    """Acted on as something else."""
    radio_acted: int = 0
    offsets: list[tuple[str, float]] = field(default_factory=list)
    """Request, and where its utterance began in stream time less where it truly began, milliseconds; in order."""
    memory_mb: list[tuple[float, float]] = field(default_factory=list)
    """Simulated hour, megabytes."""
    lost: int = 0
    back: int = 0
    overruns_s: float = 0.0
    took_s: float = 0.0

    @property
    def errors_ms(self) -> list[float]:
        """Each offset against the median of its own phrase: how soon speech is noticed depends on its first sound."""
        usual = {name: np.median([ms for other, ms in self.offsets if other == name]) for name, _ in self.offsets}
        return [float(ms - usual[name]) for name, ms in self.offsets]

    @property
    def drift_ms(self) -> float:
        """Median error of the last eighth of the day less that of the first."""
        errors = self.errors_ms
        eighth = max(len(errors) // 8, 1)
        return float(np.median(errors[-eighth:]) - np.median(errors[:eighth]))

    def report(self) -> str:
        growth = self.memory_mb[-1][1] - self.memory_mb[min(2, len(self.memory_mb) - 1)][1]
        spread = np.percentile(self.errors_ms, 95) - np.percentile(self.errors_ms, 5)
        memory = " ".join(f"{hour:g} h {mb:.0f}" for hour, mb in self.memory_mb)
        speed = self.hours * 3600 / self.took_s
        return "\n".join(
            (
                f"{self.hours:g} h of sound in {self.took_s:.0f} s ({speed:.0f} times real time)",
                f"utterances {self.utterances}: missed {len(self.missed)}, doubled {len(self.doubled)}; "
                f"heard where nobody spoke {len(self.from_nothing)}",
                f"  acted on rightly {self.right}, asked again or confirmed {self.asked_again}, wrongly {self.wrong}",
                f"radio and talk {self.radio}: acted on {self.radio_acted}",
                f"stream time against the clock: drift {self.drift_ms:+.1f} ms over the day, "
                f"spread {spread:.0f} ms (5th to 95th percentile)",
                f"microphone lost {self.lost}, back {self.back}; overruns {self.overruns_s:.1f} s",
                f"memory {memory} MB; after the first hour {growth:+.1f} MB",
            )
        )


def noise_of_the_bay(db: float = -50.0, seconds: float = 30.0, seed: int = 5) -> Samples:
    """Compressor hum and hiss, RMS `db` re full scale, at RATE."""
    draw = np.random.default_rng(seed)
    t = np.arange(round(seconds * RATE)) / RATE
    noise = sum(np.sin(2 * np.pi * 49.5 * k * t) / k for k in (1, 2, 3, 5)) + 0.5 * draw.standard_normal(len(t))
    return np.asarray(noise / np.sqrt(np.mean(noise**2)) * 10 ** (db / 20), np.float32)


def schedule(
    seconds: float,
    sayings: list[tuple[str, Samples]],
    radio: list[Samples],
    apart_s: tuple[float, float],
    skip: tuple[float, float] | None,
    seed: int = 3,
) -> list[Spoken]:
    """Sayings in turn, about `apart_s` apart; after every fourth one the radio talks in between. None during `skip`."""
    draw = np.random.default_rng(seed)
    day, at_s, number = [], 8.0, 0
    while at_s < seconds - 20:
        request, sound = sayings[number % len(sayings)]
        one = Spoken(at_s, sound, request)
        if skip is None or one.end_s + 2 < skip[0] or at_s > skip[1] + 8:
            day.append(one)
        gap_s = float(draw.uniform(*apart_s))
        if number % 4 == 3 and radio:
            talk = Spoken(one.end_s + gap_s * 0.6, radio[number // 4 % len(radio)], "")
            if skip is None or talk.end_s + 2 < skip[0] or talk.at_s > skip[1] + 8:
                day.append(talk)
        at_s, number = one.end_s + gap_s, number + 1
    return day


class Watched:
    """A session that writes down when it was asked what; passes everything on."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self.acted: list[tuple[float, str, str]] = []
        """Stream time of the utterance's beginning, request, decision."""
        self.is_over = False

    def take(self, heard: Heard, now: datetime) -> object:
        request = heard.best.request.name if heard.best is not None else ""
        self.acted.append((heard.start_s, request, str(heard.decision)))
        return self._session.take(heard, now)

    def overheard(self, heard: Heard, why: str, now: datetime) -> None:
        self.acted.append((heard.start_s, "", "ignore"))
        self._session.overheard(heard, why, now)

    def __getattr__(self, name: str) -> object:
        return getattr(self._session, name)


def talk_all_day(
    session: Session,
    ear: Ear,
    spoken: list[Spoken],
    *,
    hours: float,
    ppm: float = 80.0,
    noise: Samples | None = None,
    out_s: tuple[float, float] | None = None,
    stall_every_s: float = 3600.0,
    memory: Callable[[], float] | None = None,
    memory_every_s: float = 1800.0,
) -> Figures:
    """Runs the day and counts. `memory` gives megabytes."""
    day = Day(spoken, noise_of_the_bay() if noise is None else noise, ppm, out_s)
    voice = Voice(Espeak(), Player(Loudspeaker(day)), Manner(speed_wpm=300))
    watched = Watched(session)
    shown: list[Line] = []
    bay = Bay(
        watched,  # type: ignore[arg-type]
        ear,
        voice,
        EarSettings(),
        VoiceSettings(),
        NoKeys(),
        lambda line: shown.clear(),
        lambda option, value: None,
        lambda: DAY_BEGAN + timedelta(seconds=day.now - CLOCK_BEGAN),
    )
    figures = Figures(hours)
    next_stall_s, next_memory_s, began = stall_every_s * 0.75, 0.0, time.perf_counter()
    for event in Microphone(day, day.clock, day.sleep).listen():
        bay.take(event)
        figures.lost += isinstance(event, Lost)
        figures.back += isinstance(event, Back)
        figures.overruns_s += event.lost_s if isinstance(event, Overrun) else 0.0
        if isinstance(event, Frames) and event.at_s >= next_stall_s:
            next_stall_s += stall_every_s
            day.pass_time(STALL_S)
        if memory is not None and event.at_s >= next_memory_s:
            figures.memory_mb.append((next_memory_s / 3600, memory()))
            next_memory_s += memory_every_s
        if event.at_s >= hours * 3600:
            break
    figures.took_s = time.perf_counter() - began
    _count(figures, spoken, watched.acted, hours)
    return figures


def _count(figures: Figures, spoken: list[Spoken], acted: list[tuple[float, str, str]], hours: float) -> None:
    """Each thing heard belongs to what was being said then; the rest was heard where nobody spoke."""
    left = list(acted)
    for one in spoken:
        if one.end_s > hours * 3600 - 5:
            continue
        mine = [what for what in left if one.at_s - 0.7 <= what[0] <= one.end_s]
        left = [what for what in left if what not in mine]
        if not one.request:
            figures.radio += 1
            figures.radio_acted += sum(decision == "act" for _, _, decision in mine)
            continue
        figures.utterances += 1
        if not mine:
            figures.missed.append(one.at_s)
            continue
        if len(mine) > 1:
            figures.doubled.append(one.at_s)
        at_s, request, decision = mine[0]
        figures.offsets.append((one.request, (at_s - one.at_s) * 1000))
        if decision != "act":
            figures.asked_again += 1
        elif request == one.request:
            figures.right += 1
        else:
            figures.wrong += 1
    figures.from_nothing = [at_s for at_s, _, _ in left]


SAYINGS = (
    ("torque", "what is the torque of the cover bolts"),
    ("where", "where am I"),
    ("count", "how many cover bolts are there"),
    ("size", "what size are the cover bolts"),
    ("left", "what is left"),
    ("open", "what is open"),
    ("repeat", "repeat the step"),
    ("time", "what time is it"),
)
RADIO = (
    "and now the weather for the north, with rain over the islands and a fresh wind from the west",
    "the council has voted for the new bridge, which will open to traffic in the autumn",
    "did you see the game last night, they were two down and still won it",
)


def main() -> None:
    import psutil

    from assistant.card.load import read_card
    from assistant.hearing.builtin import BuiltinRecogniser
    from assistant.logbook.store import Logbook
    from assistant.session import begin
    from tests.sound.voices import missing, speak

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--ppm", type=float, default=80.0)
    given = parser.parse_args()
    voice = "flite:slt" if not missing("flite:slt") else "espeak:en-us+m3"
    other = "flite:kal16" if not missing("flite:kal16") else "espeak:en-gb-x-rp+f4"

    def at_rate(words: str, who: str) -> Samples:
        return np.asarray(soxr.resample(speak(words, who), SAMPLE_RATE, RATE), np.float32) * 0.3

    out_s = (2.5 * 3600, 2.5 * 3600 + 20) if given.hours >= 3 else None
    sayings = [(request, at_rate(words, voice)) for request, words in SAYINGS]
    radio = [at_rate(words, other) * 0.7 for words in RADIO]
    day = schedule(given.hours * 3600, sayings, radio, (40.0, 100.0), out_s)
    process = psutil.Process()
    with tempfile.TemporaryDirectory() as folder, Logbook.open(Path(folder)) as logbook:
        card = read_card(Path(__file__).parents[1] / "bay" / "cover.yaml")
        session = begin(card, logbook, DAY_BEGAN).session
        session.take_typed("begin", DAY_BEGAN)
        figures = talk_all_day(
            session,
            Ear(BuiltinRecogniser(threads=1)),
            day,
            hours=given.hours,
            ppm=given.ppm,
            out_s=out_s,
            memory=lambda: process.memory_info().rss / 1e6,
        )
        session.close()
    print(figures.report())


if __name__ == "__main__":
    main()
