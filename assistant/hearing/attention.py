"""Is it meant for us? Three ways to be spoken to, sleep and notes: a pure state, moved by what is heard and by time.

* open: everything that the ear takes for ours is ours. For a microphone close to the mouth.
* name: our name comes first; for a while after that, and after each of our replies, it is not needed.
* pedal: a key is pressed first (a foot pedal is a keyboard); it holds for one window.

All times are stream time, seconds; an utterance belongs to the window in which it *began*.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from enum import StrEnum

from rapidfuzz.distance import Levenshtein

from assistant.dialogue.sounds import sounds_like_distance
from assistant.grammar.request import Request
from assistant.hearing.heard import Decision, Heard, Reading

NOTE_OPENERS = frozenset(("note", "part-to-order", "fault-found", "continue-note"))
"""Requests that open a note when no words come with them."""
_NAME_NEAR = 0.25
"""Distance, by sound or by letters, up to which a word counts as the name: it is often written otherwise."""


class Mode(StrEnum):
    OPEN = "open"
    NAME = "name"
    PEDAL = "pedal"


class Why(StrEnum):
    """Why an utterance was taken for ours, or not."""

    OPEN = "open"
    NAME = "name said"
    WINDOW = "spoken to a moment ago"
    PEDAL = "pedal"
    NOTE = "a note is being taken"
    WOKEN = "woken"
    NOT_OURS = "the ear takes it for other talk"
    ASLEEP = "asleep"
    NO_NAME = "name not said"
    NO_PEDAL = "pedal not pressed"


@dataclass(frozen=True, slots=True)
class Attention:
    """Where the attention is."""

    mode: Mode = Mode.OPEN
    name: str = ""
    """What we answer to; lower case words."""
    window_s: float = 8.0
    """How long the name or pedal is not needed after it was given, and after a reply."""
    note_pause_s: float = 6.0
    """Silence that ends a note."""
    asleep: bool = False
    attentive_until_s: float = -math.inf
    taking_note: bool = False
    note_parts: int = 0
    """Utterances that the open note has so far."""
    note_spoken_s: float = 0.0
    """When the note's last words ended."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What attention makes of one utterance."""

    ours: bool
    why: Why
    only_name: bool = False
    """The name and nothing else: answered by the small sound for "heard"."""


def attend(attention: Attention, heard: Heard) -> tuple[Attention, Meant]:
    """Whether an utterance is meant for us, and the attention after it.

    What the ear ignores stays ignored, save in a note, where every word counts.
    """
    if attention.asleep:
        return _asleep(attention, heard)
    if attention.taking_note:
        parts = attention.note_parts + (not ends_note(heard))
        return replace(attention, note_spoken_s=heard.end_s, note_parts=parts), Meant(True, Why.NOTE)
    named = names_us(attention.name, heard)
    if named and rest_after_name(attention.name, heard) == "":
        return _attentive(attention, heard.end_s), Meant(True, Why.NAME, only_name=True)
    if heard.decision is Decision.IGNORE or (heard.best is None and heard.decision is not Decision.AGAIN):
        return attention, Meant(False, Why.NOT_OURS)
    match attention.mode:
        case Mode.OPEN:
            return _after(attention, heard), Meant(True, Why.OPEN)
        case Mode.NAME if named:
            return _after(_attentive(attention, heard.end_s), heard), Meant(True, Why.NAME)
        case Mode.NAME if heard.start_s <= attention.attentive_until_s:
            return _after(_attentive(attention, heard.end_s), heard), Meant(True, Why.WINDOW)
        case Mode.PEDAL if heard.start_s <= attention.attentive_until_s:
            return _after(attention, heard), Meant(True, Why.PEDAL)
    return attention, Meant(False, Why.NO_PEDAL if attention.mode is Mode.PEDAL else Why.NO_NAME)


def pressed(attention: Attention, now_s: float) -> Attention:
    """The pedal was pressed: the next utterance is ours; it also wakes."""
    return _attentive(replace(attention, asleep=False), now_s)


def replied(attention: Attention, end_s: float, asked: bool = False) -> Attention:
    """We spoke until `end_s`; `asked` where the reply is a question. The answer needs no name.

    With a pedal only a question leaves the window open: whoever presses a pedal wants to be deaf otherwise.
    """
    if attention.mode is Mode.NAME or (attention.mode is Mode.PEDAL and asked):
        return _attentive(attention, end_s)
    return attention


def wished(attention: Attention, wishes: dict[str, str]) -> Attention:
    """After what the dialogue asks of the ear: {"attention": "name"}, {"sleep": "1"}, {"sleep": "0"}, {"wake": "1"}."""
    mode = wishes.get("attention", attention.mode)
    if mode in set(Mode):
        attention = replace(attention, mode=Mode(mode))
    if "wake" in wishes or wishes.get("sleep") == "0":
        return replace(attention, asleep=False)
    if "sleep" in wishes:
        return replace(attention, asleep=True, taking_note=False, attentive_until_s=-math.inf)
    return attention


def open_note(attention: Attention, now_s: float) -> Attention:
    """From here on everything is note."""
    return replace(attention, taking_note=True, note_parts=0, note_spoken_s=now_s)


def close_note(attention: Attention) -> Attention:
    return replace(attention, taking_note=False)


def note_is_over(attention: Attention, now_s: float) -> bool:
    """True once nobody has said anything to the note for `note_pause_s`."""
    return attention.taking_note and now_s - attention.note_spoken_s >= attention.note_pause_s


def ends_note(heard: Heard) -> bool:
    """True for a clear "end note"; anything less clear is part of the note."""
    return heard.decision is Decision.ACT and heard.best is not None and heard.best.request.name == "end-note"


def as_note(attention: Attention, heard: Heard) -> Heard:
    """The same utterance as words of the note, whatever command it resembles.

    The first one answers the question that opened the note, the others lengthen it. `attention` is as after `attend`.
    """
    name = "reason" if attention.note_parts <= 1 else "continue-note"
    words = heard.free.strip()
    reading = Reading(words, Request(name, {"text": words}, words), 0.0)
    return replace(heard, best=reading, others=(), doubtful=(), decision=Decision.ACT)


def names_us(name: str, heard: Heard) -> bool:
    """True where the utterance begins with the name, as the grammar or the free reading has it."""
    if not name:
        return False
    if _begins(name, heard.free) > 0:
        return True
    spelt = heard.best.words if heard.best is not None and heard.decision is not Decision.IGNORE else ""
    count = _begins(name, spelt)
    return count > 0 and _is_nearer(heard.free, _words(spelt), _words(spelt)[count:])


def _is_nearer(free: str, named: list[str], bare: list[str]) -> bool:
    """Whether the free reading is no less like the phrase with the name than without.

    Where the name must be said, every phrase of the grammar begins with it, whether or not it was.
    """
    letters = "".join(_words(free))
    return Levenshtein.distance(letters, "".join(named)) <= Levenshtein.distance(letters, "".join(bare))


def rest_after_name(name: str, heard: Heard) -> str:
    """The free reading without the name it begins with."""
    words = _words(heard.free)
    return " ".join(words[_begins(name, heard.free) :])


def _begins(name: str, text: str) -> int:
    """How many of the text's first words sound like the name; 0 for none."""
    words = _words(text)
    length = len(_words(name))
    best, taken = _NAME_NEAR, 0
    for count in {max(length - 1, 1), length, length + 1, length + 2}:
        if 0 < count <= len(words):
            far = _apart(name, " ".join(words[:count]))
            if far < best:
                best, taken = far, count
    return taken


def _apart(name: str, words: str) -> float:
    """0 the same, 1 nothing alike: by sound or by letters, whichever is nearer."""
    letters = Levenshtein.normalized_distance(name.replace(" ", ""), words.replace(" ", ""))
    return min(letters, sounds_like_distance(name, words))


def _words(text: str) -> list[str]:
    return re.findall(r"[\w']+", text.casefold())


def _asleep(attention: Attention, heard: Heard) -> tuple[Attention, Meant]:
    best = heard.best
    if best is None or heard.decision is not Decision.ACT or best.request.name != "wake":
        return attention, Meant(False, Why.ASLEEP)
    if attention.mode is Mode.NAME and not names_us(attention.name, heard):
        return attention, Meant(False, Why.ASLEEP)  # songs and colleagues say "wake up" too
    return _attentive(replace(attention, asleep=False), heard.end_s), Meant(True, Why.WOKEN)


def _attentive(attention: Attention, from_s: float) -> Attention:
    until = max(attention.attentive_until_s, from_s + attention.window_s)
    return replace(attention, attentive_until_s=until)


def _after(attention: Attention, heard: Heard) -> Attention:
    """A clear opener without words of its own begins a note."""
    best = heard.best
    if heard.decision is Decision.ACT and best is not None and best.request.name in NOTE_OPENERS:
        text = best.request.slots.get("text", "")
        if not str(text).strip():
            return open_note(attention, heard.end_s)
    return attention


SUGGESTED_NAMES = ("capricorn", "jericho", "domino", "lavender")
"""Of nineteen names tried on four synthesised voices, those that the builtin model wrote right most often. Rare words
fared worst ("tamarack" came out as "Tamara" and "ten mirac"); the doctor tries a name on the person's own voice."""


def fault_of_name(name: str, phrases: frozenset[str]) -> str | None:
    """Why `name` would be a poor name to answer to, among the phrases that can be said; None if it is good."""
    words = _words(name)
    if not words or len(words) > 2:
        return "A name has one or two words."
    if _syllables(name) < 2:
        return f"{name!r} is too short to be heard over noise: take one of two syllables or more."
    near = min(
        ((sounds_like_distance(name, phrase), phrase) for phrase in phrases),
        default=(1.0, ""),
        key=lambda pair: pair[0],
    )
    if near[0] < _NAME_NEAR + 0.1:
        return f"{name!r} sounds like {near[1]!r}, which means something here. Try {SUGGESTED_NAMES[0]!r}."
    return None


def _syllables(name: str) -> int:
    return len(re.findall(r"[aeiouy]+", re.sub(r"e\b", "", name.casefold())))
