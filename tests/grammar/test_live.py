"""What is listened for, and when."""

from __future__ import annotations

import pytest

from assistant.card.model import Fact
from assistant.grammar.live import ALWAYS, Ask, Pending, live_for, offers_in, prior
from assistant.grammar.load import CardGrammar
from assistant.grammar.request import REQUESTS, Request


def test_yes_and_no_are_heard_only_after_a_question() -> None:
    assert not {"yes", "no", "digits", "answer", "reason"} & live_for(Ask())
    assert live_for(Ask(Pending.YES_NO)) >= {"yes", "no"}


def test_while_a_question_is_open_the_record_cannot_be_changed() -> None:
    live = live_for(Ask(Pending.YES_NO))
    assert not {"done", "skip", "torqued", "measured", "finish", "accept", "close", "next"} & live
    assert live >= {"torque", "caution", "why", "repeat"}


@pytest.mark.parametrize("pending", [p for p in Pending if p not in (Pending.ASLEEP, Pending.WORDS, Pending.NOTE)])
def test_stop_help_note_undo_and_cancel_are_heard_in_every_state(pending: Pending) -> None:
    assert (
        live_for(Ask(pending, options=("a",))) >= {"stop", "again", "pause", "help", "note", "undo", "cancel"} <= ALWAYS
    )


def test_asleep_only_waking_is_heard(grammar: CardGrammar) -> None:
    live = live_for(Ask(Pending.ASLEEP))
    assert grammar.parse("wake up", live) is not None
    assert grammar.parse("stop", live) is None
    assert grammar.parse("next", live) is None


def test_a_click_counts_only_while_tightening() -> None:
    assert "click" not in live_for(Ask())
    assert "click" in live_for(Ask(bolting=True))


def test_every_request_is_live_at_some_time() -> None:
    ever = {
        name
        for ask in (
            Ask(bolting=True),
            Ask(begun=False),
            Ask(paused=True),
            *(Ask(pending, options=("a",)) for pending in Pending),
        )
        for name in live_for(ask)
    }
    assert set(REQUESTS) <= ever


def test_offers_keep_their_order() -> None:
    ids = tuple(f"thing-{number}" for number in range(12))
    assert offers_in(live_for(Ask(Pending.OPTIONS, options=ids))) == ids


@pytest.mark.parametrize(
    ("words", "option"),
    [
        ("the upper ones", "upper-bellhousing-bolts"),
        ("upper", "upper-bellhousing-bolts"),
        ("the lower bellhousing bolts", "lower-bellhousing-bolts"),
        ("the first one", "upper-bellhousing-bolts"),
        ("the second", "lower-bellhousing-bolts"),
        ("number two", "lower-bellhousing-bolts"),
        ("I mean the top ones", "upper-bellhousing-bolts"),
    ],
)
def test_which_of_two_is_answered_by_what_tells_them_apart(grammar: CardGrammar, words: str, option: str) -> None:
    live = live_for(Ask(Pending.OPTIONS, options=("upper-bellhousing-bolts", "lower-bellhousing-bolts")))
    request = grammar.parse(words, live)
    assert request is not None
    assert (request.name, request.slots) == ("answer", {"option": option})


@pytest.mark.parametrize("words", ["bellhousing", "the bolts", "the flywheel bolts", "third", "cable"])
def test_what_was_not_offered_is_no_answer(grammar: CardGrammar, words: str) -> None:
    live = live_for(Ask(Pending.OPTIONS, options=("upper-bellhousing-bolts", "lower-bellhousing-bolts")))
    request = grammar.parse(words, live)
    assert request is None or request.name != "answer" or "|" in str(request.slots["option"])


def test_an_option_of_a_fact_is_answered_by_its_names(grammar: CardGrammar) -> None:
    live = live_for(Ask(Pending.OPTIONS, options=("hydraulic", "cable")))
    for words, option in (("hydraulics", "hydraulic"), ("it has a cable", "cable"), ("cable", "cable")):
        request = grammar.parse(words, live)
        assert request is not None
        assert request.slots == {"option": option}


def test_what_is_offered_is_an_answer_before_anything_else() -> None:
    from tests.grammar.conftest import FASTENERS, card_with

    turbo = {"turbo": {"ask": "Is there a turbocharger?", "options": {"yes": {"say": "yes"}, "no": {"say": "no"}}}}
    grammar = CardGrammar(card_with(FASTENERS).model_copy(update={"facts": _facts(turbo)}))
    asked = live_for(Ask(Pending.OPTIONS, options=("yes", "no"))) | {"yes", "no"}
    answer = grammar.parse("yes", asked)
    assert answer is not None
    assert (answer.name, answer.slots) == ("answer", {"option": "yes"})
    other_time = grammar.parse("yes", frozenset({"yes", "no", "answer"}))
    assert other_time is not None
    assert other_time.name == "yes"


def _facts(facts: dict[str, object]) -> dict[str, Fact]:
    return {key: Fact.model_validate(fact) for key, fact in facts.items()}


@pytest.mark.parametrize(
    ("words", "may"),
    [
        ("torqued the flywheel bolts to sixty", True),  # ... five
        ("torqued the flywheel bolts to one hundred", True),  # ... ten
        ("torqued the flywheel bolts to", True),
        ("torqued the flywheel bolts to sixty five newton metres", False),
        ("next", False),  # "next step" asks the same
        ("done", False),
        ("stop", False),  # at once, though "stop tightening" exists
        ("what's the torque", True),  # ... on the flywheel bolts
        ("note", True),
        ("skip", True),  # ... because
        ("undo please", False),
        ("no such phrase", False),
    ],
)
def test_waiting_only_where_more_words_could_change_the_meaning(grammar: CardGrammar, words: str, may: bool) -> None:
    assert grammar.may_go_on(words, live_for(Ask())) is may


def test_a_whole_number_goes_on_and_a_finished_one_does_not(grammar: CardGrammar) -> None:
    live = live_for(Ask(Pending.DIGITS))
    assert grammar.may_go_on("one one", live)
    assert grammar.may_go_on("one hundred", live)
    assert not grammar.may_go_on("yes", live_for(Ask(Pending.YES_NO)))


def test_what_the_step_is_about_ranks_first(grammar: CardGrammar) -> None:
    ask = Ask(about=frozenset({"flywheel-bolts"}))
    assert prior(Request("torque", {"fastener": "flywheel-bolts"}), ask) > 0
    assert prior(Request("torque", {"fastener": "drain-plug|flywheel-bolts"}), ask) > 0
    assert prior(Request("torque", {"fastener": "drain-plug"}), ask) == 0
    assert prior(Request("next"), ask) == 0


@pytest.mark.parametrize(
    "talk",
    [
        "yes", "no", "right", "okay", "wrong", "hold on", "lunch", "five", "sixty five", "a cable", "click",
        "we need to get going", "damage limitation", "it's alex", "skip to the end", "not that one", "what a day",
        "give me the hammer", "pass me that one", "did you see the match",
    ],
)  # fmt: skip
def test_shop_talk_asks_for_nothing_while_nothing_is_asked(grammar: CardGrammar, talk: str) -> None:
    assert grammar.parse(talk, live_for(Ask())) is None
