"""Cautions, troubles, conditions, reasons and tools: where they belong."""

from __future__ import annotations

from .telling import step, thing, told


def test_a_caution_stands_at_its_step() -> None:
    draft = told("Lift off the guard. Prise out the seal, and mind you don't scratch the bore. Clean the bore.")
    assert step(draft, "remove", "seal").cautions == ["Mind you don't scratch the bore"]


def test_a_caution_before_any_step_is_of_the_whole_job() -> None:
    assert told("Never work under it on a jack alone. Drain the oil.").cautions == [
        "Never work under it on a jack alone"
    ]


def test_what_to_do_if_it_does_not_come() -> None:
    draft = told("Slide the flange off. If it won't come, use the puller, and never hit it with a hammer.")
    (trouble,) = step(draft, "remove", "flange").troubles
    assert (trouble.sign, trouble.do, trouble.never) == (
        "If it won't come",
        "Use the puller,",
        "Never hit it with a hammer",
    )


def test_a_variant_is_a_fact_and_switches_its_steps() -> None:
    draft = told("On early models take off the bracket. Take off the guard.")
    assert step(draft, "remove", "bracket").when == {"early-or-late": "early"}
    assert step(draft, "remove", "guard").when == {}


def test_years_are_a_fact_and_no_count() -> None:
    draft = told("Up to 2018 there are four cover bolts. Take out the cover bolts.")
    (fact,) = draft.conditions.values()
    assert fact.ask == "Built up to 2018 or later?"
    assert thing(draft, "cover bolts").count == 4


def test_if_it_has_two_pieces_asks_and_holds_for_its_sentence() -> None:
    draft = told("If it has a two-piece shaft, take out the centre bearing bolts. Pull the shaft.")
    fact = next(iter(draft.conditions.values()))
    assert fact.ask == "Does it have a two piece shaft?"
    assert draft.steps[0].when == {fact.id: "yes"}
    assert draft.steps[1].when == {}


def test_a_state_found_on_the_day_is_no_variant() -> None:
    assert told("Check the seal. If it is worn, fit a new seal.").conditions == {}


def test_tools_stand_at_their_step_and_give_the_head() -> None:
    draft = told("Loosen the six cover bolts with a sixteen millimetre spanner.")
    assert [tool.name for tool in draft.steps[0].tools] == ["16 mm spanner"]
    assert thing(draft, "cover bolts").wrench is not None


def test_because_is_the_why_of_the_step() -> None:
    draft = told("Hang the shaft up with a strap, because it's heavy and it'll come down on your head.")
    assert draft.steps[0].why == "Because it is heavy and it will come down on your head"
    assert [deed.verb for one in draft.steps for deed in one.deeds] == ["support"]


def test_make_sure_is_a_check() -> None:
    draft = told("Lower the box onto the stand. Make sure the stand is level.")
    assert draft.steps[0].check == "The stand is level: is that so?"


def test_garbled_trade_talk_is_kept_and_marked() -> None:
    draft = told("Take out the four bolts. The nut flange spanner twelve mil whereby.")
    assert [one.said.words for one in draft.unread] == ["The nut flange spanner twelve mil whereby."]


def test_small_talk_is_left_out() -> None:
    draft = told("Take out the four bolts. My sister came by and we had fish for tea.")
    assert [one.words for one in draft.aside] == ["My sister came by and we had fish for tea."]
