"""Torques and turns on the fasteners they were said of."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from .clause import Clause, Free
from .figures import Figure
from .mended_figures import ROUNDS
from .owners import FIRST_ROUND, Owners
from .story import Telling, Unread
from .thing import Said, Thing

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
        "begin",
        "finish",
        "second",
    }
)
"""Words by which several torques are the rounds of one set."""


_ANOTHER_TIME = (
    " last time ", " used to ", " was done up ", " had been ", " on the old ", " the old one ", " other engine ",
    " other one ", " other machine ", " other model ", " was only ", " had it at ", " had them at ",
)  # fmt: skip


ABOUT = frozenset(
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


TAKES = frozenset({"get", "take", "want", "need", "torque", "tighten", "be", "go", "do", "snug", "nip", "pull", "set"})


class Torques(Owners):
    """Torques and turns; rounds before the last; what is told of another time."""

    def _torques(self, clause: Clause, owners: list[Thing], tightening: bool) -> list[Free]:
        named = [free for free in clause.figures if free.figure.dimension == "torque"]
        measured = any(thing.kind == "measure" for thing in owners)
        if measured:
            return []
        if not named and self.unit and (not clause.verb or clause.verb in TAKES):
            # "sixty-five newton metres for the bolts and forty for the nuts"
            bare_ones = [
                free
                for free in clause.figures
                if is_bare(free)
                and (
                    free.link is not None
                    or any(thing.kind == "fastener" for thing in owners)
                    or (free.before in ("at", "to") and not owners and "then" in self.words.lower())
                )
            ]
            for free in bare_ones:
                free.figure = replace(free.figure, unit=self.unit, said=f"{free.figure.said} {self.unit}")
                self.shared_unit = True
            return bare_ones
        if named:
            unit = self.unit = named[-1].figure.unit
            together: list[Free] = []
            for free in clause.figures:
                if is_bare(free) and free not in named:
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
            return self._then_more(clause, owners)
        latest = self.things.latest(("fastener",), within=3)
        return self._then_more(clause, owners) if latest is not None and owners == [latest] else []

    def _then_more(self, clause: Clause, owners: list[Thing]) -> list[Free]:
        """ "120 newton metres first. Then 210." A bare number that opens with "then" and is more is the next round."""
        bare = [free for free in clause.figures if is_bare(free)]
        latest = self.things.latest(("fastener",), within=3)
        if len(bare) != 1 or latest is None or clause.verb not in ("", *TAKES) or clause.lows[:1] == ("if",):
            return []
        said = latest.torque or (latest.passes[-1] if latest.passes else None)
        more = bare[0].figure.value
        soon = self.things.clause - self.torqued_at.get(latest.number, -100) <= 3
        if (
            (owners and owners != [latest])
            or said is None
            or said.value is None
            or more is None
            or more <= said.value
            or not soon
        ):
            return []
        if not _goes_on(clause):
            return []
        bare[0].figure = replace(bare[0].figure, unit=said.unit, said=f"{bare[0].figure.said} {said.unit}")
        self.shared_unit = True
        return bare

    def _torque(
        self, torques: list[Free], clause: Clause, owners: list[Thing], said: Said, step: Telling | None
    ) -> Thing | None:
        thing = self._fastener(owners, torques[-1], clause)
        if thing is None or not any(one is thing for one in owners):
            thing = self._same_round(torques[0], owners) or thing
        if thing is None:
            named = ", ".join(free.figure.said for free in torques)
            doubt = (
                "it is not clear which fasteners are meant"
                if any(one.doubted for one in owners)
                else "no fastener was named near it"
            )
            self.unread.append(Unread(said, f"a torque ({named}) and {doubt}: put it where it belongs"))
            return None
        if self.only_if:
            named = ", ".join(free.figure.said for free in torques)
            self.unread.append(Unread(said, f"a torque ({named}) that holds only in a case"))
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
        if len({free.figure.value for free in torques}) == 1 and torques[0].figure.value is not None:
            torques = torques[-1:]  # "a hundred and thirty, yes, a hundred and thirty newton metres"
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
            again = free.figure.value == final.value  # "to 300 in two stages, first 150, then 300"
            if (
                free.figure.value is not None
                and not again
                and not any(one.value == free.figure.value for one in thing.passes)
            ):
                thing.passes.append(free.figure)
        self.bound += 1
        opens = torques[0].beside == "first" or bool(
            FIRST_ROUND.search(" ".join(clause.lows)) or FIRST_ROUND.match(self.words.lower())
        )
        if len(torques) == 1 and opens and thing.torque is None and final.value is not None:
            self.torqued_at[thing.number] = self.things.clause
            thing.passes.append(final)  # what comes after it is the value
            return thing
        earlier = thing.torque.value if thing.torque is not None else None
        first = "first" in clause.lows and len(torques) == 1 and final.value is not None and earlier is not None
        if (
            first
            and thing.torque is not None
            and thing.torque.unit == final.unit
            and (final.value or 0) < (earlier or 0)
        ):
            thing.passes.append(final)  # the value was told before, and this is the round that comes first
            return thing
        if thing.torque is not None and self._next_round(thing, final, clause):
            thing.passes.append(thing.torque)
            thing.torque = None
        if "torque" in thing.disputed:
            return thing
        if thing.torque is None:
            self.torqued_at[thing.number] = self.things.clause
            thing.torque, thing.torque_said = final, said
            if self.shared_unit:
                thing.doubt(f'unit taken from the value before it: "{final.said}"')
            if final.spoken_short:
                thing.doubt(f'torque heard as "{final.said}": read as {final.value}')
            if ABOUT & set(clause.lows):
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
                thing.disputed.add("torque")
                return thing
            thing.doubt(f'two torques said: "{thing.torque.said}" and later "{final.said}": which?')
            thing.torque = None
            thing.disputed.add("torque")
        return thing

    def only_a_round(self, clause: Clause) -> None:
        """ "... at a hundred newton metres, and that's only the first round": not yet the value."""
        told = clause.lows[:2] in (("that", "is"), ("this", "is"), ("it", "is"), ("that", "was"))
        thing = self.things.latest(("fastener",), within=3)
        if (
            not told
            or clause.figures
            or clause.negated
            or thing is None
            or not FIRST_ROUND.search(" ".join(clause.lows))
        ):
            return
        if thing.torque is not None and self.torqued_at.get(thing.number, -100) >= self.things.clause - 2:
            thing.passes.append(thing.torque)
            thing.torque = None
            self.bound += 1

    def _same_round(self, free: Free, owners: list[Thing]) -> Thing | None:
        """ "Then it's 300, tap the hub round, and then 420": the nut's, though a hub was named in between."""
        if "then" not in free.before.split() or any(thing.kind == "fastener" for thing in owners):
            return None
        here = [
            thing
            for thing in self.things.focus
            if thing.kind == "fastener"
            and thing.torque is not None
            and self.torqued_at.get(thing.number, -1) >= self.since
        ]
        return here[0] if len(here) == 1 else None

    def _next_round(self, thing: Thing, final: Figure, clause: Clause) -> bool:
        """ "Across, 80 newton metres. Then 190 newton metres." """
        before = thing.torque
        if before is None or before.value is None or before.unit != final.unit:
            return False
        more = final.value if final.value is not None else final.low
        soon = self.things.clause - self.torqued_at.get(thing.number, -100) <= 5
        told_next = any("then" in free.before.split() for free in clause.figures)
        breath = thing.torque_said is not None and thing.torque_said.words == self.words
        opens = clause.opens.split()[-1:] == ["then"] or self.words.lower().startswith(_THEN)
        goes_on = (
            (opens or "again" in clause.lows)
            or (breath and bool({"then", "final", "finally"} & set(self.words.lower().replace(",", " ").split())))
            or told_next
            or _goes_on(clause)
        )
        eased = thing.number in self.eased and self.eased[thing.number] >= self.torqued_at.get(thing.number, -100)
        if eased and before.unit == final.unit and ("again" in clause.lows or opens):
            return True  # "to two hundred. Slacken it off. Then tighten it again, fifty"
        if _NEXT_ROUND.search(self.words.lower()):
            goes_on = True
        rounds = bool({"second", "third", "last", "final"} & set(clause.lows) and ROUNDS & set(clause.lows))
        named = (rounds or _NEXT_ROUND.search(self.words.lower())) and any(one.head for one in clause.mentions)
        soon = soon or bool(named and self.things.clause - self.torqued_at.get(thing.number, -100) <= 15)
        return more is not None and more > before.value and soon and (goes_on or rounds)

    def _angle(self, free: Free, owners: list[Thing], torqued: Thing | None, clause: Clause, said: Said) -> None:
        thing = torqued or self._fastener(owners, free)
        measure = next((one for one in owners if one.kind == "measure"), None)
        compared = {"most", "least"} & {free.before, free.beside} or free.figure.low is not None
        spoken = self.things.focus[0] if self.things.focus else None
        if compared and torqued is None and (measure or (spoken is not None and spoken.kind == "measure")):
            limited = measure or spoken
            assert limited is not None
            self.limit(limited, free, clause, said)
            return
        if measure is not None:
            return
        on = clause.verb == "turn" and bool({"further", "another", "more", "extra"} & set(clause.lows))
        if on and thing is None:
            thing = self.things.latest(("fastener",), within=2)  # "to 120 newton metres and then turned a further 60"
        on = on and thing is not None and thing.torque is not None
        if clause.meaning in ("loosen", "open", "move", "inspect", "clean", "raise") and not on:
            return  # "slacken them half a turn": how far, no value of theirs
        told_at = self.torqued_at.get(thing.number, -100) if thing is not None else -100
        late = torqued is None and self.things.clause - told_at > 2
        if late and thing is not None and thing.torque is not None and not on:
            self.unread.append(
                Unread(said, f"a turn ({free.figure.said}) told apart from the torque of the {thing.name}")
            )
            return
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


def _last_round_last(torques: list[Free]) -> list[Free]:
    """ "Fifty-five, in two steps, the first one being thirty": the most is the last round."""
    sizes = [free.figure.value if free.figure.value is not None else free.figure.low for free in torques]
    if any(size is None for size in sizes):
        return torques
    return [free for _, free in sorted(zip(sizes, torques, strict=True), key=lambda pair: pair[0] or Decimal(0))]


_NEXT_ROUND = re.compile(
    r"\b(?:second|third|last|final|next) (?:round|time|pass|go|stage|step)\b|\b(?:round|once) again\b|\bonce more\b"
)
_THEN = ("then ", "and then ", "finally", "after that", "next ")


def _goes_on(clause: Clause) -> bool:
    opens = " ".join(clause.lows[:3])
    return opens.startswith(("then", "and then", ", then", "finally", "and finally", "after that", "last"))


def is_bare(free: Free) -> bool:
    """A number with no unit that counts neither things nor rounds."""
    named = free.before in ("pass", "round", "stage", "step")  # "first pass 250, second pass 450 newton metres"
    rounds = free.beside in ROUNDS or (free.before in ROUNDS and not named)
    small = free.figure.said.lower() == "one"  # "one after another"
    return not (free.figure.unit or free.figure.thread or rounds or small or _names_count(free))


def _names_count(free: Free) -> bool:
    """ "four" in "do the four up to 65"."""
    return free.beside in ("of", "bolts", "nuts", "screws")
