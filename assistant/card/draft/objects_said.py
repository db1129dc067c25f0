"""What is said of the objects of a deed before it is known which things they are."""

from __future__ import annotations

from .clause import Clause
from .mention import Mention
from .telling import Told
from .thing import Thing


def of_what_it_leaves(told: Told, clause: Clause, mention: Mention) -> None:
    """ "Take the nut off the cotter": the cotter's, where the nut known so far is out already."""
    if mention.kinds[:1] != ("fastener",) or not mention.bare or mention.det != "the" or clause.meaning != "open":
        return
    left = [one for link, one in clause.beside if link in ("off", "from", "out of") and one.kinds[:1] == ("part",)]
    known = told.things.known(mention, "fastener", False).things
    if left and left[0].head and not left[0].unknown and known and all(one.is_off for one in known):
        mention.mods, mention.places = (*left[0].mods, left[0].head), left[0].places


def known_apart(told: Told, thing: Thing, ones: Mention) -> bool:
    """ "Start the lid bolts, the short ones and the long ones": sets of their own, told before."""
    alike = [one for one in told.things.by_head.get(thing.head, []) if one is not thing and one.kind == thing.kind]
    return bool(ones.places) and any(ones.places <= one.words for one in alike)


def so_many(clause: Clause) -> None:
    """ "A plastic cap on each of the hoses, so two caps": how many there are of what was named first."""
    for told in [one for one in clause.objects[1:] if one.count and one.head and not (one.mods or one.places)]:
        for _, one in clause.beside:
            if one.head == told.head and one.count is None and one.plural and one.start < told.start:
                one.count, clause.objects = told.count, [this for this in clause.objects if this is not told]
    if len(clause.objects) != 2 or "so" not in clause.lows:
        return
    first, told = clause.objects
    if told.count and first.count is None and told.head == first.head and not (told.mods or told.places):
        first.count, first.plural, first.noun_plural, first.per = told.count, told.plural, told.noun_plural, False
        clause.objects = [first]


_OPENINGS = frozenset({"port", "opening", "hole", "hose", "pipe", "line", "end"})


def keeps_dirt_out(clause: Clause, mention: Mention) -> None:
    """ "Plugs in the ports", "caps on the hoses": no plug that is connected."""
    if (
        mention.head not in ("plug", "cap", "bung")
        or not mention.plural
        or mention.mods
        or "cover" not in mention.kinds
    ):
        return
    over = [one for link, one in (*mention.attached, *clause.beside) if link in ("in", "on", "into", "onto", "out of")]
    if any(one.head in _OPENINGS for one in over):
        mention.kinds = ("cover",)
        mention.attached = []
