"""Side clauses: before, once, if, until. No deed of their own, but they say when, where and on which vehicle."""

from __future__ import annotations

from .clause import OTHER_SIDE, Clause
from .lexicon import lexicon
from .piece import Piece
from .story import Deed, Telling
from .telling import (
    NOWHERE,
    Told,
    add_step,
    closes,
    is_told,
    keep_state,
    latest_step,
    mention_known,
    part_of_set,
    resolve,
)
from .thing import Said


def side_clause(told: Told, piece: Piece, said: Said) -> None:
    """Before, once, if, because: no action of its own, but it says when or where the next one stands."""
    clause = piece.clause
    if clause.sub == "before" and clause.meaning:
        target = step_of(told, clause)
        if target is not None:
            told.insert_at = target
    if clause.sub in ("because", "since", "as", "cause", "so it", "where") and clause.figures:
        weighed = any(free.figure.dimension == "mass" for free in clause.figures)
        for mention in (clause.subject or clause.objects)[:1] if weighed else ():
            if mention.kinds[:1] == ("part",) and mention.head and mention.det == "the" and not mention.unknown:
                resolve(told, mention, ("part",), said)  # "because the spring weighs fifty-four kilos"
        told.values.of_statement(clause, said, None, False)
    if clause.sub == "if" and _turned_limit(told, clause, said):
        return
    if clause.sub in ("if", "unless"):
        known = told.conditions.of_clause(clause, said)
        if known:
            if not piece.first:
                for step in told.made:  # "shield back on, if it has one"
                    step.when.update(told.conditions.now)
            return
    if clause.sub in ("until", "till", "once", "so that", "so it") and clause.figures:
        measured_until(told, piece, said)
    if clause.sub in ("when", "before", "once", "after", "as", "while") and clause.meaning and not clause.negated:
        in_passing(told, piece, said)
    if clause.sub in ("until", "till") and clause.meaning == "line-up" and clause.by_person and clause.objects:
        for mention in clause.objects[:1]:
            marks = resolve(told, mention, ("mark",), said)[0] if "mark" in mention.kinds else []
            if marks:
                add_step(told, piece, said, [Deed("line_up", thing) for thing in marks], dict(told.when))
    if clause.sub in ("until", "till") and clause.meaning == "measure" and not clause.figures:
        for mention in clause.objects[:1]:
            measures = resolve(told, mention, ("measure",), said)[0] if "measure" in mention.kinds else []
            deeds = [Deed("measure", thing) for thing in measures if thing.kind == "measure"]
            deeds = [deed for deed in deeds if not is_told(told, deed)]
            if deeds:
                add_step(told, piece, said, deeds, dict(told.when))  # "till you've measured the clearance"
    mention_known(told, clause, said)


def _turned_limit(told: Told, clause: Clause, said: Said) -> bool:
    """ "If you get more than point eight of play they want changing": what is too much tells the most."""
    compared = [free for free in clause.figures if free.before in ("least", "most") and free.figure.unit]
    named = [mention for mention in clause.mentions if mention.kinds[:1] == ("measure",)]
    if len(compared) != 1 or len(named) > 1 or clause.negated:
        return False
    if not named and any(not mention.pronoun and mention.start < compared[0].at for mention in clause.mentions):
        return False
    spoken = told.things.latest(("measure",), within=2)
    if not named and spoken is None:
        return False
    free = compared[0]
    free.before = OTHER_SIDE[free.before]
    measure = told.things.meant(named[0], ("measure",), said).things[0] if named else spoken
    assert measure is not None
    told.things.speak_of(measure)
    if measure.low is None and measure.high is None:
        told.values.limit(measure, free, clause, said)
        measure.limit_turned = measure.low is not None or measure.high is not None
    return True


def measured_until(told: Told, piece: Piece, said: Said) -> None:
    """ "... until the sag is between fifteen and twenty-five millimetres": a reading with its limits."""
    measures = [mention for mention in piece.clause.mentions if mention.kinds[:1] == ("measure",)]
    for mention in measures[:1]:
        found, _ = resolve(told, mention, ("measure",), said)
        told.values.of_statement(piece.clause, said, None, False)
        add_step(told, piece, said, [Deed("measure", thing) for thing in found], dict(told.when))


def in_passing(told: Told, piece: Piece, said: Said) -> None:
    """ "Have somebody hold it when you take the top bolt out": kept, in case it is never said outright."""
    clause = piece.clause
    verbs = lexicon().meanings.get(clause.meaning, {})
    deeds: list[Deed] = []
    for mention in clause.objects:
        if mention.unknown or (mention.ones and not mention.head and not mention.rest):
            continue
        found = told.things.meant(mention, tuple(verbs), said, closes(verbs)) if mention.pronoun else None
        things = found.things if found is not None else resolve(told, mention, tuple(verbs), said, closes(verbs))[0]
        for thing in things:
            if thing.kind in verbs:
                deed = Deed(verbs[thing.kind], thing)
                part_of_set(told, deed, mention, thing)
                if deed.verb in ("take_out", "remove", "disconnect"):
                    keep_state(told, deed)
                deeds.append(deed)
    deeds = [
        deed
        for deed in deeds
        if deed.verb in ("take_out", "remove", "disconnect", "loosen")
        or (
            deed.verb in ("fit", "connect")
            and (told.back or (clause.sub == "when" and deed.thing is not None and deed.thing.is_off))
        )
    ]
    if deeds:
        step = Telling(deeds, [said], words=clause.words, when=dict(told.when))
        step.doubt(f'said only in passing: "{clause.words}"')
        told.passing.append((latest_step(told), step))


def told_in_passing(told: Told) -> None:
    """What was said only in passing becomes a step of its own."""
    for anchor, step in told.passing:
        step.deeds = [deed for deed in step.deeds if deed.rest or not is_told(told, deed)]
        if step.deeds:
            at = next(
                (number + 1 for number, one in enumerate(told.steps) if one is anchor),
                0 if anchor is None else len(told.steps),
            )
            told.steps.insert(at, step)


def step_of(told: Told, clause: Clause) -> int | None:
    """Index of the step told already that does this: "before you pull the gearbox"."""
    verbs = lexicon().meanings.get(clause.meaning, {})
    for mention in clause.objects:
        if mention.ones and not mention.head:
            continue
        for kind in verbs:
            found = (
                told.things.known(mention, kind, None)
                if mention.head
                else told.things.meant(mention, tuple(verbs), NOWHERE)
            )
            for thing in found.things:
                for number in range(len(told.steps) - 1, max(-1, len(told.steps) - 25), -1):
                    if any(
                        deed.thing is thing and deed.verb == verbs.get(thing.kind) for deed in told.steps[number].deeds
                    ):
                        return number
    return None
