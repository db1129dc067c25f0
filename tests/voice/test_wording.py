"""Numbers as spoken and as shown: the two never differ in figures."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Torque
from assistant.fastening.units import DIMENSIONS
from assistant.voice.wording import (
    say_digits,
    say_number,
    say_quantity,
    say_torque,
    show_quantity,
    show_torque,
    speakable,
)

D = Decimal
ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
ONES += [f"{stem}teen" for stem in ("thir", "four", "fif", "six", "seven", "eigh", "nine")]
SMALL = {word: number for number, word in enumerate(ONES)}
SMALL |= {
    f"{stem}ty": ten * 10 for ten, stem in enumerate(["twen", "thir", "for", "fif", "six", "seven", "eigh", "nine"], 2)
}
DIGITS = {word: str(number) for number, word in enumerate(ONES[:10])}


def read_back(words: str) -> Decimal:
    """An independent reader of English number words, for the checks below."""
    sign = -1 if words.startswith("minus ") else 1
    whole, _, part = words.removeprefix("minus ").partition(" point ")
    total = group = 0
    for word in whole.replace("-", " ").split():
        if word == "thousand":
            total, group = group * 1000, 0
        elif word == "hundred":
            group *= 100
        else:
            group += SMALL[word]
    digits = "".join(DIGITS[word] for word in part.split())
    return sign * D(f"{total + group}" + (f".{digits}" if digits else ""))


def digits_back(words: str) -> Decimal:
    text = "".join({"minus": "-", "point": "."}.get(word) or DIGITS[word] for word in words.split())
    return D(text)


@pytest.mark.parametrize(
    ("value", "unit", "spoken", "shown"),
    [
        ("65", "N·m", "sixty-five newton metres, six five", "65 N·m, 6 5"),
        ("110", "N·m", "one hundred ten newton metres, one one zero", "110 N·m, 1 1 0"),
        ("0.13", "mm", "zero point one three millimetres, zero point one three", "0.13 mm, 0.1 3"),
        ("0.004", "in", "four thousandths of an inch, zero point zero zero four", "0.004 in, 0.0 0 4"),
        ("0.001", "in", "one thousandth of an inch, zero point zero zero one", "0.001 in, 0.0 0 1"),
        (
            "0.0045",
            "in",
            "four and a half thousandths of an inch, zero point zero zero four five",
            "0.0045 in, 0.0 0 4 5",
        ),
        (
            "0.0004",
            "in",
            "zero point zero zero zero four inches, zero point zero zero zero four",
            "0.0004 in, 0.0 0 0 4",
        ),
        ("0.125", "in", "zero point one two five inches, zero point one two five", "0.125 in, 0.1 2 5"),
        ("47.9", "lbf·ft", "forty-seven point nine foot pounds, four seven point nine", "47.9 lbf·ft, 4 7.9"),
        ("90", "deg", "ninety degrees, nine zero", "90°, 9 0"),
        ("1", "mm", "one millimetre, one", "1 mm"),
        ("-0.02", "mm", "minus zero point zero two millimetres, minus zero point zero two", "-0.02 mm, -0.0 2"),
        ("9", "N·m", "nine newton metres, nine", "9 N·m"),
        ("1E+2", "N·m", "one hundred newton metres, one zero zero", "100 N·m, 1 0 0"),
    ],
)
def test_a_value_is_spoken_in_words_then_in_digits(value: str, unit: str, spoken: str, shown: str) -> None:
    assert say_quantity(D(value), unit) == spoken
    assert show_quantity(D(value), unit) == shown


@pytest.mark.parametrize(
    ("torque", "spoken", "shown"),
    [
        (Torque(value=D(65), unit="N·m"), "sixty-five newton metres, six five", "65 N·m, 6 5"),
        (
            Torque(low=D(60), high=D(70), unit="N·m"),
            "sixty to seventy newton metres, six zero to seven zero",
            "60 to 70 N·m, 6 0 to 7 0",
        ),
        (
            Torque(value=D(65), low=D(60), high=D(70), unit="N·m"),
            "sixty-five plus or minus five newton metres, six five plus or minus five",
            "65 ± 5 N·m, 6 5 ± 5",
        ),
        (
            Torque(value=D(65), low=D(62), high=D(70), unit="N·m"),
            "sixty-five newton metres, six five, from sixty-two to seventy newton metres, six two to seven zero",
            "65 N·m, 6 5, from 62 to 70 N·m, 6 2 to 7 0",
        ),
        (
            Torque(value=D(50), angle_deg=D(90), unit="N·m"),
            "fifty newton metres, five zero, then ninety degrees more, nine zero",
            "50 N·m, 5 0, then 90° more, 9 0",
        ),
        (Torque(by_hand=True), "snug by hand", "snug by hand"),
        (Torque(value=D(80), unit="lbf·ft"), "eighty foot pounds, eight zero", "80 lbf·ft, 8 0"),
    ],
)
def test_every_kind_of_torque_on_a_card_can_be_said(torque: Torque, spoken: str, shown: str) -> None:
    assert say_torque(torque) == spoken
    assert show_torque(torque) == shown
    assert speakable(shown) == spoken


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("Flywheel bolts: 65 N·m, 6 5.", "Flywheel bolts: sixty-five newton metres, six five."),
        ("Tighten 4 in turn to 65 N·m.", "Tighten four in turn to sixty-five newton metres, six five."),
        ("Bolt 1, 12 o'clock; next 5, 6 o'clock.", "Bolt one, twelve o'clock; next five, six o'clock."),
        ("Three passes: 30 %, 70 %, 100 %.", "Three passes: thirty per cent, seventy per cent, one hundred per cent."),
        ("M10x1.25, class 10.9", "M ten by one point two five, class ten point nine"),
        ("1/2-13 UNC", "one half, thirteen, U N C"),
        ("a 16 mm socket, 3/8 drive", "a sixteen millimetre socket, three eighths drive"),
        ("Runout 0.004 in.", "Runout four thousandths of an inch."),
        ("60–70 N·m", "sixty to seventy newton metres"),
        ("Step 14 of 30. 2 left", "Step fourteen of thirty. two left"),
        ("Part 10023345", "Part one zero zero two three three four five"),
        ("It is 14:05", "It is fourteen zero five"),
        ("1st pass, then 90°", "first pass, then ninety degrees"),
        ("steps 14 20", "steps fourteen twenty"),
    ],
)
def test_shown_text_can_be_spoken(text: str, spoken: str) -> None:
    assert speakable(text) == spoken


numbers = st.decimals(min_value="-9999", max_value=9999, places=4).map(lambda d: d.normalize()) | st.integers(
    0, 9999
).map(D)


@given(numbers)
def test_words_and_digits_lead_back_to_the_same_number(value: Decimal) -> None:
    assert read_back(say_number(value)) == value
    assert digits_back(say_digits(value)) == value


@given(st.integers(1, 99999), st.integers(0, 4), st.sampled_from([u for u in DIMENSIONS if u != "d"]))
def test_text_and_speech_hold_the_same_figures(number: int, places: int, unit: str) -> None:
    value = D(number).scaleb(-places)
    shown, spoken = show_quantity(value, unit), say_quantity(value, unit)
    assert digits_back(spoken.rpartition(", ")[2]) == value
    first, _, again = shown.partition(", ")
    assert D(re.match(r"[\d.]+", first).group()) == value  # type: ignore[union-attr]
    assert not again or D(again.replace(" ", "")) == value


@given(
    st.integers(11, 99999), st.integers(0, 4), st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kgf·m", "mm", "kPa", "deg"])
)
def test_speech_made_of_text_is_the_speech_made_of_the_value(number: int, places: int, unit: str) -> None:
    value = D(number).scaleb(-places)
    assert speakable(f"{show_quantity(value, unit)}.") == f"{say_quantity(value, unit)}."


def test_a_zero_that_was_written_is_spoken() -> None:
    """Equal numbers, but not equally sure; and never one's words for the other's."""
    assert [say_number(D(text)) for text in ("5", "5.0", "5.00", "5")] == [
        "five", "five point zero", "five point zero zero", "five",
    ]  # fmt: skip


@given(numbers)
def test_a_figure_in_a_sentence_is_spoken_as_that_figure(value: Decimal) -> None:
    spoken = speakable(f"turn {value:f} more")
    assert read_back(spoken.removeprefix("turn ").removesuffix(" more")) == value


def test_plus_signs_and_odd_text_do_no_harm() -> None:
    assert speakable("") == ""
    assert speakable("Front left, no figures.") == "Front left, no figures."
    assert speakable("1.2.3 and 1/0") == "1.2.3 and one over zero"
