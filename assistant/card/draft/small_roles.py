"""The small words of a sentence: "that" before a name or alone, "under" as a place or a limit."""

from __future__ import annotations

from .lexicon import Verb, VerbForm
from .name_words import not_names
from .tagging import Item

_ANY_VERB = {"": "none", "out": "open", "off": "open", "away": "open", "apart": "open", "free": "open",
             "loose": "loosen", "in": "fit", "on": "fit", "back": "fit"}  # fmt: skip


def take_for_verb(items: list[Item], here: int) -> None:
    """ "Smack the pin out": a word that nobody listed, where a verb stands, with a thing and a particle behind it."""
    item = items[here]
    before, following = before_it(items, here), after_it(items, here)
    opens = before is None or before.kind in ("conj", "comma", "seq", "subj", "end")
    if not opens or not item.low.isalpha() or len(item.low) < 3 or item.low in not_names() or item.low.endswith("ly"):
        return
    if following is None or following.low not in _BEFORE_A_THING:
        return
    step = here + 1
    named = following.kind == "pron"
    while step < len(items) and items[step].kind in ("det", "pron", "noun", "place", "word", "fig", "filler", "verb"):
        named = named or items[step].noun is not None
        step += 1
    if not named or step >= len(items) or items[step].low not in _ANY_VERB:
        return
    last = step + 1 >= len(items) or items[step + 1].kind in ("conj", "comma", "seq", "end", "sub", "manner")
    if items[step].low in ("out", "off", "apart", "away", "free", "loose") or last:
        item.verb = VerbForm(Verb(item.low, dict(_ANY_VERB)), "base")
        item.kind = "verb"


_BEFORE_A_THING = frozenset({"the", "it", "them", "this", "that", "each", "both", "your", "those", "these", "all"})


def settle_small_word(items: list[Item], here: int) -> None:
    """ "That" before a name, after one, or alone; "under 3 mm" and "under the pump"; "should then slide"."""
    item = items[here]
    before = items[here - 1] if here else None
    after = items[here + 1] if here + 1 < len(items) else None
    verbs = [one.verb.verb for one in items[max(0, here - 6) : here] if one.verb is not None]
    if item.kind == "most" and item.low == "up to" and any("up" in verb.meanings for verb in verbs):
        item.kind, item.low = "rel", "up"  # "pull them up to ninety"
    if (
        item.kind in ("most", "least")
        and item.low in ("under", "below", "within", "up to", "over", "above")
        and (after is None or after.kind != "fig")
        and not (item.low.startswith("the ") or item.low in ("max", "min"))
    ):
        item.kind = "rel"
    if item.low == "that" and item.kind == "sub":
        names = after is not None and (
            after.noun is not None
            or after.kind in ("place", "fig", "treat")
            or after.low in ("new", "old", "one", "other")
        )
        verb_next = after is not None and (after.verb is not None or after.kind in ("aux", "subj"))
        ahead = items[here + 2] if here + 2 < len(items) else None
        goes = after is not None and after.verb is not None and after.verb.form == "s" and ahead is not None
        if goes and ahead is not None and ahead.kind == "rel" and after is not None and after.verb is not None:
            names = names and ahead.low not in after.verb.verb.meanings  # "that slides out towards you"
        if names and not (
            after is not None and after.verb is not None and before is not None and before.noun is not None
        ):
            item.kind = "det" if after is not None and after.low != "one" else "pron"
        elif not (before is not None and before.noun is not None and verb_next):
            item.kind = "pron"
    if (
        item.low in ("back", "front", "top", "bottom", "side", "inside", "outside")
        and before is not None
        and before.kind == "det"
        and before.low in ("the", "its", "your")
        and item.kind == "rel"
    ) and (
        after is None
        or (after.noun is None and after.low not in ("one", "ones") and after.kind not in ("fig", "place"))
    ):
        item.kind = "word"
    if item.kind == "filler" and item.low == "so" and here and after is not None and after.kind == "subj":
        item.kind = "seq"  # "... so I took them out"
    if item.kind == "sub" and item.low in ("so that", "so it") and after is not None and after.low in ("is", "are"):
        ahead = items[here + 2] if here + 2 < len(items) else None
        if ahead is not None and ahead.kind in ("fig", "det"):
            item.kind, item.low = "pron", item.low[3:]  # "... so that's four bolts"
    if item.low == "using" and after is not None and after.kind in ("det", "fig", "noun", "word"):
        item.kind, item.low, item.verb = "rel", "with", None
    if item.low == "first" and item.kind == "word" and after is not None and after.verb is not None and not before:
        item.kind = "seq"
    if item.kind == "seq" and item.low == "then" and before is not None and before.kind == "aux":
        item.kind = "filler"


def acts(items: list[Item], here: int) -> bool:
    """Whether "get", "have", "do" is the verb itself and not a helper of the next one."""
    step = here + 1
    while step < len(items) and items[step].kind in ("filler", "neg"):
        step += 1
    if step >= len(items):
        return True
    after = items[step]
    if after.verb is not None and after.verb.form in ("past", "base") and after.kind not in ("aux", "rel", "place"):
        return False
    if after.kind == "rel" and after.low == "to":
        return False
    return after.kind != "aux"


def before_it(items: list[Item], here: int) -> Item | None:
    step = here - 1
    while step >= 0 and items[step].kind == "filler":
        step -= 1
    return items[step] if step >= 0 else None


def after_it(items: list[Item], here: int) -> Item | None:
    step = here + 1
    while step < len(items) and items[step].kind == "filler":
        step += 1
    return items[step] if step < len(items) else None
