"""A clause that does nothing says what there is: counts, sizes, what holds what, torques, what is needed."""

from __future__ import annotations

import re

from .acting import act, along
from .amend import Piece
from .clauses import Clause
from .story import Deed
from .telling import Told, add_step, fitted, keep_state, latest_step, mention_known, resolve, tool_named
from .things import Said, Thing


def holds(told: Told, clause: Clause, said: Said) -> None:
    """ "Two bolts hold the bracket", "it is held by three nuts"."""
    if clause.passive:
        held, holders = (
            clause.subject or clause.objects,
            [mention for link, mention in clause.beside if link in ("by", "with", "on", "in", "")],
        )
    else:
        holders, held = clause.subject, clause.objects
    parts: list[Thing] = []
    for mention in held:
        if mention.pronoun:
            part = told.things.latest(("part",), within=4)
            parts.extend([part] if part else [])
        else:
            parts.extend(resolve(told, mention, ("part", "connection"), said)[0])
    for mention in holders:
        if mention.kinds[:1] != ("fastener",):
            continue
        for part in parts[:1]:
            if not mention.mods and not mention.attached:
                mention.mods = (*part.mods, part.head) if part.kind == "part" else (part.head,)
                mention.places = mention.places | frozenset(part.places)
        things, _ = resolve(told, mention, ("fastener",), said)
        for thing in things:
            thing.joins.extend(part for part in parts if part.kind == "part" and part not in thing.joins)
        told.values.of_mention(things, mention, said)
    told.values.of_statement(clause, said, None, told.back)


def needs(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> None:
    """ "You need a 16 mm socket", "the bolts want 65 newton metres", "you want a new one"."""
    clause = piece.clause
    for mention in clause.objects:
        if mention.kinds[:1] == ("tool",):
            tool = tool_named(told, mention, said)
            if told.steps and clause.verb == "use":
                told.steps[-1].tools.append(tool)
        elif mention.new and (mention.ones or mention.kinds[:1] == ("fastener",)):
            target = told.things.latest(("fastener", "part"), within=4)
            if mention.head:
                target = next(iter(told.things.known(mention, mention.kinds[0], None).things), None)
            if target is not None and target.kind == "fastener":
                target.reuse_new = True
                told.values.bound += 1
    told.values.of_statement(clause, said, latest_step(told), told.back)


def leave(told: Told, clause: Clause, said: Said) -> None:
    """ "... but leave the top one in": all but one of the set just taken out."""
    if re.search(r"\b(?:till|until|for|to) last\b", said.words.lower()) and told.steps:
        told.steps[-1].how.append(clause.words)  # "leave the top bolt till last"
        told.values.bound += 1
        mention_known(told, clause, said)
        return
    for mention in clause.objects:
        thing = told.things.latest(("fastener",), within=4)
        if (
            thing is None
            or not told.steps
            or not (mention.ones or mention.pronoun or mention.head == thing.head or mention.words == "one")
        ):
            continue
        for deed in told.steps[-1].deeds:
            if deed.thing is thing and deed.verb in ("take_out", "loosen") and deed.all_but is None:
                deed.all_but = mention.count or (1 if not mention.plural else None)
                thing.part_out = True
                told.values.bound += 1
    if not clause.objects and told.steps and any(free.figure.whole for free in clause.figures):
        last = told.steps[-1].deeds[-1]
        if last.verb == "take_out":
            last.all_but = clause.figures[0].figure.whole


def state(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> None:
    """A clause that does nothing: "they're M10", "there is a washer behind it", "new gasket, dry"."""
    clause = piece.clause
    things: list[Thing] = []
    made_of(told, clause, said)
    if clause.verb in ("make", "put", "leave") and any(mention.kinds[:1] == ("mark",) for mention in clause.objects):
        clause.meaning = "mark"
        if act(told, piece, said, when):
            return
    if (
        clause.verb in ("get", "have")
        and any(mention.kinds[:1] == ("support",) for mention in clause.objects)
        and any(link in ("round", "around", "under", "on", "underneath") for link, _ in clause.beside)
    ):
        clause.meaning = "support"  # "I've got a strap round it"
        clause.objects = [mention for mention in clause.objects if mention.kinds[:1] == ("support",)]
        if act(told, piece, said, when):
            return
    holders = [
        mention
        for link, mention in clause.beside
        if mention.kinds[:1] == ("fastener",) and link in ("on", "by", "with", "in")
    ]
    for mention in [*(clause.objects or clause.subject), *holders]:
        if mention.ones and mention.places and told.things.latest(("fastener",), within=3):
            resolve(told, mention, ("fastener",), said)
        if mention.pronoun or mention.ones:
            continue
        if mention.unknown or not mention.head or mention.kinds[:1] in (("tool",), ("consumable",)):
            continue
        if mention.head in ("head", "thread") and (mention.sizes or "fine" in mention.words):
            continue  # "thirteen mil heads", "fine thread"
        again = True if told.back and mention.kinds[:1] == ("fastener",) else None
        found, doubt = resolve(told, mention, (), said, again)
        things.extend(found)
        told.values.of_mention(found, mention, said)
        if mention.new and mention.kinds[:1] == ("fastener",):
            told.values.bound += 1
        for thing in found:
            part = told.things.latest(("part",), within=3)
            if thing.kind == "fastener" and not thing.joins and part is not None and part not in thing.near:
                thing.near.append(part)
            if doubt:
                thing.doubted = True
    deeds = implied(told, clause, things, said)
    step = None
    if deeds:
        step = add_step(told, piece, said, deeds, when)
    tightened = told.values.of_statement(clause, said, step or latest_step(told), told.back)
    if tightened is not None and not deeds:
        deed = Deed("tighten", tightened, implied=True)
        if not tightened_lately(told, tightened):
            step = add_step(told, piece, said, [deed], when)
            step.doubt("a value was said, no deed: taken as tightening to it")
            told.values.order_from(clause, tightened)
    if step is not None:
        along(told, clause, step, said, when)


def tightened_lately(told: Told, thing: Thing) -> bool:
    return any(deed.thing is thing and deed.verb == "tighten" for step in told.steps[-30:] for deed in step.deeds)


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
        if part.head not in mention.mods and not mention.attached:
            mention.mods = (*mention.mods, *part.mods, part.head)
            mention.places = mention.places | frozenset(part.places)


def implied(told: Told, clause: Clause, things: list[Thing], said: Said) -> list[Deed]:
    """ "All four bolts finger tight", "new gasket", "nine litres of oil", said while going back together."""
    deeds: list[Deed] = []
    plain = not clause.verb and "is" not in clause.lows and "are" not in clause.lows and "there" not in clause.lows
    if "finger" in clause.manners and plain:
        deeds = [Deed("snug", thing) for thing in things if thing.kind == "fastener"]
    elif {"few", "hand"} & set(clause.manners) and plain:
        deeds = [Deed("start", thing) for thing in things if thing.kind == "fastener"]
    elif plain and not clause.figures and (told.back or takes_a_place(told, things)):
        for thing in things:
            if (
                thing.kind == "part"
                and (thing.new or thing.is_off)
                and not fitted(told, thing)
                and clause.objects
                and not clause.beside
            ):
                deeds.append(Deed("fit", thing, implied=True))
            elif thing.kind == "fluid" and thing.quantity is not None:
                deeds.append(Deed("fill", thing, implied=True))
    for deed in deeds:
        keep_state(told, deed)
    return deeds


def takes_a_place(told: Told, things: list[Thing]) -> bool:
    """ "New tensioner.", once the old one is off."""
    return bool(things) and all(
        thing.new
        and thing.kind == "part"
        and any(other.is_off or other.old for other in told.things.by_head.get(thing.head, []))
        for thing in things
    )
