"""Deeds whose card object is the means: the cap, not the hose; the strap, not the shaft; the grease, not the seal."""

from __future__ import annotations

from collections.abc import Iterable

from .clause import Clause
from .lexicon import lexicon
from .mention import Mention
from .owners import NO_WEIGHT
from .story import Deed
from .telling import Told, keep_state, resolve, thing_named, where
from .thing import Said, Thing


def by_means(told: Told, meaning: str, clause: Clause, said: Said, doubts: list[str]) -> list[Deed]:
    """Deeds whose card object is the means: the cap, not the hose; the strap, not the shaft."""
    verbs = lexicon().meanings[meaning]
    own = {
        "cover": "cover",
        "support": "support",
        "mark": "mark",
        "apply": "consumable",
        "lubricate": "consumable",
        "fill": "fluid",
        "line-up": "mark",
        "measure": "measure",
    }[meaning]
    for mention in clause.objects:
        if own == "measure" and mention.kinds[:1] == ("part",):
            mention.count = None  # "measure across ten links" tells where, not how many there are
        if own == "measure" and mention.head == "inside" and clause.verb == "measure":
            mention.head = "bore"  # "measure the inside of the bush"
        feature = mention.head in _FEATURES and mention.kinds[:1] == ("part",)
        feature = feature or (mention.kinds[:1] == ("part",) and mention.head not in lexicon().nouns)
        feature = feature or (own == "measure" and _whole_is_measured(clause, mention))
        if own == "measure" and (mention.unknown or feature) and clause.verb == "measure":
            spot = [one for link, one in clause.beside if link == "at" and one.det == "the" and one.head and feature]
            if spot and spot[0].kinds[:1] == ("part",) and not spot[0].mods:
                mention.mods, mention.head = (*mention.mods, mention.head), spot[0].head  # "the kingpin at the neck"
            last = next((low for low in reversed(clause.lows) if low.isalpha()), "")
            if last in _ENDS and not mention.head.endswith(last):
                mention.mods, mention.head = (*mention.mods, mention.head), last  # "the rope end"
            mention.kinds = ("measure",)  # "measure the washout": what is measured has a name of its own
    direct = [mention for mention in clause.objects if own in mention.kinds]
    by = [
        mention
        for link, mention in clause.beside
        if (link in ("with", "in", "by", "from", "on", "under", "of", "") or (own == "measure" and link == "for"))
        and own in mention.kinds
        and not (own == "mark" and link == "with" and mention.words.endswith(("paint", "chalk")))
    ]
    if own == "support" and not direct:
        by += [inner for one in clause.objects for link, inner in one.attached if link == "on" and own in inner.kinds]
    if own == "support" and clause.verb in ("sling", "strap", "chain"):
        by = [mention for link, mention in clause.beside if link in ("with", "by") and own in mention.kinds]
    loads = [mention for mention in clause.objects if own not in mention.kinds]
    deeds: list[Deed] = []
    for mention in direct or by[:1]:
        marks = [thing for thing in told.things.all if thing.kind == "mark"]
        if meaning == "line-up" and len(marks) == 1 and not lexicon().opposed(marks[0].words, mention.places):
            told.things.speak_of(marks[0])
            deeds.append(Deed("line_up", marks[0]))
            continue
        things, doubt = resolve(told, mention, (own,), said)
        if doubt:
            doubts.append(f'"{mention.words}" {doubt}')
        for thing in things:
            deed = Deed(verbs[own], thing)
            keep_state(told, deed)
            deeds.append(deed)
            if own == "support":
                carry(
                    told,
                    thing,
                    loads
                    or [
                        m
                        for link, m in clause.beside
                        if link in ("under", "underneath", "on", "round", "around", "below", "to", "beneath", "through")
                    ],
                    said,
                )
            deed.to = where(clause, mention)
            if own == "consumable" and thing.head != "thread locker":
                deed.onto = put_on(told, clause, loads, said)
    if deeds:
        return deeds
    return unsaid_means(told, meaning, own, clause, loads, said)


_ENDS = frozenset({"end", "tip", "face", "edge", "rim", "side"})


def _whole_is_measured(clause: Clause, mention: Mention) -> bool:
    """ "Measure the fork pads": no measure is named, so that the reading is called after them."""
    told = clause.verb == "measure" and not (clause.passive or clause.past) and clause.objects == [mention]
    ends = {"from", "between", "across", "gap", "distance", "how"} & set(clause.lows)
    other = any("measure" in one.kinds for one in clause.mentions)
    return told and not ends and not other and mention.kinds[:1] == ("part",) and bool(mention.head)


_FEATURES = frozenset(
    {"bore", "groove", "lip", "recess", "step", "slot", "ridge", "journal", "washout", "hole", "seat"}
)
"""Parts of parts: whoever measures one has its size in mind."""


_ONTO = frozenset({"on", "onto", "to", "over", "between", "in", "round", "around", "along", "into", "inside"})


def put_on(told: Told, clause: Clause, loads: list[Mention], said: Said) -> Thing | None:
    """The part that a consumable goes on: "smear grease on the new seal", "the spline is coated with grease"."""
    for mention in [
        *loads,
        *(one for link, one in clause.beside if link in _ONTO),
    ]:
        if mention.pronoun and mention not in loads and clause.meaning in ("apply", "lubricate"):
            return told.things.latest(("part",), plural=mention.plural, within=2)  # "wipe some anti-seize on it"
        if mention.pronoun and mention in loads:
            return told.things.latest(("part",), plural=mention.plural, within=2)
        own = (
            (mention.head not in NO_WEIGHT or mention.head == "bore")
            and not mention.unknown
            and mention.head not in ("joint", "inside", "outside")
        )
        whole = mention if own else next((inner for link, inner in mention.attached if link == "of"), mention)
        if whole.head == "nipple":
            return None  # greased through it, not it
        if whole.head == "thread" and not whole.mods:
            continue  # of which fastener, values.py looks for
        if whole.head == "lip" and mention in loads and clause.verb in ("grease", "oil"):
            return next(iter(resolve(told, whole, ("part",), said)[0]), None)  # "grease the lip": a place of its own
        if whole.head == "lip":
            seals = [one for one in told.things.focus[:8] if one.kind == "part" and one.head == "seal"]
            return seals[0] if seals else None
        if mention in loads and "fastener" in whole.kinds[:1] and not clause.treatments:
            bolts, doubt = resolve(told, whole, ("fastener",), said)
            return bolts[0] if len(bolts) == 1 and not doubt else None
        if "part" in whole.kinds[:1] and whole.head and not whole.unknown:
            found = resolve(told, whole, ("part",), said)[0]
            if whole.both and not any(one.plural for one in found):
                return None  # "grease on both pins": not the one, not the other
            return next(iter(found), None)
    if clause.past and not (clause.by_person or clause.subject or loads) and clause.opens:
        part = told.things.latest(("part",), within=1)  # "new bearing into the housing, packed with grease"
        fits = [deed.thing for step in told.steps[-1:] for deed in step.deeds if deed.verb == "fit"]
        return fits[-1] if fits else part
    return None


def unsaid_means(told: Told, meaning: str, own: str, clause: Clause, loads: list[Mention], said: Said) -> list[Deed]:
    verbs = lexicon().meanings[meaning]
    if meaning == "measure":
        measure = told.things.latest(("measure",), within=5)
        if measure is not None and any(mention.pronoun for mention in loads):
            return [Deed("measure", measure)]
        return []
    if meaning == "line-up":
        marks = [thing for thing in told.things.all if thing.kind == "mark"]
        named = [
            thing
            for thing in marks
            if any(mention.pronoun or mention.head in (thing.spoken, thing.head) for mention in loads)
        ]
        if marks and (not loads or named):
            meant = named[-1] if named else marks[-1]
            told.things.speak_of(meant)
            return [Deed("line_up", meant)]
        return []
    if meaning == "fill":
        return []
    if meaning in ("apply", "lubricate"):
        word = {"grease": "grease", "oil": "oil"}.get(clause.verb, "")
        if not word or not loads:
            return []
        thing = thing_named(told, "consumable", word, False, said, [])
        for mention in loads[:1] if len(loads) == 1 and loads[0].both else ():
            pair = resolve(told, mention, ("part",), said)[0]
            if len(pair) == 2 and not any(one.plural for one in pair):
                return [Deed("apply", thing, to=f"on the {one.name}", onto=one) for one in pair]  # "grease both pins"
        onto = put_on(told, clause, loads, said)
        return [Deed("apply", thing, to=f"on {' and '.join(mention.words for mention in loads)}", onto=onto)]
    if not loads or (meaning == "support" and _held_already(told)):
        return []
    targets: list[Thing] = []
    for mention in loads:
        things, _ = resolve(
            told,
            mention,
            ("part", "connection", "fluid", "fastener") if meaning == "cover" else ("part", "connection"),
            said,
        )
        targets.extend(things)
    if not targets and not any(mention.head for mention in loads):
        return []
    mods = list(
        dict.fromkeys(part for thing in targets[:2] for part in [*sorted(thing.places), *thing.mods[:2], thing.head])
    )
    if len(targets) > 1:
        mods = [targets[0].head] if all(thing.head == targets[0].head for thing in targets) else mods[:4]
    head = {
        "cover": {"cap": "cap", "plug": "plug", "bag": "bag", "tape": "tape", "bung": "bung", "blank": "blank"}.get(
            clause.verb, "cover"
        ),
        "support": {"chock": "chock", "sling": "sling", "strap": "strap", "jack": "jack", "block": "block"}.get(
            clause.verb, "support"
        ),
        "mark": "tag" if clause.verb in ("tag", "label") else "mark",
    }[meaning]
    many = len(targets) > 1 or any(thing.plural for thing in targets)
    thing = thing_named(told, own, head, many if meaning != "support" or head == "chock" else False, said, mods)
    if head == "chock":
        thing.plural, thing.mods = True, []
    if meaning == "support":
        thing.joins.extend(part for part in targets if part not in thing.joins and part.kind == "part")
        if head == "support":
            thing.doubt("not said what carries it")
    deed = Deed(verbs[own], thing)
    keep_state(told, deed)
    return [deed]


def _held_already(told: Told) -> bool:
    """ "Strap round it and take the weight": the strap has it."""
    return any(deed.verb == "support" for step in told.steps[-1:] for deed in step.deeds)


def carry(told: Told, support: Thing, loads: Iterable[Mention], said: Said) -> None:
    for mention in loads:
        if mention.pronoun:
            part = told.things.latest(("part",), within=6)
            found = [part] if part else []
        elif "part" in mention.kinds and not mention.unknown:
            found = resolve(told, mention, ("part",), said)[0]
        else:
            found = []
        for part in found:
            told.things.speak_of(part)
        support.joins.extend(part for part in found if part not in support.joins)
    told.things.speak_of(support)
