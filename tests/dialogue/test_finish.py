"""What is open, and the end of the job: nothing is forgotten, nothing finishes quietly."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from assistant.grammar.request import Quantity, Request
from assistant.job.events import Finished, FinishRefused, ItemAccepted, ItemClosed
from assistant.job.open_items import accepted_items, blocking, open_items
from tests.dialogue.talk import Talk, bare, mm, nm


@pytest.fixture
def talk() -> Talk:
    """All steps through, the rear motor bolts and the cap forgotten about."""
    talk = Talk().to("pulley-on")
    talk("skip", reason="in a hurry")
    talk("yes")
    talk.to("close")
    talk.obey()
    return talk


def test_open_items_by_kind_in_mid_job() -> None:
    talk = Talk().to("pulley-off")
    ids = {item.id for item in open_items(talk.state)}
    assert {"part-off:guard", "part-off:motor", "fastener-out:guard-screws", "fastener-out:front-motor-bolts"} <= ids
    assert {"connection-open:supply", "not-lined-up:motor-mark", "support-in-place:hoist"} <= ids
    assert "part-off:old-belt" not in ids, "what is not put back is not missing"
    talk("done")
    ids = {item.id for item in open_items(talk.state)}
    assert {"cover-in:shaft-cap", "fluid-out:oil", "fastener-loose:shaft-nut"} <= ids


def test_a_new_part_in_the_place_of_the_old_closes_the_gap() -> None:
    talk = Talk().to("measure")
    talk("measured", measure="runout", value=mm("0.4"))
    talk("answer", option="replace")
    talk.to("nut")
    assert "part-off:pulley" not in {item.id for item in open_items(talk.state)}


def test_finish_is_refused_with_the_list(talk: Talk) -> None:
    answer = talk("finish")
    assert answer == "Not yet. 3 items are open. Pulley off: closed now, or accept with a reason?", "each is named once"
    assert talk("more").startswith("pulley bolts, 4 out; shaft cap still in.")
    assert talk.logged(FinishRefused) == [
        FinishRefused(("part-off:pulley", "fastener-out:pulley-bolts", "cover-in:shaft-cap"))
    ]
    assert not talk.state.finished


def test_each_item_is_closed_or_accepted_with_a_reason_and_then_it_finishes(talk: Talk) -> None:
    talk("finish")
    assert talk("yes") == "Pulley off: closed. Pulley bolts, 4 out: closed now, or accept with a reason?"
    answer = talk("close")
    assert answer == "Pulley bolts, 4 out: closed. Pulley bolts not at value: torqued to what, or accept with a reason?"
    assert talk("time").endswith("Pulley bolts not at value: torqued to what, or accept with a reason?")
    answer = talk("digits", value=nm(50))
    assert answer.startswith("Not recorded. The belt guard is still in front of the pulley bolts.")
    assert answer.endswith("torqued to what, or accept with a reason?")
    talk("accept", reason="checked by hand")
    assert talk("yes").startswith("Accepted. Shaft cap still in:")
    assert talk("accept") == "Accept shaft cap still in: for what reason?"
    assert talk("reason", text="the driver takes it out") == "Accept shaft cap still in, the driver takes it out?"
    answer = talk("yes")
    assert answer == "Accepted. Nothing open, 2 accepted, 1 in doubt. In doubt: step 9 skipped. Finish the job?"
    answer = talk("yes")
    assert answer.startswith("Finished.")
    assert answer.endswith("Still due: after 10 h, look at the belt again.")
    assert talk.logged(ItemClosed) == [ItemClosed("part-off:pulley"), ItemClosed("fastener-out:pulley-bolts")]
    assert talk.logged(ItemAccepted) == [
        ItemAccepted("not-at-value:pulley-bolts", "checked by hand"),
        ItemAccepted("cover-in:shaft-cap", "the driver takes it out"),
    ]
    assert {item.reason for item in accepted_items(talk.state)} == {"checked by hand", "the driver takes it out"}


def test_an_item_is_never_accepted_without_a_reason_and_a_yes(talk: Talk) -> None:
    talk("finish")
    talk("accept")
    talk("reason", text="yes")
    assert talk.question == "accept-reason"
    talk("reason", text="it stays")
    talk("no")
    assert not talk.logged(ItemAccepted)


def test_a_torque_that_is_missing_is_not_closed_by_a_word() -> None:
    talk = Talk().to("motor-tighten")
    talk("done")
    talk("override", reason="no wrench")
    talk("yes")
    assert "not-at-value:front-motor-bolts" in {item.id for item in open_items(talk.state)}
    assert "torqued to what" in talk("close", item="not-at-value:front-motor-bolts")
    assert not talk.logged(ItemClosed)


def test_going_through_the_list_without_closing_leaves_it_open(talk: Talk) -> None:
    talk("finish")
    talk("no")
    talk("no")
    assert talk("no").endswith("Not yet. 3 items are open: pulley off; pulley bolts, 4 out; shaft cap still in.")
    assert not talk.state.finished


def test_all_can_be_accepted_with_one_reason(talk: Talk) -> None:
    talk("finish")
    assert talk("accept", item="all", reason="goes back as it is").startswith("Accept all 3 open items")
    assert "Nothing open, 3 accepted" in talk("yes")


def test_an_early_finish_counts_the_steps_that_are_left() -> None:
    talk = Talk().to("belt-off")
    talk("finish")
    left = {item.thing: item.count for item in blocking(talk.state) if item.kind == "steps-left"}
    assert left == {"out": 4, "inspect": 1, "in": 6}
    assert not talk.logged(Finished)


def test_what_is_open_and_finish_agree_about_steps_that_are_left() -> None:
    talk = Talk().begin()
    assert talk("open") == "Nothing is open but the steps that are left."
    assert talk("finish").startswith("Not yet.")
    talk = Talk().to("close")
    talk.obey()
    assert not blocking(talk.state)
    assert talk("open") == "Nothing is open."


def test_a_clean_job_is_asked_once_and_finishes() -> None:
    talk = Talk().to("close")
    talk.obey()
    assert not blocking(talk.state)
    assert talk("finish") == "Nothing open. Finish the job?"
    assert talk("no") == "Not finished."
    assert not talk.state.finished
    talk("finish")
    talk("yes")
    assert talk.state.finished
    assert talk("done") == "The job is finished."


def test_an_item_is_closed_by_its_name_at_any_time(talk: Talk) -> None:
    assert talk("close", item="shaft-cap") == "Shaft cap still in: closed."
    assert talk("close", item="gizmo") == "That is not open."


def test_telling_what_is_open_does_not_close_it(talk: Talk) -> None:
    before = talk.recorded
    assert talk.take(Request("close", {"item": "pulley"}, "the pulley is off")) == "Pulley off: stays open."
    assert talk.take(Request("close", {"item": "pulley-bolts"}, "pulley bolts are out")).endswith("stays open.")
    assert (
        talk.take(Request("close", {"item": "shaft-cap"}, "shaft cap is in place")) == "Shaft cap still in: stays open."
    )
    assert talk.recorded == before
    assert talk.take(Request("close", {"item": "shaft-cap"}, "the shaft cap is out")) == "Shaft cap still in: closed."
    assert talk.take(Request("close", {"item": "pulley"}, "the pulley is back on")).startswith("Pulley off: closed.")


def test_a_thing_that_is_not_open_is_never_taken_for_one_whose_name_is_like_it() -> None:
    talk = Talk().to("pulley-off")
    talk("done")
    talk.to("nut")  # the pulley is on again, its bolts are at value; the shaft nut is loose
    before = talk.recorded
    assert talk("close", item="pulley") == "That is not open."
    assert talk("accept", item="pulley", reason="it is fine") == "That is not open."
    assert talk.recorded == before


def at_value_missing() -> Talk:
    """Asked for the torque of the pulley bolts, with the cap still to come on the list."""
    talk = Talk().to("pulley-on")
    talk("skip", reason="in a hurry")
    talk("yes")
    talk("finish")
    while not (talk.state.question and talk.state.question.about.get("item") == "not-at-value:shaft-nut"):
        talk("close") if "closed now" in talk.outcome.reply.text else talk("no")
    return talk


def test_a_value_in_the_middle_of_the_list_goes_on_with_the_list() -> None:
    answers: tuple[Callable[[Talk], str], ...] = (
        lambda talk: talk("torqued", fastener="shaft-nut", value=nm(80), angle=Quantity(Decimal(60), "deg")),
        lambda talk: (talk("digits", value=nm(80)), talk("yes"))[-1],
        lambda talk: (talk("digits", value=nm(110)), talk("reason", text="stiffer"), talk("yes"))[-1],
    )
    for answer in answers:
        talk = at_value_missing()
        assert answer(talk).count("Shaft nut") == 1
        assert talk.question == "item", talk.outcome.reply.text
        assert "not-at-value:shaft-nut" not in {item.id for item in blocking(talk.state)}


def test_a_number_given_digit_by_digit_goes_on_with_the_list() -> None:
    talk = at_value_missing()
    assert "Digit by digit" in talk.hear("digits", value=nm(18), doubtful=("value",))
    talk.hear("digits", value=bare(80))
    talk("yes")
    assert talk.question == "item", talk.outcome.reply.text


def test_a_thing_that_is_told_to_be_off_where_the_step_takes_it_off_asks_whether_the_step_is_done() -> None:
    talk = Talk().to("belt-off")
    answer = talk.take(Request("close", {"item": "old-belt"}, "old belt's off"))
    number = talk.state.plan.by_id["belt-off"].number
    assert answer == f"Is all of step {number} done?"
    assert talk("yes").startswith(f"{number} done.")


def test_a_thing_that_is_told_to_be_on_where_the_step_takes_it_off_is_no_step_done() -> None:
    talk = Talk().to("belt-off")
    assert talk.take(Request("close", {"item": "old-belt"}, "old belt's on")) == "That is not open."


def test_a_support_that_is_told_to_be_there_answers_the_question_for_it() -> None:
    talk = Talk().to("sling")
    talk("skip", reason="no hoist")
    talk("yes")
    assert talk.question == "support"
    talk.take(Request("close", {"item": "hoist"}, "it's on the chain hoist"))
    assert talk.state.standing("support", "hoist") == "in-place"


def test_a_hold_is_answered_by_a_yes_alone() -> None:
    talk = Talk().to("lock")
    talk("done")
    assert "Step 2 waits." in talk("yes")
    assert "Step 2 waits." in talk.take(Request("close", {"item": "supply"}, "power supply's off"))
    assert talk.question == "hold"
