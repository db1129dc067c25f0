"""The bay, live: microphone -> ear -> attention -> session -> voice, for hours.

One thread does it all, frame by frame; only the sound cards and the keyboard have threads of their own. So there is
one order of things, and what the microphone brings while an utterance is being read waits in its ring.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import Protocol

import numpy as np

from assistant.dialogue.reply import Outcome, Reply, Sound
from assistant.hearing import attention as attending
from assistant.hearing.attention import Attention, Mode
from assistant.hearing.capture import Microphone
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.frames import FRAME, FRAME_S, Back, CaptureEvent, Frames, Lost, Overrun
from assistant.hearing.heard import Decision, Heard
from assistant.hearing.level import SENTENCES, Fault, LevelMeter, faults
from assistant.settings import EarSettings, SettingsError, VoiceSettings
from assistant.voice.manner import Manner, wished
from assistant.voice.playlist import Priority
from assistant.voice.talk import Voice

TICK_S = 0.25
"""How often timers and devices are looked after."""
LEVEL_EVERY_S = 1.0
TOLD_AGAIN_S = 600.0
"""A fault of the sound that lasts is told again after this long."""
HOLD_AT_MOST_S = 2.5
"""Talked over and nothing came of it: the voice goes on after this much quiet."""
HUSH_S = 0.25
"""Fallen silent at the first stir, it goes on after this much if nobody speaks: it was a knock."""
HUSHES_AT_MOST = 3
"""Hushed this often for nothing in one reply, it waits until it is sure that somebody speaks."""
HOLDS_AT_MOST = 2
"""Held this often for nothing, it speaks to its end: somebody talks all the time, or it hears itself after all."""
POLITE_S = 4.0
"""A timer waits at most this long for somebody to finish speaking."""
WORTH_TELLING_S = 1.0
"""Less lost sound than this holds no request; an utterance with a hole in it is asked for again anyway."""
SPOKEN_FAULTS = frozenset((Fault.FLAT, Fault.CLIPPING))
"""The others depend on who speaks, or on which machine hums beside the microphone, and are for `bay doctor`."""


class Session(Protocol):
    """One job being worked, as the live path needs it. All of it is called from one thread."""

    @property
    def is_over(self) -> bool:
        """True once the job is finished or left."""
        ...

    def live(self, named: bool) -> Listening:
        """What may be said now; with `named` our name must come first."""
        ...

    def take(self, heard: Heard, now: datetime) -> Outcome:
        """An utterance that is meant for us. Logged with its clip."""
        ...

    def take_typed(self, text: str, now: datetime) -> Outcome:
        """A typed line."""
        ...

    def overheard(self, heard: Heard, why: str, now: datetime) -> None:
        """An utterance that was not for us: logged as ignored, and nothing else."""
        ...

    def tell(self, text: str, about: str, now: datetime) -> Reply:
        """We speak of ourselves (a lost microphone): logged; returns how it is said."""
        ...

    def end_note(self, now: datetime) -> Outcome:
        """The pause that ends a note."""
        ...

    def tick(self, now: datetime) -> tuple[Reply, ...]:
        """What time brings: timers that ring."""
        ...


class Keys(Protocol):
    """Pedal and typed lines; `hearing.keyboard.Keyboard` or nothing at all."""

    def by_pedal(self, wants_keys: bool) -> None: ...

    def presses(self) -> list[float]: ...

    def lines(self) -> list[str]: ...


class Shown(StrEnum):
    """What a line on the screen is."""

    HEARD = "heard"
    IGNORED = "ignored"
    REPLY = "reply"
    TROUBLE = "trouble"


@dataclass(frozen=True, slots=True)
class Line:
    """One line for the screen."""

    what: Shown
    text: str
    at: datetime
    why: str = ""
    """For an ignored one: why."""


Show = Callable[[Line], None]
Kept = Callable[[str, object], None]
"""Option and value to keep for the person: ("voice.volume", 9)."""


class NoKeys:
    """Nothing to press."""

    def by_pedal(self, wants_keys: bool) -> None:
        return

    def presses(self) -> list[float]:
        return []

    def lines(self) -> list[str]:
        return []


def now_utc() -> datetime:
    return datetime.now(UTC)


def attention_of(ear: EarSettings) -> Attention:
    """The attention that the settings ask for. By name without a name is open."""
    mode = Mode(ear.attention) if ear.name or ear.attention != "name" else Mode.OPEN
    return Attention(mode, ear.name.casefold(), ear.window_s, ear.note_pause_s)


def run_live(
    session: Session,
    ear: Ear,
    microphone: Microphone,
    voice: Voice,
    ear_settings: EarSettings,
    voice_settings: VoiceSettings,
    *,
    keys: Keys | None = None,
    show: Show = lambda line: None,
    keep: Kept = lambda option, value: None,
    now: Callable[[], datetime] = now_utc,
) -> None:
    """Works a job by ear until it is over or the microphone is closed. Raises DeviceError if none opens."""
    bay = Bay(session, ear, voice, ear_settings, voice_settings, keys or NoKeys(), show, keep, now)
    for event in microphone.listen():
        bay.take(event)
        if session.is_over:
            microphone.close()


class Bay:
    """The live path, one event of the microphone at a time."""

    def __init__(
        self,
        session: Session,
        ear: Ear,
        voice: Voice,
        ear_settings: EarSettings,
        voice_settings: VoiceSettings,
        keys: Keys,
        show: Show,
        keep: Kept,
        now: Callable[[], datetime],
    ) -> None:
        self.attention = attention_of(ear_settings)
        self._session, self._ear, self._voice, self._keys = session, ear, voice, keys
        self._show, self._keep, self._now = show, keep, now
        self._headset = ear_settings.headset
        self._echo_s = voice_settings.echo_s
        self._meter = LevelMeter()
        self._told: dict[str, float] = {}
        self._alerts: list[tuple[Reply, float]] = []
        self._at_s = 0.0
        self._began_s = 0.0
        self._heard_speech = False
        self._spoke = False
        self._asked = False
        self._held_since_s: float | None = None
        self._holds = 0
        self._hushed_at_s: float | None = None
        self._hushes = 0
        self._next_tick_s = 0.0
        self._next_level_s = LEVEL_EVERY_S
        keys.by_pedal(self.attention.mode is Mode.PEDAL)

    def take(self, event: CaptureEvent) -> None:
        """One event, in the order of the sound."""
        self._at_s = event.at_s
        match event:
            case Frames():
                self._hear(event)
            case Lost():
                self._forget_what_was_begun()
                self._tell(event.why, "microphone lost")
            case Back():
                self._tell(f"The microphone is back. {event.gap_s:.0f} seconds were not heard.", "microphone back")
            case Overrun():
                self._ear.take(event, self._live)
                if event.lost_s >= WORTH_TELLING_S:
                    told = f"{event.lost_s:.0f} seconds of sound were lost. What was said then was not heard."
                    self._tell_once(told, "sound lost", 60.0)
            case _:
                pass
        if self._at_s >= self._next_tick_s:
            self._next_tick_s = self._at_s + TICK_S
            self._tick()

    def end(self) -> None:
        """The stream is over: what was being said counts as said, and an open note as ended."""
        heard = self._ear.end(self._live)
        if heard is not None:
            self._answer(heard)
        if self.attention.taking_note:
            self.attention = attending.close_note(self.attention)
            self._reply(self._session.end_note(self._now()))

    # -- frame by frame

    def _hear(self, frames: Frames) -> None:
        self._press_pedal(frames)
        self._meter.take(frames.samples, 1.0 if self._ear.hears_speech else 0.0)
        self._mind_the_level()
        if self._is_our_own(frames):
            frames = replace(frames, samples=np.zeros(FRAME, np.float32))
        heard = self._ear.take(frames, self._live)
        if self._ear.hears_speech and not self._heard_speech:
            self._began_s = self._at_s
        self._heard_speech = self._ear.hears_speech
        self._mind_being_talked_over()
        if heard is not None:
            self._answer(heard)
        self._mind_the_end_of_our_speech()

    def _is_our_own(self, frames: Frames) -> bool:
        """Half duplex: while our loudspeaker sounds, and the room after it, the ear is deaf."""
        if self._headset:
            return False
        return self._voice.player.sounded_within(frames.clock_s - self._echo_s, frames.clock_s + FRAME_S)

    def _live(self) -> Listening:
        named = self.attention.mode is Mode.NAME and self._began_s > self.attention.attentive_until_s
        return self._session.live(named and not self.attention.taking_note)

    def _answer(self, heard: Heard) -> None:
        was_note = self.attention.taking_note
        self.attention, meant = attending.attend(self.attention, heard)
        if not meant.ours:
            self._session.overheard(heard, meant.why, self._now())
            self._show(Line(Shown.IGNORED, heard.free, self._now(), meant.why))
            self._go_on()
            return
        self._stop_talking()
        if meant.only_name:
            self._show(Line(Shown.HEARD, heard.free, self._now()))
            self._voice.say(Reply("", Sound.HEARD))
            return
        if was_note and not attending.ends_note(heard):
            heard = attending.as_note(self.attention, heard)
            self._heard(heard)
            self._reply(self._session.take(heard, self._now()), aloud=False)
            return
        if was_note:
            self.attention = attending.close_note(self.attention)
        self._heard(heard)
        self._reply(self._session.take(heard, self._now()))

    def _heard(self, heard: Heard) -> None:
        words = heard.best.words if heard.best is not None and heard.decision is not Decision.AGAIN else heard.free
        self._show(Line(Shown.HEARD, words, self._now()))

    def _reply(self, outcome: Outcome, aloud: bool = True) -> None:
        """Not aloud within a note: whoever dictates goes on at once, and half duplex would be deaf to it."""
        self._follow(outcome.manner)
        reply = outcome.reply
        if reply.text:
            self._show(Line(Shown.REPLY, reply.text, self._now()))
        self._asked = reply.text.rstrip().endswith("?")
        if aloud:
            self._say(reply)

    def _say(self, reply: Reply, priority: Priority = Priority.ANSWER) -> None:
        self._holds = self._hushes = 0
        trouble = self._voice.say(reply, priority)
        if trouble is not None:
            self._show(Line(Shown.TROUBLE, trouble, self._now()))

    def _follow(self, wishes: Mapping[str, str]) -> None:
        """Wishes to voice and ear: at once, and kept for the person."""
        if "stop" in wishes:
            self._stop_talking()
        before = self._voice.manner
        after = wished(before, wishes)
        if after != before:
            self._voice.manner = after
            for option, value in _changed(before, after):
                self._keep_for_person(option, value)
        mode = self.attention.mode
        self.attention = attending.wished(self.attention, dict(wishes))
        if self.attention.mode is not mode:
            self._keep_for_person("ear.attention", str(self.attention.mode))
            self._keys.by_pedal(self.attention.mode is Mode.PEDAL)

    def _keep_for_person(self, option: str, value: object) -> None:
        """A settings file that cannot be written stops no job: the wish holds for this run."""
        try:
            self._keep(option, value)
        except SettingsError as trouble:
            self._show(Line(Shown.TROUBLE, str(trouble), self._now()))

    # -- being talked over (headset)

    def _mind_being_talked_over(self) -> None:
        """Silent at the first stir; taken up at once where it was no speech, held on where it was."""
        if not self._headset:
            return
        player = self._voice.player
        if self._ear.hears_speech:
            if player.is_speaking and self._holds < HOLDS_AT_MOST and (not player.is_held or self._is_hushed):
                player.hold()
                self._holds += 1
                self._hushed_at_s = None
            self._held_since_s = self._at_s
        elif self._ear.stirs:
            if player.is_speaking and not player.is_held and self._may_hush:
                player.hold()
                self._hushes += 1
                self._hushed_at_s = self._at_s
        elif self._is_hushed:
            if self._at_s - (self._hushed_at_s or 0.0) > HUSH_S:
                self._hushed_at_s = None
                player.take_up()
        elif player.is_held and self._at_s - (self._held_since_s or 0.0) > HOLD_AT_MOST_S:
            self._go_on()

    @property
    def _is_hushed(self) -> bool:
        return self._hushed_at_s is not None and self._voice.player.is_held

    @property
    def _may_hush(self) -> bool:
        return self._hushes < HUSHES_AT_MOST and self._holds < HOLDS_AT_MOST

    def _go_on(self) -> None:
        self._hushed_at_s = None
        if self._voice.player.is_held:
            self._voice.player.go_on()

    def _stop_talking(self) -> None:
        self._hushed_at_s = None
        self._voice.player.stop()

    def _mind_the_end_of_our_speech(self) -> None:
        speaking = self._voice.player.is_speaking
        if self._spoke and not speaking:
            self.attention = attending.replied(self.attention, self._at_s, self._asked)
        self._spoke = speaking

    # -- time

    def _tick(self) -> None:
        now = self._now()
        for reply in self._session.tick(now):
            self._alerts.append((reply, self._at_s))
            self._show(Line(Shown.REPLY, reply.text, now))
        while self._alerts and (not self._ear.hears_speech or self._at_s - self._alerts[0][1] > POLITE_S):
            self._say(self._alerts.pop(0)[0], Priority.ALERT)
        if attending.note_is_over(self.attention, self._at_s) and not self._ear.hears_speech:
            self.attention = attending.close_note(self.attention)
            self._reply(self._session.end_note(now))
        for text in self._keys.lines():
            self._show(Line(Shown.HEARD, text, now))
            self._stop_talking()
            self._reply(self._session.take_typed(text, now))
        trouble = self._voice.player.watch()
        if trouble is not None:
            self._tell(trouble, "loudspeaker")

    def _press_pedal(self, frames: Frames) -> None:
        for pressed_s in self._keys.presses():
            at_s = frames.at_s + (pressed_s - frames.clock_s)
            self.attention = attending.pressed(self.attention, at_s)
            self._stop_talking()

    # -- what is wrong

    def _forget_what_was_begun(self) -> None:
        """The microphone went in the midst of a word: what there was of it is logged, and never acted on."""
        heard = self._ear.end(self._live)
        if heard is not None:
            self._session.overheard(replace(heard, decision=Decision.IGNORE), "microphone lost", self._now())
            self._show(Line(Shown.IGNORED, heard.free, self._now(), "microphone lost"))
        self._go_on()

    def _mind_the_level(self) -> None:
        if self._at_s < self._next_level_s:
            return
        self._next_level_s = self._at_s + LEVEL_EVERY_S
        found = {fault for fault in faults(self._meter.level()) if fault in SPOKEN_FAULTS}
        for fault in SPOKEN_FAULTS:
            if fault in found:
                self._tell_once(SENTENCES[fault], fault, TOLD_AGAIN_S)

    def _tell_once(self, text: str, about: str, again_after_s: float) -> None:
        if self._at_s - self._told.get(about, -again_after_s) >= again_after_s:
            self._told[about] = self._at_s
            self._tell(text, about)

    def _tell(self, text: str, about: str) -> None:
        """Said aloud, shown and logged."""
        reply = self._session.tell(text, about, self._now())
        self._show(Line(Shown.TROUBLE, reply.text, self._now()))
        self._say(reply, Priority.ALERT)


def _changed(before: Manner, after: Manner) -> list[tuple[str, object]]:
    pairs = (
        ("voice.volume", before.volume, after.volume),
        ("voice.speed", before.speed_wpm, after.speed_wpm),
        ("voice.sounds", before.sounds, after.sounds),
        ("voice.verbosity", before.verbosity, after.verbosity),
    )
    return [(option, new) for option, old, new in pairs if new != old]
