"""The pages' addresses, and what each is made of. All of it is read-only."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
from collections.abc import AsyncIterator, Callable
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from assistant.board import foreman
from assistant.board.bay_view import BayView
from assistant.board.gate import PAPER_POLICY, Gate
from assistant.board.watch import Watch
from assistant.errors import BayError
from assistant.job.events import Event, Noted, Said
from assistant.job.plan import Plan
from assistant.logbook.account import Account
from assistant.logbook.clips import ClipDamaged, ClipMissing
from assistant.logbook.errors import NoSuchJob
from assistant.logbook.hours import clock_says
from assistant.logbook.report_html import as_html
from assistant.logbook.report_pdf import as_pdf
from assistant.logbook.says import KIND_SAYS, VERDICT_SAYS, figure
from assistant.logbook.search import search
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.tell import card_of, tell

_HERE = Path(__file__).parent
MOST_VIEWERS = 200
"""Screens that may follow the bay at once; one more is told to wait."""
HITS_PER_PAGE = 50
_STATIC = {"board.css", "board.js", "pages.js", "emblem.svg"}


class Pages:
    """All pages of one logbook. `now`: the clock; `zone`: where times are told (None: here)."""

    def __init__(self, folder: Path, now: Callable[[], datetime], zone: tzinfo | None = None) -> None:
        self.folder, self._now, self._zone = folder, now, zone
        self._plans = foreman.Plans()
        self._templates = _environment(zone)
        self.watch = Watch(folder, self.draw, now)

    def draw(self, view: BayView | None, trouble: str) -> str:
        """The bay's screen, what is inside its frame."""
        return self._templates.get_template("bay.html").render(view=view, trouble=trouble, now=self._now())

    def routes(self) -> list[Route]:
        return [
            Route("/", self._first),
            Route("/board", self._board),
            Route("/board/{job}", self._board),
            Route("/stream", self._stream),
            Route("/stream/{job}", self._stream),
            Route("/jobs", self._jobs),
            Route("/jobs/{job}", self._job),
            Route("/jobs/{job}/clips/{seq:int}", self._clip),
            Route("/jobs/{job}/report.html", self._report),
            Route("/jobs/{job}/report.pdf", self._report_pdf),
            Route("/search", self._search),
            Route("/torques", self._torques),
            Route("/times", self._times),
            Route("/static/{name}", self._static),
        ]

    # -- the bay's screen ------------------------------------------------------

    async def _first(self, request: Request) -> Response:
        return RedirectResponse("/board", 303)

    async def _board(self, request: Request) -> Response:
        wanted = await self._wanted(request)
        channel, inside = await self.watch.page(wanted)
        theme = request.query_params.get("theme", "")
        return self._page(
            "board.html",
            inside=Markup(inside),
            mark=channel.mark,
            stream=f"/stream/{wanted}" if wanted else "/stream",
            theme=theme if theme in ("light", "dark") else "",
            active="board",
        )

    async def _stream(self, request: Request) -> Response:
        wanted = await self._wanted(request)
        if self.watch.viewers >= MOST_VIEWERS:
            return PlainTextResponse("Too many screens follow the bay already.\n", 503, {"retry-after": "10"})
        channel, _ = await self.watch.page(wanted)
        return StreamingResponse(
            self.watch.stream(channel), media_type="text/event-stream", headers={"x-accel-buffering": "no"}
        )

    async def _wanted(self, request: Request) -> str:
        """Full name of the job in the address; empty for none. Raises NoSuchJob."""
        asked = request.path_params.get("job", "")
        if not asked:
            return ""
        return str((await self._read(lambda logbook: logbook.find_job(asked))).name)

    # -- the foreman's pages -----------------------------------------------------

    async def _jobs(self, request: Request) -> Response:
        words, page = _words(request), _number(request)
        try:
            lines, count = await self._read(lambda logbook: foreman.job_lines(logbook, words, page))
        except NoSuchJob:
            lines, count = [], 0
        return self._page(
            "jobs.html", lines=lines, count=count, words=words, page=page, pages=_pages(count, foreman.PER_PAGE),
            active="jobs",
        )  # fmt: skip

    async def _job(self, request: Request) -> Response:
        only = request.query_params.get("only", "")
        only = only if only in foreman.ONLY else ""
        asked, at = _number(request), _number(request, "at", 0)

        def read(logbook: Logbook) -> dict[str, Any]:
            job = logbook.find_job(request.path_params["job"])
            plan = self._plans.of(logbook, job)
            events = logbook.events(job.name)
            lines, page, count = foreman.timeline(events, plan, only=only, page=asked, at=at)
            told = tell(job, events, plan) if plan is not None else None
            pages = _pages(count, foreman.LINES_PER_PAGE)
            holder = logbook.holder(job.name)
            return {"job": job, "lines": lines, "page": page, "pages": pages, "told": told, "holder": holder}

        return self._page("job.html", only=only, active="jobs", **await self._read(read))

    async def _clip(self, request: Request) -> Response:
        def read(logbook: Logbook) -> bytes:
            job = logbook.find_job(request.path_params["job"])
            seq = request.path_params["seq"]
            event = next(iter(logbook.each_event(job, seq - 1)), None) if 0 < seq < 1 << 32 else None
            body = event.body if event is not None and event.seq == seq else None
            sha256 = body.clip if isinstance(body, Said | Noted) else ""
            if not sha256:
                raise ClipMissing("No sound was kept with this entry.")
            return logbook.clip(sha256)

        try:
            content = await self._read(read)
        except ClipMissing as fault:
            return PlainTextResponse(f"{fault}\n", 404)
        except ClipDamaged as fault:
            return PlainTextResponse(f"{fault}\n", 410)
        return _ranged(content, request.headers.get("range", ""))

    async def _report(self, request: Request) -> Response:
        def read(logbook: Logbook) -> str:
            job = logbook.find_job(request.path_params["job"])
            events = logbook.events(job.name)
            return as_html(self._told(logbook, job, events), events, zone=self._zone)

        return HTMLResponse(await self._read(read), headers={"content-security-policy": PAPER_POLICY})

    async def _report_pdf(self, request: Request) -> Response:
        paper = "letter" if request.query_params.get("paper") == "letter" else "a4"

        def read(logbook: Logbook) -> tuple[str, bytes]:
            job = logbook.find_job(request.path_params["job"])
            return job.name, as_pdf(self._told(logbook, job, logbook.events(job.name)), paper=paper, zone=self._zone)

        name, content = await self._read(read)
        headers = {"content-disposition": f'inline; filename="{name}.pdf"'}
        return Response(content, media_type="application/pdf", headers=headers)

    def _told(self, logbook: Logbook, job: JobSummary, events: list[Event]) -> Account:
        """The account by the card as it was read before, where it could be read."""
        plan = self._plans.of(logbook, job) or Plan(card_of(logbook, job))
        return tell(job, events, plan)

    async def _search(self, request: Request) -> Response:
        words = _words(request)
        before = request.query_params.get("before", "")
        place = int(before) if before.isascii() and before.isdigit() and len(before) < 19 else None
        hits = await self._read(lambda logbook: search(logbook, words, limit=HITS_PER_PAGE, before=place))
        more = hits[-1].place if len(hits) == HITS_PER_PAGE else None
        return self._page("search.html", hits=hits, words=words, more=more, active="search")

    async def _torques(self, request: Request) -> Response:
        words = _words(request)
        groups = await self._read(lambda logbook: foreman.torque_groups(logbook, self._plans, words))
        return self._page("torques.html", groups=groups, words=words, active="torques")

    async def _times(self, request: Request) -> Response:
        card = request.query_params.get("card", "")[:80]

        def read(logbook: Logbook) -> dict[str, Any]:
            cards = foreman.cards_worked(logbook)
            chosen = card or (cards[0][0] if cards else "")
            return {"cards": cards, "chosen": chosen, "table": foreman.time_table(logbook, self._plans, chosen)}

        return self._page("times.html", active="times", **await self._read(read))

    async def _static(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in _STATIC:
            return PlainTextResponse("There is no such page.\n", 404)
        kind = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}[name.rpartition(".")[2]]
        return Response(
            (_HERE / "static" / name).read_bytes(), media_type=kind, headers={"cache-control": "max-age=300"}
        )

    # -- plumbing ------------------------------------------------------------------

    async def _read(self, look: Callable[[Logbook], Any]) -> Any:
        """Looks into the logbook on a thread, on a connection of its own."""

        def run() -> Any:
            with Logbook.open(self.folder, read_only=True) as logbook:
                return look(logbook)

        return await run_in_threadpool(run)

    def _page(self, template: str, **values: Any) -> Response:
        return HTMLResponse(self._templates.get_template(template).render(**values))

    async def trouble(self, request: Request, fault: Exception) -> Response:
        status = 404 if isinstance(fault, NoSuchJob) else 503
        response = self._page("trouble.html", told=str(fault), active="")
        response.status_code = status
        return response


def board_app(
    folder: Path, now: Callable[[], datetime], *, hosts: frozenset[str], key: str = "", zone: tzinfo | None = None
) -> Gate:
    """The whole application behind its gate. `hosts`: what the Host header may say; `key`: empty on loopback alone."""
    pages = Pages(folder, now, zone)

    @contextlib.asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        watching = asyncio.create_task(pages.watch.run())
        try:
            yield
        finally:
            watching.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await watching
            pages.watch.close()

    async def no_such_page(request: Request, fault: Exception) -> Response:
        return PlainTextResponse("There is no such page.\n", 404)

    app = Starlette(
        routes=pages.routes(),
        lifespan=lifespan,
        exception_handlers={BayError: pages.trouble, 404: no_such_page},
    )
    app.state.pages = pages
    return Gate(app, hosts, key)


def _environment(zone: tzinfo | None) -> Environment:
    def day(at: datetime) -> str:
        local = at.astimezone(zone)
        return f"{local.day} {local:%b %Y}"

    made = Environment(
        loader=FileSystemLoader(_HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    made.filters.update(
        day=day,
        hour=lambda at: f"{at.astimezone(zone):%H:%M}",
        second=lambda at: f"{at.astimezone(zone):%H:%M:%S}",
        iso=lambda at: at.isoformat(timespec="seconds"),
        clock=clock_says,
        figure=figure,
        verdict=lambda v: VERDICT_SAYS.get(v, v),
        kind=lambda k: KIND_SAYS.get(k, k),
        svg=Markup,
    )
    made.globals["style"] = _fingerprint()
    return made


def _fingerprint() -> str:
    """Changes when the static files do, so that no screen keeps an old one."""
    content = b"".join((_HERE / "static" / name).read_bytes() for name in sorted(_STATIC))
    return hashlib.sha256(content).hexdigest()[:10]


def _words(request: Request) -> str:
    return request.query_params.get("q", "").strip()[:200]


def _number(request: Request, name: str = "page", otherwise: int = 1) -> int:
    asked = request.query_params.get(name, "")
    return max(otherwise, int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 8 else otherwise


def _pages(count: int, per_page: int) -> int:
    return max(1, -(-count // per_page))


def _ranged(content: bytes, wanted: str) -> Response:
    """Sound, whole or the part that a player asks for (RFC 9110, one range)."""
    headers = {"accept-ranges": "bytes", "cache-control": "private, max-age=3600"}
    unit, _, span = wanted.partition("=")
    first, dash, last = span.partition("-")
    if unit.strip() != "bytes" or not dash or "," in span or not (first or last):
        return Response(content, media_type="audio/flac", headers=headers)
    if not all(part.isascii() and part.isdigit() and len(part) < 19 for part in (first or "0", last or "0")):
        return Response(content, media_type="audio/flac", headers=headers)
    size = len(content)
    start = int(first) if first else max(0, size - int(last))
    end = min(int(last), size - 1) if first and last else size - 1
    if start > end:
        return Response(status_code=416, headers={"content-range": f"bytes */{size}"})
    headers["content-range"] = f"bytes {start}-{end}/{size}"
    return Response(content[start : end + 1], 206, headers, media_type="audio/flac")
