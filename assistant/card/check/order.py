"""Pairs of things: what holds, hides, covers or carries what, so that the order of the steps can be done."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from .bay import WANTED, Bay
from .happenings import Happening, Row
from .rule import Problem, Rule

_ENOUGH_LOOSE = ("clamp", "union")
"""Kinds that let go of a part when loosened; they need not come out."""


def order_rules(row: Row) -> Iterator[Rule]:
    """One rule for each pair that bears on the other."""
    card = row.card
    for fastener_id, fastener in card.fasteners.items():
        for slot in dict.fromkeys(row.slot(part) for part in fastener.joins):
            yield Rule(frozenset([fastener_id, *row.fillers[slot]]), _held_by(fastener_id, slot))
        for slot in dict.fromkeys(row.slot(part) for part in fastener.behind):
            yield Rule(frozenset([fastener_id, *row.fillers[slot]]), _hidden([fastener_id], slot))
    for slot, parts in row.fillers.items():
        hiding = dict.fromkeys(row.slot(other) for part in parts for other in card.parts[part].behind)
        for other in hiding:
            if other != slot:
                yield Rule(frozenset([*parts, *row.fillers[other]]), _hidden(parts, other))
    for connection_id, connection in card.connections.items():
        for slot in dict.fromkeys(row.slot(part) for part in connection.joins):
            yield Rule(frozenset([connection_id, *row.fillers[slot]]), _connected_to(connection_id, slot))
    for cover_id, cover in card.covers.items():
        for thing in cover.over:
            others = row.fillers[row.slot(thing)] if thing in card.parts else [thing]
            yield Rule(frozenset([cover_id, *others]), _covered(cover_id, thing))
    for mark_id, mark in card.marks.items():
        for slot in dict.fromkeys(row.slot(part) for part in mark.joins):
            yield Rule(frozenset([mark_id, *row.fillers[slot]]), _marked(mark_id, slot))
    for fluid_id, fluid in card.fluids.items():
        for thing in fluid.held_by:
            others = row.fillers[row.slot(thing)] if thing in card.parts else [thing]
            yield Rule(frozenset([fluid_id, *others]), _kept_in(fluid_id, thing))


def _held_by(fastener: str, slot: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if not (bay.exists(fastener) and bay.exists(slot)):
            return
        row, it = bay.row, bay.sets[fastener]
        kind, name = row.card.fasteners[fastener].kind, row.name(fastener)
        if h.verb == "remove" and kind != "stud":
            holding = it.tight if kind in _ENOUGH_LOOSE else it.inside
            if holding:
                message = (
                    f"Step {h.number} takes off the {row.name(h.thing)} while {holding} of the {name} still hold it."
                )
                mend = f"Loosen the {name} before." if kind in _ENOUGH_LOOSE else f"Take out the {name} before."
                yield Problem(h.path, "still-held", message, mend)
        elif h.thing == fastener and h.verb in ("start", "snug", "tighten") and not bay.is_on(slot):
            message = f"Step {h.number} puts in the {name} while the {row.name(slot)} is off."
            yield Problem(h.path, "part-missing", message, f"Fit the {row.name(slot)} before.")

    return before


def _hidden(hidden: list[str], behind: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.thing not in hidden or not (h.verb in WANTED or h.verb in ("remove", "fit")):
            return
        now = bay.occupant[behind]
        if now is not None:
            row = bay.row
            message = f"Step {h.number} works on the {row.name(h.thing)}, but the {row.name(now)} is in the way then."
            yield Problem(h.path, "in-the-way", message, f"Mend the order: it lies behind the {row.name(now)}.")

    return before


def _connected_to(connection: str, slot: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        row = bay.row
        if not (bay.exists(connection) and bay.exists(slot)):
            return
        if h.verb == "remove" and not bay.open[connection]:
            message = f"Step {h.number} takes off the {row.name(h.thing)} with the {row.name(connection)} still on it."
            yield Problem(h.path, "still-held", message, f"Disconnect the {row.name(connection)} before.")
        elif h.verb == "connect" and not bay.is_on(slot):
            message = f"Step {h.number} connects the {row.name(connection)} while the {row.name(slot)} is off."
            yield Problem(h.path, "part-missing", message, f"Fit the {row.name(slot)} before.")

    return before


def _covered(cover: str, thing: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        row = bay.row
        is_part = thing in row.card.parts
        if h.verb in ("fit", "connect") and bay.open[cover]:
            message = f"Step {h.number} puts back the {row.name(h.thing)} with the {row.name(cover)} still in."
            yield Problem(h.path, "in-the-way", message, f"Take the {row.name(cover)} out before: `uncover`.")
        elif h.verb == "cover" and bay.exists(thing):
            still_there = bay.is_on(row.slot(thing)) if is_part else not bay.open[thing]
            if still_there:
                message = f"Step {h.number} puts in the {row.name(cover)}, but the {row.name(thing)} is there then."
                mend = f"{'Take off' if is_part else 'Disconnect'} the {row.name(thing)} before."
                yield Problem(h.path, "in-the-way", message, mend)

    return before


def _marked(mark: str, slot: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.thing == mark and h.verb in ("mark", "line_up") and bay.exists(slot) and not bay.is_on(slot):
            row = bay.row
            doing = "makes" if h.verb == "mark" else "lines up"
            message = f"Step {h.number} {doing} the {row.name(mark)} while the {row.name(slot)} is off."
            mend = "Mark before parting." if h.verb == "mark" else f"Fit the {row.name(slot)} before."
            yield Problem(h.path, "part-missing", message, mend)

    return before


def _kept_in(fluid: str, thing: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        row = bay.row
        if h.thing != fluid or h.verb != "fill" or not bay.exists(thing):
            return
        kind = row.things[thing].kind
        shut = (
            bay.is_fast(thing)
            if kind == "fastener"
            else bay.is_on(row.slot(thing)) if kind == "part" else not bay.open[thing]
        )  # fmt: skip
        if not shut:
            message = f"Step {h.number} fills the {row.name(fluid)} before the {row.name(thing)} is shut."
            yield Problem(h.path, "part-missing", message, f"Close the {row.name(thing)} before.")

    return before
