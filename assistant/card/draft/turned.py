"""Turns of a sentence that say a plain thing: "M12 they are", "two sorts of bolt, the long ones and the short ones"."""

from __future__ import annotations

from dataclasses import replace

from .slips import NUMBER_WORDS
from .words import Token

_SORTS = frozenset({"sorts", "kinds", "lengths", "sizes", "types", "lots", "sets"})


def sorts_named(tokens: list[Token]) -> list[Token]:
    """ "Two sorts of sump bolt, the long ones, four, and the short ones, six" with the bolts named in each."""
    at = next((at for at in range(1, len(tokens) - 3) if tokens[at].low in _SORTS and tokens[at + 1].low == "of"), None)
    if at is None or tokens[at - 1].low not in NUMBER_WORDS | {"2", "3"}:
        return tokens
    end = next((here for here in range(at + 2, len(tokens)) if not tokens[here].is_word), len(tokens))
    named = tokens[at + 2 : end]
    if not named or len(named) > 4 or not any(token.low == "ones" for token in tokens[end:]):
        return tokens
    if not named[-1].low.endswith("s"):
        last = f"{named[-1].low}s"
        named = [*named[:-1], replace(named[-1], text=last, low=last)]
    told: list[Token] = []
    for token in tokens[end + 1 :]:
        told.extend(named if token.low == "ones" else [token])
    return told


_HOLDS = frozenset({"holds", "keeps", "secures", "fixes"})


def _said_plainly(tokens: list[Token]) -> list[Token]:
    """ "M12 they are", "nine millimetres, least", "..., for the drum's 220 kilos"."""
    words = [token.low for token in tokens]
    for at in range(2, len(tokens) - 1):
        turned = words[at] in ("they", "it", "those") and words[at + 1] in ("are", "is") and tokens[at - 1].is_word
        ends = at + 2 >= len(tokens) or not tokens[at + 2].is_word
        if turned and ends and any(letter.isdigit() for letter in words[at - 1]):
            return [*tokens[:at], *tokens[at + 2 :]]
    for at in range(2, len(tokens) - 3):
        if words[at - 1 : at + 1] == [",", "so"] and words[at + 2 : at + 4] in (["of", "you"], ["of", "us"]):
            return tokens[: at - 1]  # "forty-two kilos, so two of you, or a hoist"
    for at in range(3, len(tokens) - 2):
        if words[at - 1 : at + 1] == [",", "one"] and words[at + 1] in ("on", "to", "at", "in", "per", "for"):
            counted = any(word in NUMBER_WORDS - {"one"} or word.isdigit() for word in words[: at - 1])
            stop = next((here for here in range(at, len(tokens)) if not tokens[here].is_word), len(tokens))
            if counted and words[at + 2] in ("each", "either", "every"):
                return [*tokens[: at - 1], *tokens[stop:]]  # "there are two hose clips, one on each"
    last = next((at for at in range(len(tokens) - 1, 1, -1) if tokens[at].is_word), 0)
    if last and words[last] in ("least", "most") and tokens[last - 1].text == ",":
        at_least = [replace(tokens[last], text="at", low="at"), tokens[last]]
        return [*tokens[: last - 1], *at_least, *tokens[last + 1 :]]
    for at in range(2, len(tokens) - 3):
        if tokens[at - 1].text == "," and words[at : at + 2] == ["for", "the"]:
            told = next((here for here in range(at + 3, min(at + 6, len(tokens))) if words[here] in ("'s", "is")), None)
            named = told is not None and words[told - 1] not in ("it", "that", "this", "there", "they")
            if named and all(token.is_word for token in tokens[at:told]):
                return [*tokens[:at], replace(tokens[at], text="because", low="because"), *tokens[at + 1 :]]
    return tokens


def _counted_first(tokens: list[Token]) -> list[Token]:
    """ "New flange seals, two of them" as "two new flange seals"."""
    if not tokens or tokens[0].low not in ("new", "fresh"):
        return tokens
    at = next((at for at, token in enumerate(tokens) if not token.is_word), len(tokens))
    behind = [token.low for token in tokens[at + 1 : at + 4]]
    counted = tokens[at - 1].low.endswith("s") and 2 <= at <= 5 and len(behind) == 3
    if not counted or behind[1:] not in (["of", "them"], ["of", "those"]) or behind[0] not in NUMBER_WORDS:
        return tokens
    return [tokens[at + 1], *tokens[:at], *tokens[at + 4 :]]


def turned(tokens: list[Token]) -> list[Token]:
    """ "What holds it on is three long bolts" as "it is held by three long bolts"."""
    tokens = _counted_first(_said_plainly(tokens))
    for at in range(1, len(tokens) - 2):
        up = tokens[at].low == "held" and tokens[at + 1].low in ("up", "in", "down", "together")
        if up and tokens[at + 2].low == "by":
            tokens = [*tokens[: at + 1], *tokens[at + 2 :]]  # "held up by three nuts": on, and not raised
            break
        held_by = any(token.low == "by" for token in tokens[at + 2 : at + 8])
        if tokens[at].low == "hung" and tokens[at - 1].low in ("is", "'s", "are") and held_by:
            tokens = [*tokens[:at], replace(tokens[at], text="held", low="held"), *tokens[at + 1 :]]
    led = next((at for at in range(len(tokens) - 6) if tokens[at].low == "held" and tokens[at + 1].low == "by"), None)
    for at in range(led + 3, len(tokens) - 3) if led is not None else ():
        by = next((here for here in range(at + 2, min(at + 6, len(tokens) - 1)) if tokens[here].low == "by"), None)
        if tokens[at].low == "and" and by is not None and tokens[by + 1].low in (*NUMBER_WORDS, "a", "its"):
            told = [replace(tokens[by], text=word, low=word) for word in ("is", "held")]
            tokens = [*tokens[:by], *told, *tokens[by:]]  # "held by a plate, and the plate by two bolts"
            break
    for at in range(len(tokens) - 4):
        if tokens[at].low != "what" or tokens[at + 1].low not in _HOLDS:
            continue
        is_at = next((here for here in range(at + 3, min(at + 8, len(tokens) - 1)) if tokens[here].low == "is"), None)
        if is_at is None:
            continue
        held_thing = tokens[at + 2 : is_at]
        while len(held_thing) > 1 and held_thing[-1].low in ("on", "in", "up", "down", "together"):
            held_thing.pop()
        held_by_it = [replace(tokens[is_at], text=word, low=word) for word in ("held", "by")]
        return [*tokens[:at], *held_thing, tokens[is_at], *held_by_it, *tokens[is_at + 1 :]]
    return tokens
