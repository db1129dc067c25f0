"""What was said of somebody else or of another machine, and is none of this job's."""

from __future__ import annotations

from .clause import Clause, Free


def of_somebody_else(first: Clause, old: Clause) -> bool:
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


def told_of_another(first: Clause) -> bool:
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


def of_another(free: Free) -> bool:
    """ "Fifty-five is the other engine"."""
    return free.link is not None and (free.link.rest or free.link.old or " other " in f" {free.link.words} ")
