"""The sound, tried with the person: noise, our own voice heard back, one sentence and what was understood.

Works on the events of a microphone and knows no device, so that a recording will do as well.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import soxr

from assistant.dialogue.reply import Reply
from assistant.doctor.finding import Finding, State
from assistant.hearing.attention import names_us
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.frames import CaptureEvent, Frames, Lost
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Samples
from assistant.hearing.level import SENTENCES, Fault, Level, LevelMeter, faults
from assistant.voice.talk import Voice

NOISE_S = 3.0
SENTENCE_S = 12.0
"""The person has this long to begin and end the sentence."""
TRIAL = "One, two, three. The stands are under the vehicle."
SENTENCE = "what is next"
_METER_EVERY_S = 0.1
_BACK_PEAK = 13.0
"""A correlation this far above its own scatter is our voice: measured 20 and more for it in loud noise, under 10 for
other sentences in other voices, 6 for noise and hum."""


@dataclass(frozen=True, slots=True)
class SoundCheck:
    """What was measured and heard."""

    level: Level
    heard_back: bool | None
    """Whether the microphone hears the loudspeaker; None where that could not be tried."""
    back_ms: float = 0.0
    """How long after it was handed to the loudspeaker our voice came back."""
    heard: Heard | None = None
    """What was made of the sentence; None where none came."""
    named: bool | None = None
    """Whether our name was known; None where there is none to know."""
    lost: str = ""
    """Why the microphone stopped, if it did."""


Say = Callable[[str], None]
Meter = Callable[[Level], None]


def sound_check(
    events: Iterator[CaptureEvent],
    ear: Ear,
    listening: Callable[[], Listening],
    voice: Voice | None,
    say: Say,
    meter: Meter = lambda level: None,
    name: str = "",
) -> SoundCheck:
    """Leads the person through it; `say` puts a line before them, `meter` is called ten times a second."""
    levels = LevelMeter()
    next_meter = 0.0

    def follow(seconds: float) -> Iterator[Frames]:
        nonlocal next_meter
        end: float | None = None
        for event in events:
            if isinstance(event, Lost):
                raise _Stopped(event.why)
            if not isinstance(event, Frames):
                continue
            end = event.at_s + seconds if end is None else end
            levels.take(event.samples, 1.0 if ear.hears_speech else 0.0)
            if event.at_s >= next_meter:
                next_meter = event.at_s + _METER_EVERY_S
                meter(levels.level())
            yield event
            if event.at_s >= end:
                return
        raise _Stopped("The microphone ended.")

    back: bool | None = None
    back_ms, heard, lost, named = 0.0, None, "", None
    try:
        say("Be quiet for three seconds: the noise of the room is measured.")
        for _ in follow(NOISE_S):
            pass
        if voice is not None and not voice.player.is_silent:
            say("Still be quiet: you should hear a sentence.")
            back, back_ms = _try_loudspeaker(voice, follow)
        wanted = f"{name}, {SENTENCE}" if name else SENTENCE
        say(f'Now say, as you would at work: "{wanted}".')
        for frames in follow(SENTENCE_S):
            heard = ear.take(frames, listening)
            if heard is not None:
                break
        if heard is not None and name:
            named = names_us(name, heard)
    except _Stopped as stopped:
        lost = str(stopped)
    return SoundCheck(levels.level(), back, back_ms, heard, named, lost)


class _Stopped(Exception):
    """The microphone gives nothing more."""


def _try_loudspeaker(voice: Voice, follow: Callable[[float], Iterator[Frames]]) -> tuple[bool, float]:
    from assistant.voice.speak import Espeak

    speech = Espeak().render(TRIAL, voice.manner.speed_wpm, voice.manner.voice)
    reference = soxr.resample(speech.samples, speech.rate, SAMPLE_RATE)
    voice.say(Reply(TRIAL))
    recorded = np.concatenate([frames.samples for frames in follow(speech.seconds + 2.0)])
    return heard_back(reference, recorded)


def heard_back(reference: Samples, recorded: Samples) -> tuple[bool, float]:
    """Whether `recorded` holds `reference`, and how many milliseconds after its beginning.

    Cross-correlation with the spectrum whitened, so that a hum common to both is no likeness; the peak is held
    against the scatter of all the other delays.
    """
    size = 1 << (len(reference) + len(recorded)).bit_length()
    cross = np.fft.rfft(recorded, size) * np.conj(np.fft.rfft(reference, size))
    strength = np.abs(cross)
    if strength.max() <= 0:
        return False, 0.0
    correlation = np.fft.irfft(cross / np.sqrt(strength + 1e-9 * strength.max()), size)[: max(len(recorded), 1)]
    peak = int(np.abs(correlation).argmax())
    scatter = float(np.std(correlation))
    return bool(scatter > 0 and abs(correlation[peak]) / scatter > _BACK_PEAK), peak * 1000 / SAMPLE_RATE


def findings_of(check: SoundCheck, headset: bool) -> Iterator[Finding]:
    """What the sound check means."""
    if check.lost:
        yield Finding("microphone", State.BAD, check.lost, "see its plug, then run `bay doctor` again")
    yield level_finding(check.level)
    yield _understood(check)
    if check.named is not None:
        state = State.GOOD if check.named else State.POOR
        says = "The name was known." if check.named else "The name was not known from how it was said."
        yield Finding("name", state, says, "" if check.named else "say it again, or choose another with ear.name")
    yield _back(check, headset)


def level_finding(level: Level) -> Finding:
    """Noise, speech and SNR in figures, or what is wrong with them."""
    figures = f"Noise {level.noise_db:.0f} dB"
    if level.speech_db is not None and level.snr_db is not None:
        figures += f", speech {level.speech_db:.0f} dB, SNR {level.snr_db:.0f} dB"
    figures += " (re full scale)."
    wrong = faults(level)
    if not wrong:
        return Finding("level", State.GOOD, figures)
    state = State.BAD if wrong[0] is Fault.FLAT else State.POOR
    return Finding("level", state, figures, " ".join(SENTENCES[fault] for fault in wrong))


def _understood(check: SoundCheck) -> Finding:
    heard = check.heard
    if heard is None:
        return Finding("understood", State.BAD, "No sentence was heard.", "speak closer to the microphone, or louder")
    words = heard.best.words if heard.best is not None else ""
    if heard.decision is Decision.ACT:
        return Finding("understood", State.GOOD, f'Understood "{words}" in {heard.ms:.0f} ms.')
    if heard.decision in (Decision.CONFIRM, Decision.AGAIN):
        return Finding(
            "understood",
            State.POOR,
            f'Heard "{heard.free}", not clearly enough to act on.',
            "bring the microphone closer to the mouth, and say it once more",
        )
    return Finding(
        "understood",
        State.POOR,
        f'Heard "{heard.free}", which is nothing that can be asked.',
        f'say "{SENTENCE}", or bring the microphone closer',
    )


def _back(check: SoundCheck, headset: bool) -> Finding:
    if check.heard_back is None:
        return Finding(
            "heard back", State.UNKNOWN, "Without a loudspeaker it cannot be tried whether it is heard back."
        )
    if check.heard_back and headset:
        return Finding(
            "heard back",
            State.POOR,
            f"The microphone hears our own voice, {check.back_ms:.0f} ms later, though a headset is set.",
            "set ear.headset to false, or it may answer itself",
        )
    if check.heard_back:
        return Finding(
            "heard back", State.GOOD, f"Our voice comes back in {check.back_ms:.0f} ms; the ear is deaf while we speak."
        )
    if headset:
        return Finding("heard back", State.GOOD, "Our voice does not reach the microphone: it may be talked over.")
    return Finding(
        "heard back",
        State.GOOD,
        "Our voice does not reach the microphone (a headset, or a loudspeaker turned off). "
        "With a headset, set ear.headset to true to talk over it.",
    )


def meter_line(level: Level, width: int = 40) -> str:
    """One line for the screen: a bar from -70 to 0 dB, a mark for the noise, the figures."""
    bar = round(np.clip((level.now_db + 70) / 70, 0, 1) * width)
    mark = round(float(np.clip((level.noise_db + 70) / 70, 0, 1)) * (width - 1))
    cells = ["█" if cell < bar else "·" for cell in range(width)]
    cells[mark] = "|"
    snr = f"  SNR {level.snr_db:3.0f} dB" if level.snr_db is not None else ""
    return f"{''.join(cells)} {level.now_db:4.0f} dB  noise {level.noise_db:4.0f} dB{snr}"
