"""The name itself: "all but one of the upper bracket bolts", "it", "the nut"."""

from __future__ import annotations

from assistant.card.model import MOST_IN_A_SET

from .figures import Figure
from .lexicon import lexicon
from .mention import Mention
from .name_words import definite_next, kind_at, low_at, names_follow, noun_follows, word_belongs
from .tagging import Item

_PRONOUNS_PLURAL = frozenset(
    {
        "them",
        "they",
        "these",
        "those",
        "both",
        "ones",
        "all of them",
        "both of them",
        "these ones",
        "those ones",
        "the lot",
        "the whole lot",
        "each of them",
        "each one",
    }
)


_NO_THING = frozenset({"everything", "the whole thing", "the whole lot", "one"})


def name_at(items: list[Item], here: int) -> Mention | None:
    at = here
    mention = Mention(here, here)
    at = _all_but(items, at, mention)
    if kind_at(items, at) == "pron" and mention.all_but is None:
        low = low_at(items, at)
        names_next = low in ("this", "that", "these", "those", "both", "one") and names_follow(items, at + 1)
        if not names_next:
            if low in _NO_THING:
                return None
            mention.end, mention.words, mention.pronoun, mention.plural = at + 1, low, True, low in _PRONOUNS_PLURAL
            return mention
        mention.det = low
        at += 1
    places: set[str] = set()
    mods: list[str] = []
    sizes: list[Figure] = []
    nouns: list[Item] = []
    loose_words: list[str] = []
    compound = ""
    while at < len(items):
        item = items[at]
        low = item.low
        if item.kind == "det":
            if nouns or mods:
                break
            mention.det = low
            if low == "each" or low == "every":
                mention.each = True
            if low == "the rest of" or low == "the other":
                mention.rest = True
            if low == "both" or low == "both of":
                mention.count, mention.both = mention.count or 2, True
            if low.startswith("a pair of"):
                mention.count = 2
        elif (
            item.kind == "rel"
            and low == "of"
            and not nouns
            and (mention.count or mention.all_but or mention.amount or mention.det in ("all", "some", "each"))
        ):
            part = mention.count and mention.amount is None and mention.det not in ("all", "all the", "all of")
            whole = (
                low_at(items, at + 1) in ("those", "these", "them") and here and items[here - 1].low.startswith("there")
            )
            if part and definite_next(items, at + 1) and not whole:
                mention.some, mention.count = mention.count, None
            counted = here and (items[here - 1].low.startswith("there") or items[here - 1].low in ("is", "are", "got"))
            apart = (
                kind_at(items, at + 2) in ("", "end", "comma", "filler")
                or low_at(items, at + 2) in ("altogether", "all", "in", "all told", "total")
            ) and kind_at(items, here - 1) != "verb"
            apart = apart or (kind_at(items, at + 2) == "rel" and (here == 0 or kind_at(items, here - 1) == "comma"))
            counted = counted or apart  # "the wheel nuts, ten of them"
            if mention.some and low_at(items, at + 1) in ("them", "these", "those") and not counted:
                mention.end, mention.pronoun, mention.plural = at + 2, True, True
                mention.words = " ".join(item.low for item in items[here : at + 2])
                return mention
        elif item.kind == "fig" and item.figure is not None:
            figure = item.figure
            if nouns:
                break
            if figure.thread:
                sizes.append(figure)
            elif figure.whole is not None and 1 <= figure.whole <= MOST_IN_A_SET and mention.count is None:
                placed = places and mention.det in ("the", "those", "these")  # "the inner two"
                placed = placed or ((mention.rest or mention.det in ("the other", "the last")) and not nouns)
                named = names_follow(items, at + 1) or low_at(items, at + 1) == "of"
                if mention.det in ("those", "these") and not (named or places or mods or nouns):
                    mention.end, mention.words, mention.pronoun, mention.plural = at + 1, mention.det, True, True
                    return mention  # "those three"
                if not (named or mention.det == "all" or placed):
                    break
                mention.count = figure.whole
            elif figure.dimension == "length" and names_follow(items, at + 1):
                sizes.append(figure)
            elif figure.dimension in ("volume", "mass") and (
                low_at(items, at + 1) == "of" or kind_at(items, at + 1) == "noun"
            ):
                mention.amount = figure
            else:
                break
        elif low == "last" and at == here and names_follow(items, at + 1):
            mention.rest, mention.det = True, "the"  # "last two nuts off"
        elif item.kind == "place" or (
            low in ("back", "last", "only", "same") and not nouns and names_follow(items, at + 1) and mention.det
        ):
            if nouns and not names_follow(items, at + 1):
                break
            if low in ("last", "only", "same"):
                mention.rest = mention.rest or low == "last"
            else:
                places.add(lexicon().place(low) or low)
        elif low == "no" and not (nouns or mods or places or mention.det) and names_follow(items, at + 1):
            mention.none, mention.det = True, "no"
        elif low == "no":
            break
        elif low in ("new", "fresh", "old", "used") and not nouns:
            mention.new, mention.old = mention.new or low in ("new", "fresh"), mention.old or low in ("old", "used")
        elif low in ("other", "others", "remaining", "rest") and not nouns:
            mention.rest = True
            if low in ("others", "rest"):
                mention.ones = True
                at += 1
                break
        elif low in ("one", "ones") and (
            places or mods or mention.det or mention.count or mention.rest or mention.new or mention.old
        ):
            if nouns:
                break
            mention.ones, mention.plural = True, low == "ones"
            at += 1
            break
        elif low == "last" and mention.det == "the" and not nouns and kind_at(items, at + 1) in ("aux", "verb"):
            mention.ones, mention.rest = True, True  # "the last is only loosened"
            at += 1
            break
        elif low == "'s" and nouns and (kind_at(items, at + 1) == "noun" or noun_follows(items, at)):
            mods.extend(noun.noun.head if noun.noun else noun.low for noun in nouns)
            nouns.clear()  # "the outer spring's free height"
        elif item.kind == "noun" and item.noun is not None:
            nouns.append(item)
        elif (
            item.kind == "filler"
            and low in ("good", "last", "little", "just", "only", "nice", "straight")
            and not nouns
            and mention.det
        ):
            mention.rest = mention.rest or low == "last"
        elif item.kind == "word" and word_belongs(items, at, bool(nouns), mention):
            if nouns and not noun_follows(items, at):
                mods.extend(noun.noun.head if noun.noun else noun.low for noun in nouns)
                nouns.clear()
                compound = low  # "the tube stack": a stack
                at += 1
                break
            (mods if noun_follows(items, at) else loose_words).append(low)
            if noun_follows(items, at) and nouns:
                mods[-1:] = [noun.low for noun in nouns] + [low]
                nouns.clear()
            if not noun_follows(items, at):
                mention.unknown = True
                if not word_belongs(items, at + 1, False, mention) or len(loose_words) >= 3:
                    at += 1
                    break
        else:
            break
        at += 1
    if compound:
        mention.head, mention.kinds, mention.end = compound, ("part",), at
        mention.places, mention.mods, mention.sizes = frozenset(places), tuple(dict.fromkeys(mods)), tuple(sizes)
        mention.words = " ".join(item.low for item in items[here:at])
        return mention
    if (
        not nouns
        and not mention.unknown
        and not mention.ones
        and mention.det in ("both", "these", "those", "all", "each", "all of", "both of")
        and (at == here + 1 or (mention.det == "all" and mention.count is not None and at == here + 2))
        and mention.all_but is None
    ):
        mention.end, mention.words, mention.pronoun, mention.plural = at, mention.det, True, True
        return mention
    if (
        not nouns
        and not mention.unknown
        and not mention.ones
        and not ((places or mention.rest) and mention.det and mention.count)
        and mention.all_but is None
    ):
        return None
    if nouns:
        head = nouns[-1].noun
        assert head is not None
        mention.unknown = False
        parts = head.head.split()
        splits = len(parts) > 1 and (
            head.kinds[0] in ("part", "connection", "support", "mark", "fluid", "cover") or parts[-1] == "grease"
        )
        spoken_head = parts[-1] if splits else head.head
        mods.extend(noun.noun.head if noun.noun else noun.low for noun in nouns[:-1])
        mods.extend(parts[:-1] if spoken_head != head.head else ())
        said = nouns[-1].low.split()
        longer = len(parts) == 1 and len(said) > 1 and said[-1].rstrip("s") == head.head.rstrip("s")
        if longer and head.kinds[0] in ("mark", "support", "fastener"):
            mods.extend(said[:-1])
        elif (
            head.kinds[:1] == ("fastener",)
            and " " not in head.spelling
            and head.spelling.endswith(head.head)
            and head.spelling != head.head
        ):
            mods.append(head.spelling[: -len(head.head)])  # "locknut" is a lock nut
        elif spoken_head == head.head and head.spelling != head.head:
            mention.spoken = head.spelling
        mention.head, mention.kinds, mention.plural = spoken_head, head.kinds, head.plural or mention.plural
        mention.noun_plural = head.plural
        mention.misheard = next((noun.misheard for noun in nouns if noun.misheard), "")
    elif mention.unknown:
        mention.head = loose_words[-1]
        mods.extend(loose_words[:-1])
        mention.kinds = ("part",)
        mention.plural = mention.head.endswith("s") and not mention.head.endswith("ss")
        mention.head = mention.head[:-1] if mention.plural else mention.head
    elif not mention.ones and mention.all_but is None:
        mention.ones, mention.plural = True, True
    elif mention.all_but is not None and not mention.ones:
        mention.pronoun, mention.plural = True, True
    if mention.head == "clip" and {"hose", "pipe", "duct", "trunking"} & {part for mod in mods for part in mod.split()}:
        mention.kinds = ("fastener", "part")
    if mention.head in ("key", "hex", "allen", "bit") and sizes:
        mention.kinds = ("tool",)  # "a fourteen millimetre key"
    if "tool" in mention.kinds and any(size.dimension == "length" for size in sizes):
        mention.kinds = ("tool",)  # "24 mil socket" is nothing that is unplugged
    if mention.head in ("plug", "cap") and _MATERIALS & set(mods) and "cover" in mention.kinds:
        mention.kinds = ("cover",)
    mention.places, mention.mods = frozenset(places), tuple(dict.fromkeys(mods))
    mention.sizes = tuple(sizes)
    mention.end = at
    mention.words = " ".join(item.low for item in items[here:at])
    return mention


_MATERIALS = frozenset(
    {
        "wooden",
        "wood",
        "plastic",
        "rubber",
        "clean",
        "cork",
        "foam",
        "steel",
        "blanking",
        "red",
        "blue",
        "yellow",
        "brass",
        "dust",
    }
)
"""What plugs are made of that keep dirt out."""


def _all_but(items: list[Item], here: int, mention: Mention) -> int:
    """ "all but one (of)", "all except the top one", "every one but"."""
    if low_at(items, here) not in ("all", "all of", "everything", "all the") and low_at(items, here) != "every":
        return here
    at = here + 1
    while at < len(items) and (items[at].kind in ("noun", "det") or _whole(items[at]) is not None):
        at += 1
    if low_at(items, at) not in ("but", "except", "bar"):
        return here
    between = items[here + 1 : at]
    at += 1
    if low_at(items, at) == "for":
        at += 1
    start = at
    if kind_at(items, at) == "det":
        at += 1
    count = 1
    figure = items[at].figure if at < len(items) else None
    if figure is not None and figure.whole is not None:
        count, at = figure.whole, at + 1
    places: list[str] = []
    while kind_at(items, at) == "place":
        places.append(items[at].value or items[at].low)
        at += 1
    behind = items[at].figure if places and at < len(items) else None
    if behind is not None and behind.whole is not None:
        count, at = behind.whole, at + 1  # "all but the top two"
    if low_at(items, at) in ("one", "ones"):
        at += 1
    elif at == start:
        return here
    mention.all_but = count
    if between:  # "all four bolts but one": read the thing that stands inside
        inner = name_at(items, here + 1) if between[0].kind != "det" or len(between) > 1 else None
        if inner is not None:
            mention.det, mention.count, mention.head, mention.kinds = "all", inner.count, inner.head, inner.kinds
    if low_at(items, at) == "of":
        at += 1
    return at


def _whole(item: Item) -> int | None:
    return item.figure.whole if item.figure is not None else None
