"""Counts and spanner sizes said again: "three bolts. Two bolts, sorry, two"."""

from __future__ import annotations

from dataclasses import replace

from .clause import Clause
from .lexicon import lexicon
from .piece import Piece


def only_one(first: Clause) -> bool:
    told = first.lows[:2] in (("there", "is"), ("it", "is")) and bool({"only", "just"} & set(first.lows))
    ones = [one for one in first.objects if one.ones and not one.head]
    return told and not first.figures and len(ones) == 1 and not ones[0].plural and not (ones[0].places or ones[0].mods)


def said_alone(old: Clause, first: Clause) -> bool:
    """A number with nothing besides, and the same number in what puts it right."""
    if not (old.figures and first.figures) or old.objects or old.verb or len(old.figures) != 1:
        return False
    return not old.figures[0].figure.unit and old.figures[0].figure.value == first.figures[0].figure.value


def size_twice(clause: Clause) -> None:
    """ "Nineteen, the nineteen socket": the bare number is the size said again, and no count."""
    sizes = {size.value for one in clause.mentions if one.kinds[:1] == ("tool",) for size in one.sizes}
    if sizes:
        clause.figures = [free for free in clause.figures if free.figure.unit or free.figure.value not in sizes]


def another_spanner(old: Clause, first: Clause) -> bool:
    """ "That's a thirty-two spanner. No, it's a thirty-six", "seventeen socket. Sorry, the nineteen socket"."""
    was = [one for one in old.mentions if one.kinds[:1] == ("tool",) and one.sizes]
    now = [one for one in first.objects if not one.pronoun]
    if len(was) != 1 or len(now) != 1 or first.verb or first.figures or first.beside:
        return False
    if now[0].kinds[:1] != ("tool",) or not now[0].sizes:
        return False
    was[0].sizes = now[0].sizes
    return True


def another_thing(old: Clause, first: Clause) -> bool:
    """ "Run two chains, no, sorry, two straps, from the house to the frame": what was counted has another name."""
    now = first.objects[0] if first.objects else None
    was = old.objects[-1] if old.objects else None
    if first.verb or now is None or was is None or not (now.count and was.count and now.head and was.head):
        return False
    if now.head == was.head or not set(now.kinds) & set(was.kinds) or "fastener" in now.kinds:
        return False
    old.objects[-1] = now
    old.beside.extend(one for one in first.beside if not any(one[1] is known for known in old.mentions))
    return True


def recounted(old: Clause, first: Clause) -> bool:
    """ "Put it on four stands. No, two stands, under the rails": the same things in another number."""
    if first.verb:
        return False
    changed = False
    for now in first.mentions:
        if not (now.count and now.head):
            continue
        for was in old.mentions:
            same = was.head == now.head and not lexicon().opposed(was.places, now.places)
            same = same or (was.ones and not was.head and bool(now.places) and was.places == now.places)
            if same and was.count and was.count != now.count:
                was.count, changed = now.count, True
                break
    if changed:
        placed = [one for one in first.beside if one[1].kinds[:1] != ("fastener",)]
        old.beside.extend(one for one in placed if not any(one[1] is known for known in old.mentions))
    return changed


def says_which_count(first: Clause, old: Clause) -> bool:
    """ "Six, four's the small one" behind "four": a bare number, and besides it none but the one that was wrong."""
    if not first.figures or first.verb or any(one.count or one.sizes for one in first.mentions):
        return False
    meant, *others = [free.figure for free in first.figures]
    wrong = {free.figure.value for free in old.figures}
    opens = first.lows[: len(meant.said.split())] == tuple(meant.said.lower().split())
    return meant.whole is not None and opens and all(one.value in wrong for one in others)


def count_put_right(target: Piece, first: Clause, fresh: list[Piece]) -> list[Piece]:
    """ "Four. No, six, four's the small one": the count is read as if it had been said at once."""
    was, meant = target.clause.figures[-1], first.figures[0].figure
    old, new = tuple(was.figure.said.lower().split()), tuple(meant.said.lower().split())
    lows = target.clause.lows
    at = next((at for at in range(len(lows)) if lows[at : at + len(old)] == old), None)
    target.mended = target.mended or target.clause.words
    target.clause.figures = [replace(was, figure=meant)]
    if at is not None:
        target.clause.lows = (*lows[:at], *new, *lows[at + len(old) :])
    return fresh[1:]


def ends_in_a_size(clause: Clause) -> bool:
    """ "Take the bolts out, with the thirteen mil": what was said last is a width across flats."""
    last = clause.figures[-1] if clause.figures else None
    if last is None or last.figure.dimension != "length" or last.figure.thread or not clause.verb:
        return False
    said = tuple(last.figure.said.lower().split())
    lows = tuple(low for low in clause.lows if low[:1].isalnum())
    return lows[-len(said) :] == said and {"with", "using"} & set(lows[-len(said) - 3 : -len(said)]) != set()


def counted_instead(old: Clause, first: Clause) -> bool:
    """ "The slave's got three, sorry, two bolts, M8", "there's six, no, four lower ones, seventeen socket"."""
    bare = [free for free in old.figures if free.figure.whole is not None]
    now = first.objects[0] if first.objects else None
    tells = old.verb in ("have", "get") or "there" in old.lows
    if len(bare) != 1 or len(old.figures) != 1 or now is None or not now.count or first.verb or not tells:
        return False
    if any(one.count for one in old.objects) or not (now.ones or now.kinds[:1] == ("fastener",)):
        return False
    old.objects, old.figures = list(first.objects), list(first.figures)
    old.beside.extend(first.beside)
    return True


def counted_again(old: Clause, first: Clause) -> bool:
    """ "Five bolts, no, six bolts hold the cover": the whole is said anew."""
    return (
        not old.verb
        and bool(first.verb or first.meaning)
        and any(
            one.count and other.count and one.head == other.head and one.count != other.count
            for one in old.objects
            for other in first.mentions
        )
    )


def only_a_number(clause: Clause) -> bool:
    return (
        bool(clause.figures)
        and not clause.objects
        and not clause.verb
        and all(free.figure.whole is not None for free in clause.figures)
    )
