"""Copies made while work goes on; clips that go and say so; one person's data; words found again."""

from __future__ import annotations

import json
import threading
import zipfile
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.job.events import ClipsForgotten
from assistant.logbook import Logbook, LogbookError
from assistant.logbook.copy import copy
from assistant.logbook.forget import forget
from assistant.logbook.people import export_person
from assistant.logbook.search import search
from assistant.logbook.verify import verify


@pytest.mark.parametrize("name", ["stick", "all.zip", "log.sqlite3"])
def test_a_copy_opens_and_is_whole(bench, worked, tmp_path, name):
    target = copy(bench, tmp_path / name)
    opened = tmp_path / "opened"
    if name.endswith(".zip"):
        zipfile.ZipFile(target).extractall(opened)
    elif name.endswith(".sqlite3"):
        opened.mkdir()
        target.rename(opened / "logbook.sqlite3")
    else:
        opened = target
    with Logbook.open(opened, read_only=True) as again:
        assert again.events(worked) == bench.events(worked)
        assert verify(again, sound=not name.endswith(".sqlite3")).whole
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_a_copy_made_under_work_is_whole_and_disturbs_nobody(bench, start, said, at, hum, tmp_path):
    job, stop = start(bench), threading.Event()

    def work() -> None:
        turn = 0
        while not stop.is_set():
            turn += 1
            job.append([said(f"note {turn}", "Noted.")], at(turn), clip=hum(100 + turn))

    worker = threading.Thread(target=work)
    worker.start()
    try:
        for turn in range(5):
            copy(bench, tmp_path / f"copy{turn}")
    finally:
        stop.set()
        worker.join()
    for turn in range(5):
        with Logbook.open(tmp_path / f"copy{turn}") as copied:
            assert [str(f) for f in verify(copied).faults] == []
    assert verify(bench).whole


def test_a_copy_overwrites_nothing(bench, worked, tmp_path):
    (tmp_path / "there.zip").write_text("mine")
    with pytest.raises(LogbookError, match="is there already"):
        copy(bench, tmp_path / "there.zip")
    assert (tmp_path / "there.zip").read_text() == "mine"


def test_old_clips_go_and_the_chain_says_so(bench, worked, start, said, at, hum):
    with start(bench, minute=600) as young:
        young.append([said("next", "Step 2.")], at(601), "Mara", clip=hum(300))
    gone = forget(bench, older_than=at(300), at=at(700))
    assert (gone.jobs, gone.clips) == (1, 3)
    last = bench.events(worked)[-1]
    assert isinstance(last.body, ClipsForgotten)
    assert len(last.body.clips) == 3
    assert len(list(bench.folder.glob("clips/*/*.flac"))) == 1
    proof = verify(bench)
    assert proof.whole
    assert proof.forgotten == 3
    assert bench.find_job(worked).last_at == at(31), "retention is no work on the job"
    assert forget(bench, older_than=at(300), at=at(800)).clips == 0, "asked twice, nothing more happens"
    assert len(bench.events(worked)) == 10


def test_a_clip_that_a_young_job_shares_stays(bench, worked, start, said, at, hum):
    with start(bench, minute=600) as young:
        young.append([said("begin", "Step 1.")], at(601), clip=hum(110))
    assert forget(bench, older_than=at(300), at=at(700)).clips == 2
    assert verify(bench).whole


def test_one_persons_clips_go_alone(bench, worked, at):
    assert forget(bench, older_than=at(9999), at=at(9999), person="ivo").clips == 1
    assert verify(bench).whole


def test_a_job_being_worked_keeps_its_clips_for_now(bench, worked, at):
    with bench.resume(worked):
        gone = forget(bench, older_than=at(9999), at=at(9999))
        assert gone.held == (worked,)
        assert gone.clips == 0
    assert forget(bench, older_than=at(9999), at=at(9999)).clips == 3


def test_a_forgetting_cut_short_is_finished_by_the_next(bench, worked, at):
    names = [e.body.clip for e in bench.events(worked) if getattr(e.body, "clip", "")]
    with bench.resume(worked) as job:
        job.append([ClipsForgotten(tuple(names), "older than 2026-03-05")], at(5000))
    assert any("still there" in r for r in verify(bench).remarks)
    assert forget(bench, older_than=at(4000), at=at(5001)).clips == 3
    assert sum(isinstance(e.body, ClipsForgotten) for e in bench.events(worked)) == 1


def test_a_person_gets_all_of_theirs_and_nothing_of_others(bench, worked, tmp_path):
    result = export_person(bench, "IVO", tmp_path / "ivo.zip")
    assert (result.jobs, result.events, result.clips) == (1, 2, 1)
    with zipfile.ZipFile(result.file) as archive:
        lines = [json.loads(line) for line in archive.read("events.jsonl").decode().splitlines()]
        assert {line["person"] for line in lines} == {"Ivo"}
        assert lines[1]["body"]["text"] == "pilot bearing feels rough"
        assert sum(n.endswith(".flac") for n in archive.namelist()) == 1


def test_nobody_of_that_name_is_said_with_the_names_there_are(bench, worked, tmp_path):
    with pytest.raises(LogbookError, match="Ivo, Mara"):
        export_person(bench, "Nobody", tmp_path / "x.zip")
    assert not list(tmp_path.glob("*.zip"))


@pytest.mark.parametrize(
    ("words", "seqs"),
    [
        ("pilot bearing", [9]),
        ("bear", [9]),
        ("PILOT", [9]),
        ('"feels rough"', [9]),
        ('"rough feels"', []),
        ("flywheel", [6]),
        ("chock", [2]),
        ("step", [4, 2]),
        ("nothing of the kind", []),
        ("   ", []),
        ('" OR 1=1 --', []),
        ("NEAR(pilot bearing)", []),
        ("text:pilot", []),
    ],
)
def test_words_are_found_newest_first(bench, worked, words, seqs):
    assert [h.event.seq for h in search(bench, words)] == seqs


def test_a_search_goes_on_page_by_page(bench, start, said, at):
    with start(bench) as job:
        for minute in range(7):
            job.append([said(f"oil {minute}", "Noted.")], at(minute))
    pages, before = [], None
    while hits := search(bench, "oil", limit=3, before=before):
        pages.append([h.event.body.heard for h in hits])
        before = hits[-1].place
    assert pages == [["oil 6", "oil 5", "oil 4"], ["oil 3", "oil 2", "oil 1"], ["oil 0"]]


@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(words=st.text(max_size=60))
def test_no_typed_text_is_query_language(bench, worked, words):
    search(bench, words.encode("utf-8", "ignore").decode())


def test_older_than_is_counted_from_the_events_own_time(bench, worked, at):
    assert forget(bench, older_than=at(31) - timedelta(seconds=1), at=at(99)).clips == 2
