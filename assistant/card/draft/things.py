"""The things a narration speaks of, and which of them a mention means."""

from __future__ import annotations

from .known_things import Known
from .lexicon import lexicon
from .likeness import in_by_itself, kind_of, take_count
from .mention import OF_SIZE, Mention, words_of
from .thing import Found, Said, Thing

_HELD_CLAMPS = frozenset({"clamp", "union"})


_WHOLE = frozenset({"wheel", "assembly", "unit"})
"""Words that are left off the second time."""
_LIDS = frozenset({"cover", "cap"})


class Things(Known):
    """All things named so far. The latest is the likeliest."""

    def meant(self, mention: Mention, kinds: tuple[str, ...], said: Said, closing: bool | None = None) -> Found:
        """The thing or things meant; new ones are added. `kinds` is what the verb acts on, likeliest first."""
        if mention.pronoun:
            return self._pronoun(mention, kinds, closing)
        if mention.ones and not mention.head:
            return self._ones(mention, kinds, said)
        if not mention.head:
            return Found([])
        if kinds[:1] == ("connection",) and mention.kinds[:1] == ("part",):
            unplugged = [
                thing
                for thing in self.focus
                if thing.kind == "connection" and thing.is_off and mention.head in thing.mods
            ]
            if len(unplugged) == 1 and mention.head not in {thing.head for thing in self.all if thing.kind == kinds[0]}:
                return Found(unplugged)  # "plug the motor back in": the plug of the motor
        if mention.head == "plug" and mention.bare and not mention.plural and "fastener" in (kinds or ("fastener",)):
            screwed = self._screwed_plug()
            if screwed is not None:
                return Found([screwed])
        if self._nut_on_the_line(mention) and (not kinds or "fastener" in kinds):
            line = self.latest(("connection",), within=2)
            if line is not None and not (mention.head == "nut" and line.is_off):
                return Found([line])  # "connect the brake line. Thirty-eight newton metres on that union"
        if mention.head == "clip" and mention.bare and "fastener" in (kinds or ("fastener",)):
            clips = [thing for thing in self.by_head.get("clamp", []) if thing.spoken.endswith("clip")]
            if (
                len(clips) == 1
                and clips[0].kind == "fastener"
                and not self.by_head.get("clip")
                and clips[0].plural == mention.plural
            ):
                return Found(clips)  # "hose clips off, ... clips on"
        kind = kind_of(mention, kinds)
        if kind == "fastener" and "part" in (kinds or ("part",)) and self._clamp_of(mention):
            kind = "part"
            for thing in self.by_head.get(mention.head, []):
                if thing.kind == "fastener" and thing.torque is None and not thing.plural:
                    thing.kind, thing.count, thing.count_said = "part", None, None
        if kind == "fastener" and mention.det in ("its", "their") and not (mention.mods or mention.places):
            owner = self.latest(("part", "connection"), within=3)
            bolts = [
                one
                for one in self.by_head.get(mention.head, [])
                if one.kind == kind and one.is_off and one.count == mention.count and one.torque is None
            ]
            if closing is not False and mention.count and len(bolts) == 1 and owner is not None:
                return Found(bolts)  # "the suction hose on. Its four bolts get ...": those of the hose's flange
            if owner is not None:
                mention.mods = (*owner.mods, owner.head)  # "it is locked with a cotter, its nut is M12"
        if mention.head in _LIDS and not mention.spoken and kind in ("part", "cover"):
            kind = self._lid_or_cover(mention, kinds, kind, closing)
        known = self.known(mention, kind, closing)
        if not known.things or (kind == "connection" and kind not in mention.kinds):
            for other in dict.fromkeys(thing.kind for thing in self.by_head.get(mention.head, [])):
                poured = mention.amount is not None and other == "consumable"
                if other != kind and not poured and (not kinds or other in kinds):
                    known = self.known(mention, other, closing)
                    if known.things:
                        break
        if not known.things and kind == "part" and not mention.new:
            whole = [
                thing
                for thing in self.all
                if thing.kind == "part" and thing.head in _WHOLE and thing.mods[-1:] == [mention.head]
            ]
            if len(whole) == 1 and not mention.plural and not lexicon().opposed(words_of(mention), whole[0].words):
                return Found(whole)  # "the idler" is the idler wheel
        if not known.things and kind == "fastener":
            known = self._screwed_in(mention) or self._told_more(mention)
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

    def _nut_on_the_line(self, mention: Mention) -> bool:
        """ "That union", "hose nut": the one that a line carries, where no other is known by that name."""
        if mention.plural:
            return False
        if mention.head == "nut":
            named = mention.mods in (("hose",), ("pipe",), ("union",)) and not mention.count
            return named and not any(mention.mods[0] in one.mods for one in self.by_head.get("nut", []))
        said_so = mention.words.split()[-1:] in (["union"], ["fitting"])
        return mention.head == "union" and said_so and mention.bare and not self.by_head.get("union")

    def _screwed_plug(self) -> Thing | None:
        """ "Under the pump is the drain plug. Plug out": the one that is screwed in, unless another was named since."""
        for thing in self.focus:
            if thing.head.rsplit(" ", 1)[-1] == "plug" and thing.kind in ("fastener", "connection", "cover"):
                soon = self.clause - thing.at_clause <= 6 or thing.is_off
                return thing if thing.kind == "fastener" and soon else None
        return None

    def _kind_known(self, mention: Mention, kind: str, kinds: tuple[str, ...]) -> str:
        """ "New bag.": an air bag, where such a bag came off."""
        known = [
            thing.kind
            for thing in self.by_head.get(mention.head, [])
            if not lexicon().opposed(words_of(mention), thing.words) and (not kinds or thing.kind in kinds)
        ]
        fits = mention.new and not mention.mods and known and kind not in known
        return known[-1] if fits else kind

    def _screwed_in(self, mention: Mention) -> Found | None:
        """ "Tighten the grease valve": spoken of as a part before, and now as one that is screwed in."""
        if "fastener" in mention.kinds:
            return None
        for kind in ("part", "connection"):
            known = self.known(mention, kind, None)
            if len(known.things) == 1 and not known.doubt:
                known.things[0].kind = "fastener"
                return known
        return None

    def _told_more(self, mention: Mention) -> Found:
        """ "There's the bracket screw. Little M6 screw halfway along.": the same screw with more said of it."""
        thing = self.focus[0] if self.focus else None
        same = (
            thing is not None
            and thing.kind == "fastener"
            and thing.head == mention.head
            and thing.plural == mention.plural
            and self.clause - thing.at_clause <= 1
            and words_of(mention) <= OF_SIZE
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
            if (
                mention.words.startswith("both")
                and len(pair) == 2
                and pair[0].head == pair[1].head
                and lexicon().opposed(pair[0].words, pair[1].words)
            ):
                return Found(list(reversed(pair)))  # "the lower bolt, then the upper one. Both get sixty"
            twins = mention.words.startswith("both") and len(pair) == 2 and pair[0].head == pair[1].head
            if twins and pair[0].kind == pair[1].kind and not (last and last[0].plural):
                return Found(list(reversed(pair)))  # "the eye bush in, the hanger bush in, and both of them go in dry"
            if len(pair) >= 2 and not (last and last[0].plural) and pair[0].at_clause == pair[1].at_clause:
                together = [thing for thing in pair if thing.at_clause == pair[0].at_clause]
                return Found(list(reversed(together)))
        choice: Thing | None = None
        for thing in self.focus:
            if thing.kind not in wanted or self.clause - thing.at_clause > 14:
                continue
            if mention.plural and not thing.plural and (thing.count or 1) < 2:
                continue
            told = mention.count if mention.det.startswith("all") else None
            if told and thing.kind == "fastener" and thing.count not in (None, told):
                continue  # "all ten" are not the six
            if not mention.plural and thing.plural:
                continue
            if thing.head == "lip" and closing is True:
                continue  # "new seal in. Lip inwards. It goes in with grease on it": the seal
            if (
                closing is True
                and self.clause - thing.at_clause > (2 if thing.torque is not None else 1)
                and not thing.is_off
                and thing.kind in ("fastener", "part")
                and not thing.new
                and self._other_off(wanted, mention.plural)
            ):
                continue
            choice = thing
            break
        just = self.focus[0] if self.focus else None
        screwed = just is not None and just.kind == "part" and in_by_itself(just) and not mention.plural
        bolts = bool(kinds) and wanted[:1] == ("fastener",) and (choice is None or choice.kind == "fastener")
        if just is not None and screwed and bolts and self.clause - just.at_clause <= 1:
            just.kind = "fastener"  # "there's a grease valve in behind the idler, and you loosen that"
            return Found([just])
        let_go = choice is not None and choice.is_off and choice.at_clause >= self.clause - 1
        if choice is not None and choice.kind == "support" and closing is False and not (mention.plural or let_go):
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
        told = frozenset(part for mod in mention.mods for part in mod.split()) | mention.places
        named_so = [one for one in self.by_head.get(base.head, []) if one.kind == base.kind and one.words == told]
        if mention.mods and len(named_so) == 1:
            return Found(named_so)  # "the pump end ones"
        facing = [
            thing
            for thing in self.focus[:8]
            if (not kinds or thing.kind in kinds)
            and self.clause - thing.at_clause <= 3
            and lexicon().opposed(thing.words, mention.places)
        ]
        left = next((thing for thing in self.focus[:8] if thing.part_out and thing.kind == "fastener"), None)
        if mention.rest and not mention.head and left is not None and base.kind != "fastener" and not facing:
            base = left  # "look at the strap. Then take that last one out"
        if facing:  # "the big cable is on a nut, and the small one just pulls off"
            base = min(facing, key=lambda thing: (-thing.at_clause, len(thing.words)))
        if mention.rest and base.kind == "fastener" and not (mention.places or mention.mods or base.part_out):
            others = [
                one
                for one in self.focus[:12]
                if one is not base and one.kind == "fastener" and one.head == base.head and one.plural
            ]
            if others and base.plural:  # "the long bolts get 80, the rest 45"
                return Found(others) if len(others) == 1 else Found([base], "are which of them")
        marked = all(mod.endswith("ed") for mod in mention.mods) and not mention.places and base.plural
        if mention.rest or marked or not (mention.places or mention.mods or mention.new):
            return Found([base])  # "connect them, the painted one to the closing side"
        if base.part_out and base.kind == "fastener" and not facing and not mention.mods:
            return Found([base])  # "now the top two", of those left in
        same = base.at_clause == self.clause and not (mention.plural and mention.count)
        if mention.det == "" and mention.places <= OF_SIZE and not mention.mods and same:
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
        if (
            len(exact) == 1
            and exact[0].kind == "fastener"
            and merged.plural
            and mention.det == ""
            and exact[0].count is None
        ):
            take_count(exact[0], merged, said)  # "four upper ones"
        return Found(exact) if exact else Found([self._new(merged, base.kind, said)])

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
        told_of_each = thing.first is not None and "each" in thing.first.words.lower().split()
        if thing.kind == "part" and mention.noun_plural and not thing.plural and told_of_each:
            thing.plural, thing.number_said = True, ""  # "each shoe sits on an anchor pin", and then "the shoes"
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
            if mod != thing.head and not set(mod.split()) <= {part for known in thing.mods for part in known.split()}:
                thing.mods.append(mod)
        if thing.kind in ("fastener", "mark"):
            thing.plural = thing.plural or (mention.plural and thing.kind == "fastener")
        if mention.new and thing.kind == "fastener":
            thing.reuse_new = True
        for size in mention.sizes:
            if size.thread:
                thing.thread = thing.thread or ("" if "thread" in thing.disputed else size.thread)
            elif thing.kind == "fastener":
                thing.wrench = thing.wrench or size
        countable = ("part", "connection", "support", "cover", "mark")
        if thing.kind == "fastener" or (thing.kind in countable and mention.count and mention.noun_plural):
            take_count(thing, mention, said)
        if (
            mention.amount is not None
            and thing.kind == "part"
            and mention.amount.dimension == "mass"
            and thing.mass is None
        ):
            thing.mass = mention.amount  # "that's sixty-five kilos of chain"
        if mention.amount is not None and thing.kind in ("fluid",):
            if thing.quantity is not None and thing.quantity.value != mention.amount.value:
                thing.doubt(f'two amounts said: "{thing.quantity.said}" and "{mention.amount.said}": which?')
            thing.quantity = thing.quantity or mention.amount
