"""The foreman's pages, over a real connection: what they hold, what they withstand."""

from __future__ import annotations

import contextlib
import re
import shutil
import socket
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.board import serve as serve_module
from assistant.board.errors import NoNetwork, NoPort
from assistant.board.serve import place
from assistant.job.events import Said
from assistant.logbook import Logbook
from tests.board.conftest import fill


@pytest.fixture(scope="module")
def get(board):
    """`get("jobs?q=FC")` -> the answer."""
    with httpx.Client(timeout=20) as client:
        yield lambda path, **headers: client.get(board / path, headers=headers)


@pytest.fixture(scope="module")
def names(shop):
    with Logbook.open(shop, read_only=True) as logbook:
        return {job.number: job.name for job in logbook.jobs()}


PAGES = ["board", "jobs", "jobs/1", "jobs/2", "jobs/3", "search?q=hub", "torques", "times", "jobs/2/report.html",
         "board/2", "jobs/2?only=notes", "jobs/2?only=values", "search", "times?card=wheel-hub"]  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_every_page_is_there_and_nothing_that_was_said_becomes_markup(get, path):
    answer = get(path)
    assert answer.status_code == 200
    page = answer.text
    assert "<img src=x" not in page
    assert "<script>alert" not in page
    assert "{{7*7}}" in page or "49" not in page.split("hub scored", 1)[-1][:80]


@pytest.mark.parametrize("path", PAGES)
def test_nothing_runs_or_is_styled_inside_a_page(get, path):
    answer = get(path)
    if "report.html" in path:
        assert "sandbox" in answer.headers["content-security-policy"]
        return
    page = answer.text
    assert " style=" not in page
    assert " onclick" not in page
    assert "<style" not in page
    assert page.count("<script") == page.count('<script src="/static/')
    assert "http://" not in page.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in page


def test_jobs_are_listed_and_found(get):
    assert get("jobs").text.count("/report.html") == 3
    assert get("jobs?q=fc-311").text.count("/report.html") == 1
    assert "No job of that kind" in get("jobs?q=nothing").text


def test_a_timeline_has_every_word_its_reply_and_a_way_to_hear_it(get, shop, names):
    page = get("jobs/1").text
    with Logbook.open(shop, read_only=True) as logbook:
        events = logbook.events(names[1])
    clips = [e.seq for e in events if isinstance(e.body, Said) and e.body.clip]
    assert page.count('class="play"') == len(clips)
    assert f"/jobs/{names[1]}/clips/{clips[0]}" in page
    assert "hub bolts: 80 N·m" in page
    assert "(taken back)" in page
    assert "step 7 skipped: no grease of that kind here" in page


def test_a_timeline_is_narrowed(get):
    values = get("jobs/1?only=values").text
    assert "bearing play: 0.07 mm, OUTSIDE" in values
    assert "wheel nuts: 140 N·m" in values
    assert 'class="reply"' not in values
    assert "hub scored" in get("jobs/2?only=notes").text


def test_a_clip_is_the_sound_that_was_kept(get, shop, names):
    with Logbook.open(shop, read_only=True) as logbook:
        said = next(e for e in logbook.events(names[1]) if isinstance(e.body, Said) and e.body.clip)
        kept = logbook.clip(said.body.clip)
    whole = get(f"jobs/1/clips/{said.seq}")
    assert whole.content == kept
    assert whole.headers["content-type"] == "audio/flac"
    part = get(f"jobs/1/clips/{said.seq}", range="bytes=4-19")
    assert part.status_code == 206
    assert part.content == kept[4:20]
    assert part.headers["content-range"] == f"bytes 4-19/{len(kept)}"
    assert get(f"jobs/1/clips/{said.seq}", range="bytes=-8").content == kept[-8:]
    assert get(f"jobs/1/clips/{said.seq}", range="bytes=999999-").status_code == 416
    for odd in ("bytes=", "bytes=a-b", "bytes=0-1,3-4", "lines=1-2", "bytes=²-"):
        assert get(f"jobs/1/clips/{said.seq}", range=odd.encode()).content == kept


NOWHERE = [
    "jobs/nosuch", "jobs/99", "board/nosuch", "stream/nosuch", "jobs/1/clips/1", "jobs/1/clips/999999",
    "jobs/1/clips/99999999999999999999", "jobs/1/clips/0", "nowhere", "static/nosuch.css", "static/../app.py",
    "static/%2e%2e%2fapp.py", "static/..%2fserve.py", "jobs/..%2f..%2fetc%2fpasswd", "jobs/%2e%2e/clips/2",
    "jobs/1/clips/..%2f..%2flogbook.sqlite3", "jobs/1/report.html/x", "jobs/%00", "logbook.sqlite3", "jobs/%25",
]  # fmt: skip


@pytest.mark.parametrize("path", NOWHERE)
def test_what_is_not_there_is_not_found_and_says_so(board, path):
    # sent as it stands: a client would tidy the path up
    with socket.create_connection(("127.0.0.1", board.port), timeout=10) as line:
        line.sendall(f"GET /{path} HTTP/1.1\r\nHost: 127.0.0.1:{board.port}\r\nConnection: close\r\n\r\n".encode())
        answer = b"".join(iter(lambda: line.recv(65536), b""))
    head, _, body = answer.partition(b"\r\n\r\n")
    assert head.split()[1] == b"404", head
    assert b"Traceback" not in body
    assert b"root:" not in body
    assert b"SQLite format" not in body


ODD = ["page=-1", "page=99999999", "page=x", "page=²", "q=%00", "q=" + "a" * 5000, "only=nosuch", "at=999999", "at=-5",
       "before=x", "card=nosuch", "theme=%3Cx%3E"]  # fmt: skip


@pytest.mark.parametrize("query", ODD)
@pytest.mark.parametrize("path", ["jobs", "jobs/1", "search", "torques", "times", "board"])
def test_odd_questions_get_a_page(get, path, query):
    assert get(f"{path}?{query}").status_code == 200


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.text(max_size=80), path=st.sampled_from(["jobs", "search", "torques", "times", "jobs/1", "board"]))
def test_no_question_breaks_a_page(get, words, path):
    words = words.encode("utf-8", "ignore").decode()
    answer = get(str(httpx.URL(path, params={"q": words, "card": words, "only": words, "before": words})))
    assert answer.status_code == 200


def test_search_finds_and_leads_to_the_entry(get, names):
    page = get("search?q=scored").text
    assert f"/jobs/{names[2]}?at=" in page
    assert "Nothing found" in get("search?q=zebra").text


def test_torques_across_jobs_leave_out_what_was_taken_back(get):
    page = get("torques?q=hub+bolts").text
    assert "80 N·m" in page
    assert "75 N·m" not in page
    assert page.count("2 Mar 2026") == 1


def test_times_compare_the_jobs_of_one_card(get):
    page = get("times").text
    assert "Wheel hub bearing" in page
    assert len(re.findall(r"<th[ >]", page)) == 4 + 3, "four columns and one for each job"
    assert "Putting back" in page


def test_reports_come_as_page_and_pdf(get):
    assert "Wheel hub bearing" in get("jobs/1/report.html").text
    pdf = get("jobs/1/report.pdf?paper=letter")
    assert pdf.headers["content-type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF")


# -- faults ----------------------------------------------------------------------


@pytest.fixture
def own(serving, tmp_path):
    """A board over a shop that may be broken."""
    fill(tmp_path / "shop")
    return serving(tmp_path / "shop")


def test_a_missing_and_a_damaged_clip_are_told_apart(own):
    clips = sorted((own.folder / "clips").glob("*/*.flac"))
    with Logbook.open(own.folder, read_only=True) as logbook:
        said = next(e for e in logbook.events("1") if isinstance(e.body, Said) and e.body.clip)
    mine = next(p for p in clips if p.stem == said.body.clip)
    mine.write_bytes(b"fLaC" + mine.read_bytes()[5:] + b"x")
    assert httpx.get(own / f"jobs/1/clips/{said.seq}").status_code == 410
    mine.unlink()
    answer = httpx.get(own / f"jobs/1/clips/{said.seq}")
    assert answer.status_code == 404
    assert "not in" in answer.text


def test_a_store_that_is_taken_away_is_said_and_comes_back(own):
    shutil.move(own.folder / "logbook.sqlite3", own.folder / "away")
    for extra in own.folder.glob("logbook.sqlite3-*"):
        extra.unlink()
    answer = httpx.get(own / "jobs")
    assert answer.status_code == 503
    assert "no logbook in" in answer.text
    assert "The log cannot be shown" in _board_when(own, "cannot be shown")
    shutil.move(own.folder / "away", own.folder / "logbook.sqlite3")
    assert httpx.get(own / "jobs").status_code == 200
    assert "FC-311" in _board_when(own, "FC-311")


def _board_when(own, words: str) -> str:
    end = time.monotonic() + 12
    while words not in (page := httpx.get(own / "board").text):
        assert time.monotonic() < end, page
        time.sleep(0.1)
    return page


def test_a_damaged_store_is_said(own):
    with sqlite3.connect(own.folder / "logbook.sqlite3") as db:
        db.execute("DROP TRIGGER event_no_update")
        db.execute("UPDATE event SET body = '{' WHERE kind = 'said'")
    db.close()
    answer = httpx.get(own / "jobs/1")
    assert answer.status_code == 503
    assert "bay log verify" in answer.text


def test_an_empty_folder_has_an_empty_board(serving, tmp_path):
    with Logbook.open(tmp_path / "new"):
        pass
    empty = serving(tmp_path / "new")
    assert "No job yet" in httpx.get(empty / "board").text
    for path in ("jobs", "search?q=x", "torques", "times"):
        assert httpx.get(empty / path).status_code == 200


# -- load and ill will ---------------------------------------------------------------


def test_two_hundred_connections_are_served(board):
    with ThreadPoolExecutor(40) as pool, httpx.Client(timeout=60, limits=httpx.Limits(max_connections=200)) as client:
        seen = list(pool.map(lambda n: client.get(board / "jobs").status_code, range(200)))
    assert seen == [200] * 200


def test_a_request_that_never_ends_is_dropped_and_holds_up_nobody(serving, shop, monkeypatch):
    monkeypatch.setattr(serve_module, "PATIENCE_S", 0.5)
    board = serving(shop)
    lines = [socket.create_connection(("127.0.0.1", board.port), timeout=10) for _ in range(50)]
    try:
        for line in lines:
            line.sendall(b"GET /jobs HTTP/1.1\r\nHost: 127.0.0.1")
        assert httpx.get(board / "jobs", timeout=10).status_code == 200
        assert all(line.recv(100) == b"" for line in lines), "each was closed"
    finally:
        for line in lines:
            line.close()


def test_a_request_without_end_is_refused_before_it_fills_the_memory(board):
    with socket.create_connection(("127.0.0.1", board.port), timeout=10) as line:
        sent = line.send(b"GET /jobs HTTP/1.1\r\nX-Much: ")
        answer = b""
        try:
            while sent < 5_000_000 and not answer:
                sent += line.send(b"a" * 4096)
                time.sleep(0.001)
                line.setblocking(False)
                with contextlib.suppress(BlockingIOError):
                    answer = line.recv(100)
                line.setblocking(True)
        except ConnectionError:
            answer = answer or b"HTTP/1.1 400 closed"
    assert b" 400 " in answer
    assert sent < 200_000


# -- where it is served ----------------------------------------------------------------


def test_without_lan_only_loopback_is_taken_and_no_key_is_made():
    where = place(0)
    try:
        assert [s.getsockname()[0] for s in where.sockets] == ["127.0.0.1"]
        assert (where.key, where.shop_address) == ("", "")
    finally:
        for taken in where.sockets:
            taken.close()


def test_with_lan_the_key_is_new_each_time_and_long():
    first, second = place(0, lan=True, lan_address="127.0.0.2"), place(0, lan=True, lan_address="127.0.0.2")
    try:
        assert first.key != second.key
        assert len(first.key) >= 32, "192 bits in base64"
        assert first.shop_address.endswith(f"/board?key={first.key}")
        assert {s.getsockname()[0] for s in first.sockets} == {"127.0.0.1", "127.0.0.2"}
    finally:
        for taken in (*first.sockets, *second.sockets):
            taken.close()


def test_a_second_board_takes_the_next_port_and_a_named_port_is_said_to_be_taken():
    first = place()
    second = place()
    try:
        assert first.sockets[0].getsockname()[1] != second.sockets[0].getsockname()[1]
        with pytest.raises(NoPort, match="--port"):
            place(first.sockets[0].getsockname()[1])
    finally:
        for taken in (*first.sockets, *second.sockets):
            taken.close()


def test_an_address_that_is_none_is_said():
    with pytest.raises(NoNetwork, match="network address"):
        place(0, lan=True, lan_address="the bay")
