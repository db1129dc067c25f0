"""Verb or thing: "drain the oil" and "the drain plug", "jack it up" and "jack out"."""

from __future__ import annotations

from .small_roles import acts, after_it, before_it, settle_small_word, take_for_verb
from .tagging import Item

_GREASED_THROUGH = frozenset(
    {"valve", "nipple", "fitting", "gun", "point", "line", "pipe", "hose", "cap", "cup", "plug"}
)
_HOW_MUCH = frozenset({"so", "too", "very", "bit", "rather", "pretty", "was", "were"})
_BEFORE_VERB = ("", "conj", "comma", "seq", "sub", "aux", "subj", "neg", "end", "filler", "pron")
_AFTER_VERB = ("det", "pron", "fig", "place")


def settled(items: list[Item]) -> list[Item]:
    """The same items, each verb-or-thing decided. Items are changed in place."""
    for here, item in enumerate(items):
        if item.kind == "word":
            take_for_verb(items, here)
        if item.low in ("across", "loose", "oiled", "dry") and item.kind in ("manner", "treat"):
            after = items[here + 1] if here + 1 < len(items) else None
            over_it = item.low == "across" and after is not None and after.low in ("it", "them")
            if after is not None and (after.kind in ("det", "noun", "place") or over_it):
                item.kind = "rel" if item.low == "across" else "word"
        if item.low == "dry" and item.kind == "treat" and here and items[here - 1].low in (*_HOW_MUCH, "to"):
            item.kind = "word"  # "since it was so dry": how it was, not how it goes on
        settle_small_word(items, here)
        if item.verb is None:
            if item.noun is not None:
                item.kind = "noun"
            continue
        before, following = before_it(items, here), after_it(items, here)
        if item.kind in ("aux", "rel", "word", "place") or item.low in ("back", "mind", "watch"):
            opens = before is None or before.kind in _BEFORE_VERB
            looked_for = item.low == "watch" and any(one.low == "for" for one in items[here + 2 : here + 7])
            if item.low == "left" and before is not None and before.kind == "subj":
                item.kind = "verb"  # "I left one out"
            elif looked_for and opens and following is not None and following.kind == "det":
                item.kind = "verb"  # "watch the seal for drips"
            elif (
                item.low in ("lower", "free", "open", "top", "back")
                and opens
                and following is not None
                and (following.kind in ("det", "pron") or (item.low == "top" and following.low in ("up", "off")))
            ) or (item.low in ("get", "gets", "got", "have", "has", "had", "do", "does", "did") and acts(items, here)):
                item.kind = "verb"
            else:
                item.verb = None
                item.kind = "word" if item.kind == "verb" else item.kind
            continue
        item.kind = "verb" if _is_verb(items, here, before, following) else "noun" if item.noun is not None else "word"
        if item.kind != "verb":
            item.verb = None
        else:
            item.noun = None
    return items


def _is_verb(items: list[Item], here: int, before: Item | None, after: Item | None) -> bool:
    item = items[here]
    assert item.verb is not None
    kind = before.kind if before else ""
    if before is not None and before.low == "'s" and item.noun is None and item.verb.form == "past":
        return not _noun_next(after)  # "the brake's held on with three screws"
    if kind == "fig" and item.low in ("goes", "turns", "turn", "go"):
        return False  # "in three goes"
    if item.low == "grease" and after is not None and after.low in _GREASED_THROUGH and kind in ("", "comma", "end"):
        return False  # "grease valve. Tighten it."
    if item.low in ("tip", "tips") and any(one.low == "measure" for one in items[max(0, here - 4) : here]):
        return False  # "measure the tooth tips", "the fan tip gap"
    if item.low == "give" and any(one.low in ("measure", "check") for one in items[max(0, here - 4) : here]):
        return False  # "measure the belt give"
    if item.low == "torque" and after is not None and after.low in ("of", "is", "figure", "setting"):
        return False
    if kind in ("det", "place", "fig") or (
        before is not None and before.low in ("new", "old", "used", "of", "'s", "my", "no")
    ):
        # "the drain plug", "two paint marks"; but "the four upper come out" and "both come off" are deeds
        named_before = before is not None and before.low in ("those", "these", "both", "all")
        if named_before and item.noun is None and item.verb.form in ("past", "base") and not _noun_next(after):
            return True  # "those came out"
        counted = kind == "fig" and item.verb.form == "past" and item.noun is None and after is not None
        if counted and after is not None and after.kind == "rel" and after.low in item.verb.verb.meanings:
            ahead = items[items.index(after) + 1] if items.index(after) + 1 < len(items) else None
            return ahead is None or ahead.kind in ("conj", "comma", "end", "seq", "sub")  # "all four came out"
        return item.noun is None and not _noun_next(after) and kind != "det" and item.verb.form in ("base", "s")
    if kind == "rel" and before is not None and before.low not in ("to",) and item.verb.form in ("s", "base", "past"):
        particle = before.low in (
            "out",
            "off",
            "in",
            "on",
            "up",
            "down",
            "back",
            "away",
            "apart",
            "free",
            "together",
            "loose",
        )
        leads = after is not None and after.kind == "rel" and after.low in item.verb.verb.meanings
        return particle and item.noun is None and after is not None and (after.kind in _AFTER_VERB or leads)
    if item.noun is not None and item.verb.form == "ing" and kind not in ("aux", "subj"):
        return False
    if item.verb.form in ("s", "base") and after is not None and after.kind == "aux" and kind in ("noun", "word"):
        return False  # "the carbon strips can now come off"
    if item.low == "start" and after is not None and after.low in ("with", "off") and before and before.low == "to":
        return False  # "100 newton metres to start with"
    if item.verb.form == "past" and after is not None and after.low in ("one", "ones") and kind != "aux":
        return False  # "the painted one"
    if _describes(items, here, before, after) or _is_state(items, here):
        return False
    if item.noun is None:
        if (
            before is not None
            and before.kind == "noun"
            and item.verb.form == "past"
            and after is not None
            and after.kind == "noun"
        ):
            return False
        return not (before is not None and before.low in ("a", "the", "an"))
    # both a verb and a thing
    if item.verb.form == "base" and any(one.low in ("let", "lets") for one in items[max(0, here - 4) : here]):
        return kind == "noun" and (after is None or after.verb is None)  # "let the spring sag", "let the hub oil drain"
    fastener_next = after is not None and after.noun is not None and after.noun.kinds[0] == "fastener"
    if fastener_next and not item.verb.verb.strong and item.verb.verb.base not in _ON_FASTENERS:
        return False  # "guide bolts", "clamp screws"
    if kind == "noun" and before is not None and before.noun is not None and not before.noun.plural:
        leads = after is not None and after.kind == "rel" and after.low in item.verb.verb.meanings
        if leads and item.verb.form == "s" and item.noun.kinds[0] != "fastener" and not _told_to(items, here):
            return True  # "the guard lifts away"
    if (
        kind == "noun"
        and before is not None
        and before.noun is not None
        and before.noun.plural
        and item.verb.form == "base"
    ):
        leads = after is not None and after.kind == "rel" and after.low in item.verb.verb.meanings
        if leads and item.noun.kinds[0] != "fastener" and not _told_to(items, here):
            return True  # "the vanes slide out"
    if kind == "noun":
        return item.verb.form in ("past", "ing") and not item.noun.plural and _is_short_past(item)
    if kind == "rel":
        return before is not None and before.low == "to" and item.verb.form == "base"
    if kind == "aux":
        return item.verb.form in ("past", "ing") or (
            item.verb.form == "base"
            and before is not None
            and before.low not in ("is", "are", "was", "were", "'s", "gets", "get", "have", "has", "had", "got")
        )
    if kind not in _BEFORE_VERB and not (before and before.verb):
        return False
    if item.noun.plural and item.verb.form == "s":
        return kind in ("pron", "subj") and item.verb.form == "s"
    if after is None:
        return kind in ("conj",) and _earlier_verb(items, here)
    if after.low in ("that", "those", "these") and kind in ("subj", "aux", "conj", "sub", "seq", "end", ""):
        return True
    if after.kind in _AFTER_VERB:
        if after.kind == "fig" and after.figure is not None and after.figure.unit:
            return kind in ("subj", "conj") and after.figure.dimension != "torque"
        return True
    if after.kind == "rel":
        return _leads_on(items, here, after)
    if after.kind in ("noun", "verb", "word", "treat"):
        return not _run_ends_terse(items, here)
    if after.kind in ("conj", "comma"):
        following = items[items.index(after) + 1] if items.index(after) + 1 < len(items) else None
        return (
            following is not None
            and following.verb is not None
            and kind != "comma"
            and following.kind != "rel"
            and after.kind == "conj"
            and following.noun is None
        )
    return after.kind in ("manner", "seq") and kind in ("subj", "aux", "conj", "sub")


def _told_to(items: list[Item], here: int) -> bool:
    """ "Clean the rotor slots out": a verb opens the clause already, and no new one begins in between."""
    back = here - 1
    while back >= 0 and items[back].kind not in ("conj", "comma", "seq", "end", "sub", "subj"):
        if items[back].kind == "verb":
            return True
        back -= 1
    return False


_OPENING_NAMES = frozenset(
    {"feed", "return", "bleed", "guide", "stop", "lock", "vent", "strip", "oil", "grease", "relief"}
)
_BEFORE_NAMES = frozenset(
    {"feed", "return", "bleed", "guide", "lift", "tie", "stop", "lock", "pinch", "split", "press", "vent", "strip",
     "drain", "jack", "clamp", "oil", "grease", "slip", "steady", "back", "check", "fill", "relief", "punch", "pull"}
)  # fmt: skip
"""Verbs that also stand before a name and tell which one it is: "the oil feed pipe", "guide bolts"."""


def _describes(items: list[Item], here: int, before: Item | None, after: Item | None) -> bool:
    """ "The oil feed pipe", "feed pipe back on": the word tells which pipe; nothing is fed."""
    item = items[here]
    assert item.verb is not None
    if item.verb.form != "base" or after is None or after.noun is None or item.verb.verb.base not in _BEFORE_NAMES:
        return False
    if before is not None and before.kind in ("noun", "word", "place"):
        back = here - 1
        while back >= 0 and items[back].kind in ("noun", "word", "place", "fig"):
            back -= 1
        return back < 0 or items[back].kind in ("det", "conj", "comma", "rel", "end", "verb")
    opens = before is None or before.kind in ("conj", "comma", "seq", "end")
    return opens and item.verb.verb.base in _OPENING_NAMES and _run_ends_terse(items, here)


_STATES = frozenset({"clean", "dry", "open", "free", "tight", "clear"})


def _is_state(items: list[Item], here: int) -> bool:
    """ "Wipe the bore clean": how it is when it is done, no second deed."""
    item = items[here]
    assert item.verb is not None
    if item.low not in _STATES or item.verb.form != "base" or not here or items[here - 1].kind not in ("noun", "word"):
        return False
    back = here - 1
    while back >= 0 and items[back].kind in ("noun", "word", "place", "det", "fig", "rel", "filler"):
        back -= 1
    return back >= 0 and items[back].kind == "verb"


_ON_FASTENERS = frozenset({"mark", "torque", "grease", "oil", "check", "measure", "snug", "nip"})
"""Verbs that are also things and that people do use straight before "bolts"."""


def _is_short_past(item: Item) -> bool:
    return item.verb is not None and item.verb.form in ("past", "ing")


def _noun_next(after: Item | None) -> bool:
    return after is not None and (after.noun is not None or after.low in ("ones", "one")) and after.kind != "rel"


def _earlier_verb(items: list[Item], here: int) -> bool:
    return any(item.kind == "verb" for item in items[:here])


def _leads_on(items: list[Item], here: int, after: Item) -> bool:
    """ "cap off the hoses" goes on to a thing; "caps off" does not."""
    at = items.index(after)
    word = items[here]
    assert word.verb is not None
    if after.low not in word.verb.verb.meanings:
        return False
    following = items[at + 1] if at + 1 < len(items) else None
    return following is not None and following.kind in ("det", "pron", "noun", "fig", "place")


_TOLD_FIRST = frozenset({"lift", "pull", "push", "slide", "drive", "press", "draw", "knock", "drop"})
"""Verbs that are things as well, and that open a note: "Lift cylinder out"."""


def _run_ends_terse(items: list[Item], here: int) -> bool:
    """ "cover bolts out", "mount bolts 40 newton metres": a name followed by a particle or a value."""
    step = here + 1
    while (
        step < len(items)
        and (items[step].noun is not None or items[step].kind in ("word", "place", "noun"))
        and items[step].kind != "rel"
    ):
        step += 1
    if step >= len(items):
        return False
    ender = items[step]
    if ender.kind == "aux" or (ender.kind == "verb" and ender.verb is not None and ender.verb.form in ("s", "base")):
        return True
    if ender.kind == "rel" and ender.low in ("out", "off", "in", "on", "back", "away", "up", "down", "free", "loose"):
        word = items[here]
        leads = word.verb is not None and ender.low in word.verb.verb.meanings
        told = word.verb is not None and (word.verb.verb.strong or word.verb.verb.base in _TOLD_FIRST)
        return not (leads and told)
    following = items[step + 1] if step + 1 < len(items) else None
    return ender.kind == "fig" or (
        ender.kind == "comma" and following is not None and (following.kind == "fig" or following.low == "that")
    )
