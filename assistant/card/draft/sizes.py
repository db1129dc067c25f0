"""Threads, heads, lengths, weights and amounts."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from .clause import Clause, Free
from .figures import Figure
from .known_things import SMALL_PARTS
from .likeness import in_by_itself, taken_back
from .limits import Limits, told_elsewhere
from .owners import NO_WEIGHT
from .story import Unread
from .thing import Said, Thing
from .torques import ABOUT, is_bare

_WRENCH = frozenset(
    {
        "hex",
        "spanner",
        "socket",
        "head",
        "heads",
        "wrench",
        "key",
        "across",
        "allen",
        "ring",
        "torx",
        "drive",
        "af",
        "headed",
    }
)


_WAYS = frozenset({"km", "m", "mi", "yd", "ft"})
"""Units of a way that is driven, no size of a thing."""


_FLATS = frozenset(map(Decimal, (
    5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24, 27, 30, 32, 34, 36, 41, 46, 50, 55, 60
)))  # fmt: skip
"""Widths across flats that spanners come in, millimetres; common practice, from memory."""


_LONG = frozenset({"long", "length", "longer"})


WITH_IT_ON = re.compile(
    r"\bwith (?:the|that|this|all|both|its|them|everything)\b[\w ]* "
    r"(?:on|in|off|out|fitted|attached|and all)\b(?! (?:the|them|there)\b)|\bwith (?:the|its|that) (?:tyre|tire|rim)\b"
)
""" "Fifty-two kilos with all the spokes on", "with the tyre on": the weight of what was spoken of, in that state."""


class Sizes(Limits):
    """Threads, heads, lengths, weights, amounts and bare numbers."""

    def _length_by_size(self, figures: list[Free], number: int, owners: list[Thing]) -> bool:
        """ "M12 by 45": by the way that screws are designated, 45 mm long."""
        free = figures[number]
        if not number or not figures[number - 1].figure.thread or free.before not in ("by", "x", "×"):
            return False
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        millimetres = is_bare(free) or free.figure.unit == "mm"
        if not fasteners or not millimetres or free.figure.value is None or free.figure.value < 8:
            return False
        fasteners[-1].length = fasteners[-1].length or replace(free.figure, unit="mm")
        self.bound += 1
        return True

    def _thread(self, free: Free, owners: list[Thing], clause: Clause, said: Said) -> None:
        figure = free.figure
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        called = [one for one in self.things.focus if one.kind == "fastener" and one.thread == figure.thread]
        if not fasteners and called:
            self.things.speak_of(called[0])  # "do the M8s up again"
            self.bound += 1
            return
        thing = self._nearest(clause, free, fasteners) if fasteners else self.things.latest(("fastener",), within=4)
        if not fasteners and thing is not None and thing.thread == "":
            part = next((one for one in self.things.focus if one.kind == "part" and one.head not in SMALL_PARTS), None)
            if part is not None and part.at_clause > thing.at_clause and part not in thing.joins:
                thing = None  # "the hook nut, and a locking plate with two bolts. M12": whose?
        if thing is None or thing.doubted:
            self.unread.append(Unread(said, f"a thread ({figure.thread}) and no fastener named near it"))
            return
        if not thing.thread and "thread" not in thing.disputed:
            thing.thread = figure.thread
        elif thing.thread and thing.thread != figure.thread:
            thing.doubt(f"two threads said: {thing.thread} and {figure.thread}: which?")
            thing.thread = ""
            thing.disputed.add("thread")
        self.bound += 1

    def _mass(self, figure: Figure, owners: list[Thing], clause: Clause, said: Said) -> None:
        named = [thing for thing in owners if thing.kind == "part"]
        lines = [thing for thing in owners if thing.kind == "connection"]
        named = named or (lines if clause.lows[:1] in (("that",), ("the",), ("this",)) else [])
        if WITH_IT_ON.search(" ".join(clause.lows)):
            held = {one.head for link, one in clause.beside if link == "with"}
            it = clause.lows[:2] in (("it", "is"), ("it", "weighs"))
            named = [] if it else [thing for thing in named if thing.head not in held]
        parts = [thing for thing in named if thing.head not in NO_WEIGHT] or named
        one = any(mention.pronoun and not mention.plural for mention in clause.mentions)
        thing = parts[0] if parts else self._weighed(4, False if one else None)
        together = [
            one
            for one in self.things.focus
            if thing is not None
            and one.kind == "part"
            and one.head not in NO_WEIGHT
            and one.at_clause == thing.at_clause
        ]
        if {"lot", "everything", "assembly"} & set(clause.lows) and not named:
            self.unread.append(Unread(said, f"a weight ({figure.said}) of several things together"))
            self.bound += 1
            return
        if len(together) > 1 and not any(mention.head for mention in clause.mentions):
            self.unread.append(
                Unread(
                    said,
                    f"a weight ({figure.said}) of several things: {', '.join(one.name for one in together[:3])}",
                )
            )
            self.bound += 1
            return
        if thing is None:
            bolt, sling = self.things.latest(("fastener",), within=2), self.things.latest(("support",), within=6)
            if bolt is None or bolt.plural or (sling is not None and sling.at_clause >= bolt.at_clause):
                self.hanging = (figure, said, self.things.clause)  # else it may well be the nut that weighs so much
            self.unread.append(Unread(said, f"a weight ({figure.said}) and nothing named near it"))
            return
        if thing.mass is None:
            thing.mass = figure
            if ABOUT & set(clause.lows):
                thing.doubt(f'weight said as about: "{figure.said}"')
        self.bound += 1

    def lifted(self, thing: Thing) -> None:
        """ "Sling round the blades, it's eighty kilos. Nut off, propeller off": the weight was the propeller's."""
        if self.hanging is None or thing.kind != "part" or thing.plural or thing.head in NO_WEIGHT:
            return
        figure, said, clause = self.hanging
        self.hanging = None
        if self.things.clause - clause <= 6 and thing.mass is None:
            thing.mass = figure
            thing.doubt(f'weight said before it was named: "{said.words}"')
            self.unread[:] = [one for one in self.unread if one.said is not said]

    def _volume(self, figure: Figure, owners: list[Thing], clause: Clause, said: Said) -> None:
        fluids = [thing for thing in owners if thing.kind == "fluid"]
        thing = fluids[0] if fluids else self.things.latest(("fluid",), within=5)
        if thing is None:
            self.unread.append(Unread(said, f"an amount ({figure.said}) and no oil or coolant named near it"))
            return
        took_back = thing.quantity_said is not None and taken_back(thing.quantity_said.words)
        if thing.quantity is None or took_back:
            thing.quantity, thing.quantity_said = figure, said
            if ABOUT & set(clause.lows):
                thing.doubt(f'amount said as about: "{figure.said}"')
        elif (thing.quantity.value, thing.quantity.unit) != (figure.value, figure.unit):
            thing.doubt(f'two amounts said: "{thing.quantity.said}" and "{figure.said}": which?')
        self.bound += 1

    def _length(self, free: Free, owners: list[Thing], clause: Clause, said: Said) -> None:
        figure = free.figure
        if figure.unit in _WAYS:
            return  # "check them again after 50 kilometres"
        compared = (
            "most" in (free.before, free.beside) or "least" in (free.before, free.beside) or figure.low is not None
        ) or bool(told_elsewhere(clause))
        measure = self._measure(clause, owners)
        if measure is not None and (compared or any(thing.kind == "measure" for thing in owners)):
            self._limit(measure, free, clause, said)
            return
        if figure.dimension != "length":
            self.unread.append(Unread(said, f"a value ({figure.said}) and nothing it measures was named"))
            return
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        nearest = self._nearest(clause, free, fasteners)
        thing = nearest if fasteners else self.things.latest(("fastener",), within=3)
        words = {free.before, *free.beside.split()}
        lines = [one for one in owners if one.kind == "connection"]
        if lines and not fasteners and (words & _WRENCH or {"spanner", "socket", "wrench"} & set(clause.lows)):
            self._turned_by(lines[-1], figure)  # "the hoses are disconnected, spanner size 36 millimetres"
            return
        takes = clause.verb in ("take", "want", "need") and figure.unit == "mm" and not compared
        if lines and not fasteners and takes and figure.value in _FLATS and free.before == clause.verb + "s":
            self._turned_by(lines[-1], figure)  # "the lower hose takes a thirty-six mil"
            lines[-1].doubt(f'a size was said and not of what, taken for the head: "{clause.words}"')
            return
        spanner = any(one.kinds[:1] == ("tool",) and not one.sizes for one in clause.objects) and figure.unit == "mm"
        spanner = spanner and clause.lows[:1] in (("it",), ("that",), ("they",))
        named = any(one.head and one.kinds[:1] != ("tool",) for one in clause.mentions)
        if spanner and not named and not compared and {"spanner", "socket", "wrench", "key"} & set(clause.lows):
            turned = nearest if fasteners else self.things.latest(("fastener", "connection"), within=3)
            if turned is not None and not turned.doubted:
                self._turned_by(turned, figure)  # "it's a ring spanner, ninety-five millimetres"
                return
        if any(one.ones and one.places for one in clause.mentions) and _LONG & set(clause.lows):
            self.unread.append(Unread(said, f"a length ({figure.said}) of some of them: say which and how many"))
            return
        alone = len([one for one in clause.figures if one.figure.dimension == "length"]) == 1
        alike = fasteners and not compared and {"is", "are"} & set(clause.lows) and not words & _WRENCH
        again = alike and self.things.clause - self.long_at <= 6 and figure.unit == "mm" and alone
        if thing is not None and (words & _LONG or again or (alone and fasteners and _LONG & set(clause.lows))):
            thing.length = thing.length or figure
            self.long_at = self.things.clause  # "... are 35 millimetres long. The lower ones are seventy millimetres"
            self.bound += 1
        elif thing is not None and words & _WRENCH:
            thing.wrench = thing.wrench or figure
            self.bound += 1
        elif fasteners and thing is not None and not compared and _may_be_a_head(figure, thing):
            thing.wrench = thing.wrench or figure
            thing.doubt(f'a size was said and not of what, taken for the head: "{clause.words}"')
            self.bound += 1
        elif (
            not owners
            and not clause.verb
            and thing is not None
            and self._only_bolts_since(thing)
            and thing.at_clause >= self.since - 2
            and thing.wrench is None
            and not compared
            and free.before in ("", ",")
            and _may_be_a_head(figure, thing)
        ):
            thing.wrench = figure  # "caliper bolts, there are two, 21 mil"
            thing.doubt(f'a size was said and not of what, taken for the head: "{clause.words}"')
            self.bound += 1
        else:
            self.unread.append(Unread(said, f"a length ({figure.said}) and not clear of what"))

    def _only_bolts_since(self, thing: Thing) -> bool:
        """No part, hose or measure was spoken of after these fasteners, but for fluids that ran out of them."""
        for one in self.things.focus:
            if one is thing:
                return True
            if one.kind not in ("fluid", "tool", "consumable", "support"):
                return False
        return False

    def _turned_by(self, thing: Thing, figure: Figure) -> None:
        self._screwed_in(thing)
        if thing.wrench is None:
            thing.wrench = figure
            self.bound += 1
            if figure.unit_understood:
                thing.doubt(f'spanner size said with no unit, read as millimetres: "{figure.said}"')

    def _tool_sizes(self, clause: Clause, owners: list[Thing]) -> None:
        """ "with a sixteen millimetre spanner", "thirteen mil heads": the width across flats."""
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        for mention in (*clause.objects, *(one for _, one in clause.beside)):
            sizes = [size for size in mention.sizes if size.dimension == "length"]
            names = mention.kinds[:1] == ("tool",) or mention.head in ("head", "hex", "socket", "key", "spanner")
            if not sizes or not names or mention.head in ("drift", "bar", "puller"):
                continue
            others = [
                one
                for one in clause.objects
                if one.start < mention.start
                and one.head
                and one.kinds[:1] not in (("tool",), ("fastener",), ("connection",))
            ]
            if not fasteners and others and others[0] is not mention:
                continue  # "open the valve with a 19 mm spanner": not the bolts named before
            lines = [one for one in owners if one.kind == "connection"]
            turned = fasteners or lines
            it = any(one.pronoun for one in clause.mentions)
            ahead = [one for one in clause.mentions if 0 <= one.start < mention.start]
            just_named = [
                thing
                for one in sorted(ahead, key=lambda one: -one.start)
                for thing in self.named.get(id(one), [])
                if thing in turned
            ]  # "the long bolts have a 24 mil head and the short ones 19 mil"
            turned = just_named[:1] or turned
            whose = [one for link, one in mention.attached if link in ("for", "on") and one.kinds[:1] == ("fastener",)]
            whose = whose or [
                one
                for link, one in clause.beside
                if link == "for" and one.kinds[:1] == ("fastener",) and one.head and one.start < mention.start
            ]
            if whose:  # "a nineteen millimetre socket for the motor end bolts"
                here = [one for named in self.named.values() for one in named if one.kind == "fastener"]
                here = [one for one in here if one.head == whose[0].head and one.plural == whose[0].plural]
                known = here[-1:] if whose[0].bare and here else self.things.known(whose[0], "fastener", None).things
                turned = [thing for thing in known if not thing.wrench]
                if not turned:
                    continue
            if "both" in clause.lows and len(turned) == 2 and not fasteners:
                for line in turned:
                    self._turned_by(line, sizes[0])  # "they both take a twenty-two spanner, the hoses"
                continue
            just = next((one for one in self.things.focus[:2] if one.kind == "part"), None)
            if not turned and just is not None and in_by_itself(just) and just.at_clause >= self.since:
                just.kind, turned = "fastener", [just]  # "grease nipple first, eleven spanner"
            thing = turned[0 if it else -1] if turned else self.things.latest(("fastener", "connection"), within=3)
            if thing is not None and not thing.doubted:
                self._turned_by(thing, sizes[0])


def _may_be_a_head(figure: Figure, thing: Thing) -> bool:
    """ "Two bolts, sixteen mil" is the spanner; "three long bolts, 80 millimetres" is not."""
    size = figure.value
    inches = figure.unit == "in" and size is not None and size <= 2
    return not {"long", "short"} & thing.words and (inches or (figure.unit == "mm" and size in _FLATS))
