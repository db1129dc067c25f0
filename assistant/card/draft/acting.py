"""A clause that does something becomes deeds of a step."""

from __future__ import annotations

from .clause import Clause
from .going_along import along
from .lexicon import lexicon
from .means import by_means, carry
from .mention import Mention
from .objects_said import keeps_dirt_out, known_apart, of_what_it_leaves, so_many
from .owners import NO_WEIGHT
from .piece import Piece
from .senses import adjusted
from .story import Deed
from .telling import (
    Told,
    add_step,
    bare_count,
    closes,
    keep_state,
    note_tools,
    part_of_set,
    resolve,
)
from .thing import Said, Thing
from .without_verb import TERSE_LEADING

_SAID_OF_ANYTHING = frozenset({"get", "go", "come", "take", "put", "run", "let", "back", "set"})
"""Verbs after which a word that is not in the lexicon is no part: "go home", "take the day off"."""


BODY = frozenset(
    {"toe", "finger", "hand", "skin", "eye", "face", "knee", "foot", "arm", "hair", "thumb", "boot", "nose", "neck",
     "lap", "mouth", "leg", "wrist", "glove", "back", "chest", "ear", "teeth", "tooth"}
)  # fmt: skip
"""What is somebody's own, where "your" stands before it."""


def act(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> bool:
    clause = piece.clause
    if any(one.head in BODY and one.det == "your" and link not in ("with", "by") for link, one in clause.beside):
        return False  # "hydraulic oil will go right in under your skin"
    so_many(clause)
    meaning = adjusted(told, clause)
    verbs = lexicon().meanings[meaning]
    if _switched(told, clause):
        meaning = "move"  # "engine off, key out": nothing comes off the machine
    if meaning == "move":
        return move(told, piece, said, when)
    deeds: list[Deed] = []
    doubts: list[str] = []
    told.moved = []
    if meaning in ("cover", "support", "mark", "apply", "lubricate", "fill", "line-up", "measure"):
        deeds = by_means(told, meaning, clause, said, doubts)
    if not deeds:
        deeds = on_objects(told, meaning, verbs, clause, said, doubts)
    if meaning == "measure" and not any(deed.verb == "measure" for deed in deeds):
        told.values.unmeasured = told.things.clause
    if not deeds:
        if not told.moved:
            return False
        add_step(told, piece, said, [Deed("move", deed.thing) for deed in told.moved[:1]], when)
        return True
    step = add_step(told, piece, said, deeds, when)
    for doubt in doubts:
        step.doubt(doubt)
    for deed in deeds:
        if deed.thing is not None and deed.thing.misheard_note:
            step.doubt(deed.thing.misheard_note)
    for link, mention in clause.beside:
        if link in ("across", "between", "over", "along"):
            continue  # "measure across ten links"
        if mention.head in ("half", "halves", "piece", "goes"):
            continue  # "already in two halves"
        if mention.count and mention.noun_plural and mention.head and not mention.unknown:
            resolve(told, mention, (), said)
        elif link == "for" and mention.kinds[:1] == ("fastener",) and mention.head:
            for thing in told.things.known(mention, "fastener", None).things:
                told.things.speak_of(thing)  # "new washer on for the drain plug. Then the plug, ..."
        elif link in ("off", "from") and mention.kinds[:1] == ("connection",) and deeds[0].verb == "uncover":
            resolve(told, mention, ("connection",), said)  # "bag off the connector, and plug that in"
    note_tools(told, step, clause, said)
    along(told, clause, step, said, when)
    told.values.of_action(clause, deeds, step, said, told.back)
    return True


_SWITCHED = {
    "engine": {"off", "on"}, "ignition": {"off", "on", "out"}, "handbrake": {"off", "on"},
    "parking brake": {"off", "on"}, "power": {"off", "on"}, "isolator": {"off", "on"}, "vehicle": {"off", "on"},
    "key": {"out", "off"}, "stop": {"off"},
}  # fmt: skip
"""What is switched, and by which word: the engine that is off still stands in its frame."""


def _switched(told: Told, clause: Clause) -> bool:
    named = [one for one in clause.objects if one.head]
    if not named or clause.verb not in ("", "turn", "switch", "shut", "put", "take", "pull"):
        return False
    if any(one.head == "key" for one in named) and any(
        deed.verb in ("take_out", "remove") for step in told.steps for deed in step.deeds
    ):
        return False  # the key of a shaft
    return not clause.beside and all(clause.particle in _SWITCHED.get(one.head, ()) for one in named)


def on_objects(
    told: Told, meaning: str, verbs: dict[str, str], clause: Clause, said: Said, doubts: list[str]
) -> list[Deed]:
    kinds = tuple(verbs)
    deeds: list[Deed] = []
    closing = closes(verbs)
    objects = clause.objects or understood_object(told, meaning, clause)
    for position, mention in enumerate(objects):
        if (
            mention.ones
            and deeds
            and mention.det == "the"
            and not mention.head
            and deeds[-1].thing is not None
            and not lexicon().opposed(deeds[-1].thing.words, mention.places)
            and not known_apart(told, deeds[-1].thing, mention)
        ):
            if deeds[-1].thing.plural and not mention.plural:
                continue  # "the two springs, the long one first": one of them
            deeds[-1].thing.mods[:0] = [mod for mod in mention.mods if mod not in deeds[-1].thing.mods]
            deeds[-1].thing.places |= mention.places  # "the battery cable, the earth one"
            continue
        if (
            mention.kinds
            and not set(mention.kinds) & set(kinds)
            and mention.kinds[0] in ("tool", "measure", "consumable")
        ):
            continue
        if position and mention.head in NO_WEIGHT and not mention.det and meaning in ("fit", "open"):
            continue  # "the new seals go in, lips facing outwards"
        if mention.head in BODY and mention.det in ("your", "his", "my", "their"):
            continue  # "it'll have your toes off"
        if mention.pronoun and any(one.all_but and not one.head for one in objects[position + 1 :]):
            continue  # "take them out, all but one"
        if deeds and mention.words.startswith("both of them") and deeds[-1].thing is not None:
            if deeds[-1].thing.plural and deeds[-1].thing.count is None:
                deeds[-1].thing.count = 2
            continue  # "disconnect the hoses, both of them"
        keeps_dirt_out(clause, mention)
        strange = mention.unknown and not clause.strong and not known_head(told, mention)
        if strange and (not _looks_like_part(mention) or clause.verb in _SAID_OF_ANYTHING or kinds == ("fluid",)):
            continue
        before = objects[position - 1] if position else None
        if (
            before is not None
            and bare_count(mention)
            and before.kinds[:1] == ("part",)
            and before.head
            and not before.new
        ):
            mention.mods = (*before.mods, before.head)  # "fan cowl comes off, three screws"
            mention.places = before.places
        of_what_it_leaves(told, clause, mention)
        put = tuple(kind for kind in kinds if kind not in ("consumable", "fluid", "mark"))
        spoken_of = (mention.pronoun or (mention.ones and not mention.head)) and meaning == "fit"
        things, doubt = resolve(told, mention, put if spoken_of else kinds, said, closing)
        if doubt:
            doubts.append(f'"{mention.words}" {doubt}')
        for thing in things:
            if thing.kind == "fastener" and not (thing.joins or thing.near) and not told.back:
                part = told.things.latest(("part", "connection"), within=3)
                thing.near.extend([part] if part else [])
            verb = verbs.get(thing.kind)
            same = next((one for one in deeds if one.thing is thing and one.verb == verb), None)
            if same is not None and mention.all_but and not same.all_but:
                part_of_set(told, same, mention, thing)  # "take out the bolts, all but the top two"
            if verb is None or any(deed.thing is thing and deed.verb == verb for deed in deeds):
                continue
            if (
                verb in ("fit", "start")
                and clause.verb in ("go", "come")
                and not thing.is_off
                and not thing.new
                and not told.back
            ):
                told.values.bound += 1
                if told.steps:
                    told.steps[-1].how.append(clause.words)  # "the shims go back where they were": for later
                continue
            if (
                verb == "fit"
                and not clause.verb
                and clause.particle in TERSE_LEADING
                and not (told.back or thing.is_off or thing.new)
            ):
                continue  # "the shaft through the wall" says where it is
            if verb == "remove" and mention.new and told.back:
                verb = "fit"  # "take the jack out, then the new pads"
            deed = Deed(verb, thing)
            part_of_set(told, deed, mention, thing)
            deed.to = _to(clause, thing)
            if verb == "disconnect" and thing.kind == "connection":
                clamp = told.things.latest(("fastener",), within=1)
                if clamp is not None and not (clamp.near or clamp.joins):
                    clamp.near.append(thing)  # "loosen the hose clamp, and pull the hose off"
                for link, one in clause.beside:
                    if (
                        link in ("off", "from")
                        and one.head
                        and not one.unknown
                        and one.head not in thing.mods
                        and (not thing.mods or thing.head not in ("hose", "pipe", "line", "tube"))
                        and "part" in one.kinds
                    ):
                        thing.mods.append(one.head)  # "negative lead off the battery"
            deeds.append(deed)
            if (
                verb in ("fit", "remove")
                and thing.kind == "part"
                and not clause.strong
                and only_moved(told, verb, clause, thing)
            ):
                told.moved.append(deeds.pop())
                continue
            keep_state(told, deed)
            if thing.kind == "support":
                carry(
                    told,
                    thing,
                    [
                        one
                        for link, one in clause.beside
                        if link in ("under", "underneath", "below", "beneath", "round", "around", "on", "to", "through")
                    ],
                    said,
                )
            if doubt:
                thing.doubted = True
    return deeds


def only_moved(told: Told, verb: str, clause: Clause, thing: Thing) -> bool:
    """ "The caliper swings up" before anything went back, "let it down" when all is on: a move, no more."""
    if thing.head == "vehicle":
        return True
    if verb == "fit":
        return (
            not told.back
            and not thing.is_off
            and not thing.new
            and clause.verb
            in ("swing", "push", "slide", "lift", "drop", "turn", "go", "come", "pop", "run", "pull", "stick")
        )
    return told.back and clause.meaning == "let-down" and not thing.is_off


def understood_object(told: Told, meaning: str, clause: Clause) -> list[Mention]:
    """ "Then tighten to 65": the last set of fasteners; other verbs need their object said."""
    if not clause.verb and clause.particle and not clause.figures:
        spoken = told.things.focus[0] if told.things.focus else None
        if (
            spoken is None
            or told.things.clause - spoken.at_clause > 2
            or spoken.kind in ("tool", "measure", "consumable")
        ):
            return []
        return [Mention(0, 0, "them" if spoken.plural else "it", pronoun=True, plural=spoken.plural)]
    if any(free.figure.thread for free in clause.figures) and clause.verb:
        return []  # "do the M8s up again": those, not the ones named last
    if clause.verb in ("refit", "reinstall", "fit", "replace") and not clause.past and not clause.by_person:
        spoken = told.things.focus[0] if told.things.focus else None
        if spoken is not None and spoken.is_off and spoken.kind in ("fastener", "part", "connection"):
            return [Mention(0, 0, "them" if spoken.plural else "it", pronoun=True, plural=spoken.plural)]
        return []
    latest = told.things.latest(("fastener",), plural=True, within=4)
    some = clause.figures[0].figure.whole if len(clause.figures) == 1 and clause.verb == "take" else None
    if meaning == "open" and some and latest is not None and some < (latest.count or 0):
        return [Mention(0, 0, "them", pronoun=True, plural=True, some=some)]  # "take three out"
    if meaning in ("tighten", "snug") and (clause.figures or clause.manners):
        return [Mention(0, 0, "them", pronoun=True, plural=True)] if told.things.latest(("fastener",), within=6) else []
    return []


def known_head(told: Told, mention: Mention) -> bool:
    return mention.head in told.things.by_head


def move(told: Told, piece: Piece, said: Said, when: dict[str, str]) -> bool:
    """Turned, tied back, laid down: a step in words, nothing opened or closed."""
    clause = piece.clause
    if not clause.objects or (clause.by_person and clause.past) or clause.passive:
        return False
    things: list[Thing] = []
    for mention in clause.objects:
        if mention.pronoun or mention.head in told.things.by_head or (mention.kinds and not mention.unknown):
            found, _ = (
                resolve(told, mention, (), said)
                if not mention.pronoun
                else (told.things.meant(mention, (), said).things, "")
            )
            things.extend(found)
    if not things and not any(mention.head for mention in clause.objects):
        return False
    if clause.verb == "bin" and things:
        things[0].old = True
    add_step(told, piece, said, [Deed("move", thing) for thing in things[:1]] or [Deed("move", None)], when)
    return True


def _looks_like_part(mention: Mention) -> bool:
    return mention.det in ("the", "that", "this", "your", "both", "all")


def _to(clause: Clause, thing: Thing) -> str:
    for link, mention in clause.beside:
        if link in ("to", "onto", "into", "against") and thing.kind in ("part", "connection") and mention.head:
            return mention.words
    return ""
