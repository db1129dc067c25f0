"""From clauses to steps: which verb, which thing, which value belongs to what."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from .amend import Piece, amended
from .clauses import Clause
from .conditions import Conditions
from .lexicon import lexicon
from .phrases import Mention
from .remarks import Remarks
from .story import CLOSING, Deed, Telling, Understanding, Unread, said_of
from .things import Said, Thing, Things
from .values import Values
from .words import Sentence

MOST_STEPS = 600
"""Longer than any one job: the rest is left out and the draft says so."""


def understood(heard: Sequence[Sentence]) -> Understanding:
    """What the sentences tell. Never raises: what is not understood is listed."""
    reader = _Reader()
    done = 0
    for pieces in amended(heard):
        if len(reader.steps) >= MOST_STEPS:
            break
        reader.take(pieces)
        done += 1
    return reader.finished(len(heard) - done if len(reader.steps) >= MOST_STEPS else 0)


class _Reader:
    def __init__(self) -> None:
        self.things = Things()
        self.steps: list[Telling] = []
        self.unread: list[Unread] = []
        self.aside: list[Said] = []
        self.conditions = Conditions()
        self.values = Values(self.things, self.unread)
        self.remarks = Remarks()
        self.back = False
        """Going back together has begun."""
        self.insert_at: int | None = None
        self.title = ""
        self.when: dict[str, str] = {}
        self.made: list[Telling] = []
        self.moved: list[Deed] = []
        self.passing: list[tuple[Telling | None, Telling]] = []
        """Steps said only in passing, each with the step after which it belongs."""
        """Steps of the present sentence."""

    # -- a sentence --------------------------------------------------------

    def take(self, pieces: list[Piece]) -> None:
        said = said_of(pieces[0])
        lows = tuple(token.low for token in pieces[0].sentence.tokens)
        self._note_title(pieces, said)
        if pieces[0].asked and not _asks_for_work(lows):
            self._glance(pieces, said)
            return
        self.made = []
        self.insert_at = None
        self.values.begin_sentence()
        before = (len(self.steps), len(self.things.all), self.values.bound)
        if self._going_back(lows) and self._opened_something():
            self.back = True
        self.when = self.conditions.of_place(pieces[0].condition, said) if pieces[0].condition else {}
        remark = self.remarks.read(pieces, said, self._latest_step())
        for piece in remark.rest:
            self.things.clause += 1
            self._piece(piece, said)
        self.remarks.place(remark, self.made, self.steps)
        self.conditions.end_sentence()
        told = (
            (len(self.steps), len(self.things.all), self.values.bound) != before
            or remark.told
            or bool(pieces[0].condition)
        )
        if not told and not self.back_only(lows):
            self._not_told(pieces, said)

    def _opened_something(self) -> bool:
        return any(
            deed.verb in ("remove", "take_out", "disconnect", "drain") for step in self.steps for deed in step.deeds
        )

    def back_only(self, lows: tuple[str, ...]) -> bool:
        return self._going_back(lows) and len(lows) < 14

    def _latest_step(self) -> Telling | None:
        return self.steps[-1] if self.steps else None

    def _going_back(self, lows: tuple[str, ...]) -> bool:
        return bool(_going_back_cue().search(" ".join(lows)))

    def _note_title(self, pieces: list[Piece], said: Said) -> None:
        if self.title or self.steps:
            return
        text = said.words.strip(" .!?")
        found = re.search(
            r"(?:how (?:to|you|we|i) (?:do |did |change |replace |remove |take out |fit )?|(?:talk|walk|take|run) you through (?:doing |how to |how you |changing )?|"
            r"(?:this is|today is|here is|we're doing|i'm doing|we are doing|job is|going to do) )(?P<what>(?:the|a|an|changing|doing|replacing|removing|taking)\b[^,.;]*)",
            text,
            re.IGNORECASE,
        )
        if found:
            self.title = re.sub(r"^the ", "", found["what"].strip(), flags=re.IGNORECASE)[:80].strip()
            return
        clause = pieces[0].clause
        only_things = not any(
            piece.clause.verb
            or piece.clause.meaning
            or piece.clause.figures
            or {"is", "are", "be", "must"} & set(piece.clause.lows)
            for piece in pieces
        )
        if (
            only_things
            and clause.objects
            and "part" in clause.objects[0].kinds
            and not pieces[0].asked
            and not self.things.all
        ):
            self.title = re.sub(r"^(?:so|right|okay|ok|now|well)[, ]+", "", text, flags=re.IGNORECASE).strip(" ,-")
            self.title = re.sub(r"^the ", "", self.title)[:80]

    def _glance(self, pieces: list[Piece], said: Said) -> None:
        """A question does nothing; but what it names is then spoken of."""
        for piece in pieces:
            for mention in piece.clause.mentions:
                if mention.head and mention.kinds:
                    found = self.things.known(mention, mention.kinds[0], None)
                    if len(found.things) == 1:
                        self.things.speak_of(found.things[0])
        _ = said

    def _not_told(self, pieces: list[Piece], said: Said) -> None:
        items = [
            mention for piece in pieces for mention in piece.clause.mentions if mention.head and not mention.unknown
        ]
        figures = [
            free.figure for piece in pieces for free in piece.clause.figures if free.figure.unit or free.figure.thread
        ]
        acts = any(piece.clause.meaning and not piece.clause.sub and not piece.clause.negated for piece in pieces)
        if self.unread and self.unread[-1].said.words == said.words:
            return
        if (
            all(piece.clause.going_on or not piece.clause.meaning for piece in pieces)
            and not figures
            and any(piece.clause.going_on for piece in pieces)
        ):
            self.aside.append(said)
            return
        worth = figures or (items and (acts or any(mention.kinds[0] in ("fastener", "measure") for mention in items)))
        if (
            not self.steps
            and not self.title
            and any(mention.kinds[:1] == ("part",) for mention in items)
            and not figures
        ):
            self.title = said.words.strip(" .")[:80].strip()
            return
        if worth and not said.words.endswith("?"):
            self.unread.append(Unread(said, "trade words, but no action or value that could be placed"))
        else:
            self.aside.append(said)

    # -- a clause ----------------------------------------------------------

    def _piece(self, piece: Piece, said: Said) -> None:
        clause = piece.clause
        when = {**self.when, **self.conditions.now}
        for thing in self.things.focus[:8]:
            thing.doubted = False
        if clause.sub:
            self._side(piece, said)
            return
        if clause.negated:
            self._mention_known(clause, said)
            self.values.negated(clause, said)
            return
        if clause.verb == "give" and clause.objects:
            light = set(clause.lows)
            clause.meaning = "clean" if light & _WIPES else "inspect" if light & {"look", "check", "over"} else ""
            del clause.objects[1:]
        if clause.meaning == "holds":
            self._holds(clause, said)
            return
        if clause.meaning == "needs":
            if any(free.figure.dimension == "torque" for free in clause.figures):
                clause.meaning = ""
                self._state(piece, said, when)  # "the nuts want ninety newton metres"
            else:
                self._needs(piece, said, when)
            return
        if clause.meaning == "leave":
            self._leave(clause, said)
            return
        if clause.meaning and clause.meaning in lexicon().meanings and self._act(piece, said, when):
            return
        self._state(piece, said, when)

    def _side(self, piece: Piece, said: Said) -> None:
        """Before, once, if, because: no action of its own, but it says when or where the next one stands."""
        clause = piece.clause
        if clause.sub == "before" and clause.meaning:
            target = self._step_of(clause)
            if target is not None:
                self.insert_at = target
        if clause.sub in ("because", "since", "as", "cause", "so it", "where") and clause.figures:
            self.values.of_statement(clause, said, None, False)
        if clause.sub in ("if", "unless"):
            known = self.conditions.of_clause(clause, said)
            if known:
                if not piece.first:
                    for step in self.made:  # "shield back on, if it has one"
                        step.when.update(self.conditions.now)
                return
        if clause.sub in ("until", "till") and clause.figures:
            self._measured_until(piece, said)
        if clause.sub in ("when", "before", "once", "after", "as", "while") and clause.meaning and not clause.negated:
            self._in_passing(piece, said)
        self._mention_known(clause, said)

    def _measured_until(self, piece: Piece, said: Said) -> None:
        """ "... until the sag is between fifteen and twenty-five millimetres": a reading with its limits."""
        measures = [mention for mention in piece.clause.mentions if mention.kinds[:1] == ("measure",)]
        for mention in measures[:1]:
            found, _ = self._resolve(mention, ("measure",), said)
            self.values.of_statement(piece.clause, said, None, False)
            self._step(piece, said, [Deed("measure", thing) for thing in found], dict(self.when))

    def _in_passing(self, piece: Piece, said: Said) -> None:
        """ "Have somebody hold it when you take the top bolt out": kept, in case it is never said outright."""
        clause = piece.clause
        verbs = lexicon().meanings.get(clause.meaning, {})
        deeds: list[Deed] = []
        for mention in clause.objects:
            if mention.unknown or (mention.ones and not mention.head):
                continue
            found = self.things.meant(mention, tuple(verbs), said, _closes(verbs)) if mention.pronoun else None
            things = (
                found.things if found is not None else self._resolve(mention, tuple(verbs), said, _closes(verbs))[0]
            )
            deeds.extend(Deed(verbs[thing.kind], thing) for thing in things if thing.kind in verbs)
        deeds = [
            deed
            for deed in deeds
            if deed.verb in ("take_out", "remove", "disconnect") or (self.back and deed.verb in ("fit", "connect"))
        ]
        if deeds:
            step = Telling(deeds, [said], words=clause.words, when=dict(self.when))
            step.doubt(f'said only in passing: "{clause.words}"')
            self.passing.append((self._latest_step(), step))

    def _told_in_passing(self) -> None:
        """What was said only in passing becomes a step of its own."""
        for anchor, step in self.passing:
            step.deeds = [deed for deed in step.deeds if not self._told(deed)]
            if step.deeds:
                at = next(
                    (number + 1 for number, one in enumerate(self.steps) if one is anchor),
                    0 if anchor is None else len(self.steps),
                )
                self.steps.insert(at, step)

    def _told(self, deed: Deed) -> bool:
        return any(one.thing is deed.thing and one.verb == deed.verb for step in self.steps for one in step.deeds)

    def _step_of(self, clause: Clause) -> int | None:
        """Index of the step told already that does this: "before you pull the gearbox"."""
        verbs = lexicon().meanings.get(clause.meaning, {})
        for mention in clause.objects:
            for kind in verbs:
                found = (
                    self.things.known(mention, kind, None)
                    if mention.head
                    else self.things.meant(mention, tuple(verbs), _NOWHERE)
                )
                for thing in found.things:
                    for number in range(len(self.steps) - 1, max(-1, len(self.steps) - 25), -1):
                        if any(
                            deed.thing is thing and deed.verb == verbs.get(thing.kind)
                            for deed in self.steps[number].deeds
                        ):
                            return number
        return None

    def _mention_known(self, clause: Clause, said: Said) -> None:
        for mention in clause.mentions:
            if not mention.head or not mention.kinds or mention.unknown:
                continue
            found = self.things.known(mention, mention.kinds[0], None)
            if len(found.things) == 1 and not found.doubt:
                self.things.speak_of(found.things[0])
        _ = said

    def _resolve(
        self, mention: Mention, kinds: tuple[str, ...], said: Said, closing: bool | None = None
    ) -> tuple[list[Thing], str]:
        found = self.things.meant(mention, kinds, said, closing)
        for thing in found.things:
            self.things.speak_of(thing)
            for link, inner in mention.attached:
                self._link(thing, link, inner, said)
        return found.things, found.doubt

    def _link(self, thing: Thing, link: str, inner: Mention, said: Said) -> None:
        if thing.kind != "fastener" or link not in ("holding", "on", "of", "for", "in", "to", "from", "at"):
            return
        if inner.pronoun:
            part = self.things.latest(("part",))
            found = [part] if part else []
        elif "part" in inner.kinds:
            found = self.things.known(inner, "part", None).things
        else:
            found = []
        for part in found:
            if part not in thing.joins and link in ("holding", "for", "of"):
                thing.joins.append(part)
            if inner.pronoun and part.head not in thing.mods:
                thing.mods.append(part.head)

    # -- actions -----------------------------------------------------------

    def _act(self, piece: Piece, said: Said, when: dict[str, str]) -> bool:
        clause = piece.clause
        meaning = self._adjusted(clause)
        verbs = lexicon().meanings[meaning]
        if meaning == "move":
            return self._move(piece, said, when)
        deeds: list[Deed] = []
        doubts: list[str] = []
        self.moved = []
        if meaning in ("cover", "support", "mark", "apply", "lubricate", "fill", "line-up", "measure"):
            deeds = self._by_means(meaning, clause, said, doubts)
        if not deeds:
            deeds = self._on_objects(meaning, verbs, clause, said, doubts)
        if not deeds:
            if not self.moved:
                return False
            self._step(piece, said, [Deed("move", deed.thing) for deed in self.moved[:1]], when)
            return True
        step = self._step(piece, said, deeds, when)
        for doubt in doubts:
            step.doubt(doubt)
        for deed in deeds:
            if deed.thing is not None and deed.thing.misheard_note:
                step.doubt(deed.thing.misheard_note)
        for _, mention in clause.beside:
            if mention.count and mention.noun_plural and mention.head and not mention.unknown:
                self._resolve(mention, (), said)
        self._tools(step, clause, said)
        self.values.of_action(clause, deeds, step, said, self.back)
        self._along(clause, step, said, when)
        return True

    def _adjusted(self, clause: Clause) -> str:
        meaning = clause.meaning
        heads = {mention.head for mention in clause.objects}
        kinds = {kind for mention in clause.objects for kind in mention.kinds[:1]}
        torqued = any(free.figure.dimension == "torque" for free in clause.figures)
        if (
            torqued
            and meaning in ("raise", "lift-away", "pull-down", "lift", "open")
            and kinds <= {"fastener"}
            and self._on_fasteners(clause)
        ):
            if meaning != "open" or clause.particle in ("up", "down", ""):
                return "tighten"  # "pull them up to ninety", "bring the nuts up to forty"
        if meaning == "raise":
            parts = (
                [
                    thing
                    for mention in clause.objects
                    for thing in self.things.meant(mention, ("part", "support"), _NOWHERE).things
                ]
                if clause.objects and clause.objects[0].pronoun
                else []
            )
            off = any(thing.is_off for thing in parts) or (self.back and "part" in kinds)
            return "fit" if off or (self.back and not kinds) else "support"
        if (
            clause.verb in ("put", "stick", "lay", "keep", "throw", "pop", "drop", "set")
            and meaning in ("fit", "move", "let-down")
            and any(
                link in ("in", "on", "into", "onto") and mention.head in _STORED_IN for link, mention in clause.beside
            )
        ):
            return "move"
        if (
            kinds <= {"connection"}
            and "line" in heads
            and clause.verb in ("draw", "paint", "put", "make", "scribe", "scratch")
            and clause.objects[0].det in ("a", "")
        ):
            clause.objects[0].head, clause.objects[0].kinds, clause.objects[0].spoken = "mark", ("mark",), "line"
            return "mark"
        if meaning == "let-down" and self.back and clause.verb == "" and kinds <= {"part"}:
            return "fit"
        if meaning == "lift":
            return "raise-part" if self.back else "lift"
        if clause.verb == "pull" and clause.particle == "up":
            return "tighten" if torqued or "fastener" in kinds else "fit"
        if meaning == "fit" and clause.particle in ("under", "at", "against"):
            for mention in clause.objects:
                if "support" in mention.kinds:
                    mention.kinds = ("support", *(kind for kind in mention.kinds if kind != "support"))
        onto = [mention for link, mention in clause.beside if link in ("on", "onto", "to", "over")]
        if meaning == "fit" and kinds == {"fluid"} and onto and clause.verb in ("put", "wipe", "dab", "smear", "run", "pop"):
            for mention in clause.objects:
                mention.kinds = ("consumable",)  # "a little oil on the threads": put on, not filled in
            if any(mention.head.endswith("oil") for mention in clause.objects):
                clause.treatments.append("oil")
            return "apply"
        stuff = [mention for mention in clause.objects if mention.kinds[:1] == ("consumable",)]
        if meaning == "fit" and stuff and len(stuff) < len(clause.objects):
            clause.objects = [mention for mention in clause.objects if mention not in stuff]
            clause.beside.extend(("with", mention) for mention in stuff)
        elif meaning == "fit" and stuff:
            return "apply"
        if meaning == "fit" and kinds == {"mark"}:
            return "mark"
        if meaning in ("fit", "start", "tighten") and "finger" in clause.manners and self._on_fasteners(clause):
            return "snug"
        if meaning in ("tighten", "snug") and "hand" in clause.manners and self._on_fasteners(clause):
            return "snug"
        if meaning in ("fit", "tighten") and {"few", "hand"} & set(clause.manners) and self._on_fasteners(clause):
            return "start"
        if meaning == "line-up" and heads and "mark" not in kinds:
            return "fit" if self.back and "part" in kinds else "line-up"
        return meaning

    def _on_fasteners(self, clause: Clause) -> bool:
        for mention in clause.objects:
            if mention.pronoun or mention.ones:
                thing = self.things.latest(("fastener",), within=4)
                if thing is not None:
                    return True
            elif mention.kinds[:1] == ("fastener",):
                return True
        return not clause.objects

    def _on_objects(
        self, meaning: str, verbs: dict[str, str], clause: Clause, said: Said, doubts: list[str]
    ) -> list[Deed]:
        kinds = tuple(verbs)
        deeds: list[Deed] = []
        closing = _closes(verbs)
        objects = clause.objects or self._understood_object(meaning, clause)
        for mention in objects:
            if (
                mention.ones
                and deeds
                and mention.det == "the"
                and not mention.head
                and deeds[-1].thing is not None
                and not lexicon().opposed(deeds[-1].thing.words, mention.places)
            ):
                deeds[-1].thing.mods[:0] = [mod for mod in mention.mods if mod not in deeds[-1].thing.mods]
                deeds[-1].thing.places |= mention.places  # "the battery cable, the earth one"
                continue
            if (
                mention.kinds
                and not set(mention.kinds) & set(kinds)
                and mention.kinds[0] in ("tool", "measure", "consumable")
            ):
                continue
            if mention.unknown and not clause.strong and not self._known_head(mention):
                if not _looks_like_part(mention) or clause.verb in (
                    "get",
                    "go",
                    "come",
                    "take",
                    "put",
                    "run",
                    "let",
                    "back",
                    "set",
                ):
                    continue
            things, doubt = self._resolve(mention, kinds, said, closing)
            if doubt:
                doubts.append(f'"{mention.words}" {doubt}')
            for thing in things:
                verb = verbs.get(thing.kind)
                if verb is None or any(deed.thing is thing and deed.verb == verb for deed in deeds):
                    continue
                if (
                    verb == "fit"
                    and clause.verb in ("go", "come")
                    and not thing.is_off
                    and not thing.new
                    and not self.back
                ):
                    self.values.bound += 1
                    if self.steps:
                        self.steps[-1].how.append(clause.words)  # "the shims go back where they were": for later
                    continue
                deed = Deed(verb, thing)
                self._part_of_set(deed, mention, thing)
                deed.to = _to(clause, thing)
                if verb == "disconnect" and thing.kind == "connection":
                    for link, one in clause.beside:
                        if (
                            link in ("off", "from")
                            and one.head
                            and not one.unknown
                            and one.head not in thing.mods
                            and "part" in one.kinds
                        ):
                            thing.mods.append(one.head)  # "negative lead off the battery"
                deeds.append(deed)
                if (
                    verb in ("fit", "remove")
                    and thing.kind == "part"
                    and not clause.strong
                    and self._only_moved(verb, clause, thing)
                ):
                    self.moved.append(deeds.pop())
                    continue
                self._keep_state(deed)
                if thing.kind == "support":
                    self._carry(
                        thing,
                        [
                            one
                            for link, one in clause.beside
                            if link in ("under", "underneath", "below", "beneath", "round", "around")
                        ],
                        said,
                    )
                if doubt:
                    thing.doubted = True
        return deeds

    def _only_moved(self, verb: str, clause: Clause, thing: Thing) -> bool:
        """ "The caliper swings up" before anything went back, "let it down" when all is on: a move, no more."""
        if thing.head == "vehicle":
            return True
        if verb == "fit":
            return (
                not self.back
                and not thing.is_off
                and not thing.new
                and clause.verb
                in ("swing", "push", "slide", "lift", "drop", "turn", "go", "come", "pop", "run", "pull", "stick")
            )
        return self.back and clause.meaning == "let-down" and not thing.is_off

    def _understood_object(self, meaning: str, clause: Clause) -> list[Mention]:
        """ "Then tighten to 65": the last set of fasteners; other verbs need their object said."""
        if meaning in ("tighten", "snug") and (clause.figures or clause.manners):
            return (
                [Mention(0, 0, "them", pronoun=True, plural=True)]
                if self.things.latest(("fastener",), within=6)
                else []
            )
        return []

    def _known_head(self, mention: Mention) -> bool:
        return mention.head in self.things.by_head

    def _part_of_set(self, deed: Deed, mention: Mention, thing: Thing) -> None:
        if thing.kind != "fastener":
            return
        if mention.all_but:
            deed.all_but = mention.all_but
            thing.part_out = True
        elif mention.some is not None:
            deed.count = mention.some
            deed.places = sorted(mention.places - thing.places) if mention.head else []
            thing.part_out = True
        elif mention.rest:
            deed.rest = True
            deed.count = mention.count or (1 if not mention.plural else None)
        elif mention.ones and mention.places and not mention.places <= thing.places:
            deed.places = sorted(mention.places)
            deed.count = mention.count or (1 if not mention.plural else None)
            thing.part_out = True

    def _keep_state(self, deed: Deed) -> None:
        thing = deed.thing
        assert thing is not None
        if deed.verb in ("take_out", "remove", "disconnect", "drain", "release", "uncover"):
            thing.is_off = True
        elif deed.verb in ("fit", "start", "snug", "connect", "fill", "support", "cover"):
            thing.is_off = False

    def _by_means(self, meaning: str, clause: Clause, said: Said, doubts: list[str]) -> list[Deed]:
        """Deeds whose card object is the means: the cap, not the hose; the strap, not the shaft."""
        verbs = lexicon().meanings[meaning]
        own = {
            "cover": "cover",
            "support": "support",
            "mark": "mark",
            "apply": "consumable",
            "lubricate": "consumable",
            "fill": "fluid",
            "line-up": "mark",
            "measure": "measure",
        }[meaning]
        direct = [mention for mention in clause.objects if own in mention.kinds or (mention.ones and False)]
        by = [
            mention
            for link, mention in clause.beside
            if link in ("with", "in", "by", "from", "on", "under", "of", "") and own in mention.kinds
        ]
        loads = [mention for mention in clause.objects if own not in mention.kinds]
        deeds: list[Deed] = []
        for mention in direct or by[:1]:
            things, doubt = self._resolve(mention, (own,), said)
            if doubt:
                doubts.append(f'"{mention.words}" {doubt}')
            for thing in things:
                deed = Deed(verbs[own], thing)
                self._keep_state(deed)
                deeds.append(deed)
                if own == "support":
                    self._carry(
                        thing,
                        loads
                        or [
                            m
                            for link, m in clause.beside
                            if link in ("under", "underneath", "on", "round", "around", "below", "to", "beneath")
                        ],
                        said,
                    )
                if own == "mark" and not direct[:1]:
                    pass
                deed.to = _where(clause, mention)
                if own == "consumable":
                    deed.onto = self._put_on(clause, loads, said)
        if deeds:
            return deeds
        made = self._unsaid_means(meaning, own, clause, loads, said)
        return made

    def _put_on(self, clause: Clause, loads: list[Mention], said: Said) -> Thing | None:
        """The part that a consumable goes on: "smear grease on the new seal", "the spline is coated with grease"."""
        for mention in [*loads, *(one for link, one in clause.beside if link in ("on", "onto", "to", "over", "between", "in"))]:
            whole = next((inner for link, inner in mention.attached if link == "of"), mention)
            if "part" in whole.kinds[:1] and whole.head and not whole.unknown:
                return next(iter(self._resolve(whole, ("part",), said)[0]), None)
        return None

    def _unsaid_means(self, meaning: str, own: str, clause: Clause, loads: list[Mention], said: Said) -> list[Deed]:
        verbs = lexicon().meanings[meaning]
        if meaning == "measure":
            measure = self.things.latest(("measure",), within=3)
            if measure is not None and any(mention.pronoun for mention in loads):
                return [Deed("measure", measure)]
            return []
        if meaning == "line-up":
            marks = [thing for thing in self.things.all if thing.kind == "mark"]
            named = [
                thing
                for thing in marks
                if any(mention.pronoun or mention.head in (thing.spoken, thing.head) for mention in loads)
            ]
            if marks and (not loads or named):
                meant = named[-1] if named else marks[-1]
                self.things.speak_of(meant)
                return [Deed("line_up", meant)]
            return []
        if meaning == "fill":
            return []
        if meaning in ("apply", "lubricate"):
            word = {"grease": "grease", "oil": "oil"}.get(clause.verb, "")
            if not word or not loads:
                return []
            thing = self._named("consumable", word, False, said, [])
            onto = self._put_on(clause, loads, said)
            return [Deed("apply", thing, to=f"on {' and '.join(mention.words for mention in loads)}", onto=onto)]
        if not loads:
            return []
        targets: list[Thing] = []
        for mention in loads:
            things, _ = self._resolve(
                mention,
                ("part", "connection", "fluid", "fastener") if meaning == "cover" else ("part", "connection"),
                said,
            )
            targets.extend(things)
        if not targets and not any(mention.head for mention in loads):
            return []
        mods = list(
            dict.fromkeys(
                part for thing in targets[:2] for part in [*sorted(thing.places), *thing.mods[:2], thing.head]
            )
        )
        if len(targets) > 1:
            mods = [targets[0].head] if all(thing.head == targets[0].head for thing in targets) else mods[:4]
        head = {"cover": {"cap": "cap", "plug": "plug", "bag": "bag", "tape": "tape", "bung": "bung", "blank": "blank"}.get(clause.verb, "cover"),
                "support": {"chock": "chock", "sling": "sling", "strap": "strap", "jack": "jack", "block": "block"}.get(clause.verb, "support"), "mark": "mark"}[meaning]  # fmt: skip
        many = len(targets) > 1 or any(thing.plural for thing in targets)
        thing = self._named(own, head, many if meaning != "support" or head == "chock" else False, said, mods)
        if head == "chock":
            thing.plural, thing.mods = True, []
        if meaning == "support":
            thing.joins.extend(part for part in targets if part not in thing.joins and part.kind == "part")
            if head == "support":
                thing.doubt("not said what carries it")
        deed = Deed(verbs[own], thing)
        self._keep_state(deed)
        return [deed]

    def _named(self, kind: str, head: str, plural: bool, said: Said, mods: list[str]) -> Thing:
        for thing in self.things.by_head.get(head, []):
            if thing.kind == kind and (set(mods) == set(thing.mods) or not mods):
                self.things.speak_of(thing)
                return thing
        thing = self.things.add(kind, head, plural, said)
        thing.mods = mods
        self.things.speak_of(thing)
        return thing

    def _carry(self, support: Thing, loads: Iterable[Mention], said: Said) -> None:
        for mention in loads:
            if mention.pronoun:
                part = self.things.latest(("part",), within=6)
                found = [part] if part else []
            elif "part" in mention.kinds and not mention.unknown:
                found = self._resolve(mention, ("part",), said)[0]
            else:
                found = []
            for part in found:
                self.things.speak_of(part)
            support.joins.extend(part for part in found if part not in support.joins)
        self.things.speak_of(support)

    def _move(self, piece: Piece, said: Said, when: dict[str, str]) -> bool:
        """Turned, tied back, laid down: a step in words, nothing opened or closed."""
        clause = piece.clause
        if not clause.objects or (clause.by_person and clause.past) or clause.passive:
            return False
        things: list[Thing] = []
        for mention in clause.objects:
            if mention.pronoun or mention.head in self.things.by_head or (mention.kinds and not mention.unknown):
                found, _ = (
                    self._resolve(mention, (), said)
                    if not mention.pronoun
                    else (self.things.meant(mention, (), said).things, "")
                )
                things.extend(found)
        if not things and not any(mention.head for mention in clause.objects):
            return False
        if clause.verb == "bin" and things:
            things[0].old = True
        self._step(piece, said, [Deed("move", thing) for thing in things[:1]] or [Deed("move", None)], when)
        return True

    def _step(self, piece: Piece, said: Said, deeds: list[Deed], when: dict[str, str]) -> Telling:
        step = Telling(deeds, [said], words=piece.clause.words, when=dict(when))
        self.values.bound += 1
        if piece.mended:
            step.doubt(f'put right by the speaker; said first: "{piece.mended}"')
        if (
            any(deed.verb in CLOSING for deed in deeds)
            and any(
                deed.thing is not None and deed.verb in ("fit", "connect", "fill", "tighten", "snug", "line_up")
                for deed in deeds
            )
            and self.steps
        ):
            self.back = self.back or any(deed.verb in ("fit", "line_up") and deed.thing is not None for deed in deeds)
        if self.insert_at is not None:
            self.steps.insert(self.insert_at, step)
            step.doubt('said later, with "before": put in ahead of the step it belongs before')
            self.insert_at += 1
        else:
            self._drop_implied(deeds)
            if not self._drop_announced(step, piece):
                self.steps.append(step)
        self.made.append(step)
        return step

    def _drop_implied(self, deeds: list[Deed]) -> None:
        """A deed said in so many words takes the place of one that was only implied a moment ago."""
        for deed in deeds:
            for step in self.steps[-3:]:
                if step.deeds and all(
                    one.implied and one.thing is deed.thing and one.verb == deed.verb for one in step.deeds
                ):
                    self.steps.remove(step)
                    break

    def _drop_announced(self, step: Telling, piece: Piece) -> bool:
        """ "Remove the cap. It is held by three nuts. Take the nuts off and pull the cap": the first was the headline.
        "Undo the nut and take it off" loosens first. True where the step has found its place already."""
        deed = step.deeds[0]
        if (
            deed.thing is None
            or deed.verb not in ("remove", "take_out", "fit", "support", "disconnect", "cover")
            or len(step.deeds) > 1
            or deed.rest
            or deed.all_but
            or deed.count
        ):
            return False
        for back in range(len(self.steps) - 1, max(-1, len(self.steps) - 12), -1):
            earlier = self.steps[back]
            for one in earlier.deeds:
                if one.thing is not deed.thing:
                    continue
                if one.verb == deed.verb and deed.verb in ("support", "cover") and len(earlier.deeds) == 1:
                    step.said[:0] = earlier.said
                    step.unsure[:0] = earlier.unsure
                    step.cautions[:0] = earlier.cautions
                    self.steps[back] = step  # said again with more words: it stands where it was said first
                    return True
                if (
                    one.verb == deed.verb
                    and not (one.all_but or one.count or one.rest or one.places)
                    and len(earlier.deeds) == 1
                    and earlier.when == step.when
                ):
                    if (
                        deed.verb == "take_out"
                        and back == len(self.steps) - 1
                        and piece.clause.particle in ("out", "off")
                    ):
                        one.verb = "loosen"
                    else:
                        self.steps.pop(back)
                        step.said[:0] = earlier.said
                        step.cautions[:0] = earlier.cautions
                        step.troubles[:0] = earlier.troubles
                        step.unsure[:0] = earlier.unsure
                        step.tools[:0] = earlier.tools
                return False
        return False

    def _along(self, clause: Clause, step: Telling, said: Said, when: dict[str, str]) -> None:
        """ "with a new washer", "with a drop of thread locker on the threads"."""
        _ = when
        for link, mention in clause.beside:
            if (
                link == "with"
                and mention.kinds[:1] == ("fastener",)
                and step.deeds[-1].verb == "fit"
                and not mention.unknown
            ):
                for thing in self._resolve(mention, ("fastener",), said, True)[0]:
                    verb = "snug" if "finger" in clause.manners else "start"
                    step.deeds.append(Deed(verb, thing))
                    thing.is_off = False
            if link == "with" and "consumable" in mention.kinds[:1] and step.deeds[-1].verb == "fit":
                part = step.deeds[-1].thing
                stuff = self._resolve(mention, ("consumable",), said)[0]
                to = _where(clause, mention) or (f"on the {part.name}" if part is not None else "")
                step.deeds.extend(Deed("apply", thing, to=to, onto=part) for thing in stuff)
            if (
                link == "with"
                and "part" in mention.kinds[:1]
                and (mention.new or step.deeds[0].verb in ("start", "fit", "tighten"))
                and not mention.unknown
            ):
                if step.deeds[0].verb in ("start", "fit", "snug", "tighten", "connect"):
                    things, _ = self._resolve(mention, ("part",), said, True)
                    for thing in things:
                        if thing is not step.deeds[0].thing:
                            step.deeds.insert(0, Deed("fit", thing))

    def _tools(self, step: Telling, clause: Clause, said: Said) -> None:
        for link, mention in clause.beside:
            if link in ("with", "using", "by", "on", "") and mention.kinds[:1] == ("tool",):
                tool = self._tool(mention, said)
                if tool not in step.tools:
                    step.tools.append(tool)

    def _tool(self, mention: Mention, said: Said) -> Thing:
        sizes = [f"{figure.value:f} {figure.unit}" for figure in mention.sizes if figure.value is not None]
        return self._named("tool", mention.head, False, said, [*sizes, *mention.mods])

    # -- statements --------------------------------------------------------

    def _holds(self, clause: Clause, said: Said) -> None:
        """ "Two bolts hold the bracket", "it is held by three nuts"."""
        if clause.passive:
            held, holders = (
                clause.subject or clause.objects,
                [mention for link, mention in clause.beside if link in ("by", "with", "on", "in", "")],
            )
        else:
            holders, held = clause.subject, clause.objects
        parts: list[Thing] = []
        for mention in held:
            if mention.pronoun:
                part = self.things.latest(("part",), within=4)
                parts.extend([part] if part else [])
            else:
                parts.extend(self._resolve(mention, ("part", "connection"), said)[0])
        for mention in holders:
            if mention.kinds[:1] != ("fastener",):
                continue
            for part in parts[:1]:
                if not mention.mods and not mention.attached:
                    mention.mods = (*part.mods, part.head) if part.kind == "part" else (part.head,)
                    mention.places = mention.places | frozenset(part.places)
            things, _ = self._resolve(mention, ("fastener",), said)
            for thing in things:
                thing.joins.extend(part for part in parts if part.kind == "part" and part not in thing.joins)
            self.values.of_mention(things, mention, said)
        self.values.of_statement(clause, said, None, self.back)

    def _needs(self, piece: Piece, said: Said, when: dict[str, str]) -> None:
        """ "You need a 16 mm socket", "the bolts want 65 newton metres", "you want a new one"."""
        clause = piece.clause
        for mention in clause.objects:
            if mention.kinds[:1] == ("tool",):
                tool = self._tool(mention, said)
                if self.steps and clause.verb == "use":
                    self.steps[-1].tools.append(tool)
            elif mention.new and (mention.ones or mention.kinds[:1] == ("fastener",)):
                target = self.things.latest(("fastener", "part"), within=4)
                if mention.head:
                    target = next(iter(self.things.known(mention, mention.kinds[0], None).things), None)
                if target is not None and target.kind == "fastener":
                    target.reuse_new = True
                    self.values.bound += 1
        self.values.of_statement(clause, said, self._latest_step(), self.back)
        _ = when

    def _leave(self, clause: Clause, said: Said) -> None:
        """ "... but leave the top one in": all but one of the set just taken out."""
        if re.search(r"\b(?:till|until|for|to) last\b", said.words.lower()) and self.steps:
            self.steps[-1].how.append(clause.words)  # "leave the top bolt till last"
            self.values.bound += 1
            self._mention_known(clause, said)
            return
        for mention in clause.objects:
            thing = self.things.latest(("fastener",), within=4)
            if (
                thing is None
                or not self.steps
                or not (mention.ones or mention.pronoun or mention.head == thing.head or mention.words == "one")
            ):
                continue
            for deed in self.steps[-1].deeds:
                if deed.thing is thing and deed.verb in ("take_out", "loosen") and deed.all_but is None:
                    deed.all_but = mention.count or (1 if not mention.plural else None)
                    thing.part_out = True
                    self.values.bound += 1
        if not clause.objects and self.steps and any(free.figure.whole for free in clause.figures):
            last = self.steps[-1].deeds[-1]
            if last.verb == "take_out":
                last.all_but = clause.figures[0].figure.whole

    def _state(self, piece: Piece, said: Said, when: dict[str, str]) -> None:
        """A clause that does nothing: "they're M10", "there is a washer behind it", "new gasket, dry"."""
        clause = piece.clause
        things: list[Thing] = []
        self._made_of(clause, said)
        if clause.verb in ("make", "put", "leave") and any(
            mention.kinds[:1] == ("mark",) for mention in clause.objects
        ):
            clause.meaning = "mark"
            if self._act(piece, said, when):
                return
        if (
            clause.verb in ("get", "have")
            and any(mention.kinds[:1] == ("support",) for mention in clause.objects)
            and any(link in ("round", "around", "under", "on", "underneath") for link, _ in clause.beside)
        ):
            clause.meaning = "support"  # "I've got a strap round it"
            clause.objects = [mention for mention in clause.objects if mention.kinds[:1] == ("support",)]
            if self._act(piece, said, when):
                return
        holders = [
            mention
            for link, mention in clause.beside
            if mention.kinds[:1] == ("fastener",) and link in ("on", "by", "with", "in")
        ]
        for mention in [*(clause.objects or clause.subject), *holders]:
            if mention.ones and mention.places and self.things.latest(("fastener",), within=3):
                self._resolve(mention, ("fastener",), said)
            if mention.pronoun or mention.ones:
                continue
            if mention.unknown or not mention.head or mention.kinds[:1] in (("tool",), ("consumable",)):
                continue
            if mention.head in ("head", "thread") and (mention.sizes or "fine" in mention.words):
                continue  # "thirteen mil heads", "fine thread"
            again = True if self.back and mention.kinds[:1] == ("fastener",) else None
            found, doubt = self._resolve(mention, (), said, again)
            things.extend(found)
            self.values.of_mention(found, mention, said)
            if mention.new and mention.kinds[:1] == ("fastener",):
                self.values.bound += 1
            for thing in found:
                part = self.things.latest(("part",), within=3)
                if thing.kind == "fastener" and not thing.joins and part is not None and part not in thing.near:
                    thing.near.append(part)
                if doubt:
                    thing.doubted = True
        deeds = self._implied(clause, things, said)
        step = None
        if deeds:
            step = self._step(piece, said, deeds, when)
        tightened = self.values.of_statement(clause, said, step or self._latest_step(), self.back)
        if tightened is not None and not deeds:
            deed = Deed("tighten", tightened, implied=True)
            if not self._tightened_lately(tightened):
                step = self._step(piece, said, [deed], when)
                step.doubt("a value was said, no deed: taken as tightening to it")
                self.values.order_from(clause, tightened)
        if step is not None:
            self._along(clause, step, said, when)

    def _tightened_lately(self, thing: Thing) -> bool:
        return any(deed.thing is thing and deed.verb == "tighten" for step in self.steps[-30:] for deed in step.deeds)

    def _made_of(self, clause: Clause, said: Said) -> None:
        """ "The bracket is two big bolts", "the cover has eight bolts": they are the bracket's, the cover's."""
        named = clause.mentions
        parts = [
            mention for mention in named[:1] if mention.kinds[:1] in (("part",), ("connection",)) or mention.pronoun
        ]
        held_on = [
            mention
            for link, mention in clause.beside
            if link in ("on", "by", "with") and mention.det in ("a", "an", "")
        ]
        sets = [
            mention
            for mention in named[1:]
            if mention.kinds[:1] == ("fastener",) and (mention.count or mention in held_on)
        ]
        joined = {"is", "has", "have", "'s", "got"} & set(clause.lows)
        if not parts or not sets or not joined or clause.verb not in ("", "have", "get"):
            return
        if parts[0].pronoun:
            part = self.things.latest(("part",), within=3)
        else:
            part = next(iter(self._resolve(parts[0], parts[0].kinds[:1], said)[0]), None)
        if part is None:
            return
        for mention in sets:
            if part.head not in mention.mods and not mention.attached:
                mention.mods = (*mention.mods, *part.mods, part.head)
                mention.places = mention.places | frozenset(part.places)

    def _implied(self, clause: Clause, things: list[Thing], said: Said) -> list[Deed]:
        """ "All four bolts finger tight", "new gasket", "nine litres of oil", said while going back together."""
        deeds: list[Deed] = []
        plain = not clause.verb and "is" not in clause.lows and "are" not in clause.lows and "there" not in clause.lows
        if "finger" in clause.manners and plain:
            deeds = [Deed("snug", thing) for thing in things if thing.kind == "fastener"]
        elif {"few", "hand"} & set(clause.manners) and plain:
            deeds = [Deed("start", thing) for thing in things if thing.kind == "fastener"]
        elif plain and not clause.figures and (self.back or self._takes_a_place(things)):
            for thing in things:
                if (
                    thing.kind == "part"
                    and (thing.new or thing.is_off)
                    and not self._fitted(thing)
                    and clause.objects
                    and not clause.beside
                ):
                    deeds.append(Deed("fit", thing, implied=True))
                elif thing.kind == "fluid" and thing.quantity is not None:
                    deeds.append(Deed("fill", thing, implied=True))
        for deed in deeds:
            self._keep_state(deed)
        _ = said
        return deeds

    def _takes_a_place(self, things: list[Thing]) -> bool:
        """ "New tensioner.", once the old one is off."""
        return bool(things) and all(
            thing.new
            and thing.kind == "part"
            and any(other.is_off or other.old for other in self.things.by_head.get(thing.head, []))
            for thing in things
        )

    def _fitted(self, thing: Thing) -> bool:
        return any(deed.thing is thing and deed.verb == "fit" for step in self.steps for deed in step.deeds)

    # -- the end -----------------------------------------------------------

    def finished(self, cut: int) -> Understanding:
        self._told_in_passing()
        self.steps = [one for step in self.steps for one in _single(step)]
        _sections(self.steps)
        self.values.finish(self.steps)
        return Understanding(
            self.title,
            self.steps,
            self.things.all,
            self.conditions.all,
            self.unread,
            self.aside,
            self.remarks.general,
            cut,
        )


@lru_cache(maxsize=1)
def _going_back_cue() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(re.escape(cue) for cue in lexicon().words['going_back'])})\b")


_NOWHERE = Said("", None)
_WIPES = frozenset({"scrape", "wipe", "clean", "rub", "brush", "wash", "rinse", "scrub", "blow"})
_STORED_IN = frozenset(
    {
        "tin",
        "box",
        "bucket",
        "tray",
        "bench",
        "pocket",
        "shelf",
        "floor",
        "bin",
        "crate",
        "dish",
        "bag",
        "pot",
        "jar",
        "pan",
        "table",
        "cardboard",
    }
)


def _asks_for_work(lows: tuple[str, ...]) -> bool:
    """ "Can you loosen the bolts?" asks for work; other questions do not."""
    return lows[:2] in (("can", "you"), ("could", "you"), ("will", "you"))


def _closes(verbs: dict[str, str]) -> bool | None:
    named = set(verbs.values())
    if named & {"fit", "start", "snug", "tighten", "connect", "fill"}:
        return True
    return False if named & {"take_out", "remove", "loosen", "disconnect"} else None


def _looks_like_part(mention: Mention) -> bool:
    return mention.det in ("the", "that", "this", "your", "both", "all")


def _to(clause: Clause, thing: Thing) -> str:
    for link, mention in clause.beside:
        if link in ("to", "onto", "into", "against") and thing.kind in ("part", "connection") and mention.head:
            return mention.words
    return ""


def _where(clause: Clause, own: Mention) -> str:
    places = [
        f"{link} {mention.words}"
        for link, mention in clause.beside
        if mention is not own
        and link in ("on", "to", "in", "into", "round", "around", "over", "across", "between")
        and mention.head
    ]
    return " and ".join(places)


def _single(step: Telling) -> list[Telling]:
    """One step for each verb: "slide the flange on, then the washer, then the nut" is three."""
    if len({deed.verb for deed in step.deeds}) < 2:
        return [step]
    parts: list[Telling] = []
    for deed in step.deeds:
        if parts and parts[-1].deeds[-1].verb == deed.verb:
            parts[-1].deeds.append(deed)
            continue
        parts.append(Telling([deed], step.said, words=step.words, when=step.when, tools=list(step.tools)))
    parts[0].cautions = step.cautions
    last = parts[-1]
    last.how, last.troubles, last.check, last.why, last.unsure = (
        step.how,
        step.troubles,
        step.check,
        step.why,
        step.unsure,
    )
    return parts


def _sections(steps: list[Telling]) -> None:
    """Out, inspect, back in: the cut that leaves the fewest openings behind it and closings before it."""
    opens = [
        sum(deed.verb in ("take_out", "remove", "disconnect", "drain", "loosen") for deed in step.deeds)
        for step in steps
    ]
    closes = [
        sum(deed.verb in ("fit", "connect", "fill", "line_up", "tighten", "start", "snug") for deed in step.deeds)
        for step in steps
    ]
    wrong = sum(opens)
    best, start = wrong, 0
    for number in range(len(steps)):
        wrong += closes[number] - opens[number]
        if wrong < best:
            best, start = wrong, number + 1
    while start and start < len(steps) and not closes[start]:
        start += 1
    looks = ("inspect", "measure", "clean", "check", "apply", "move")
    first_look = start
    while first_look and steps[first_look - 1].deeds[0].verb in looks:
        first_look -= 1
    while first_look < start and steps[first_look].deeds[0].verb == "move":
        first_look += 1
    if not any(deed.verb in ("inspect", "measure", "check") for step in steps[first_look:start] for deed in step.deeds):
        first_look = start
    for number, step in enumerate(steps):
        step.section = "out" if number < first_look else "inspect" if number < start else "back-in"
