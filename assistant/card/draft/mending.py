"""What was said last takes the place of what it puts right."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

from .clause import Clause, Free
from .figures import Figure
from .lexicon import lexicon
from .mention import Mention
from .piece import Piece


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
        if _said_alone(target.clause, first) and back:
            target.clause.figures = []  # "Forty-five. Forty-five foot pounds, I had it back to front"
            continue
        half = target.clause.sub in ("if", "unless") and target.sentence is fresh[0].sentence and first.figures
        if half and not target.clause.figures and not first.verb:
            target.clause.figures = list(first.figures)  # "if it's over half a, no, over one millimetre, it's scrap"
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        if _counted_instead(target.clause, first):
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        _size_twice(first)
        if _another_spanner(target.clause, first):
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        if _of_somebody_else(first, target.clause):
            target.clause.figures = []
            return (
                fresh if first.figures[0].figure.unit else fresh[1:]
            )  # "a hundred and eighty. No. A hundred and eighty's the sheave pin"
        counted = [one for one in target.clause.mentions if one.count and one.head]
        if _only_one(first) and any((one.count or 0) > 1 for one in counted):
            for one in counted:
                one.count, one.plural = None, False  # "the two air hoses, no, sorry, there's only the one"
            target.mended = target.mended or target.clause.words
            return fresh[1:]
        tools = [one for one in target.clause.objects if one.kinds[:1] == ("tool",) and one.sizes]
        if _told_of_another(first) and tools and not (target.clause.figures or counted):
            for one in tools:
                one.sizes = ()  # "that's a fourteen wrench, no, that's the little van"
            return fresh[1:]
        if _told_of_another(first) and (target.clause.figures or counted):
            target.taken_back = tuple(target.clause.figures)
            target.clause.figures = []
            for one in counted if not target.taken_back else ():
                one.count = None  # "four bolts. No, that's the old pattern"
            rest = fresh[1].clause if len(fresh) > 1 else None
            if target.clause.verb and not target.clause.objects and rest is not None and rest.objects[:1]:
                if not (rest.verb or rest.meaning or rest.figures) and rest.objects[0].head:
                    target.clause.objects = rest.objects  # "take out the sixteen, no, that's the other one, the twelve"
                    return fresh[2:]
            return fresh[1:]
        sized = first.objects[:1] and first.objects[0].sizes and first.objects[0].kinds[:1] == ("tool",)
        only_size = len(target.clause.figures) == 1 and target.clause.figures[0].figure.dimension in ("", "length")
        if sized and only_size and not target.clause.verb and not any(one.head for one in target.clause.objects):
            target.clause.figures = []
            fresh[0].mended = target.clause.words
            return fresh
        if sized and len(first.objects) == 1 and _ends_in_a_size(target.clause) and first.verb == "":
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
        if _only_a_number(target.clause) and first.objects[:1] and first.objects[0].sizes:
            target.clause.figures = []  # "that's a twelve, no, a fourteen millimetre key"
            fresh[0].mended = target.clause.words
            return fresh
        if _only_a_number(target.clause) and _says_which_count(first, target.clause):
            return _count_put_right(target, first, fresh)
        if _only_a_number(target.clause) and back and pieces[back - 1].clause.objects and named:
            passed_over = True
            continue  # another voice has put it right already
        if passed_over and any(free.figure.unit for free in target.clause.figures):
            break  # a bare number takes no weight's or torque's place from over another number
        if target.asked or not (target.clause.objects or target.clause.figures or target.clause.meaning):
            continue
        if _counted_again(target.clause, first):
            target.clause.objects, target.clause.subject = [], []
            fresh[0].mended = target.clause.words
            return fresh
        if _mended(target, first):
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        if _recounted(target.clause, first) or _another_thing(target.clause, first):
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        if target.clause.meaning:
            break
    return fresh


def _only_one(first: Clause) -> bool:
    told = first.lows[:2] in (("there", "is"), ("it", "is")) and bool({"only", "just"} & set(first.lows))
    ones = [one for one in first.objects if one.ones and not one.head]
    return told and not first.figures and len(ones) == 1 and not ones[0].plural and not (ones[0].places or ones[0].mods)


def _said_alone(old: Clause, first: Clause) -> bool:
    """A number with nothing besides, and the same number in what puts it right."""
    if not (old.figures and first.figures) or old.objects or old.verb or len(old.figures) != 1:
        return False
    return not old.figures[0].figure.unit and old.figures[0].figure.value == first.figures[0].figure.value


def _size_twice(clause: Clause) -> None:
    """ "Nineteen, the nineteen socket": the bare number is the size said again, and no count."""
    sizes = {size.value for one in clause.mentions if one.kinds[:1] == ("tool",) for size in one.sizes}
    if sizes:
        clause.figures = [free for free in clause.figures if free.figure.unit or free.figure.value not in sizes]


def _another_spanner(old: Clause, first: Clause) -> bool:
    """ "That's a thirty-two spanner. No, it's a thirty-six", "seventeen socket. Sorry, the nineteen socket"."""
    was = [one for one in old.mentions if one.kinds[:1] == ("tool",) and one.sizes]
    now = [one for one in first.objects if not one.pronoun]
    if len(was) != 1 or len(now) != 1 or first.verb or first.figures or first.beside:
        return False
    if now[0].kinds[:1] != ("tool",) or not now[0].sizes:
        return False
    was[0].sizes = now[0].sizes
    return True


def _another_thing(old: Clause, first: Clause) -> bool:
    """ "Run two chains, no, sorry, two straps, from the house to the frame": what was counted has another name."""
    now = first.objects[0] if first.objects else None
    was = old.objects[-1] if old.objects else None
    if first.verb or now is None or was is None or not (now.count and was.count and now.head and was.head):
        return False
    if now.head == was.head or not set(now.kinds) & set(was.kinds) or "fastener" in now.kinds:
        return False
    old.objects[-1] = now
    old.beside.extend(one for one in first.beside if not any(one[1] is known for known in old.mentions))
    return True


def _recounted(old: Clause, first: Clause) -> bool:
    """ "Put it on four stands. No, two stands, under the rails": the same things in another number."""
    if first.verb:
        return False
    changed = False
    for now in first.mentions:
        if not (now.count and now.head):
            continue
        for was in old.mentions:
            same = was.head == now.head and not lexicon().opposed(was.places, now.places)
            same = same or (was.ones and not was.head and bool(now.places) and was.places == now.places)
            if same and was.count and was.count != now.count:
                was.count, changed = now.count, True
                break
    if changed:
        placed = [one for one in first.beside if one[1].kinds[:1] != ("fastener",)]
        old.beside.extend(one for one in placed if not any(one[1] is known for known in old.mentions))
    return changed


def _says_which_count(first: Clause, old: Clause) -> bool:
    """ "Six, four's the small one" behind "four": a bare number, and besides it none but the one that was wrong."""
    if not first.figures or first.verb or any(one.count or one.sizes for one in first.mentions):
        return False
    meant, *others = [free.figure for free in first.figures]
    wrong = {free.figure.value for free in old.figures}
    opens = first.lows[: len(meant.said.split())] == tuple(meant.said.lower().split())
    return meant.whole is not None and opens and all(one.value in wrong for one in others)


def _count_put_right(target: Piece, first: Clause, fresh: list[Piece]) -> list[Piece]:
    """ "Four. No, six, four's the small one": the count is read as if it had been said at once."""
    was, meant = target.clause.figures[-1], first.figures[0].figure
    old, new = tuple(was.figure.said.lower().split()), tuple(meant.said.lower().split())
    lows = target.clause.lows
    at = next((at for at in range(len(lows)) if lows[at : at + len(old)] == old), None)
    target.mended = target.mended or target.clause.words
    target.clause.figures = [replace(was, figure=meant)]
    if at is not None:
        target.clause.lows = (*lows[:at], *new, *lows[at + len(old) :])
    return fresh[1:]


def _ends_in_a_size(clause: Clause) -> bool:
    """ "Take the bolts out, with the thirteen mil": what was said last is a width across flats."""
    last = clause.figures[-1] if clause.figures else None
    if last is None or last.figure.dimension != "length" or last.figure.thread or not clause.verb:
        return False
    said = tuple(last.figure.said.lower().split())
    lows = tuple(low for low in clause.lows if low[:1].isalnum())
    return lows[-len(said) :] == said and {"with", "using"} & set(lows[-len(said) - 3 : -len(said)]) != set()


def _of_somebody_else(first: Clause, old: Clause) -> bool:
    """The same number again, and whose it is: not that of what was spoken of."""
    if len(first.figures) != 1 or first.verb or not {"is", "'s", "was"} & set(first.lows):
        return False
    figure = first.figures[0].figure
    said = first.lows[: len(figure.said.split())] == tuple(figure.said.lower().split())
    again = any(free.figure.value == figure.value and free.figure.value is not None for free in old.figures)
    other = (
        first.figures[0].link is not None and first.figures[0].link.det == "the" and bool(first.figures[0].link.head)
    )
    return said and again and (not figure.unit or other)


def _told_of_another(first: Clause) -> bool:
    """ "Eighty newton metres, no, that's the old model": the value is none of this job's."""
    opens = first.lows[:2] in (("that", "is"), ("that", "was"), ("this", "is"), ("it", "is"), ("those", "are"))
    if first.lows[:4] == ("i", "am", "thinking", "of") and not first.figures:
        return True  # "thirty-five. No, that's wrong, I'm thinking of the outrigger"
    whose = first.lows[2:3] in (("the",), ("for",), ("on",), ("another",)) and first.lows[:1] == ("that",)
    if opens and whose and not first.figures and not first.verb and not {"ones", "one"} & set(first.lows):
        return True  # "thirty newton metres. No, wait, that's the turbine cleaner"
    return opens and not first.figures and bool(_OF_ANOTHER & set(first.lows)) and bool(_ANOTHER & set(first.lows))


_OF_ANOTHER = frozenset(
    {"old", "other", "wrong", "last", "previous", "earlier", "different", "later", "new", "newer", "older"}
)
_ANOTHER = frozenset(
    {"model", "one", "type", "version", "machine", "engine", "truck", "job", "sort", "kind", "figure", "number",
     "value", "page", "line", "list", "book", "unit", "pattern", "design", "lorry", "trailer", "wagon", "van", "bus",
     "coach", "tractor", "digger", "loader", "boat", "crane", "side", "kit", "set", "plant", "press", "winch"}
)  # fmt: skip


def _counted_instead(old: Clause, first: Clause) -> bool:
    """ "The slave's got three, sorry, two bolts, M8", "there's six, no, four lower ones, seventeen socket"."""
    bare = [free for free in old.figures if free.figure.whole is not None]
    now = first.objects[0] if first.objects else None
    tells = old.verb in ("have", "get") or "there" in old.lows
    if len(bare) != 1 or len(old.figures) != 1 or now is None or not now.count or first.verb or not tells:
        return False
    if any(one.count for one in old.objects) or not (now.ones or now.kinds[:1] == ("fastener",)):
        return False
    old.objects, old.figures = list(first.objects), list(first.figures)
    old.beside.extend(first.beside)
    return True


def _counted_again(old: Clause, first: Clause) -> bool:
    """ "Five bolts, no, six bolts hold the cover": the whole is said anew."""
    return (
        not old.verb
        and bool(first.verb or first.meaning)
        and any(
            one.count and other.count and one.head == other.head and one.count != other.count
            for one in old.objects
            for other in first.mentions
        )
    )


def _only_a_number(clause: Clause) -> bool:
    return (
        bool(clause.figures)
        and not clause.objects
        and not clause.verb
        and all(free.figure.whole is not None for free in clause.figures)
    )


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
        changed = _mend_figures(old, first)
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


ROUNDS = frozenset({"round", "rounds", "steps", "step", "passes", "pass", "stages", "stage", "goes", "times"})
"""Words that make a number a count of rounds, no value of a thing."""


def _mend_figures(old: Clause, first: Clause) -> bool:
    changed = False
    bare = [free for free in first.figures if free.figure.whole is not None]
    if len(bare) > 1 and old.figures and all(free.figure.whole is not None for free in old.figures):
        alike = len({free.figure.whole for free in bare}) == 1  # "there's three. No, sorry, four, four on the right"
        opens = tuple(bare[0].figure.said.lower().split())
        by_itself = first.lows[: len(opens) + 1] == (*opens, ",") and "so" not in first.lows and len(bare) == 2
        by_itself = by_itself and bool(
            {"to", "per", "each", "either", "every"} & set(first.lows)
        )  # "there's ten, no, twelve, two to a port"
        told = (
            bare[-1] if alike or bare[-1].before == "so" else bare[0] if by_itself else None
        )  # "there's six, no. Three, three, and one, so eight"
        old.figures = [replace(told, at=-1, beside=old.figures[-1].beside)] if told is not None else []
        return True
    mended: set[int] = set()
    dropped: set[Decimal | None] = set()
    """Values put right already: said again, they only tell what was wrong."""
    for free in first.figures:
        figure = free.figure
        if free.beside in ROUNDS or _of_another(free) or figure.value in dropped:
            continue
        for number in range(len(old.figures) - 1, -1, -1):
            if number in mended or old.figures[number].beside in ROUNDS:
                continue
            was = old.figures[number].figure
            if bool(was.thread) != bool(figure.thread):
                continue
            if not figure.unit or not was.unit or figure.dimension == was.dimension:
                dropped.add(was.value if was.value is not None and was.value != figure.value else Decimal(-1))
                unit = figure.unit or (was.unit if not figure.thread else "")
                old.figures[number] = replace(
                    old.figures[number],
                    figure=replace(figure, unit=unit),
                    beside=old.figures[number].beside or free.beside,
                    at=-1,
                )
                mended.add(number)
                changed = True
                break
        else:
            same = [n for n in mended if old.figures[n].figure.value == figure.value and not old.figures[n].figure.unit]
            if figure.unit and same:
                old.figures[same[0]] = replace(old.figures[same[0]], figure=figure)
                continue  # "no, two eighty, two hundred and eighty newton metres"
            whole = figure.whole
            tools = [one for one in old.mentions if one.kinds[:1] == ("tool",) and one.sizes]
            behind = bool(tools) and tools[-1].sizes[0].unit_understood
            counts = [one for one in old.mentions if one.count is not None]
            if whole is not None and behind and (not counts or tools[-1].start > counts[-1].start):
                tools[-1].sizes = (replace(tools[-1].sizes[0], value=figure.value, said=figure.said),)
                changed = True  # "three bolts, seventeen socket. Sorry, sixteen"
                continue
            counted = next((mention for mention in old.mentions if mention.count is not None), None)
            if whole is not None and counted is not None and not _as_a_size(first, figure):
                counted.count = whole
                changed = True
            sized = next((mention for mention in old.mentions if mention.sizes), None)
            poured = next((one for one in old.mentions if one.amount is not None), None)
            if poured is not None and poured.amount is not None and figure.dimension in ("", poured.amount.dimension):
                poured.amount = replace(figure, unit=figure.unit or poured.amount.unit)
                changed = True  # "twenty-five litres of water, no, thirty"
                continue
            if not changed and sized is not None:
                sized.sizes = (replace(figure, unit=figure.unit or sized.sizes[0].unit),)
                changed = True
    return changed


def _as_a_size(clause: Clause, figure: Figure) -> bool:
    """ "That's a twenty two": a size, no count."""
    opens = figure.said.lower().split()[0]
    return any(pair in (("a", opens), ("an", opens)) for pair in itertools.pairwise(clause.lows))


def _of_another(free: Free) -> bool:
    """ "Fifty-five is the other engine"."""
    return free.link is not None and (free.link.rest or free.link.old or " other " in f" {free.link.words} ")


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
