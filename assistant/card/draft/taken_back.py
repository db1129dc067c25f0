"""The safety net under corrections: where a value was put right and the right one found no place, the first one
does not stand either."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from .figures import Figure, figures_in
from .plain_words import plain_tokens
from .slips import cue_at
from .story import Unread
from .telling import Told
from .thing import Said, Thing
from .words import Sentence, Token

_LATELY = 8
"""Things spoken of so lately can have got the value that was taken back."""


class TakenBack:
    """Looks at each sentence once it has been read."""

    def __init__(self) -> None:
        self.before: list[Figure] = []
        """Figures of the sentence before."""
        self.waiting = False
        """The sentence before was a correction with nothing behind it: "No, wait."."""

    def look(self, told: Told, sentence: Sentence, said: Said) -> None:
        tokens = plain_tokens(sentence.tokens)
        first, last = _cue(tokens)
        figures = figures_in(tokens)
        if first is None and not self.waiting:
            self.before = figures or self.before
            return
        wrong = [one for one in figures if first is not None and one.end <= first]
        right = [one for one in figures if one.start >= last]
        if not wrong:
            wrong = self.before
        self.waiting = first is not None and not right and not any(token.is_word for token in tokens[last:])
        self.before = right or wrong
        if wrong and right and not any(_stands(told, one) for one in right):
            kinds = {_kind(one) for one in right if _kind(one) or _closes(tokens, one)}
            at_once = right[0].start == last and not _kind(right[0])  # "no, sixteen": of what was said just before
            _withdraw(told, [one for one in wrong if at_once or _kind(one) in kinds], said)


def _cue(tokens: list[Token]) -> tuple[int | None, int]:
    """Where the first correction begins and the last one ends."""
    first: int | None = None
    last = at = 0
    while at < len(tokens):
        end = cue_at(tokens, at)
        if end > at:
            first = at if first is None else first
            last = at = end
        else:
            at += 1
    return first, last


def _closes(tokens: list[Token], figure: Figure) -> bool:
    """ "It's six.": and not "I've had three phone calls"."""
    return figure.end >= len(tokens) or not tokens[figure.end].is_word


def _kind(figure: Figure) -> str:
    return "thread" if figure.thread else figure.dimension


def _values(thing: Thing) -> Iterator[tuple[str, str, object]]:
    """Attribute, kind and value of all that stands on a thing."""
    for name in ("torque", "wrench", "length", "mass", "quantity", "low", "high"):
        figure = getattr(thing, name)
        if figure is not None:
            yield name, figure.dimension, figure.value
    if thing.count is not None and thing.count_said is not None:
        yield "count", "", Decimal(thing.count)
    if thing.thread:
        yield "thread", "thread", thing.thread
    if thing.angle_deg is not None:
        yield "angle_deg", "angle", thing.angle_deg


def _is(figure: Figure, kind: str, value: object) -> bool:
    """Whether this value is that of the figure; a bare number can be of any unit."""
    said = figure.thread or figure.value
    return said is not None and said == value and (_kind(figure) in ("", kind) or not kind)


def _stands(told: Told, figure: Figure) -> bool:
    if figure.value is None and not figure.thread:
        return True  # a range is read as a whole or not at all
    lately = told.things.focus[:_LATELY]
    in_passes = any(figure.value == one.value for thing in lately for one in thing.passes)
    some = {one for step in told.made for deed in step.deeds for one in (deed.count, deed.all_but)}
    parts = figure.whole is not None and figure.whole in some
    return in_passes or parts or any(_is(figure, kind, value) for thing in lately for _, kind, value in _values(thing))


def _withdraw(told: Told, wrong: list[Figure], said: Said) -> None:
    for figure in reversed(wrong[-2:]):
        for thing in told.things.focus[:_LATELY]:
            for name, kind, value in list(_values(thing)):
                if not _is(figure, kind, value):
                    continue
                setattr(thing, name, "" if name == "thread" else None)
                if name == "count":
                    thing.count_said = None
                why = f"{figure.said} was put right, and what stands in its place could not be read"
                thing.doubt(why)
                told.unread.append(Unread(said, f"{why} ({thing.name}): put it in"))
                return
