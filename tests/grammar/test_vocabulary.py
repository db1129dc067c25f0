"""The grammar files and the list of requests hold each other to it."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from assistant.grammar.ambiguity import ambiguities
from assistant.grammar.expansion import Expansion, Grammar, NameList, Tagged, parts_of
from assistant.grammar.library import shipped_grammars
from assistant.grammar.live import Ask, live_for
from assistant.grammar.load import CardGrammar
from assistant.grammar.phrases import Phrase, said
from assistant.grammar.request import REQUESTS
from assistant.grammar.tags import Closes, Names, Says, Sets, mark_of

SLOTS = {slot for slots in REQUESTS.values() for slot in slots}


def tags(expansion: Expansion) -> list[str]:
    own = [expansion.tag] if isinstance(expansion, Tagged) else []
    return own + [tag for part in parts_of(expansion) for tag in tags(part)]


@pytest.mark.parametrize("grammar", shipped_grammars(), ids=lambda grammar: grammar.name)
def test_every_tag_names_a_request_or_a_slot_that_exists(grammar: Grammar) -> None:
    for rule in grammar.rules.values():
        for tag in tags(rule.expansion):
            match mark_of(tag):
                case Names(request):
                    assert request in REQUESTS, tag
                case Sets(slot, _) | Closes(slot):
                    assert slot in SLOTS, tag
                case Says():
                    pytest.fail(f"{grammar.path}: {{{tag}}} means nothing here")


@pytest.fixture(scope="module")
def phrases(grammar: CardGrammar) -> tuple[Phrase, ...]:
    return grammar.phrases(8001)


def test_every_request_can_be_said_in_several_ways(grammar: CardGrammar, phrases: tuple[Phrase, ...]) -> None:
    counted = Counter(phrase.request.name for phrase in phrases)
    counted.update(phrase.request.name for phrase in grammar.phrases(50, frozenset({"reason"})))
    assert {name: counted[name] for name in REQUESTS if counted[name] < 4} == {}


def test_slots_are_those_that_the_request_allows(phrases: tuple[Phrase, ...]) -> None:
    wrong = [
        (phrase.text, phrase.request)
        for phrase in phrases
        if not set(phrase.request.slots) <= set(REQUESTS[phrase.request.name])
    ]
    assert wrong == []


def test_every_slot_of_every_request_can_be_filled(phrases: tuple[Phrase, ...]) -> None:
    filled = {(phrase.request.name, slot) for phrase in phrases for slot in phrase.request.slots}
    filled |= {("reason", "text")}
    assert {(name, slot) for name, slots in REQUESTS.items() for slot in slots} - filled == set()


def test_there_are_more_than_8000_different_phrases(phrases: tuple[Phrase, ...]) -> None:
    assert len({phrase.text for phrase in phrases}) == 8001


def test_phrases_are_the_same_for_the_same_seed(card: object, grammar: CardGrammar) -> None:
    again = CardGrammar(grammar.card, people=["Mara", "Jonas"])
    assert again.phrases(300, seed=7) == grammar.phrases(300, seed=7)
    assert again.phrases(300, seed=8) != grammar.phrases(300, seed=7)


def test_no_phrase_means_two_requests(grammar: CardGrammar) -> None:
    assert ambiguities(grammar) == ()


def test_no_phrase_has_two_readings_of_its_slots(grammar: CardGrammar) -> None:
    chance = Random(11)
    several = {
        text: readings
        for entry in grammar.entries
        for _ in range(60)
        if (text := said(entry.expansion, grammar.library, chance))
        and len(readings := grammar.meanings(text, frozenset({entry.request}))) > 1
    }
    assert several == {}


def test_a_name_on_the_card_that_is_also_a_command_is_found(card: object) -> None:
    from tests.grammar.conftest import FASTENERS, card_with

    loud = CardGrammar(card_with({**FASTENERS, "x": {"name": "timer bolts", "count": 2, "aka": ["stop"]}}))
    found = ambiguities(loud, moments=[live_for(Ask())])
    assert any("stop" in ambiguity.phrase for ambiguity in found)
    assert all(len(ambiguity.requests) > 1 for ambiguity in found)


def test_help_gives_one_phrase_for_each_live_request_and_each_is_understood(grammar: CardGrammar) -> None:
    live = frozenset({"next", "torque", "note", "stop"})
    examples = grammar.help(live)
    assert [grammar.parse(example, live).name for example in examples] == ["next", "torque", "note", "stop"]  # type: ignore[union-attr]


def test_names_of_the_trade_that_are_not_on_the_card_are_never_those_on_it(grammar: CardGrammar) -> None:
    rule = grammar.library.rules["bay.card.fastener"].expansion
    lists = [part for part in parts_of(rule) if isinstance(part, NameList)]
    assert lists
    other = {name for names in lists for name, value in names.names.items() if value.startswith("?")}
    assert "head bolts" in other
    assert not {"flywheel bolts", "flywheel bolt"} & other
