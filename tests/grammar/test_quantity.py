"""Numbers with their units: every spelling of one quantity is the same quantity."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.grammar.load import CardGrammar
from assistant.grammar.quantity import read_duration, read_quantity
from assistant.grammar.request import Quantity

SAME = {
    ("110", "lbf·ft"): [
        "110 foot pounds", "110 ft-lb", "110 ft lbs", "110 lbf ft", "110 lb-ft", "110 pound feet", "110 foot-pounds",
        "one hundred ten foot pounds", "one hundred and ten foot-pounds", "a hundred and ten foot pounds",
        "one ten foot pounds", "one one zero foot pounds", "1-1-0 foot pounds", "110ft-lb",
    ],
    ("65", "N·m"): [
        "65 Nm", "65Nm", "65 N·m", "65 N m", "65 newton metres", "65 newton meters", "65 newton-metres",
        "sixty-five Newton meters", "sixty five newton metre", "six five newton metres", "65 newtonmeters",
    ],
    ("90", "lbf·in"): ["90 inch pounds", "90 in-lb", "ninety inch-pounds", "90 lbf in"],
    ("11", "kgf·m"): ["11 kgf m", "eleven kgf·m", "11 kilogram metres"],
    ("0.004", "in"): [
        "four thousandths", "4 thou", "4 thousandths", "four thou", "four thousandths of an inch", "0.004 in",
        "point zero zero four inches", ".004 inches", '0.004"', "zero point zero zero four inch",
    ],
    ("0.0045", "in"): ["four and a half thou", "4.5 thou", "four point five thousandths", "4 1/2 thou"],
    ("0.5", "in"): ["half an inch", "a half inch", "1/2 inch", "1/2 in", "half inch", "0.5 inches", "one half inch"],
    ("0.13", "mm"): [
        "point one three millimetres", ".13 mm", "0.13 millimeters", "zero point one three mm",
        "thirteen hundredths of a millimetre", "point thirteen millimetres",
    ],
    ("12.5", "mm"): ["twelve and a half millimetres", "12.5 mm", "12 1/2 mm", "twelve point five millimeters"],
    ("90", "deg"): ["90 degrees", "ninety degrees", "90°", "90 deg"],
    ("2.5", "bar"): ["2.5 bar", "two and a half bar", "two point five bars"],
    ("32", "psi"): ["32 psi", "thirty-two pounds per square inch", "thirty two psi"],
    ("300", "kPa"): ["300 kPa", "three hundred kilopascal", "three hundred kilopascals"],
    ("1.5", "L"): ["1.5 litres", "one and a half liters", "one point five litre"],
}  # fmt: skip


@pytest.mark.parametrize(("value", "unit", "words"), [(*key, words) for key, ways in SAME.items() for words in ways])
def test_every_spelling_is_the_same_quantity_read_and_in_the_grammar(
    grammar: CardGrammar, value: str, unit: str, words: str
) -> None:
    read = read_quantity(words)
    assert read is not None
    assert (read.value, read.unit) == (Decimal(value), unit)
    heard = grammar.parse(words, frozenset({"digits"}))
    assert heard is not None
    said = heard.slots["value"]
    assert isinstance(said, Quantity)
    assert (said.value, said.unit) == (Decimal(value), unit)


@pytest.mark.parametrize(
    "words",
    [
        "5 mil",  # a thousandth of an inch, or a millimetre
        "5 mils",
        "two ten thousandths",  # 0.210 or 0.0002 inches
        "one hundred ten thousandths",
        "five tenths",
        "5 tenths of an inch",
        "65 pounds",  # of force, of mass, or short for foot pounds
        "65 turns",
        "newton metres",
    ],
)
def test_what_could_be_two_quantities_is_not_read(grammar: CardGrammar, words: str) -> None:
    read = read_quantity(words)
    assert read is None or read.unit == "lb"
    assert grammar.parse(words, frozenset({"digits"})) is None


def test_a_quantity_without_a_unit_says_so() -> None:
    assert read_quantity("sixty-five") == Quantity(Decimal(65), "", "sixty-five")


@pytest.mark.parametrize(
    ("words", "seconds"),
    [
        ("five minutes", 300),
        ("5 min", 300),
        ("ninety seconds", 90),
        ("an hour", 3600),
        ("half an hour", 1800),
        ("a quarter of an hour", 900),
        ("quarter of an hour", 900),
        ("three quarters of an hour", 2700),
        ("an hour and a half", 5400),
        ("one and a half hours", 5400),
        ("two and a half minutes", 150),
        ("two minutes and a half", 150),
        ("1 hour 20 minutes", 4800),
        ("one hour and twenty minutes", 4800),
        ("one minute thirty seconds", 90),
    ],
)
def test_stretches_of_time(words: str, seconds: int) -> None:
    read = read_duration(words)
    assert read is not None
    assert (read.value, read.unit) == (Decimal(seconds), "s")


@pytest.mark.parametrize("words", ["20 minutes 1 hour", "five", "zero minutes", "0.3 seconds", "a thousand hours", ""])
def test_no_stretch_of_time(words: str) -> None:
    assert read_duration(words) is None
