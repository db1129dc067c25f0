"""How numbers are spoken and shown: words, then the same number figure by figure.

Text and speech never differ in figures: both are made from the same Decimal, and `speakable` makes
speech out of text. A value is repeated in digits ("sixty-five newton metres, six five"), because
fifteen and fifty, thirteen and thirty sound alike over noise (common practice in voice procedure).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from assistant.card.model import Torque
from assistant.fastening.units import TORQUE_UNITS, figures, unit_named

_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_SPOKEN_UNITS: dict[str, tuple[str, str]] = {
    "N·m": ("newton metre", "newton metres"),
    "lbf·ft": ("foot pound", "foot pounds"),
    "lbf·in": ("inch pound", "inch pounds"),
    "kgf·m": ("kilogram-force metre", "kilogram-force metres"),
    "mm": ("millimetre", "millimetres"),
    "in": ("inch", "inches"),
    "cm": ("centimetre", "centimetres"),
    "m": ("metre", "metres"),
    "ft": ("foot", "feet"),
    "km": ("kilometre", "kilometres"),
    "mi": ("mile", "miles"),
    "deg": ("degree", "degrees"),
    "N": ("newton", "newtons"),
    "kN": ("kilonewton", "kilonewtons"),
    "lbf": ("pound-force", "pounds-force"),
    "kPa": ("kilopascal", "kilopascals"),
    "MPa": ("megapascal", "megapascals"),
    "bar": ("bar", "bar"),
    "psi": ("P S I", "P S I"),
    "V": ("volt", "volts"),
    "ohm": ("ohm", "ohms"),
    "L": ("litre", "litres"),
    "mL": ("millilitre", "millilitres"),
    "qt": ("quart", "quarts"),
    "pt": ("pint", "pints"),
    "kg": ("kilogram", "kilograms"),
    "g": ("gram", "grams"),
    "lb": ("pound", "pounds"),
    "s": ("second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "d": ("day", "days"),
    "%": ("per cent", "per cent"),
}
_SHOWN_UNITS = {"deg": "°", "count": "", "": ""}


def say_number(value: Decimal) -> str:
    """In words, without "and": 110 -> "one hundred ten", 0.13 -> "zero point one three", -2 -> "minus two"."""
    whole, _, part = figures(abs(value)).partition(".")
    words = _whole(int(whole))
    if part:
        words += " point " + " ".join(_DIGITS[int(digit)] for digit in part)
    return f"minus {words}" if value.is_signed() and value else words


@lru_cache(maxsize=4096)
def _whole(number: int) -> str:
    from num2words import num2words

    return str(num2words(number)).replace(" and ", " ").replace(",", "")


def say_digits(value: Decimal) -> str:
    """Figure by figure: 65 -> "six five", 0.13 -> "zero point one three"."""
    spoken = [("point" if digit == "." else _DIGITS[int(digit)]) for digit in figures(abs(value))]
    return " ".join((["minus"] if value.is_signed() and value else []) + spoken)


def show_digits(value: Decimal) -> str:
    """As text: 65 -> "6 5", 0.13 -> "0.1 3". A single figure needs no repeating: empty."""
    text = figures(abs(value))
    if len(text) == 1:
        return ""
    sign = "-" if value.is_signed() and value else ""
    return sign + re.sub(r"(?<=\d)(?=\d)", " ", text)


def say_unit(unit: str, value: Decimal = Decimal(2)) -> str:
    """The unit as spoken, in the singular for exactly one. "count" and no unit are not spoken."""
    if unit in _SHOWN_UNITS and unit != "deg":
        return ""
    one, many = _SPOKEN_UNITS[unit_named(unit)]
    return one if abs(value) == 1 else many


def say_amount(value: Decimal, unit: str) -> str:
    """Number and unit in words, once: "sixty-five newton metres", "four thousandths of an inch"."""
    thousandths = _thousandths(value) if unit == "in" else ""
    if thousandths:
        return thousandths
    return f"{say_number(value)} {say_unit(unit, value)}".strip()


def _thousandths(inches: Decimal) -> str:
    """Small inches as the trade says them, where that cannot be misheard; else empty.

    Below a tenth only: "one hundred thousandths" could be heard as a hundred-thousandth. Whole and half
    thousandths only: "four ten-thousandths" is one swallowed word from four thousandths.
    """
    many, half = divmod(abs(inches) * 2000, 2)
    if not Decimal("0.0005") <= abs(inches) < Decimal("0.1") or half not in (0, 1):
        return ""
    if not many:
        words = "half a thousandth"
    else:
        words = _whole(int(many)) + (" and a half" if half else "")
        words += " thousandth" if many == 1 and not half else " thousandths"
    return f"{'minus ' if inches < 0 else ''}{words} of an inch"


def say_quantity(value: Decimal, unit: str = "") -> str:
    """Words, then digits: "one hundred ten newton metres, one one zero"."""
    return f"{say_amount(value, unit)}, {say_digits(value)}"


def show_amount(value: Decimal, unit: str = "") -> str:
    """As text, once: "65 N·m", "90°", "0.004 in"."""
    mark = _SHOWN_UNITS.get(unit, unit)
    gap = "" if unit == "deg" or not mark else " "
    return f"{figures(value)}{gap}{mark}"


def show_quantity(value: Decimal, unit: str = "") -> str:
    """As text, with the digits that will be spoken: "65 N·m, 6 5"; one figure alone is not repeated."""
    digits = show_digits(value)
    return show_amount(value, unit) + (f", {digits}" if digits else "")


def say_range(low: Decimal, high: Decimal, unit: str) -> str:
    """ "sixty to seventy newton metres, six zero to seven zero"."""
    words = f"{say_number(low)} to {say_number(high)} {say_unit(unit, Decimal(2))}".strip()
    if unit == "in" and _thousandths(low) and _thousandths(high):
        words = f"{_thousandths(low).removesuffix(' of an inch')} to {_thousandths(high)}"
    return f"{words}, {say_digits(low)} to {say_digits(high)}"


def show_range(low: Decimal, high: Decimal, unit: str) -> str:
    """ "60 to 70 N·m, 6 0 to 7 0"."""
    mark = show_amount(high, unit)
    return f"{figures(low)} to {mark}, {_digits_or_figure(low)} to {_digits_or_figure(high)}"


def say_torque(torque: Torque) -> str:
    """A card's torque as spoken, whatever its kind: value, range, tolerance, value plus angle, by hand."""
    return _torque(torque, _SPOKEN)


def show_torque(torque: Torque) -> str:
    """A card's torque as text, with the digits that `say_torque` speaks: "65 N·m, 6 5"."""
    return _torque(torque, _SHOWN)


class _Manner(NamedTuple):
    """Speaking or showing, by what differs between the two."""

    number: Callable[[Decimal], str]
    amount: Callable[[Decimal, str], str]
    quantity: Callable[[Decimal, str], str]
    digits: Callable[[Decimal], str]
    span: Callable[[Decimal, Decimal, str], str]
    plus_minus: str


def _digits_or_figure(value: Decimal) -> str:
    return show_digits(value) or figures(value)


_SPOKEN = _Manner(say_number, say_amount, say_quantity, say_digits, say_range, "plus or minus")
_SHOWN = _Manner(figures, show_amount, show_quantity, _digits_or_figure, show_range, "±")


def _torque(torque: Torque, as_: _Manner) -> str:
    words: list[str] = ["snug by hand"] if torque.by_hand else []
    value, low, high, unit = torque.value, torque.low, torque.high, torque.unit
    if low is not None and high is not None:
        if value is None:
            words.append(as_.span(low, high, unit))
        elif value - low == high - value:
            more = high - value
            words.append(f"{as_.number(value)} {as_.plus_minus} {as_.amount(more, unit)}")
            words.append(f"{as_.digits(value)} {as_.plus_minus} {as_.digits(more)}")
        else:
            words.append(f"{as_.quantity(value, unit)}, from {as_.span(low, high, unit)}")
    elif value is not None:
        words.append(as_.quantity(value, unit))
    if torque.angle_deg is not None:
        turn = as_.amount(torque.angle_deg, "deg")
        turn_digits = as_.quantity(torque.angle_deg, "deg").removeprefix(turn)
        words.append(f"then {turn} more{turn_digits}" if words else f"{turn}{turn_digits}")
    return ", ".join(words) if words else "no value"


_PROSE_UNITS = "|".join(
    re.escape(unit)
    for unit in sorted([*(unit for unit in _SPOKEN_UNITS if unit not in ("in", "d")), "Nm"], key=len, reverse=True)
)
_NUMERAL = r"-?\d+(?:\.\d+)?"
_IN_PROSE = re.compile(
    rf"""
      (?P<clock>\b\d{{1,2}}:\d{{2}}\b)
    | (?P<thread>\bM\d+(?:\.\d+)?(?:\s?[x×]\s?\d+(?:\.\d+)?)?(?![\w]))
    | (?P<inch_thread>(?:\b\d+\s)?\b\d+/\d+-\d+(?:\s(?:UNC|UNF|UNEF|UN|NPT))?\b)
    | (?P<fraction>(?:\b\d+\s)?\b\d+/\d+\b)
    | (?P<digits>(?<![\w.])-?\d(?:\.\d)?(?:\s\d(?:\.\d)?)+(?![\w/]|\.\d|\s?(?:{_PROSE_UNITS}|°)(?!\w)))
    | (?P<degrees>(?<![\w.])(?P<degrees_value>{_NUMERAL})\s?(?:°|deg\b))
    | (?P<amount>(?<![\w.])(?P<value>{_NUMERAL})\s(?P<unit>{_PROSE_UNITS})(?![\w/]))
    | (?P<inches>(?<![\w.])(?P<inches_value>-?\d+\.\d+)\sin\b)
    | (?P<whole_inches>(?<![\w.])(?P<whole_inches_value>-?\d+)\sin(?=[.,;:)]|$))
    | (?P<ordinal>\b\d+(?:st|nd|rd|th)\b)
    | (?P<number>(?<![\w.])-?\d+(?:\.\d+)?(?![\w]|\.\d))
    """,
    re.VERBOSE,
)
_DIGITS_FOLLOW = re.compile(r",?\s-?\d(?:[ .]\d)*\s?(?:[.,;!?)]|to\b|$)")
_NAMES_A_SIZE = re.compile(
    r"[ -](?:hex|socket|spanner|wrench|crowfoot|bolt|nut|screw|stud|pin|drill|drive|shim|ring|gauge|feeler|key|bit)s?\b"
)
"""Then the unit stands in the singular: a sixteen millimetre socket."""
_SIGNS = {"±": "plus or minus ", "–": " to ", "×": " by ", "%": "per cent"}
_PART_NAMES = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second", 64: "sixty-fourth"}


@lru_cache(maxsize=4096)
def speakable(text: str) -> str:
    """Shown text as it is spoken, every figure in words: "Flywheel bolts: 65 N·m, 6 5." becomes
    "Flywheel bolts: sixty-five newton metres, six five."

    A torque whose digits the text does not repeat gets them. "in" is taken for inches only after a decimal
    or before a stop: "4 in turn" stays four in turn.
    """
    spoken = _IN_PROSE.sub(_in_words, text)
    for sign, words in _SIGNS.items():
        spoken = re.sub(rf"\s?{re.escape(sign)}\s?", f" {words} ", spoken) if sign in spoken else spoken
    return re.sub(r" {2,}", " ", spoken).replace(" ,", ",").replace(" .", ".").strip()


def _in_words(found: re.Match[str]) -> str:
    text = found.group()
    kind = next(name for name in _IN_PROSE.groupindex if found[name] is not None)
    if kind == "clock":
        hour, minute = text.split(":")
        return f"{_whole(int(hour))} {'zero ' if minute[0] == '0' else ''}{_whole(int(minute))}"
    if kind == "thread":
        size, _, pitch = re.sub(r"\s?[x×]\s?", "x", text[1:]).partition("x")
        return f"M {say_number(Decimal(size))}" + (f" by {say_number(Decimal(pitch))}" if pitch else "")
    if kind == "inch_thread":
        size, _, rest = text.partition("-")
        count, _, series = rest.partition(" ")
        return f"{_fraction(size)}, {_whole(int(count))}" + (f", {' '.join(series)}" if series else "")
    if kind == "fraction":
        return _fraction(text)
    if kind == "digits":
        return " ".join(
            "minus" if sign == "-" else "point" if sign == "." else _DIGITS[int(sign)]
            for sign in text
            if not sign.isspace()
        )
    if kind == "degrees":
        return say_amount(Decimal(found["degrees_value"]), "deg")
    if kind == "amount":
        value, unit = Decimal(found["value"]), unit_named(found["unit"])
        repeated = _DIGITS_FOLLOW.match(found.string, found.end()) is not None
        if _NAMES_A_SIZE.match(found.string, found.end()):
            return f"{say_number(value)} {say_unit(unit, Decimal(1))}"
        bare = unit not in TORQUE_UNITS or repeated or _is_part_of_range(found)
        return say_amount(value, unit) if bare else say_quantity(value, unit)
    if kind == "inches":
        return say_amount(Decimal(found["inches_value"]), "in")
    if kind == "whole_inches":
        return say_amount(Decimal(found["whole_inches_value"]), "in")
    if kind == "ordinal":
        from num2words import num2words

        return str(num2words(int(text[:-2]), to="ordinal")).replace(" and ", " ").replace(",", "")
    number = text.lstrip("-")
    if len(number.partition(".")[0]) > 4 or (len(number) > 1 and number[0] == "0" and number[1] != "."):
        # a part number, not a quantity
        return " ".join(_DIGITS[int(digit)] if digit.isdigit() else "point" for digit in number)
    return say_number(Decimal(text))


def _is_part_of_range(found: re.Match[str]) -> bool:
    """Then the digits of the one end alone would mislead."""
    return re.search(r"\d\s?(?:to|–|±|and)\s?$", found.string[: found.start()]) is not None


def _fraction(text: str) -> str:
    whole, _, part = text.rpartition(" ")
    over, _, under = part.partition("/")
    name = _PART_NAMES.get(int(under))
    if name is None:
        words = f"{_whole(int(over))} over {_whole(int(under))}"
    elif over == "1":
        words = f"{'a' if whole else 'one'} {name}"
    else:
        words = f"{_whole(int(over))} {name}s"
    return f"{_whole(int(whole))} and {words}" if whole else words
