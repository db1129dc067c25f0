"""What a verb means here: "put the bolts in" by hand or finger tight, "lift" out or back in, "pull up" or pull out."""

from __future__ import annotations

from .clause import Clause
from .mention import Mention
from .telling import NOWHERE, Told, on_fasteners

_STORED_IN = frozenset(
    {
        "tin",
        "box",
        "bucket",
        "tray",
        "bench",
        "pocket",
        "shelf",
        "floor",
        "bin",
        "crate",
        "dish",
        "bag",
        "pot",
        "jar",
        "pan",
        "skip",
        "rack",
        "drawer",
        "table",
        "cardboard",
    }
)


_SCRAPED_OFF = frozenset({"gasket", "seal", "shim", "ring", "lining", "pad"})


_CLEANS = frozenset({"cleaner", "brake cleaner", "solvent", "degreaser", "emery", "soap", "spray", "penetrating oil"})
_SPINS = frozenset({"rattle gun", "impact wrench", "impact driver", "gun", "ratchet", "air ratchet", "windy gun"})


def _all_off(told: Told, clause: Clause) -> bool:
    found = [
        thing
        for mention in clause.objects[:1]
        if mention.head or mention.pronoun
        for thing in (
            told.things.meant(mention, ("part",), NOWHERE).things
            if mention.pronoun
            else told.things.known(mention, "part", None).things
        )
    ]
    return bool(found) and all(thing.is_off for thing in found)


def adjusted(told: Told, clause: Clause) -> str:
    meaning = clause.meaning
    carriers = [
        mention
        for link, mention in clause.beside
        if link in ("on", "onto") and (mention.kinds[:1] == ("support",) or (mention.head == "block" and mention.count))
    ]
    if (
        carriers
        and meaning in ("fit", "let-down")
        and clause.verb in ("get", "set", "put", "sit", "drop", "lower", "rest", "let", "lay", "bring", "ease", "stand")
        and not any(mention.kinds[:1] in (("fastener",), ("support",), ("cover",)) for mention in clause.objects[:1])
        and not told.back
    ):
        for mention in carriers:
            mention.kinds = ("support",)
        clause.objects = carriers  # "get it on the stands"
        return "support"
    heads = {mention.head for mention in clause.objects}
    kinds = {kind for mention in clause.objects for kind in mention.kinds[:1]}
    if clause.verb == "go" and clause.particle in ("over", "round", "around") and kinds == {"fastener"}:
        return "tighten"  # "go over the bolts again"
    greased = any(
        link == "with" and (one.kinds[:1] == ("consumable",) or one.head == "oil") and one.head not in _CLEANS
        for link, one in clause.beside
    )
    smeared = kinds == {"consumable"} and clause.verb in (
        "lay",
        "run",
        "spread",
        "draw",
        "squeeze",
        "work",
        "rub",
        "dab",
    )
    if (
        smeared
        and meaning in ("move", "", "fit", "clean")
        and any(link in ("on", "onto", "along", "round", "in", "over") for link, _ in clause.beside)
    ):
        return "apply"  # "a bead of sealant is laid on the edge"
    if clause.verb in ("cap", "plug", "bag") and clause.particle == "off" and told.back:
        put_on = [thing for thing in told.things.focus if thing.kind == "cover" and thing.head.endswith(clause.verb)]
        if put_on and not put_on[0].is_off:
            cap = put_on[0]
            for mention in clause.objects:
                for line in told.things.known(mention, "connection", None).things if mention.head else []:
                    told.things.speak_of(line)
            clause.objects = [
                Mention(
                    0,
                    0,
                    cap.name,
                    cap.head,
                    kinds=("cover",),
                    plural=cap.plural,
                    places=frozenset(cap.places),
                    mods=tuple(cap.mods),
                    det="the",
                )
            ]
            return "open"  # "cap off the pipe", once going back has begun
    lowered = clause.verb in ("lower", "drop", "let", "ease") and clause.particle in (
        "onto",
        "into",
        "in",
        "on",
        "over",
    )
    if lowered and told.back and meaning in ("let-down", "open") and kinds <= {"part"}:
        return "fit"  # "lower the motor onto its spline"
    if clause.verb in ("soak", "dip", "dunk"):
        for link, one in clause.beside:
            if link in ("in", "with") and one.kinds[:1] == ("fluid",):
                one.kinds = ("consumable",)  # "soak the discs in clean oil"
    if clause.verb == "do" and greased and clause.objects and not clause.figures:
        return "lubricate"  # "I do the splines with anti-seize"
    if meaning == "clean" and greased and clause.verb in ("brush", "wipe", "dab", "rub", "coat", "dress"):
        return "lubricate"  # "brush the splines with moly paste"
    spun = any(link == "with" and one.head in _SPINS for link, one in clause.beside)
    if meaning == "loosen" and clause.verb in ("crack", "break", "back") and clause.particle == "off" and spun:
        return "open"  # "cracking those off with the rattle gun"
    torqued = any(free.figure.dimension == "torque" for free in clause.figures)
    if (
        torqued
        and meaning in ("raise", "lift-away", "pull-down", "lift", "open")
        and kinds <= {"fastener"}
        and on_fasteners(told, clause)
    ) and (meaning != "open" or clause.particle in ("up", "down", "")):
        return "tighten"  # "pull them up to ninety", "bring the nuts up to forty"
    if meaning == "next":
        return "fit" if told.back else "open"
    if meaning == "raise" and kinds == {"fastener"} and told.back:
        return "tighten"  # "bring the nuts up evenly"
    if (
        clause.verb in ("scrape", "peel", "clean", "brush")
        and clause.particle in ("off", "away", "out")
        and meaning == "clean"
    ):
        return "open" if heads & _SCRAPED_OFF else meaning
    if meaning == "raise":
        parts = (
            [
                thing
                for mention in clause.objects
                for thing in told.things.meant(mention, ("part", "support"), NOWHERE).things
            ]
            if clause.objects and clause.objects[0].pronoun
            else [
                thing
                for mention in clause.objects
                if mention.kinds[:1] == ("part",)
                for thing in told.things.known(mention, "part", None).things
            ]
        )
        if "connection" in kinds:
            return "fit"  # "return pipe up again"
        unbolted = not told.back and any(
            bolts.is_off and bolts.kind == "fastener" and (part in bolts.joins or told.things.called_after(bolts, part))
            for part in parts
            if part.kind == "part"
            for bolts in told.things.focus[:12]
        )
        if unbolted and not any(kind == "support" for kind in kinds):
            return "lift-away"  # "take out the four motor bolts and lift the motor straight up"
        off = any(thing.is_off for thing in parts) or (told.back and "part" in kinds)
        return "fit" if off or (told.back and not kinds) else "support"
    if (
        clause.verb in ("put", "stick", "lay", "keep", "throw", "pop", "drop", "set", "go", "chuck", "sling")
        and meaning in ("fit", "move", "let-down")
        and any(link in ("in", "on", "into", "onto") and mention.head in _STORED_IN for link, mention in clause.beside)
    ):
        return "move"
    drawn = next((thing for thing in told.things.all if thing.kind == "mark" and thing.spoken in heads), None)
    if drawn is not None and "together" in clause.lows and meaning in ("fit", "line-up", ""):
        for mention in clause.objects:
            mention.head, mention.kinds = drawn.head, (drawn.kind,)  # "lines together"
        return "line-up"
    if meaning == "let-down" and told.back and clause.verb == "" and kinds <= {"part"}:
        return "fit"
    if (
        meaning in ("open", "let-down", "lift-away", "pull-down")
        and told.back
        and clause.particle in ("down", "up", "")
        and clause.verb in ("come", "drop", "bring", "lower", "let", "winch", "go")
        and kinds <= {"part"}
        and _all_off(told, clause)
    ):
        return "fit"  # "down comes the motor", once going back has begun
    if meaning == "lift":
        return "raise-part" if told.back else "lift"
    if clause.verb == "pull" and clause.particle == "up":
        return "tighten" if torqued or "fastener" in kinds else "fit"
    under = any(link in ("under", "underneath", "beneath", "against", "in front of") for link, _ in clause.beside)
    for mention in clause.objects:
        if (
            meaning == "fit"
            and under
            and mention.head in ("wedge", "block", "prop", "packing")
            and "support" in mention.kinds
        ):
            mention.kinds = ("support",)  # "drive two oak wedges in under the floats"
    hung = clause.particle in ("round", "around") and any(
        link in ("from", "round", "around") and (one.pronoun or one.kinds[:1] == ("support",))
        for link, one in clause.beside
    )
    if meaning == "fit" and (clause.particle in ("under", "at", "against") or hung):
        for mention in clause.objects:
            if "support" in mention.kinds:
                mention.kinds = ("support", *(kind for kind in mention.kinds if kind != "support"))
    onto = [mention for link, mention in clause.beside if link in ("on", "onto", "to", "over")]
    if (
        meaning == "fit"
        and kinds == {"fluid"}
        and onto
        and clause.verb in ("put", "wipe", "dab", "smear", "run", "pop")
    ):
        for mention in clause.objects:
            mention.kinds = ("consumable",)  # "a little oil on the threads": put on, not filled in
        if any(mention.head.endswith("oil") for mention in clause.objects):
            clause.treatments.append("oil")
        return "apply"
    stuff = [mention for mention in clause.objects if mention.kinds[:1] == ("consumable",)]
    if meaning == "fit" and stuff and len(stuff) < len(clause.objects):
        clause.objects = [mention for mention in clause.objects if mention not in stuff]
        clause.beside.extend(("with", mention) for mention in stuff)
    elif meaning == "fit" and stuff:
        return "apply"
    if meaning == "move" and clause.particle == "back" and clause.verb in ("pull", "slide", "draw") and _undone(told):
        return "open"  # "the last bolt comes out and you pull the housing back"
    if meaning == "fit" and kinds == {"mark"}:
        return "mark"
    if meaning in ("fit", "start", "tighten") and "finger" in clause.manners and on_fasteners(told, clause):
        return "snug"
    if meaning in ("tighten", "snug") and "hand" in clause.manners and on_fasteners(told, clause):
        return "snug"
    if meaning in ("fit", "tighten") and {"few", "hand"} & set(clause.manners) and on_fasteners(told, clause):
        return "start"
    if meaning == "line-up" and heads and "mark" not in kinds and any(link == "with" for link, _ in clause.beside):
        return "move"
    if meaning == "line-up" and heads and "mark" not in kinds:
        return "fit" if told.back and "part" in kinds else "line-up"
    return meaning


def _undone(told: Told) -> bool:
    """Whether fasteners came out just before."""
    return not told.back and any(deed.verb == "take_out" for step in told.steps[-1:] for deed in step.deeds)
