"""A job told again: the conversation with its times, at one's own pace. The keys, the screen, the sound and the
clock's waiting are passed in, so that the walking through it stands alone."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from assistant.job.events import Event, Said
from assistant.logbook.words import Names, in_words, printable, sort_of

SLOWEST, FASTEST = 0.25, 64.0
"""Limits of the speed: 1 is as it was."""
LONGEST_S = 3.0
"""A silence in the job is told in at most this long, at speed 1; the clock beside the line says how long it was."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the replay."""

    seq: int
    at: datetime
    gap_s: float
    """Since the line before, seconds; never below 0."""
    who: str
    """Person, or "bay" for the assistant's own words; empty for what was only written down."""
    text: str
    sort: str
    """As words.sort_of; `reply` for the answer to what was heard."""
    step: str
    decision: str
    """Of what was heard: act, confirm, again, ignore, typed."""
    clip: str
    """SHA-256; empty where there is none."""


class Aloud(Protocol):
    """What a replay with sound needs; each call returns when it has been heard."""

    def clip(self, sha256: str) -> None: ...

    def speak(self, text: str) -> None: ...


class Screen(Protocol):
    """Where a replay is shown."""

    def line(self, line: Line) -> None: ...

    def remark(self, text: str) -> None: ...

    def ask(self, prompt: str) -> str: ...


Keys = Callable[[float], str]
"""Waits so many seconds for a key: " ", "left", "right", "up", "down", "/", "n", "q", or "" when none came."""


def lines_of(
    events: Iterable[Event], name: Names, *, only: Collection[str] = (), from_step: str = "", everything: bool = False
) -> list[Line]:
    """The job's lines. `only`: sorts to show (torque, reading, note, override); none means the conversation and what
    came of it. `from_step`: from the first event at that step. `everything`: each deed and step change as well."""
    told: list[Line] = []
    last: datetime | None = None
    begun = not from_step
    for event in events:
        begun = begun or event.step == from_step or getattr(event.body, "step", "") == from_step
        if not begun:
            continue
        for line in _lines(event, name, last):
            if _wanted(line, only, everything):
                told.append(line)
                last = event.at
    return told


def _wanted(line: Line, only: Collection[str], everything: bool) -> bool:
    if only:
        return line.sort in only
    return everything or line.sort not in ("step", "deed")


def _lines(event: Event, name: Names, last: datetime | None) -> Iterable[Line]:
    gap = max(0.0, (event.at - last).total_seconds()) if last else 0.0
    body = event.body
    text = in_words(event, name)
    if isinstance(body, Said):
        who = printable(event.person) or "unnamed"
        yield Line(event.seq, event.at, gap, who, text, "heard", event.step, body.decision, body.clip)
        if body.reply:
            yield Line(event.seq, event.at, 0.0, "bay", printable(body.reply), "reply", event.step, "", "")
    elif text:
        sort = sort_of(body)
        who = "bay" if sort == "spoken" else ""
        # the sound of a note that came with its utterance was heard there
        clip = getattr(body, "clip", "") if event.group == 0 else ""
        yield Line(event.seq, event.at, gap, who, text, sort, event.step, "", clip)


def replay(
    lines: Sequence[Line], screen: Screen, keys: Keys, *, speed: float = 1.0, aloud: Aloud | None = None
) -> None:
    """Tells the lines one after the other. Space holds and goes on, right is the next line at once, left the one
    before, up and down faster and slower, / searches forward, n the next hit, q ends."""
    at, held, sought = 0, False, ""
    pace = min(max(speed, SLOWEST), FASTEST)
    while at < len(lines):
        line = lines[at]
        screen.line(line)
        if aloud is not None and not held:
            if line.clip:
                aloud.clip(line.clip)
            elif line.who == "bay":
                aloud.speak(line.text)
        following = lines[at + 1].gap_s if at + 1 < len(lines) else 0.0
        left = min(following, LONGEST_S) / pace
        while True:
            if held:
                key = keys(3600.0)
            elif at + 1 >= len(lines):
                return
            else:
                key = keys(left)
            match key:
                case "":
                    if held:
                        continue
                    at += 1
                case " ":
                    held = not held
                    screen.remark("held: space goes on" if held else "going on")
                    if held:
                        continue
                    at += 1
                case "right":
                    if at + 1 >= len(lines):
                        screen.remark("end of the job")
                        continue
                    at += 1
                case "left":
                    at = max(0, at - 1)
                case "up" | "down":
                    pace = min(max(pace * (2 if key == "up" else 0.5), SLOWEST), FASTEST)
                    screen.remark(f"speed {pace:g}")
                    continue
                case "/" | "n":
                    if key == "/":
                        sought = screen.ask("search: ") or sought
                    hit = found(lines, sought, at + 1)
                    if hit is None:
                        screen.remark(f"nothing more with {sought!r}" if sought else "nothing to search for")
                        continue
                    at, held = hit, True
                case "q":
                    return
                case _:
                    continue
            break


def found(lines: Sequence[Line], words: str, start: int) -> int | None:
    """Index of the first line from `start` that holds the words, whatever their capitals."""
    words = words.strip().casefold()
    if not words:
        return None
    return next((n for n in range(start, len(lines)) if words in lines[n].text.casefold()), None)
