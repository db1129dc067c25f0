"""Who may come in, and who may not; what every answer carries."""

from __future__ import annotations

import asyncio
import re

import httpx
import pytest
from starlette.responses import PlainTextResponse

from assistant.board.gate import COOKIE, WITHIN_S, WRONG_KEYS, Gate

HOST = "127.0.0.1:8717"
KEY = "k3y-of-the-shop"


class Clock:
    now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def ask(clock):
    """`ask("/x", key=KEY, headers={})`: one request through a gate, which is kept from one to the next."""
    gates: dict[str, Gate] = {}

    def run(path="/", *, key="", method="GET", visitor="10.0.0.9", cookies=None, **headers) -> httpx.Response:
        if key not in gates:
            gates[key] = Gate(PlainTextResponse("inside"), frozenset({HOST, "localhost:8717"}), key, clock)

        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(gates[key], client=(visitor, 4711))
            async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}", cookies=cookies) as client:
                named = {name.replace("_", "-"): value for name, value in headers.items()}
                return await client.request(method, path, headers=named)

        return asyncio.run(once())

    return run


def test_on_loopback_the_pages_are_open(ask):
    assert ask("/").text == "inside"


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8717", ""])
def test_another_name_for_this_machine_is_refused(ask, host):
    """DNS rebinding: a page from elsewhere that has its own name point here."""
    answer = ask("/", host=host)
    assert answer.status_code == 421
    assert "inside" not in answer.text


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:9999"])
def test_another_site_may_not_read(ask, origin):
    assert ask("/stream", origin=origin).status_code == 403


def test_our_own_origin_may(ask):
    assert ask("/stream", origin=f"http://{HOST}").status_code == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_site_may_not_embed(ask, site):
    assert ask("/jobs/1/clips/2", sec_fetch_site=site, sec_fetch_mode="no-cors").status_code == 403
    assert ask("/jobs", sec_fetch_site=site, sec_fetch_mode="navigate").status_code == 200, "a link may lead here"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_pages_are_only_read(ask, method):
    assert ask("/", method=method).status_code == 405


def test_every_answer_carries_its_policy(ask):
    for answer in (ask("/"), ask("/", host="evil.example"), ask("/", key=KEY)):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert answer.headers["cache-control"] == "no-store"


def test_in_the_network_nothing_is_shown_without_the_key(ask):
    for path in ("/", "/board", "/jobs", "/static/board.css", "/stream"):
        answer = ask(path, key=KEY)
        assert answer.status_code == 401
        assert "inside" not in answer.text


def test_the_key_in_the_address_gives_a_cookie_and_leaves_the_address(ask):
    answer = ask(f"/board?theme=dark&key={KEY}", key=KEY)
    assert answer.status_code == 200
    assert "/board?theme=dark" in answer.text
    assert KEY not in answer.text
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert KEY not in cookie
    value = cookie.split("=", 1)[1].split(";")[0]
    assert ask("/board", key=KEY, cookies={COOKIE: value}).text == "inside"
    forged = value[:-1] + ("1" if value.endswith("0") else "0")
    assert ask("/board", key=KEY, cookies={COOKIE: forged}).status_code == 401
    assert ask("/board", key="another", cookies={COOKIE: value}).status_code == 401, "a cookie of an earlier key"


@pytest.mark.parametrize("path", ["//evil.example/x", "/\\evil.example", "//evil.example"])
def test_the_way_on_leads_nowhere_else(ask, path):
    page = ask(f"{path}?key={KEY}", key=KEY).text
    there = re.search(r'content="0;url=([^"]*)"', page)[1]
    assert re.match(r"/(?![/\\])", there), there


@pytest.mark.parametrize("wrong", ["", "K3Y-OF-THE-SHOP", KEY + "x", KEY[:-1], "ключ", "%00", "a" * 5000])
def test_a_wrong_key_is_no_key(ask, wrong):
    answer = ask(f"/board?key={wrong}", key=KEY)
    assert answer.status_code == 401
    assert "set-cookie" not in answer.headers


def test_whoever_guesses_has_to_wait_and_others_do_not(ask, clock):
    for _ in range(WRONG_KEYS):
        assert ask("/?key=guess", key=KEY, visitor="10.0.0.66").status_code == 401
    answer = ask(f"/?key={KEY}", key=KEY, visitor="10.0.0.66")
    assert answer.status_code == 429, "even the right one, or a guess could be told from a wait"
    assert int(answer.headers["retry-after"]) <= WITHIN_S + 1
    assert ask(f"/?key={KEY}", key=KEY, visitor="10.0.0.7").status_code == 200
    clock.now += WITHIN_S + 1
    assert ask(f"/?key={KEY}", key=KEY, visitor="10.0.0.66").status_code == 200


def test_guesses_from_many_addresses_have_to_wait_too(ask):
    seen = [ask("/?key=guess", key=KEY, visitor=f"10.0.{n // 250}.{n % 250}").status_code for n in range(130)]
    assert seen[:120] == [401] * 120
    assert set(seen[120:]) == {429}


def test_guessing_keeps_nobody_out_who_is_in(ask):
    value = ask(f"/?key={KEY}", key=KEY).headers["set-cookie"].split("=", 1)[1].split(";")[0]
    for n in range(130):
        ask("/?key=guess", key=KEY, visitor=f"10.1.0.{n}")
    assert ask("/board", key=KEY, cookies={COOKIE: value}).text == "inside"
