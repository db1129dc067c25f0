"""Any change, gap or cut is found, and the place is named."""

from __future__ import annotations

import json
import shutil
import sqlite3

import pytest

from assistant.logbook import Logbook, LogbookError
from assistant.logbook.rows import chained, row_id
from assistant.logbook.verify import verify


def faults(logbook, **asked):
    return [str(f) for f in verify(logbook, **asked).faults]


def test_an_untouched_store_is_whole(bench, worked):
    proof = verify(bench)
    assert proof.whole
    assert (proof.jobs, proof.events, proof.clips) == (1, 9, 3)
    assert proof.last == ((worked, bench.find_job(worked).last_hash),)


CHANGES = {
    "a torque made higher": ("UPDATE event SET body = replace(body, '65', '95') WHERE kind = 'torqued'", 7),
    "another person": ("UPDATE event SET person = 'Ivo' WHERE id = (1 << 32) | 3", 3),
    "another time": ("UPDATE event SET at = '2026-03-02T06:00:00.000000+00:00' WHERE id = (1 << 32) | 4", 4),
    "another step": ("UPDATE event SET step = 'drain' WHERE id = (1 << 32) | 5", 5),
    "another kind": ("UPDATE event SET kind = 'step-skipped' WHERE kind = 'step-done'", 5),
    "the same octets, and no text any more": ("UPDATE event SET body = CAST(body AS BLOB) WHERE kind = 'torqued'", 7),
    "octets that are no text": ("UPDATE event SET body = CAST(x'fffe' AS TEXT) WHERE kind = 'torqued'", 7),
    "the end hidden behind a NUL": ("UPDATE event SET person = person || char(0) || 'x' WHERE kind = 'torqued'", 7),
    "from another utterance": ("UPDATE event SET said = 1 WHERE kind = 'torqued'", 7),
    "no hash": ("UPDATE event SET hash = x'' WHERE id = (1 << 32) | 6", 6),
}


@pytest.mark.parametrize(("statement", "seq"), CHANGES.values(), ids=CHANGES.keys())
def test_a_changed_event_is_found_where_it_stands(bench, worked, tamper, statement, seq):
    tamper(statement)
    assert faults(bench)[0].startswith(f"{worked}, event {seq}: changed")


def test_whatever_is_written_in_a_name_the_log_is_whole(bench, start, said, at):
    """SQLite counts the letters up to a NUL, Python all of them."""
    with start(bench) as job:
        for person in ("Ma\0ra", "Mårä", "\U0001f527", "12:x 3:y", "", '"clip":""'):
            job.append([said(f"I am {person}", person)], at(1), person)
    assert faults(bench) == []


def test_an_event_taken_out_of_the_middle_leaves_a_gap(bench, worked, tamper):
    tamper("DELETE FROM event WHERE id & 255 IN (4, 5)")
    assert faults(bench) == [f"{worked}, event 4: events 4 to 5 are missing"]


def test_a_cut_tail_is_found_by_the_head(bench, worked, tamper):
    tamper("DELETE FROM event WHERE id & 255 > 7")
    assert f"{worked}, event 8: cut here: 2 event(s) are missing at the end" in faults(bench)


def test_a_cut_tail_with_its_head_set_back_is_found_by_the_anchor(bench, worked, tamper):
    tamper(
        "DELETE FROM event WHERE id & 255 > 7",
        "UPDATE head SET seq = 7, hash = (SELECT hash FROM event WHERE id = (1 << 32) | 7) WHERE job = 1",
    )
    assert faults(bench) == [f"{worked}, event 8: cut here: 2 event(s) are missing at the end"]


def rewritten(bench, number, seq, change):
    """Everything from `seq` on chained anew, the head too: what a patient forger would do."""
    db = sqlite3.connect(bench.folder / "logbook.sqlite3")
    before = db.execute("SELECT hash FROM event WHERE id = ?", (row_id(number, seq - 1),)).fetchone()[0]
    rows = db.execute("SELECT * FROM event WHERE id >= ? ORDER BY id", (row_id(number, seq),)).fetchall()
    for row in rows:
        body = change(row[5]) if row[0] == row_id(number, seq) else row[5]
        before = chained(before, *row[:5], body, row[6])
        db.execute("UPDATE event SET body = ?, hash = ? WHERE id = ?", (body, before, row[0]))
    db.execute("UPDATE head SET hash = ? WHERE job = ?", (before, number))
    db.commit()
    db.close()


def test_a_chain_forged_to_the_end_is_found_by_anchor_and_by_the_printed_hash(bench, worked, tamper):
    printed = bench.find_job(worked).last_hash
    tamper()
    rewritten(bench, 1, 7, lambda body: body.replace("65", "95"))
    assert any("anchors.txt" in f for f in faults(bench))
    (bench.folder / "anchors.txt").unlink()
    assert faults(bench) == [], "with the anchor gone too, only something outside the machine can tell"
    assert any("no event has the hash" in f for f in faults(bench, holds=printed[:16]))


def test_the_printed_hash_of_an_earlier_day_is_still_in_the_chain(bench, worked, said, at):
    printed = bench.find_job(worked).last_hash
    with bench.resume(worked) as job:
        job.append([said("next", "Step 3.")], at(60))
    assert verify(bench, holds=printed[:8]).whole


def test_events_put_on_after_the_end_are_found(bench, worked, tamper):
    tamper(
        "INSERT INTO event SELECT id + 1, at, person, step, kind, body, said, hash FROM event ORDER BY id DESC LIMIT 1"
    )
    assert any("event 10" in f for f in faults(bench))


def test_a_job_cut_out_or_off_is_found(bench, start, tamper):
    for _ in range(3):
        start(bench).close()
    tamper("DELETE FROM job WHERE number = 2", "DELETE FROM head WHERE job = 2", "DELETE FROM event WHERE id >> 32 = 2")
    assert "store: job 2 cut out of the store before 2026-03-02-03" in faults(bench)
    tamper("DELETE FROM job WHERE number = 3", "DELETE FROM head WHERE job = 3", "DELETE FROM event WHERE id >> 32 = 3")
    assert "store: 2 job(s) cut off the end of the store" in faults(bench)
    assert "2026-03-02-03: the job was closed here once (anchors.txt) and is gone" in faults(bench)


def test_a_job_given_to_another_vehicle_is_found(bench, worked, tamper):
    tamper("UPDATE job SET vehicle = 'FC-999'")
    assert f"{worked}: the job's own row was changed (name, card, revision, title or vehicle)" in faults(bench)


def test_a_card_changed_after_the_job_is_found(bench, worked, tamper):
    tamper("UPDATE card SET text = 'torque: 95 N·m'")
    assert f"{worked}: the card's text was changed" in faults(bench)
    with pytest.raises(LogbookError, match="changed in the store"):
        bench.card_text(bench.find_job(worked).card_sha256)


def test_a_clip_that_is_gone_or_damaged_is_named_with_its_event(bench, worked):
    first, second, _ = (e for e in bench.events(worked) if getattr(e.body, "clip", "") and e.body != 0 and e.group == 0)
    paths = {e.seq: next(bench.folder.glob(f"clips/*/{e.body.clip}.flac")) for e in (first, second)}
    paths[first.seq].unlink()
    content = bytearray(paths[second.seq].read_bytes())
    content[len(content) // 2] ^= 1
    paths[second.seq].write_bytes(content)
    told = faults(bench)
    assert any(f.startswith(f"{worked}, event {first.seq}: its sound clip is missing") for f in told)
    assert any(f.startswith(f"{worked}, event {second.seq}: its sound clip is damaged") for f in told)
    with pytest.raises(LogbookError, match="damaged"):
        bench.clip(second.body.clip)


def test_a_clock_set_back_is_remarked_and_no_fault(bench, start, said, at):
    with start(bench) as job:
        job.append([said("next", "Step 2.")], at(30))
        job.append([said("next", "Step 3.")], at(10))
    proof = verify(bench)
    assert proof.whole
    assert "event 3: the clock had been set back" in proof.remarks[0]


def test_one_job_is_proved_alone(bench, worked, start, tamper):
    other = start(bench)
    other.close()
    tamper("UPDATE event SET person = 'X' WHERE id >> 32 = 2")
    assert verify(bench, job=worked).whole
    assert not verify(bench, job=other.name).whole


def test_damage_to_the_file_is_said_and_nothing_is_changed(bench, start, said, at):
    with start(bench) as job:
        for minute in range(200):
            job.append([said(f"note {minute}", "x" * 200)], at(minute))
    database = bench.folder / "logbook.sqlite3"
    bench.close()
    content = bytearray(database.read_bytes())
    middle = len(content) // 2
    content[middle : middle + 8192] = b"\xff" * 8192
    database.write_bytes(content)
    damaged = bytes(content)
    with Logbook.open(bench.folder, read_only=True) as logbook:
        assert not verify(logbook).whole
    assert database.read_bytes() == damaged


def test_a_body_that_is_no_json_is_a_fault_and_not_a_crash(bench, worked, tamper):
    tamper("UPDATE event SET body = '{' WHERE kind = 'said'")
    assert len(faults(bench)) == 4
    with pytest.raises(LogbookError, match="event 2 cannot be read"):
        bench.events(worked)


def test_what_a_newer_version_wrote_is_said(bench, worked, tamper):
    tamper("UPDATE event SET kind = 'telepathy' WHERE id & 255 = 4")
    with pytest.raises(LogbookError, match="newer version wrote"):
        bench.events(worked)


def test_the_chain_covers_every_column(bench, worked):
    db = sqlite3.connect(bench.folder / "logbook.sqlite3")
    columns = [c[1] for c in db.execute("PRAGMA table_info(event)")]
    db.close()
    assert columns == ["id", "at", "person", "step", "kind", "body", "said", "hash"]
    row = [row_id(1, 1), "a", "b", "c", "d", json.dumps({}), 0]
    plain = chained(b"", *row)
    for place in range(7):
        other = list(row)
        other[place] = 5 if isinstance(row[place], int) else "z"
        assert chained(b"", *other) != plain
    assert chained(b"", *row[:2], "bc", "", *row[4:]) != chained(b"", *row[:2], "b", "c", *row[4:])


def test_a_whole_store_moved_elsewhere_is_still_whole(bench, worked, tmp_path):
    bench.close()
    shutil.move(bench.folder, tmp_path / "elsewhere")
    with Logbook.open(tmp_path / "elsewhere") as moved:
        assert verify(moved).whole


ROWS_GONE = {
    "the card's text": ("DELETE FROM card", "2026-03-02-01: the card's text is gone from the store"),
    "the job's head": ("DELETE FROM head WHERE job = 1", "2026-03-02-01: the job's head is gone"),
    "the store's head": ("DELETE FROM head WHERE job = 0", "store: the store's own head is gone"),
    "the last job's root": ("UPDATE head SET hash = x'00' WHERE job = 0", "store: the last job is not the one"),
    "events of no job": (
        "INSERT INTO event SELECT id + (6 << 32), at, person, step, kind, body, said, hash FROM event LIMIT 1",
        "store: events stand under a job 7 that is not there",
    ),
}


@pytest.mark.parametrize(("statement", "fault"), ROWS_GONE.values(), ids=ROWS_GONE.keys())
def test_rows_around_the_events_are_held_together_too(bench, worked, tamper, statement, fault):
    tamper(statement)
    assert any(found.startswith(fault) for found in faults(bench)), faults(bench)
