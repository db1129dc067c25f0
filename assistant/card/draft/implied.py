"""What is done though nobody said a verb: "new gasket", "all four finger tight", a value by itself."""

from __future__ import annotations

from .clause import Clause
from .mention import Mention
from .story import Deed
from .telling import (
    Told,
    fitted,
    keep_state,
)
from .thing import Said, Thing


def limit_named(told: Told, clause: Clause, things: list[Thing]) -> bool:
    """ "Piston stroke: 70 to 90 mm"."""
    named = len(things) == 1 and things[0].kind == "measure" and bool(clause.figures) and not clause.verb
    told_already = named and any(
        deed.thing is things[0] and deed.verb in ("measure", "inspect") for step in told.steps for deed in step.deeds
    )
    return named and not told_already and (things[0].low is not None or things[0].high is not None)


def bare_value(clause: Clause, thing: Thing) -> bool:
    """ "Fill plug, 45": nothing but a fastener and a number."""
    if thing.kind != "fastener" or clause.verb or clause.negated or clause.sub or len(clause.figures) != 1:
        return False
    number = clause.figures[0].figure.whole
    rest = set(clause.lows) - set(clause.figures[0].figure.said.lower().split())
    named = {word for mention in clause.mentions for word in mention.words.split()}
    return number is not None and number >= 5 and not {low for low in rest if low.isalnum()} - named


def tightened_lately(told: Told, thing: Thing) -> bool:
    return any(deed.thing is thing and deed.verb == "tighten" for step in told.steps[-30:] for deed in step.deeds)


def implied(told: Told, clause: Clause, things: list[Thing], said: Said) -> list[Deed]:
    """ "All four bolts finger tight", "new gasket", "nine litres of oil", said while going back together."""
    deeds: list[Deed] = []
    plain = not clause.verb and "is" not in clause.lows and "are" not in clause.lows and "there" not in clause.lows
    if clause.verb == "run" and clause.particle == "up" and "finger" in clause.manners:
        plain = True  # "run the nuts up snug by hand"
    if plain and not told.back and not clause.beside and not clause.figures:
        deeds = [Deed("support", thing, implied=True) for thing in things if thing.head == "chock" and thing.count]
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
                and not any(not _said_with(link, mention) for link, mention in clause.beside)
            ):
                deeds.append(Deed("fit", thing, implied=True))
            elif thing.kind == "fluid" and thing.quantity is not None:
                deeds.append(Deed("fill", thing, implied=True))
    if plain and told.back and not clause.figures and not clause.beside:
        done = {id(deed.thing) for deed in deeds}
        news = [mention for mention in clause.objects if mention.new and mention.kinds[:1] == ("fastener",)]
        deeds += [
            Deed("start", thing, implied=True)
            for thing in things
            if thing.kind == "fastener" and id(thing) not in done and any(one.head == thing.head for one in news)
        ]
    for deed in deeds:
        keep_state(told, deed)
    return deeds


def last_ones(told: Told, clause: Clause, things: list[Thing]) -> list[Deed]:
    """ "Take out all but two. … Then the last two screws." """
    last = [one for one in clause.objects if one.rest and one.kinds[:1] == ("fastener",)]
    out = told.things.latest(("fastener",), plural=True, within=6)
    if not last and not things and out is not None and out.part_out and out.is_off:
        last = [one for one in clause.objects if one.ones and one.places and not one.head]
        things = [out] if last else things  # "Now the top two."
    left = len(things) == 1 and len(last) == len(clause.objects) == 1 and things[0].part_out and not told.back
    if not left or clause.verb or clause.figures or "is" in clause.lows or "are" in clause.lows:
        return []
    return [Deed("take_out", things[0], rest=True, count=last[0].count or (1 if not last[0].plural else None))]


def _said_with(link: str, mention: Mention) -> bool:
    """ "New o-ring, with clean oil on it": what goes along, no place."""
    return (link == "with" and mention.kinds[:1] in (("consumable",), ("fluid",))) or (link == "on" and mention.pronoun)


def takes_a_place(told: Told, things: list[Thing]) -> bool:
    """ "New tensioner.", once the old one is off."""
    return bool(things) and all(
        thing.new
        and thing.kind == "part"
        and any(other.is_off or other.old for other in told.things.by_head.get(thing.head, []))
        for thing in things
    )
