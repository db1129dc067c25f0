"""Which words belong to a name, and the exceptions in it: "all but one of the upper bolts"."""

from __future__ import annotations

from functools import lru_cache

from .lexicon import lexicon
from .mention import Mention
from .tagging import Item


def kind_at(items: list[Item], here: int) -> str:
    return items[here].kind if 0 <= here < len(items) else ""


def low_at(items: list[Item], here: int) -> str:
    return items[here].low if 0 <= here < len(items) else ""


def definite_next(items: list[Item], here: int) -> bool:
    return low_at(items, here) in ("the", "those", "these", "them", "my", "your", "its", "all")


def names_follow(items: list[Item], here: int) -> bool:
    """Whether a thing's name goes on here, within a few words."""
    for at in range(here, min(here + 5, len(items))):
        item = items[at]
        if item.kind == "noun" or item.low in ("ones", "one", "others"):
            return True
        if item.kind == "word" and item.low.replace("-", "").isalpha():
            continue
        if item.kind in ("place", "fig") or item.low in ("new", "old", "other", "last", "good", "back"):
            continue
        return False
    return False


def noun_follows(items: list[Item], here: int) -> bool:
    for at in range(here + 1, min(here + 4, len(items))):
        if items[at].kind == "noun" or (items[at].low in ("one", "ones") and at == here + 1):
            return True
        if items[at].kind not in ("word", "place"):
            return False
    return False


_GOES_ON = frozenset({"out", "off", "in", "on", "back", "away", "up", "down"})


def _compound(items: list[Item], here: int, mention: Mention) -> bool:
    """ "The tube stack is drawn out": a thing called after another, by a word that no list has."""
    word, before = items[here], items[here - 1]
    if not mention.det or before.noun is None or before.noun.plural or before.noun.kinds[0] == "fastener":
        return False
    if word.low in not_names() or word.low.endswith(("s", "ly", "ing", "ed")) or len(word.low) < 3:
        return False
    after = items[here + 1] if here + 1 < len(items) else None
    return after is not None and (after.kind in ("aux", "verb") or after.low in _GOES_ON)


def _measured(items: list[Item], here: int, mention: Mention) -> bool:
    """ "Measure the plate warp": what is measured has a name of its own."""
    verb = items[mention.start - 1] if mention.start else None
    measure = verb is not None and verb.verb is not None and verb.verb.verb.base == "measure"
    word = items[here].low
    return measure and word not in not_names() and not word.endswith(("ly", "ing")) and len(word) > 2


@lru_cache(maxsize=1)
def not_names() -> frozenset[str]:
    """Words that are never the head of an unknown thing."""
    return lexicon().set_of("not_names")


def does_something(items: list[Item], here: int) -> bool:
    """ "Dirt kills pumps": a word in the way of a verb, between two things, with no article anywhere."""
    word, after = items[here], items[here + 1] if here + 1 < len(items) else None
    first = here == 1 and items[0].kind in ("word", "noun")
    acts = word.kind == "word" and word.low.endswith("s") and not word.low.endswith(("ss", "us", "is", "'s"))
    return (
        first
        and acts
        and after is not None
        and after.noun is not None
        and after.noun.plural
        and items[0].low[-1] != "s"
    )


def word_belongs(items: list[Item], here: int, has_noun: bool, mention: Mention) -> bool:
    item = items[here] if here < len(items) else None
    if item is None or item.kind != "word" or not item.low.replace("'", "").replace("-", "").isalpha():
        return False
    if does_something(items, here) and not mention.det:
        return False
    if noun_follows(items, here):
        return True
    if has_noun and (_compound(items, here, mention) or _measured(items, here, mention)):
        return True
    led = mention.det or mention.new or mention.old or (mention.count and item.low.endswith("s"))
    if has_noun or not led or item.low in not_names() or item.low.endswith("ly") or len(item.low) < 3:
        return False
    if mention.det in ("", "no"):
        return True
    return mention.det in ("the", "that", "this", "your", "its", "a", "an", "those", "these", "both", "all", "all the")
