"""Which of the things named so far a name means."""

from __future__ import annotations

from collections.abc import Iterable

from .lexicon import lexicon
from .likeness import agreement, another_set
from .mention import OF_SIZE, SORTS, Mention, words_of
from .thing import Found, Said, Thing

SMALL_PARTS = frozenset(
    {
        "washer",
        "gasket",
        "shim",
        "ring",
        "seal",
        "spacer",
        "circlip",
        "key",
        "pin",
        "clip",
        "bush",
        "thread",
        "hole",
        "collar",
    }
)
"""Parts that no set of bolts is called after."""


class Spoken:
    """All things named so far, the latest first."""

    def __init__(self) -> None:
        self.all: list[Thing] = []
        self.by_head: dict[str, list[Thing]] = {}
        self.focus: list[Thing] = []
        """Latest first."""
        self.clause = 0
        self.topic: Thing | None = None
        """The part or line that the talk is at: named as a headline, taken off, put on."""
        self.topic_at = 0
        """Clause in which it was last worked on or named as such."""

    def turn_to(self, thing: Thing, named: bool = False) -> None:
        """From here on the talk is of this part, until another is turned to. A ring or a seal must be `named`."""
        small = thing.head in SMALL_PARTS and not named
        if thing.kind in ("part", "connection") and not small and thing.head != "vehicle":
            self.topic, self.topic_at = thing, self.clause

    def called_after(self, bolts: Thing, part: Thing) -> bool:
        """ "Feed hood bolts" are the hood's; "left cover bolts" are not the right cover's."""
        return part.head in bolts.mods and not lexicon().opposed(bolts.words, part.words)

    def of_topic(self, thing: Thing) -> bool:
        """Whether these fasteners are those of the part that the talk is at."""
        topic = self.topic
        return topic is not None and (topic in thing.joins or topic in thing.near or self.called_after(thing, topic))

    def add(self, kind: str, head: str, plural: bool, said: Said) -> Thing:
        thing = Thing(len(self.all), kind, head, plural, first=said)
        self.all.append(thing)
        self.by_head.setdefault(head, []).append(thing)
        return thing

    def speak_of(self, thing: Thing) -> None:
        thing.at_clause = self.clause
        if thing.kind == "fastener" and self.of_topic(thing):
            self.topic_at = self.clause
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


class Known(Spoken):
    """The thing that a name means among those known, and whether it is clear."""

    def known(self, mention: Mention, kind: str, closing: bool | None) -> Found:
        words = words_of(mention)
        opposed = lexicon().opposed
        scored: list[tuple[int, Thing]] = []
        heads = self.by_head.get(mention.head, [])
        if kind == "fastener" and not mention.spoken:
            heads = [*self._called_short(mention, words), *heads]
        if not heads and mention.head == "box" and mention.bare and mention.det in ("the", "that", "this", "your"):
            boxes = [one for one in self.focus if one.kind == kind and one.head.endswith("box")]
            return Found(boxes[:1])  # "seventy-two kilos, that box": the gearbox
        if not heads and kind == "part" and mention.head.endswith("box") and mention.det != "a":
            boxes = [one for one in self.by_head.get("box", []) if one.kind == kind and not one.words]
            if len(boxes) == 1 and not mention.new:
                boxes[0].head, boxes[0].spoken = mention.head, ""  # "the box", and later the gearbox
                heads = self.by_head[mention.head] = boxes
        if mention.head == "fastener":
            heads = [thing for thing in self.focus if thing.kind == "fastener"]
        for thing in heads[-60:]:
            if thing.kind != kind or opposed(words, thing.words):
                continue
            if (mention.new and thing.old) or (mention.old and thing.new):
                continue
            if mention.new and kind == "part" and (not thing.new or (thing.placed and words - thing.words)):
                continue  # the gasket is on: the new manifold gasket is another
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
            if kind == "fastener" and another_set(mention, thing):
                continue
            if kind == "support" and mention.count and mention.plural and not thing.plural:
                continue  # "two bottle jacks" are not the jack
            score = agreement(words, thing, mention)
            placed_only = bool(mention.places) and not (mention.mods or mention.attached)
            if (
                score == 1
                and placed_only
                and thing.plural
                and kind == "fastener"
                and not thing.words
                and self.clause - thing.at_clause > 8
            ):
                continue  # bolts with no name, long ago: not these
            if score:
                scored.append((score, thing))
        if not scored and kind == "fastener" and mention.det in ("those", "these", "that") and mention.attached:
            mods = {part for mod in mention.mods for part in mod.split()}
            short = [one for one in heads if one.kind == kind and mods and mods <= one.words]
            scored = [(1, one) for one in short if one.plural == mention.plural]  # "those plate bolts on the pinion"
        if not scored and kind == "part" and (one := self._same_part(mention, words, heads)):
            scored = [(1, one)]
        if not scored:
            return Found([])
        if kind == "fastener" and (of_both := _of_both(mention, heads)):
            return Found(of_both)
        threads = {size.thread for size in mention.sizes if size.thread}
        of_thread = [thing for _, thing in scored if thing.thread and thing.thread in threads]
        if len(of_thread) == 1 and mention.det == "the":
            return Found(of_thread)  # "the M12 bolt": no other is M12
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
                scored = [
                    (score, thing)
                    for score, thing in scored
                    if self.clause - thing.at_clause <= (5 if thing.count == mention.count else 2)
                ]
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
        if mention.both and kind != "fastener" and len(candidates) > 2:
            candidates = [one for one in candidates if not one.plural] or candidates
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
        if kind == "fastener" and mention.det.startswith("all") and mention.count is not None:
            return self._all_of(mention, candidates)
        if len(candidates) > 1:
            return self._tell_apart(candidates, closing)
        if kind == "fastener" and candidates:
            only = len([one for one in scored if one[1].plural == candidates[0].plural]) == 1
            if only and candidates[0].loose and closing is False and mention.det in ("the", "those", "them"):
                return Found(candidates)  # "loosen the nuts. Stands under the beam. Take the nuts right off"
            return Found(candidates, self._other_set_meant(mention, words, candidates[0]))
        return Found(candidates)

    def _same_part(self, mention: Mention, words: frozenset[str], heads: list[Thing]) -> Thing | None:
        """ "The big pin" and later "the pivot pin", where no other was named; "front chamber" of the talk's chamber."""
        known = [one for one in heads if one.kind == "part"]
        if len(known) != 1 or mention.plural or known[0].plural or mention.new or mention.old or mention.attached:
            return None
        thing = known[0]
        sized = thing.words and (thing.words <= OF_SIZE) != (words <= OF_SIZE) and not words & thing.words
        titled = thing.at_clause <= 3 and not thing.places and not mention.mods and self.clause > 3
        unlike = lexicon().opposed(words, thing.words) or mention.det in ("a", "an", "another")
        return thing if words and (sized or titled) and not unlike else None

    def of_any_kind(self, mention: Mention) -> Found:
        """The thing known by this name, likeliest kind first: "the clips" are fasteners where they were on a hose."""
        known = Found([])
        for kind in (mention.kinds[0], *(thing.kind for thing in self.by_head.get(mention.head, [])[-60:])):
            known = self.known(mention, kind, None)
            if known.things:
                return known
        return known

    def call_after_topic(self, mention: Mention, back: bool) -> None:
        """ "Now the bracket. Four bolts, M20": the bracket's, where nothing else is said of whose they are."""
        sort = tuple(mod for mod in mention.mods if mod in SORTS)
        bare = not (
            mention.own_mods or mention.places or mention.attached or mention.rest or mention.some or mention.ones
        )
        told = (mention.count or mention.sizes) and mention.det in ("", "a", "an")
        topic = self.topic
        if mention.kinds[:1] != ("fastener",) or not (bare and told) or topic is None or mention.new:
            return
        if self.clause - self.topic_at > 4:
            return
        same = [thing for thing in self.all if thing.kind == "fastener" and thing.head == mention.head]
        mine = [thing for thing in same if self.of_topic(thing) and thing.count in (None, mention.count)]
        if len(mine) == 1:
            mention.mods, mention.places = tuple(mine[0].mods), frozenset(mine[0].places)
            return
        if back and any(thing.count == mention.count for thing in same):
            return
        if any(not thing.words and self.clause - thing.at_clause <= 2 for thing in same):
            return  # "there's a bolt at the top. One bolt, M12"
        mention.mods = (*topic.mods, topic.head, *sort)
        mention.places = frozenset(topic.places)

    def _all_of(self, mention: Mention, candidates: list[Thing]) -> Found:
        """ "All four bolts": the set that has four; else the one of which only the number on each was told."""
        fitting = [thing for thing in candidates if thing.count == mention.count]
        fitting = fitting or [thing for thing in candidates if thing.on_each and thing.count is None]
        fitting = fitting or [thing for thing in candidates if thing.count is None]
        if len(fitting) == 1:
            thing = fitting[0]
            facing = [one for one in self.by_head.get(thing.head, []) if lexicon().opposed(one.words, thing.words)]
            if thing.count is not None or thing.on_each or not facing:
                return Found(fitting, self._other_set_meant(mention, words_of(mention), thing))
            return Found(fitting, f"could be the {facing[0].name} as well")
        return self._tell_apart(fitting or candidates, None)

    def _other_set_meant(self, mention: Mention, words: frozenset[str], thing: Thing) -> str:
        """Why it is not clear that this set is meant by "the bolts"; empty where it is."""
        if words and words == thing.words and not mention.rest:
            return ""
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
        alone = all(one is thing or one.kind != "fastener" for one in self.by_head.get(thing.head, []))
        if alone and not thing.words and thing.plural and mention.count in (None, thing.count):
            return ""  # "the bolts", where no other bolts were named and these have no name of their own
        if alone and thing.is_off and mention.new and not thing.plural and mention.count in (None, 1):
            return ""  # "new nut, with thread locker on it": no other nut was named
        parts = [
            one
            for one in self.focus
            if one.kind in ("part", "connection") and self.clause - one.at_clause <= 2 and one.head not in SMALL_PARTS
        ]
        fits = any(one.head in owners for one in parts)
        since = self.clause - thing.at_clause
        if words and not mention.count and not any(words <= other.words for other in rivals):
            return ""  # "the long bolts": no others are long
        if mention.count is not None and thing.count not in (None, mention.count):
            return f"are {thing.count}, and {mention.count} were said"
        if mention.count is not None and not any(other.count == mention.count for other in rivals):
            return ""
        moved_on = bool(owners) and not fits and any(one.at_clause > thing.at_clause for one in parts)
        plain = thing.head in ("bolt", "screw", "nut", "stud")
        if plain and moved_on and since > 1 and mention.det != "those":
            return f"could be those of the {parts[0].name}"
        if since <= 3 and not thing.doubted and not (rivals and mention.det.startswith("all")):
            return ""
        strict = bool(rivals) or plain
        if strict and parts and not fits and (owners or since > 12):
            return f"could be those of the {parts[0].name}"
        if rivals and not fits:
            return f"could be the {rivals[-1].name}"
        return ""

    def _called_short(self, mention: Mention, words: frozenset[str]) -> list[Thing]:
        """ "The screws" where allen screws were named, "the bolt" for the banjo bolt: only with nothing else said."""
        others = any(thing.kind == "fastener" for thing in self.by_head.get(mention.head, []))
        same = any(thing.kind == "fastener" and thing.words == words for thing in self.by_head.get(mention.head, []))
        if (others and not words) or same or mention.new:
            return []
        return [
            thing
            for thing in self.focus
            if thing.kind == "fastener"
            and thing.head != mention.head
            and (thing.spoken or thing.head).split()[-1:] == [mention.head]
            and thing.plural == mention.plural
            and words <= thing.words
            and mention.count in (None, thing.count)
        ]

    def _tell_apart(self, candidates: list[Thing], closing: bool | None) -> Found:
        of_topic = [thing for thing in candidates if thing.kind == "fastener" and self.of_topic(thing)]
        soon = self.clause - self.topic_at <= 3
        spoken = [thing for thing in candidates if thing.at_clause > 2 or thing.kind == "fastener"]
        if spoken and len(spoken) < len(candidates) and self.clause > 10:
            candidates = spoken  # "disc cutter change": only what the talk is called
        if len(of_topic) == 1 and soon and self.topic_at >= max(thing.at_clause for thing in candidates):
            return Found(of_topic)  # "left cover on. The screws get nine newton metres"
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


def _of_both(mention: Mention, sets: list[Thing]) -> list[Thing]:
    """ "The bolts of both trunnions": the front trunnion's and the rear trunnion's."""
    both = [inner.head for _, inner in mention.attached if inner.both]
    found = [one for one in sets if one.kind == "fastener" and both and both[-1] in one.mods]
    return found if len(found) == 2 and lexicon().opposed(found[0].words, found[1].words) else []
