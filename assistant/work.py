"""The three ways to work a job: by typed lines, from a recording, by microphone. All go through one session."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from assistant.hearing.ear import Ear
from assistant.hearing.files import Recording, frames
from assistant.hearing.frames import CaptureEvent
from assistant.hearing.recogniser import Recogniser
from assistant.job import codec
from assistant.job.events import Event, Said, kind_of
from assistant.live import Bay, Line, NoKeys, Show
from assistant.logbook.account import Account
from assistant.logbook.rows import written_at
from assistant.logbook.says import VERDICT_SAYS
from assistant.logbook.store import Logbook
from assistant.logbook.tell import account
from assistant.session import Session
from assistant.settings import Settings
from assistant.voice.play import NoOutput, Player
from assistant.voice.talk import Voice

Clock = Callable[[], datetime]


def clock_utc() -> datetime:
    return datetime.now(UTC)


# -- typed ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Exchange:
    """One typed line and what came of it."""

    typed: str
    reply: str
    """On one line."""
    request: str
    """Request name; empty where the line was not understood."""
    slots: dict[str, str]
    events: tuple[Event, ...]
    """Everything that was written into the log, the utterance itself first."""
    ok: bool
    """False where it could not be written down."""

    def as_json(self) -> dict[str, Any]:
        return {
            "typed": self.typed,
            "request": self.request,
            "slots": self.slots,
            "reply": self.reply,
            "events": [event_as_json(event) for event in self.events],
        }


def event_as_json(event: Event) -> dict[str, Any]:
    return {
        "seq": event.seq,
        "at": written_at(event.at),
        "person": event.person,
        "step": event.step,
        "kind": kind_of(event.body),
        "body": codec.to_json(event.body),
    }


def typed(session: Session, lines: Iterable[str], clock: Clock = clock_utc) -> Iterator[Exchange]:
    """Answers line by line until the lines end or the job is finished. Blank lines are passed over."""
    for line in lines:
        words = line.strip()
        if not words:
            continue
        now = clock()
        for reply in session.tick(now):
            yield Exchange("", reply.text, "", {}, session.written, not session.unwritten)
        outcome = session.take_typed(words, now)
        said = next((event.body for event in session.written if isinstance(event.body, Said)), None)
        yield Exchange(
            words,
            " ".join(outcome.reply.text.split()),
            said.request if said else "",
            dict(said.slots) if said else {},
            session.written,
            not session.unwritten,
        )
        if session.is_over:
            return


# -- from a recording ------------------------------------------------------------


class StreamClock:
    """The time of a recording: its beginning, and as far as it has been heard."""

    def __init__(self, began: datetime) -> None:
        self._began = began
        self.at_s = 0.0

    def __call__(self) -> datetime:
        return self._began + timedelta(seconds=self.at_s)


def recorded(
    session: Session,
    sound: Iterable[CaptureEvent],
    recogniser: Recogniser,
    settings: Settings,
    show: Show,
    began: datetime,
) -> None:
    """Works a job from sound that was recorded: heard as a microphone would have heard it, as fast as can be read.

    The log's times are those of the recording, counted from `began`.
    """
    clock = StreamClock(began)
    voice = Voice(None, Player(NoOutput()), settings.manner)
    bay = Bay(session, Ear(recogniser), voice, settings.ear, settings.voice, NoKeys(), show, lambda o, v: None, clock)
    try:
        for event in sound:
            clock.at_s = event.at_s
            bay.take(event)
            if session.is_over:
                return
        bay.end()
    finally:
        voice.close()


def sound_of(recording: Recording) -> Iterator[CaptureEvent]:
    yield from frames(recording)


# -- what a screen or a pipe shows -------------------------------------------------


def line_as_json(line: Line) -> str:
    """One line of the conversation as a JSON object."""
    shown = {"at": written_at(line.at), "what": str(line.what), "text": line.text}
    if line.why:
        shown["why"] = line.why
    return json.dumps(shown, ensure_ascii=False)


@dataclass(frozen=True, slots=True)
class Ending:
    """What a job came to, in lines."""

    parts: tuple[tuple[str, tuple[str, ...]], ...]
    """Done, torqued, measured, noted, left open: title and lines."""
    log: tuple[str, ...]
    """Where the log is, and how to look at it."""
    account: Account

    def as_json(self) -> dict[str, Any]:
        return {"ending": {title: list(lines) for title, lines in self.parts}, "log": list(self.log)}


def ending(session: Session, logbook: Logbook, folder: Path) -> Ending:
    """The sum of a job as it stands in its log."""
    told = account(logbook, logbook.find_job(session.writer.name))
    done = [step for step in told.steps if step.how == "done"]
    skipped = [step for step in told.steps if step.how == "skipped"]
    parts = (
        ("Done", tuple(f"{step.number:>2}. {step.says}" for step in done)),
        ("Skipped", tuple(f"{step.number:>2}. {step.says} Reason: {step.reason}" for step in skipped)),
        (
            "Torqued",
            tuple(f"{t.fastener}: {t.value} {t.unit}, card {t.limit}, {VERDICT_SAYS[t.verdict]}" for t in told.torques),
        ),
        (
            "Measured",
            tuple(f"{r.measure}: {r.value} {r.unit}, {VERDICT_SAYS[r.verdict]}" for r in told.readings),
        ),
        ("Noted", tuple(f"{n.text}{f' ({n.about})' if n.about else ''}" for n in told.notes)),
        ("Left open", tuple(f"{item.name}: {item.says}" for item in told.open)),
    )
    name = session.writer.name
    home = shlex.quote(str(folder))
    log = (
        f"{folder}, job {name}, {told.job.events} entries, last hash {told.job.last_hash[:16]}",
        f"look at it with: bay log {name} --home {home}",
        f"hear it again with: bay replay {name} --voice --home {home}",
    )
    return Ending(parts, log, told)
