"""The recorded job, heard by the real recogniser: each utterance gives what its manifest says."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
import soundfile

from assistant.card.load import find_card
from assistant.demo import RecordedJob, recorded_job, sound_of
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.job.events import Event, FinishRefused, Measured, Noted, Said, Torqued
from assistant.logbook.store import Logbook
from assistant.paths import shipped
from assistant.session import begin
from assistant.settings import Settings
from assistant.work import Ending, ending, recorded

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def job() -> RecordedJob:
    return recorded_job()


@pytest.fixture(scope="module")
def worked(job: RecordedJob, tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Event], Ending]:
    folder = tmp_path_factory.mktemp("log")
    with Logbook.open(folder) as logbook:
        session = begin(find_card(job.card), logbook, NOON, vehicle=job.vehicle).session
        recorded(session, sound_of(job), BuiltinRecogniser(), Settings(), lambda line: None, NOON)
        session.close()
        return logbook.events(session.writer.name), ending(session, logbook, folder)


def _said(worked: tuple[list[Event], Ending]) -> list[Said]:
    return [event.body for event in worked[0] if isinstance(event.body, Said)]


@pytest.mark.parametrize("number", range(len(recorded_job().utterances)))
def test_each_utterance_gives_what_the_manifest_says(
    number: int, job: RecordedJob, worked: tuple[list[Event], Ending]
) -> None:
    wanted, said = job.utterances[number], _said(worked)[number]
    assert said.decision == wanted.decision, f"{wanted.words!r} was read as {said.free!r}"
    assert said.request == wanted.request, f"{wanted.words!r} was heard as {said.heard!r}"
    assert said.slots.items() >= wanted.slots.items()
    assert wanted.reply in said.reply


def test_every_utterance_is_heard_once(job: RecordedJob, worked: tuple[list[Event], Ending]) -> None:
    assert len(_said(worked)) == len(job.utterances) >= 25


def test_talk_that_was_not_meant_leaves_nothing_but_its_own_line(
    job: RecordedJob, worked: tuple[list[Event], Ending]
) -> None:
    events = worked[0]
    ignored = [event for event in events if isinstance(event.body, Said) and event.body.decision == "ignore"]
    assert len(ignored) == sum(1 for utterance in job.utterances if not utterance.request) >= 2
    assert not {event.seq for event in ignored} & {event.group for event in events}
    assert all(not event.body.reply for event in ignored if isinstance(event.body, Said))


def test_the_sound_alike_was_asked_again_and_only_the_right_value_is_logged(
    worked: tuple[list[Event], Ending],
) -> None:
    torqued = [event.body for event in worked[0] if isinstance(event.body, Torqued)]
    assert [(body.fastener, str(body.value), body.unit) for body in torqued] == [("drain-plug", "40", "N·m")]


def test_the_reading_out_of_limit_and_the_note_are_kept(worked: tuple[list[Event], Ending]) -> None:
    readings = [event.body for event in worked[0] if isinstance(event.body, Measured)]
    assert [(body.measure, str(body.value), body.verdict) for body in readings] == [("bite-height", "125", "outside")]
    (note,) = [event.body for event in worked[0] if isinstance(event.body, Noted)]
    assert "magnet" in note.text
    assert note.clip


def test_finishing_too_early_is_refused_with_what_is_open(worked: tuple[list[Event], Ending]) -> None:
    (refused,) = [event.body for event in worked[0] if isinstance(event.body, FinishRefused)]
    assert {
        "part-off:skid-plate", "fastener-out:skid-plate-bolts", "connection-open:battery-earth",
        "fluid-out:gearbox-oil", "support-in-place:stands",
    } <= set(refused.items)  # fmt: skip


def test_the_sum_names_all_of_it(worked: tuple[list[Event], Ending]) -> None:
    parts = dict(worked[1].parts)
    assert any("skid plate" in line for line in parts["Left open"])
    assert parts["Torqued"] == ("gearbox drain plug: 40 N·m, card 40 N·m, inside",)
    assert any("125 mm" in line and "OUTSIDE" in line for line in parts["Measured"])
    assert len(parts["Done"]) >= 7


def test_the_recordings_are_small_sound_and_of_three_voices_or_more(job: RecordedJob) -> None:
    files = sorted(shipped("audio_fixtures").glob("*.flac"))
    assert sum(file.stat().st_size for file in files) < 12_000_000
    assert {utterance.file for utterance in job.utterances} == set(files)
    assert len({utterance.voice for utterance in job.utterances}) >= 3
    assert sum(1 for utterance in job.utterances if utterance.noise) >= 5
    for file in files:
        assert soundfile.info(Path(file)).duration > 0.3
