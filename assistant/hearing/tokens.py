"""The pieces of text that the builtin model writes: the token file, and its pieces as a tree of letters.

The file is a list of length-prefixed byte strings, the place in the list being the token's number. A length
of 128 or more takes two bytes. The entries 3 to 258 are raw bytes for text that has no piece of its own; every
one-letter piece stands again further on, and that later one is what the model writes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from assistant.hearing.errors import ModelError

START = 1
END = 2
FIRST_BYTE = 3
FIRST_TEXT = 259
WORD_MARK = "▁"


@dataclass(slots=True)
class Branch:
    """One place in the tree: the token that ends here, and what may follow."""

    token: int = -1
    """The piece spelled by the way from the root to here; -1 where no piece ends."""
    onward: "dict[str, Branch]" = field(default_factory=dict)
    """Next letter to next branch; the word mark stands as a space."""


class Tokens:
    """The pieces by number, and the tree of those that spell text a person might say."""

    def __init__(self, pieces: Sequence[bytes]) -> None:
        self._pieces = pieces
        self._numbers: dict[str, int] = {}
        self.bare = [_bare(self.piece(number)) for number in range(len(pieces))]
        """Each piece without capitals and marks; a hyphen as a space."""
        self.openings = np.array(
            [0.0 if self.piece(number).startswith((" ", ",", ".", ":")) else -np.inf for number in range(len(pieces))],
            dtype=np.float32,
        )
        """0 for pieces that may begin free words (a new word, a mark after the last), minus infinity for others."""
        self.tree = Branch()
        for number in range(FIRST_TEXT, len(pieces)):
            text = self.piece(number)
            if text:
                self._numbers.setdefault(text.replace(" ", WORD_MARK), number)
            if text and text.isascii() and not text.startswith("<<") and "  " not in text:
                self._grow(text, number)

    def __len__(self) -> int:
        return len(self._pieces)

    def piece(self, number: int) -> str:
        """The piece's letters with spaces for word marks; empty where it is not whole text."""
        try:
            return self._pieces[number].decode().replace(WORD_MARK, " ")
        except UnicodeDecodeError:
            return ""

    def text(self, numbers: Sequence[int]) -> str:
        """What the tokens spell, as the model wrote it, without the space before the first word."""
        raw = b"".join(self._pieces[number] for number in numbers if number >= FIRST_BYTE)
        return raw.decode(errors="replace").replace(WORD_MARK, " ").strip()

    def encode(self, text: str) -> tuple[int, ...]:
        """The pieces that the model itself would write for a text: neighbours merge, lowest number first."""
        parts = list(WORD_MARK + text.strip().replace(" ", WORD_MARK))
        while True:
            merges = [
                (number, place)
                for place in range(len(parts) - 1)
                if (number := self._numbers.get(parts[place] + parts[place + 1])) is not None
            ]
            if not merges:
                break
            _, place = min(merges)
            parts[place : place + 2] = [parts[place] + parts[place + 1]]
        pieces: list[int] = []
        for part in parts:
            number = self._numbers.get(part)
            pieces += [number] if number is not None else [FIRST_BYTE + byte for byte in part.encode()]
        return tuple(pieces)

    def _grow(self, text: str, number: int) -> None:
        branch = self.tree
        for letter in text:
            branch = branch.onward.setdefault(letter, Branch())
        # Where two pieces spell the same, the lower number merges first and is what the model writes.
        if branch.token < 0:
            branch.token = number


def _bare(text: str) -> str:
    return text.lower().translate(_WITHOUT_MARKS)


_WITHOUT_MARKS = str.maketrans({"-": " ", **dict.fromkeys(",.?!;:", "")})


def read(content: bytes) -> Tokens:
    """Tokens from a token file's bytes; raises ModelError where they end in the middle of a piece."""
    pieces: list[bytes] = []
    place = 0
    while place < len(content):
        length = content[place]
        place += 1
        if length >= 128 and place < len(content):
            length = content[place] * 128 + length - 128
            place += 1
        if place + length > len(content):
            raise ModelError("the model's token file is cut off; install moonshine-voice 0.1.0 again")
        pieces.append(content[place : place + length])
        place += length
    return Tokens(pieces)
