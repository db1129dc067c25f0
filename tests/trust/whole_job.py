"""A whole job, worked from its written script through the session and into a store, in ways that can go wrong.

Run as a program, so that nothing but this process is killed, stopped or limited:

    python -m tests.trust.whole_job killed FOLDER KILLS SEED
    python -m tests.trust.whole_job cut FOLDER CUTS SEED
    python -m tests.trust.whole_job full FOLDER

Each prints what it did as one JSON object, and fails with an AssertionError where something was lost.
"""

from __future__ import annotations

import itertools
import json
import os
import resource
import select
import shutil
import signal
import sqlite3
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from typing import Any
from unittest import mock

from assistant.card.load import ReadCard, find_card
from assistant.dialogue.view import Settings
from assistant.grammar.load import CardGrammar
from assistant.job.events import Answered, Body, Event, Reopened, Said
from assistant.job.state import fold
from assistant.logbook import Logbook
from assistant.logbook.schema import DATABASE
from assistant.logbook.verify import verify
from assistant.session import Opening, begin, resume
from assistant.work import typed
from tests.scripts.play import FOLDER, read

SCRIPT = "clean-run"
NAME = "1"
"""The only job of its store, by number."""
TOLD = 8
"""Bytes of one acknowledgement in the pipe; so few are written whole or not at all."""
START = datetime(2026, 3, 2, 8, tzinfo=UTC)


@cache
def lines() -> tuple[str, ...]:
    """What is typed, from the first step to the accepted finish."""
    _, exchanges = read(FOLDER / f"{SCRIPT}.txt")
    return tuple(each.line[1:].strip() for each in exchanges if each.line.startswith(">"))


@cache
def card() -> ReadCard:
    head, _ = read(FOLDER / f"{SCRIPT}.txt")
    return find_card(head["card"])


@cache
def grammar() -> CardGrammar:
    return CardGrammar(card().card)


def one_grammar() -> Any:
    """Sessions share one grammar: making it takes longer than what is tried here."""
    return mock.patch("assistant.session.CardGrammar", return_value=grammar())


def at(line: int) -> datetime:
    return START + timedelta(seconds=30 * (line + 1))


def opened(logbook: Logbook, line: int) -> Opening:
    """The job begun, or come back to."""
    settings = Settings(zone=UTC)
    if not logbook.jobs():
        return begin(card(), logbook, START, settings=settings)
    return resume(NAME, logbook, at(line), settings=settings)


def worked(logbook: Logbook, told: Callable[[int], None] = lambda seq: None) -> None:
    """Goes on from where the log stands to the end of the script; tells each seq that was acknowledged."""
    line = lines_kept(logbook)
    session = opened(logbook, line).session
    told(session.writer.last_seq)
    clock = itertools.count(line)
    for exchange in typed(session, lines()[line:], lambda: at(next(clock))):
        assert exchange.ok, exchange.reply
        told(session.writer.last_seq)
    session.close()


def lines_kept(logbook: Logbook) -> int:
    """How many lines the log holds whole: each begins with what was said."""
    return sum(isinstance(event.body, Said) for event in events_of(logbook))


def events_of(logbook: Logbook) -> list[Event]:
    return logbook.events(NAME) if logbook.jobs() else []


def record(events: Iterable[Event]) -> list[tuple[datetime, str, Body]]:
    """What was done, when and at which step. Not what was said about it, nor that somebody came back to it."""
    kept = (event for event in events if not isinstance(event.body, Answered | Reopened))
    return [(event.at, event.step, _without_its_reply(event.body)) for event in kept]


def _without_its_reply(body: Body) -> Body:
    return replace(body, reply="") if isinstance(body, Said) else body


@cache
def undisturbed() -> tuple[tuple[datetime, str, Body], ...]:
    """The record of the job when nothing goes wrong."""
    folder = Path(os.environ.get("TMPDIR", "/tmp")) / f"bay-undisturbed-{os.getpid()}"
    try:
        with Logbook.open(folder) as logbook:
            worked(logbook)
            assert logbook.find_job(NAME).finished
            return tuple(record(events_of(logbook)))
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def is_as_if_undisturbed(folder: Path) -> None:
    with Logbook.open(folder) as logbook:
        events = events_of(logbook)
        assert tuple(record(events)) == undisturbed(), "the record is another than that of the undisturbed job"
        assert fold(card().card, events).finished
        proof = verify(logbook)
        assert proof.whole, [str(fault) for fault in proof.faults]


# -- killed ------------------------------------------------------------------------


def forked(folder: Path) -> tuple[int, int]:
    """A process that works the job and writes each acknowledged seq into a pipe: its id, and the pipe."""
    from_child, to_parent = os.pipe()
    child = os.fork()
    if child:
        os.close(to_parent)
        return child, from_child
    os.close(from_child)
    code = 1
    try:
        with Logbook.open(folder) as logbook:
            worked(logbook, lambda seq: os.write(to_parent, f"{seq:{TOLD}}".encode()))
        code = 0
    finally:
        os._exit(code)


def acknowledged(pipe: int, wait: bool = True) -> Iterator[int]:
    """Every seq that comes until the pipe is closed; without `wait`, those that have come by now."""
    while wait or select.select([pipe], [], [], 0)[0]:
        came = os.read(pipe, TOLD)
        if not came:
            return
        yield int(came)


def some_way_on(pipe: int, chance: Random) -> int:
    """Waits for a random number of lines to be acknowledged, and a moment more; gives the last seq, 0 for none.

    By lines and not by time alone, so that a slow machine is not killed at the same place again and again.
    """
    last, wanted = 0, chance.choice((0, 1, chance.randrange(60)))
    for _ in range(wanted):
        came = next(acknowledged(pipe), None)
        if came is None:
            break
        last = came
    time.sleep(chance.uniform(0, 0.01))
    return last


def killed(folder: Path, kills: int, seed: int) -> dict[str, object]:
    """Whole jobs, one after another, by processes that are killed at random moments until so many kills are done."""
    chance, jobs, died, store = Random(seed), 0, 0, folder / "0"
    moments: set[int] = set()
    while died < kills:
        child, pipe = forked(store)
        last = some_way_on(pipe, chance)
        os.kill(child, signal.SIGKILL)
        last = max([last, *acknowledged(pipe)])
        os.close(pipe)
        _, status = os.waitpid(child, 0)
        died += os.WIFSIGNALED(status)
        if os.WIFEXITED(status):
            assert os.WEXITSTATUS(status) == 0, f"seed {seed}, kill {died}: the job did not go on"
        with Logbook.open(store) as logbook:
            events = events_of(logbook)
            where = f"seed {seed}, kill {died}"
            assert len(events) >= last, f"{where}: acknowledged up to {last}, kept {len(events)}"
            done = record(events)
            assert tuple(done) == undisturbed()[: len(done)], f"{where}: the place was lost"
            moments.add(len(events))
            if events and fold(card().card, events).finished:
                jobs += 1
                is_as_if_undisturbed(store)
                store = folder / str(jobs)
    if not store.exists():
        return {"kills": died, "whole_jobs": jobs, "places": len(moments)}
    with Logbook.open(store) as logbook:
        worked(logbook)
    is_as_if_undisturbed(store)
    return {"kills": died, "whole_jobs": jobs + 1, "places": len(moments)}


# -- power cuts ----------------------------------------------------------------------


def cut(folder: Path, cuts: int, seed: int) -> dict[str, object]:
    """The store as the disk holds it at random moments: the writer is held still, database and log are copied.

    Of each copy a second one loses a random piece of the log's end, as a disk does that had not written it yet.
    """
    chance, store, made, lost = Random(seed), folder / "0", 0, 0
    while made < cuts:
        shutil.rmtree(store, ignore_errors=True)
        child, pipe = forked(store)
        last = 0
        while made < cuts:
            last = max(last, some_way_on(pipe, chance))
            os.kill(child, signal.SIGSTOP)
            _, status = os.waitpid(child, os.WUNTRACED)
            if not os.WIFSTOPPED(status):
                assert os.WEXITSTATUS(status) == 0
                child = 0
                break
            if not (store / f"{DATABASE}-wal").exists():
                os.kill(child, signal.SIGCONT)
                continue
            last = max([last, *acknowledged(pipe, wait=False)])
            whole, torn = folder / f"cut{made}", folder / f"torn{made}"
            for there in (whole, torn):
                there.mkdir()
                for name in (DATABASE, f"{DATABASE}-wal"):
                    shutil.copyfile(store / name, there / name)
            os.kill(child, signal.SIGCONT)
            log = torn / f"{DATABASE}-wal"
            os.truncate(log, chance.randint(0, log.stat().st_size))
            opens_to(whole, at_least=last)
            lost += opens_to(torn, at_least=0) < last
            made += 1
            shutil.rmtree(whole)
            shutil.rmtree(torn)
        os.close(pipe)
        if child:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
    return {"cuts": made, "torn_that_lost_something": lost}


def opens_to(folder: Path, at_least: int) -> int:
    """How many events a copy holds: a beginning of the undisturbed job, and whole."""
    try:
        with Logbook.open(folder) as logbook:
            events = events_of(logbook)
            assert verify(logbook).whole
    except sqlite3.Error as fault:
        raise AssertionError(f"a copy does not open: {fault}") from fault
    assert len(events) >= at_least, f"acknowledged up to {at_least}, kept {len(events)}"
    done = record(events)
    assert tuple(done) == undisturbed()[: len(done)]
    return len(events)


# -- no room, no right ------------------------------------------------------------------


def full(folder: Path) -> dict[str, object]:
    """At each line of the job the disk is full first, then the database cannot be written, then all is well again."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    refused: dict[str, int] = {"no room": 0, "no right": 0}
    with Logbook.open(folder) as logbook:
        session = opened(logbook, 0).session
        for number, line in enumerate(lines()):
            before, seq = session.conversation, session.writer.last_seq
            for trouble in refused:
                undo = _no_room(folder) if trouble == "no room" else _no_right(session.writer._connection)
                outcome = session.take_typed(line, at(number))
                undo()
                assert session.unwritten, f"{trouble}, line {number}: what was not written was taken for done"
                assert outcome.reply.text.startswith("That is not written down")
                assert session.conversation is before
                assert session.writer.last_seq == seq
                refused[trouble] += 1
            session.take_typed(line, at(number))
            assert not session.unwritten
        session.close()
    is_as_if_undisturbed(folder)
    return dict(refused)


def _no_room(folder: Path) -> Callable[[], None]:
    """No file may grow beyond the smallest of the store's from here on."""
    least = min(path.stat().st_size for path in folder.glob(f"{DATABASE}*") if not path.name.endswith("-shm"))
    resource.setrlimit(resource.RLIMIT_FSIZE, (least, resource.RLIM_INFINITY))
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))


def _no_right(connection: sqlite3.Connection) -> Callable[[], None]:
    connection.execute("PRAGMA query_only = 1")
    return lambda: connection.execute("PRAGMA query_only = 0") and None


def main() -> None:
    way, folder, *rest = sys.argv[1:]
    with one_grammar():
        if way == "full":
            came = full(Path(folder))
        else:
            came = {"killed": killed, "cut": cut}[way](Path(folder), int(rest[0]), int(rest[1]))
    print(json.dumps(came))


if __name__ == "__main__":
    main()
