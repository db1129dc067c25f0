"""How things stand at one moment of one combination of facts: what is in, on, joined, covered, carried."""

from __future__ import annotations

from dataclasses import dataclass

from .combinations import Facts
from .happenings import Happening, Row


@dataclass(slots=True)
class Set:
    """The fasteners of one set, by how they stand; the five add up to its count."""

    count: int
    tight: int = 0
    loose: int = 0
    started: int = 0
    snug: int = 0
    out: int = 0
    passes: int = 0
    """Passes done since it was last undone."""

    @property
    def inside(self) -> int:
        """In at all, tight or not."""
        return self.count - self.out

    def there(self, standings: tuple[str, ...]) -> int:
        """How many stand in any of these ways."""
        return sum(int(getattr(self, standing)) for standing in standings)

    def move(self, count: int, to: str, *from_: str) -> None:
        """Moves up to `count` from these standings, the first first."""
        for standing in from_:
            there = getattr(self, standing)
            moved = min(count, there)
            setattr(self, standing, there - moved)
            setattr(self, to, getattr(self, to) + moved)
            count -= moved


OPENING = {"disconnect": True, "drain": True, "cover": True, "mark": True, "support": True}
CLOSING = {"connect": False, "fill": False, "uncover": False, "line_up": False, "release": False}
_OPENED = OPENING | CLOSING
WANTED = {
    "loosen": ("tight",),
    "take_out": ("loose", "started", "snug", "tight"),
    "start": ("out",),
    "snug": ("started", "loose", "out"),
    "tighten": ("snug", "started", "loose", "out"),
}
"""Fastener verb to the standings that it takes fasteners from, the first first."""
BECOMES = {"loosen": "loose", "take_out": "out", "start": "started", "snug": "snug", "tighten": "tight"}


class Bay:
    """The standing of some things, changed by each happening whether it makes sense or not; rules look at it."""

    def __init__(self, row: Row, things: frozenset[str], facts: Facts) -> None:
        self.row, self.facts = row, facts
        self.sets: dict[str, Set] = {}
        self.occupant: dict[str, str | None] = {}
        self.open: dict[str, bool] = {}
        self.last: dict[str, Happening] = {}
        """Thing -> what changed it last."""
        card = row.card
        for thing in things:
            kind = row.things[thing].kind
            if kind == "fastener":
                fastener = card.fasteners[thing]
                count = max(1, fastener.count)
                off = fastener.starts_off
                self.sets[thing] = Set(count, out=count) if off else Set(count, tight=count)
            elif kind == "part" and row.slot(thing) == thing:
                part = card.parts[thing]
                on = self.exists(thing) and not (part.new or part.starts_off)
                self.occupant[thing] = thing if on else None
            else:
                self.open[thing] = False

    def exists(self, thing: str) -> bool:
        """True where this vehicle has the thing."""
        when = self.row.when(thing)
        return all(
            self.facts.get(fact) in ([options] if isinstance(options, str) else options)
            for fact, options in when.items()
        )

    def is_on(self, slot: str) -> bool:
        """True where something fills the place."""
        return self.occupant[slot] is not None

    def is_fast(self, fastener: str) -> bool:
        """True where the whole set is at its value, or snug where that is all the card asks."""
        it = self.sets[fastener]
        torque = self.row.card.fasteners[fastener].torque
        return it.tight + (it.snug if torque is not None and torque.by_hand else 0) == it.count

    def amount(self, happening: Happening) -> int:
        """How many fasteners it takes: what it says, or all that it can."""
        it, some = self.sets[happening.thing], happening.some
        there = it.there(WANTED[happening.verb])
        if some is None:
            return there
        if some.count is not None:
            return some.count
        if some.all_but is not None:
            return it.count - some.all_but
        return len(some.places)

    def take(self, happening: Happening) -> None:
        """Things stand as they do after it."""
        thing, verb = happening.thing, happening.verb
        if verb in WANTED:
            self._take_fasteners(happening)
        elif verb in ("remove", "fit"):
            self.last[self.row.slot(thing)] = happening
            self.occupant[self.row.slot(thing)] = thing if verb == "fit" else None
        elif verb in _OPENED:
            self.open[thing] = _OPENED[verb]
        else:
            return  # looked at only
        self.last[thing] = happening

    def _take_fasteners(self, happening: Happening) -> None:
        it, verb = self.sets[happening.thing], happening.verb
        count, from_ = self.amount(happening), WANTED[verb]
        if verb != "tighten":
            it.move(count, BECOMES[verb], *from_)
            it.passes = 0
            return
        rounds = max(1, len(self.row.card.fasteners[happening.thing].passes))
        done = happening.only_pass or rounds
        it.move(count, "tight" if done >= rounds else "snug", *from_)
        it.passes = max(it.passes, done)
