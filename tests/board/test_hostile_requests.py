"""Whatever is asked of the pages, by whatever address, method and headers: an answer in words, never a fault inside.

There is no OpenAPI description to draw requests from, so they are drawn from the routes themselves. They are written
to the connection as they stand, since a client would tidy them up.
"""

from __future__ import annotations

import re
import socket
from collections import deque
from dataclasses import dataclass
from itertools import repeat
from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from assistant.board import serve as serve_module
from assistant.board.app import Pages
from tests.board.conftest import Served

OUTSIDE = "written to a file outside the store"
HOSTILE = (
    "", "1", "2", "0", "-1", "99999999999999999999", "nosuch", "..", ".", "../..", "..%2f..%2f", "%2e%2e%2f", "%00",
    "%ff", "%25", "%c0%ae%c0%ae/", "%u2216", "\\..\\", "//", "C:%5C", "~root", "etc/passwd", "'%20OR%201=1--",
    "<script>alert(1)</script>", "{{7*7}}", "${7*7}", "%0d%0aSet-Cookie:%20a=b", "a" * 3000, "1%27", "logbook.sqlite3",
    "%F0%9F%94%A7", "2026-03-02-01", "2026-03-02-*", "*", "?", "#", ";", "%2f" * 40, "\xb2", "1e9", "0x1", "1_0",
)  # fmt: skip
METHODS = ("GET",) * 6 + ("HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "PATCH", "get", "BREW")
NAMES = ("q", "page", "only", "at", "before", "card", "theme", "paper", "key", "nosuch", "", "q[]")
HEADERS = (
    "Range", "Origin", "Referer", "Cookie", "Sec-Fetch-Site", "Sec-Fetch-Mode", "If-None-Match", "If-Modified-Since",
    "Accept", "Accept-Language", "Last-Event-ID", "X-Forwarded-For", "X-Forwarded-Host", "X-HTTP-Method-Override",
    "Content-Type", "Upgrade", "Expect", "User-Agent",
)  # fmt: skip
VALUES = (
    "bytes=\xb2-", "bytes=0-\xb3", "bytes=" + "9" * 5000 + "-", "bytes=-0", "bytes=5-3", "bytes=--1", "bytes=0-,0-",
    "http://[", "http://]", "null", "http://127.0.0.1", "http://evil.example", "https://127.0.0.1:1@evil.example",
    "bay_key=x", "bay_key=\xff", 'bay_key="\\', "cross-site", "same-origin", "no-cors", "*/*;q=nan", "websocket",
    "100-continue", "", "\t", "()", "<script>", "%00", "\xe9", "a" * 2000, "DELETE", "text/html", "1",
)  # fmt: skip


def routes() -> list[str]:
    return [route.path for route in Pages(Path("/nowhere"), lambda: pytest.fail("no clock is asked for")).routes()]


def filled(route: str, values: list[str]) -> str:
    """The route's address with hostile values where it has a name of its own."""
    left = iter(values)
    return re.sub(r"\{[^}]*\}", lambda _: quote(next(left), safe="%/.?#;\\~*'<>{}$:_-"), route)


text = st.text(st.characters(codec="latin-1", exclude_characters="\r\n\x00"), max_size=60)
values = st.one_of(st.sampled_from(HOSTILE), text.map(lambda words: quote(words.encode("latin-1"))))
addresses = st.builds(
    lambda route, filling, more: filled(route, filling) + more,
    st.sampled_from(routes()),
    st.lists(values, min_size=2, max_size=2),
    st.one_of(st.just(""), values.map(lambda value: "/" + quote(value, safe="%/"))),
)
queries = st.lists(st.tuples(st.sampled_from(NAMES), values), max_size=3).map(
    lambda pairs: "&".join(f"{name}={quote(value, safe='%')}" for name, value in pairs)
)
headers = st.lists(st.tuples(st.sampled_from(HEADERS), st.one_of(st.sampled_from(VALUES), text)), max_size=3)


@dataclass(frozen=True, slots=True)
class Answered:
    status: int
    head: str
    """Lower case."""
    body: bytes
    """Empty for a stream, which never ends."""


def asked(board: Served, method: str, address: str, *headers: tuple[str, str]) -> Answered:
    """One request as it stands, and the answer. Anything but an HTTP answer in good time is a fault."""
    lines = [f"{method} {address} HTTP/1.1", f"Host: 127.0.0.1:{board.port}", "Connection: close"]
    lines += [f"{name}: {value}" for name, value in headers]
    with socket.create_connection(("127.0.0.1", board.port), timeout=20) as line:
        line.sendall("\r\n".join([*lines, "", ""]).encode("latin-1"))
        came = b""
        while b"\r\n\r\n" not in came:
            more = line.recv(65536)
            assert more, f"no answer: {came!r}"
            came += more
        head, _, body = came.partition(b"\r\n\r\n")
        told = head.decode("latin-1").lower()
        if "text/event-stream" not in told:
            while more := line.recv(65536):
                body += more
    return Answered(int(told.split()[1]), told, b"" if "text/event-stream" in told else body)


def holds(answer: Answered) -> None:
    assert answer.status < 500, answer
    for inside in (b"Traceback", b"SQLite format", b"root:x:", OUTSIDE.encode(), b"site-packages"):
        assert inside not in answer.body, answer
    if "content-type: application/pdf" not in answer.head:  # a PDF's title is what was typed, and no page's markup
        assert b"<script>alert" not in answer.body
    lines = answer.head.splitlines()  # the address that somebody is sent on to may hold it percent-encoded, as asked
    assert not any("set-cookie" in line for line in lines if not line.startswith("location: "))
    if b"Invalid HTTP request" in answer.body:  # the server itself, before it is a request to anybody
        assert answer.status == 400
        assert "text/plain" in answer.head
        return
    assert "content-security-policy: default-src 'none'" in answer.head, answer
    assert "x-content-type-options: nosniff" in answer.head
    assert "access-control-allow" not in answer.head


@settings(max_examples=250, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.sampled_from(METHODS), addresses, queries, headers)
@example("GET", "/jobs/1/clips/2", "", [("Range", "bytes=\xb2-")])
@example("GET", "/jobs/1/clips/2", "", [("Range", "bytes=" + "9" * 5000 + "-")])
@example("GET", "/jobs", "", [("Origin", "http://[")])
@example("GET", "/board/", "q=%0d%0aSet-Cookie%3A%20a%3Db", [])
def test_no_request_breaks_a_page(
    board: Served,
    method: str,
    address: str,
    query: str,
    headers: list[tuple[str, str]],
) -> None:
    outside = board.folder.parent / "outside"
    if not outside.exists():
        outside.write_text(OUTSIDE)
    holds(asked(board, method, f"{address}?{query}" if query else address, *headers))


@pytest.mark.slow
@settings(max_examples=20_000, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(METHODS), addresses, queries, headers)
def test_no_request_of_twenty_thousand_breaks_a_page(
    board: Served,
    method: str,
    address: str,
    query: str,
    headers: list[tuple[str, str]],
) -> None:
    holds(asked(board, method, f"{address}?{query}" if query else address, *headers))


@pytest.mark.parametrize("route", routes())
@pytest.mark.parametrize("method", sorted(set(METHODS) - {"GET", "HEAD"}))
def test_every_address_is_only_read(board: Served, route: str, method: str) -> None:
    answer = asked(board, method, filled(route, ["1", "1"]))
    holds(answer)
    assert answer.status in (400, 405)


# -- slow visitors ---------------------------------------------------------------------


REQUEST = "GET /jobs HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{more}\r\n"
HOLDS = {
    "the first request without its end": ("", "GET /jobs HTTP/1.1\r\nHost: 127.0.0.1"),
    "a second request without its end": (REQUEST, "GET /jobs HTTP/1.1\r\nHost: 127.0.0.1"),
    "a body without its end": ("", REQUEST.replace("{more}", "Content-Length: 100000\r\n") + "a"),
    "nothing more after an answer": (REQUEST, ""),
}


@pytest.mark.parametrize("way", HOLDS)
def test_nobody_holds_a_connection_without_asking(serving, shop, monkeypatch, way: str) -> None:  # type: ignore[no-untyped-def]
    """However it is begun, and though a letter comes now and then: the board hangs up."""
    monkeypatch.setattr(serve_module, "PATIENCE_S", 0.4)
    there = serving(shop)
    first, then = (part.format(port=there.port, more="") for part in HOLDS[way])
    with socket.create_connection(("127.0.0.1", there.port), timeout=10) as line:
        line.sendall((first + then).encode())
        line.settimeout(0.1)
        for _ in range(100):
            try:
                if line.recv(65536) == b"":
                    return
            except TimeoutError:
                if then:
                    try:
                        line.sendall(b"a")
                    except ConnectionError:
                        return
            except ConnectionError:
                return
    pytest.fail(f"{way}: the connection was still held after ten seconds")


def test_a_visitor_that_does_not_read_is_dropped(serving, shop, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    """It asks for page after page and takes none of them."""
    monkeypatch.setattr(serve_module, "PATIENCE_S", 0.4)
    there = serving(shop)
    with socket.socket() as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        line.settimeout(10)
        line.connect(("127.0.0.1", there.port))
        ask = REQUEST.format(port=there.port, more="").encode() * 20
        with pytest.raises(ConnectionError):
            deque(map(line.sendall, repeat(ask, 10_000)), maxlen=0)
