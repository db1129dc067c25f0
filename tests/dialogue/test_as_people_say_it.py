"""What people in the bay said and were not understood: each as a kind, through the grammar and the shipped cards."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.card.model import Card
from assistant.dialogue.wording.english import GLOSSARY
from assistant.grammar.library import shipped_grammars
from assistant.grammar.load import CardGrammar
from assistant.grammar.spelling import plain_phrases
from assistant.job.events import Measured, Torqued
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
