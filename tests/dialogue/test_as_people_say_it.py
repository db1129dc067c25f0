"""What people in the bay said and were not understood: each as a kind, through the grammar and the shipped cards."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from assistant.card.model import Card
from assistant.dialogue.measures import is_plausible
from assistant.dialogue.steps import cautions_of, said_once
from assistant.dialogue.wording.english import GLOSSARY
from assistant.grammar.library import shipped_grammars
from assistant.grammar.load import CardGrammar
from assistant.grammar.spelling import plain_phrases
from assistant.job.events import Measured, Torqued
from assistant.job.state import begin
from tests.scripts.play import Bay, card_named, grammar_of

START = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
DRIVELINE = ("begin", "hydraulics", "bolted on", "solid")


@pytest.fixture
def bay() -> Bay:
    bay = Bay("gearbox-and-clutch", START)
    for line in DRIVELINE:
        bay.type(line)
    return bay


def said(bay: Bay, *lines: str) -> str:
    return [bay.type(line).reply.text for line in lines][-1]


def until(bay: Bay, step: str) -> Bay:
    """Works the card up to a step, saying what each one needs."""
    state = bay.talk.state
    for _ in range(400):
        state = bay.talk.state
        if state.at == step and step not in state.steps and state.question is None:
            return bay
        question = state.question
        match question.name if question else "":
            case "":
                bay.type("done" if state.at not in state.steps else "next")
            case "torque-value":
                torque = card_named(bay.card).fasteners[question.about["fastener"]].torque  # type: ignore[union-attr]
                assert torque is not None
                bay.type(f"{torque.value or torque.low} {torque.unit}")
            case "measure-value":
                limits = card_named(bay.card).measures[question.about["measure"]].limits  # type: ignore[union-attr]
                if limits is None:
                    bay.type("5")
                elif limits.low is None:
                    bay.type(str(limits.high / 3))  # type: ignore[operator]
                else:
                    bay.type(str((limits.low + (limits.high or limits.low + 2)) / 2))
            case "who-confirms":
                bay.type("this is Jonas")
            case _:
                bay.type("yes")
    raise AssertionError(f"never came to {step}, is at {state.at} with {state.question}")


# -- bolts ---------------------------------------------------------------------


@pytest.fixture(scope="module")
def plate_going_on() -> Bay:
    """At the step that tightens the skid plate: six bolts, across, one pass."""
    bay = Bay("gearbox-and-clutch", START)
    for line in DRIVELINE:
        bay.type(line)
    return until(bay, "skid-plate-in")


@pytest.mark.parametrize("line", ["which bolt", "which one next", "which bolt is next", "which one"])
def test_which_bolt_is_the_one_whose_turn_it_is(plate_going_on: Bay, line: str) -> None:
    bay = plate_going_on
    assert said(bay, "undo" if bay.talk.state.bolting else "where", "which bolt").startswith("Skid plate bolts: 1,")
    bay.type("start the skid plate bolts")
    assert said(bay, line).startswith("Next 1")
    bay.type("stop tightening")


def test_how_many_left_counts_the_bolts_while_a_set_is_worked_and_the_steps_else(plate_going_on: Bay) -> None:
    bay = plate_going_on
    assert "steps left" in said(bay, "how many left")
    bay.type("start the skid plate bolts")
    assert said(bay, "click", "how many left") == "Skid plate bolts: 5 left in this pass, then 4 more passes."
    bay.type("stop tightening")


def test_which_way_it_turns_is_never_made_up(plate_going_on: Bay) -> None:
    answer = said(plate_going_on, "which way do I turn it")
    assert answer.startswith("Skid plate bolts: not marked left-hand on this card. It says no more")
    assert "clockwise" not in answer


def test_a_thread_that_the_card_marks_left_hand_is_told_with_its_ways() -> None:
    card = card_named("gearbox-and-clutch")
    fasteners = {**card.fasteners}
    fasteners["drain-plug"] = fasteners["drain-plug"].model_copy(update={"left_hand": True})
    from assistant.dialogue.conversation import Conversation
    from assistant.grammar.request import Request

    talk, _ = Conversation.begin(card.model_copy(update={"fasteners": fasteners}), START)
    _, outcome = talk.take(Request("which-way", {"fastener": "drain-plug"}), START)
    assert "loosens clockwise and tightens anticlockwise" in outcome.reply.text


def test_these_need_thread_locker_or_not(plate_going_on: Bay) -> None:
    assert said(plate_going_on, "do these need thread locker") == "Skid plate bolts: dry."


def test_torque_and_angle_can_be_said_in_one_for_all(bay: Bay) -> None:
    until(bay, "flywheel-tighten")
    bay.type("done")
    assert "60 N·m, 6 0, and 60°, 6 0. Logged." in said(bay, "all at sixty plus sixty degrees")
    torqued = [e.body for e in bay.log if isinstance(e.body, Torqued) and e.body.fastener == "flywheel-bolts"]
    assert [(str(t.value), str(t.angle_deg), t.verdict) for t in torqued] == [("60", "60", "inside")]
    assert bay.talk.state.steps["flywheel-tighten"].how == "done"


def test_an_angle_that_is_not_the_cards_is_not_taken(bay: Bay) -> None:
    until(bay, "flywheel-tighten")
    bay.type("done")
    assert "Not logged" in said(bay, "all at sixty plus ninety degrees")
    assert not [e for e in bay.log if isinstance(e.body, Torqued) and e.body.fastener == "flywheel-bolts"]


# -- things that stick, words, amounts --------------------------------------------


def test_a_fastener_can_be_stuck_as_well_as_a_part(bay: Bay) -> None:
    until(bay, "pipe-off")
    assert "does not turn" in said(bay, "exhaust flange nuts won't come loose")
    assert said(bay, "the head bolts won't turn") == "Head bolts: not on this card."


@pytest.mark.parametrize("line", ["what's runout", "what does runout mean", "what is backlash"])
def test_a_word_of_the_trade_is_explained(bay: Bay, line: str) -> None:
    word = "runout" if "runout" in line else "backlash"
    assert said(bay, line) == f"{word.capitalize()}: {GLOSSARY[word]}"


def test_every_word_that_can_be_asked_is_explained_and_the_other_way_about() -> None:
    trade = next(grammar for grammar in shipped_grammars() if grammar.name == "bay.trade")
    assert set(plain_phrases(trade.rules["word"].expansion)) == set(GLOSSARY)


def test_an_explanation_is_short_enough_to_be_heard() -> None:
    assert {word: words for word, words in GLOSSARY.items() if len(words.split()) > 24} == {}


def test_what_the_card_describes_itself_is_not_left_to_the_glossary() -> None:
    grammar = CardGrammar(card_named("gearbox-and-clutch"))
    request = grammar.parse("what's the pilot bearing")
    assert request is not None
    assert request.slots == {"thing": "pilot-bearing"}


def test_how_much_oil_is_told_from_the_card(bay: Bay) -> None:
    until(bay, "fill")
    assert said(bay, "how much oil") == "Gearbox oil: 2.4 L, 2.4, SAE 75W-80, API GL-4."


# -- readings -------------------------------------------------------------------


def test_a_reading_may_be_named_by_the_part_alone(bay: Bay) -> None:
    until(bay, "bite")
    assert said(bay, "the bite is eighty").startswith("Bite height: 80 mm, 8 0, inside")
    until(bay, "disc-measure")
    assert said(bay, "disc is 7.8").startswith("Clutch disc thickness, 1 of 3: 7.8 mm")


def test_measure_again_asks_for_the_reading_of_the_step(bay: Bay) -> None:
    until(bay, "bite")
    bay.type("bite height 80")
    assert said(bay, "measure again") == "Bite height: what is the reading?"
    said(bay, "90")
    assert [str(e.body.value) for e in bay.log if isinstance(e.body, Measured)] == ["80", "90"]
    assert len(bay.talk.state.readings["bite-height"]) == 1


def test_a_name_that_two_measures_share_goes_by_the_step_or_is_asked() -> None:
    card: Card = card_named("gearbox-and-clutch")
    request = grammar_of(card.card).parse("the flywheel is at 0.08")
    assert request is None or request.name == "torqued", "a fastener's name is no reading's"


# -- how, why, cautions ---------------------------------------------------------


SHIPPED = ("gearbox-and-clutch", "pump-cover", "wheel-end")


@pytest.mark.parametrize("card", SHIPPED)
def test_an_apprentice_is_told_how_and_why_at_most_steps_and_in_ten_seconds(card: str) -> None:
    steps = [step for section in card_named(card).sections for step in section.steps]
    for told in ([step.how for step in steps], [step.why for step in steps]):
        given = [words for words in told if words]
        assert len(given) >= 0.85 * len(steps)
        assert [words for words in given if len(words.split()) > 30] == [], "30 words are ten seconds at 180 a minute"


@pytest.mark.parametrize("card", SHIPPED)
def test_no_caution_is_said_twice_at_a_step(card: str) -> None:
    state = begin(card_named(card))
    for place in state.plan.places:
        cautions = cautions_of(state, place)
        assert said_once(cautions) == cautions
        assert len({first_words(c) for c in cautions}) == len(cautions), cautions


def first_words(caution: str) -> str:
    return " ".join(caution.casefold().split()[:2])


def test_of_two_cautions_that_say_the_same_the_fuller_one_is_said() -> None:
    assert said_once(["It is live unless the battery is off.", "Live at all times unless the battery is off."]) == (
        "Live at all times unless the battery is off.",
    )
    assert said_once(["Never oil them.", "Oil them."]) == ("Never oil them.",)
    assert said_once(["Edges cut.", "It is live."]) == ("Edges cut.", "It is live.")


def test_the_earth_lead_is_not_asked_about_where_the_job_has_it_off(bay: Bay) -> None:
    until(bay, "bracket-off")
    assert "Step 22: Take off the starter cable nut" in said(bay, "done")


def test_the_earth_lead_is_asked_about_where_its_step_was_skipped(bay: Bay) -> None:
    until(bay, "battery")
    said(bay, "skip because the battery is out already", "yes")
    until(bay, "bracket-off")
    assert said(bay, "done").endswith("Step 22 waits. Is the battery earth lead off?")


def test_the_dangers_of_the_job_are_named_in_one_breath_and_the_rest_comes_on_more() -> None:
    bay = Bay("gearbox-and-clutch", START)
    answer = said(bay, *DRIVELINE)
    cautions = card_named("gearbox-and-clutch").cautions
    assert all(caution.split(".")[0] in answer for caution in cautions)
    assert len(answer.split()) < 50
    assert [said(bay, "more") for _ in cautions] == [f"Caution: {caution}" for caution in cautions]


# -- far from what can be ---------------------------------------------------------


def test_a_reading_far_out_is_asked_digit_by_digit_and_a_worn_one_is_not(bay: Bay) -> None:
    until(bay, "bush-measure")
    assert said(bay, "pilot bore 28").endswith("Not logged yet: say it digit by digit.")
    assert "pilot-bore" not in bay.talk.state.readings
    assert said(bay, "one five point one two").startswith("Pilot bore: 15.12 mm, 1 5.1 2, out of the limit")
    assert [str(r.value) for r in bay.talk.state.readings["pilot-bore"]] == ["15.12"]


def test_a_reading_that_is_far_out_digit_by_digit_too_is_logged_as_it_was_said(bay: Bay) -> None:
    until(bay, "bush-measure")
    said(bay, "done", "28")
    assert "28 mm, 2 8, out of the limit" in said(bay, "two eight")


@pytest.mark.parametrize(
    ("measure", "value", "plausible"),
    [
        ("disc-thickness", "6.4", True),  # worn well below 7.2
        ("disc-thickness", "2.7", False),  # 7.2 the wrong way round
        ("flywheel-runout", "0.3", True),  # twice the limit: a face that was hot
        ("flywheel-runout", "0.5", False),  # a slipped point
        ("finger-height", "27", True),
        ("finger-height", "3.2", False),
        ("bite-height", "125", True),
        ("shaft-nose", "14.6", True),
        ("shaft-nose", "0.59", False),  # inches, said as millimetres
    ],
)
def test_what_a_worn_part_can_give(measure: str, value: str, plausible: bool) -> None:
    assert is_plausible(card_named("gearbox-and-clutch").measures[measure], Decimal(value)) is plausible


def test_a_torque_far_out_is_asked_digit_by_digit_before_a_reason_is(bay: Bay) -> None:
    until(bay, "drain-shut")
    answer = said(bay, "torqued the drain plug to 14")
    assert answer.endswith("is far from the card's 40 N·m, 4 0. Not logged yet: say it digit by digit.")
    assert "Logged." in said(bay, "four zero")
    said(bay, "undo")
    said(bay, "torqued the drain plug to 14")
    assert "a reason to keep it" in said(bay, "one four")
    assert said(bay, "torqued the drain plug to 30").endswith("a reason to keep it."), "half a turn short is plausible"
