"""What stands on either side of a comma or an "and", as far as it tells whether a clause begins there."""

from __future__ import annotations

from .chunks import Chunk
from .without_verb import TERSE

BOUNDS = ("conj", "comma", "seq", "end")


def terse_next(chunks: list[Chunk], at: int) -> bool:
    """Whether [thing][particle] and an end follow: "hoses back on", "jack out"."""
    if chunks[at].kind == "seq" and at + 1 < len(chunks):
        at += 1
    if chunks[at].kind != "thing":
        return False
    step = at + 1
    seen = False
    while step < len(chunks) and chunks[step].kind in ("rel", "filler"):
        seen = seen or chunks[step].low in TERSE
        step += 1
    return seen and (
        step == len(chunks)
        or chunks[step].kind in (*BOUNDS, "manner", "sub", "treat", "fig")
        or chunks[step - 1].low in ("with", "to")
    )


def terse_before(chunks: list[Chunk], at: int) -> bool:
    """Whether [thing][particle] with no verb stands right before: "guard back on, and ..."."""
    back = at - 1
    if chunks[back].kind != "rel" or chunks[back].low not in TERSE:
        return False
    while back >= 0 and chunks[back].kind in ("rel", "filler"):
        back -= 1
    return back >= 0 and chunks[back].kind == "thing" and (back == 0 or chunks[back - 1].kind in (*BOUNDS, "filler"))


def value_next(chunks: list[Chunk], at: int) -> bool:
    """Whether a thing with its own value stands on both sides: "the nuts 40 and the bolts 65"."""
    before = at - 1
    while before > 0 and chunks[at].kind == "conj" and chunks[before].kind == "comma":
        before -= 1
    left = _stretch(chunks, before, -1, BOUNDS)
    right = _stretch(chunks, at + 1, 1, (*BOUNDS, "verb"))

    def full(stretch: list[Chunk]) -> bool:
        valued = any(
            chunk.kind == "fig" and chunk.item and chunk.item.figure and not chunk.item.figure.thread
            for chunk in stretch
        )
        return valued and any(chunk.kind == "thing" for chunk in stretch)

    return full(left) and full(right)


def set_with_torque_next(chunks: list[Chunk], at: int) -> bool:
    """ "The short ones, 45 newton metres, then | the long ones, 80 newton metres"."""

    def torque(chunk: Chunk) -> bool:
        figure = chunk.item.figure if chunk.item is not None else None
        return chunk.kind == "fig" and figure is not None and figure.dimension == "torque"

    right = [chunk for chunk in chunks[at + 1 : at + 5] if chunk.kind not in ("comma", "filler")]
    named = right[0].mention if right else None
    bolts = named is not None and (named.kinds[:1] == ("fastener",) or (named.ones and bool(named.places)))
    return bolts and len(right) > 1 and torque(right[1]) and any(torque(chunk) for chunk in chunks[:at])


def counted_set_next(chunks: list[Chunk], at: int) -> bool:
    """ "There are four long bolts, and they are ninety long, and | two short bolts, and they are fifty-five"."""
    left = chunks[:at]
    valued = any(chunk.kind == "fig" and chunk.item and chunk.item.figure and chunk.item.figure.unit for chunk in left)
    told = any(chunk.kind == "aux" and chunk.low in ("is", "are") for chunk in left)
    follows = chunks[at + 1].mention if at + 1 < len(chunks) else None
    named = [one.mention for one in left if one.mention is not None]
    bolts = (
        follows is not None and follows.kinds[:1] == ("fastener",) and any(one.head == follows.head for one in named)
    )
    if follows is not None and (follows.ones or bolts) and (follows.places or follows.mods) and not follows.rest:
        first = any(one.ones or one.kinds[:1] == ("fastener",) for one in named)
        first = first and not any(chunk.kind == "verb" for chunk in left)
        behind = any(one.kind == "fig" for one in chunks[at + 2 :])
        if first and behind and any(one.kind == "fig" for one in left):
            return True  # "the long ones at the front, four of those, and | the short ones, twenty of those"
    return bool(told and valued and follows is not None and follows.count and follows.kinds[:1] == ("fastener",))


def side_is_over(chunks: list[Chunk], at: int) -> bool:
    """ "Once they are off, the bolts and the plate ...": the side clause ends at the comma."""
    side = chunks[:at]
    opens = next((chunk.kind for chunk in side if chunk.kind not in ("seq", "filler", "conj")), "")
    whole = any(chunk.kind in ("verb", "aux") for chunk in side) and not any(chunk.kind == "comma" for chunk in side)
    follows = chunks[at + 1] if at + 1 < len(chunks) else None
    named = follows is not None and follows.mention is not None and follows.mention.det in ("the", "both", "all")
    if follows is not None and follows.mention is not None and follows.mention.new and follows.mention.head:
        named = True  # "if that's fine, new seal"
    if follows is not None and follows.mention is not None and follows.mention.kinds[:1] == ("mark",):
        named = True  # "before you do anything, a dab of paint across the two"
    named_only = len(side) == 2 and side[0].low in ("before", "after") and side[1].kind == "thing"
    return opens == "sub" and (whole or named_only) and named  # "before the guard, the locknut"


def fastener_with_torque(chunks: list[Chunk], at: int) -> bool:
    """ "The pin with grease on it, and the pinch bolt, 80 newton metres on that": the bolt stands by itself."""
    left = [chunk for chunk in chunks[:at] if chunk.mention is not None]
    if not left or any(chunk.kind == "fig" for chunk in chunks[:at]):
        return False
    if any(chunk.mention is not None and chunk.mention.kinds[:1] == ("fastener",) for chunk in left):
        return False
    follows = [chunk for chunk in chunks[at + 1 : at + 5] if chunk.kind not in ("comma", "filler", "rel")]
    return (
        len(follows) > 1
        and follows[0].mention is not None
        and follows[0].mention.kinds[:1] == ("fastener",)
        and follows[1].item is not None
        and follows[1].item.figure is not None
        and follows[1].item.figure.dimension == "torque"
    )


def stuff_next(chunks: list[Chunk], at: int) -> bool:
    """ ", plenty of grease on the pins": said by itself, between two deeds."""
    follows = chunks[at + 1 : at + 4]
    return (
        len(follows) == 3
        and follows[0].mention is not None
        and follows[0].mention.kinds[:1] == ("consumable",)
        and follows[1].low in ("on", "in", "between", "over")
        and follows[2].mention is not None
        and any(chunk.kind in ("verb", "thing") for chunk in chunks[:at])
    )


def then_things(chunks: list[Chunk], at: int) -> bool:
    """ "Take it out, then the shims and the new pads", "bolts, 20 newton metres, then the cover"."""
    left = [chunk for chunk in chunks[:at] if chunk.kind not in ("filler", "seq")]
    right = [chunk for chunk in chunks[at + 1 :] if chunk.kind != "filler"]
    if not left or not right or right[0].kind != "thing" or left[-1].kind not in ("comma", "conj", "thing"):
        return False
    only = all(chunk.kind in ("thing", "conj", "comma", "end") for chunk in right)
    done = any(chunk.kind == "verb" for chunk in left) and any(chunk.kind == "thing" for chunk in left)
    valued = not any(chunk.kind == "verb" for chunk in chunks) and any(
        chunk.item is not None and chunk.item.figure is not None and chunk.item.figure.dimension == "torque"
        for chunk in left
    )
    return (only and done) or (valued and any(chunk.kind == "thing" for chunk in left))


def _stretch(chunks: list[Chunk], at: int, way: int, ends: tuple[str, ...]) -> list[Chunk]:
    found: list[Chunk] = []
    while 0 <= at < len(chunks) and chunks[at].kind not in ends:
        found.append(chunks[at])
        at += way
    return found


_SHOULD_BE = frozenset(
    {"should be", "must be", "should", "must", "shall", "has to", "have to", "ought to", "can", "may"}
)


def statement_next(chunks: list[Chunk], at: int) -> bool:
    """ ", they're M10", ", that's four screws": a statement of its own."""
    return (
        at + 1 < len(chunks)
        and chunks[at].kind in ("thing", "subj")
        and chunks[at + 1].kind == "aux"
        and (
            chunks[at + 1].low in ("is", "are", "was", "were")
            or (chunks[at + 1].low in _SHOULD_BE and chunks[at].low in ("it", "they", "that", "those"))
            or chunks[at + 1].low.startswith("there")
            or (
                chunks[at + 1].low == "'s"
                and at + 2 < len(chunks)
                and (chunks[at + 2].kind == "fig" or chunks[at].low in ("each one", "that one", "this one"))
            )
        )
    )
