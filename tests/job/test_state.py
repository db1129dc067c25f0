"""What can have happened and what cannot: the rules of the fold, event by event."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from assistant.job import events as e
from assistant.job.errors import Illegal, JobError
from assistant.job.events import Body, Event
from assistant.job.holds import lacking, wanting
from assistant.job.memory import State
from assistant.job.open_items import blocking, open_items
from assistant.job.state import apply, begin, fold, salvage
from assistant.job.times import worked_by_section, worked_s
from tests.dialogue.talk import belt_guard

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
STARTED = e.JobStarted("belt-guard", "1", "", "Belt drive")


def events(*bodies: Body) -> list[Event]:
    """One event a minute."""
    return [Event(n, START + timedelta(minutes=n), "Mara", "", body) for n, body in enumerate(bodies, start=1)]


def after(*bodies: Body) -> State:
    return fold(belt_guard(), events(STARTED, e.FactSet("drive", "one"), *bodies))


def act(verb: str, thing: str, count: int | None = None) -> e.ActionDone:
    return e.ActionDone(verb, thing, count)


GUARD_OFF = (act("take_out", "guard-screws"), act("remove", "guard"))


def refused(state: State, body: Body) -> str:
    with pytest.raises(Illegal) as why:
        apply(state, Event(state.seq + 1, START + timedelta(hours=1), "Mara", state.at, body))
    return why.value.reason


def test_nothing_happens_before_the_job_began() -> None:
    assert refused(begin(belt_guard()), e.Paused()) == "The job has not begun."


def test_a_job_is_worked_by_its_own_card() -> None:
    assert "belt-guard" in refused(begin(belt_guard()), e.JobStarted("other", "1", "", "Other"))


def test_the_log_runs_forward() -> None:
    state = after()
    with pytest.raises(Illegal, match="out of order"):
        apply(state, Event(1, START, "", "", e.Paused()))


@pytest.mark.parametrize(
    ("done", "then", "why"),
    [
        ((), act("remove", "guard"), "screws still hold"),
        ((), act("fit", "guard"), "is on already"),
        ((), act("start", "guard-screws"), "already in"),
        ((act("take_out", "guard-screws"),), act("take_out", "guard-screws"), "already out"),
        ((act("take_out", "guard-screws", 3),), act("take_out", "guard-screws", 2), "only 1 are left"),
        ((), act("take_out", "guard-screws", 9), "there are 4"),
        ((), act("line_up", "motor-mark"), "was never made"),
        ((), act("fit", "gizmo"), "no part gizmo"),
        ((act("disconnect", "supply"),), act("disconnect", "supply"), "disconnected already"),
        ((), act("release", "hoist"), "is away already"),
        ((), act("polish", "guard"), "Nothing on a card can be done"),
        (GUARD_OFF, act("tighten", "guard-screws"), "belt guard is not on yet"),
    ],
)
def test_things_do_not_happen_twice_nor_out_of_turn(done: tuple[Body, ...], then: Body, why: str) -> None:
    assert why in refused(after(*done), then)


def test_a_part_does_not_come_off_while_what_holds_it_is_in() -> None:
    state = after(e.StepStarted("lock"), act("disconnect", "supply"), e.Confirmed("lock", "check"), e.StepDone("lock"),
                  e.Confirmed("guard-off", "hold"), e.StepStarted("guard-off"))  # fmt: skip
    assert refused(state, act("remove", "guard")) == "The guard screws still hold the belt guard."


def test_fasteners_are_counted_by_how_they_stand() -> None:
    state = after(*GUARD_OFF, act("loosen", "pulley-bolts"), act("take_out", "pulley-bolts", 3))
    bolts = state.fastener("pulley-bolts")
    assert (bolts.tight, bolts.loose, bolts.out, bolts.count) == (0, 1, 3, 4)


def test_a_jack_is_not_taken_away_from_a_part_that_nothing_else_holds() -> None:
    state = after(
        *GUARD_OFF, act("support", "hoist"), act("take_out", "front-motor-bolts"), act("take_out", "rear-motor-bolts")
    )
    assert refused(state, act("release", "hoist")) == ("Nothing holds the motor but the chain hoist: fasten it first.")


def test_the_last_fasteners_of_a_carried_part_wait_for_its_support() -> None:
    state = after(*GUARD_OFF)
    assert [lack.what for lack in lacking(state, "motor-off")] == ["support", "lift"]
    state = after(*GUARD_OFF, act("mark", "motor-mark"), act("support", "hoist"))
    assert not lacking(state, "motor-off"), "on the hoist it needs no second person"


def test_a_step_is_not_done_with_its_torque_unlogged() -> None:
    path = (e.Measured("runout", Decimal("0.1"), "mm", "inside"), *GUARD_OFF, act("take_out", "pulley-bolts"),
            act("remove", "pulley"), act("cover", "shaft-cap"), e.StepStarted("pulley-on"), act("uncover", "shaft-cap"),
            act("fit", "pulley"), act("start", "pulley-bolts"))  # fmt: skip
    assert refused(after(*path), e.StepDone("pulley-on")) == "pulley bolts: no torque logged."
    torqued = e.Torqued("pulley-bolts", Decimal(50), "N·m")
    assert after(*path, torqued, e.StepDone("pulley-on")).steps["pulley-on"].how == "done"


def test_taking_a_set_out_again_forgets_its_torque() -> None:
    state = after(*GUARD_OFF, act("loosen", "pulley-bolts"), e.Torqued("pulley-bolts", Decimal(50), "N·m"))
    assert state.fastener("pulley-bolts").reached
    again = after(*GUARD_OFF, act("loosen", "pulley-bolts"), e.Torqued("pulley-bolts", Decimal(50), "N·m"),
                  act("loosen", "pulley-bolts"))  # fmt: skip
    assert not again.fastener("pulley-bolts").reached
    assert len(again.torques) == 1, "what was logged stays logged"


@pytest.mark.parametrize(
    ("value", "unit", "why"),
    [
        (Decimal(0), "N·m", "cannot be right"),
        (Decimal(9000), "N·m", "cannot be right"),
        (Decimal("NaN"), "N·m", "cannot be right"),
        (Decimal(50), "mm", "not a unit of torque"),
    ],
)
def test_no_impossible_torque_gets_into_the_log(value: Decimal, unit: str, why: str) -> None:
    assert why in refused(after(*GUARD_OFF), e.Torqued("pulley-bolts", value, unit))


def test_a_value_outside_needs_its_reason() -> None:
    state = after(*GUARD_OFF)
    assert "needs a reason" in refused(state, e.Torqued("pulley-bolts", Decimal(45), "N·m", verdict="outside"))
    state = after(*GUARD_OFF, e.Torqued("pulley-bolts", Decimal(45), "N·m", verdict="outside", reason="old threads"))
    assert "outside-value:pulley-bolts" in {item.id for item in open_items(state)}
    assert "outside-value:pulley-bolts" not in {item.id for item in blocking(state)}


def test_bolts_go_in_their_turn() -> None:
    state = after(*GUARD_OFF, e.BoltsStarted("pulley-bolts"))
    assert "turn of number 1" in refused(state, e.BoltDone("pulley-bolts", 2, 1))
    assert "start them bolt by bolt first" in refused(after(*GUARD_OFF), e.BoltDone("pulley-bolts", 1, 1))


def test_a_fact_is_not_changed_under_a_step_that_was_done_by_it() -> None:
    steps = (e.StepStarted("second-belt"), e.StepDone("second-belt"))
    state = fold(belt_guard(), events(STARTED, e.FactSet("drive", "two"), *steps))
    assert refused(state, e.FactSet("drive", "one")) == "Step 14 was done by the other answer: undo that first."


def test_a_job_with_open_items_is_not_finished() -> None:
    assert "open" in refused(after(*GUARD_OFF), e.Finished())


def test_during_a_pause_no_work_is_recorded_but_notes_are() -> None:
    state = after(e.Paused())
    assert refused(state, e.StepStarted("lock")) == "Work is paused: say resume first."
    assert len(after(e.Paused(), e.Noted("tea")).notes) == 1


def test_a_closed_job_takes_nothing_more_but_words() -> None:
    path = [place.step.id for place in after().plan.places if place.step.id not in ("second-belt", "pulley-new")]
    skipped = [e.StepSkipped(step, "called off") for step in path]
    state = after(*skipped, e.ItemAccepted("part-off:new-belt", "called off"), e.Finished())
    assert state.finished
    assert refused(state, e.Noted("late")) == "The job is finished."


# -- taking back ---------------------------------------------------------------


def test_what_was_taken_back_never_was() -> None:
    kept, gone = e.Noted("kept"), e.Noted("gone")
    state = after(kept, gone, e.Withdrawn((4,)))
    assert [note.text for note in state.notes.values()] == ["kept"]


def test_what_others_depend_on_is_not_taken_back() -> None:
    state = after(*GUARD_OFF, e.BoltsStarted("pulley-bolts"))
    why = refused(state, e.Withdrawn((4,)))  # the guard was taken off: event 4
    assert why == "What came after depends on it. The belt guard is still in front of the pulley bolts."
    assert refused(state, e.Withdrawn((77,))) == "That was taken back already, or never was."


def test_nothing_is_taken_back_twice() -> None:
    state = after(e.Noted("gone"), e.Withdrawn((3,)))
    assert refused(state, e.Withdrawn((3,))) == "That was taken back already, or never was."


def test_what_was_said_stays_said() -> None:
    said = e.Said("x", "x", "", {}, "act", None, None, "")
    assert refused(after(said), e.Withdrawn((3,))) == "What was said stays in the log."


def test_taking_back_far_away_works_as_well() -> None:
    """Over many saved states; the result is the fold without it."""
    notes = [e.Noted(f"note {n}") for n in range(400)]
    state = after(*notes, e.Withdrawn((10,)))
    assert len(state.notes) == 399
    assert "note 7" not in {note.text for note in state.notes.values()}


# -- times and old logs ----------------------------------------------------------


def test_time_goes_to_the_section_one_is_in_and_pauses_are_out() -> None:
    state = fold(belt_guard(), events(
        STARTED, e.FactSet("drive", "one"), e.StepStarted("lock"), e.Noted("a"), e.Paused(), e.Noted("b"), e.Resumed(),
        e.Noted("c"),
    ))  # fmt: skip
    # a minute an event: one to the fact, one to the step, then lock: note, pause | paused two | note
    assert worked_by_section(state, state.clock.last or START) == {"": 120.0, "out": 180.0}
    assert worked_s(state, (state.clock.last or START) + timedelta(minutes=5)) == 600.0


def test_time_with_the_tool_switched_off_is_not_worked() -> None:
    log = events(STARTED, e.FactSet("drive", "one"), e.StepStarted("lock"))
    state = fold(belt_guard(), [*log, Event(4, START + timedelta(hours=15), "", "lock", e.Reopened())])
    assert worked_s(state, START + timedelta(hours=15)) == 120.0


def test_a_clock_that_was_set_back_takes_no_time_away() -> None:
    log = events(STARTED, e.FactSet("drive", "one"), e.StepStarted("lock"))
    state = fold(belt_guard(), [*log, Event(4, START - timedelta(hours=1), "", "lock", e.Noted("x"))])
    assert worked_s(state, START) == 120.0


def test_a_log_by_other_rules_is_read_as_far_as_it_goes() -> None:
    log = events(STARTED, e.FactSet("drive", "one"), e.FactSet("colour", "red"), e.Noted("x"))
    with pytest.raises(Illegal):
        fold(belt_guard(), log)
    state, left_out = salvage(belt_guard(), log)
    assert len(state.notes) == 1
    assert [event.seq for event, _ in left_out] == [3]


def test_an_event_without_a_rule_is_an_error_of_ours() -> None:
    class Strange(Body):
        pass

    with pytest.raises(JobError, match="No rule"):
        apply(after(), Event(99, START, "", "", Strange()))


def test_a_reading_out_of_its_limits_is_decided_before_its_step_is_done() -> None:
    outside = e.Measured("runout", Decimal("0.4"), "mm", "outside")
    state = after(*GUARD_OFF, outside)
    assert [lack.says for lack in wanting(state, "measure")] == ["pulley runout: out of limits, not decided yet."]
    decided = after(*GUARD_OFF, outside, e.Decided("runout", "replace"))
    assert wanting(decided, "measure") == ()


def test_a_set_of_no_value_must_be_tight_all_the_same() -> None:
    card = belt_guard().model_copy(deep=True)
    card.fasteners["pulley-bolts"] = card.fasteners["pulley-bolts"].model_copy(update={"torque": None, "passes": []})
    begun = (STARTED, e.FactSet("drive", "one"), *GUARD_OFF, act("loosen", "pulley-bolts"))
    state = fold(card, events(*begun))
    says = [lack.says for lack in wanting(state, "pulley-on")]
    assert "pulley bolts: not tight yet." in says
    tight = fold(card, events(*begun, act("tighten", "pulley-bolts")))
    assert "pulley bolts: not tight yet." not in [lack.says for lack in wanting(tight, "pulley-on")]


def test_bolts_that_were_tightened_with_no_value_logged_stay_open() -> None:
    state = after(*GUARD_OFF, act("loosen", "pulley-bolts"), act("tighten", "pulley-bolts"))
    found = [item for item in open_items(state) if item.thing == "pulley-bolts"]
    assert [(item.kind, item.count) for item in found] == [("not-at-value", 4)]
    assert found[0] in blocking(state)


def test_snug_is_not_enough_for_bolts_that_a_later_step_tightens() -> None:
    card = belt_guard().model_copy(deep=True)
    bolts = card.fasteners["pulley-bolts"].model_copy(update={"torque": None, "passes": []})
    card.fasteners["pulley-bolts"] = bolts
    snugged = (*GUARD_OFF, act("take_out", "pulley-bolts"), act("start", "pulley-bolts"), act("snug", "pulley-bolts"))
    state = fold(card, events(STARTED, e.FactSet("drive", "one"), *snugged))
    assert "fastener-loose:pulley-bolts" in {item.id for item in open_items(state)}


def test_a_note_that_goes_on_is_one_note() -> None:
    state = after(e.Noted("The shaft is"), e.Noted("blue on one side.", continues=3))
    assert [note.text for note in state.notes.values()] == ["The shaft is blue on one side."]


def test_the_tool_in_hand_and_sleep_are_remembered() -> None:
    state = after(e.ToolChosen("torque-wrench"), e.SleepSet(True))
    assert state.wrench.tool == "torque-wrench"
    assert state.asleep
