"""Keeps an eye on the logbook, and passes what changed on to every viewer of the bay's screen.

One task asks SQLite, some times a second, whether anyone wrote; only then are the new events read, folded and drawn,
once for all viewers. A viewer that is slow misses what lay between and gets the newest.
"""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import os
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from assistant.board.bay_view import BayView, bay_view
from assistant.errors import BayError
from assistant.job.errors import JobError
from assistant.job.events import Event
from assistant.job.plan import Plan
from assistant.job.state import State, apply, begin
from assistant.logbook.errors import LogbookError, NoSuchJob
from assistant.logbook.schema import DATABASE
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.tell import card_of

ASK_S = 0.12
"""How often the store is asked whether it changed, seconds."""
LOOK_AGAIN_S = 5.0
"""How often it is drawn anew though nothing changed: the job may have gone quiet."""
PING_S = 10.0
"""A sign of life to viewers, so that a dead line is noticed."""
RECENT = 40
"""Events kept to show what was heard last."""


@dataclass
class Follower:
    """One job, or whichever is the latest, folded as far as it was read."""

    wanted: str
    """Name of a job; empty for the one last worked at."""
    job: JobSummary | None = None
    state: State | None = None
    recent: list[Event] = field(default_factory=list)
    plans: dict[str, Plan] = field(default_factory=dict)

    def look(self, logbook: Logbook, now: datetime) -> BayView | None:
        """The view as of now; None where there is no job. Raises LogbookError."""
        try:
            job = logbook.find_job(self.wanted or None)
        except NoSuchJob:
            if self.wanted:
                raise
            self.job = self.state = None
            return None
        if self.job is None or self.state is None or job.name != self.job.name or job.events < self.job.events:
            self.state, self.recent, after = begin(self._plan(logbook, job)), [], 0
        else:
            after = self.job.events
        if job.events > after:
            for event in logbook.each_event(job, after):
                self._take(event)
        self.job = job
        assert self.state is not None
        return bay_view(job, self.state, self.recent, now, held=logbook.holder(job.name) is not None)

    def _plan(self, logbook: Logbook, job: JobSummary) -> Plan:
        if job.card_sha256 not in self.plans:
            self.plans = {job.card_sha256: Plan(card_of(logbook, job))}
        return self.plans[job.card_sha256]

    def _take(self, event: Event) -> None:
        assert self.state is not None
        with contextlib.suppress(JobError):  # written by other rules: `report` tells of it
            self.state = apply(self.state, event)
        self.recent = [*self.recent[-RECENT:], event]


@dataclass
class Channel:
    """What the viewers of one page get."""

    follower: Follower
    page: str = ""
    mark: str = ""
    """Of the page's content, so that a screen that has it already does not draw it again."""
    version: int = 0
    viewers: int = 0
    changed: asyncio.Condition = field(default_factory=asyncio.Condition)


Draw = Callable[[BayView | None, str], str]
"""View (None: no job) and trouble (empty: none) to HTML."""


class Watch:
    """Start it with `run`; `channel` and `stream` serve the viewers. `now`: the clock, aware."""

    def __init__(self, folder: Path, draw: Draw, now: Callable[[], datetime]) -> None:
        self.folder = folder
        self._draw, self._now = draw, now
        self._logbook: Logbook | None = None
        self._inode: tuple[int, int] = (0, 0)
        self._channels: dict[str, Channel] = {}
        self._lock = asyncio.Lock()
        self.readings = 0
        """How often the store was read; for tests and benchmarks."""

    @property
    def viewers(self) -> int:
        return sum(c.viewers for c in self._channels.values())

    async def run(self) -> None:
        """Until cancelled. A store that is away is looked for again and again."""
        version, drawn_at = -1, 0.0
        clock = asyncio.get_running_loop().time
        while True:
            due = clock() - drawn_at >= LOOK_AGAIN_S
            seen = self._version(check_file=due)
            if seen != version or due:
                version, drawn_at = seen, clock()
                for channel in list(self._channels.values()):
                    if channel.viewers:
                        await self._refresh(channel)
            await asyncio.sleep(ASK_S)

    async def page(self, wanted: str) -> tuple[Channel, str]:
        """The page as it stands for someone who just came. Raises NoSuchJob for a job that is not there."""
        channel = self._channels.get(wanted)
        if channel is None:
            channel = Channel(Follower(wanted))
            if len(self._channels) >= 64:
                self._channels = {w: c for w, c in self._channels.items() if c.viewers}
            self._channels[wanted] = channel
        if not channel.viewers:
            await self._refresh(channel)
        return channel, channel.page

    async def stream(self, channel: Channel) -> AsyncIterator[bytes]:
        """Server-sent events: the page now, and whenever it changes."""
        seen = -1
        channel.viewers += 1
        try:
            yield b"retry: 1000\n\n"
            while True:
                if channel.version != seen:
                    seen = channel.version
                    yield _event(channel.page, channel.mark)
                    continue
                try:
                    async with asyncio.timeout(PING_S), channel.changed:
                        while channel.version == seen:
                            await channel.changed.wait()
                except TimeoutError:
                    yield b": still here\n\n"
        finally:
            channel.viewers -= 1

    def close(self) -> None:
        if self._logbook is not None:
            self._logbook.close()
            self._logbook = None

    # -- reading -------------------------------------------------------------

    def _version(self, *, check_file: bool) -> int:
        """Changes when anyone wrote; -2 while the store is away."""
        if check_file and self._logbook is not None and self._file() != self._inode:
            self.close()
        try:
            return self._opened().version()
        except LogbookError:
            self.close()
            return -2

    def _opened(self) -> Logbook:
        if self._logbook is None:
            self._logbook = Logbook.open(self.folder, read_only=True)
            self._inode = self._file()
        return self._logbook

    def _file(self) -> tuple[int, int]:
        """Which file the name leads to now: a store that was moved away or put back is another one."""
        try:
            there = os.stat(self.folder / DATABASE)
        except OSError:
            return 0, 0
        return there.st_dev, there.st_ino

    async def _refresh(self, channel: Channel) -> None:
        async with self._lock:
            page = await asyncio.to_thread(self._drawn, channel.follower)
        if page != channel.page:
            async with channel.changed:
                channel.page, channel.mark = page, hashlib.sha256(page.encode()).hexdigest()[:16]
                channel.version += 1
                channel.changed.notify_all()

    def _drawn(self, follower: Follower) -> str:
        self.readings += 1
        try:
            return self._draw(follower.look(self._opened(), self._now()), "")
        except (BayError, JobError) as trouble:
            follower.state = None
            return self._draw(None, str(trouble))


def _event(page: str, mark: str) -> bytes:
    lines = "".join(f"data: {line}\n" for line in page.splitlines())
    return f"id: {mark}\nevent: page\n{lines}\n".encode()
