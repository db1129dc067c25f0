"""Loads: supported before the last fastener comes out, released only when fastened, no heavy lift alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import ROUND_CEILING, Decimal

from .bay import Bay
from .happenings import Happening, Row
from .rule import Problem, Rule


def carrying_rules(row: Row) -> Iterator[Rule]:
    """One rule for each part that is carried or heavy, and two for each support."""
    carriers: dict[str, list[str]] = {slot: [] for slot in row.fillers}
    for support_id, support in row.card.supports.items():
        slots = [row.slot(part) for part in support.carries if part != "vehicle"]
        for slot in dict.fromkeys(slots):
            carriers[slot].append(support_id)
            things = [support_id, *row.fillers[slot]]
            for fastener in row.holding.get(slot, []):
                yield Rule(frozenset([*things, fastener]), _released(support_id, slot, fastener))
        parts = [filler for slot in slots for filler in row.fillers[slot]]
        yield Rule(frozenset([support_id, *parts]), _capacity(support_id))
        yield Rule(frozenset([support_id]), _hold(support_id))
    for slot, supports in carriers.items():
        masses = [row.card.parts[part].mass_kg or Decimal(0) for part in row.fillers[slot]]
        things = [*row.fillers[slot], *supports]
        if supports:
            yield Rule(frozenset([*things, *row.holding.get(slot, [])]), _last_fastener(slot, supports))
        if supports or max(masses) > row.card.lift_limit_kg:
            yield Rule(frozenset(things), _lift(slot, supports))


def _carried(bay: Bay, supports: list[str]) -> bool:
    return any(bay.open[support] for support in supports)


def _last_fastener(slot: str, supports: list[str]) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.verb != "take_out" or not bay.is_on(slot) or _carried(bay, supports) or not _usable(bay, supports):
            return
        row = bay.row
        holding = [f for f in row.holding[slot] if bay.exists(f)]
        left = sum(bay.sets[f].inside for f in holding) - bay.amount(h)
        if h.thing in holding and left <= 0:
            wanted = " or the ".join(row.name(support) for support in supports)
            message = f"Step {h.number} takes out the last fastener of the {row.name(slot)} with nothing under it."
            yield Problem(h.path, "unsupported", message, f"Place the {wanted} in an earlier step.")

    return before


def _lift(slot: str, supports: list[str]) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.verb not in ("remove", "fit") or _carried(bay, supports):
            return
        row, part = bay.row, bay.row.card.parts[h.thing]
        moving = "takes off" if h.verb == "remove" else "fits"
        if _usable(bay, supports):
            wanted = " or the ".join(row.name(support) for support in supports)
            message = f"Step {h.number} {moving} the {part.name} with nothing under it."
            yield Problem(h.path, "unsupported", message, f"Place the {wanted} in an earlier step.")
            return
        limit, people = row.card.lift_limit_kg, h.step.helpers + 1
        hoisted = any(row.card.tools[tool].kind == "lifting" for tool in h.step.tools)
        if part.mass_kg is not None and part.mass_kg > limit * people and not hoisted:
            needed = (part.mass_kg / limit).to_integral_value(ROUND_CEILING) - 1
            load = f"{part.mass_kg} kg for {people}, the limit is {limit} kg each"
            message = f"Step {h.number} {moving} the {part.name}: {load}."
            yield Problem(
                h.path, "heavy-lift", message, f"Use a support or a lifting tool, or ask for `helpers: {needed}`."
            )  # fmt: skip

    return before


def _usable(bay: Bay, supports: list[str]) -> bool:
    return any(bay.exists(support) for support in supports)


def _released(support: str, slot: str, fastener: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        entry = bay.row.card.fasteners[fastener]
        if h.verb != "release" or not bay.is_on(slot) or not bay.exists(fastener) or entry.starts_off:
            return
        if not bay.is_fast(fastener):
            row = bay.row
            message = (
                f"Step {h.number} takes the {row.name(support)} away before the {entry.name}, "
                f"which hold the {row.name(slot)}, are tight."
            )
            yield Problem(h.path, "released-early", message, f"Tighten the {entry.name} before.")

    return before


def _hold(support: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        if h.verb == "hold" and not bay.open[support]:
            message = f"The hold of step {h.number} needs the {bay.row.name(support)}, which is not in place then."
            yield Problem(h.path, "hold-without-support", message, "Place it in an earlier step.")

    return before


def _capacity(support: str) -> Callable[[Bay, Happening], Iterator[Problem]]:
    def before(bay: Bay, h: Happening) -> Iterator[Problem]:
        row, entry = bay.row, bay.row.card.supports[support]
        if h.verb != "support" or entry.capacity_kg is None:
            return
        slots = dict.fromkeys(row.slot(part) for part in entry.carries if part != "vehicle")
        load = sum((row.card.parts[s].mass_kg or Decimal(0) for s in slots if bay.exists(s)), start=Decimal(0))
        if "vehicle" in entry.carries:
            load += row.card.vehicle_kg or 0
        if load > entry.capacity_kg:
            message = f"The {entry.name} would carry {load} kg and may carry {entry.capacity_kg} kg."
            yield Problem(("supports", support, "capacity_kg"), "overloaded", message, "Use a stronger one.")

    return before
