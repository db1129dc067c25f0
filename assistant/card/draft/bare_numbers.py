"""Numbers said with no unit: counts of things, or values that have to be asked for."""

from __future__ import annotations

import re

from assistant.card.model import MOST_IN_A_SET

from .clause import Clause, Free
from .mended_figures import ROUNDS
from .owners import Owners
from .story import Unread
from .thing import Said, Thing

_IN_ALL = frozenset({"altogether", "in", "total", "all"})
_COUNTED = ("fastener", "part", "connection", "support", "cover")
_TOLD_OF_SET = (
    r"\b{} of (?:them|those|these)\b(?! (?:and(?! all\b)|are|is|have|has|come|go))",
    r"^{} of (?:them|those|these) (?:as well|too|again|also)\b",
    r"\b{} between (?:the|them|those|both|all)\b", r"\b{} of[ .,]*$",
    r"\b{} (?:in number|in all|in total|altogether|all told)",
    r"\bthere (?:is|are) (?:just |only )?{} (?:on|in|at|round|around|all|either|up|down|along|across|and they|, and)\b",
    r"\b(?:of which|where) there (?:is|are) (?:just |only )?{}(?= |$)",
    r"\b(?:you|it|we) (?:get|have|has|has got|have got) (?:just |only )?{} (?:on|in|at|of) "
    r"(?:that|this|each|the|them)\b",
    r"^(?:and |so |, )*(?:there (?:is|are)|that is) {}[ .,]*$", r"^(?:and |so |, )*(?:there (?:is|are)|that is) {} ?, ",
    r"\bso (?:that is |there (?:is|are) )?{}[ .,]*$", r"\b(?:total|totals|makes|making) (?:of |is )?{}[ .,]*$",
)  # fmt: skip
"""How many a set has, told behind its name."""
_GROUPS = ("lots", "sets", "kinds", "sorts", "types", "rows", "sizes", "lengths", "halves")


def _text(clause: Clause) -> str:
    return " ".join(clause.lows)


class Numbers(Owners):
    """Numbers with no unit: counts, or a value that has to be asked for."""

    def _on_each(self) -> bool:
        return bool(self.things.focus) and self.things.focus[0].on_each

    def _counted(self, free: Free, owners: list[Thing], clause: Clause) -> Thing | None:
        """ "The lower bolts, three of those, and the upper bolts": the set that was named before the number."""
        if free.beside != "of" or not {"them", "those", "these"} & set(clause.lows):
            return None
        before = [one for one in clause.mentions if one.head and 0 <= one.start < free.at]
        for mention in sorted(before, key=lambda one: -one.start)[:1]:
            found = self.named.get(id(mention), [])
            return found[0] if len(found) == 1 else None
        return owners[-1] if owners and free.at < 0 else None

    def _on_a_side(self, free: Free, clause: Clause) -> bool:
        said = re.escape(free.figure.said.lower())
        return bool(re.search(rf"\b{said} (?:on |at |to |in |of them )?(?:each|every|either|a|per) \w+", _text(clause)))

    def _told_of_set(self, free: Free, owners: list[Thing], clause: Clause) -> Thing | None:
        """ "Buffer nuts. Four of them, M24", "loosened, four in number", "there's four", "two each side, so four"."""
        whole, said = free.figure.whole, re.escape(free.figure.said.lower())
        behind = [one.figure for one in clause.figures if one.at > free.at >= 0]
        sized = (
            behind
            and (behind[0].thread or behind[0].dimension == "length")
            and f"{free.figure.said.lower()} , " in _text(clause)
        )
        headed = not owners and bool(self.things.focus) and self.things.focus[0].kind == "fastener"
        sized = (
            sized and (headed or (bool(owners) and owners[-1].kind == "fastener")) and not clause.verb
        )  # "Screws: six, M5"
        opens = tuple(f"{free.figure.said.lower()} of {those}" for those in ("them", "those", "these"))
        if whole and 1 < whole <= MOST_IN_A_SET and _text(clause).startswith(opens):
            told = [one for one in self.things.focus[:6] if one.plural and one.kind == "fastener" and one.count is None]
            near = [one for one in told if 1 <= self.things.clause - one.at_clause <= 2]
            if near and owners:
                return near[0]  # ", ten of them, thirty-three millimetre socket and a long bar"
            several = [one for one in self.things.focus[:10] if one.plural and one.at_clause < self.things.clause]
            lately = bool(several) and several[0].count is None and several[0].at_clause >= self.before
            if lately and several[0].kind in (*_COUNTED, "cover"):
                return several[0]  # "loosen the bolts, because it's the track that holds the hub. Twelve of them"
        bare = [one for one in owners if one.plural and one.count is None and one.kind == "part"]
        alone = (
            not clause.verb and re.search(rf"^(?:and |so )*{said}[ .,!]*$", _text(clause)) and whole and 1 < whole <= 60
        )
        behind_it = not clause.verb and re.search(rf" , {said}[ .!]*$", _text(clause)) and whole and 1 < whole <= 60
        title = self.things.focus[0] if self.things.focus else None
        if (
            alone
            and not owners
            and title is not None
            and title.kind == "fastener"
            and title.at_clause >= self.since - 1
        ):
            fresh = title.plural and title.count is None and not title.is_off and title.torque is None
            return title if fresh else None  # "Coupling bolts next. Eight."
        if behind_it and len(bare) == 1:
            return bare[0]  # "new rubber bushes, eight"
        ends = clause.meaning in ("open", "fit") and re.search(rf" , {said}[ .!]*$", _text(clause))
        if ends and len(bare) == 1 and whole and 1 < whole <= 60:
            return bare[0]  # "spacers come out with it, two"
        if (
            not whole
            or whole < 2
            or not (sized or any(re.search(way.format(said), _text(clause)) for way in _TOLD_OF_SET))
        ):
            return None
        uncounted = [one for one in owners if one.plural and one.count is None]
        in_all = re.search(rf"\b{said} (?:altogether|all told|in all|in total)", _text(clause))
        each = [one for one in owners if one.kind == "part" and not one.plural and one.count in (None, 1)]
        if in_all and each[:1] and any(one.each for one in clause.mentions):
            each[0].plural = True  # "a new o-ring in each hose end, two altogether"
            return each[0]
        if owners:
            later = [one for one in clause.mentions if one.head and one.start > free.at and one.kinds[:1] != ("tool",)]
            named = not later or any(one.head and 0 <= one.start < free.at for one in clause.mentions) or free.at < 0
            return uncounted[0] if named and len(uncounted) == 1 else None
        here = [one for one in self.things.focus[:4] if one.plural and one.at_clause >= self.since]
        spoken = here[0] if here else self.things.focus[0] if self.things.focus else None
        fits = spoken is not None and spoken.plural and spoken.count is None and spoken.kind in _COUNTED
        return spoken if fits and spoken is not None and spoken.at_clause >= self.since - 2 else None

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
        of_each = re.search(rf"\b{re.escape(figure.said.lower())} of each\b", _text(clause))
        if of_each and figure.whole is not None:
            for one in owners:
                if one.plural and one.count is None:
                    one.count, one.count_said = figure.whole, said  # "the balls and the springs, three of each"
            self.bound += 1
            return
        if self._on_a_side(free, clause):
            return  # "two each side, so four"
        if whole_set := self._told_of_set(free, owners, clause):
            whole_set.count, whole_set.count_said, whole_set.on_each = figure.whole, said, False
            self.bound += 1
            return
        if free.beside.startswith(_GROUPS):
            return  # "two lots of bolts"
        whole = figure.whole
        counted = self._counted(free, owners, clause)
        if whole is not None and counted is not None and counted.plural and counted.count is None:
            counted.count, counted.count_said = whole, said  # "return springs off, two of them"
            self.bound += 1
            return
        tight = (
            (tightening and bool(clause.verb))
            or (
                clause.verb in ("tighten", "torque", "do", "get", "take", "go", "pull", "set")
                and clause.meaning not in ("open", "loosen")
            )
            or "torque" in clause.lows
        )
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        compared = "most" in (free.before, free.beside) or "least" in (free.before, free.beside)
        if whole is not None and whole > MOST_IN_A_SET and fasteners and clause.meaning in ("open", "loosen"):
            fasteners[-1].doubt(f'so many in one set cannot be: "{figure.said}" ({clause.words})')
            self.bound += 1
            return
        if tight and (fasteners or (not owners and free.before in ("to", "at", "get"))):
            thing = fasteners[-1] if fasteners else self.things.latest(("fastener",), within=3)
            if thing is not None:
                thing.doubt(f'torque said with no unit: "{figure.said}" ({clause.words})')
                self.bound += 1
                return
        if compared or (owners and any(thing.kind == "measure" for thing in owners)):
            self.unread.append(Unread(said, f"{figure.said}: no unit was said"))
            return
        latest = self.things.latest(("fastener",), within=3)
        of_them = "there" in clause.lows and free.beside == "of" and bool({"them", "those", "these"} & set(clause.lows))
        if whole is not None and of_them and latest is not None and latest.count not in (None, whole):
            latest.doubt(f'first {latest.count} was said, then "{clause.words}"')
            latest.count, latest.count_said = whole, said
            self.bound += 1
            return
        spoken = self.things.focus[0] if self.things.focus else None
        if (
            whole is not None
            and (clause.lows[:2] == ("that", "is") or (self._on_each() and free.beside in _IN_ALL))
            and not any(mention.head for mention in clause.mentions if mention in clause.objects)
            and spoken is not None
            and (free.beside in ("", ",", "under", "of") or (spoken.on_each and free.beside in _IN_ALL))
            and spoken.kind in ("fastener", "support", "part", "connection")
            and spoken.plural
            and spoken.count is None
            and spoken.at_clause >= self.since - 1
        ):
            spoken.count, spoken.count_said = whole, said  # "the body stands, that's two"
            spoken.on_each = False
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
