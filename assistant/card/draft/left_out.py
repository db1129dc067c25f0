"""What a sentence says besides, and is left out before it is read: opinions, asides, what something is not."""

from __future__ import annotations

from .slips import NUMBER_WORDS
from .words import Token

_NO_TELLING = frozenset(
    {"proper", "whole", "entire", "actual", "decent", "bloody", "blasted", "damn", "damned", "flipping", "wretched",
     "lovely", "stupid", "silly", "poor", "daft", "miserable", "beautiful", "ordinary", "famous", "infamous"}
)  # fmt: skip
"""Words before a name that tell it from nothing else."""


_BEFORE_NAMES = frozenset(
    {"the", "a", "an", "your", "my", "that", "this", "those", "these", "our", "its", "two", "mean"}
)


def without_opinions(tokens: list[Token]) -> list[Token]:
    """ "A whole cross member", "two proper stands"."""
    return [
        token
        for at, token in enumerate(tokens)
        if not (
            token.low in _NO_TELLING
            and at
            and tokens[at - 1].low in _BEFORE_NAMES
            and at + 1 < len(tokens)
            and tokens[at + 1].is_word
            and tokens[at + 1].low not in ("lot", "thing", "dozen", "job", "way", "set", "bunch", "time", "of", "one")
        )
    ]


def without_asides(tokens: list[Token]) -> list[Token]:
    """ "Indicator switch next, the one the lead was on" without what only tells which one it is."""
    for at in range(1, len(tokens) - 4):
        if tokens[at].text != "," or (tokens[at + 1].low, tokens[at + 2].low) != ("the", "one"):
            continue
        end = next((here for here in range(at + 3, len(tokens)) if tokens[here].text in _STOPS), len(tokens))
        told = [token.low for token in tokens[at + 3 : end]]
        if {"was", "were"} & set(told) and not any(low[0].isdigit() or low in NUMBER_WORDS for low in told):
            return [*tokens[:at], *tokens[end:]]
    return tokens


_NO_CONTRAST = frozenset(
    {"more", "less", "over", "above", "under", "below", "beyond", "past", "yet", "until", "till", "before", "after",
     "too", "very", "quite", "fully", "all", "even", "just", "only", "so", "as", "to", "exceeding", "that", "this",
     "if", "unless", "when", "because", "in", "on", "at", "here", "there", "now", "today", "ever", "than"}
)  # fmt: skip
"""Behind these a "not" belongs to what is said: "not more than two", "not too tight"."""


_PUTTING_RIGHT = frozenset({"no", "sorry", "wait", "on", "mean", "rather", "lie"})


_STOPS = (",", ";", ".", "-", "…", "...")


def _goes_further(held: list[str]) -> bool:
    """Whether more than the contrast stands there: not so in "round and round like Dad does it"."""
    twice = [at for at, low in enumerate(held[:-1]) if low == "and" and at and held[at - 1] == held[at + 1]]
    return "but" in held[1:] or any(low == "and" and at not in twice for at, low in enumerate(held) if at)


def without_contrasts(tokens: list[Token]) -> list[Token]:
    """ "Run sealant round the plate, not half a tube" without what it is not."""
    for at in range(2, len(tokens) - 1):
        none = (
            tokens[at].low == "not" and tokens[at - 1].low == "and" and tokens[at + 1].low in ("one", "a", "an", "any")
        )
        if tokens[at].low != "not" or not (tokens[at - 1].text == "," or none) or tokens[at - 2].low in _PUTTING_RIGHT:
            continue
        end = next((here for here in range(at + 1, len(tokens)) if tokens[here].text in _STOPS), len(tokens))
        held = [token.low for token in tokens[at + 1 : end]]
        said = {token.low for token in tokens[:at]}
        again = [low for low in held if low not in ("the", "a", "an")]
        if (
            not held
            or held[0] in _NO_CONTRAST
            or held[0].endswith("ing")
            or held[:2] == ["the", "one"]
            or set(again) <= said
            or _goes_further(held)
            or any(low[0].isdigit() or low in NUMBER_WORDS for low in held[none:])
        ):
            continue
        return without_contrasts([*tokens[: at - 1], *tokens[end:]])
    return tokens
