"""What a verb with its object comes to: drawn marks, what is smeared on, what holds up, what keeps dirt out."""

from __future__ import annotations

from .chunks import Chunk
from .clause import Clause

DRAWS = frozenset({"draw", "paint", "put", "make", "scribe", "scratch", "chalk", "file", "run", "cut", "spray", "mark"})


DRAWN = frozenset({"line", "arrow", "cross", "dot", "notch", "stripe", "scratch", "tick", "number", "letter", "star"})
"""What is drawn on parts to tell how they go together again."""


def with_out(chunks: list[Chunk], number: int) -> bool:
    follows = chunks[number + 1].mention
    return (
        chunks[number].low in ("out", "off", "away", "up", "down")
        and chunks[number - 1].mention is not None
        and follows is not None
        and follows.det != ""
    )


_SMEARS = frozenset({"run", "lay", "spread", "draw", "squeeze", "wipe", "smear", "dab", "rub", "brush", "put", "squirt",
                     "drip", "work", "pop", "get", "stick", "paint", "apply", "slap", "pump", "push", "shoot", "give",
                     "inject", "dribble", "daub", "trail"})  # fmt: skip


def smears(clause: Clause) -> bool:
    onto = any(
        link in ("on", "onto", "round", "around", "along", "over", "into", "between") for link, _ in clause.beside
    )
    wet = bool(clause.objects) and all(one.kinds[:1] == ("consumable",) or one.is_oil for one in clause.objects)
    placed = clause.verb in _SMEARS and clause.particle in (
        "",
        "on",
        "onto",
        "round",
        "around",
        "along",
        "over",
        "into",
    )
    return placed and onto and wet and not clause.negated and clause.meaning not in ("fill", "drain", "open")


SECURES = frozenset({"secure", "protect", "close", "seal", "hold", "stop", "keep", "carry", "brace", "lock", "retain"})


def holds_up(clause: Clause) -> bool:
    carriers = bool(clause.objects) and all(one.kinds[:1] == ("support",) for one in clause.objects)
    ways = {"under", "underneath", "beneath", "below", "round", "around", "through"}
    if clause.verb in ("hook", "hang", "attach", "rig", "shackle", "sling", "clip", "fix"):
        ways |= {"to", "on", "onto"}
    under = any(link in ways for link, _ in clause.beside)
    return carriers and under and clause.particle not in ("out", "off", "away", "down") and not clause.negated


def secured(clause: Clause) -> None:
    """ "Secure it with two chocks", "protect the end with a cap", "lock it with a new split pin"."""
    for link, mention in clause.beside:
        kind = mention.kinds[:1]
        if link != "with" or clause.negated:
            continue
        if clause.verb in ("close", "seal", "protect", "stop") and "cover" in mention.kinds:
            mention.kinds = kind = ("cover",)
        if (
            clause.verb in ("secure", "hold", "stop", "brace")
            and "support" in mention.kinds
            and mention.head == "wedge"
        ):
            mention.kinds = kind = ("support",)
        if kind in (("support",), ("cover",)):
            clause.meaning = kind[0]
        elif kind == ("part",) and mention.new and not clause.passive:
            clause.meaning, clause.objects = "fit", [mention]


def covers_over(clause: Clause) -> bool:
    kept_out = bool(clause.objects) and all("cover" in one.kinds and one.head != "cover" for one in clause.objects)
    over = any(link in ("over", "round", "around", "across", "into", "onto") for link, _ in clause.beside)
    return kept_out and over and clause.particle not in ("off", "out", "away") and not clause.negated
