"""Typed and written text, as the grammar spells it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.grammar.letters import spelled


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("What's the torque?", "what's the torque"),
        ("What’s  next", "what's next"),
        ("Five, five.", "five five"),
        ("1-0-0-1.", "1 0 0 1"),
        ("1,100 N·m", "1100 n m"),
        ("1,10", "1,10"),
        ("6,5", "6,5"),
        ("65Nm", "65 nm"),
        ("12.5 mm.", "12.5 mm"),
        (".13", ".13"),
        ("is .13", "is .13"),
        ("1.1.0", "1.1 0"),
        ("done.next", "done next"),
        ("3/8 in", "3/8 in"),
        ("and/or", "and or"),
        ("90°", "90 degrees"),
        ('0.004"', "0.004 in"),
        ("M10x1.25", "m10 x1.25"),
        ("12½", "12 1/2"),
        ("  ", ""),
        ("to -65", "to minus 65"),
        ("-.5", "minus .5"),
        ("6+5", "6+5"),
        ("6 + 5", "6 + 5"),
        ("6:5", "6:5"),
        ("note: bent", "note bent"),
        ("skip - no ramp", "skip no ramp"),
        ("시작 하자", "시작 하자"),
        ("foot-pounds", "foot pounds"),
        ("“Note”: bent", "note bent"),
    ],
)
def test_spelled(written: str, plain: str) -> None:
    assert spelled(written).text == plain


@given(st.text(max_size=60))
def test_any_text_becomes_small_letters_and_single_spaces(text: str) -> None:
    plain = spelled(text)
    assert plain.text == " ".join(plain.text.split())
    assert len(plain.text) == len(plain.origin)
    assert spelled(plain.text).text == plain.text


def test_free_words_come_back_as_they_were_written() -> None:
    written = spelled("Note, the LEFT bracket's bent (badly)!")
    start = written.text.index("the")
    assert written.original(start, len(written.text)) == "the LEFT bracket's bent (badly)!"
