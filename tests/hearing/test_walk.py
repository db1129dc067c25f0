"""The model's writing against the grammar's letters: capitals, marks, hyphens, thousands, free words."""

from __future__ import annotations

import pytest

from assistant.hearing.tokens import END, START, Tokens
from assistant.hearing.walk import Walk
from tests.hearing.conftest import PhraseList, Shop

GRAMMAR = PhraseList(
    ["next step", "cross member", "crossmember", "6.5", "65", "1000", "1 0 0 1", "reuse", "what's left"], free=["note"]
)


@pytest.fixture(scope="module")
def tokens(shop: Shop) -> Tokens:
    return shop.recogniser.model.tokens


@pytest.fixture(scope="module")
def walk(tokens: Tokens) -> Walk:
    return Walk(GRAMMAR, tokens)


@pytest.mark.parametrize(
    ("written", "phrase"),
    [
        ("Next step.", "next step"),
        ("Next, step?", "next step"),
        ("Cross-member", "crossmember"),
        ("1-0-0-1.", "1 0 0 1"),
        ("1, 0, 0, 1", "1 0 0 1"),
        ("1,000", "1000"),
        ("Re-use.", "reuse"),
        ("What's left?", "what's left"),
        ("6.5", "6.5"),
        ("Note, the Seal is hard.", "note the Seal is hard."),
    ],
)
def test_what_the_model_writes_is_the_phrase(walk: Walk, written: str, phrase: str) -> None:
    start = walk.start(GRAMMAR)
    assert walk.may_end(walk.along(start, written))
    assert walk.written(start, written) == phrase


@pytest.mark.parametrize("written", ["6,5", "Next stop", "1,00", "10-00", "6. 5x"])
def test_what_is_no_phrase_has_no_way(walk: Walk, written: str) -> None:
    assert not walk.may_end(walk.along(walk.start(GRAMMAR), written))


def test_a_decimal_point_is_never_passed_over(walk: Walk) -> None:
    # 6.5 must not be read as 65.
    assert walk.written(walk.start(GRAMMAR), "6.5") == "6.5"
    only_whole = PhraseList(["65"])
    assert not Walk(only_whole, walk._tokens).along(frozenset({1}), "6.5")


def test_only_pieces_that_the_grammar_allows_are_offered(walk: Walk, tokens: Tokens) -> None:
    onward = walk.onward(walk.along(walk.start(GRAMMAR), "Next"))
    offered = {tokens.piece(int(piece)) for piece in onward.pieces}
    assert " step" in offered
    assert " stop" not in offered
    assert all(piece.startswith((" ", ",", ".", "?", "!", ";", ":", "-")) for piece in offered)


def test_free_words_are_offered_after_a_note(walk: Walk) -> None:
    assert walk.onward(walk.along(walk.start(GRAMMAR), "Note")).free
    assert not walk.onward(walk.along(walk.start(GRAMMAR), "Next")).free


def test_the_token_file_holds_what_the_model_writes(tokens: Tokens) -> None:
    assert len(tokens) == 32_768
    text = "Torqued the flywheel bolts to 110 foot pounds."
    pieces = tokens.encode(text)
    assert tokens.text(pieces) == text
    assert START not in pieces
    assert END not in pieces
    # A figure is its text piece, not the raw byte of the same letter.
    assert min(piece for piece in pieces if tokens.piece(piece) == "1") > 258
