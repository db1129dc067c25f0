"""Who may come in: every request passes here first.

On loopback alone no key is asked for; the Host check keeps other sites' pages out (DNS rebinding). Open to the shop's
network, each visitor brings the key once, in the address that was printed, and has a cookie from then on.
"""

from __future__ import annotations

import hashlib
import hmac
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from urllib.parse import urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "bay_key"
WRONG_KEYS, WITHIN_S = 6, 60.0
"""So many wrong keys from one address within so many seconds, and it has to wait."""
WRONG_KEYS_IN_ALL = 120
"""The same from all addresses together."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
PAPER_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'; sandbox"
)
"""For the report, a file that carries its style inside: it may run nothing at all."""
_ALWAYS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "microphone=(), camera=(), geolocation=()",
    "x-frame-options": "DENY",
}


@dataclass
class Gate:
    """ASGI middleware. `hosts`: what the Host header may say, with its port. `key`: empty on loopback alone."""

    app: ASGIApp
    hosts: frozenset[str]
    key: str = ""
    clock: Callable[[], float] = time.monotonic
    _wrong: dict[str, deque[float]] = field(default_factory=dict)
    _wrong_in_all: deque[float] = field(default_factory=deque)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                for name, value in _ALWAYS.items():
                    answer[name] = value
                answer.setdefault("content-security-policy", POLICY)
                answer.setdefault("cache-control", "no-store")
            await send(message)

        refusal = self._refusal(scope, headers)
        await (refusal or self.app)(scope, receive, with_headers)

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        if scope["method"] not in ("GET", "HEAD"):
            return _plain(405, "These pages are only read.", {"allow": "GET, HEAD"})
        host = headers.get("host", "").lower()
        if host not in self.hosts:
            return _plain(421, "This is not the address of the board. Use the one that `bay board` printed.")
        origin = headers.get("origin")
        if origin is not None and _host_in(origin) not in self.hosts:
            return _plain(403, "Another site may not read these pages.")
        site, mode = headers.get("sec-fetch-site", "none"), headers.get("sec-fetch-mode", "navigate")
        if site in ("cross-site", "same-site") and mode != "navigate":
            return _plain(403, "Another site may not read these pages.")
        return self._key_refusal(scope, headers) if self.key else None

    def _key_refusal(self, scope: Scope, headers: Headers) -> Response | None:
        request = Request(scope)
        given = request.query_params.get("key")
        if given is None:
            if hmac.compare_digest(request.cookies.get(COOKIE, "").encode(), self._cookie()):
                return None
            return _plain(401, "Open the address that `bay board --lan` printed, or scan its code: it carries the key.")
        visitor = request.client.host if request.client else ""
        wait_s = self._must_wait(visitor)
        if wait_s > 0:
            return _plain(429, "Too many wrong keys. Wait a minute.", {"retry-after": str(int(wait_s) + 1)})
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self.key.encode()):
            self._note_wrong(visitor)
            return _plain(401, "That is not the key.")
        rest = [(k, v) for k, v in request.query_params.multi_items() if k != "key"]
        return self._welcome(scope["path"] + (f"?{urlencode(rest)}" if rest else ""))

    def _welcome(self, where: str) -> Response:
        """A page of our own that goes on by itself: the visitor's next request is ours, so the strict cookie comes
        along, and the key is out of the address."""
        there = escape("/" + where.lstrip("/\\"))
        page = (
            '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>Board</title>'
            f'<meta http-equiv="refresh" content="0;url={there}"><p><a href="{there}">Go on</a></p></html>'
        )
        answer = HTMLResponse(page)
        answer.set_cookie(COOKIE, self._cookie().decode(), httponly=True, samesite="strict", max_age=30 * 24 * 3600)
        return answer

    def _cookie(self) -> bytes:
        """What the cookie holds: made of the key, and not the key."""
        return hmac.new(self.key.encode(), b"bay board cookie", hashlib.sha256).hexdigest().encode()

    def _must_wait(self, visitor: str) -> float:
        now = self.clock()
        for times, most in ((self._wrong.get(visitor, deque()), WRONG_KEYS), (self._wrong_in_all, WRONG_KEYS_IN_ALL)):
            while times and now - times[0] > WITHIN_S:
                times.popleft()
            if len(times) >= most:
                return WITHIN_S - (now - times[0])
        return 0.0

    def _note_wrong(self, visitor: str) -> None:
        now = self.clock()
        if len(self._wrong) > 1000:
            self._wrong = {v: t for v, t in self._wrong.items() if t and now - t[-1] <= WITHIN_S}
        self._wrong.setdefault(visitor, deque()).append(now)
        self._wrong_in_all.append(now)


def _host_in(origin: str) -> str:
    """Host and port of an origin; empty for what is none."""
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return ""


def _plain(status: int, text: str, headers: dict[str, str] | None = None) -> Response:
    return PlainTextResponse(text + "\n", status, headers)
