"""Which value belongs to what. A value with no clear owner is listed, never given to the nearest."""

from __future__ import annotations

from dataclasses import replace

from .bare_numbers import Numbers
from .clause import Clause
from .likeness import is_screwed_in
from .limits import share_limit_unit
from .mended_figures import ROUNDS
from .mention import Mention
from .owners import NO_WEIGHT
from .sizes import WITH_IT_ON, Sizes
from .story import Deed, Telling, Unread
from .thing import Said, Thing
from .torques import TAKES, Torques


class Values(Torques, Sizes, Numbers):
    """Puts values on things; what has no owner goes to the list of the unread."""

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
        for other in self._told_of_all(clause, owners):
            self._treatments(clause, [other], step)
            self.order_from(clause, other)
            self._place(replace(clause, figures=list(clause.figures)), [other], said, step, tightening)
        for deed in deeds:
            if deed.verb == "loosen" and deed.thing is not None:
                self.eased[deed.thing.number] = self.things.clause
            if deed.thing is not None and deed.thing.kind == "fastener":
                deed.thing.loose = deed.verb == "loosen"
            if deed.verb == "remove" and deed.thing is not None:
                self.lifted(deed.thing)
        if (
            torqued is not None
            and not tightening
            and any(deed.thing is torqued and deed.verb in ("start", "fit") for deed in deeds)
        ):
            deeds.append(Deed("tighten", torqued, implied=False))  # "drain plug in, 45 foot pounds"

    def of_statement(self, clause: Clause, said: Said, step: Telling | None, back: bool) -> Thing | None:
        """Values of a clause without an action. The fastener whose torque was said, where that tells of tightening
        (going back together); else None."""
        self.only_a_round(clause)
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
            if mention.pronoun and mention.words == "each" and not any(mention is one for one in clause.objects):
                continue  # "that gets twenty-two at each end"
            if mention.pronoun:
                by_pronoun.extend(self._pronoun(mention, clause))
            elif mention.head and not mention.unknown and mention.kinds[:1] not in (("tool",), ("consumable",)):
                known = self.things.of_any_kind(mention).things
                pair = len(known) == 2 and mention.kinds[:1] == ("connection",) and "both" in clause.lows
                known = known if pair else known[:1]
                self.named.setdefault(id(mention), known)
                owners.extend(known)
            elif mention.ones and any(free.figure.dimension == "mass" for free in clause.figures):
                weighed = self._weighed(6, mention.plural)  # "this one's 215 kilograms"
                by_pronoun.extend([weighed] if weighed else [])
            elif mention.ones and (tells_which(mention, clause) or not self.one_of_bolts(mention)):
                continue  # "the fat one's the suction hose"
            elif mention.ones:
                meant = self.things.meant(mention, self.like_those_before(mention, clause), said).things
                self.named.setdefault(id(mention), meant)
                owners.extend(meant)
                if len(meant) == 1 and mention.places:
                    self.things.speak_of(meant[0])  # "you work from the middle out with the long ones"
        if not owners and clause.lows[:1] in (("everybody",), ("everyone",), ("everything",)):
            owners = [  # "long bolts and short bolts, everybody gets twenty newton metres"
                one
                for one in reversed(self.things.focus[:12])
                if one.kind == "fastener" and self.things.clause - one.at_clause <= 1
            ]
        torqued_at_all = any(free.figure.dimension == "torque" for free in clause.figures)
        if torqued_at_all and clause.verb in ("get", "take", "want", "need", "tighten", "torque"):
            for one in owners:
                if one.kind == "part" and not one.plural and is_screwed_in(one.head):
                    one.kind = "fastener"  # "the valve gets fifty foot pounds"
        owners = _once([*owners, *by_pronoun])  # what is named goes before "it"
        self._tool_sizes(clause, owners)
        self._treatments(clause, owners, step)
        for link, stuff in clause.beside:
            on_threads = any(one.head == "thread" for _, one in (*clause.beside, *stuff.attached))
            if link == "with" and on_threads and (stuff.is_oil or stuff.kinds[:1] == ("consumable",)):
                smeared = [thing for thing in owners if thing.kind == "fastener"]
                latest = smeared[-1] if smeared else self.things.latest(("fastener",), within=3)
                if latest is not None and not clause.negated:
                    self.treated(latest, stuff)  # "the old ones will do, with a drop of oil on the threads"
        for other in (*self._both(clause), *self._told_of_all(clause, owners)):
            self._treatments(clause, [other], step)
            self.order_from(clause, other)
            self._place(replace(clause, figures=list(clause.figures)), [other], said, step, True)
        torqued = self._place(clause, owners, said, step, clause.verb in TAKES or not clause.verb)
        if torqued is None and not any(free.figure.dimension == "torque" for free in clause.figures):
            torqued = self._same_again(clause, said)
        fasteners = [thing for thing in owners if thing.kind == "fastener"] or ([torqued] if torqued else [])
        if clause.manners and not fasteners and not any(mention.head for mention in clause.objects):
            latest = self.things.latest(("fastener",), within=3)
            fasteners = [latest] if latest else []
        for thing in fasteners[-1:]:
            self.order_from(clause, thing)
        return torqued if back else None

    def one_of_bolts(self, ones: Mention) -> bool:
        """ "An upper one" is one of the bolts; "tray underneath. A big one." is not."""
        bolts = self.things.latest(("fastener",), within=3)
        lone = ones.det in ("a", "an") and not ones.plural and ones.count is None
        return not lone or (bolts is not None and (bolts.plural or bolts.at_clause == self.things.clause))

    def like_those_before(self, mention: Mention, clause: Clause) -> tuple[str, ...]:
        """ "Two big hoses and one little one": a hose; where nothing was named in front, fasteners."""
        before = [one for one in clause.mentions if one.head and 0 <= one.start < mention.start]
        near = max(before, key=lambda one: one.start, default=None)
        several = near is not None and (near.count or near.plural) and near.kinds[:1] in (("connection",), ("part",))
        one_of = mention.count or mention.det in ("a", "an")
        return near.kinds[:1] if near is not None and several and one_of else ("fastener",)

    def _told_of_all(self, clause: Clause, owners: list[Thing]) -> list[Thing]:
        """ "The long and the short bolts, everybody gets twenty", "the bolts of both trunnions": all but the last."""
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        together = bool(ALL_OF_THEM & set(clause.lows)) or any(
            inner.both for mention in clause.mentions for _, inner in mention.attached
        )
        torques = [free for free in clause.figures if free.figure.dimension == "torque"]
        others = [
            free for free in clause.figures if free not in torques and not (free.figure.unit or free.figure.thread)
        ]
        rounds = len(torques) > 1 and any(free.before in ROUNDS or free.beside in ROUNDS for free in torques)
        if len(fasteners) < 2 or not together or others or (len(torques) > 1 and not rounds):
            return []
        return fasteners[:-1]

    def _both(self, clause: Clause) -> list[Thing]:
        """ "The lower bolt, then the upper one. Both get sixty newton metres.": the other of the two."""
        for mention in clause.mentions:
            if mention.pronoun and mention.words.startswith("both"):
                two = self.things.meant(mention, ("fastener",), Said("", None)).things
                latest = self._pronoun(mention, clause)
                return [one for one in two if one not in latest] if len(two) == 2 else []
        return []

    def _same_again(self, clause: Clause, said: Said) -> Thing | None:
        """ "The flange bolts get ninety newton metres, the bracket bolts the same"."""
        if not {"same", "likewise", "ditto"} & set(clause.lows) or {"before", "time", "way", "side"} & set(clause.lows):
            return None
        if clause.figures or clause.meaning not in ("", "tighten", "needs"):
            return None
        named = [one for one in clause.mentions if one.kinds[:1] == ("fastener",) and one.head]
        found = [thing for one in named for thing in self.things.known(one, "fastener", None).things[:1]]
        told = [
            thing
            for thing in self.things.focus
            if thing.kind == "fastener" and thing.torque is not None and thing not in found[:1]
        ]
        source = (
            found[1]
            if len(found) == 2
            else next(
                (one for one in told if one.torque_said is not None and one.torque_said.words == self.words), None
            )
        )
        if not found or source is None or source.torque is None or found[0].torque is not None or found[0].doubted:
            return None
        target = found[0]
        target.torque, target.torque_said, target.angle_deg = source.torque, said, source.angle_deg
        target.doubt(f'"the same" was said: taken from the {source.name}')
        self.bound += 1
        return target

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
        if thing.doubted or clause.meaning in ("loosen", "open"):
            return
        for manner in clause.manners:
            if manner in ("across", "round", "middle-out"):
                thing.order = thing.order or manner
                self.bound += 1

    def finish(self, steps: list[Telling]) -> None:
        """What can be told only at the end: values that two tellings give differently."""
        for part in self.dried:
            self._dry_or_not(part, steps)
        for thing in self.things.all:
            final = thing.torque.value if thing.torque is not None else None
            if final is not None:  # a value told ahead, then its rounds: no round of its own
                thing.passes = [one for one in thing.passes if one.value != final]
        for step in steps:
            for deed in step.deeds:
                if (
                    deed.verb == "tighten"
                    and deed.thing is not None
                    and deed.thing.kind == "fastener"
                    and deed.thing.torque is None
                ):
                    step.doubt("no torque was said")

    def _dry_or_not(self, part: Thing, steps: list[Telling]) -> None:
        """ "It goes on with sealant, I mean without, it goes on dry": dry, where both were said of one part at once;
        unknown, where they were said apart."""
        for step in steps:
            wet = [deed for deed in step.deeds if deed.verb == "apply" and deed.onto is part]
            if not wet:
                continue
            step.deeds = [deed for deed in step.deeds if deed not in wet]
            step.doubt(
                f"{wet[0].thing.name if wet[0].thing else 'something'} and dry were both said of the {part.name}"
            )
        steps[:] = [step for step in steps if step.deeds]

    def _place(
        self, clause: Clause, owners: list[Thing], said: Said, step: Telling | None, tightening: bool
    ) -> Thing | None:
        torqued: Thing | None = None
        self.shared_unit = False
        torques = self._torques(clause, owners, tightening)
        if torques:
            torqued = self._torque(torques, clause, owners, said, step)
        share_limit_unit(clause, owners)
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
                along = [
                    one
                    for link, one in clause.beside
                    if link == "with" and "part" in one.kinds[:1] and one.head not in NO_WEIGHT and not one.unknown
                ]
                if along and WITH_IT_ON.search(" ".join(clause.lows)):
                    owners, along = [one for one in owners if one.head not in {part.head for part in along}], []
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

    def _treatments(self, clause: Clause, owners: list[Thing], step: Telling | None) -> None:
        if not clause.treatments or clause.sub in ("if", "unless", "when", "once", "until", "till"):
            return
        fasteners = [thing for thing in owners if thing.kind == "fastener"]
        for link, mention in clause.beside:
            for inner in (one for _, one in mention.attached if mention.head == "thread"):
                fasteners = self.things.known(inner, "fastener", None).things or fasteners
            if link in ("on", "to", "onto") and "fastener" in mention.kinds:
                fasteners = self.things.known(mention, "fastener", None).things or fasteners
        thing = fasteners[-1] if fasteners else None
        spoken = self.things.focus[0] if self.things.focus else None
        other = (
            spoken is not None and spoken.kind == "part" and spoken.at_clause >= self.since and spoken.head in _THREADED
        )
        if thing is None and {"threads", "thread", "them", "each", "those"} & set(clause.lows) and not other:
            thing = self.things.latest(("fastener",), within=3)
        if thing is None and clause.treatments[0].startswith("locker"):
            thing = self.things.latest(("fastener",), within=2)
        if thing is None and clause.treatments[0] in ("dry", "oil"):
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
        self._treat(thing, clause.treatments[0])
        thing.treatment_where = thing.treatment_where or where
        self.bound += 1

    def treated(self, thing: Thing, stuff: Mention, said_so: str = "") -> None:
        """ "The plug goes in with sealant": what is put on the threads. Thread locker has its strength said with it."""
        kind = said_so or ("oil" if stuff.head.endswith("oil") else _STUFF.get(stuff.head, ""))
        if kind and not thing.doubted:
            self._treat(thing, kind)
            self.bound += 1

    def _treat(self, thing: Thing, kind: str) -> None:
        """Two that rule each other out, said of the same fasteners: neither stands, somebody is asked."""
        if "treatment" in thing.disputed:
            return
        if self.only_if:
            thing.doubt(f'{kind} only in a case: "{self.words}"')
            return
        both = {thing.treatment, kind}
        if (
            thing.treatment
            and thing.treatment != kind
            and (all(one.startswith("locker") for one in both) or "dry" in both)
        ):
            thing.doubt(f"two treatments said: {thing.treatment} and {kind}: which?")
            thing.treatment = ""
            thing.disputed.add("treatment")
            return
        thing.treatment = thing.treatment or kind

    def _dry_part(self, clause: Clause, owners: list[Thing], step: Telling | None) -> None:
        """ "The new gasket goes on dry", "wheel on, dry"."""
        parts = [thing for thing in owners if thing.kind == "part"]
        if not parts and not clause.mentions and step is not None:
            parts = [deed.thing for deed in step.deeds[-1:] if deed.thing is not None and deed.verb == "fit"]
        if parts and parts[-1].head == "lip":
            seals = [one for one in self.things.focus[:8] if one.kind == "part" and one.head.endswith("seal")]
            parts = seals[:1]  # "fit the new seal, lip oiled"
        news = [part for part in parts if part.new]
        both = len(parts) == 2 and "both" in clause.lows
        if len(parts) > 1 and not both:
            parts = news if len(news) == 1 else []  # "the new top gasket, dry as well, and the head on top of that"
        for part in parts if both else parts[-1:]:
            if clause.treatments[0] == "dry":
                self.dried.append(part)
            part.treatment = part.treatment or clause.treatments[0]
            if step is not None and clause.words not in step.how and clause.words != step.words:
                step.how.append(clause.words)
            self.bound += 1


ALL_OF_THEM = frozenset({"both", "everybody", "everyone", "everything", "all"})
_THREADED = frozenset({"adjuster", "spindle", "rod", "shaft", "screw", "stud", "tie rod", "turnbuckle", "eye"})
"""Parts with threads of their own."""
_STUFF = {"grease": "grease", "anti-seize": "anti-seize", "sealant": "sealant", "rubber grease": "grease"}


def tells_which(ones: Mention, clause: Clause) -> bool:
    """ "The little one is the case drain hose": what it is called, and no other thing."""
    if clause.verb or clause.figures or not {"is", "are", "'s"} & set(clause.lows):
        return False
    behind = [one for one in clause.objects if one.head and one.start > ones.start and not one.unknown]
    return bool(behind) and behind[0].kinds[:1] not in (("fastener",), ("tool",)) and behind[0].det == "the"


def _once(things: list[Thing]) -> list[Thing]:
    found: list[Thing] = []
    for thing in things:
        if not any(thing is known for known in found):
            found.append(thing)
    return found
