"""Verb or thing: "drain the oil" and "the drain plug", "jack it up" and "jack out"."""

from __future__ import annotations

from .lexicon import Verb, VerbForm
from .names import not_names
from .tagging import Item

_BEFORE_VERB = ("", "conj", "comma", "seq", "sub", "aux", "subj", "neg", "end", "filler", "pron")
_AFTER_VERB = ("det", "pron", "fig", "place")


def settled(items: list[Item]) -> list[Item]:
    """The same items, each verb-or-thing decided. Items are changed in place."""
    for here, item in enumerate(items):
        if item.kind == "word":
            _take_for_verb(items, here)
        if item.low in ("across", "loose", "oiled", "dry") and item.kind in ("manner", "treat"):
            after = items[here + 1] if here + 1 < len(items) else None
            if after is not None and after.kind in ("det", "noun", "place"):
                item.kind = "rel" if item.low == "across" else "word"
        _settle_small_word(items, here)
        if item.verb is None:
            if item.noun is not None:
                item.kind = "noun"
            continue
        before, following = _before(items, here), _after(items, here)
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
            ) or (item.low in ("get", "gets", "got", "have", "has", "had", "do", "does", "did") and _acts(items, here)):
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


_ANY_VERB = {"": "none", "out": "open", "off": "open", "away": "open", "apart": "open", "free": "open",
             "loose": "loosen", "in": "fit", "on": "fit", "back": "fit"}  # fmt: skip


def _take_for_verb(items: list[Item], here: int) -> None:
    """ "Smack the pin out": a word that nobody listed, where a verb stands, with a thing and a particle behind it."""
    item = items[here]
    before, following = _before(items, here), _after(items, here)
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


def _settle_small_word(items: list[Item], here: int) -> None:
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


def _acts(items: list[Item], here: int) -> bool:
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
    return not (after.kind == "aux" or (False))


def _before(items: list[Item], here: int) -> Item | None:
    step = here - 1
    while step >= 0 and items[step].kind == "filler":
        step -= 1
    return items[step] if step >= 0 else None


def _after(items: list[Item], here: int) -> Item | None:
    step = here + 1
    while step < len(items) and items[step].kind == "filler":
        step += 1
    return items[step] if step < len(items) else None


def _is_verb(items: list[Item], here: int, before: Item | None, after: Item | None) -> bool:
    item = items[here]
    assert item.verb is not None
    kind = before.kind if before else ""
    if before is not None and before.low == "'s" and item.noun is None and item.verb.form == "past":
        return not _noun_next(after)  # "the brake's held on with three screws"
    if kind == "fig" and item.low in ("goes", "turns", "turn", "go"):
        return False  # "in three goes"
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
        return kind == "noun"  # "let the spring sag"
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
