"""The things a narration speaks of, and which of them a mention means."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from .figures import Figure
from .lexicon import lexicon, plural_of
from .phrases import Mention, words_of


@dataclass(slots=True)
class Said:
    """Where something was said."""

    words: str
    at_s: float | None
    line: int = 0


@dataclass(slots=True)
class Thing:
    """One fastener set, part, hose, ... as far as the narration tells."""

    number: int
    kind: str
    head: str
    plural: bool
    spoken: str = ""
    """The head as it was first said, where it differs."""
    places: set[str] = field(default_factory=set)
    mods: list[str] = field(default_factory=list)
    new: bool = False
    old: bool = False
    count: int | None = None
    count_said: Said | None = None
    thread: str = ""
    wrench: Figure | None = None
    """Width across flats, where it was said."""
    length: Figure | None = None
    torque: Figure | None = None
    torque_said: Said | None = None
    angle_deg: Decimal | None = None
    by_hand: bool = False
    passes: list[Figure] = field(default_factory=list)
    """Torques of the rounds before the last."""
    shares: list[Decimal] = field(default_factory=list)
    """Rounds in per cent."""
    order: str = ""
    treatment: str = ""
    treatment_where: str = ""
    reuse_new: bool = False
    left_hand: bool = False
    joins: list[Thing] = field(default_factory=list)
    near: list[Thing] = field(default_factory=list)
    """Parts spoken of when it was first named."""
    mass: Figure | None = None
    part_number: str = ""
    quantity: Figure | None = None
    low: Figure | None = None
    high: Figure | None = None
    when: dict[str, str] = field(default_factory=dict)
    unsure: list[str] = field(default_factory=list)
    also: list[str] = field(default_factory=list)
    """Other names that were used."""
    first: Said | None = None
    at_clause: int = 0
    """Clause in which it was last spoken of."""
    is_off: bool = False
    misheard_note: str = ""
    doubted: bool = False
    """It was taken for the thing meant where another could have been: no value is put on it from there."""
    limit_turned: bool = False
    """Its limit was only told by what is too much: "more than two and you fit a shim"."""
    number_said: str = ""
    """"one" where it was first named in the singular."""
    part_out: bool = False
    """Some of the set are out: "all but one"."""

    @property
    def words(self) -> frozenset[str]:
        return frozenset(self.mods) | self.places

    @property
    def name(self) -> str:
        age = ["old"] if self.old else ["new"] if self.new else []
        spoken = self.spoken or self.head
        head = plural_of(spoken) if self.plural and spoken not in _PLURAL_ALREADY else spoken
        return " ".join([*age, *sorted(self.places, key=_place_rank), *self.mods, head])

    def doubt(self, reason: str) -> None:
        if reason not in self.unsure:
            self.unsure.append(reason)


_SMALL_PARTS = frozenset(
    {"washer", "gasket", "shim", "ring", "seal", "spacer", "circlip", "key", "pin", "clip", "bush", "thread", "hole"}
)
"""Parts that no set of bolts is called after."""
_OF_SIZE = frozenset({"big", "small", "long", "short", "thick", "thin"})
_HELD_CLAMPS = frozenset({"clamp", "union"})
_LIDS = frozenset({"cover", "cap"})
_PLURAL_ALREADY = frozenset({"splines", "fixings", "blocks", "teeth"})
_RANK = {"front": 0, "rear": 0, "left": 1, "right": 1, "upper": 0, "lower": 0}


def _place_rank(place: str) -> tuple[int, str]:
    return _RANK.get(place, 2), place


@dataclass(slots=True)
class Found:
    things: list[Thing]
    doubt: str = ""


class Things:
    """All things named so far. The latest is the likeliest."""

    def __init__(self) -> None:
        self.all: list[Thing] = []
        self.by_head: dict[str, list[Thing]] = {}
        self.focus: list[Thing] = []
        """Latest first."""
        self.clause = 0

    def add(self, kind: str, head: str, plural: bool, said: Said) -> Thing:
        thing = Thing(len(self.all), kind, head, plural, first=said)
        self.all.append(thing)
        self.by_head.setdefault(head, []).append(thing)
        return thing

    def speak_of(self, thing: Thing) -> None:
        thing.at_clause = self.clause
        if thing in self.focus[:40]:
            self.focus.remove(thing)
        self.focus.insert(0, thing)
        del self.focus[40:]

    def latest(self, kinds: Iterable[str], plural: bool | None = None, within: int = 10_000) -> Thing | None:
        wanted = tuple(kinds)
        for thing in self.focus:
            if (
                thing.kind in wanted
                and (plural is None or thing.plural == plural)
                and self.clause - thing.at_clause <= within
            ):
                return thing
        return None

    # -- which thing a mention means ---------------------------------------

    def meant(self, mention: Mention, kinds: tuple[str, ...], said: Said, closing: bool | None = None) -> Found:
        """The thing or things meant; new ones are added. `kinds` is what the verb acts on, likeliest first."""
        if mention.pronoun:
            return self._pronoun(mention, kinds, closing)
        if mention.ones and not mention.head:
            return self._ones(mention, kinds, said)
        if kinds[:1] == ("connection",) and mention.kinds[:1] == ("part",):
            unplugged = [
                thing
                for thing in self.focus
                if thing.kind == "connection" and thing.is_off and mention.head in thing.mods
            ]
            if len(unplugged) == 1 and mention.head not in {thing.head for thing in self.all if thing.kind == kinds[0]}:
                return Found(unplugged)  # "plug the motor back in": the plug of the motor
        kind = _kind_of(mention, kinds)
        if kind == "fastener" and "part" in (kinds or ("part",)) and self._clamp_of(mention):
            kind = "part"
            for thing in self.by_head.get(mention.head, []):
                if thing.kind == "fastener" and thing.torque is None and not thing.plural:
                    thing.kind, thing.count, thing.count_said = "part", None, None
        if kind == "fastener" and mention.det in ("its", "their") and not (mention.mods or mention.places):
            owner = self.latest(("part", "connection"), within=3)
            if owner is not None:
                mention.mods = (*owner.mods, owner.head)  # "it is locked with a cotter, its nut is M12"
        if mention.head in _LIDS and not mention.spoken and kind in ("part", "cover"):
            kind = self._lid_or_cover(mention, kinds, kind, closing)
        known = self.known(mention, kind, closing)
        if not known.things or (kind == "connection" and kind not in mention.kinds):
            for other in dict.fromkeys(thing.kind for thing in self.by_head.get(mention.head, [])):
                if other != kind and (not kinds or other in kinds):
                    known = self.known(mention, other, closing)
                    if known.things:
                        break
        if not known.things and kind == "fastener":
            known = self._told_more(mention)
        if mention.unknown and mention.amount is not None and mention.amount.dimension == "volume":
            fluids = [thing for thing in self.all if thing.kind == "fluid"]
            if len(fluids) == 1:
                fluids[0].quantity = fluids[0].quantity or mention.amount
                return Found(fluids)  # "twenty six litres of the pink"
            kind = "fluid"
        if known.things:
            thing = known.things[0]
            if len(known.things) > 1:
                return known
            if (
                thing.kind == "fastener"
                and (thing.count or 0) > 1
                and not mention.plural
                and mention.places - thing.words
            ):
                mention.some = mention.count or 1  # "the top guide bolt": one of the two guide bolts
                return known
            if not known.doubt:
                self._enrich(thing, mention, said)
            return known
        return Found([self._new(mention, self._kind_known(mention, kind, kinds), said)])

    def _kind_known(self, mention: Mention, kind: str, kinds: tuple[str, ...]) -> str:
        """ "New bag.": an air bag, where such a bag came off."""
        known = [
            thing.kind
            for thing in self.by_head.get(mention.head, [])
            if not lexicon().opposed(words_of(mention), thing.words) and (not kinds or thing.kind in kinds)
        ]
        fits = mention.new and not mention.mods and known and kind not in known
        return known[-1] if fits else kind

    def _told_more(self, mention: Mention) -> Found:
        """ "There's the bracket screw. Little M6 screw halfway along.": the same screw with more said of it."""
        thing = self.focus[0] if self.focus else None
        same = (
            thing is not None
            and thing.kind == "fastener"
            and thing.head == mention.head
            and thing.plural == mention.plural
            and self.clause - thing.at_clause <= 1
            and words_of(mention) <= _OF_SIZE
            and bool(mention.sizes)
            and not thing.thread
            and mention.det in ("", "a", "an")
            and mention.count in (None, thing.count)
        )
        return Found([thing] if same and thing is not None else [])

    def _clamp_of(self, mention: Mention) -> bool:
        """ "The clamp nut off, and lift the clamp away": a clamp with a nut of its own is a part."""
        return mention.head in _HELD_CLAMPS and any(
            thing.kind == "fastener" and mention.head in thing.mods for thing in self.all[-60:]
        )

    def _lid_or_cover(self, mention: Mention, kinds: tuple[str, ...], kind: str, closing: bool | None) -> str:
        """ "The cover comes off" is a part of the machine; "put a cover over the hole" is one that keeps dirt out."""
        words = words_of(mention)
        known = [
            thing
            for thing in self.by_head.get(mention.head, [])
            if thing.kind in ("part", "cover")
            and not thing.spoken
            and thing.kind in (kinds or ("part", "cover"))
            and (words <= thing.words or thing.words <= words)
        ]
        if known:
            return max(known, key=lambda thing: (words == thing.words, thing.at_clause)).kind
        if "part" not in (kinds or mention.kinds):
            return kind
        if closing is False:
            return "part"
        return "cover" if closing and (mention.det in ("a", "an") or mention.head == "cap") else "part"

    def _pronoun(self, mention: Mention, kinds: tuple[str, ...], closing: bool | None) -> Found:
        wanted = kinds or ("fastener", "part", "connection", "fluid", "cover", "support", "mark", "measure")
        if (
            mention.words in ("both", "both of", "both of them", "these", "those", "them", "they")
            and not mention.all_but
        ):
            last = [thing for thing in self.focus[:4] if thing.kind in wanted and self.clause - thing.at_clause <= 2]
            pair = [thing for thing in last if not thing.plural]
            if len(pair) >= 2 and not (last and last[0].plural) and pair[0].at_clause == pair[1].at_clause:
                together = [thing for thing in pair if thing.at_clause == pair[0].at_clause]
                return Found(list(reversed(together)))
        choice: Thing | None = None
        for thing in self.focus:
            if thing.kind not in wanted or self.clause - thing.at_clause > 14:
                continue
            if mention.plural and not thing.plural and (thing.count or 1) < 2:
                continue
            if not mention.plural and thing.plural:
                continue
            if (
                closing is True
                and self.clause - thing.at_clause > 1
                and not thing.is_off
                and thing.kind in ("fastener", "part")
                and not thing.new
                and self._other_off(wanted, mention.plural)
            ):
                continue
            choice = thing
            break
        if choice is not None and choice.kind == "support" and closing is False and not mention.plural:
            load = self._carried(choice, wanted)
            choice = load or choice
        return Found([choice] if choice else [])

    def _carried(self, support: Thing, wanted: tuple[str, ...]) -> Thing | None:
        """ "Let it down on the jack and drag it out": what the jack carries, as long as it is not out."""
        return next(
            (
                thing
                for thing in self.focus
                if thing.kind in ("part", "connection")
                and thing.kind in wanted
                and not (thing.plural or thing.is_off)
                and (thing in support.joins or self.clause - thing.at_clause <= 2)
            ),
            None,
        )

    def _other_off(self, kinds: tuple[str, ...], plural: bool) -> bool:
        return any(
            thing.is_off and thing.kind in kinds and thing.plural == plural and self.clause - thing.at_clause <= 6
            for thing in self.focus
        )

    def _ones(self, mention: Mention, kinds: tuple[str, ...], said: Said) -> Found:
        base = next(
            (
                thing
                for thing in self.focus
                if (not kinds or thing.kind in kinds) and (thing.plural or not mention.plural)
            ),
            None,
        )
        if base is None:
            return Found([])
        facing = [
            thing
            for thing in self.focus[:8]
            if (not kinds or thing.kind in kinds)
            and self.clause - thing.at_clause <= 3
            and lexicon().opposed(thing.words, mention.places)
        ]
        if facing:  # "the big cable is on a nut, and the small one just pulls off"
            base = min(facing, key=lambda thing: (-thing.at_clause, len(thing.words)))
        if mention.rest or not (mention.places or mention.mods or mention.new):
            return Found([base])
        if mention.det == "" and mention.places <= _OF_SIZE and not mention.mods and base.at_clause == self.clause:
            return Found([base])  # "one bolt through the middle, M10, long one"
        if mention.places and mention.places <= base.words:
            return Found([base])
        named = lexicon().opposed(base.words, mention.places)
        if (
            mention.places
            and not named
            and base.kind == "fastener"
            and (base.count or 0) > (mention.count or (1 if not mention.plural else 400))
        ):
            return Found([base])  # "only take the bottom one out": one of the set
        merged = Mention(
            mention.start,
            mention.end,
            mention.words,
            head=base.head,
            kinds=(base.kind,),
            plural=mention.plural or (mention.count or 0) > 1,
            places=mention.places,
            mods=(*base.mods, *mention.mods),
            det=mention.det,
            count=mention.count,
            new=mention.new,
        )
        if not lexicon().opposed(base.words, mention.places):
            merged.places = mention.places | frozenset(base.places)
        if mention.new:
            base.reuse_new = True
            return Found([base])
        found = self.known(merged, base.kind, None)
        exact = [thing for thing in found.things if thing.words == words_of(merged)]
        return Found(exact) if exact else Found([self._new(merged, base.kind, said)])

    def known(self, mention: Mention, kind: str, closing: bool | None) -> Found:
        words = words_of(mention)
        opposed = lexicon().opposed
        scored: list[tuple[int, Thing]] = []
        heads = self.by_head.get(mention.head, [])
        if kind == "fastener" and not mention.spoken:
            heads = [*self._called_short(mention, words), *heads]
        if mention.head == "fastener":
            heads = [thing for thing in self.focus if thing.kind == "fastener"]
        for thing in heads[-60:]:
            if thing.kind != kind or opposed(words, thing.words):
                continue
            if (mention.new and thing.old) or (mention.old and thing.new):
                continue
            if mention.new and kind == "part" and not thing.new:
                continue
            if mention.new and kind == "part" and thing.plural != mention.plural and mention.det != "the":
                continue  # "new o-rings" are not the new o-ring
            if (
                not mention.new
                and thing.new
                and thing.kind == "part"
                and any(other is not thing and other.head == thing.head and other.is_off for other in heads)
                and closing is not True
            ):
                continue
            if kind == "fastener" and _another_set(mention, thing):
                continue
            if kind == "support" and mention.count and mention.plural and not thing.plural:
                continue  # "two bottle jacks" are not the jack
            score = _agreement(words, thing, mention)
            if score:
                scored.append((score, thing))
        if not scored:
            return Found([])
        indefinite = (
            mention.det in ("a", "an", "another", "") and mention.det != "the" and not mention.rest and not mention.old
        )
        if indefinite and not words and mention.count is not None:
            scored = [
                (score, thing)
                for score, thing in scored
                if (thing.count in (None, mention.count) and self.clause - thing.at_clause <= 12) or closing
            ]
            if closing is None:
                scored = [(score, thing) for score, thing in scored if self.clause - thing.at_clause <= 2]
        if not scored:
            return Found([])
        if (
            mention.count is not None
            and kind == "fastener"
            and any(thing.count == mention.count for _, thing in scored)
        ):
            scored = [(score, thing) for score, thing in scored if thing.count == mention.count]
        best = max(score for score, _ in scored)
        candidates = [thing for score, thing in scored if score == best]
        if best == 1:
            candidates = [
                thing
                for score, thing in scored
                if score == 1 and (len(scored) == 1 or self.clause - thing.at_clause <= 4)
            ]
        if (
            len(candidates) > 1
            and mention.plural
            and kind != "fastener"
            and not any(thing.plural for thing in candidates)
        ):
            fitting = [thing for thing in candidates if closing is None or thing.is_off == closing]
            return Found(fitting or candidates)  # "the hoses" are both of them
        if (
            len(candidates) > 1
            and mention.plural
            and kind in ("connection", "cover")
            and not words
            and closing is not None
        ):
            fitting = [thing for thing in candidates if thing.is_off == closing]
            if fitting:
                return Found(fitting)  # "the hoses", the big ones and the small
        if len(candidates) > 1:
            return self._tell_apart(candidates, closing)
        if kind == "fastener" and candidates:
            return Found(candidates, self._other_set_meant(mention, words, candidates[0]))
        return Found(candidates)

    def _other_set_meant(self, mention: Mention, words: frozenset[str], thing: Thing) -> str:
        """Why it is not clear that this set is meant by "the bolts"; empty where it is."""
        if any(inner.both for _, inner in mention.attached):
            return "are those of both"
        if words - {"big", "small", "long", "short"} or mention.rest or mention.some or mention.ones:
            return ""
        heads = {one.head for one in self.all if one.kind in ("part", "connection")}
        owners = {*(heads & set(thing.mods)), *(part.head for part in (*thing.joins, *thing.near))}
        rivals = [
            other
            for other in self.all
            if other is not thing
            and other.kind == "fastener"
            and other.head == thing.head
            and other.plural == thing.plural
        ]
        parts = [
            one
            for one in self.focus
            if one.kind in ("part", "connection") and self.clause - one.at_clause <= 2 and one.head not in _SMALL_PARTS
        ]
        fits = any(one.head in owners for one in parts)
        since = self.clause - thing.at_clause
        if mention.count is not None and thing.count not in (None, mention.count):
            return f"are {thing.count}, and {mention.count} were said"
        if mention.count is not None and not any(other.count == mention.count for other in rivals):
            return ""
        if since <= 3 and not thing.doubted and not (rivals and mention.det.startswith("all")):
            return ""
        strict = bool(rivals) or thing.head in ("bolt", "screw", "nut", "stud")
        if strict and parts and not fits and (owners or since > 12):
            return f"could be those of the {parts[0].name}"
        if rivals and not fits:
            return f"could be the {rivals[-1].name}"
        return ""

    def _called_short(self, mention: Mention, words: frozenset[str]) -> list[Thing]:
        """ "The screws" where allen screws were named, "the bolt" for the banjo bolt: only with nothing else said."""
        if any(thing.kind == "fastener" for thing in self.by_head.get(mention.head, [])) or mention.new:
            return []
        return [
            thing
            for thing in self.focus
            if thing.kind == "fastener"
            and (thing.spoken or thing.head).split()[-1] == mention.head
            and thing.plural == mention.plural
            and words <= thing.words
            and mention.count in (None, thing.count)
        ]

    def _tell_apart(self, candidates: list[Thing], closing: bool | None) -> Found:
        if closing is not None:
            fitting = [thing for thing in candidates if thing.is_off == closing or thing.part_out]
            candidates = fitting or candidates
        if len(candidates) > 1:
            part = self.latest(("part",), within=4)
            if part is not None:
                beside = [
                    thing
                    for thing in candidates
                    if part in thing.joins or part in thing.near or part.head in thing.mods
                ]
                if len(beside) == 1:
                    return Found(beside)
        candidates = sorted(candidates, key=lambda thing: -thing.at_clause)
        if len(candidates) == 1 or self.clause - candidates[0].at_clause <= 3 < self.clause - candidates[1].at_clause:
            return Found(candidates[:1])
        names = " or the ".join(dict.fromkeys(thing.name for thing in candidates[:3]))
        return Found(candidates[:1], f"could be the {names}")

    def _new(self, mention: Mention, kind: str, said: Said) -> Thing:
        thing = self.add(kind, mention.head, mention.plural, said)
        thing.new, thing.old, thing.spoken = mention.new, mention.old, mention.spoken
        thing.number_said = "" if mention.plural or mention.unknown else "one"
        self._enrich(thing, mention, said)
        if mention.unknown:
            thing.doubt(f'"{mention.head}" is not a word of the trade list: taken for a {kind}')
        if mention.misheard:
            thing.misheard_note = f'heard "{mention.misheard}", taken for "{mention.head}"'
            thing.doubt(thing.misheard_note)
        return thing

    def _enrich(self, thing: Thing, mention: Mention, said: Said) -> None:
        """What the mention adds: place words, modifiers, counts and sizes."""
        thing.places |= mention.places
        inner_mods: list[str] = []
        for link, inner in mention.attached:
            if link in ("on", "of", "at", "from", "for", "in", "to", "through", "holding") and thing.kind in (
                "fastener",
                "connection",
                "measure",
                "mark",
                "part",
            ):
                if thing.kind == "connection" and (mention.mods or mention.places):
                    continue
                if thing.kind == "part" and (
                    link not in ("of", "for") or mention.mods or mention.places or inner.attached
                ):
                    continue
                if inner.head and not (thing.kind == "measure" and thing.mods):
                    inner_mods.extend([*inner.mods, inner.head])
                    thing.places |= inner.places
        for mod in (*inner_mods, *mention.mods):
            if mod not in thing.mods:
                thing.mods.append(mod)
        if thing.kind in ("fastener", "mark"):
            thing.plural = thing.plural or (mention.plural and thing.kind == "fastener")
        if mention.new and thing.kind == "fastener":
            thing.reuse_new = True
        for size in mention.sizes:
            if size.thread:
                thing.thread = thing.thread or size.thread
            elif thing.kind == "fastener":
                thing.wrench = thing.wrench or size
        countable = ("part", "connection", "support", "cover", "mark")
        if thing.kind == "fastener" or (thing.kind in countable and mention.count and mention.noun_plural):
            take_count(thing, mention, said)
        if mention.amount is not None and thing.kind in ("fluid",):
            if thing.quantity is not None and thing.quantity.value != mention.amount.value:
                thing.doubt(f'two amounts said: "{thing.quantity.said}" and "{mention.amount.said}": which?')
            thing.quantity = thing.quantity or mention.amount


def _another_set(mention: Mention, thing: Thing) -> bool:
    """Whether what is said of the fasteners cannot be the set known: "twelve M12 bolts" beside sixteen M14."""
    threads = {size.thread for size in mention.sizes if size.thread}
    if threads and thing.thread and thing.thread not in threads:
        return True
    whole = not (
        mention.rest or mention.some or mention.all_but or mention.each or mention.places or mention.det == "all"
    )
    if whole and mention.plural and not thing.plural and thing.count == 1:
        return True
    bare = not (mention.mods or mention.attached)
    single = not mention.plural and thing.plural and (thing.count or 0) > 1 and bare
    return whole and single and mention.det in ("", "one", "a", "an", "the", "its", "their", "that", "this")


def take_count(thing: Thing, mention: Mention, said: Said) -> None:
    count = mention.count
    if mention.both and thing.kind != "fastener":
        return
    if thing.kind != "fastener" and count is not None and thing.number_said == "one":
        return
    if mention.per and count is not None:
        thing.doubt(f'"{said.words}" tells how many on each: how many in all?')
        return
    if (
        count is None
        and not mention.plural
        and not thing.plural
        and mention.det in ("the", "a", "an", "that", "this", "")
        and not mention.each
        and not mention.rest
        and thing.count is None
        and not mention.ones
    ):
        thing.count = 1
        return
    if count is None or mention.some is not None or mention.rest or mention.each:
        return
    if thing.count is None or (thing.count == 1 and thing.count_said is None):
        thing.count, thing.count_said = count, said
        thing.plural = thing.plural or count > 1
    elif thing.count != count:
        if thing.count_said is not None and thing.count_said.words == said.words:
            thing.doubt(f'{thing.count} and {count} said in one breath ("{said.words}"): which?')
            thing.count, thing.count_said = None, None
            return
        thing.doubt(f'{thing.count} said first and {count} later ("{said.words}"): which?')


def _kind_of(mention: Mention, kinds: tuple[str, ...]) -> str:
    if not mention.kinds:
        return kinds[0] if kinds else "part"
    if mention.unknown and kinds:
        return kinds[0] if kinds[0] == "connection" else "part" if "part" in kinds else kinds[0]
    if kinds[:1] == ("connection",) and "connection" not in mention.kinds and mention.kinds[0] == "part":
        return "connection"
    for kind in mention.kinds:
        if kind in kinds:
            return kind
    return mention.kinds[0]


def _agreement(words: frozenset[str], thing: Thing, mention: Mention) -> int:
    """3: the same words; 2: fewer than the thing has; 1: more; 0: another thing."""
    if words == thing.words:
        return 3
    if words <= thing.words:
        return 2
    if thing.words <= words:
        return 1
    shared = words & thing.words
    if (
        shared
        and len(shared) >= max(len(words), len(thing.words)) - 1
        and len(shared) >= 1
        and (words - shared)
        and thing.kind in ("fastener", "connection")
    ):
        loose = {"big", "small", "long", "short", "thick", "thin", "mounting", "fixing", "main"}
        if (words - shared) <= loose or (thing.words - shared) <= loose:
            return 1
    return 0
