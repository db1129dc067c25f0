"""What was said last takes the place of what it puts right."""

from __future__ import annotations

from dataclasses import replace

from .another_machine import of_somebody_else, told_of_another
from .clause import Clause
from .lexicon import lexicon
from .mended_figures import mend_figures
from .mention import Mention
from .piece import Piece
from .recounted import (
    another_spanner,
    another_thing,
    count_put_right,
    counted_again,
    counted_instead,
    ends_in_a_size,
    only_a_number,
    only_one,
    recounted,
    said_alone,
    says_which_count,
    size_twice,
)


def mend(pieces: list[Piece], fresh: list[Piece]) -> list[Piece]:
    """Puts the first fresh clause right into the one that it corrects; what is left stands by itself."""
    strengths = {"low", "medium", "high"}
    while (
        len(fresh) > 1
        and not strengths & set(fresh[0].clause.lows)
        and not (fresh[0].clause.objects or fresh[0].clause.figures or fresh[0].clause.verb)
    ):
        fresh = fresh[1:]
    first = fresh[0].clause
    if first.lows[:1] == ("before",) and not first.verb:
        return fresh  # "no, hold on, before the guard, the locknut": something else comes first
    if first.verb in ("forget", "miss", "skip") and first.by_person:
        return fresh  # "no, wait, I forgot the gasket": what comes before it stands
    if first.negated and first.verb and first.opens == "or":
        return fresh  # "in from the front, no, from behind, sorry, or you'll never get the nut on"
    passed_over = False
    for back in range(len(pieces) - 1, max(-1, len(pieces) - 6), -1):
        target = pieces[back]
        if target.only_cue:
            continue
        if target.clause.verb in ("say", "think", "guess", "reckon") and target.clause.by_person and first.verb:
            target.clause.objects, target.clause.figures, target.clause.treatments = [], [], []
            return fresh  # "I want to say anti-seize, no, they get thread locker"
        named = any(mention.head for mention in first.objects)
        if said_alone(target.clause, first) and back:
            target.clause.figures = []  # "Forty-five. Forty-five foot pounds, I had it back to front"
            continue
        half = target.clause.sub in ("if", "unless") and target.sentence is fresh[0].sentence and first.figures
        if half and not target.clause.figures and not first.verb:
            target.clause.figures = list(first.figures)  # "if it's over half a, no, over one millimetre, it's scrap"
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        if counted_instead(target.clause, first):
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        size_twice(first)
        if another_spanner(target.clause, first):
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        if of_somebody_else(first, target.clause):
            target.clause.figures = []
            return (
                fresh if first.figures[0].figure.unit else fresh[1:]
            )  # "a hundred and eighty. No. A hundred and eighty's the sheave pin"
        counted = [one for one in target.clause.mentions if one.count and one.head]
        if only_one(first) and any((one.count or 0) > 1 for one in counted):
            for one in counted:
                one.count, one.plural = None, False  # "the two air hoses, no, sorry, there's only the one"
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        tools = [one for one in target.clause.objects if one.kinds[:1] == ("tool",) and one.sizes]
        if told_of_another(first) and tools and not (target.clause.figures or counted):
            for one in tools:
                one.sizes = ()  # "that's a fourteen wrench, no, that's the little van"
            return fresh[1:]
        if told_of_another(first) and (target.clause.figures or counted):
            target.taken_back = tuple(target.clause.figures)
            target.clause.figures = []
            for one in counted if not target.taken_back else ():
                one.count = None  # "four bolts. No, that's the old pattern"
            rest = fresh[1].clause if len(fresh) > 1 else None
            alone = rest is not None and bool(rest.objects) and not (rest.verb or rest.meaning or rest.figures)
            if rest is not None and alone and target.clause.verb and not target.clause.objects:
                target.clause.objects = rest.objects  # "take out the sixteen, no, that's the other one, the twelve"
                return fresh[2:]
            return fresh[1:]
        sized = first.objects[:1] and first.objects[0].sizes and first.objects[0].kinds[:1] == ("tool",)
        only_size = len(target.clause.figures) == 1 and target.clause.figures[0].figure.dimension in ("", "length")
        if sized and only_size and not target.clause.verb and not any(one.head for one in target.clause.objects):
            target.clause.figures = []
            fresh[0].mended = target.clause.words
            return fresh
        if sized and len(first.objects) == 1 and ends_in_a_size(target.clause) and first.verb == "":
            target.clause.figures.pop()  # "with the thirteen mil, no, sorry, seventeen mil spanner"
            target.clause.beside.append(("with", first.objects[0]))
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        last = target.clause.figures[-1].figure if target.clause.figures else None
        if sized and len(first.objects) == 1 and not first.verb and last is not None and last.dimension == "length":
            target.clause.figures.pop()  # "a clamp bolt, nineteen mil, no, seventeen, seventeen mil wrench"
            target.clause.objects.append(first.objects[0])
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        if only_a_number(target.clause) and first.objects[:1] and first.objects[0].sizes:
            target.clause.figures = []  # "that's a twelve, no, a fourteen millimetre key"
            fresh[0].mended = target.clause.words
            return fresh
        if only_a_number(target.clause) and says_which_count(first, target.clause):
            return count_put_right(target, first, fresh)
        if only_a_number(target.clause) and back and pieces[back - 1].clause.objects and named:
            passed_over = True
            continue  # another voice has put it right already
        if passed_over and any(free.figure.unit for free in target.clause.figures):
            break  # a bare number takes no weight's or torque's place from over another number
        if target.asked or not (target.clause.objects or target.clause.figures or target.clause.meaning):
            continue
        if counted_again(target.clause, first):
            target.clause.objects, target.clause.subject = [], []
            fresh[0].mended = target.clause.words
            return fresh
        if _mended(target, first):
            _unit_behind(target.clause, fresh)
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        if recounted(target.clause, first) or another_thing(target.clause, first):
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        if target.clause.meaning:
            break
    return fresh


def _unit_behind(clause: Clause, fresh: list[Piece]) -> None:
    """ "No, point four, it's nought point four of a millimetre": the unit of what was put right comes behind."""
    last = clause.figures[-1] if clause.figures else None
    behind = fresh[1].clause.figures if len(fresh) > 1 else []
    if last is None or last.figure.unit or last.figure.thread or len(behind) != 1:
        return
    if behind[0].figure.unit and behind[0].figure.value == last.figure.value:
        clause.figures[-1] = replace(last, figure=behind[0].figure)
        fresh[1].clause.figures = []


def _mended(target: Piece, first: Clause) -> bool:
    old = target.clause
    if not (first.verb or first.figures) and len(first.objects) == 2 and first.objects[0].kinds[:1] == ("consumable",):
        wrong, right = first.objects
        slipped = [at for at, one in enumerate(old.objects) if one.head == wrong.head]
        if slipped and right.kinds[:1] == wrong.kinds[:1]:
            old.objects[slipped[0]] = right  # "put grease on the shaft. No, not grease, anti-seize"
            old.treatments = [one for one in old.treatments if one != wrong.head] + first.treatments
            return True
    if first.verb and first.verb == old.verb and "not" in first.lows and "not" not in old.lows:
        return True  # "clean it, and I mean clean, not spit and an old glove": the same again
    if first.meaning and first.objects and first.verb:
        same = first.meaning == old.meaning and any(
            _alike(one, other) for one in first.objects for other in old.objects
        )
        if same or (first.meaning == old.meaning and len(old.objects) == 1 and not first.objects[0].pronoun):
            words = old.words
            keep = old.figures if not first.figures else first.figures
            target.clause = replace(first, words=words, figures=keep)
            return True
        return False
    changed = False
    if first.verb == "call":  # "no, they are called guide bolts"
        named = [mention for mention in first.mentions if mention.head]
        return bool(named) and _mend_object(old, named[-1], renamed=True)
    if any(treatment.startswith("locker-") for treatment in old.treatments):
        strengths = [low for low in first.lows if low in ("low", "medium", "high")]
        was = next(one for one in old.treatments if one.startswith("locker-"))
        others_said = sorted({one for one in strengths if was != f"locker-{one}"})
        strengths = others_said or strengths[:1]  # "the high strength one, no, not the high, the medium"
        if strengths and not any(
            one.kinds and not one.unknown and one.kinds[:1] != ("consumable",) for one in first.objects
        ):
            others = [one for one in old.treatments if not one.startswith("locker-")]
            old.treatments = [*others, f"locker-{strengths[0]}"] if len(strengths) == 1 else others
            old.objects = [one for one in old.objects if one.head not in ("high", "low", "medium")]
            return True
    if (
        not first.verb
        and len(first.objects) == 1
        and first.lows[:1]
        and any(link == first.lows[0] for link, _ in old.beside)
    ):
        old.beside = [(link, first.objects[0] if link == first.lows[0] else mention) for link, mention in old.beside]
        return True  # "under the drive wheels, no, sorry, under the steer wheels"
    wet = (("consumable",), ("fluid",))
    if first.treatments == ["dry"] and any(one.kinds[:1] in wet or one.is_oil for _, one in old.beside):
        old.beside = [(link, one) for link, one in old.beside if not (one.kinds[:1] in wet or one.is_oil)]
        old.treatments = ["dry"]  # "it goes together with oil, no, it goes together dry"
        return True
    named = list(
        {one.head: one for one in first.objects if one.head and not one.unknown}.values()
    )  # "sealant round the edge, sealant"
    if not (first.verb or first.figures) and len(named) == 1 and named[0].kinds[:1] in wet:
        smeared = [
            at for at, (link, one) in enumerate(old.beside) if link == "with" and (one.kinds[:1] in wet or one.unknown)
        ]
        if smeared and old.meaning in ("fit", "start"):
            old.beside[smeared[0]] = ("with", named[0])  # "it goes in with oil on it. No, sorry, grease"
            strengths = [low for low in first.lows if low in ("low", "medium", "high")]
            locked = named[0].head == "thread locker" and len(set(strengths)) == 1
            old.treatments = [f"locker-{strengths[0]}"] if locked else list(first.treatments)
            return True
    if first.figures:
        changed = mend_figures(old, first)
        if not changed and (first.objects or first.subject) and old.meaning in ("snug", "start", "tighten", "fit"):
            old.figures = list(first.figures)
            old.manners = []
            old.meaning, old.verb = "tighten", old.verb or "tighten"
            return True
    if first.figures and not old.objects and first.objects[:1] and _names_a_set(first.objects[0]):
        old.objects = old.objects or [first.objects[0]]  # "there's two, no, four upper ones"
        return True
    again = [one for one in first.objects if _names_a_set(one)]
    if first.objects[:1] and first.objects[0].pronoun and {"is", "are"} & set(first.lows) and again and old.figures:
        return _of_that_set(old, again[-1])
    called = first.objects[1] if len(first.objects) > 1 and first.objects[0].pronoun and not first.verb else None
    if called is not None and {"is", "are"} & set(first.lows) and called.kinds[:1] == ("fastener",):
        bolted = [mention for mention in old.objects if mention.kinds[:1] == ("fastener",)]
        return bool(bolted) and _mend_object(old, called, renamed=True)  # "sorry, it's a nut"
    if changed:
        old.beside.extend(one for one in first.beside if one[1].kinds[:1] == ("tool",))
    if first.objects and not (
        first.objects[0].pronoun or first.objects[0].each or first.meaning or "there" in first.lows
    ):
        put_right = _mend_object(old, first.objects[0])
        changed = put_right or changed
        if put_right:
            _along(old, first)
    if first.manners and not first.objects and not first.figures and (old.meaning or old.manners):
        old.manners = list(first.manners)
        changed = True
    return changed


def _along(old: Clause, first: Clause) -> None:
    """ "Six bolts, no, eight bolts, M16, twenty-four mil heads": what is said along with the right thing is of it."""
    for free in first.figures:
        figure = free.figure
        known = any(
            one.figure.dimension == figure.dimension and bool(one.figure.thread) == bool(figure.thread)
            for one in old.figures
        )
        if (figure.unit or figure.thread) and not known:
            old.figures.append(replace(free, at=-1))
    old.objects.extend(
        one for one in first.objects[1:] if one.kinds[:1] == ("tool",) or (one.sizes and one.head in ("head", "hex"))
    )
    old.beside.extend(one for one in first.beside if one[1].kinds[:1] in (("tool",), ("consumable",)))


def _names_a_set(mention: Mention) -> bool:
    """ "The upper ones"."""
    return mention.ones and bool(mention.places or mention.mods) and not (mention.head or mention.rest)


def _of_that_set(old: Clause, mention: Mention) -> bool:
    """ "The lower bolts get 240, no, sorry, that's the upper ones": the value is the other set's."""
    bolted = [one for one in old.mentions if one.kinds[:1] == ("fastener",) and one.head]
    if len(bolted) != 1:
        return False
    was = bolted[0]
    other = replace(
        mention, head=was.head, kinds=was.kinds, ones=False, mods=(*was.mods, *mention.mods), start=was.start
    )
    old.objects = [other if one is was else one for one in old.objects]
    old.subject = [other if one is was else one for one in old.subject]
    return True


def _alike(one: Mention, other: Mention) -> bool:
    return bool(one.head) and one.head == other.head


def _mend_object(old: Clause, mention: Mention, renamed: bool = False) -> bool:
    """The thing named last takes the place of the one it corrects."""
    places = [(number, was) for number, was in enumerate(old.objects) if not was.pronoun]
    if not places:
        return False
    number, was = next(((n, w) for n, w in reversed(places) if w.head == mention.head or mention.ones), places[-1])
    if mention.ones and not mention.head:
        mention = replace(
            mention,
            head=was.head,
            kinds=was.kinds,
            plural=was.plural,
            ones=False,
            mods=was.mods or mention.mods,
            attached=was.attached,
            count=mention.count or was.count,
        )
        if not lexicon().opposed(was.places, mention.places):
            mention.places = was.places | mention.places
    elif mention.head == was.head:
        mention = replace(
            mention,
            count=mention.count or was.count,
            mods=mention.mods or was.mods,
            places=mention.places or was.places,
            attached=mention.attached or was.attached,
        )
    elif renamed:
        mention = replace(mention, count=mention.count or was.count, places=mention.places or was.places)
    elif mention.kinds[:1] != was.kinds[:1] and (
        mention.kinds[:1] not in (("fastener",), ("part",)) or not old.meaning or mention.rest or old.figures
    ):
        return False
    old.objects[number] = mention
    old.subject = [mention if one is was else one for one in old.subject]
    return True
