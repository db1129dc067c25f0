"""Clauses with no verb: "hoses back on", "new bearing into the housing", "last bolt out"."""

from __future__ import annotations

from .chunks import Chunk
from .clause import Clause

TERSE = {
    "out": "open",
    "off": "open",
    "away": "open",
    "in": "fit",
    "on": "fit",
    "back": "fit",
    "up": "raise",
    "down": "let-down",
    "loose": "loosen",
    "under": "fit",
    "together": "fit",
}


TERSE_LEADING = {
    "out of": "open",
    "off of": "open",
    "into": "fit",
    "onto": "fit",
    "over": "fit",
    "across": "fit",
    "round": "fit",
    "around": "fit",
    "through": "fit",
    "down": "fit",
    "against": "fit",
}
"""What a preposition means between two things with no verb: "new bearing into the housing", "bag over the end"."""
"""What a particle means behind a thing with no verb: "last bolt out", "hoses back on"."""


_ALONE = frozenset({"out", "off", "away", "in", "on", "back", "loose"})


def read_without_verb(chunks: list[Chunk], clause: Clause) -> None:
    link = ""
    particles: list[str] = []
    for number, chunk in enumerate(chunks):
        if chunk.kind == "sub" and not clause.sub and number <= 1:
            clause.sub = chunk.low
        beside_it = (
            number
            and chunks[number - 1].kind == "comma"
            and bool(clause.objects or any(one.kind == "fig" for one in chunks[:number]))
        )
        if chunk.kind == "neg" and not clause.negated and not beside_it:  # "a stand under it, not on the tarmac"
            clause.negated = chunk.low
        if chunk.kind == "aux":
            link = ""
        if chunk.kind == "rel":
            link = chunk.low
            leads_on = number + 1 < len(chunks) and chunks[number + 1].mention is not None
            held = clause.objects and clause.objects[0].kinds[:1] in (("support",), ("cover",), ("mark",))
            if (
                chunk.low in TERSE
                and (clause.objects or clause.manners)
                and not (leads_on and not held and chunk.low not in ("off", "out", "under"))
                and not (chunk.low == "together" and particles)
            ):
                particles.append(chunk.low)
            elif chunk.low in ("out of", "off of") and len(clause.objects) == 1 and not leads_on:
                particles.append(chunk.low.split()[0])  # "drain plug out of the bottom of the hub"
        elif chunk.mention is not None:
            if link and (clause.objects or link not in TERSE):
                clause.beside.append((link, chunk.mention))
                if particles and particles[-1] == link and link in ("off", "under", "on", "in", "up", "down"):
                    pass
            else:
                if link in TERSE and not clause.objects:
                    particles.append(link)
                clause.objects.append(chunk.mention)
            link = ""
        elif chunk.kind in ("conj", "comma", "seq"):
            link = ""
    clause.subject = list(clause.objects)
    first = [chunk for chunk in chunks if chunk.kind not in ("filler", "seq", "conj")][:3]
    if len(first) == 3 and first[0].low in ("off", "out") and first[1].low == "with" and first[2].mention is not None:
        clause.objects = clause.subject = [first[2].mention]  # "off with that"
        clause.beside, particles = [], [first[0].low]
    lone = [chunk.low for chunk in chunks if chunk.kind not in ("filler", "seq", "conj", "end", "comma")]
    if len(lone) == 1 and lone[0] in _ALONE and not clause.sub:
        clause.particle, clause.meaning = lone[0], TERSE[lone[0]]  # "Six guard bolts, M16. Out."
    if not particles and clause.objects and not clause.sub and not any(chunk.kind == "aux" for chunk in chunks):
        _led(clause)
    elif clause.objects and clause.objects[0].kinds[:1] == ("mark",) and "in line" in " ".join(clause.lows):
        clause.particle, clause.meaning, particles = "in", "line-up", []
    if clause.beside and clause.beside[0][0] == "with" and clause.objects and clause.objects[0].pronoun:
        particles = []  # "sixty kilos with the hub in it"
    opened = [chunk for chunk in chunks if chunk.kind not in ("filler", "seq", "conj", "comma")][:2]
    stuff = opened[1].mention if len(opened) == 2 and opened[0].low == "with" else None
    if stuff is not None and stuff.kinds[:1] in (("consumable",), ("fluid",)):
        particles, clause.objects, clause.subject = [], [], []  # ", with oil on the lip"
        clause.beside = [("with", stuff), *(one for one in clause.beside if one[1] is not stuff)]
    elif stuff is not None and stuff.kinds[:1] == ("support",) and not clause.sub:
        clause.objects = clause.subject = [stuff]  # "with the crane on the housing, ..."
        clause.beside = [one for one in clause.beside if one[1] is not stuff]
        particles = ["on"]
    if particles and clause.objects:
        clause.particle = particles[-1]
        clause.meaning = TERSE[particles[-1]]
        placed = any(link == clause.particle for link, _ in clause.beside)
        if clause.meaning == "let-down" and placed and clause.objects[0].kinds[:1] == ("support",):
            clause.meaning = "fit"  # "two wedges, down the gap"
        if any(chunk.kind == "aux" for chunk in chunks) and clause.particle in ("on", "in", "up", "under", "down"):
            clause.meaning = ""  # "the bracket is on the frame" says where it is


def _led(clause: Clause) -> None:
    """ "New copper washer down the bore", "plastic bag over the end of it", "paint mark across wheel and shaft"."""
    first = clause.objects[0]
    kind = first.kinds[:1]
    held = kind in (("support",), ("cover",), ("mark",))
    for link, _ in clause.beside:
        placed = (
            ("on", "in", "of", "at", "behind")
            if held
            else ("on", "in", "under", "behind", "between")
            if first.new
            else ()
        )
        meaning = TERSE_LEADING.get(link, "fit" if link in placed else "")
        if (
            meaning
            and (held or kind in (("part",), ("connection",)) or (link == "out of" and kind == ("fastener",)))
            and (held or len(clause.objects) == 1)
        ):
            clause.particle, clause.meaning = link, meaning
            del clause.objects[1:]
            return
    if kind == ("mark",) and "in line" in " ".join(clause.lows):
        clause.particle, clause.meaning = "in", "line-up"
        del clause.objects[1:]
    elif kind == ("mark",) and "across" in clause.lows:
        clause.particle, clause.meaning = "across", "fit"
        del clause.objects[1:]
