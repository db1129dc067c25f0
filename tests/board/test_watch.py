"""The bay's screen follows the job: each change reaches each viewer, and without viewers nothing is read."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime

import pytest

from assistant.board import watch as watch_module
from assistant.board.watch import Watch
from assistant.job.events import Noted
from assistant.logbook import Logbook
from tests.board.conftest import BEGAN, begin


def draw(view, trouble: str) -> str:
    if view is None:
        return f"none {trouble}".strip()
    return f"{view.job.name} {view.job.events} {view.heard.words if view.heard else '-'}"


@pytest.fixture
def quick(monkeypatch):
    monkeypatch.setattr(watch_module, "ASK_S", 0.01)


def run(folder, scene) -> None:
    """Runs `scene(watch)` with the watch at work."""

    async def whole() -> None:
        watch = Watch(folder, draw, lambda: datetime.now(UTC))
        working = asyncio.create_task(watch.run())
        try:
            await asyncio.wait_for(scene(watch), 20)
        finally:
            working.cancel()
            await asyncio.gather(working, return_exceptions=True)
            watch.close()

    asyncio.run(whole())


async def following(stream) -> str:
    """The next page of a stream, without what belongs to the protocol."""
    async for chunk in stream:
        text = chunk.decode()
        if "event: page" in text:
            return "\n".join(line[6:] for line in text.splitlines() if line.startswith("data: "))
    raise AssertionError("the stream ended")


def test_what_is_written_reaches_every_viewer(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            channel, _ = await watch.page("")
            viewers = [watch.stream(channel) for _ in range(5)]
            first = {await following(v) for v in viewers}
            assert len(first) == 1
            worker.say("take a note", "Noted.", Noted("oil on the seat"))
            for viewer in viewers:
                assert (await following(viewer)).endswith("take a note")
            for viewer in viewers:
                await viewer.aclose()
            assert watch.viewers == 0

        run(tmp_path, scene)


def test_a_slow_viewer_gets_the_newest(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            channel, _ = await watch.page("")
            viewer = watch.stream(channel)
            await following(viewer)
            for n in range(20):
                worker.say(f"note {n}", "Noted.")
            while not channel.page.endswith("note 19"):
                await asyncio.sleep(0.02)
            assert (await following(viewer)).endswith("note 19")

        run(tmp_path, scene)


def test_the_store_is_read_once_however_many_look(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            channel, _ = await watch.page("")
            viewers = [watch.stream(channel) for _ in range(50)]
            for viewer in viewers:
                await following(viewer)
            before = watch.readings
            worker.say("next", "Step 2.")
            for viewer in viewers:
                await following(viewer)
            assert watch.readings - before <= 3

        run(tmp_path, scene)


def test_without_viewers_nothing_is_read(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            await watch.page("")
            before = watch.readings
            for n in range(5):
                worker.say(f"note {n}", "Noted.")
                await asyncio.sleep(0.05)
            assert watch.readings == before
            assert "note 4" in (await watch.page(""))[1], "whoever comes sees it as it stands"

        run(tmp_path, scene)


def test_the_latest_job_is_followed_and_a_named_one_stays(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:
        first = begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            latest, _ = await watch.page("")
            named, _ = await watch.page(first.writer.name)
            viewer, other = watch.stream(latest), watch.stream(named)
            assert first.writer.name in await following(viewer)
            await following(other)
            second = begin(logbook, "FC-311", BEGAN.replace(day=5), last_step=1)
            second.say("next", "Step 2.")
            while second.writer.name not in await following(viewer):
                pass
            assert first.writer.name in named.page

        run(tmp_path, scene)


def test_a_first_job_appears_by_itself(tmp_path, quick):
    with Logbook.open(tmp_path) as logbook:

        async def scene(watch: Watch) -> None:
            channel, page = await watch.page("")
            assert page == "none"
            viewer = watch.stream(channel)
            await following(viewer)
            job = begin(logbook, "FC-204", BEGAN, last_step=1)
            while job.writer.name not in await following(viewer):
                pass

        run(tmp_path, scene)


def test_where_no_store_is_that_is_said(tmp_path, quick):
    async def scene(watch: Watch) -> None:
        _, page = await watch.page("")
        assert "no logbook in" in page

    run(tmp_path / "none", scene)


def test_a_sign_of_life_comes_when_nothing_changes(tmp_path, quick, monkeypatch):
    monkeypatch.setattr(watch_module, "PING_S", 0.05)
    with Logbook.open(tmp_path) as logbook:
        begin(logbook, "FC-204", BEGAN, last_step=1)

        async def scene(watch: Watch) -> None:
            channel, _ = await watch.page("")
            chunks = []
            async for chunk in watch.stream(channel):
                chunks.append(chunk)
                if chunk.startswith(b":"):
                    break
            assert chunks[0] == b"retry: 1000\n\n"

        run(tmp_path, scene)
