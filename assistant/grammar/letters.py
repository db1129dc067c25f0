"""What a person typed or a model wrote, as the grammar spells it: small letters, figures, single spaces.

Marks between words go, hyphens become spaces, commas that part thousands go; a point stays where it is a
decimal point, a slash where it is a fraction. What would make another number of a number never just goes: a
minus is spelled out, and signs of arithmetic stay, so that "-65" and "6+5" are no phrase instead of 65.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_SPOKEN_SIGNS = {"°": " degrees ", "%": " percent ", "&": " and ", "½": " 1/2 ", "¼": " 1/4 ", "¾": " 3/4 "}
_ARITHMETIC = ("Sm", "Sc")
"""Unicode's categories for mathematical and currency signs."""
_APOSTROPHES = "’‘ʼ`´"
_THOUSANDS = re.compile(r"(?<![\d.,])\d{1,3}(?:,\d{3})+(?![\d,])")
_INCH_MARK = re.compile(r"(?<=\d)\s*[\"″”]")

_ALREADY = re.compile(r"(?:[a-z']+|[0-9]+)(?: (?:[a-z']+|[0-9]+))*")
"""Most names, and what a recogniser hands over: nothing to do."""


@dataclass(frozen=True, slots=True)
class Spelled:
    """A text as the grammar spells it, and where each letter stood."""

    text: str
    source: str
    """The text as it was given."""
    origin: tuple[int, ...]
    """Index into `source` of each letter of `text`."""

    def original(self, start: int, end: int) -> str:
        """What was given for text[start:end], capitals and marks and all."""
        while start < end and self.text[start] == " ":
            start += 1
        if start >= end:
            return ""
        last = self.origin[end - 1] + 1
        tail = re.match(r"[^\w\s]*", self.source[last:])
        return self.source[self.origin[start] : last + (tail.end() if tail else 0)].strip()


def spelled(source: str) -> Spelled:
    """The text as the grammar spells it."""
    source = unicodedata.normalize("NFC", source)
    if _ALREADY.fullmatch(source):
        return Spelled(source, source, tuple(range(len(source))))
    parting = {place.start() + i for place in _THOUSANDS.finditer(source) for i, c in enumerate(place[0]) if c == ","}
    inches = {place.end() - 1 for place in _INCH_MARK.finditer(source)}
    text: list[str] = []
    origin: list[int] = []

    def put(letters: str, index: int) -> None:
        for letter in letters:
            if letter == " " and (not text or text[-1] == " "):
                continue
            text.append(letter)
            origin.append(index)

    for index, letter in enumerate(source):
        if index in parting:
            continue
        if index in inches:
            put(" in ", index)
        elif letter in _SPOKEN_SIGNS:
            put(_SPOKEN_SIGNS[letter], index)
        elif letter in _APOSTROPHES or letter == "'":
            put("'", index)
        elif letter == "." and index + 1 < len(source) and source[index + 1].isdigit() and _may_be_point(source, index):
            put(".", index)
        elif letter in "/⁄" and _between_figures(source, index):
            put("/", index)
        elif _is_minus(source, index):
            put(" minus ", index)
        elif unicodedata.category(letter) in _ARITHMETIC or (letter in "*:_^," and _between_figures(source, index)):
            put(letter, index)
        else:
            for plain in unicodedata.normalize("NFKC", letter).casefold():
                if not (plain.isalnum() and plain.isascii()):
                    within = plain.isalpha() or (unicodedata.category(plain)[0] == "M" and text and text[-1] != " ")
                    plain = plain if within else " "
                elif text and text[-1] != " " and plain.isalpha() and text[-1].isdigit():
                    put(" ", index)  # "65Nm"
                put(plain, index)
    while text and text[-1] == " ":
        text.pop()
        origin.pop()
    return Spelled("".join(text), source, tuple(origin))


def _may_be_point(source: str, index: int) -> bool:
    """True for the point of "12.5" and " .13", not for a full stop between words or in "1.1.0"."""
    before = source[:index].rstrip("0123456789")
    follows_figures = index > 0 and source[index - 1].isdigit()
    return (follows_figures or index == 0 or not source[index - 1].isalnum()) and not (
        follows_figures and before.endswith(".")
    )


def _is_minus(source: str, index: int) -> bool:
    """True for the sign of "-65" and "to −65", not for a hyphen or a dash."""
    if source[index] not in "-−" or index + 1 >= len(source):
        return False
    after = source[index + 1 : index + 3].lstrip(".")[:1]
    return after.isdigit() and (index == 0 or source[index - 1].isspace())


def _between_figures(source: str, index: int) -> bool:
    return 0 < index < len(source) - 1 and source[index - 1].isdigit() and source[index + 1].isdigit()
