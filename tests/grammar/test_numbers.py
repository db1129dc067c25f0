"""Every number to 9,999 in every form that is spoken or written reads as itself, or not at all."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.grammar.load import CardGrammar
from assistant.grammar.numbers import TEENS, TENS, UNITS, read_digits, read_number, readings
from assistant.grammar.phrases import spoken

WORD_OF = {value: word for table in (UNITS, TEENS, TENS) for word, value in reversed(table.items())}
FIGURE_WORDS = ["zero", *(WORD_OF[unit] for unit in range(1, 10))]


def under_hundred(number: int) -> str:
    return WORD_OF[number] if number in WORD_OF else f"{WORD_OF[number // 10 * 10]}-{WORD_OF[number % 10]}"


def forms(number: int) -> list[str]:
    """The ways to say and write a whole number; num2words is the outside reference for the counted one."""
    counted = num2words(number)
    ways = [
        counted,  # "one thousand, two hundred and thirty-four"
        counted.replace(" and ", " ").replace(",", "").replace("-", " "),
        counted.capitalize() + ".",
        counted.replace("one hundred", "a hundred", 1) if counted.startswith("one hundred") else counted,
        counted.replace("one thousand", "a thousand", 1) if counted.startswith("one thousand") else counted,
        str(number),
        f"{number:,}",
    ]
    figures = str(number)
    if len(figures) > 1:
        ways += [" ".join(figures), "-".join(figures), ", ".join(FIGURE_WORDS[int(figure)] for figure in figures)]
        ways.append(" ".join(FIGURE_WORDS[int(figure)] for figure in figures).replace("zero", "oh"))
    many, rest = divmod(number, 100)
    if many:
        if rest >= 10:
            ways.append(f"{under_hundred(many)} {under_hundred(rest)}")
        elif rest:
            ways.append(f"{under_hundred(many)} oh {WORD_OF[rest]}")
        ways.append(f"{under_hundred(many)} hundred" + (f" and {under_hundred(rest)}" if rest else ""))
    return ways


def test_every_number_to_9999_reads_back_from_every_form() -> None:
    wrong = [
        (number, form, readings(form))
        for number in range(10_000)
        for form in forms(number)
        if readings(form) != {Decimal(number)}
    ]
    assert wrong == []


def test_every_number_to_9999_is_in_the_grammar_in_every_form(grammar: CardGrammar) -> None:
    missing = [
        (number, form)
        for number in Random(1).sample(range(10_000), 250)
        for form in forms(number)
        if (request := grammar.parse(form, frozenset({"digits"}))) is None or request.slots["value"].value != number  # type: ignore[union-attr]
    ]
    assert missing == []


@given(whole=st.integers(0, 9999), decimals=st.text("0123456789", min_size=1, max_size=4))
def test_decimals_read_back_figure_by_figure(whole: int, decimals: str) -> None:
    value = Decimal(f"{whole}.{decimals}")
    spoken_decimals = " ".join(FIGURE_WORDS[int(figure)] for figure in decimals)
    for form in (f"{value:f}", f"{whole:,}.{decimals}", f"{num2words(whole)} point {spoken_decimals}"):
        assert readings(form) == {value}, form
    if not whole:
        for form in (f".{decimals}", f"point {spoken_decimals}", f"nought point {spoken_decimals}"):
            assert readings(form) == {value}, form


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("twelve and a half", "12.5"),
        ("12 1/2", "12.5"),
        ("12-1/2", "12.5"),
        ("12½", "12.5"),
        ("a half", "0.5"),
        ("three quarters", "0.75"),
        ("one and three sixteenths", "1.1875"),
        ("seven sixteenths", "0.4375"),
        ("thirty-three sixty-fourths", "0.515625"),
        ("thirteen hundredths", "0.13"),
        ("point thirteen", "0.13"),
        ("point one three", "0.13"),
        (".13", "0.13"),
        ("zero point one three", "0.13"),
        ("nineteen point two", "19.2"),
        ("nineteen point twenty-five", "19.25"),
        ("12 point 5", "12.5"),
        ("12 hundred", "1200"),
        ("twelve fifty", "1250"),
        ("two oh five", "205"),
        ("one ten", "110"),
        ("five, five", "55"),
        ("1-0-0-1", "1001"),
        ("niner five", "95"),
    ],
)
def test_numbers_as_the_trade_says_them(words: str, value: str) -> None:
    assert read_number(words) == Decimal(value)


@pytest.mark.parametrize(
    "words",
    [
        "1 10",  # one ten, or one and ten
        "60 5",  # sixty-five cut in two, or six hundred and five
        "sixty five five",
        "twenty three quarters",  # 5 3/4 or 20 3/4
        "point one twenty five",
        "five tenths",  # a half to one, five ten-thousandths of an inch to a machinist
        "twenty ten five",
        "ten thousand",
        "12345",
        "one hundred one hundred",
        "1.2.3",
        "65 66",
        "",
        "and",
        "point",
        "half past two",
    ],
)
def test_what_could_be_two_numbers_or_none_is_not_read(words: str) -> None:
    assert read_number(words) is None


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one four", "14"),
        ("one one zero", "110"),
        ("zero point one three", "0.13"),
        ("oh point oh five", "0.05"),
        ("point one three", "0.13"),
        ("1-1-0", "110"),
        ("1, 1, 0.", "110"),
        ("110", "110"),
        ("0.13", "0.13"),
        ("nine", "9"),
    ],
)
def test_an_answer_in_figures(words: str, value: str) -> None:
    assert read_digits(words) == Decimal(value)


@pytest.mark.parametrize(
    "words", ["one ten", "fourteen", "1 10", "forty", "one hundred", "a half", "one two three four five"]
)
def test_what_is_not_figure_by_figure_is_no_answer_in_figures(words: str) -> None:
    assert read_digits(words) is None


def test_every_spoken_number_of_the_grammar_reads_in_one_way(grammar: CardGrammar) -> None:
    chance = Random(3)
    expansion = grammar.library.rules["bay.numbers.number"].expansion
    phrases = {spoken(expansion, grammar.library, chance) for _ in range(6000)}
    assert len(phrases) > 2000
    assert [phrase for phrase in phrases if len(readings(phrase)) != 1] == []
