"""The pages in a real browser: live, by keyboard, with sound, from a phone to a wall screen, and on paper."""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import random
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from assistant.board.serve import place, server
from assistant.job.events import Noted
from assistant.logbook import Logbook
from tests.board.conftest import BEGAN, HOSTILE, begin

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    with sync_playwright() as player:
        made = player.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"]
        )
        yield made
        made.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page that fails its test for any fault of a script, any breach of the policy, any request elsewhere."""
    context = browser.new_context(viewport={"width": 1920, "height": 1080})
    made = context.new_page()
    faults: list[str] = []
    made.on("pageerror", lambda fault: faults.append(str(fault)))
    made.on("console", lambda line: faults.append(line.text) if "Content Security" in line.text else None)
    made.on("request", lambda asked: faults.append(asked.url) if "//127.0.0.1" not in asked.url else None)
    made.on("dialog", lambda dialog: (faults.append("a dialog opened"), dialog.dismiss()))
    yield made
    context.close()
    assert faults == []


@pytest.fixture
def live(serving, tmp_path):
    """A board, and a technician at work on a job of a hostile name."""
    logbook = Logbook.open(tmp_path)
    worker = begin(logbook, "FC-417", BEGAN, last_step=2)
    yield serving(tmp_path), worker
    worker.writer.close()
    logbook.close()


def test_the_screen_follows_the_job_without_being_touched(page, live):
    board, worker = live
    page.goto(board / "board")
    page.wait_for_selector("text=Take the wheel off.")
    worker.say("take a note", "Noted.", Noted("seat scored"))
    page.wait_for_selector("text=“take a note”", timeout=2000)
    for turn in worker.technician.work_on():
        worker.write(turn, now=True)
        if worker.technician.state.at == "hub-off":
            break
    page.wait_for_selector("h1:has-text('Take the hub off.')", timeout=2000)
    assert page.locator("#told").inner_text() == "Take the hub off."
    assert page.locator(".caution").inner_text().endswith("The hub is heavy and has sharp edges.")


def test_what_is_said_never_becomes_part_of_the_page(page, live):
    board, worker = live
    page.goto(board / "board")
    worker.say(HOSTILE, HOSTILE, Noted(HOSTILE))
    page.wait_for_selector("text=onerror=alert(1)", timeout=2000)
    assert page.locator("img[src=x]").count() == 0
    page.goto(board / "jobs/1")
    assert page.locator("img[src=x]").count() == 0


def test_the_letters_can_be_read_from_four_metres(page, live):
    """Capitals of 16 minutes of arc from 4 m are 18.6 mm; on a 24-inch 16:9 screen (531 mm wide) that is 3.5 % of
    the width. ISO 9241-303 from memory; capitals of 0.7 of the letters' height."""
    board, _ = live
    page.goto(board / "board")
    size = page.locator("h1").evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert 0.7 * size / 1920 * 531 >= 18.6
    page.set_viewport_size({"width": 3840, "height": 2160})
    assert page.locator("h1").evaluate("e => parseFloat(getComputedStyle(e).fontSize)") == pytest.approx(2 * size)


SCREENS = [(360, 740), (768, 1024), (1366, 768), (1920, 1080), (3840, 2160)]


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_nothing_spills_over_the_side(page, board, width, height):
    page.set_viewport_size({"width": width, "height": height})
    for path in ("board", "board/1", "jobs", "jobs/1", "search?q=hub", "torques", "times"):
        page.goto(board / path)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        if path.startswith("board") and width >= 1366:
            assert page.evaluate("document.documentElement.scrollHeight") <= height, "the bay's screen never scrolls"


def test_on_the_bays_screen_no_part_covers_another(page, live):
    board, worker = live
    for turn in worker.technician.work_on():
        worker.write(turn, now=True)
        if worker.technician.state.at == "hub-on":
            break
    page.goto(board / "board")
    page.wait_for_selector("h1:has-text('Fit the hub.')")
    parts = [".where", "h1", ".caution", ".next", ".foot"]
    boxes = [page.locator(p).first.bounding_box() for p in parts]
    for upper, lower in itertools.pairwise(boxes):
        assert upper["y"] + upper["height"] <= lower["y"] + 1
    assert boxes[-1]["y"] + boxes[-1]["height"] <= 1080.5
    drawing = page.locator(".due svg").bounding_box()
    assert drawing["width"] > 200
    assert drawing["y"] + drawing["height"] <= boxes[-1]["y"] + 1


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_word_stands_out_from_its_ground(browser, board, theme):
    """WCAG 2.2, 1.4.3: a contrast of 4.5 to 1, of every piece of text on the page."""
    context = browser.new_context(color_scheme=theme, viewport={"width": 1366, "height": 768})
    page = context.new_page()
    for path in ("board", "board/1", "jobs", "jobs/1", "jobs/2?only=notes", "torques", "times"):
        page.goto(board / path)
        assert page.evaluate(CONTRAST) == [], path
    context.close()


CONTRAST = """() => {
  const part = v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; };
  const light = c => .2126 * part(c[0]) + .7152 * part(c[1]) + .0722 * part(c[2]);
  const parse = s => (s.match(/[\\d.]+/g) || []).map(Number);
  const faults = [];
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest('svg, .unseen, .skip, option') || !e.getClientRects().length) continue;
    let ground = [0, 0, 0, 0], at = e;
    while (at && ground[3] === 0) {
      const c = parse(getComputedStyle(at).backgroundColor);
      ground = c.length === 4 ? c : [...c, 1];
      at = at.parentElement;
    }
    const a = light(parse(getComputedStyle(e).color)), b = light(ground);
    const contrast = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
    if (contrast < 4.5) faults.push(`${e.tagName}.${e.className} ${contrast.toFixed(2)} ${e.textContent.trim()}`);
  }
  return faults;
}"""


def test_the_line_lost_is_said_and_comes_back_by_itself(page, tmp_path):
    """The board is ended and begun again on the same port, in a process of its own."""
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-417", BEGAN, last_step=2)
        port = _port_of_our_own()
        first = _board_process(tmp_path, port)
        try:
            page.goto(f"http://127.0.0.1:{port}/board")
            assert page.locator("#lost").is_hidden()
            first.kill()
            first.wait()
            page.wait_for_selector("#lost:visible", timeout=PATIENCE_MS)
            worker.say("take a note", "Noted while the board was away.")
            second = _board_process(tmp_path, port)
            try:
                page.wait_for_selector("text=Noted while the board was away.", timeout=PATIENCE_MS)
                assert page.locator("#lost").is_hidden()
            finally:
                second.kill()
                second.wait()
        finally:
            first.kill()
            first.wait()
            worker.writer.close()


PATIENCE_MS = 60_000
"""A bound for a busy machine, not a claim: a line that never comes back fails all the same."""


def _port_of_our_own() -> int:
    """A free port below those that systems hand out for outgoing connections (from 32768 on, where not set anew): one
    of theirs could be taken by any connection while the board is away, even by the browser that asks for it."""
    for port in random.sample(range(20_000, 30_000), 50):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            with contextlib.suppress(OSError):
                probe.bind(("127.0.0.1", port))
                return port
    raise AssertionError("no free port")


def _board_process(folder: Path, port: int) -> subprocess.Popen[bytes]:
    """A board that answers."""
    code = "import typer; from assistant.board.commands import board; typer.run(board)"
    made = subprocess.Popen([sys.executable, "-c", code, "--port", str(port), "--home", str(folder)], stdout=-3)
    end = time.monotonic() + PATIENCE_MS / 1000
    while True:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/static/emblem.svg", timeout=5):
                return made
        except OSError:
            assert made.poll() is None, "the board ended by itself"
            assert time.monotonic() < end, "the board did not answer"
            time.sleep(0.05)


def until(page: Page, what: str) -> None:
    """Waits for it from outside: the page's policy lets nothing evaluate text inside."""
    end = time.monotonic() + 10
    while not page.evaluate(what):
        assert time.monotonic() < end, what
        time.sleep(0.05)


def test_a_clip_is_really_played(page, board):
    page.goto(board / "jobs/1")
    page.locator("a.play").first.click()
    until(page, "document.querySelector('#player audio').currentTime > 0.05")
    assert page.locator("#player").is_visible()
    assert "Play: this is mara" in page.locator("#player span").inner_text()
    until(page, "document.querySelector('#player audio').ended")
    seconds = page.evaluate("document.querySelector('#player audio').duration")
    assert seconds == pytest.approx(0.6, abs=0.05)
    assert page.url.endswith("/jobs/1"), "the page was not left"


def test_a_clip_that_is_gone_says_so_in_the_players_place(page, serving, tmp_path):
    with Logbook.open(tmp_path) as logbook:
        begin(logbook, "FC-204", BEGAN, last_step=1).writer.close()
    for clip in (tmp_path / "clips").glob("*/*.flac"):
        clip.unlink()
    page.goto(serving(tmp_path) / "jobs/1")
    page.locator("a.play").first.click()
    page.wait_for_selector("#player span:has-text('removed, or not copied along')")


def test_search_by_keyboard_alone(page, board):
    page.goto(board / "jobs")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    for _ in range(4):
        page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")
    page.goto(board / "search")
    page.keyboard.press("Escape")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("/")
    page.keyboard.type("scored")
    page.keyboard.press("Enter")
    page.wait_for_selector(".hits a")
    while page.evaluate("!document.activeElement.closest('.hits')"):
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("li:target")
    assert "scored" in page.locator("li:target").inner_text()


def test_every_button_can_be_reached_and_has_a_name(page, board):
    for path in ("board", "jobs", "jobs/1", "search", "torques", "times"):
        page.goto(board / path)
        nameless = page.evaluate(
            """() => [...document.querySelectorAll('a, button, input, select')].filter(e => e.tabIndex < 0
            || !(e.textContent.trim() || e.getAttribute('aria-label') || e.value)).map(e => e.outerHTML)"""
        )
        assert nameless == []


def test_on_paper_the_timeline_has_its_words_and_no_buttons(page, board):
    page.goto(board / "jobs/1")
    page.emulate_media(media="print")
    assert page.locator("a.play").first.is_hidden()
    assert page.locator("nav").first.is_hidden()
    assert page.locator("ol.time li").nth(1).is_visible()


def test_the_report_page_prints_on_a4_and_letter(page, board):
    page.goto(board / "jobs/1/report.html")
    for paper in ("A4", "Letter"):
        assert page.pdf(format=paper).startswith(b"%PDF")
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth") <= 1920


def test_with_the_key_from_the_network_one_is_in_and_without_it_not(browser, shop):
    """A phone opens the printed address; the key leaves the address at once, and the cookie does the rest."""
    where = place(0, lan=True, lan_address="127.0.0.2")
    made = server(shop, where)
    made.install_signal_handlers = lambda: None  # type: ignore[attr-defined]
    thread = threading.Thread(target=lambda: asyncio.run(made.serve(sockets=list(where.sockets))), daemon=True)
    thread.start()
    try:
        context = browser.new_context()
        page = context.new_page()
        bare = where.shop_address.partition("?")[0]
        page.goto(bare)
        assert "carries the key" in page.content()
        page.goto(where.shop_address)
        page.wait_for_selector(".top b")
        assert page.url == bare
        assert page.goto(bare.replace("/board", "/jobs")).status == 200
        assert page.evaluate("document.cookie") == "", "no script can read it"
        context.close()
        other = browser.new_context().new_page()
        assert other.goto(bare).status == 401
        other.context.close()
    finally:
        made.should_exit = made.force_exit = True
        thread.join(5)
