"""Whatever is said, in whatever order: the state stays legal, the log gives it again, and what is taken back
never was."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.grammar.request import REQUESTS, Quantity, Request
from assistant.job import events as e
from assistant.job.codec import from_json, to_json
from assistant.job.errors import Illegal
from assistant.job.events import Event, kind_of
from assistant.job.memory import State
from assistant.job.open_items import blocking, open_items
from assistant.job.records import Clock
from assistant.job.state import apply, fold
from tests.dialogue.talk import START, Talk, belt_guard

CARD = belt_guard()
QUANTITIES = st.builds(
    Quantity,
    st.sampled_from(
        [Decimal(v) for v in ("0", "0.1", "0.15", "0.3", "5", "9", "10", "40", "50", "65", "80", "9000", "-3")]
    ),
    st.sampled_from(["", "N·m", "lbf·ft", "mm", "in", "min", "deg"]),
)
WORDS = st.sampled_from(["yes", "because it is old", "keep", "replace", "one", "two", "the guard", ""])
THINGS = st.sampled_from(
    [
        *CARD.fasteners,
        *CARD.parts,
        *CARD.measures,
        *CARD.tools,
        "motor bolts",
        "gizmo",
        "front-motor-bolts|rear-motor-bolts",
    ]
)
ITEMS = st.sampled_from(["part-off:guard", "cover-in:shaft-cap", "all", "guard", "", "steps-left:out", "gizmo"])
SLOTS = {
    "step": st.integers(-1, 20), "bolt": st.integers(0, 6), "value": QUANTITIES, "length": QUANTITIES,
    "angle": QUANTITIES, "duration": QUANTITIES, "fastener": THINGS, "measure": THINGS, "thing": THINGS, "tool": THINGS,
    "reason": WORDS, "text": WORDS, "option": WORDS, "name": st.sampled_from(["Mara", "Jonas", ""]), "item": ITEMS,
    "section": st.sampled_from(["next", "this", "out", ""]), "relation": st.sampled_from(["at", "over", "under"]),
    "in-unit": st.sampled_from(["N·m", "lbf·ft", ""]), "mode": st.sampled_from(["open", "name", "pedal", "x"]),
}  # fmt: skip


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """Any request with any of its slots; those that move the job on come more often."""
    common = ["done", "done", "skip", "skip", "undo", "undo", "undo", "start-fastener", "torqued", "measured", "note",
              "override", "finish", "accept", "go-to", "back", "withdraw-note"]  # fmt: skip
    name = draw(st.sampled_from([*common, *REQUESTS]))
    slots = {slot: draw(SLOTS[slot]) for slot in REQUESTS[name] if draw(st.booleans())}
    return Request(name, slots, name)


@st.composite
def jobs(draw: st.DrawFn) -> Talk:
    """A job somewhere between its beginning and its end, to which anything was said in any order."""
    talk = Talk()
    if draw(st.integers(0, 9)):
        talk.begin(draw(st.sampled_from(["one", "two"])))
        for _ in range(draw(st.integers(0, 50))):
            if not talk.state.finished:
                talk.obey()
    for request in draw(st.lists(requests(), min_size=1, max_size=25)):
        talk.take(request)
        for _ in range(draw(st.integers(0, 3))):
            if talk.state.at and not talk.state.finished:
                talk.obey()
    return talk


def without_clock(state: State) -> State:
    return replace(state, clock=Clock())


def assert_sound(state: State) -> None:
    """What must hold in every state, however it came about."""
    for thing, it in state.fasteners.items():
        assert min(it.tight, it.loose, it.started, it.snug, it.out) >= 0, thing
        assert it.count == CARD.fasteners[thing].count, thing
    for step, how in state.steps.items():
        assert how.how in ("done", "skipped")
        assert how.how != "skipped" or how.reason.strip(), step
    for (step, what), reason in state.overridden.items():
        assert reason.strip(), (step, what)
    assert all(reason.strip() for reason in state.accepted.values())
    for record in state.torques:
        assert 0 < record.value < 3000
        assert record.verdict == "inside" or record.reason
    assert not (state.finished and blocking(state))
    assert len({item.id for item in open_items(state)}) == len(open_items(state))
    assert state.at == "" or state.at in state.plan.by_id


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_whatever_is_said_the_state_stays_sound_and_the_log_gives_it_again(talk: Talk) -> None:
    assert_sound(talk.state)
    stored = [
        Event(ev.seq, ev.at, ev.person, ev.step, from_json(kind_of(ev.body), to_json(ev.body)), ev.group)
        for ev in talk.log
    ]
    assert [ev.seq for ev in stored] == list(range(1, len(stored) + 1))
    assert fold(CARD, stored) == talk.state


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs(), st.data())
def test_taking_an_event_back_equals_never_having_had_it(talk: Talk, data: st.DataObject) -> None:
    state = talk.state
    there = [ev for ev in state.history() if not isinstance(ev.body, e.JobStarted | e.Said | e.Asked | e.Answered)]
    if not there:
        return
    gone = data.draw(st.sampled_from(there))
    back = Event(state.seq + 1, talk.now + timedelta(seconds=5), "", state.at, e.Withdrawn((gone.seq,)))
    effective = [ev for ev in reversed(list(state.history())) if ev.seq != gone.seq]
    try:
        never_had = fold(CARD, effective)
    except Illegal:
        try:
            apply(state, back)
        except Illegal:
            return
        raise AssertionError("taken back, though what came after depends on it") from None
    without = apply(state, back)
    # the question that stands is what it was: it is put to the person, not part of what was done
    assert replace(without_clock(without), question=None) == replace(without_clock(never_had), question=None)
    assert_sound(without)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_a_power_cut_at_any_moment_changes_nothing(talk: Talk) -> None:
    before = without_clock(talk.state)
    talk.power_cut()
    assert without_clock(talk.state) == before


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs(), requests())
def test_asking_again_gives_the_same_answer_and_no_answer_carries_a_hole(talk: Talk, request: Request) -> None:
    text = talk.take(request)
    assert "{" not in text
    assert "None" not in text
    assert talk.outcome.reply.spoken or not text
    assert (talk.now - START).total_seconds() > 0
