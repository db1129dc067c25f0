"""Clauses with a verb: what it means here and what it is done to."""

from __future__ import annotations

from .chunks import Chunk
from .clause import Clause
from .mention import Mention
from .verb_senses import DRAWN, DRAWS, SECURES, covers_over, holds_up, secured, smears, with_out
from .without_verb import TERSE


def read_with_verb(chunks: list[Chunk], at: int, clause: Clause) -> None:
    item = chunks[at].item
    assert item is not None
    assert item.verb is not None
    verb = item.verb.verb
    clause.verb, clause.strong = verb.base, verb.strong
    clause.past = item.verb.form == "past"
    subjects: list[Mention] = []
    link = ""
    for number, chunk in enumerate(chunks[:at]):
        if chunk.kind == "sub":
            clause.sub = clause.sub or chunk.low
        elif chunk.kind == "neg":
            clause.negated = clause.negated or chunk.low
        elif chunk.kind == "subj":
            clause.by_person = True
            if subjects and item.verb.form in ("past", "base") and chunks[number - 1].kind == "thing":
                clause.sub = clause.sub or "that"
        elif chunk.kind == "aux":
            clause.passive = clause.passive or (
                chunk.low.split()[0] in ("is", "are", "be", "get", "gets", "was", "were", "got", "been", "'s")
                or chunk.low.split()[-1] in ("be", "is", "are", "get")
            )
            link = ""
        elif chunk.kind == "rel" and clause.beside and clause.beside[-1][0] == "with" and with_out(chunks, number):
            link = ""  # "with both pins out | the ram swings clear"
        elif chunk.kind == "rel":
            link = chunk.low
        elif chunk.kind == "word" and chunks[number + 1].mention is not None:
            link = ""  # "on the bench the strip nuts are removed"
        elif chunk.mention is not None:
            if link:
                clause.beside.append((link, chunk.mention))
            else:
                subjects.append(chunk.mention)
            link = ""
        elif chunk.kind in ("conj", "comma"):
            link = ""
    if at and chunks[at - 1].low == "to" and chunks[at - 1].kind == "rel" and not clause.sub:
        led = at >= 2 and chunks[at - 2].kind == "aux"
        clause.sub = "" if led else "to"
    clause.subject = subjects
    _after_verb(chunks, at, clause, verb.meanings)
    _settle_object(clause, item.verb.form)
    fronted = clause.beside[0] if clause.beside else ("", None)
    if (
        not clause.particle
        and verb.base in ("come", "go")
        and fronted[1] is not None
        and fronted[1].pronoun
        and fronted[0] in verb.meanings
        and chunks[at - 1].mention is fronted[1]
    ):
        clause.particle = fronted[0]  # "out they come"
        del clause.beside[0]
        clause.objects = clause.subject = [fronted[1]]
    if (
        not clause.objects
        and at >= 2
        and chunks[at - 1].low in ("she", "he")
        and chunks[at - 2].low in verb.meanings
        and verb.base in ("come", "go")
    ):
        clause.particle, clause.by_person = chunks[at - 2].low, False  # "out she comes"
        clause.objects = clause.subject = [Mention(clause.start, clause.start, "it", pronoun=True)]
    if (
        not clause.particle
        and at
        and chunks[at - 1].kind == "rel"
        and verb.base in ("come", "go")
        and chunks[at - 1].low in verb.meanings
    ):
        clause.particle = chunks[at - 1].low  # "off comes the impeller"
        clause.beside = [(link, mention) for link, mention in clause.beside if link != clause.particle]
    particle = clause.particle
    clause.meaning = verb.meanings.get(particle, verb.meanings.get("", "none"))
    if clause.meaning == "none":
        clause.meaning = ""
    bolts_get = verb.base in ("get", "take") and subjects and subjects[0].kinds[:1] == ("fastener",)
    torqued = any(
        chunk.item is not None and chunk.item.figure is not None and chunk.item.figure.dimension == "torque"
        for chunk in chunks[at + 1 : at + 3]
    )
    if bolts_get and torqued and not clause.by_person:
        clause.particle, clause.meaning = "", ""  # "the bolts get 25 newton metres, a drop of locker on each"
    clause.third = item.verb.form == "s"
    if item.verb.form == "ing" and any(chunk.low in ("will", "would", "might", "could") for chunk in chunks[:at]):
        clause.meaning = ""  # "you will be taking them off again next spring"
    likened = at + 1 < len(chunks) and chunks[at + 1].low in ("like", "as")
    if likened and verb.base in ("come", "go", "fall", "drop", "fly", "pop", "slide"):
        clause.meaning = ""  # "it comes like a cork out of a bottle"
    if verb.base == "feel" and (not clause.objects or clause.objects[0].pronoun or clause.negated):
        clause.meaning = ""
    if verb.base in ("come", "go") and "next" in clause.lows and not clause.particle and clause.objects:
        clause.meaning = "next"
    warned = verb.base in ("drop", "fall", "swing", "spring", "shoot", "jump", "run") and not clause.by_person
    if warned and all(one.pronoun for one in subjects) and any(chunk.low in ("will", "would") for chunk in chunks[:at]):
        clause.meaning = ""  # "it will drop like a stone"
    if verb.base in ("get", "have") and any(chunk.low in ("have", "has", "had") for chunk in chunks[:at]):
        clause.meaning = ""  # "they have got locking compound on them" says how it is
    led = at + 1 < len(chunks) and chunks[at + 1].low == "with"
    hurried = any(chunk.low in ("i", "we", "he", "she", "they") for chunk in chunks[:at])
    if verb.base in ("start", "begin") and led and not hurried:
        clause.meaning = ""  # "start with the clips on the hose"
        clause.objects = [one for link, one in clause.beside if link == "with"]
        clause.beside = [one for one in clause.beside if one[0] != "with"]
    if (
        item.verb.form == "ing"
        and clause.passive
        and clause.subject
        and not clause.by_person
        and verb.base not in ("go", "come")
    ):
        clause.going_on, clause.meaning = True, ""
    if verb.base in DRAWS and clause.objects and not clause.negated:
        first = clause.objects[0]
        if first.kinds[:1] == ("mark",) and first.det in ("a", "an", "") and clause.meaning == "":
            clause.meaning = "mark"  # "draw a chalk line across the two"
        if first.head in DRAWN and first.det in ("a", "an", "") and not (first.mods and first.head != "line"):
            first.spoken, first.head, first.kinds = first.head, "mark", ("mark",)  # "make a line across the flange"
            clause.objects, clause.meaning = [first], "mark"
    if smears(clause):
        for one in clause.objects:
            one.kinds = ("consumable",)
        if any(one.head.endswith("oil") for one in clause.objects) and not clause.treatments:
            clause.treatments.append("oil")
        clause.meaning = "apply"  # "run a bead of sealant round the face", "wipe a little oil on the o-ring"
    in_line = any(one.head == "line" and link in ("in", "into") for link, one in clause.beside)
    if in_line and clause.objects[:1] and clause.objects[0].kinds[:1] == ("mark",) and not clause.negated:
        clause.meaning = "line-up"  # "bring the chalk line into line"
    if clause.meaning in ("", "move", "apply", "tighten") and covers_over(clause):
        clause.meaning = "cover"  # "stuck tape over the ends"
    if clause.meaning in ("", "move", "fit", "start") and holds_up(clause):
        clause.meaning = "support"  # "slid two sleepers under the frame"
    laid = verb.base in ("lay", "set", "rest", "stand", "sit", "lower", "drop", "block", "prop", "get", "put")
    laid = laid and bool(clause.objects)
    if laid and clause.meaning in ("", "move", "fit", "let-down") and not clause.negated:
        under = [one for link, one in clause.beside if link in ("on", "onto") and one.kinds[:1] == ("support",)]
        some = under and (under[0].count or under[0].det in ("a", "an") or (under[0].plural and not under[0].det))
        if len(under) == 1 and some and not clause.third:
            clause.meaning = "support"  # "lay the breaker down flat on two timber sleepers"
    if (
        verb.base in ("hang", "sit", "mount", "rest", "ride", "fit")
        and clause.third
        and not clause.by_person
        and any(link in ("on", "by", "with") and one.kinds[:1] == ("fastener",) for link, one in clause.beside)
    ):
        clause.meaning, clause.passive = "holds", True  # "the motor hangs on four bolts"
    if (
        clause.passive
        and clause.past
        and verb.base in ("bolt", "screw", "fix", "fasten", "attach", "mount", "clamp")
        and any(
            link in ("on", "by", "with") and one.kinds[:1] == ("fastener",) and one.count and not one.new
            for link, one in clause.beside
        )
    ):
        clause.meaning = "holds"  # "the sprocket's bolted on with sixteen bolts"
    if verb.base in SECURES and clause.meaning in ("", "holds", "move", "tighten", "fit"):
        secured(clause)
    told = subjects and all(one.pronoun and one.words == "they" for one in subjects) and verb.base not in _INTRANSITIVE
    if told and not clause.passive and clause.objects[:1] and clause.objects[0].pronoun and clause.meaning != "holds":
        clause.meaning = ""  # "they clamp it up" tells what they are for
    weight = [number for number, chunk in enumerate(chunks[at + 1 :]) if chunk.low == "weight"]
    taken = clause.passive and any(chunk.low == "weight" for chunk in chunks[:at])
    if (
        verb.base in ("take", "hold", "carry")
        and (taken or (weight and weight[0] <= 2))
        and clause.particle in ("", "up", "off")
    ):
        clause.meaning = "support"  # "take the weight with the hoist"
        whole = [one for link, one in clause.beside if link == "of"]
        clause.objects = whole[:1] or [Mention(clause.start, clause.start, "it", pronoun=True)]


def _after_verb(chunks: list[Chunk], at: int, clause: Clause, meanings: dict[str, str]) -> None:
    link = ""
    run: list[str] = []
    closed = False
    for number in range(at + 1, len(chunks)):
        chunk = chunks[number]
        if chunk.kind == "rel":
            if False:
                continue
            link = chunk.low
            means = chunk.low in meanings
            if chunk.low == "to" and not (number + 1 < len(chunks) and chunks[number + 1].kind == "fig"):
                means = False
            adjacent = (
                not clause.particle or (chunks[number - 1].kind == "rel") or meanings.get(clause.particle) == "none"
            )
            if clause.particle and meanings.get(chunk.low) == "none":
                adjacent = False
            placed = chunk.low in ("in", "on", "over") and number + 1 < len(chunks) and chunks[number + 1].mention
            if clause.particle in ("out", "off", "apart") and placed and meanings.get(clause.particle) == "open":
                adjacent = False  # "press the crosses out in the vice"
            if means and not closed and adjacent:
                clause.particle = chunk.low
            elif chunk.low in ("out of", "off of") and not closed and chunk.low.split()[0] in meanings:
                clause.particle = chunk.low.split()[0]
            run.append(chunk.low)
        elif chunk.mention is not None:
            directly = number == at + 1 or all(
                part.kind in ("rel", "filler", "manner", "det", "word") for part in chunks[at + 1 : number]
            )
            if (
                not link
                or (
                    directly
                    and not clause.subject
                    and link in meanings
                    and not clause.objects
                    and link not in ("for", "at", "with", "to", "onto", "into", "under", "like")
                )
                or (link in ("at", "round", "around", "over") and clause.verb == "look" and not clause.objects)
                or (link == "for" and "for" in meanings and directly)
            ) or (clause.objects and not link):
                clause.objects.append(chunk.mention)
            else:
                clause.beside.append((link, chunk.mention))
                closed = closed or link in meanings or bool(clause.particle)
            link, run = "", []
        elif chunk.kind in ("conj", "comma"):
            clause.apart = clause.apart or (chunk.kind == "comma" and not clause.objects)
            follows = chunks[number + 2].low if number + 2 < len(chunks) else ""
            joined = (
                chunk.kind == "conj" and clause.beside and number and chunks[number - 1].mention is clause.beside[-1][1]
            )
            link = clause.beside[-1][0] if joined and follows not in TERSE else ""
            run = []
            if clause.objects and (clause.particle or (clause.verb == "clean" and chunk.kind == "comma")):
                closed = True
        elif chunk.kind == "neg" and number == at + 1:
            clause.negated = clause.negated or chunk.low
        elif chunk.kind in ("aux", "sub"):
            clause.tail = chunk.low if chunk.kind == "sub" else ""
            break
        elif chunk.kind == "seq":
            clause.apart, link = clause.apart or not clause.objects, ""
        elif chunk.kind != "filler":
            link = link if chunk.kind in ("word", "det") else ""


_INTRANSITIVE = frozenset(
    {
        "come",
        "go",
        "fall",
        "sit",
        "drop",
        "slide",
        "slip",
        "lift",
        "swing",
        "pop",
        "fit",
        "pull",
        "run",
        "screw",
        "thread",
        "push",
        "spin",
        "press",
        "bolt",
        "clip",
        "plug",
        "seat",
        "wind",
        "hang",
        "back",
        "hook",
        "peel",
        "unscrew",
    }
)
"""Verbs of which the thing itself is the subject: "the shaft drops down", "the bolts go in"."""


def _settle_object(clause: Clause, form: str) -> None:
    """Passive and descriptive: what stands before the verb is what it is done to."""
    if not clause.subject or clause.by_person:
        return
    if clause.passive and form in ("past", "base"):
        if clause.objects and clause.verb not in ("torque", "tighten"):
            clause.beside.extend(("", mention) for mention in clause.objects)
        clause.objects = list(clause.subject)
    elif clause.verb in _INTRANSITIVE and (not clause.objects or clause.apart):
        clause.objects = [*clause.subject, *clause.objects]
    elif (not clause.objects and form == "past") or (
        not clause.objects and form == "base" and clause.verb not in ("have", "get", "need", "want")
    ):
        clause.objects = list(clause.subject)
