"""A figure put right by the figure said last."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

from .another_machine import of_another
from .clause import Clause
from .figures import Figure

ROUNDS = frozenset({"round", "rounds", "steps", "step", "passes", "pass", "stages", "stage", "goes", "times"})
"""Words that make a number a count of rounds, no value of a thing."""


def mend_figures(old: Clause, first: Clause) -> bool:
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
        if free.beside in ROUNDS or of_another(free) or figure.value in dropped:
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
                dropped.add(Decimal(counted.count or -1))  # said again, it only tells what was wrong
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
