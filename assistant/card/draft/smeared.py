"""Grease, oil and sealant that a clause without a deed puts on something."""

from __future__ import annotations

from .clause import Clause
from .story import Deed
from .telling import (
    Told,
    resolve,
    thing_named,
)
from .thing import Said


def said_behind(told: Told, clause: Clause, said: Said) -> bool:
    """ "Nuts on, finger tight", "gasket on, a thin smear of sealing compound": said of what was put on just before."""
    stuck = clause.verb in ("stick", "hold", "coat", "smear", "wipe", "dab") and clause.past and not clause.mentions[1:]
    spoken = clause.verb and not (stuck and any(link in ("with", "in") for link, _ in clause.beside))
    if spoken or clause.sub or clause.negated or not told.made or not told.made[-1].deeds:
        return False  # "new copper washer on, stuck with a dab of grease"
    last = told.made[-1].deeds[-1]
    alone = [low for low in clause.lows if low.isalpha()]
    if alone in (["greased"], ["oiled"], ["lightly", "oiled"], ["lightly", "greased"]) and last.thing is not None:
        told.values.bound += 1
        last.thing.treatment = last.thing.treatment or ("oil" if "oiled" in alone else "grease")
        return True
    if last.verb == "start" and "finger" in clause.manners and not clause.mentions and not clause.figures:
        last.verb = "snug"
        told.made[-1].how.append(clause.words)
        return True
    stuff = clause.objects[0] if clause.objects else None
    smeared = next((one for link, one in clause.beside if link == "with"), None)
    if stuff is None and smeared is not None and last.verb == "fit" and last.thing is not None:
        if smeared.is_oil:
            told.made[-1].deeds.append(
                Deed("apply", thing_named(told, "consumable", "oil", False, said, list(smeared.mods)), onto=last.thing)
            )  # "new seal in, with oil on the lip"
            told.made[-1].how.append(clause.words)
            return True
        if smeared.kinds[:1] == ("consumable",):
            stuff = smeared
    with_new = smeared is not None and smeared.new and smeared.kinds[:1] == ("part",) and not clause.figures
    if smeared is not None and with_new and last.verb in ("fit", "connect", "start"):
        for thing in resolve(told, smeared, ("part",), said, True)[0]:
            told.made[-1].deeds.insert(0, Deed("fit", thing))  # "feed hose on, with two new copper washers"
            told.values.of_mention([thing], smeared, said)
        return True
    onto = any(link == "on" and one.pronoun for link, one in clause.beside)
    if stuff is not None and stuff.is_oil and onto and last.verb == "fit" and last.thing is not None:
        oil = thing_named(told, "consumable", "oil", False, said, list(stuff.mods))
        told.made[-1].deeds.append(Deed("apply", oil, onto=last.thing))  # "new shell in, oil on that as well"
        return True
    if (
        last.verb != "fit"
        or stuff is None
        or stuff.kinds[:1] != ("consumable",)
        or clause.figures
        or last.thing is None
    ):
        return False
    for thing in resolve(told, stuff, ("consumable",), said)[0]:
        told.made[-1].deeds.append(Deed("apply", thing, to=f"on the {last.thing.name}", onto=last.thing))
        told.made[-1].how.append(clause.words)
    return True


def gets_put_on(clause: Clause) -> bool:
    gets = clause.verb in ("get", "take", "want", "need") and not clause.by_person and clause.subject[:1]
    stuff = len(clause.objects) == 1 and clause.objects[0].kinds[:1] == ("consumable",)
    return bool(gets) and stuff and clause.subject[0].kinds[:1] == ("part",)


def fasteners_get(told: Told, clause: Clause, said: Said) -> bool:
    """ "The flywheel bolts get sealant on the threads", "the shoe bolts have oil on them"."""
    gets = clause.verb in ("get", "take", "want", "need", "have") and not clause.by_person and not clause.figures
    bolts, stuff = clause.subject[:1], clause.objects[:1]
    if not clause.verb and {"have", "has"} & set(clause.lows) and not (clause.figures or clause.sub or clause.negated):
        gets, bolts, stuff = True, clause.objects[:1], clause.objects[1:2]
    if not gets or not stuff or not bolts or not (bolts[0].pronoun or "fastener" in bolts[0].kinds[:1]):
        return False
    if not (stuff[0].kinds[:1] == ("consumable",) or stuff[0].is_oil):
        return False
    things, doubt = resolve(told, bolts[0], ("fastener",), said)
    for thing in things if not doubt else []:
        told.values.treated(thing, stuff[0], clause.treatments[0] if clause.treatments else "")
    return bool(things)


def goes_on(clause: Clause) -> bool:
    first = clause.objects[0].kinds[:1] if clause.objects else ()
    onto = [
        one
        for link, one in clause.beside
        if (link in ("on", "in", "between", "over") and one.kinds[:1] == ("part",))
        or (link == "on" and one.kinds[:1] == ("fastener",) and not clause.figures)
    ]
    plain = not (clause.verb or clause.sub or clause.negated or {"is", "are", "there"} & set(clause.lows))
    stuff = clause.objects[0] if clause.objects else None
    if stuff is not None and stuff.is_oil and onto and plain:
        stuff.kinds = first = ("consumable",)  # "a little bit of thin oil on the sleeve"
        clause.treatments.append("oil")
    return plain and first == ("consumable",) and len(clause.objects) == 1 and bool(onto)
