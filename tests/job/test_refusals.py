"""What a job refuses, rule by rule, and in which words: whatever a log holds, no job comes to stand wrong."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.job import events as e
from assistant.job.events import Body
from assistant.job.open_items import accepted_items, blocking, open_items
from assistant.job.passes import rounds_of
from assistant.job.state import begin
from tests.dialogue.talk import belt_guard
from tests.job.test_state import GUARD_OFF, act, after, refused

PULLEY_OUT = (*GUARD_OFF, act("take_out", "pulley-bolts"))
STARTS_PULLEY = (*GUARD_OFF, e.BoltsStarted("pulley-bolts"))
OUT_OF_LIMIT = e.Measured("runout", Decimal("0.4"), "mm", "outside")
LOCKED = (e.StepStarted("lock"), act("disconnect", "supply"), e.Confirmed("lock", "check"), e.StepDone("lock"))


def torqued(**but: object) -> e.Torqued:
    told: dict[str, object] = {"fastener": "pulley-bolts", "value": Decimal(50), "unit": "N·m", **but}
    return e.Torqued(**told)  # type: ignore[arg-type]


FASTENERS = [
    ((), act("loosen", "gizmo"), "There are no gizmo on this card."),
    ((act("loosen", "shaft-nut"),), act("loosen", "shaft-nut"), "Shaft nut: already loose."),
    ((), act("snug", "guard-screws"), "Guard screws: already snug."),
    ((), act("start", "guard-screws", 0), "Guard screws: there are 4, not 0."),
    ((), e.BoltsStarted("gizmo"), "There are no gizmo on this card."),
    ((), e.BoltsStarted("pulley-bolts"), "The belt guard is still in front of the pulley bolts."),
    ((), e.BoltsStopped("pulley-bolts"), "Pulley bolts: not being worked through bolt by bolt."),
    ((), e.BoltDone("pulley-bolts", 1, 1), "Pulley bolts: start them bolt by bolt first."),
    (STARTS_PULLEY, e.BoltDone("pulley-bolts", 3, 1), "Pulley bolts: it is the turn of number 1 in pass 1."),
    (STARTS_PULLEY, e.BoltDone("pulley-bolts", 1, 2), "Pulley bolts: it is the turn of number 1 in pass 1."),
    (GUARD_OFF, torqued(fastener="gizmo"), "There are no gizmo on this card."),
    (GUARD_OFF, torqued(unit=""), "That is not a unit of torque."),
    (GUARD_OFF, torqued(unit="mm"), "mm is not a unit of torque."),
    (GUARD_OFF, torqued(value=Decimal(0)), "0 N·m cannot be right."),
    (GUARD_OFF, torqued(value=Decimal("NaN")), "NaN N·m cannot be right."),
    (GUARD_OFF, torqued(value=Decimal("Infinity")), "Infinity N·m cannot be right."),
    (GUARD_OFF, torqued(value=Decimal(-50)), "-50 N·m cannot be right."),
    (GUARD_OFF, torqued(value=Decimal(50_000)), "50000 N·m cannot be right."),
    (GUARD_OFF, torqued(bolt=0), "Pulley bolts: there are 4, no number 0."),
    (GUARD_OFF, torqued(bolt=5), "Pulley bolts: there are 4, no number 5."),
    (GUARD_OFF, torqued(verdict="fine"), "A torque is inside or outside its value, not 'fine'."),
    (GUARD_OFF, torqued(verdict="outside", reason=" "), "Pulley bolts: a value outside the card's needs a reason."),
    ((), torqued(), "The belt guard is still in front of the pulley bolts."),
    (PULLEY_OUT, torqued(), "Pulley bolts: still out, so there is nothing to torque yet."),
]  # fmt: skip
STEPS = [
    ((), e.FactSet("colour", "red"), "This card does not ask about colour."),
    ((), e.FactSet("drive", "three"), "three is no answer to: Is it driven by one belt or by two?"),
    (LOCKED, e.StepDone("lock"), "Step 1 is done already."),
    ((), e.StepDone("guard-off"), "Step 2 is not the present step."),
    ((e.StepStarted("lock"),), e.StepDone("lock"), "power supply: not done yet."),
    ((), e.StepStarted("guard-off"), "Is the lock on?"),
    (LOCKED, e.StepSkipped("lock", "no time"), "Step 1 is done already."),
    ((), e.StepSkipped("lock", "  "), "A step is skipped for a reason: say which."),
    ((), e.Confirmed("lock", "hold"), "Step 1 asks for no hold."),
    ((), e.Confirmed("lock", "nonsense"), "Step 1 asks for no nonsense."),
    ((), e.Overridden("lock", "nonsense", "x"), "'nonsense' cannot be overridden."),
    ((), e.Overridden("guard-off", "hold", " "), "An override needs a reason."),
    ((), e.ItemAccepted("part-off:guard", " "), "Something open is accepted for a reason: say which."),
    ((), e.ItemAccepted("part-off:guard", "gone"), "That is not open."),
    ((), e.ItemClosed("part-off:guard"), "That is not open."),
    ((), e.StepDone("nowhere"), "There is no step 'nowhere' on this card."),
    ((), e.StepSkipped("second-belt", "none"), "does not apply to this vehicle."),
    ((), e.StepSkipped("pulley-new", "none"), "applies is not known yet."),
]  # fmt: skip
READINGS_AND_TALK = [
    ((), e.Measured("warp", Decimal(1), "mm", "inside"), "This card measures no warp."),
    ((), e.Measured("runout", Decimal(1), "mm", "splendid"), "'splendid' is no verdict."),
    ((), e.Measured("runout", Decimal("NaN"), "mm", "inside"), "That is not a number."),
    ((), e.Measured("gap", Decimal(9), "mm", "inside", 3), "belt gap: 2 readings are taken, no number 3."),
    ((), e.Decided("gap", "keep"), "There is nothing to decide about that."),
    ((OUT_OF_LIMIT,), e.Decided("runout", "paint"), "paint is no choice here: The pulley runs out too far."),
    ((), e.Decided("runout", "keep"), "pulley runout is not out of its limits."),
    ((), e.Noted("and", continues=99), "That note was taken back."),
    ((), e.Noted("x", sort="song"), "'song' is no kind of note."),
    ((), e.Noted("  "), "The note is empty."),
    ((), e.TimerSet(0), "A timer runs from one second to 24 hours."),
    ((), e.TimerSet(86_401), "A timer runs from one second to 24 hours."),
    ((), e.TimerEnded(77, "rang"), "There is no such timer."),
    ((), e.VerbositySet("operatic"), "Nobody is told things 'operatic'."),
    ((e.Paused(),), e.Paused(), "Work is paused already."),
    ((), e.Resumed(), "Work is not paused."),
    ((), e.PersonChanged("  "), "Say the name with it."),
    ((), e.AdapterSet(Decimal(0)), "An adapter is up to a metre long."),
    ((), e.AdapterSet(Decimal(1001)), "An adapter is up to a metre long."),
    ((), e.AdapterSet(Decimal(50), wrench_mm=Decimal(10)), "A torque wrench is between 50 and 3000 mm long."),
    ((), e.ToolChosen("crowbar"), "There is no tool crowbar on this card."),
    ((), e.Withdrawn(()), "There is nothing to take back."),
    ((), e.Withdrawn((1,)), "What was said stays in the log."),
    ((), e.Withdrawn((99,)), "That was taken back already, or never was."),
    ((e.Paused(),), act("take_out", "guard-screws"), "Work is paused: say resume first."),
]  # fmt: skip
THINGS = [
    ((), act("remove", "new-belt"), "The new belt is not on yet."),
    ((act("mark", "motor-mark"), act("line_up", "motor-mark")), act("mark", "motor-mark"), "is lined up already."),
]  # fmt: skip


@pytest.mark.parametrize(("done", "then", "why"), [*FASTENERS, *STEPS, *READINGS_AND_TALK, *THINGS])
def test_what_cannot_be_is_refused_with_its_reason(done: tuple[Body, ...], then: Body, why: str) -> None:
    assert why in refused(after(*done), then)


def test_a_job_begins_once_and_nothing_is_taken_back_before() -> None:
    assert refused(after(), e.JobStarted("belt-guard", "1", "", "Belt drive")) == "The job has begun already."
    assert refused(begin(belt_guard()), e.Withdrawn((1,))) == "The job has not begun."


def test_an_answer_that_a_step_was_done_by_is_not_changed_over_it() -> None:
    state = after(OUT_OF_LIMIT, e.Decided("runout", "replace"), *LOCKED, e.Overridden("pulley-new", "check", "seen"),
                  e.StepSkipped("pulley-new", "seen before"))  # fmt: skip
    assert "was done by the other answer: undo that first." in refused(state, e.FactSet("pulley-fate", "keep"))


def test_a_whole_round_is_over_and_begins_anew_only_when_asked_for() -> None:
    turns = [(each.number, at) for each in rounds_of(belt_guard().fasteners["pulley-bolts"]) for at in each.sequence]
    done = tuple(e.BoltDone("pulley-bolts", at, number) for number, at in turns)
    state = after(*STARTS_PULLEY, *done)
    assert len(turns) == 8, "two passes over four"
    assert state.fastener("pulley-bolts").tight == 4
    assert refused(state, e.BoltDone("pulley-bolts", *reversed(turns[0]))) == "Pulley bolts: all done."
    again = after(*STARTS_PULLEY, *done, e.BoltsStopped("pulley-bolts"), e.BoltsStarted("pulley-bolts"))
    assert again.fastener("pulley-bolts").bolts == ()


def test_single_bolts_at_their_value_add_up_to_the_set() -> None:
    one_by_one = [torqued(bolt=bolt) for bolt in (1, 2, 3, 4)]
    opened = (*GUARD_OFF, act("loosen", "pulley-bolts"))
    three = after(*opened, *one_by_one[:3])
    assert [item.id for item in open_items(three) if "pulley" in item.id] == ["fastener-loose:pulley-bolts"]
    assert not three.fastener("pulley-bolts").reached
    assert after(*opened, *one_by_one).fastener("pulley-bolts").reached


def test_what_is_tightened_in_part_leaves_the_rest_open() -> None:
    state = after(*GUARD_OFF, act("loosen", "pulley-bolts"), act("tighten", "pulley-bolts", 3))
    it = state.fastener("pulley-bolts")
    assert (it.tight, it.loose) == (3, 1)


def test_a_reading_too_close_to_call_is_in_doubt_and_one_outside_is_undecided() -> None:
    close = after(e.Measured("runout", Decimal("0.15"), "mm", "too-close"))
    assert [(item.id, item.blocks) for item in open_items(close)][-1] == ("too-close:runout", False)
    outside = after(OUT_OF_LIMIT)
    assert "undecided:runout" in [item.id for item in blocking(outside)]
    assert "undecided:runout" not in [item.id for item in blocking(after(OUT_OF_LIMIT, e.Decided("runout", "keep")))]


def test_a_measurement_left_out_with_a_reason_is_told_with_it() -> None:
    state = after(e.Overridden("measure", "measure", "gauge is broken"), e.StepStarted("measure"),
                  act("inspect", "pulley"), e.StepDone("measure"))  # fmt: skip
    told = [item for item in open_items(state) if item.kind == "not-measured"]
    assert [(item.thing, item.reason, item.blocks) for item in told] == [("runout", "gauge is broken", False)]


def test_what_is_accepted_is_told_with_its_reason_and_keeps_nothing_up() -> None:
    state = after(*GUARD_OFF, e.ItemAccepted("part-off:guard", "goes to the painter"))
    assert [(item.id, item.reason) for item in accepted_items(state)] == [("part-off:guard", "goes to the painter")]
    assert "part-off:guard" not in [item.id for item in blocking(state)]


@pytest.mark.parametrize(("opened", "closed"), [
    (act("disconnect", "supply"), "connection-open:supply"), (act("drain", "oil"), "fluid-out:oil"),
    (act("cover", "shaft-cap"), "cover-in:shaft-cap"), (act("support", "hoist"), "support-in-place:hoist"),
    (act("mark", "motor-mark"), "not-lined-up:motor-mark"),
])  # fmt: skip
def test_what_stands_open_is_closed_by_a_word(opened: Body, closed: str) -> None:
    assert closed in [item.id for item in open_items(after(opened))]
    assert closed not in [item.id for item in open_items(after(opened, e.ItemClosed(closed)))]


def test_a_value_outside_is_not_closed_by_a_word() -> None:
    assert refused(after(OUT_OF_LIMIT), e.ItemClosed("undecided:runout")) == (
        "pulley runout: this is not closed by a word."
    )


def test_a_new_part_passed_over_stands_open() -> None:
    state = after(e.StepSkipped("belt-on", "belt not here yet"))
    assert "part-off:new-belt" in [item.id for item in open_items(state)]


def test_a_set_whose_passes_have_no_torque_to_be_shares_of_is_gone_round_once() -> None:
    """`bay check` refuses such a card; a job that was begun by it goes on all the same."""
    bolts = belt_guard().fasteners["pulley-bolts"].model_copy(update={"torque": None})
    assert [(each.number, each.sequence, each.is_final) for each in rounds_of(bolts)] == [(1, (1, 2, 3, 4), True)]
