"""The state of the reading, and what every part of it does: which thing is meant, adding a step."""

from __future__ import annotations

from dataclasses import dataclass, field

from .clause import Clause
from .conditions import Conditions
from .mention import Mention
from .piece import Piece
from .remarks import Remarks
from .story import CLOSING, Deed, Telling, Unread
from .thing import Said, Thing
from .things import Things
from .values import Values


@dataclass(slots=True)
class Told:
    """What has been told so far; every part of the reading adds to it."""

    things: Things = field(default_factory=Things)
    steps: list[Telling] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    aside: list[Said] = field(default_factory=list)
    conditions: Conditions = field(default_factory=Conditions)
    values: Values = field(init=False)
    remarks: Remarks = field(default_factory=Remarks)
    back: bool = False
    """Going back together has begun."""
    insert_at: int | None = None
    """Where the next steps of this sentence go, when they belong before one told already."""
    title: str = ""
    when: dict[str, str] = field(default_factory=dict)
    """Facts that hold for the whole sentence."""
    made: list[Telling] = field(default_factory=list)
    """Steps of the present sentence."""
    moved: list[Deed] = field(default_factory=list)
    """What the present clause only moves."""
    passing: list[tuple[Telling | None, Telling]] = field(default_factory=list)
    """Steps said only in passing, each with the step after which it belongs."""

    def __post_init__(self) -> None:
        self.values = Values(self.things, self.unread)


_TURNS_TO = frozenset({"remove", "fit"})
"""Deeds on a part that the fasteners named next are the part's."""
NOWHERE = Said("", None)
"""Where a thing is only looked for, not spoken of."""


def latest_step(told: Told) -> Telling | None:
    return told.steps[-1] if told.steps else None


def resolve(
    told: Told, mention: Mention, kinds: tuple[str, ...], said: Said, closing: bool | None = None
) -> tuple[list[Thing], str]:
    found = told.things.meant(mention, kinds, said, closing)
    told.values.named[id(mention)] = found.things
    if mention.pronoun and mention.det.startswith("all") and mention.count and len(found.things) == 1:
        counted = found.things[0]  # "wind them in, all eight"
        if counted.kind == "fastener" and counted.plural and counted.count is None:
            counted.count, counted.count_said = mention.count, said
    for thing in found.things:
        if mention.pronoun and mention.det.startswith("all") and thing.kind == "fastener" and mention.count:
            alike = [one for one in told.things.all if one.kind == "fastener" and one.count == mention.count]
            thing.doubted = thing.doubted and alike != [thing]  # "start all six by hand": no others are six
        if not mention.pronoun and thing.kind == "fastener":
            topical = told.things.of_topic(thing) and told.things.clause - told.things.topic_at <= 2
            thing.doubted = bool(found.doubt) or (thing.doubted and mention.bare and not topical)
        told.things.speak_of(thing)
        for link, inner in mention.attached:
            tie(told, thing, link, inner, said)
        if mention.attached and thing.at_clause == told.things.clause:
            told.things.speak_of(thing)  # "the locknut on the tension screw. Tighten that": the locknut
    return found.things, found.doubt


def tie(told: Told, thing: Thing, link: str, inner: Mention, said: Said) -> None:
    line = inner.kinds[:1] == ("connection",) and inner.head and not (inner.pronoun or inner.unknown)
    if thing.kind == "fastener" and line and link == "on" and inner.det in ("the", "both", "your"):
        told.things.meant(inner, ("connection",), said)  # "the clips on the coolant hoses": so there are such hoses
    if thing.kind != "fastener" or link not in ("holding", "on", "of", "for", "in", "to", "from", "at"):
        return
    if inner.pronoun:
        part = told.things.latest(("part",))
        found = [part] if part else []
    elif "part" in inner.kinds:
        found = told.things.known(inner, "part", None).things
    else:
        found = []
    for part in found:
        if part not in thing.joins and link in ("holding", "for", "of"):
            thing.joins.append(part)
        if inner.pronoun and part.head not in thing.mods:
            thing.mods.append(part.head)


def mention_known(told: Told, clause: Clause, said: Said) -> None:
    for mention in clause.mentions:
        if not mention.head or not mention.kinds or mention.unknown:
            continue
        found = told.things.known(mention, mention.kinds[0], None)
        if len(found.things) == 1 and not found.doubt:
            told.things.speak_of(found.things[0])


def add_step(told: Told, piece: Piece, said: Said, deeds: list[Deed], when: dict[str, str]) -> Telling:
    step = Telling(deeds, [said], words=piece.clause.words, when=dict(when))
    told.values.bound += 1
    for deed in deeds:
        if deed.thing is not None and deed.verb in _TURNS_TO and deed.thing.kind == "part":
            told.things.turn_to(deed.thing)
    if piece.mended:
        step.doubt(f'put right by the speaker; said first: "{piece.mended}"')
    if (
        any(deed.verb in CLOSING for deed in deeds)
        and any(
            deed.thing is not None and deed.verb in ("fit", "connect", "fill", "tighten", "snug", "line_up")
            for deed in deeds
        )
        and told.steps
    ):
        told.back = told.back or any(deed.verb in ("fit", "line_up") and deed.thing is not None for deed in deeds)
    if told.insert_at is not None:
        told.steps.insert(told.insert_at, step)
        step.doubt('said later, with "before": put in ahead of the step it belongs before')
        told.insert_at += 1
    else:
        drop_implied(told, deeds)
        if not drop_announced(told, step, piece):
            told.steps.append(step)
    told.made.append(step)
    return step


def drop_implied(told: Told, deeds: list[Deed]) -> None:
    """A deed said in so many words takes the place of one that was only implied a moment ago."""
    for deed in deeds:
        for step in told.steps[-3:]:
            if step.deeds and all(
                one.implied and one.thing is deed.thing and one.verb == deed.verb for one in step.deeds
            ):
                told.steps.remove(step)
                break


def drop_announced(told: Told, step: Telling, piece: Piece) -> bool:
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
        or {"again", "second"} & set(piece.clause.lows)
    ):
        return False
    for back in range(len(told.steps) - 1, max(-1, len(told.steps) - 12), -1):
        earlier = told.steps[back]
        for one in earlier.deeds:
            if one.thing is not deed.thing:
                continue
            if one.verb == deed.verb and deed.verb in ("support", "cover") and len(earlier.deeds) == 1:
                step.said[:0] = earlier.said
                step.unsure[:0] = earlier.unsure
                step.cautions[:0] = earlier.cautions
                told.steps[back] = step  # said again with more words: it stands where it was said first
                return True
            if (
                one.verb == deed.verb
                and not (one.all_but or one.count or one.rest or one.places)
                and len(earlier.deeds) == 1
                and earlier.when == step.when
            ):
                if deed.verb == "take_out" and back == len(told.steps) - 1 and piece.clause.particle in ("out", "off"):
                    one.verb = "loosen"
                else:
                    told.steps.pop(back)
                    step.said[:0] = earlier.said
                    step.cautions[:0] = earlier.cautions
                    step.troubles[:0] = earlier.troubles
                    step.unsure[:0] = earlier.unsure
                    step.tools[:0] = earlier.tools
            return False
    return False


def keep_state(told: Told, deed: Deed) -> None:
    thing = deed.thing
    assert thing is not None
    if deed.verb in ("take_out", "remove", "disconnect", "drain", "release", "uncover"):
        thing.is_off = True
    elif deed.verb in ("fit", "start", "snug", "connect", "fill", "support", "cover"):
        thing.is_off = False
        thing.placed = thing.placed or deed.verb == "fit"


def part_of_set(told: Told, deed: Deed, mention: Mention, thing: Thing) -> None:
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


def thing_named(told: Told, kind: str, head: str, plural: bool, said: Said, mods: list[str]) -> Thing:
    for thing in told.things.by_head.get(head, []):
        if thing.kind == kind and (set(mods) == set(thing.mods) or not mods):
            told.things.speak_of(thing)
            return thing
    thing = told.things.add(kind, head, plural, said)
    thing.mods = mods
    told.things.speak_of(thing)
    return thing


def tool_named(told: Told, mention: Mention, said: Said) -> Thing:
    sizes = [f"{figure.value:f} {figure.unit}" for figure in mention.sizes if figure.value is not None]
    return thing_named(told, "tool", mention.head, False, said, [*sizes, *mention.mods])


def note_tools(told: Told, step: Telling, clause: Clause, said: Said) -> None:
    for link, mention in clause.beside:
        if link in ("with", "using", "by", "on", "") and mention.kinds[:1] == ("tool",):
            tool = tool_named(told, mention, said)
            if tool not in step.tools:
                step.tools.append(tool)


def is_told(told: Told, deed: Deed) -> bool:
    return any(one.thing is deed.thing and one.verb == deed.verb for step in told.steps for one in step.deeds)


def bare_count(mention: Mention, one: bool = False) -> bool:
    """ "Three screws": a count, and nothing that tells them from others. `one`: a single one as well."""
    return (
        mention.kinds[:1] == ("fastener",)
        and (mention.count or 0) > (0 if one else 1)
        and mention.det == ""
        and not (mention.own_mods or mention.places or mention.attached or mention.rest or mention.some)
    )


def fitted(told: Told, thing: Thing) -> bool:
    return any(deed.thing is thing and deed.verb == "fit" for step in told.steps for deed in step.deeds)


def on_fasteners(told: Told, clause: Clause) -> bool:
    for mention in clause.objects:
        if mention.pronoun or mention.ones:
            thing = told.things.latest(("fastener",), within=4)
            if thing is not None:
                return True
        elif mention.kinds[:1] == ("fastener",):
            return True
    return not clause.objects


def closes(verbs: dict[str, str]) -> bool | None:
    named = set(verbs.values())
    if named & {"fit", "start", "snug", "tighten", "connect", "fill"}:
        return True
    return False if named & {"take_out", "remove", "loosen", "disconnect"} else None


def where(clause: Clause, own: Mention) -> str:
    places = [
        f"{link} {mention.words}"
        for link, mention in clause.beside
        if mention is not own
        and link in ("on", "to", "in", "into", "round", "around", "over", "across", "between")
        and mention.head
    ]
    return " and ".join(places)
