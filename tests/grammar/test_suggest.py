"""A typed miss is answered with the nearest phrase, which never brings in what was not said."""

from __future__ import annotations

import pytest

from assistant.grammar.load import CardGrammar


@pytest.mark.parametrize(
    ("typed", "name", "holds"),
    [
        ("what's the torqe on the flywheel bolts", "torque", "flywheel bolts"),
        ("torqed flywhel bolts to 65 nm", "torqued", "65 nm"),
        ("nxt step", "next", ""),
        ("skp this", "skip", ""),
        ("wher am i", "where", ""),
        ("measurd runout 4 thou", "measured", "4 thou"),
        ("set timr for ten minutes", "timer", "ten minutes"),
    ],
)
def test_the_nearest_phrase(grammar: CardGrammar, typed: str, name: str, holds: str) -> None:
    assert grammar.parse(typed) is None
    suggestion = grammar.suggest(typed)
    assert suggestion is not None
    request = grammar.parse(suggestion)
    assert request is not None
    assert request.name == name
    assert holds in suggestion


@pytest.mark.parametrize("typed", ["", "the weather is nice today", "hello there my friend", "1 10"])
def test_nothing_near_is_nothing(grammar: CardGrammar, typed: str) -> None:
    assert grammar.suggest(typed) is None


def test_a_suggestion_never_holds_a_number_that_was_not_said(grammar: CardGrammar) -> None:
    for typed in ("torqed the flywheel bolts to 72", "torqed the flywheel bolts to", "stepp 9"):
        suggestion = grammar.suggest(typed) or ""
        figures = {word for word in suggestion.split() if word.isdigit()}
        assert figures <= set(typed.split())


@pytest.mark.parametrize(
    "typed",
    [
        "which oil pan",  # letters near to "which oil do i use"
        "how many rags",  # to "how many bolts"
        "which road do i drive",  # to "which way do i turn"
        "is it tight",  # to the statement "it's tight", which means that it is stuck
        "how long is the rope",
    ],
)
def test_a_phrase_that_is_near_by_its_letters_alone_is_not_offered(grammar: CardGrammar, typed: str) -> None:
    assert grammar.parse(typed) is None
    assert grammar.suggest(typed) is None


def test_a_suggestion_is_a_phrase_that_counts_now(grammar: CardGrammar) -> None:
    assert grammar.suggest("torqed flywhel bolts to 65 nm", frozenset({"torque", "next"})) is None
