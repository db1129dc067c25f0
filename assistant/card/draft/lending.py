"""What one clause of a sentence lends to the next: its object, its subject, its verb, its reason."""

from __future__ import annotations

import itertools

from .clause import OTHER_SIDE, Clause

_REASONS = frozenset(
    {"because", "since", "cause", "in case", "so it", "so they", "so he", "otherwise", "or else", "so that", "why"}
)


def carry_on(clauses: list[Clause]) -> None:
    """ "Fill plug out first, then the drain plug": the second is out too."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        main = next((one for one in reversed(clauses[:number]) if not one.sub), None)
        bare = clause.objects and not (clause.verb or clause.meaning or clause.sub or clause.negated)
        if (
            bare
            and main is not None
            and (
                "then" in clause.opens
                or (clause.opens == "," and main.meaning == "fit" and main is clauses[number - 1])
            )
            and not main.verb
            and main.meaning in ("open", "fit")
            and main.objects[:1]
            and main.objects[0].kinds[:1] != ("tool",)
            and clause.objects[0].kinds[:1] in (("fastener",), ("part",), ("connection",))
            and not any(free.figure.dimension == "torque" for free in clause.figures)
            and ("then" in clause.opens or not (clause.figures or clause.beside))
            and "is" not in clause.lows
        ):
            clause.meaning, clause.particle = main.meaning, main.particle


def spread_remarks(clauses: list[Clause]) -> None:
    """ "… because it is heavy and it will come down on you": what follows "because" is no action either."""
    for before, clause in itertools.pairwise(clauses):
        reason = before.tail if before.tail in _REASONS else before.sub if before.sub in _REASONS else ""
        valued = any(free.figure.dimension == "torque" for free in clause.figures)
        told = (
            (clause.subject or clause.objects)
            and not valued
            and not clause.passive
            and not clause.by_person
            and clause.opens in ("and", "or", "")
        )
        if reason and told and not clause.sub:
            clause.sub = reason


_COMPARES = frozenset({"more", "less", "over", "under", "below", "above", "deeper", "thinner", "thicker", "beyond",
                       "past",
                       "wider", "smaller"})  # fmt: skip


REJECTED = "rejected"
"""Beside a figure that was told as too much or too little, and is turned round already."""


def half_compared(clause: Clause) -> None:
    """ "Less than half a millimetre.": allowed, or too little? Nobody can tell, and so it is asked."""
    bare = not (clause.verb or clause.objects or clause.sub or clause.negated) and len(clause.figures) == 1
    if bare and clause.lows and clause.lows[0] in _COMPARES and clause.figures[0].figure.unit:
        told = "," in clause.lows  # "under thirty-nine millimetres, same story"
        clause.figures[0].before = OTHER_SIDE.get(clause.figures[0].before, "") if told else ""
        clause.figures[0].beside = ""


_ALL_IS_WELL = frozenset({"fine", "okay", "ok", "good", "alright", "happy", "safe", "laughing", "golden", "acceptable"})
""" "Less than two millimetres and you're fine": allowed, and no reason to stop."""


def then_rejected(clauses: list[Clause]) -> None:
    """ "Less than three millimetres and you need a new one": what is too little, and so the least that is allowed."""
    for clause, following in itertools.pairwise(clauses):
        bare = not (clause.verb or clause.objects or clause.sub or clause.negated) and len(clause.figures) == 1
        opens = bool(clause.lows) and clause.lows[0] in _COMPARES
        told = bool(following.lows) and (bool(following.negated) or not _ALL_IS_WELL & set(following.lows))
        free = clause.figures[0] if clause.figures else None
        if bare and opens and told and free is not None and free.before in OTHER_SIDE:
            free.before = OTHER_SIDE[free.before]
    first = clauses[0]
    if len(first.figures) == 1 and not first.sub and first.lows and first.lows[0] in _COMPARES:
        free = first.figures[0]
        stops = not (first.verb or first.negated) and first.objects and free.beside == "and"
        if stops and not _ALL_IS_WELL & set(first.lows) and free.figure.unit and free.before in OTHER_SIDE:
            free.before, free.beside = OTHER_SIDE[free.before], REJECTED  # "more than 1.6 millimetres and you stop"


def fronted(clauses: list[Clause]) -> None:
    """ "The wheel nuts I did up": no side clause, the object stands first. "The bolts you took out go back" is one."""
    for number, clause in enumerate(clauses):
        goes_on = number + 1 < len(clauses) and clauses[number + 1].opens == "" and not clauses[number + 1].sub
        if clause.sub == "that" and clause.by_person and clause.subject and not goes_on and "that" not in clause.lows:
            clause.sub = ""
            clause.objects = clause.objects or list(clause.subject)
        elif clause.sub == "that" and clause.by_person and clause.subject and goes_on:
            main = clauses[number + 1]
            if not main.objects and not main.subject and main.meaning:
                main.objects, main.subject = list(clause.subject), list(clause.subject)


def share_objects(clauses: list[Clause]) -> None:
    """ "Loosen and remove the bolts": the first verb works on what follows the second."""
    for number in range(len(clauses) - 2, -1, -1):
        clause, following = clauses[number], clauses[number + 1]
        if (
            clause.verb
            and not clause.objects
            and following.objects
            and following.verb
            and following.opens in ("and", "or", ", and")
            and clause.meaning
            and following.meaning
            and not following.by_person
            and not clause.beside
            and not following.subject
            and not clause.sub
        ):
            clause.objects = list(following.objects)


def let_go(clauses: list[Clause]) -> None:
    """ "Let the hoist go"."""
    for before, clause in itertools.pairwise(clauses):
        if before.verb == "let" and clause.verb == "go" and not clause.particle and (before.objects or clause.subject):
            before.objects = before.objects or list(clause.subject)
            clause.objects, clause.subject = [], []
            before.meaning, clause.meaning, clause.verb = "release", "", ""


def got_done(clauses: list[Clause]) -> None:
    """ "Get the sensor unplugged", "let the oil drain": what is got is what the second verb works on."""
    for before, clause in itertools.pairwise(clauses):
        if before.verb == "let" and before.objects and clause.verb and clause.opens == "" and not before.particle:
            clause.objects, before.objects, before.meaning = list(before.objects), [], ""
            if clause.verb in ("hang", "sit", "rest", "drop", "settle"):
                clause.meaning = "move"  # "let the guide hang"
            continue
        if (
            before.verb in ("get", "have", "want")
            and not clause.sub
            and before.objects
            and clause.past
            and not clause.objects
            and not clause.subject
            and clause.opens == ""
        ):
            clause.objects, clause.by_person = list(before.objects), True
            before.objects = []


def resume_subject(clauses: list[Clause]) -> None:
    """ "The earth bolt, an M6, comes out": what stands before the insertion is what comes out."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        if (
            not (clause.third or clause.passive or clause.past)
            or clause.objects
            or clause.subject
            or not clause.meaning
            or clause.opens != ","
            or clause.by_person
        ):
            continue
        ahead = clauses[number - 1]
        last = max(ahead.beside, key=lambda one: one[1].start, default=("x", None))
        if ahead.verb and last[0] == "" and last[1] is not None and last[1].head and "and" in ahead.lows:
            clause.objects = clause.subject = [
                last[1]
            ]  # "the jack is lowered and the lock, 14 kilograms, is taken out"
            ahead.beside = [one for one in ahead.beside if one is not last]
            clause.figures = [*(free for free in ahead.figures if free.at > last[1].start), *clause.figures]
            ahead.figures = [free for free in ahead.figures if free.at <= last[1].start]
            continue
        for before in reversed(clauses[:number]):
            if before.verb or before.meaning:
                break
            named = [one for one in before.objects if one.kinds[:1] not in (("consumable",), ("tool",))]
            if named:
                clause.objects = [named[0]]
                clause.subject = list(clause.objects)
                break


def carries(clauses: list[Clause]) -> None:
    """ "Chain on the plate, take the weight up": what may be a part is here what carries."""
    for before, clause in itertools.pairwise(clauses):
        first = before.objects[0] if before.objects else None
        may = first is not None and "support" in first.kinds and not (before.verb or before.sub or before.negated)
        if may and first is not None and clause.meaning == "support" and "weight" in clause.lows:
            first.kinds = ("support",)
            before.meaning, before.particle = "fit", before.particle or "on"


def spread_not(clauses: list[Clause]) -> None:
    """ "Don't go putting longer ones in": the second verb is not done either."""
    for before, clause in itertools.pairwise(clauses):
        runs_on = clause.opens == "" and before.verb in ("go", "start", "try", "be", "come") and not before.objects
        if before.negated and runs_on and clause.verb and not clause.subject and not clause.by_person:
            clause.negated = before.negated


def then_those(clauses: list[Clause]) -> None:
    """ "Take the bolts out, then the plate": the plate is taken out too; a new one, though, is put in."""
    for before, clause in itertools.pairwise(clauses):
        bare = clause.objects and not (clause.verb or clause.meaning or clause.sub or clause.negated or clause.figures)
        if not bare or "then" not in clause.opens or not before.verb or before.sub or before.negated:
            continue
        if any(one.new for one in clause.objects):
            clause.meaning = "fit"
        elif before.meaning in _CARRIED and "is" not in clause.lows:
            clause.meaning, clause.verb, clause.particle = before.meaning, before.verb, before.particle
            clause.manners = clause.manners or list(before.manners)


_CARRIED = frozenset({"open", "fit", "start", "snug", "loosen", "disconnect", "connect", "tighten", "clean", "inspect"})


def same_again(clauses: list[Clause]) -> None:
    """ "Loosen six screws in turn, then remove", "piston nut, 60 mm across flats, remove": the same once more."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        alone = (clause.strong or clause.opens.endswith(":")) and not (
            clause.objects or clause.subject or clause.beside or clause.figures or clause.sub
        )
        if not alone or clause.by_person or clause.passive or clause.negated or not clause.meaning:
            continue
        for before in reversed(clauses[max(0, number - 2) : number]):
            if before.sub or before.negated:
                break
            if before.objects:
                clause.objects = [one for one in before.objects if one.kinds[:1] != ("tool",)]
                break


def go_on(clauses: list[Clause]) -> None:
    """ "The bolts are put in and screwed down by hand": the second verb works on the same."""
    for before, clause in itertools.pairwise(clauses):
        ones = all(mention.ones for mention in clause.objects)
        if (
            before.passive
            and before.objects
            and clause.past
            and not clause.subject
            and ones
            and clause.meaning
            and not clause.by_person
            and "and" in clause.opens
            and before.subject
        ):
            clause.objects = [*before.objects, *clause.objects]
            clause.passive = True


def same_subject(clauses: list[Clause]) -> None:
    """ "The motor bolts take a nineteen socket and go to 85 newton metres": the same bolts go."""
    for before, clause in itertools.pairwise(clauses):
        free = not (clause.objects or clause.subject or clause.by_person or clause.sub)
        bolts = [one for one in before.subject if one.kinds[:1] == ("fastener",)]
        goes_on = clause.verb in ("go", "get", "take", "want", "need", "be") or (clause.passive and clause.past)
        if free and bolts and "and" in clause.opens and goes_on:
            clause.objects = clause.subject = bolts[:1]


def join_subjects(clauses: list[Clause]) -> None:
    """ "The pump and the bracket come off": things before the "and" belong to the verb behind it."""
    for number in range(1, len(clauses)):
        clause, before = clauses[number], clauses[number - 1]
        only_things = (
            before.objects and not before.verb and not before.meaning and not before.figures and not before.sub
        )
        if (
            only_things
            and before.objects[0].kinds[:1] != ("consumable",)
            and _ends_in_name(before)
            and clause.opens in ("and", ",", ", and")
            and clause.subject
            and clause.objects
            and clause.objects[0] is clause.subject[0]
            and not before.treatments
            and "is" not in before.lows
            and "are" not in before.lows
        ):
            clause.objects = [*before.objects, *clause.objects]
            clause.subject = [*before.objects, *clause.subject]
            before.objects, before.subject = [], []


def _ends_in_name(clause: Clause) -> bool:
    """ "The pump and …", not "engine cold, …"."""
    last = next((low for low in reversed(clause.lows) if low[0].isalnum() and low not in ("and", "then")), "")
    return any(last in mention.words.split() for mention in clause.mentions)
