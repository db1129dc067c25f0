"""What is held by what: "two bolts hold the bracket", "the cover has eight bolts"."""

from __future__ import annotations

from .clause import Clause
from .mention import Mention
from .telling import Told, resolve
from .thing import Said, Thing


def holds(told: Told, clause: Clause, said: Said) -> None:
    """ "Two bolts hold the bracket", "it is held by three nuts"."""
    by = any(link in ("by", "with") and one.kinds[:1] == ("fastener",) for link, one in clause.beside)
    if clause.passive or (clause.past and by and not clause.subject and not clause.objects):
        held, holders = (
            clause.subject or clause.objects,
            [mention for link, mention in clause.beside if link in ("by", "with", "on", "in", "")],
        )
        if clause.subject:  # "on the lower bolts, three of those, and the upper bolts"
            holders += [one for one in clause.objects if not any(one is known for known in clause.subject)]
    else:
        holders, held = clause.subject, clause.objects
    parts: list[Thing] = []
    if not held and clause.past and not clause.by_person:
        latest = told.things.latest(("part",), within=2)
        parts = [latest] if latest is not None else []
    for mention in held:
        if mention.pronoun:
            part = told.things.latest(("part",), within=4)
            parts.extend([part] if part else [])
        else:
            parts.extend(resolve(told, mention, ("part", "connection"), said)[0])
    for mention in holders:
        if mention.kinds[:1] != ("fastener",):
            continue
        for part in _held_by(told, clause, mention, said) or parts[:1]:
            if mention.each or any(one.each for one in held):
                mention.per = True
            if not mention.mods and not mention.attached:
                mention.mods = (*part.mods, part.head) if part.kind == "part" else (part.head,)
                mention.places = mention.places | frozenset(part.places)
        things, _ = resolve(told, mention, ("fastener",), said)
        for part in parts[:1] if things else ():
            told.things.turn_to(part)  # what is said next of bolts is of these
        for thing in things:
            thing.joins.extend(part for part in parts if part.kind == "part" and part not in thing.joins)
        told.values.of_mention(things, mention, said)
    told.values.of_statement(clause, said, None, told.back)


def _held_by(told: Told, clause: Clause, bolts: Mention, said: Said) -> list[Thing]:
    """ "The pin is held by a keeper plate with two bolts": they are the plate's."""
    between = [
        one
        for link, one in clause.beside
        if link == "by" and one.kinds[:1] == ("part",) and one.head and one.start < bolts.start
    ]
    with_it = any(link in ("with", "on") and one is bolts for link, one in clause.beside)
    return resolve(told, between[-1], ("part",), said)[0] if between and with_it else []


def made_of(told: Told, clause: Clause, said: Said) -> None:
    """ "The bracket is two big bolts", "the cover has eight bolts": they are the bracket's, the cover's."""
    named = clause.mentions
    parts = [mention for mention in named[:1] if mention.kinds[:1] in (("part",), ("connection",)) or mention.pronoun]
    held_on = [
        mention for link, mention in clause.beside if link in ("on", "by", "with") and mention.det in ("a", "an", "")
    ]
    sets = [
        mention for mention in named[1:] if mention.kinds[:1] == ("fastener",) and (mention.count or mention in held_on)
    ]
    if parts and parts[0].pronoun and clause.lows[:1] in (("then",), ("now",), ("next",), ("and",), ("so",)):
        return  # "then it is four screws": "it" is nothing
    for link, mention in clause.beside:
        placed = [
            one
            for place, one in clause.beside
            if place in ("over", "under", "behind", "between", "round", "inside", "on", "of", "at")
        ]
        before = [one for one in named if one.kinds[:1] == ("part",) and one.start < mention.start]
        before = [one for one in before if one not in placed] or before
        before.sort(key=lambda one: one.start)
        if link == "with" and mention.kinds[:1] == ("fastener",) and mention.count and before and not mention.mods:
            seats = [one for place, one in clause.beside if place in ("on", "to", "in") and one is before[-1]]
            if seats and clause.subject and not clause.verb:
                sets.append(mention)  # "the bracket is on the frame with six bolts": the bracket's
                continue
            mention.mods = (*before[-1].mods, before[-1].head)  # "a flange with four bolts"
            return
    joined = {"is", "has", "have", "'s", "got"} & set(clause.lows)
    if not parts or not sets or not joined or clause.verb not in ("", "have", "get"):
        return
    if parts[0].pronoun:
        part = told.things.latest(("part",), within=3)
    else:
        part = next(iter(resolve(told, parts[0], parts[0].kinds[:1], said)[0]), None)
    if part is None:
        return
    for mention in sets:
        ahead = clause.objects[clause.objects.index(mention) - 1] if mention in clause.objects[1:] else None
        seated = any(link in ("on", "with") and one is mention for link, one in clause.beside)
        if ahead is None and seated and clause.verb == "have" and clause.objects[-1:]:
            ahead = clause.objects[-1]  # "the base end has a keeper plate on two bolts": the plate's
        if ahead is not None and ahead.kinds[:1] == ("part",) and ahead.head and not mention.mods:
            mention.mods, mention.places = (*ahead.mods, ahead.head), ahead.places
            continue  # "the pin's got a retainer plate on the end, two bolts": the plate's
        if part.head not in mention.mods and not mention.attached:
            mention.mods = (*mention.mods, *part.mods, part.head)
            mention.places = mention.places | frozenset(part.places)
