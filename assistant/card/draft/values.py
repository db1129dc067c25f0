"""Which value belongs to what. A value with no clear owner is listed, never given to the nearest."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from assistant.hearing.sound_alikes import sounds_like

from .amend import ROUNDS
from .clause import Clause, Free
from .figures import Figure
from .phrases import Mention
from .story import Deed, Telling, Unread
from .things import Said, Thing, Things

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
_ONE_BY_ONE = frozenset(
    {
        "first",
        "then",
        "round",
        "rounds",
        "pass",
        "passes",
        "stage",
        "stages",
        "step",
        "steps",
        "finally",
        "final",
        "initially",
        "start",
        "second",
    }
)
"""Words by which several torques are the rounds of one set."""
_FUSED = (
    "not be more",
    "not be over",
    "not be less",
    "not be under",
    "not more",
    "not over",
    "not less",
    "not under",
    "not exceed",
    "never more",
    "never less",
    "not be above",
    "not be below",
    "not be greater",
    "not be smaller",
    "not be thinner",
)
"""A "not" that belongs to the comparison itself."""
_WAYS = frozenset({"km", "m", "mi", "yd", "ft"})
"""Units of a way that is driven, no size of a thing."""
_SPANNERS = frozenset({"spanner", "socket", "wrench", "spanner.", "socket.", "wrench.", "spanner,", "socket,"})
_NO_WEIGHT = frozenset(
    {"thread", "face", "end", "hole", "bore", "lip", "spline", "surface", "seat", "slot", "groove", "roof",
     "opening", "port", "side", "tooth", "tab", "lug", "ear", "rib", "weld", "floor", "ladder", "frame", "chassis"}
)  # fmt: skip
"""Named along with the work, and never what is meant by "it's 62 kilos"."""
_REJECTED = frozenset({"change", "replace", "renew", "bin", "scrap", "swap", "chuck", "discard", "reject", "worn"})
"""Words by which what is named is too much or too little, and not what is allowed."""
_TURNED_ALREADY = re.compile(r"\b(?:anything|if (?:it|they) (?:is|are)|once it is|when it is|less than that)\b")
_FLATS = frozenset(map(Decimal, (
    5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 24, 27, 30, 32, 34, 36, 41, 46, 50, 55, 60
)))  # fmt: skip
"""Widths across flats that spanners come in, millimetres; common practice, from memory."""
_ANOTHER_TIME = (
    " last time ", " used to ", " was done up ", " had been ", " on the old ", " the old one ", " other engine ",
    " other one ", " other machine ", " other model ", " was only ", " had it at ", " had them at ",
)  # fmt: skip
_LONG = frozenset({"long", "length", "longer"})
_ABOUT = frozenset(
    {
        "about",
        "around",
        "roughly",
        "approximately",
        "ish",
        "nearly",
        "think",
        "reckon",
        "guess",
        "maybe",
        "odd",
        "say",
        "near",
        "far",
    }
)
_TAKES = frozenset({"get", "take", "want", "need", "torque", "tighten", "be", "go", "do", "snug", "nip", "pull", "set"})


class Values:
    """Puts values on things; what has no owner goes to the list of the unread."""

    def __init__(self, things: Things, unread: list[Unread]) -> None:
        self.things = things
        self.unread = unread
        self.since = 0
        """Clause at which the present sentence began."""
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
        self.torqued_at: dict[int, int] = {}
        """Thing number to the clause in which its torque was said."""

    def begin_sentence(self, words: str) -> None:
        self.since = self.things.clause + 1
        self.unit = ""
        self.words = words
        self.named = {}

    # -- doors -------------------------------------------------------------

    def of_mention(self, things: list[Thing], mention: Mention, said: Said) -> None:
        if things and (mention.count is not None or mention.sizes or mention.amount is not None):
            self.bound += 1

    def of_action(self, clause: Clause, deeds: list[Deed], step: Telling, said: Said, back: bool) -> None:
        owners = [deed.thing for deed in deeds if deed.thing is not None]
        tightening = any(deed.verb in ("tighten", "snug") for deed in deeds)
        self._tool_sizes(clause, owners)
        self._treatments(clause, owners, step)
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        for thing in fasteners[-1:]:
            self.order_from(clause, thing)
        torqued = self._place(clause, owners, said, step, tightening)
        if (
            torqued is not None
            and not tightening
            and any(deed.thing is torqued and deed.verb in ("start", "fit") for deed in deeds)
        ):
            deeds.append(Deed("tighten", torqued, implied=False))  # "drain plug in, 45 foot pounds"

    def of_statement(self, clause: Clause, said: Said, step: Telling | None, back: bool) -> Thing | None:
        """Values of a clause without an action. The fastener whose torque was said, where that tells of tightening
        (going back together); else None."""
        owners: list[Thing] = []
        by_pronoun: list[Thing] = []
        compared = [mention for link, mention in clause.beside if link in ("as", "like")]
        for mention in clause.mentions:
            if any(mention is one for one in compared):
                continue
            if (
                mention.det in ("a", "an")
                and len(clause.mentions) > 1
                and any(free.figure.dimension == "mass" for free in clause.figures)
            ):
                continue  # "it is eleven kilos, and greasy as a chip pan"
            if mention.pronoun:
                by_pronoun.extend(self._pronoun(mention, clause))
            elif mention.head and not mention.unknown and mention.kinds[:1] not in (("tool",), ("consumable",)):
                owners.extend(self.things.known(mention, mention.kinds[0], None).things[:1])
            elif mention.ones:
                owners.extend(self.things.meant(mention, ("fastener",), said).things)
        owners = _once([*owners, *by_pronoun])  # what is named goes before "it"
        self._tool_sizes(clause, owners)
        self._treatments(clause, owners, step)
        torqued = self._place(clause, owners, said, step, clause.verb in _TAKES or not clause.verb)
        fasteners = [thing for thing in owners if thing.kind == "fastener"] or ([torqued] if torqued else [])
        if clause.manners and not fasteners and not clause.objects:
            latest = self.things.latest(("fastener",), within=3)
            fasteners = [latest] if latest else []
        for thing in fasteners[-1:]:
            self.order_from(clause, thing)
        return torqued if back else None

    def negated(self, clause: Clause, said: Said) -> None:
        for free in clause.figures:
            if free.figure.dimension == "length":
                measure = self._measure(clause)
                if measure is not None:
                    self._limit(measure, free, clause, said)
        if any(mention.old and mention.kinds[:1] == ("fastener",) for mention in clause.objects) and clause.verb in (
            "use",
            "put",
            "fit",
        ):
            for mention in clause.objects:
                for thing in self.things.by_head.get(mention.head, [])[-1:]:
                    thing.reuse_new = True
                    self.bound += 1

    def order_from(self, clause: Clause, thing: Thing) -> None:
        if thing.doubted:
            return
        for manner in clause.manners:
            if manner in ("across", "round", "middle-out"):
                thing.order = thing.order or manner
                self.bound += 1

    def finish(self, steps: list[Telling]) -> None:
        """What can be told only at the end: values that two tellings give differently."""
        for step in steps:
            for deed in step.deeds:
                if (
                    deed.verb == "tighten"
                    and deed.thing is not None
                    and deed.thing.kind == "fastener"
                    and deed.thing.torque is None
                ):
                    step.doubt("no torque was said")

    # -- who owns it -------------------------------------------------------

    def _pronoun(self, mention: Mention, clause: Clause) -> list[Thing]:
        dims = {free.figure.dimension for free in clause.figures if not free.figure.thread}
        threads = any(free.figure.thread for free in clause.figures)
        if "mass" in dims:
            thing = self._weighed(6, mention.plural) or self._weighed(6)
        elif threads or "torque" in dims or "length" in dims or dims == {""}:
            thing = self.things.latest(("fastener",), plural=mention.plural, within=6)
        elif "volume" in dims:
            thing = self.things.latest(("fluid",), within=6)
        else:
            return []
        return [thing] if thing else []

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
            if found.doubt:
                return None
            if found.things:
                self.things.speak_of(found.things[0])
                return found.things[0]
            if free.link.head and "fastener" in free.link.kinds:
                return self.things.meant(free.link, ("fastener",), _NOWHERE).things[0]
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        if fasteners:
            nearest = self._nearest(clause, free, fasteners) if clause is not None else fasteners[-1]
            return None if nearest is None or nearest.doubted else nearest
        parts = [thing for thing in owners if thing.kind == "part"]
        if parts:
            holding = [
                thing
                for thing in self.things.all
                if thing.kind == "fastener"
                and any(part in thing.joins or part in thing.near or part.head in thing.mods for part in parts)
            ]
            return holding[0] if len(holding) == 1 else None
        if owners and not all(thing.kind in ("part", "support", "cover", "mark", "measure") for thing in owners):
            return None
        touched = [thing for thing in self.things.focus if thing.at_clause >= self.since]
        kinds = {thing.kind for thing in touched}
        if clause is not None and clause.lows[:1] == ("it",) and "tool" in kinds and "fastener" not in kinds:
            return None  # "I use the small wrench, it goes up to 110 newton metres"
        if "fastener" not in kinds and kinds & {"connection", "measure", "fluid", "consumable"}:
            return None
        latest = [
            thing
            for thing in self.things.focus
            if thing.kind == "fastener" and self.things.clause - thing.at_clause <= 3
        ]
        if not latest or latest[0].doubted:
            return None
        rivals = [thing for thing in latest if thing.at_clause == latest[0].at_clause]
        return latest[0] if len(rivals) == 1 else None

    # -- each kind of value ------------------------------------------------

    def _place(
        self, clause: Clause, owners: list[Thing], said: Said, step: Telling | None, tightening: bool
    ) -> Thing | None:
        torqued: Thing | None = None
        self.shared_unit = False
        torques = self._torques(clause, owners, tightening)
        if torques:
            torqued = self._torque(torques, clause, owners, said, step)
        _share_limit_unit(clause, owners)
        for thread in {free.figure.thread for free in clause.figures if free.figure.thread}:
            alike = [one for one in self.things.all if one.kind == "fastener" and one.thread == thread]
            if len(alike) == 1 and alike[0] in owners:
                alike[0].doubted = False  # "screws M10 crosswise": no others are M10
        for number, free in enumerate(clause.figures):
            if any(free is one for one in torques):
                continue
            if self._length_by_size(clause.figures, number, owners):
                continue
            figure = free.figure
            dimension = figure.dimension
            if figure.thread:
                self._thread(free, owners, clause, said)
            elif dimension == "angle":
                self._angle(free, owners, torqued, clause, said)
            elif dimension == "mass":
                along = [one for link, one in clause.beside if link == "with" and "part" in one.kinds[:1]]
                if along:
                    self.unread.append(Unread(said, f"a weight ({figure.said}) of several things together"))
                    self.bound += 1
                    continue
                self._mass(figure, owners, clause, said)
            elif dimension == "volume":
                self._volume(figure, owners, clause, said)
            elif dimension in ("length", "pressure", "voltage", "resistance", "force"):
                self._length(free, owners, clause, said)
            elif dimension == "share":
                thing = self._fastener(owners, free)
                if thing is not None and figure.value is not None:
                    thing.shares.append(figure.value)
                    self.bound += 1
            elif not dimension:
                self._unitless(free, owners, clause, said, tightening)
        return torqued

    def _length_by_size(self, figures: list[Free], number: int, owners: list[Thing]) -> bool:
        """ "M12 by 45": by the way that screws are designated, 45 mm long."""
        free = figures[number]
        if not number or not figures[number - 1].figure.thread or free.before not in ("by", "x", "×"):
            return False
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        if not fasteners or not _is_bare(free) or free.figure.value is None or free.figure.value < 8:
            return False
        fasteners[-1].length = fasteners[-1].length or replace(free.figure, unit="mm")
        self.bound += 1
        return True

    def _torques(self, clause: Clause, owners: list[Thing], tightening: bool) -> list[Free]:
        named = [free for free in clause.figures if free.figure.dimension == "torque"]
        measured = any(thing.kind == "measure" for thing in owners)
        if measured:
            return []
        if not named and self.unit and (not clause.verb or clause.verb in _TAKES):
            # "sixty-five newton metres for the bolts and forty for the nuts"
            bare_ones = [
                free
                for free in clause.figures
                if _is_bare(free) and (free.link is not None or any(thing.kind == "fastener" for thing in owners))
            ]
            for free in bare_ones:
                free.figure = replace(free.figure, unit=self.unit, said=f"{free.figure.said} {self.unit}")
                self.shared_unit = True
            return bare_ones
        if named:
            unit = self.unit = named[-1].figure.unit
            together: list[Free] = []
            for free in clause.figures:
                if _is_bare(free) and free not in named:
                    free.figure = replace(free.figure, unit=unit)
                    together.append(free)
                elif free in named:
                    together.append(free)
            return together
        if not tightening or not any(thing.kind == "fastener" for thing in owners):
            candidates = [
                free
                for free in clause.figures
                if not free.figure.unit and free.figure.value is not None and free.beside not in ROUNDS
            ]
            latest = self.things.latest(("fastener",), within=3)
            if (
                len(candidates) >= 1
                and latest is not None
                and latest.torque is not None
                and not clause.verb
                and candidates[-1].figure.value == latest.torque.value
                and not owners
            ):
                for free in candidates:
                    free.figure = replace(free.figure, unit=latest.torque.unit)
                return candidates
        return []

    def _torque(
        self, torques: list[Free], clause: Clause, owners: list[Thing], said: Said, step: Telling | None
    ) -> Thing | None:
        thing = self._fastener(owners, torques[-1], clause)
        if thing is None:
            named = ", ".join(free.figure.said for free in torques)
            doubt = (
                "it is not clear which fasteners are meant"
                if any(one.doubted for one in owners)
                else "no fastener was named near it"
            )
            self.unread.append(Unread(said, f"a torque ({named}) and {doubt}: put it where it belongs"))
            return None
        if any(sign in f" {' '.join(clause.lows)} " for sign in _ANOTHER_TIME):
            named = ", ".join(free.figure.said for free in torques)
            self.unread.append(Unread(said, f"a torque ({named}) told of another time or another machine"))
            return None
        turned = any(free.figure.dimension == "angle" for free in clause.figures)
        if not turned and {"turn", "turns", "degree", "degrees"} & set(clause.lows) and clause.verb != "turn":
            named = ", ".join(free.figure.said for free in torques)
            self.unread.append(Unread(said, f"a torque ({named}) and a turn that could not be read: put both in"))
            return None
        words = set(clause.lows)
        one_each = {"second", "third", "other"} & words and not (ROUNDS & words or {"then", "finally"} & words)
        if len(torques) > 1 and one_each:
            named = ", ".join(free.figure.said for free in torques)
            self.unread.append(Unread(said, f"several torques in one breath ({named}): put each where it belongs"))
            return None
        if (
            len(torques) > 1
            and not _ONE_BY_ONE & set(clause.lows)
            and not (torques[0].before in ROUNDS or torques[0].beside in ROUNDS)
        ):
            named = ", ".join(free.figure.said for free in torques)
            self.unread.append(Unread(said, f"several torques in one breath ({named}): put each where it belongs"))
            return None
        torques = _last_round_last(torques)
        final = torques[-1].figure
        for free in torques[:-1]:
            if free.figure.value is not None and not any(one.value == free.figure.value for one in thing.passes):
                thing.passes.append(free.figure)
        self.bound += 1
        if thing.torque is not None and self._next_round(thing, final, clause):
            thing.passes.append(thing.torque)
            thing.torque = None
        if thing.torque is None:
            self.torqued_at[thing.number] = self.things.clause
            thing.torque, thing.torque_said = final, said
            if self.shared_unit:
                thing.doubt(f'unit taken from the value before it in the same sentence: "{final.said}"')
            if final.spoken_short:
                thing.doubt(f'torque heard as "{final.said}": read as {final.value}')
            if _ABOUT & set(clause.lows):
                thing.doubt(f'torque said as about: "{clause.words}"')
        elif (thing.torque.value, thing.torque.low, thing.torque.high, thing.torque.unit) != (
            final.value,
            final.low,
            final.high,
            final.unit,
        ):
            if thing.torque_said is not None and thing.torque_said.words == said.words:
                named = f"{thing.torque.said}, {final.said}"
                self.unread.append(Unread(said, f"several torques in one breath ({named}): put each where it belongs"))
                thing.torque = None
                return thing
            thing.doubt(f'two torques said: "{thing.torque.said}" and later "{final.said}": which?')
        return thing

    def _next_round(self, thing: Thing, final: Figure, clause: Clause) -> bool:
        """ "Across, 80 newton metres. Then 190 newton metres." """
        before = thing.torque
        if before is None or before.value is None or before.unit != final.unit:
            return False
        more = final.value if final.value is not None else final.low
        soon = self.things.clause - self.torqued_at.get(thing.number, -100) <= 3
        opens = " ".join(clause.lows[:3])
        breath = thing.torque_said is not None and thing.torque_said.words == self.words
        goes_on = (
            breath and bool({"then", "final", "finally"} & set(self.words.lower().replace(",", " ").split()))
        ) or opens.startswith(("then", "and then", ", then", "finally", "and finally", "after that", "last"))
        rounds = bool({"second", "third", "last", "final"} & set(clause.lows) and ROUNDS & set(clause.lows))
        return more is not None and more > before.value and soon and (goes_on or rounds)

    def _thread(self, free: Free, owners: list[Thing], clause: Clause, said: Said) -> None:
        figure = free.figure
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        called = [one for one in self.things.focus if one.kind == "fastener" and one.thread == figure.thread]
        if not fasteners and called:
            self.things.speak_of(called[0])  # "do the M8s up again"
            self.bound += 1
            return
        thing = self._nearest(clause, free, fasteners) if fasteners else self.things.latest(("fastener",), within=4)
        if thing is None or thing.doubted:
            self.unread.append(Unread(said, f"a thread ({figure.thread}) and no fastener named near it"))
            return
        if not thing.thread:
            thing.thread = figure.thread
        elif thing.thread != figure.thread:
            thing.doubt(f"two threads said: {thing.thread} and {figure.thread}: which?")
            if thing.thread in said.words.replace(" ", ""):
                thing.thread = ""
        self.bound += 1

    def _angle(self, free: Free, owners: list[Thing], torqued: Thing | None, clause: Clause, said: Said) -> None:
        thing = torqued or self._fastener(owners, free)
        measure = next((one for one in owners if one.kind == "measure"), None)
        if measure is not None:
            return
        if clause.meaning in ("loosen", "open", "move", "inspect", "clean", "raise"):
            return  # "slacken them half a turn": how far, no value of theirs
        if thing is None or free.figure.value is None:
            self.unread.append(Unread(said, f"an angle ({free.figure.said}) and no fastener named near it"))
            return
        again = thing.angle_deg is not None and thing.torque_said is not None and thing.torque_said.words == said.words
        if again and {"another", "again", "further", "then"} & set(clause.lows):
            named = thing.torque.said if thing.torque is not None else "a torque"
            self.unread.append(Unread(said, f"{named} and more than one turn after it: put all of it in"))
            thing.torque, thing.angle_deg = None, None
            self.bound += 1
            return
        if thing.angle_deg is None:
            thing.angle_deg = free.figure.value.normalize() + 0
            self.bound += 1

    def _mass(self, figure: Figure, owners: list[Thing], clause: Clause, said: Said) -> None:
        named = [thing for thing in owners if thing.kind == "part"]
        parts = [thing for thing in named if thing.head not in _NO_WEIGHT] or named
        thing = parts[0] if parts else self._weighed(4)
        together = [
            one
            for one in self.things.focus
            if thing is not None
            and one.kind == "part"
            and one.head not in _NO_WEIGHT
            and one.at_clause == thing.at_clause
        ]
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
            self.unread.append(Unread(said, f"a weight ({figure.said}) and nothing named near it"))
            return
        if thing.mass is None:
            thing.mass = figure
            if _ABOUT & set(clause.lows):
                thing.doubt(f'weight said as about: "{figure.said}"')
        self.bound += 1

    def _weighed(self, within: int, plural: bool | None = None) -> Thing | None:
        """The part spoken of last that has a weight worth telling: not a head, a face, a hole."""
        for thing in self.things.focus:
            fits = thing.kind == "part" and thing.head not in _NO_WEIGHT and plural in (None, thing.plural)
            if thing.head == "head" and thing.first is not None and _SPANNERS & set(thing.first.words.lower().split()):
                continue  # that of a bolt
            if fits and self.things.clause - thing.at_clause <= within:
                return thing
        return None

    def _volume(self, figure: Figure, owners: list[Thing], clause: Clause, said: Said) -> None:
        fluids = [thing for thing in owners if thing.kind == "fluid"]
        thing = fluids[0] if fluids else self.things.latest(("fluid",), within=5)
        if thing is None:
            self.unread.append(Unread(said, f"an amount ({figure.said}) and no oil or coolant named near it"))
            return
        if thing.quantity is None:
            thing.quantity = figure
            if _ABOUT & set(clause.lows):
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
        )
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
        if thing is not None and words & _LONG:
            thing.length = thing.length or figure
            self.bound += 1
        elif thing is not None and words & _WRENCH:
            thing.wrench = thing.wrench or figure
            self.bound += 1
        elif fasteners and thing is not None and not compared and _may_be_a_head(figure, thing):
            thing.wrench = thing.wrench or figure
            thing.doubt(f'a size was said and not of what, taken for the head: "{clause.words}"')
            self.bound += 1
        else:
            self.unread.append(Unread(said, f"a length ({figure.said}) and not clear of what"))

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
        return self.things.latest(("measure",), within=3)

    def limit(self, measure: Thing, free: Free, clause: Clause, said: Said) -> None:
        """A limit of a measure that is named beside it."""
        self._limit(measure, free, clause, said)

    def _limit(self, measure: Thing, free: Free, clause: Clause, said: Said) -> None:
        figure = free.figure
        if _REJECTED & set(clause.lows) and not _TURNED_ALREADY.search(" ".join(clause.lows)):
            turned = {"most": "least", "least": "most"}  # "change them under 3 millimetres"
            free.before, free.beside = turned.get(free.before, free.before), turned.get(free.beside, free.beside)
        fused = {free.before, free.beside} & {"most", "least"}
        doubled = {"not", "never", "must not", "mustn't"} & set(clause.lows) and not any(
            low in " ".join(clause.lows) for low in _FUSED
        )
        if fused and doubled and clause.negated:
            self.unread.append(Unread(said, f'a limit ({figure.said}) with a "not" that could turn it round'))
            return
        if figure.low is not None and figure.high is not None:
            if measure.limit_turned:
                measure.low, measure.high, measure.limit_turned = None, None, False
            elif (measure.low or measure.high) is not None and not (
                measure.low is not None
                and measure.high is not None
                and (measure.low.value, measure.high.value) == (figure.low, figure.high)
            ):
                measure.doubt(f'other limits said later: "{figure.said}": which?')
            measure.low, measure.high = (
                measure.low or replace(figure, value=figure.low),
                measure.high or replace(figure, value=figure.high),
            )
        elif "most" in (free.before, free.beside):
            measure.high = measure.high or figure
        elif "least" in (free.before, free.beside):
            measure.low = measure.low or figure
        else:
            measure.doubt(f'"{figure.said}" was said, but not whether it is the least, the most or the nominal')
            self.unread.append(Unread(said, f"{figure.said}: least, most or nominal?"))
            return
        self.bound += 1

    def _unitless(self, free: Free, owners: list[Thing], clause: Clause, said: Said, tightening: bool) -> None:
        figure = free.figure
        if figure.value is None and figure.low is None:
            return
        if free.beside in ROUNDS or free.before in ROUNDS:
            target = next((thing for thing in owners if thing.kind == "fastener"), None) or self.things.latest(
                ("fastener",), within=3
            )
            if target is not None:
                target.doubt(f'rounds named, look at the passes: "{clause.words}"')
                self.bound += 1
            return
        tight = (
            (tightening and bool(clause.verb))
            or clause.verb in ("tighten", "torque", "do", "get", "take", "go", "pull", "set")
            or "torque" in clause.lows
        )
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        compared = "most" in (free.before, free.beside) or "least" in (free.before, free.beside)
        if tight and (fasteners or (not owners and free.before in ("to", "at", "get"))):
            thing = fasteners[-1] if fasteners else self.things.latest(("fastener",), within=3)
            if thing is not None:
                thing.doubt(f'torque said with no unit: "{figure.said}" ({clause.words})')
                self.bound += 1
                return
        if compared or (owners and any(thing.kind == "measure" for thing in owners)):
            self.unread.append(Unread(said, f"{figure.said}: no unit was said"))
            return
        whole = figure.whole
        latest = self.things.latest(("fastener",), within=3)
        of_them = "there" in clause.lows and free.beside == "of"
        if whole is not None and of_them and latest is not None and latest.count not in (None, whole):
            latest.doubt(f'first {latest.count} was said, then "{clause.words}"')
            latest.count, latest.count_said = whole, said
            self.bound += 1
            return
        counted = owners[-1] if owners and free.beside == "of" and "them" in clause.lows else None
        if whole is not None and counted is not None and counted.plural and counted.count is None:
            counted.count, counted.count_said = whole, said  # "return springs off, two of them"
            self.bound += 1
            return
        spoken = self.things.focus[0] if self.things.focus else None
        if (
            whole is not None
            and clause.lows[:2] == ("that", "is")
            and not any(mention.head for mention in clause.mentions if mention in clause.objects)
            and spoken is not None
            and free.beside in ("", ",", "under", "of")
            and spoken.kind in ("fastener", "support", "part", "connection")
            and spoken.plural
            and spoken.count is None
            and spoken.at_clause >= self.since - 1
        ):
            spoken.count, spoken.count_said = whole, said  # "the body stands, that's two"
            self.bound += 1
            return
        here = next((one for one in self.things.focus[:6] if one.at_clause >= self.since), None)
        if here is not None and here.kind != "fastener" and whole is not None and not owners and "there" in clause.lows:
            if here.plural and here.count is None and here.kind in ("connection", "part", "support"):
                here.count, here.count_said = whole, said  # "pressure hoses, there's two"
            self.bound += 1
            return
        if (
            whole is not None
            and not owners
            and "there" in clause.lows
            and free.beside in ("", ",", "of", "of them")
            and latest is not None
            and latest.plural
            and latest.count is None
            and latest.at_clause >= self.since - 1
        ):
            latest.count, latest.count_said = whole, said  # "the flange bolts, there's six"
            self.bound += 1
            return
        if (
            whole is not None
            and fasteners
            and free.beside in ("pieces", "piece", "pcs", "off", "altogether")
            and fasteners[-1].count is None
        ) or (whole is not None and fasteners and "there" in clause.lows and fasteners[-1].count is None):
            if not any(mention.count for mention in clause.mentions):
                fasteners[-1].count, fasteners[-1].count_said = whole, said
            self.bound += 1
        elif (
            whole is not None
            and not clause.verb
            and (free.link is not None or (free.beside == "of"))
            and not clause.objects
        ):
            thing = self.things.latest(("fastener",), within=2)
            if thing is not None and thing.count is None:
                thing.count, thing.count_said = whole, said
                self.bound += 1

    def _tool_sizes(self, clause: Clause, owners: list[Thing]) -> None:
        """ "with a sixteen millimetre spanner", "thirteen mil heads": the width across flats."""
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        for mention in (*clause.objects, *(one for _, one in clause.beside)):
            sizes = [size for size in mention.sizes if size.dimension == "length"]
            names = mention.kinds[:1] == ("tool",) or mention.head in ("head", "hex", "socket", "key", "spanner")
            if not sizes or not names or mention.head in ("drift", "bar", "puller"):
                continue
            others = [one for one in clause.objects if one.head and one.kinds[:1] not in (("tool",), ("fastener",))]
            if not fasteners and others and others[0] is not mention:
                continue  # "open the valve with a 19 mm spanner": not the bolts named before
            thing = fasteners[-1] if fasteners else self.things.latest(("fastener",), within=3)
            if thing is not None and thing.wrench is None and not thing.doubted:
                thing.wrench = sizes[0]
                self.bound += 1

    def _treatments(self, clause: Clause, owners: list[Thing], step: Telling | None) -> None:
        if not clause.treatments:
            return
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        for link, mention in clause.beside:
            for inner in (one for _, one in mention.attached if mention.head == "thread"):
                fasteners = self.things.known(inner, "fastener", None).things or fasteners
            if link in ("on", "to", "onto") and "fastener" in mention.kinds:
                fasteners = self.things.known(mention, "fastener", None).things or fasteners
        thing = fasteners[-1] if fasteners else None
        if thing is None and {"threads", "thread", "them", "each", "those"} & set(clause.lows):
            thing = self.things.latest(("fastener",), within=3)
        if thing is None and clause.treatments[0] == "dry":
            self._dry_part(clause, owners, step)
        if thing is None or thing.doubted:
            return
        self.things.speak_of(thing)
        where = next(
            (
                f"{link} {mention.words}"
                for link, mention in clause.beside
                if link in ("on", "to", "under") and mention.head in ("thread", "head", "face", "flange", "spline")
            ),
            "",
        )
        thing.treatment = thing.treatment or clause.treatments[0]
        thing.treatment_where = thing.treatment_where or where
        self.bound += 1

    def _dry_part(self, clause: Clause, owners: list[Thing], step: Telling | None) -> None:
        """ "The new gasket goes on dry", "wheel on, dry"."""
        parts = [thing for thing in owners if thing.kind == "part"]
        if not parts and not clause.mentions and step is not None:
            parts = [deed.thing for deed in step.deeds[-1:] if deed.thing is not None and deed.verb == "fit"]
        for part in parts[-1:]:
            part.treatment = part.treatment or "dry"
            if step is not None and clause.words not in step.how and clause.words != step.words:
                step.how.append(clause.words)
            self.bound += 1


def mark_sound_alikes(things: Iterable[Thing]) -> None:
    """A number that sounds like another, taken by ear, is marked on the thing it was put on."""
    for thing in things:
        heard = [
            thing.torque,
            thing.wrench,
            thing.length,
            thing.mass,
            thing.quantity,
            thing.low,
            thing.high,
            *thing.passes,
        ]
        values = [value for one in heard if one is not None for value in (one.value, one.low, one.high)]
        values += [Decimal(thing.count)] if thing.count is not None and thing.count_said is not None else []
        for one in heard:
            said = one.said.lower() if one is not None and one.unit == "N·m" else ""
            if "newton" in said and not re.search(r"met(?:re|er)", said):
                thing.doubt(f'the unit was heard as "{said}" and taken for newton metres')
        for value in dict.fromkeys(values):
            if value is None or value != value.to_integral_value():
                continue
            alike = [other for other in sounds_like(int(value)) if other]
            if alike:
                thing.doubt(
                    f"{value:f} was heard, and {' or '.join(map(str, alike))} sounds the same: listen to it again"
                )


def _share_limit_unit(clause: Clause, owners: list[Thing]) -> None:
    """ "No more than 0.4 millimetres and not below 0.2": one unit for both limits of the same thing."""
    if len([thing for thing in owners if thing.kind == "measure"]) > 1:
        return
    units = {free.figure.unit for free in clause.figures if free.figure.unit}
    limits = [free for free in clause.figures if {free.before, free.beside} & {"most", "least"}]
    if len(units) != 1:
        return
    for free in limits:
        if _is_bare(free):
            free.figure = replace(free.figure, unit=next(iter(units)))


def _may_be_a_head(figure: Figure, thing: Thing) -> bool:
    """ "Two bolts, sixteen mil" is the spanner; "three long bolts, 80 millimetres" is not."""
    size = figure.value
    inches = figure.unit == "in" and size is not None and size <= 2
    return not {"long", "short"} & thing.words and (inches or (figure.unit == "mm" and size in _FLATS))


def _last_round_last(torques: list[Free]) -> list[Free]:
    """ "Fifty-five, in two steps, the first one being thirty": the most is the last round."""
    sizes = [free.figure.value if free.figure.value is not None else free.figure.low for free in torques]
    if any(size is None for size in sizes):
        return torques
    return [free for _, free in sorted(zip(sizes, torques, strict=True), key=lambda pair: pair[0] or Decimal(0))]


def _is_bare(free: Free) -> bool:
    """A number with no unit that counts neither things nor rounds."""
    rounds = free.beside in ROUNDS or free.before in ROUNDS
    return not free.figure.unit and not free.figure.thread and not rounds and not _names_count(free)


def _names_count(free: Free) -> bool:
    """ "four" in "do the four up to 65"."""
    return free.beside in ("of", "bolts", "nuts", "screws")


def _once(things: list[Thing]) -> list[Thing]:
    found: list[Thing] = []
    for thing in things:
        if not any(thing is known for known in found):
            found.append(thing)
    return found


_NOWHERE = Said("", None)
