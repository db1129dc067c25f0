"""A clause that does nothing says what there is: counts, sizes, what holds what, torques, what is needed."""

from __future__ import annotations

import re

from .acting import BODY, act
from .clause import Clause
from .going_along import along
from .holding import made_of
from .implied import bare_value, implied, last_ones, limit_named, tightened_lately
from .lexicon import lexicon
from .likeness import is_screwed_in
from .mention import Mention
from .owners import ROUND_TOLD
from .piece import Piece
from .smeared import gets_put_on, goes_on, said_behind
from .story import Deed
from .telling import (
    Told,
    add_step,
    bare_count,
    is_told,
    keep_state,
    latest_step,
    mention_known,
    resolve,
    tool_named,
)
from .thing import Said, Thing
from .values import tells_which


def needs(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> None:
    """ "You need a 16 mm socket", "the bolts want 65 newton metres", "you want a new one"."""
    clause = piece.clause
    wet = (
        clause.objects[:1]
        and clause.objects[0].kinds[:1] == ("consumable",)
        and clause.subject
        and not clause.by_person
    )
    if _puts_support(clause) or wet:
        state(told, piece, said, when)
        return
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
        if mention.kinds[:1] == ("support",) and mention.count and mention.plural and clause.verb == "use":
            resolve(told, mention, ("support",), said)  # "we use four chocks"
        if mention.count and mention.plural and mention.head and not (mention.new or mention.rest or mention.unknown):
            known = told.things.of_any_kind(mention)
            for thing in known.things if len(known.things) == 1 and not known.doubt else []:
                if thing.plural and thing.count is None and thing.kind in ("cover", "support", "connection", "part"):
                    thing.count, thing.count_said = mention.count, said  # "caps on everything. You'll want six caps"
        if mention.kinds[:1] == ("part",) and not mention.unknown:
            _part_wanted(told, piece, mention, said, when)
    for link, mention in clause.beside:
        if link == "of" and mention.kinds[:1] == ("part",) and mention.head and not mention.unknown:
            resolve(told, mention, ("part",), said)  # "I want the weight of this auger held"
    told.values.of_statement(clause, said, latest_step(told), told.back)


def _part_wanted(told: Told, piece: Piece, mention: Mention, said: Said, when: dict[str, str]) -> None:
    clause = piece.clause
    for_something = any(link == "for" for link, _ in clause.beside)
    if mention.new and mention.head and told.back and clause.verb in ("want", "need") and for_something:
        found = resolve(told, mention, ("part",), said)[0]  # "for the feed pipe you want two new washers"
        told.values.of_mention(found, mention, said)
        deeds = [Deed("fit", thing, implied=True) for thing in found]
        for deed in deeds:
            keep_state(told, deed)
        add_step(told, piece, said, deeds, when)
    of_a_part = bool(clause.subject[:1]) and clause.subject[0].kinds[:1] == ("part",) and not clause.by_person
    if (mention.count or 0) > 1 and of_a_part:
        for thing in resolve(told, mention, ("part",), said)[0]:
            thing.new = True  # "the new valve wants two o-rings, and they go in oiled"


def leave(told: Told, piece: Piece, said: Said) -> None:
    """ "... but leave the top one in": all but one of the set just taken out."""
    clause = piece.clause
    if clause.treatments:
        told.values.of_statement(clause, said, latest_step(told), told.back)
    if clause.particle == "out" or (clause.by_person and clause.past and "out" in clause.lows):
        return  # "I left one out, and it matters"
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
            if not thing.plural:
                break  # "leave it on the thread"
            if deed.thing is thing and deed.verb in ("take_out", "loosen") and deed.all_but is None and not deed.count:
                deed.all_but = mention.count or mention.some or (1 if not mention.plural else None)
                thing.part_out = True
                told.values.bound += 1
    if not clause.objects and told.steps and any(free.figure.whole for free in clause.figures):
        last = told.steps[-1].deeds[-1]
        left = clause.figures[0].figure.whole
        thing = told.things.latest(("fastener",), plural=True, within=4)
        if last.verb == "take_out":
            last.all_but = None if last.count else left
        elif thing is not None and not told.back and not is_told(told, Deed("take_out", thing)):
            step = add_step(told, piece, said, [Deed("take_out", thing, all_but=left)], dict(told.when))
            step.doubt("which stay on was said, and not that the others come out")
            thing.part_out = True


def state(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> None:
    """A clause that does nothing: "they're M10", "there is a washer behind it", "new gasket, dry"."""
    clause = piece.clause
    if told.things.clause <= 1 and clause.verb == "change" and clause.lows[-2:-1] == ("change",):
        return  # "disc cutter change": what the talk is called
    things: list[Thing] = []
    fits = (
        clause.verb in ("fit", "suit", "do", "take") and clause.subject[:1] and clause.subject[0].kinds[:1] == ("tool",)
    )
    if fits and clause.subject[0].sizes:
        clause.objects = [*clause.subject, *clause.objects]  # "a seventeen mil spanner fits them"
    made_of(told, clause, said)
    if clause.verb in ("make", "put", "leave") and any(mention.kinds[:1] == ("mark",) for mention in clause.objects):
        clause.meaning = "mark"
        if act(told, piece, said, when):
            return
    if _puts_support(clause):
        clause.meaning = "support"  # "I've got a strap round it"
        clause.objects = [mention for mention in clause.objects if mention.kinds[:1] == ("support",)]
        if act(told, piece, said, when):
            return
    if gets_put_on(clause):
        clause.meaning = "apply"  # "the seal gets grease on the lip"
        clause.beside.insert(0, ("on", clause.subject[0]))
        if act(told, piece, said, when):
            return
    if goes_on(clause):
        clause.meaning = "apply"  # "plenty of grease on the pins"
        if act(told, piece, said, when):
            return
    holders = [
        mention
        for link, mention in clause.beside
        if mention.kinds[:1] == ("fastener",) and link in ("on", "by", "with", "in")
    ]
    turned = (("fastener",), ("connection",)) if clause.verb in ("take", "want", "need") else (("fastener",),)
    bolts = [one for one in clause.subject if one.kinds[:1] in turned and one not in clause.objects]
    tools_only = all(one.kinds[:1] in (("tool",), ("consumable",)) for one in clause.objects)
    if clause.verb in ("get", "take", "want", "need") and any(
        one.figure.dimension == "torque" for one in clause.figures
    ):
        tools_only, bolts = (
            True,
            [*bolts, *(one for one in clause.subject if is_screwed_in(one.head) and one not in bolts)],
        )
    if clause.verb == "weigh" and clause.subject[:1] and clause.subject[0].kinds[:1] == ("part",) and not clause.sub:
        clause.subject[0].det = clause.subject[0].det or "the"
        resolve(told, clause.subject[0], ("part",), said)  # "that door weighs a hundred and ninety kilos"
    for mention in [*(clause.objects or clause.subject), *(bolts if clause.objects and tools_only else []), *holders]:
        if mention.pronoun and mention.det.startswith("all") and mention.count:
            resolve(told, mention, ("fastener",), said)
        like = told.values.like_those_before(mention, clause)
        which = tells_which(mention, clause)
        bolted = told.things.latest(("fastener",), within=3) is not None and told.values.one_of_bolts(mention)
        if mention.ones and mention.places and not which and bolted:
            resolve(told, mention, like, said)
        if mention.pronoun or mention.ones:
            continue
        if mention.unknown or not mention.head or mention.kinds[:1] in (("tool",), ("consumable",)):
            continue
        if mention.head in BODY and mention.det == "your":
            continue
        if mention.head in ("head", "thread") and (mention.sizes or "fine" in mention.words):
            continue  # "thirteen mil heads", "fine thread"
        last = told.made[-1].deeds[-1] if told.made and told.made[-1].deeds else None
        ahead = clause.objects[0] if clause.objects and not clause.verb else None
        if (
            bare_count(mention, one=True)
            and ahead is not None
            and ahead is not mention
            and ahead.kinds[:1] == ("part",)
            and not ahead.unknown
        ):
            mention.mods = (*ahead.mods, ahead.head)  # "tensioner, one bolt through the middle"
            mention.places = ahead.places
        elif bare_count(mention) and last is not None and last.thing is not None and last.verb in ("remove", "fit"):
            mention.mods = (*last.thing.mods, last.thing.head)  # "guard off, four screws"
            mention.places = frozenset(last.thing.places)
        elif not any(one.pronoun and one.start < mention.start for one in (*clause.subject, *clause.objects)):
            told.things.call_after_topic(mention, told.back)
        _like_its_sibling(told, mention)
        again = True if told.back and mention.kinds[:1] == ("fastener",) else None
        found, doubt = resolve(told, mention, (), said, again)
        things.extend(found)
        told.values.of_mention(found, mention, said)
        each = clause.verb == "have" and any(one.words.startswith("each") for one in clause.subject)
        for thing in found if each and not mention.count else []:
            if thing.kind == "fastener" and thing.torque is None and not thing.plural:
                thing.plural, thing.count = True, None  # "each one has a nut"
        if mention.new and mention.kinds[:1] == ("fastener",):
            told.values.bound += 1
        for thing in found:
            part = told.things.latest(("part",), within=3)
            if thing.kind == "fastener" and not thing.joins and part is not None and part not in thing.near:
                thing.near.append(part)
            if doubt:
                thing.doubted = True
        named = bool({"first", "last", "next"} & set(clause.lows[-2:])) and clause.objects[-1:] == [mention]
        if found and (named or _headline(clause, mention)):
            told.things.turn_to(found[0], named)
    for link, mention in clause.beside:
        if link in ("under", "underneath", "on", "round") and {"hand", "hands", "arm", "arms"} & set(clause.lows):
            held = mention.kinds[:1] == ("part",) and mention.det == "the" and not mention.unknown
            for thing in told.things.known(mention, "part", None).things[:1] if held else ():
                told.things.speak_of(thing)  # "have your other hand under the alternator, because it's nine kilos"
        if link in ("to", "for") and not (clause.verb or clause.objects or clause.figures) and mention.head:
            if mention.kinds[:1] == ("fastener",) and mention.det in ("the", "those", "these"):
                resolve(told, mention, ("fastener",), said)  # "so now we're to those four pump bolts. Take them out"
            back_to = mention.kinds[:1] == ("part",) and mention.det == "the" and not mention.unknown
            found = resolve(told, mention, ("part",), said)[0] if back_to else []
            for thing in found[:1]:
                told.things.speak_of(thing)
                told.things.turn_to(thing)  # "then back to the shaft"
    if said_behind(told, clause, said):
        return
    deeds = implied(told, clause, things, said) or last_ones(told, clause, things)
    step = None
    if deeds:
        step = add_step(told, piece, said, deeds, when)
    tightened = told.values.of_statement(clause, said, step or latest_step(told), told.back)
    if tightened is not None and not deeds:
        deed = Deed("connect" if tightened.kind == "connection" else "tighten", tightened, implied=True)
        round_told = ROUND_TOLD.search(" ".join(clause.lows)) or "again" in clause.lows
        again = deed.verb == "tighten" and bool(round_told and tightened.passes)
        if again or not (is_told(told, deed) if deed.verb == "connect" else tightened_lately(told, tightened)):
            step = add_step(told, piece, said, [deed], when)
            step.doubt("a value was said, no deed: taken as tightening to it")
            tightened.is_off = False
            told.values.order_from(clause, tightened)
    elif step is None and limit_named(told, clause, things):
        step = add_step(told, piece, said, [Deed("measure", things[0], implied=True)], when)
        step.doubt("a limit was said, no deed: taken as measuring it")
    elif step is None and told.back and len(things) == 1 and bare_value(clause, things[0]):
        step = add_step(told, piece, said, [Deed("tighten", things[0], implied=True)], when)
        step.doubt(f'a number with no unit was said: "{clause.words}"')
    if step is not None:
        along(told, clause, step, said, when)


def _like_its_sibling(told: Told, mention: Mention) -> None:
    """ "The bracket's got two upper bolts, and the lower bolt is fifty long": the lower one is the bracket's too."""
    if mention.kinds[:1] != ("fastener",) or mention.mods or not mention.places or mention.attached:
        return
    for thing in told.things.focus[:4]:
        same = thing.kind == "fastener" and thing.head == mention.head and thing.at_clause >= told.values.since
        if same and thing.mods and lexicon().opposed(thing.words, mention.places):
            known = told.things.known(mention, "fastener", None).things
            mention.mods = () if known else tuple(thing.mods)
            return


def _headline(clause: Clause, mention: Mention) -> bool:
    """ "Rear flange.", "Now the bracket.", "Spray pipe, one union": what is talked of from here on."""
    led = clause.objects[:1] and clause.objects[0] is mention and not (clause.verb or clause.sub or clause.negated)
    if led and clause.lows[:1] and clause.lows[0] in _LIES and clause.lows[1:3] in (("that", "is"), ("it", "is")):
        return True  # "behind that is the gland plate"
    return bool(led) and not {"is", "are", "'s", "there", "of"} & set(clause.lows) - set(mention.words.split())


_LIES = frozenset({"behind", "under", "underneath", "beneath", "below", "inside", "above"})
_HOLDING_PLACES = frozenset({"round", "around", "under", "on", "underneath", "beneath", "below"})


def _puts_support(clause: Clause) -> bool:
    """ "I've got a strap round it", "set the stands", "you want the jack under the axle"."""
    if not any(mention.kinds[:1] == ("support",) for mention in clause.objects):
        return False
    placed = any(link in _HOLDING_PLACES for link, _ in clause.beside)
    return (clause.verb in ("get", "have", "want", "need", "use") and placed) or (
        clause.verb in ("set", "put", "place", "position") and not clause.past
    )
