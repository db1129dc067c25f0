"""What the bay's screen shows of a job: step, next, caution, fastener, order, open items, what was heard."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from assistant.board.bay_view import QUIET_S, bay_view, sureness
from assistant.board.drawing import drawing
from assistant.board.fit import SIZES, size_of_step
from assistant.card.load import load_card_text
from assistant.card.model import Fastener
from assistant.job.events import ActionDone, BoltDone, BoltsStarted, Paused, Said
from assistant.job.passes import turns_of
from assistant.logbook import Logbook
from tests.board.conftest import BEGAN, CARD, begin
from tests.logbook.technician import Technician


@pytest.fixture
def at_step(tmp_path):
    """`at_step("hub-on")`: the screen at that step, its technician and a way to look again."""

    class Bench:
        def __init__(self, step: str) -> None:
            self.technician = Technician(load_card_text(CARD.decode()), BEGAN, "FC-204")
            for _ in self.technician.work():
                if self.technician.state.at == step:
                    break
            with Logbook.open(tmp_path) as logbook:
                begin(logbook, "FC-204", BEGAN, last_step=1).writer.close()
                self.job = logbook.find_job()

        def look(self, after_s: float = 1, *, held: bool = True):
            job = replace(self.job, last_at=self.technician.now)
            now = self.technician.now + timedelta(seconds=after_s)
            return bay_view(job, self.technician.state, self.technician.events, now, held=held)

    return Bench


def test_step_next_section_and_caution_are_shown(at_step):
    view = at_step("hub-off").look()
    assert (view.number, view.says, view.section) == (3, "Take the hub off.", "Taking off")
    assert (view.next_number, view.next_says) == (4, "Cover the seat.")
    assert view.cautions == ("The hub is heavy and has sharp edges.",)
    assert view.phase == "working"


def test_the_fastener_to_tighten_comes_with_value_size_and_order(at_step):
    (due,) = at_step("hub-on").look().due
    assert (due.name, due.value, due.verb) == ("hub bolts", "80 ± 5 N·m", "tighten")
    assert due.size == "5 × M12x1.25, 10.9"
    assert 'data-position="1"' in due.drawing


def test_bolt_by_bolt_shows_the_bolt_that_is_due_and_those_done(at_step):
    bench = at_step("hub-on")
    for verb in ("fit", "start"):
        for deed in bench.technician.plan.deeds("hub-on", bench.technician.state.facts):
            if deed.verb == verb:
                bench.technician.turn(ActionDone(deed.verb, deed.thing))
    bench.technician.turn(BoltsStarted("hub-bolts"))
    turns = turns_of(bench.technician.plan.fastener("hub-bolts"))
    for each, position in turns[:7]:
        bench.technician.turn(BoltDone("hub-bolts", position, each.number))
    (due,) = bench.look().due
    each, position = turns[7]
    assert due.bolt == position
    assert due.note.startswith(f"pass {each.number} of")
    marked = re.findall(r'order-place order-due" data-position="(\d+)"', due.drawing)
    done = re.findall(r'order-place order-done" data-position="(\d+)"', due.drawing)
    assert marked == [str(position)]
    assert {int(p) for p in done} == {p for e, p in turns[:7] if e.number == each.number}


def test_bolt_by_bolt_the_large_number_is_what_this_pass_asks_for(at_step):
    """The wrench is set to it: the final value shown as large would be set too early."""
    bench = at_step("hub-on")
    for deed in bench.technician.plan.deeds("hub-on", bench.technician.state.facts):
        if deed.verb in ("fit", "start"):
            bench.technician.turn(ActionDone(deed.verb, deed.thing))
    (before,) = bench.look().due
    assert (before.value, before.end) == ("80 ± 5 N·m", "")
    bench.technician.turn(BoltsStarted("hub-bolts"))
    (first,) = bench.look().due
    assert (first.value, first.end, first.note) == ("37 N·m", "80 ± 5 N·m", "pass 1 of 2, 50 %"), "half of the least"
    for each, position in turns_of(bench.technician.plan.fastener("hub-bolts"))[:5]:
        bench.technician.turn(BoltDone("hub-bolts", position, each.number))
    (last,) = bench.look().due
    assert (last.value, last.end) == ("80 ± 5 N·m", "")


def test_a_set_with_no_value_yet_stands_under_the_step_and_leaves_it_the_whole_width(at_step):
    view = at_step("wheel-off").look()
    assert [d.name for d in view.due] == ["wheel nuts"]
    assert not view.beside
    assert at_step("play").look().beside


def test_a_closed_job_tells_what_is_due_after_it(at_step):
    view = at_step("never").look()
    assert view.phase == "closed"
    assert [says for says, _ in view.later] == ["Tighten the wheel nuts again."]
    assert view.later[0][1].startswith("after 100 km, or after 3 days")


def test_a_measure_comes_with_its_limit_and_what_was_read(at_step):
    (due,) = at_step("play").look().due
    assert (due.name, due.value, due.verb) == ("bearing play", "at most 0.05 mm", "measure")


def test_open_items_are_counted_and_named(at_step):
    view = at_step("cover").look()
    assert view.open[:2] == ("wheel: off", "hub: off")
    assert view.open_count == 5, "wheel, hub, their fasteners, the stands"


def test_before_the_first_step_the_cards_cautions_are_shown(tmp_path):
    with Logbook.open(tmp_path) as logbook:
        worker = begin(logbook, "FC-204", BEGAN, last_step=0)
        view = bay_view(
            logbook.find_job(), worker.technician.state, worker.technician.events, worker.technician.now, held=True
        )
    assert view.phase == "not begun"
    assert view.says == "Put the vehicle on stands."
    assert view.cautions == ("A vehicle that falls kills. Work on it only when it stands on stands.",)


def test_a_job_gone_quiet_says_so(at_step):
    bench = at_step("hub-off")
    assert bench.look(QUIET_S - 1).quiet == ""
    assert bench.look(QUIET_S + 60).quiet == "Quiet for 11 min."
    assert bench.look(5, held=False).quiet == "The assistant is not running. Last word 5 s ago."
    assert bench.look(5, held=False).phase == "left open"
    assert "4 days" in bench.look(4 * 86400, held=False).quiet


def test_a_pause_is_no_silence(at_step):
    bench = at_step("hub-off")
    bench.technician.turn(Paused())
    view = bench.look(3 * QUIET_S)
    assert (view.phase, view.quiet) == ("paused", "")


@pytest.mark.parametrize(
    ("decision", "score", "marks", "says"),
    [
        ("act", -0.2, 4, "clear"),
        ("act", -0.9, 3, "fairly clear"),
        ("act", -1.9, 2, "just clear enough"),
        ("confirm", -1.5, 2, "just clear enough, asked to confirm"),
        ("again", -2.8, 1, "not understood, asked again"),
        ("ignore", -4.0, 0, "not meant for the assistant"),
        ("typed", None, 4, "typed"),
    ],
)
def test_how_sure_it_was_is_said_in_marks_and_words(decision, score, marks, says):
    assert sureness(Said("x", "x", "next", {}, decision, score, 1.0, "y")) == (marks, says)


def test_what_was_heard_last_is_shown_with_its_reply(at_step):
    bench = at_step("hub-off")
    heard = bench.look().heard
    assert heard is not None
    assert heard.words == "next"
    assert "Take the hub off." in heard.reply


def test_letters_are_as_large_as_fits_and_never_below_the_least():
    short = size_of_step("Take the wheel off.", (), "", "Take the hub off.", quiet=False, beside=True)
    assert short == 0
    longer = size_of_step("Take it off. " * 15, ("Heavy. " * 8,), "", "Next." * 9, quiet=True, beside=True)
    assert longer > 0
    assert size_of_step("x" * 2000, ("y" * 500,), "z" * 200, "w" * 300, quiet=True, beside=True) == len(SIZES) - 1


def test_the_drawing_holds_no_style_of_its_own():
    fastener = Fastener.model_validate({"name": "cover bolts", "count": 8, "order": {"pattern": "across"}})
    drawn = drawing(fastener, 5, {1, 2})
    assert "<style" not in drawn
    assert "style=" not in drawn
    assert 'font-size="' in drawn


def test_too_many_bolts_are_not_drawn():
    fastener = Fastener.model_validate({"name": "pan bolts", "count": 40, "order": {"pattern": "round"}})
    assert drawing(fastener, 1, ()) == ""
