"""How people put themselves right: "no, sorry", "I tell a lie", "hang on"."""

from __future__ import annotations

from functools import lru_cache

from assistant.grammar.numbers import TEENS, TENS, UNITS

from .lexicon import lexicon
from .units_said import unit_at
from .words import Token


@lru_cache(maxsize=1)
def cues() -> tuple[tuple[str, ...], ...]:
    cues = {tuple(word for word in cue.replace(",", " ").split()) for cue in lexicon().words["corrections"]}
    return tuple(sorted(cues, key=len, reverse=True))


@lru_cache(maxsize=1)
def _cues_from() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Corrections by their first word."""
    firsts = {cue[0] for cue in cues()}
    return {first: tuple(cue for cue in cues() if cue[0] == first) for first in firsts}


NUMBERS = frozenset((*UNITS, *TEENS, *TENS, "hundred", "a"))
NUMBER_WORDS = NUMBERS - {"a"}


_HUMS = frozenset({"uh", "er", "erm", "um"})


def _bare_number(tokens: list[Token], here: int) -> bool:
    """ "Uh, five, …": a number alone, straight after the hum."""
    return here + 1 >= len(tokens) or tokens[here + 1].text in (",", ".", "-", "…", "!")


def _same_unit(tokens: list[Token], here: int, end: int) -> bool:
    """ "Two litres, er, two and a half litres": a number of the same unit on both sides of the hum."""
    said = here - 1
    while said > 0 and not tokens[said].is_word:
        said -= 1
    before = next(
        (unit_at(tokens, at)[0] for at in (said - 1, said) if at > 0 and unit_at(tokens, at)[1] == said + 1), ""
    )
    behind = next(
        (unit_at(tokens, at)[0] for at in range(end + 1, min(end + 6, len(tokens))) if unit_at(tokens, at)[0]), ""
    )
    return bool(before) and before == behind


_WEAK = frozenset(
    {
        ("uh",),
        ("er",),
        ("erm",),
        ("um",),
        ("no",),
        ("wait",),
        ("sorry",),
        ("hang", "on"),
        ("hold", "on"),
        ("nope",),
        ("oops",),
    }
)


def _denied(tokens: list[Token], here: int) -> int:
    """ "The cylinder, not the cylinder, the tube end": the same words again with a "not"; `here` where it is none."""
    if tokens[here].low not in ("not", "no") or not here or tokens[here - 1].text not in (",", "-", ".", "…"):
        return here
    at = here + 1 + (tokens[here].low == "no" and here + 1 < len(tokens) and tokens[here + 1].low == "not")
    said = [token.low for token in tokens[max(0, here - 8) : here]]
    end = at
    while end < len(tokens) and tokens[end].is_word:
        end += 1
    again = [token.low for token in tokens[at:end]]
    telling = [low for low in again if low not in ("the", "a", "an", "that")]
    closed = end < len(tokens) and tokens[end].text in (",", "-", "…") and end + 1 < len(tokens)
    if closed and telling and len(again) <= 4 and all(low in said for low in telling) and said[-2:-1] == telling[-1:]:
        return end + 1
    return here


def _past_the_wrong(tokens: list[Token], here: int, end: int) -> int:
    """ "With the red, no, not the red, the blue": past the words that are taken back."""
    if not any(token.low == "not" for token in tokens[here:end]):
        return end
    stop = next((at for at in range(end, len(tokens)) if not tokens[at].is_word), len(tokens))
    again = [token.low for token in tokens[end:stop]]
    said = [token.low for token in tokens[:here] if token.is_word]
    taken_back = bool(again) and len(again) <= 4 and stop + 1 < len(tokens) and said[-len(again) :] == again
    return stop + 1 if taken_back else end


THINKS = frozenset({"picture", "recall", "think", "see", "look", "check", "remember", "count", "get"})
""" "No, let me think, twelve": said while looking for the right one."""


def cue_at(tokens: list[Token], here: int) -> int:
    """End of a correction that starts here, commas and several in a row included; `here` where none does."""
    end = _denied(tokens, here)
    if end > here:
        return end
    strong = False
    while True:
        found = 0
        for cue in _cues_from().get(tokens[end].low, ()) if end < len(tokens) else ():
            at, matched = end, 0
            while matched < len(cue) and at < len(tokens):
                if tokens[at].low == cue[matched]:
                    matched += 1
                elif not (tokens[at].text in (",", "-", "…") and matched):
                    break
                at += 1
            if matched == len(cue):
                found = at
                strong = strong or cue not in _WEAK
                break
        thinks = tuple(token.low for token in tokens[end : end + 3])
        if not found and end > here and thinks[:2] == ("let", "me") and {*thinks[2:]} & THINKS:
            found = next((at for at in range(end + 3, len(tokens)) if not tokens[at].is_word), len(tokens))
        if not found:
            break
        end = found
        while end < len(tokens) and tokens[end].text in (",", "-", ".", "…", "!"):
            end += 1
    if end == here:
        return here
    end = _past_the_wrong(tokens, here, end)
    opened = here == 0 or tokens[here - 1].text in (",", "-", ".", "…", ";", ":", "?", "!")
    numbered = end < len(tokens) and (
        tokens[end].text[0].isdigit()
        or tokens[end].low in NUMBERS
        or (tokens[end].text[0] in "Mm" and tokens[end].text[1:2].isdigit())
    )
    hummed = numbered and (_bare_number(tokens, end) or _same_unit(tokens, here, end))
    if not strong and tokens[here].low in _HUMS and not (opened and hummed):
        return here
    if (
        not strong
        and numbered
        and (opened or (tokens[here].low in ("sorry", "no", "wait") and tokens[end].low not in ("more", "less")))
    ):
        return end
    closed = tokens[end - 1].text in (",", ".", "-", "…", "!") or end >= len(tokens)
    if not strong and not (
        opened and (closed or (end < len(tokens) and tokens[end].low in ("the", "that's", "it", "not", "make", "they")))
    ):
        return here
    return end if opened or strong else here
