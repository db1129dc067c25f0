"""The report as one HTML file that needs nothing else: style, drawings and, if asked for, sound are inside it."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from datetime import datetime, tzinfo

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from assistant.job.events import Answered, Event, Noted, Said, Withdrawn
from assistant.logbook.account import Account
from assistant.logbook.errors import LogbookError
from assistant.logbook.hours import clock_says
from assistant.logbook.report import TEMPLATES, grouped, hours_of, strays, verdict_says
from assistant.logbook.says import figure


def as_html(
    told: Account,
    events: Sequence[Event],
    *,
    zone: tzinfo | None = None,
    clip: Callable[[str], bytes] | None = None,
) -> str:
    """`clip` reads a sound clip by its hash; with it the conversation can be listened to."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip

    def day(at: datetime) -> str:
        local = at.astimezone(zone)
        return f"{local.day} {local:%B %Y, %H:%M}"

    hour = hours_of(told, zone)
    environment.filters.update(
        day=day, hour=hour, figure=figure, clock=clock_says, verdict=verdict_says, drawing=Markup
    )
    longest = max((s.worked_s for s in told.sections), default=0.0) or 1.0
    return environment.get_template("report.html").render(
        told=told,
        job=told.job,
        groups=grouped(told.readings),
        strays=strays(told),
        longest=longest,
        talk=list(_talk(events)),
        sound=lambda sha256: _sound(sha256, clip),
        numbers={s.id: s.number for s in told.steps},
        zone_name=f"{told.job.started.astimezone(zone):%Z}" or "UTC",
    )


def _talk(events: Sequence[Event]) -> list[Event]:
    """What was said by either side, and what was taken back."""
    return [e for e in events if isinstance(e.body, Said | Answered | Withdrawn | Noted) and not _is_echo(e)]


def _is_echo(event: Event) -> bool:
    """A note that came with its utterance is told there."""
    return isinstance(event.body, Noted) and event.group > 0


def _sound(sha256: str, clip: Callable[[str], bytes] | None) -> str:
    """The clip as a data address; empty where none is wanted or kept."""
    if clip is None or not sha256:
        return ""
    try:
        return "data:audio/flac;base64," + base64.b64encode(clip(sha256)).decode()
    except LogbookError:
        return ""
