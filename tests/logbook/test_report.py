"""The report of a whole job: every torque, reading, departure and open item is there, in each format."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import jsonschema
import pytest
from pypdf import PdfReader

from assistant.card.load import load_card_text
from assistant.card.model import Tool, Torque
from assistant.job.events import Event, Measured, Said, Torqued, Withdrawn
from assistant.job.plan import Plan
from assistant.logbook import Logbook, LogbookError
from assistant.logbook.hours import clock_says, step_seconds
from assistant.logbook.plot import plot
from assistant.logbook.report import SCHEMA, grouped, hours_of, strays, write_report
from assistant.logbook.report_html import as_html
from assistant.logbook.report_pdf import as_pdf
from assistant.logbook.says import calibration, torque_says
from assistant.logbook.tables import as_csv, as_json
from assistant.logbook.tell import account, tell
from assistant.logbook.words import in_words
from tests.logbook.technician import Technician

CARD = Path(__file__).with_name("wheel-hub.yaml").read_bytes()
HOSTILE = "<img src=x onerror=alert(1)> {{7*7}} #panic() =2+3 & \"quoted\" 'so' \u202e"


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A store with one job worked to its end, with everything that can go otherwise in it, and one left open."""
    with Logbook.open(tmp_path_factory.mktemp("shop")) as logbook:
        card = load_card_text(CARD.decode())
        kinds = (
            ("FC-204", {"outside": "bearing-play", "skip": "dust-cap-in", "pause_at": 4, "hand_to": "Ivo",
                        "note": HOSTILE, "correct": "hub-bolts"}),
            ("FC-311", {"last_step": 5}),
        )  # fmt: skip
        for day, (vehicle, kind) in enumerate(kinds, start=2):
            technician = Technician(card, datetime(2026, 3, day, 7, tzinfo=UTC), vehicle)
            turns = technician.work(**kind)
            first = next(turns)
            with logbook.create_job(CARD, first.bodies[0], first.at) as job:
                for turn in turns:
                    job.append(turn.bodies, turn.at, turn.person, turn.step)
        yield logbook


@pytest.fixture(scope="module")
def whole(shop):
    return account(shop, shop.find_job("1"))


@pytest.fixture(scope="module")
def half(shop):
    return account(shop, shop.find_job("2"))


def test_every_torque_that_stands_is_told_with_limit_order_and_tool(whole):
    hub = next(t for t in whole.torques if t.thing == "hub-bolts")
    assert (hub.value, hub.unit, hub.limit, hub.size, hub.count) == (
        Decimal("80"), "N·m", "80 ± 5 N·m", "M12x1.25, 10.9", 5,
    )  # fmt: skip
    assert hub.order == "across, from the mark"
    assert (hub.tool, hub.calibration) == ("torque wrench", "in date")
    assert hub.by == "Ivo"


def test_a_set_turned_on_by_an_angle_is_told_with_its_angle(shop, whole):
    """60 N·m alone is not what was done to a bolt that then was turned by 60 degrees."""
    angled = replace(whole, torques=(replace(whole.torques[0], angle_deg=Decimal(60)),))
    reached = f"{whole.torques[0].reached} + 60°"
    assert reached in as_html(angled, [])
    assert reached in text_of(as_pdf(angled))
    assert json.loads(as_json(angled))["torques"][0]["angle_deg"] == "60"
    assert next(csv.DictReader(io.StringIO(as_csv(angled)["torques"])))["angle_deg"] == "60"
    event = Event(1, whole.job.started, "", "", Torqued("hub-bolts", Decimal(60), "N·m", angle_deg=Decimal(60)))
    assert in_words(event, lambda thing: "hub bolts") == "hub bolts: 60 N·m + 60°"


def test_what_is_outside_its_limits_stands_on_the_first_page_with_what_was_decided(whole, half):
    (stray,) = strays(whole)
    assert (stray.name, stray.asked, stray.says) == ("bearing play", "at most 0.05 mm", "OUTSIDE")
    assert stray.after.startswith("Decided: ")
    first_page = PdfReader(io.BytesIO(as_pdf(whole))).pages[0].extract_text()
    assert "Outside, or too close to tell" in first_page
    assert "Outside, or too close to tell" in as_html(whole, [])
    assert strays(half) == []
    assert "Outside, or too close to tell" not in as_html(half, [])


def test_a_job_over_more_than_one_day_is_told_with_its_days(whole):
    at = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    assert hours_of(whole, UTC)(at) == "23:30"
    night = replace(whole, ended=datetime(2026, 3, 3, 2, tzinfo=UTC))
    assert hours_of(night, UTC)(at) == "2 Mar 23:30"


def text_of(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).replace("\n", " ")


def test_what_was_taken_back_is_out_and_counted(whole, shop):
    assert sum(isinstance(e.body, Torqued) for e in shop.events("1")) == len(whole.torques) + 1
    assert whole.taken_back == 1
    assert [t.value for t in whole.torques if t.thing == "hub-bolts"] == [Decimal("80")]


def test_a_reading_outside_comes_with_its_decision(whole):
    play = next(r for r in whole.readings if r.thing == "bearing-play")
    assert (play.verdict, play.high, play.decision) == ("outside", Decimal("0.05"), "replace the bearing")


def test_what_was_skipped_comes_with_its_reason(whole):
    assert [(d.what, d.reason) for d in whole.departures] == [("skipped", "no grease of that kind here")]


def test_open_items_accepted_come_with_their_reason_and_the_standing_says_so(whole):
    assert whole.finished
    assert whole.accepted
    assert all(o.reason == "agreed with the foreman" for o in whole.accepted)
    assert [o.name for o in whole.accepted] == ["dust cover"]
    assert whole.standing == "Finished with 1 open item accepted"


def test_a_job_left_open_says_what_is_open(half):
    assert not half.finished
    assert {o.id for o in half.open} >= {"part-off:wheel", "support-in-place:stands"}
    assert half.standing == f"Not finished: {sum(o.blocks for o in half.open)} open items"


def test_pauses_are_not_worked(whole, shop):
    events = shop.events("1")
    span = (events[-1].at - events[0].at).total_seconds()
    assert whole.worked_s == pytest.approx(span - 31 * 60)
    assert sum(s.worked_s for s in whole.sections) <= whole.worked_s


def test_a_clock_set_back_adds_no_time(bench, start, said, at):
    with start(bench) as job:
        for minute in (10, 5, 12):
            job.append([said("next", "x")], at(minute), "Mara", "chock")
    assert sum(step_seconds(bench.events(job.name)).values()) == 12 * 60


def test_follow_ups_are_due_by_distance_and_by_day(whole):
    assert [f.due for f in whole.follow_ups] == ["after 100 km, or after 3 days (5 March 2026)"]


def test_cautions_are_those_of_the_card_and_of_the_steps_begun(whole, half):
    assert half.cautions == whole.cautions[: len(half.cautions)]
    assert len(half.cautions) < len(whole.cautions)


def test_a_reading_taken_again_replaces_the_first(shop, whole):
    events = list(shop.events("1"))
    index = max(n for n, e in enumerate(events) if isinstance(e.body, Measured))
    again = events[index]
    later = [replace(e, seq=e.seq + 1) for e in events[index + 1 :] if not isinstance(e.body, Withdrawn)]
    later = [*events[: index + 1], replace(again, seq=again.seq + 1), *later]
    told = tell(shop.find_job("1"), later, Plan(load_card_text(CARD.decode())))
    mine = [r for r in told.readings if r.thing == again.body.measure]
    assert [r.replaced for r in mine] == [True, False]


@pytest.mark.parametrize(
    ("torque", "says"),
    [
        (Torque(value=Decimal(65), unit="N·m"), "65 N·m"),
        (Torque(value=Decimal(65), low=Decimal(60), high=Decimal(70), unit="N·m"), "65 ± 5 N·m"),
        (Torque(low=Decimal(60), high=Decimal(70), unit="lbf·ft"), "60 to 70 lbf·ft"),
        (Torque(value=Decimal(50), angle_deg=Decimal(90), unit="N·m"), "50 N·m + 90°"),
        (Torque(value=Decimal(65), low=Decimal(64), high=Decimal(70), unit="N·m"), "65 (64 to 70) N·m"),
        (Torque(by_hand=True), "snug by hand"),
    ],
)
def test_a_limit_is_told_as_its_source_gives_it(torque, says):
    assert torque_says(torque) == says


@pytest.mark.parametrize(
    ("calibrated", "uses", "says"),
    [
        ("2026-03-01", 10, "in date"),
        ("2025-03-15", 10, "due soon"),
        ("2025-03-01", 10, "due"),
        ("2026-03-01", 5000, "due"),
        (None, 10, "not known"),
    ],
)
def test_a_wrench_is_due_after_a_year_or_five_thousand_uses(calibrated, uses, says):
    """ISO 6789, from memory: 12 months or 5 000 uses."""
    tool = Tool(name="wrench", kind="torque-wrench", calibrated=calibrated, uses_since=uses)
    assert calibration(tool, date(2026, 3, 2)) == says


@pytest.mark.parametrize(
    ("seconds", "says"),
    [(0, "0 s"), (59.4, "59 s"), (59.6, "1 min"), (3599, "1 h 00 min"), (5 * 3600 + 240, "5 h 04 min")],
)
def test_a_time_is_told_in_hours_and_minutes(seconds, says):
    assert clock_says(seconds) == says


# -- drawings ----------------------------------------------------------------


def test_the_mark_lies_beside_its_limit_where_the_number_does(whole):
    play = [r for r in whole.readings if r.thing == "bearing-play"]
    drawn = plot(play)
    edge = float(re.search(r'<line x1="([\d.]+)" y1="3"', drawn)[1])
    mark = float(re.search(r'<rect x="([\d.]+)" y="7.4"', drawn)[1])
    assert mark > edge, "an outside reading is drawn outside"
    assert "limit at most 0.05 mm" in drawn


def test_inside_outside_and_too_close_differ_in_shape(whole):
    one = next(r for r in whole.readings if r.thing == "bearing-play")
    shapes = {v: plot([replace(one, verdict=v)]).split("</text>")[-1] for v in ("inside", "outside", "too-close")}
    assert "<circle" in shapes["inside"]
    assert "<rect" in shapes["outside"]
    assert "<polygon" in shapes["too-close"]


def test_a_measure_without_limits_has_no_drawing(whole):
    assert [g.drawing for g in grouped(whole.readings) if g.verdict == "no-limit"] == [""]


# -- formats -----------------------------------------------------------------


def test_json_keeps_its_schema(whole, half):
    schema = json.loads(SCHEMA.read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    for told in (whole, half):
        jsonschema.validate(json.loads(as_json(told)), schema)


def test_json_keeps_a_decimal_as_it_was_said(whole):
    read = json.loads(as_json(whole))
    assert next(r for r in read["readings"] if r["id"] == "bearing-play")["value"] == "0.07"


def test_csv_has_every_torque_reading_and_step(whole):
    tables = {name: list(csv.DictReader(io.StringIO(text))) for name, text in as_csv(whole).items()}
    assert len(tables["torques"]) == len(whole.torques)
    assert len(tables["readings"]) == len(whole.readings)
    assert len(tables["times"]) == len(whole.steps)
    assert tables["torques"][0]["value"] == "80"


def test_csv_holds_no_formula(whole):
    evil = replace(whole.torques[0], reason="=HYPERLINK(1)", by="+cmd", tool="-5.0")
    text = as_csv(replace(whole, torques=(evil,)))["torques"]
    row = next(csv.DictReader(io.StringIO(text)))
    assert row["reason"] == "'=HYPERLINK(1)"
    assert row["person"] == "'+cmd"
    assert row["tool"] == "-5.0"


def test_html_is_one_file_that_loads_nothing(shop, tmp_path):
    (path,) = write_report(shop, shop.find_job("1"), tmp_path / "r.html", zone=UTC)
    page = path.read_text()
    assert not re.findall(r'(?:src|href)=["\'](?!data:)', page)
    assert "url(" not in page
    assert "<script" not in page


def test_html_escapes_whatever_was_said(shop, tmp_path):
    (path,) = write_report(shop, shop.find_job("1"), tmp_path / "r.html", zone=UTC)
    page = path.read_text()
    assert "<img" not in page
    assert "&lt;img src=x onerror=alert(1)&gt; {{7*7}}" in page


def test_html_carries_the_sound_when_asked(bench, start, said, at, hum, tmp_path):
    technician = Technician(load_card_text(CARD.decode()), at(0))
    turns = list(technician.work(last_step=1))
    with bench.create_job(CARD, turns[0].bodies[0], turns[0].at) as job:
        for turn in turns[1:]:
            job.append(
                turn.bodies, turn.at, turn.person, turn.step, hum(100) if isinstance(turn.bodies[0], Said) else None
            )
    summary = bench.find_job(job.name)
    quiet, loud = (
        write_report(bench, summary, tmp_path / f"{sound}.html", sound=sound)[0].read_text() for sound in (False, True)
    )
    assert "data:audio/flac" not in quiet
    assert loud.count("data:audio/flac") == sum(isinstance(t.bodies[0], Said) for t in turns)


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_pdf_is_on_its_paper_and_has_it_all(shop, whole, tmp_path, paper, size):
    (path,) = write_report(shop, shop.find_job("1"), tmp_path / "r.pdf", paper=paper, zone=UTC)
    reader = PdfReader(path)
    assert tuple(round(float(v)) for v in reader.pages[0].mediabox[2:]) == size
    text = re.sub(r"\s+", "", "".join(page.extract_text() for page in reader.pages))
    for torque in whole.torques:
        assert torque.fastener.replace(" ", "") in text
    for reading in whole.readings:
        assert reading.measure.replace(" ", "") in text
    assert whole.job.last_hash in text
    assert "<imgsrc=xonerror=alert(1)>{{7*7}}#panic()" in text, "what was said is text, never markup"
    assert "OUTSIDE" in text


def test_pdf_is_tagged_and_archival(shop, tmp_path):
    (path,) = write_report(shop, shop.find_job("1"), tmp_path / "r.pdf")
    reader = PdfReader(path)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"] is True or reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert "pdfaid" in reader.trailer["/Root"]["/Metadata"].get_object().get_data().decode()
    assert reader.metadata.title == "Wheel hub bearing, out and back, FC-204"


def test_the_same_job_gives_the_same_pdf(shop, tmp_path):
    one, other = (write_report(shop, shop.find_job("1"), tmp_path / f"{n}.pdf", zone=UTC)[0] for n in "ab")
    assert one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize(
    ("name", "paper", "told"),
    [("r.docx", "a4", r"ends in \.html"), ("r", "a4", r"ends in \.html"), ("r.pdf", "a5", "a4 and letter")],
)
def test_a_report_that_cannot_be_is_said_in_one_line(shop, tmp_path, name, paper, told):
    with pytest.raises(LogbookError, match=told) as said:
        write_report(shop, shop.find_job("1"), tmp_path / name, paper=paper)
    assert "\n" not in str(said.value)
    assert not list(tmp_path.iterdir())


def test_a_place_that_cannot_be_written_is_said_and_nothing_half_is_left(shop, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(LogbookError):
        write_report(shop, shop.find_job("1"), tmp_path / "file" / "r.html")


def test_a_card_that_this_version_cannot_read_is_said(bench, worked):
    with pytest.raises(LogbookError, match="keeps cannot be read by this version"):
        account(bench, bench.find_job(worked))
