"""Numbers that sound like others: thirteen and thirty to nineteen and ninety, five and nine.

Works on text as the model writes it: figures ("114", "14.5") or words ("one hundred fourteen"). Which numbers
are confused is common practice in voice procedure, where figures are said one by one for this reason.
"""

import re
from collections.abc import Iterator

from num2words import num2words

TEENS_AND_TENS = {teen: (teen - 10) * 10 for teen in range(13, 20)}
_UNITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_UNITS += [f"{stem}teen" for stem in ("thir", "four", "fif", "six", "seven", "eigh", "nine")]
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
_VALUES = {**{word: value for value, word in enumerate(_UNITS)}, **_TENS}
_WORD = "|".join([*_VALUES, "hundred", "thousand"])
NUMBER = re.compile(rf"\d+(?:,\d\d\d)*|\b(?:{_WORD})(?:[ -](?:and )?(?:{_WORD}))*\b", re.IGNORECASE)
LARGEST = 9_999


def sounds_like(value: int) -> tuple[int, ...]:
    """Numbers that are taken for this one by ear, nearest confusion first."""
    found = []
    for hundreds in {value - value % 100, value - value % 1000}:
        rest = value - hundreds
        for teen, ten in TEENS_AND_TENS.items():
            if rest == teen:
                found.append(hundreds + ten)
            elif rest == ten:
                found.append(hundreds + teen)
            elif rest == teen * 100:
                found.append(hundreds + ten * 100)
    units = value % 10
    if units in (5, 9) and value % 100 not in (15, 19):
        found.append(value + (4 if units == 5 else -4))
    return tuple(dict.fromkeys(other for other in found if 0 <= other <= LARGEST))


def value_of(text: str) -> int | None:
    """The whole number that figures or words spell; None where they spell none, or several."""
    text = text.lower().replace(",", "")
    if text.isdigit():
        return int(text)
    total = part = 0
    last = 1_000_000
    for word in text.replace("-", " ").split():
        if word == "and":
            continue
        if word == "thousand":
            total, part, last = total + (part or 1) * 1000, 0, 1_000_000
        elif word == "hundred":
            part, last = (part or 1) * 100, 100
        else:
            value = _VALUES.get(word)
            if value is None:
                return None
            if last < 100 and value >= 10 and part < 100 and not total:
                # "one fourteen", "twelve fifty": hundreds said without the word.
                part, last = part * 100 + value, value
            elif value >= last or (last < 100 and (last < 20 or value >= 10)):
                return None
            else:
                part, last = part + value, value
    return total + part


def spellings(value: int) -> tuple[str, ...]:
    """Figures, and words in the two or three ways that people say them."""
    words = num2words(value).replace("-", " ").replace(",", "")
    found = [str(value), words, words.replace(" and ", " ")]
    hundreds, rest = divmod(value, 100)
    if 0 < hundreds < 100 and hundreds % 10 and rest >= 10:
        found.append(f"{num2words(hundreds)} {num2words(rest)}".replace("-", " "))
    return tuple(dict.fromkeys(found))


def exchanged(text: str) -> Iterator[tuple[str, bool]]:
    """The text with one number at a time spelled otherwise: (text, True where it is another, like-sounding number).

    Free words are not touched by the caller passing only the part that the grammar spelled.
    """
    for found in NUMBER.finditer(text):
        value = value_of(found.group())
        if value is None or value > LARGEST:
            continue
        for other in (value, *sounds_like(value)):
            for spelling in spellings(other):
                if spelling != found.group().lower():
                    yield text[: found.start()] + spelling + text[found.end() :], other != value
