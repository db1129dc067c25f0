"""Whose a value is. A value with no clear owner is listed, never given to the nearest."""

from __future__ import annotations

import re

from .clause import Clause, Free
from .figures import Figure
from .known_things import SMALL_PARTS
from .lexicon import lexicon
from .likeness import SCREWED_IN, in_by_itself
from .mention import Mention
from .story import Unread
from .thing import Said, Thing
from .things import Things

_SPANNERS = frozenset({"spanner", "socket", "wrench", "spanner.", "socket.", "wrench.", "spanner,", "socket,"})


NO_WEIGHT = frozenset(
    {"thread", "face", "end", "hole", "bore", "lip", "spline", "surface", "seat", "slot", "groove", "roof",
     "opening", "port", "vehicle", "edge", "corner", "rim",
     "side", "tooth", "tab", "lug", "ear", "rib", "weld", "floor", "ladder", "frame", "chassis"}
)  # fmt: skip
"""Named along with the work, and never what is meant by "it's 62 kilos"."""


ROUND_TOLD = re.compile(r"\b(?:first|second|third|last|final|next) (?:round|go|time|pass|step|stage|pull|bite)\b")
""" "First round, sixty newton metres": a round of what was spoken of last."""
FIRST_ROUND = re.compile(r"\b(?:first|one) (?:round|go|time|pass|step|stage|pull|bite)\b")


_WEIGHTLESS = frozenset(
    {"washer", "gasket", "shim", "circlip", "clip", "seal", "o ring", "key", "label", "tag", "thread"}
)
_SCREWED_LINES = frozenset({"plug", "switch", "sensor", "sender", "probe"})
"""What is plugged in or screwed in: a fastener, where a torque or a spanner is told of it."""


class Owners:
    """Whose a value is: the fastener, part or measure that was named for it."""

    def __init__(self, things: Things, unread: list[Unread]) -> None:
        self.things = things
        self.unread = unread
        self.since = 0
        """Clause at which the present sentence began."""
        self.before = 0
        """Clause at which the sentence before it began."""
        self.shared_unit = False
        """The torque being placed has its unit from another one."""
        self.unit = ""
        """Unit of the torque said last in this sentence."""
        self.bound = 0
        """Values placed so far."""
        self.words = ""
        """The present sentence."""
        self.named: dict[int, list[Thing]] = {}
        """Which things the mentions of this sentence turned out to be, by the mention's identity."""
        self.hanging: tuple[Figure, Said, int] | None = None
        """A weight said of what hangs on a hoist and was not named, and the clause it was said in."""
        self.limited_at: dict[int, int] = {}
        """Thing number to the clause in which both limits of a measure were said."""
        self.only_if = False
        """What is being read holds only in a case that was named before it: "if the threads are rusty ..."."""
        self.unmeasured = 0
        """Clause in which something was to be measured that could not be made out: later limits are its."""
        self.eased: dict[int, int] = {}
        """Thing number to the clause in which the fastener was loosened."""
        self.long_at = -100
        """Clause in which the length of fasteners was said last."""
        self.dried: list[Thing] = []
        """Parts of which it was said that they go on dry."""
        self.torqued_at: dict[int, int] = {}
        """Thing number to the clause in which its torque was said."""

    def begin_sentence(self, words: str) -> None:
        self.before, self.since = self.since, self.things.clause + 1
        self.unit = ""
        self.words = words
        self.named = {}

    def limit(self, measure: Thing, free: Free, clause: Clause, said: Said) -> None:
        """What a reading may be: limits.py."""
        raise NotImplementedError

    def _pronoun(self, mention: Mention, clause: Clause) -> list[Thing]:
        if mention.words in ("all of them", "both of them", "both", "all") and mention.plural:
            sets = [one for one in self.things.focus[:6] if one.kind == "fastener" and one.plural]
            sets = [one for one in sets if self.things.clause - one.at_clause <= 1]
            if len(sets) == 2 and sets[0].head == sets[1].head and lexicon().opposed(sets[0].words, sets[1].words):
                return list(reversed(sets))  # "long bolts and short bolts, all of them M8"
        dims = {free.figure.dimension for free in clause.figures if not free.figure.thread}
        threads = any(free.figure.thread for free in clause.figures)
        if "mass" in dims:
            thing = self._weighed(6, mention.plural) or self._weighed(6 if mention.plural else 2)
        elif threads or "torque" in dims or "length" in dims or dims == {""}:
            line = self._line_just_on(mention) if "torque" in dims else None
            if line is not None:
                return [line]
            thing = self.things.latest(("fastener",), plural=mention.plural, within=6)
            if thing is not None and self._two_at_once(thing, mention):
                return []
        elif "volume" in dims:
            thing = self.things.latest(("fluid",), within=6)
        elif clause.treatments and not dims and clause.meaning in ("fit", "start"):
            spoken = self.things.latest(("fastener", "part"), plural=mention.plural, within=3)
            thing = spoken if spoken is not None and spoken.kind == "fastener" else None  # "they go in dry"
        else:
            return []
        return [thing] if thing else []

    def _line_just_on(self, mention: Mention) -> Thing | None:
        """ "Pressure hose goes on next, and that's sixty": the hose's, not that of the clamp before."""
        line = next((one for one in self.things.focus if one.kind in ("fastener", "connection")), None)
        clamp = self.things.latest(("fastener",), within=6)
        just = (
            line is not None and line.kind == "connection" and line.at_clause >= min(self.since, self.things.clause - 1)
        )
        if line is None or not just or clamp is None or clamp.at_clause >= line.at_clause:
            return None
        after = self.things.called_after(clamp, line) and (not line.mods or bool({*line.mods} & {*clamp.mods}))
        beside = line in (*clamp.near, *clamp.joins) and not clamp.mods  # what has a name of its own is no hose's
        own = after or (beside and not clamp.head.endswith("plug"))
        return line if not own and line.plural == mention.plural else None

    def _two_at_once(self, thing: Thing, mention: Mention) -> bool:
        """ "The four long and the six short bolts. ... Those get 80", "all ten get 80": not one of the two sets."""
        if mention.det.startswith("all") and mention.count and thing.count not in (None, mention.count):
            return True
        apart = self.things.clause - thing.at_clause > 1 and mention.words in ("those", "these", "them", "they")
        beside = [
            one
            for one in self.things.focus[:12]
            if one is not thing and one.kind == "fastener" and one.plural == thing.plural and one.head == thing.head
        ]
        return apart and any(one.at_clause == thing.at_clause for one in beside)

    def _nearest(self, clause: Clause, free: Free, fasteners: list[Thing]) -> Thing | None:
        """The fastener named last before the figure, where the clause names several."""
        if len(fasteners) < 2 or free.at < 0:
            return fasteners[-1] if fasteners else None
        before = [mention for mention in clause.mentions if 0 <= mention.start < free.at]
        for mention in sorted(before, key=lambda one: -one.start):
            found = [thing for thing in self.named.get(id(mention), []) if thing in fasteners]
            if len(found) == 1:
                return found[0]
        return fasteners[-1]

    def _fastener(self, owners: list[Thing], free: Free, clause: Clause | None = None) -> Thing | None:
        if free.link is not None and (not free.link.kinds or "fastener" in free.link.kinds):
            found = (
                self.things.meant(free.link, ("fastener",), _NOWHERE)
                if free.link.pronoun or free.link.ones
                else self.things.known(free.link, "fastener", None)
            )
            line = self._line_just_on(free.link) if free.link.pronoun and free.figure.dimension == "torque" else None
            if line is not None:
                return self._of_line(line)  # "the return hose goes on, fifty foot pounds on that"
            if free.link.head == "union" and not found.things:
                found = self.things.meant(free.link, ("fastener",), _NOWHERE)
                return self._of_line(found.things[0]) if found.things[0].kind == "connection" else found.things[0]
            if found.doubt:
                return None
            if found.things:
                self.things.speak_of(found.things[0])
                return found.things[0]
            if free.link.head and "fastener" in free.link.kinds:
                return self.things.meant(free.link, ("fastener",), _NOWHERE).things[0]
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        told_round = clause is not None and ROUND_TOLD.search(" ".join(clause.lows))
        if told_round and not fasteners:
            latest = self.things.latest(("fastener",), within=8)
            return None if latest is None or latest.doubted else latest  # "second go, four hundred and twenty"
        lines = [thing for thing in owners if thing.kind == "connection"]
        if lines and not fasteners:
            return self._of_line(lines[-1])
        if fasteners:
            nearest = self._nearest(clause, free, fasteners) if clause is not None else fasteners[-1]
            return None if nearest is None or nearest.doubted else nearest
        parts = [thing for thing in owners if thing.kind == "part" and thing.head not in NO_WEIGHT]
        owners = [thing for thing in owners if thing.kind != "part" or thing.head not in NO_WEIGHT]
        if parts:
            holding = [
                thing
                for thing in self.things.all
                if thing.kind == "fastener"
                and any(part in thing.joins or part in thing.near or part.head in thing.mods for part in parts)
            ]
            if not holding and len(parts) == 1 and in_by_itself(parts[0]):
                parts[0].kind = "fastener"  # "the grease nipple goes back in, twelve newton metres"
                return parts[0]
            return holding[0] if len(holding) == 1 else None
        if owners and not all(thing.kind in ("part", "support", "cover", "mark", "measure") for thing in owners):
            return None
        touched = [thing for thing in self.things.focus if thing.at_clause >= self.since]
        kinds = {thing.kind for thing in touched}
        if clause is not None and clause.lows[:1] == ("it",) and "tool" in kinds and "fastener" not in kinds:
            return None  # "I use the small wrench, it goes up to 110 newton metres"
        spoken = next((one for one in self.things.focus if one.kind != "part" or one.head not in SMALL_PARTS), None)
        soon = spoken is not None and self.things.clause - spoken.at_clause <= 2
        if spoken is not None and soon and spoken.kind == "connection" and free.figure.dimension == "torque":
            return self._of_line(spoken)  # "spray pipe on. Fifty newton metres."
        just = self.things.focus[0] if self.things.focus else None
        if just is not None and just.kind == "part" and soon and just is spoken and in_by_itself(just):
            just.kind = "fastener"  # "grease nipple back in, eight foot pounds"
            return just
        if "fastener" not in kinds and kinds & {"connection", "measure", "fluid", "consumable"}:
            return None
        bolts = [
            thing
            for thing in self.things.focus
            if thing.kind == "fastener" and self.things.clause - thing.at_clause <= 3
        ]
        if not bolts or bolts[0].doubted:
            return None
        rivals = [thing for thing in bolts if thing.at_clause == bolts[0].at_clause]
        return bolts[0] if len(rivals) == 1 else None

    def _of_line(self, line: Thing) -> Thing:
        """What a hose's torque is of: its clamps where it has some, else the nut that is on the line itself."""
        self._screwed_in(line)
        own = [one for one in self.things.all if one.kind == "fastener" and self.things.called_after(one, line)]
        lines = [one for one in self.things.by_head.get(line.head, []) if one.kind == "connection" and one is not line]
        if len(own) == 1 and lines and line.mods:
            its = [*own[0].near, *own[0].joins]
            if line not in its and any(one in its for one in lines):
                return line  # the clamp is that of another hose
        return own[0] if len(own) == 1 else line

    def _screwed_in(self, thing: Thing) -> None:
        """A plug or cap on a line that has a torque, or takes a spanner, is a fastener."""
        last = thing.head.rsplit(" ", 1)[-1]
        if thing.kind == "connection" and (last in _SCREWED_LINES or thing.head in SCREWED_IN):
            thing.kind = "fastener"

    def _weighed(self, within: int, plural: bool | None = None) -> Thing | None:
        """The part spoken of last that has a weight worth telling: not a head, a face, a hole."""
        carriers = [
            one for one in self.things.focus if one.kind == "support" and self.things.clause - one.at_clause <= 3
        ]
        carrier = next((one for one in carriers if one.joins), carriers[0] if carriers else None)
        bolted = self.things.latest(("fastener",), within=within)
        for thing in self.things.focus:
            held = any(thing in one.joins for one in (*self.things.focus, *([carrier] if carrier else [])))
            if carrier is not None and carrier.at_clause > thing.at_clause and not held:
                return None  # "the seal is behind it. Sling round the blades, it's eighty kilos": not the seal
            if carrier is not None and thing.plural and plural is None and thing in carrier.joins:
                return None  # where the sling goes round, and not what hangs on it
            light = thing.head.rsplit(" ", 1)[-1] in _WEIGHTLESS
            fits = thing.kind == "part" and thing.head not in NO_WEIGHT and plural in (None, thing.plural) and not light
            if thing.head == "head" and thing.first is not None and _SPANNERS & set(thing.first.words.lower().split()):
                continue  # that of a bolt
            if fits and self.things.clause - thing.at_clause <= within:
                since = bolted is not None and bolted.at_clause > thing.at_clause
                others = (
                    since
                    and bolted is not None
                    and not (thing in bolted.joins or (not bolted.mods and (held or thing in bolted.near)))
                )
                if others and bolted is not None and not self.things.called_after(bolted, thing):
                    break  # "... round the turbo. Take out the upper bolts. It's 27 kilos": of what they hold
                return thing
        topic = self.things.topic
        told = (
            topic is not None
            and topic.kind == "part"
            and topic.head not in NO_WEIGHT
            and plural in (None, topic.plural)
        )
        if topic is not None and bolted is not None and bolted.at_clause >= self.things.topic_at:
            told = told and (topic in bolted.joins or self.things.called_after(bolted, topic))
        return topic if told and self.things.clause - self.things.topic_at <= within else None

    def _measure(self, clause: Clause, owners: list[Thing] | None = None) -> Thing | None:
        measures = [thing for thing in owners or [] if thing.kind == "measure"]
        if measures:
            return measures[0]
        if "thick" in clause.lows or "thickness" in clause.lows:
            parts = [thing for thing in owners or [] if thing.kind == "part"]
            part = parts[0] if parts else self.things.latest(("part",), within=3)
            if part is not None:
                made = self.things.add("measure", "thickness", False, _NOWHERE)
                made.mods = [*part.mods[-1:], part.head]
                self.things.speak_of(made)
                return made
        found = self.things.latest(("measure",), within=5)
        return found if found is not None and found.at_clause >= self.unmeasured else None


_NOWHERE = Said("", None)
