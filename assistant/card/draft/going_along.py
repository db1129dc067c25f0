"""What goes along with a deed: a new washer, a drop of thread locker on the threads."""

from __future__ import annotations

from .clause import Clause
from .mention import Mention
from .owners import NO_WEIGHT
from .story import Deed, Telling
from .telling import Told, keep_state, resolve, thing_named, where
from .thing import Said, Thing


def along(told: Told, clause: Clause, step: Telling, said: Said, when: dict[str, str]) -> None:
    """ "with a new washer", "with a drop of thread locker on the threads"."""
    for link, mention in clause.beside:
        if (
            link == "with"
            and mention.kinds[:1] == ("fastener",)
            and step.deeds[-1].verb == "fit"
            and not mention.unknown
        ):
            for thing in resolve(told, mention, ("fastener",), said, True)[0]:
                verb = "snug" if "finger" in clause.manners else "start"
                step.deeds.append(Deed(verb, thing))
                thing.is_off = False
        if link == "with" and mention.det == "the" and mention.kinds[:1] == ("part",) and not mention.unknown:
            comes = clause.verb in ("come", "drop", "fall") and step.deeds[-1].verb == "remove"
            for thing in resolve(told, mention, ("part",), said, False)[0] if comes else []:
                step.deeds.append(Deed("remove", thing))  # "the pads come out with the shims"
                keep_state(told, step.deeds[-1])
        wet = "consumable" in mention.kinds[:1] or _oil_on_it(clause, mention)
        bolted = _named_before(told, clause, mention) or step.deeds[-1].thing
        if link == "with" and wet and bolted is not None and bolted.kind == "fastener":
            beside = [(place, one) for place, one in (*mention.attached, *clause.beside) if one is not mention]
            if not any(place in _ELSEWHERE and one.head and one.head != "thread" for place, one in beside):
                told.values.treated(bolted, mention)
        if link == "with" and wet and step.deeds[-1].verb in ("fit", "connect"):
            part = _named_before(told, clause, mention) or step.deeds[-1].thing
            stuff = (
                resolve(told, mention, ("consumable",), said)[0]
                if "consumable" in mention.kinds[:1]
                else [thing_named(told, "consumable", "oil", False, said, list(mention.mods))]
            )
            to = where(clause, mention) or (f"on the {part.name}" if part is not None else "")
            step.deeds.extend(
                Deed("apply", thing, to=to, onto=None if thing.head == "thread locker" else part) for thing in stuff
            )
        if (
            link == "with"
            and "part" in mention.kinds[:1]
            and (mention.new or step.deeds[0].verb in ("start", "fit", "tighten"))
            and not mention.unknown
        ) and step.deeds[0].verb in ("start", "fit", "snug", "tighten", "connect"):
            things, _ = resolve(told, mention, ("part",), said, True)
            for thing in things:
                if thing is not step.deeds[0].thing:
                    step.deeds.insert(0, Deed("fit", thing))


_ELSEWHERE = frozenset({"under", "between", "behind", "round", "around", "on"})
"""Where sealant goes that is not the screws' own: "with a bit of sealant under the cap"."""


def _named_before(told: Told, clause: Clause, mention: Mention) -> Thing | None:
    """ "Clevis pin in with a drop of oil, new clip": the oil is the pin's."""
    before = [one for one in clause.objects if 0 <= one.start < mention.start and one.head not in NO_WEIGHT]
    things = [thing for one in before[-1:] for thing in told.values.named.get(id(one), [])]
    return things[-1] if things else None


def _oil_on_it(clause: Clause, mention: Mention) -> bool:
    """ "With clean oil on it": put on, not filled in."""
    on_it = any(link == "on" and (one.pronoun or one.head in ("thread", "lip")) for link, one in clause.beside)
    on_it = on_it or any(link == "on" and one.head in ("thread", "lip") for link, one in mention.attached)
    little = mention.det.startswith(
        (
            "a drop",
            "a touch",
            "a bit",
            "a smear",
            "a film",
            "a dab",
            "a little",
            "a spot",
            "a wipe",
            "a lick",
            "a dash",
            "a splash",
            "a coat",
            "a squirt",
            "a spray",
            "a thin",
            "a light",
            "some",
            "plenty of",
            "a good",
        )
    )
    dipped = clause.meaning in ("fit", "start", "connect") and not mention.det  # "new vanes go in, with oil"
    return mention.is_oil and (on_it or little or dipped)
