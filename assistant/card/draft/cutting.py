"""Where one action ends and the next begins."""

from __future__ import annotations

from .chunks import Chunk
from .tagging import Item
from .what_follows import (
    BOUNDS,
    counted_set_next,
    fastener_with_torque,
    set_with_torque_next,
    side_is_over,
    statement_next,
    stuff_next,
    terse_before,
    terse_next,
    then_things,
    value_next,
)
from .without_verb import TERSE

_WARNS = frozenset({"mind", "watch", "careful", "never", "don't", "do not", "beware", "nobody", "no one"})


def spans_of(items: list[Item], chunks: list[Chunk]) -> list[tuple[int, int, str]]:
    """Item spans of the clauses, with the word that opens each."""
    cuts: dict[int, str] = {}
    verbs = [at for at, chunk in enumerate(chunks) if chunk.kind == "verb"]
    for number, at in enumerate(verbs):
        first = verbs[number - 1] + 1 if number else 0
        cut = _cut_before(chunks, first, at, bool(number))
        if cut is not None:
            cuts[cut[0]] = cut[1]
    for at, chunk in enumerate(chunks):
        if chunk.kind in BOUNDS and at + 1 < len(chunks) and at and chunk.kind != "end" and terse_next(chunks, at + 1):
            cuts[chunks[at + 1].start] = chunk.low
        if (
            not verbs
            and chunk.kind == "thing"
            and at >= 2
            and chunks[at - 1].kind == "rel"
            and chunks[at - 1].low in TERSE
            and chunks[at - 2].kind in ("thing", "rel")
            and not (chunk.mention and chunk.mention.unknown)
            and at + 1 < len(chunks)
            and (chunks[at + 1].kind == "fig" or (chunks[at + 1].kind == "rel" and chunks[at + 1].low in TERSE))
        ):
            cuts[chunk.start] = ""  # "pads in caliper down bolts in", said without a pause
        if chunk.kind in ("comma", "conj") and at >= 2 and at + 1 < len(chunks) and terse_before(chunks, at):
            follows = at + 1
            while follows + 1 < len(chunks) and chunks[follows].kind in BOUNDS:
                follows += 1
            cuts.setdefault(chunks[follows].start, chunk.low)
        if chunk.kind in BOUNDS and not verbs and fastener_with_torque(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in ("comma", "conj") and stuff_next(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in BOUNDS and (set_with_torque_next(chunks, at) or counted_set_next(chunks, at)):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in BOUNDS and at + 1 < len(chunks) and value_next(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if (
            chunk.kind in ("comma", "conj", "seq")
            and at + 1 < len(chunks)
            and chunks[at + 1].kind == "aux"
            and chunks[at + 1].low in ("there is", "there are")
        ):
            cuts[chunks[at + 1].start] = chunk.low
        if (
            chunk.kind == "comma"
            and at + 2 < len(chunks)
            and chunks[at + 1].low == "so"
            and chunks[at + 2].low in ("there is", "there are")
        ):
            cuts[chunks[at + 2].start] = ", so"  # "one bolt in each, so there are two bolts"
        if (
            chunk.kind == "comma"
            and at + 1 < len(chunks)
            and chunks[at + 1].kind == "fig"
            and any(one.kind == "sub" for one in chunks[:at])
        ):
            cuts[chunks[at + 1].start] = chunk.low  # "... if it has one, eight newton metres on those"
        if (
            chunk.kind in ("comma", "conj")
            and at + 1 < len(chunks)
            and chunks[at + 1].kind in ("most", "least")
            and chunks[at + 1].low.startswith("anything")
            and any(one.kind == "sub" for one in chunks[:at])
        ):
            cuts[chunks[at + 1].start] = chunk.low  # "... while you can, anything over two millimetres"
        if (
            chunk.kind in BOUNDS
            and at + 2 < len(chunks)
            and (named := chunks[at + 1].mention) is not None
            and named.kinds[:1] == ("fastener",)
            and {one.low for one in chunks[at + 2 : at + 5]} & {"same", "likewise", "ditto"}
        ):
            cuts[chunks[at + 1].start] = chunk.low  # "..., the bracket bolts the same"
        if chunk.kind == "seq" and chunk.low == "then" and then_things(chunks, at):
            cuts[chunks[at + 1].start] = ", then"
        behind = [one.low for one in chunks[at + 1 : at + 5]]
        if chunk.kind in BOUNDS and at + 5 < len(chunks) and chunks[at + 1].kind == "thing" and behind[1:] and at:
            counted = behind[1:3] in ([",", "that"], [",", "those"]) and behind[3] in ("is", "are")
            if counted and chunks[at + 5].kind == "fig":
                cuts[chunks[at + 1].start] = ", then"  # "..., that's five, and | the steel plates, that's four"
        if chunk.kind == "comma" and side_is_over(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in ("comma", "conj", "seq") and statement_next(chunks, at + 1):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in BOUNDS and at + 1 < len(chunks) and chunks[at + 1].low in _WARNS:
            cuts[chunks[at + 1].start] = chunk.low
    for at in range(2, len(chunks) - 3):
        if chunks[at].low == "with" and chunks[at - 1].kind in BOUNDS and chunks[at + 1].kind == "thing":
            valued = any(one.kind == "fig" for one in chunks[: at - 1])
            if valued and chunks[at + 2].low in ("off", "out") and chunks[at + 3].kind in ("aux", "comma", "subj"):
                cuts.setdefault(chunks[at].start, chunks[at - 1].low)  # "..., and with the ram off there's nothing"
    other = chunks[2].mention if len(chunks) > 4 else None
    elsewhere = other is not None and (other.rest or other.old) and chunks[0].low == "that"
    if elsewhere and chunks[1].kind == "aux" and chunks[3].kind == "comma":
        cuts.setdefault(chunks[4].start, ",")  # "that's the other lorry, three bolts on this one"
    for at, chunk in enumerate(chunks):
        if (
            chunk.kind == "neg"
            and at > 2
            and chunks[at - 1].low == "so"
            and any(one.kind in ("aux", "fig") for one in chunks[:at])
        ):
            cuts.setdefault(chunk.start, "so")  # "it's 18 kilos so don't drop it"
        by_aux = chunk.kind == "neg" and at > 4 and chunks[at - 1].kind == "aux" and chunks[at - 2].kind == "thing"
        if by_aux and chunks[at - 3].kind in BOUNDS and any(one.kind == "fig" for one in chunks[: at - 3]):
            cuts.setdefault(chunks[at - 2].start, "and")  # "it's forty-six kilos, and a deck's never level"
        if (
            chunk.kind == "neg"
            and at > 3
            and chunks[at - 1].kind in ("thing", "subj")
            and (chunks[at - 2].kind in BOUNDS or chunks[at - 2].low == "so")
            and any(one.kind == "fig" for one in chunks[: at - 2])
        ):
            cuts.setdefault(chunks[at - 1].start, "so")  # "it's 42 kilos, that caliper, so the strap isn't for show"
        if (
            at
            and chunk.mention is not None
            and chunk.mention.pronoun
            and chunk.low in ("they", "it", "those")
            and at + 1 < len(chunks)
            and chunks[at + 1].low in ("is", "are")
            and (chunks[at - 1].kind == "thing" or (at > 1 and chunks[at - 1].kind == "filler"))
            and any(one.kind == "thing" for one in chunks[:at])
        ):
            cuts.setdefault(chunk.start, "")  # "... six screws they are M8", with no breath between
        if at and chunk.kind == "sub" and chunk.low in ("so it", "so they", "so that"):
            cuts.setdefault(chunk.start, "")
            for step in range(at + 1, len(chunks) - 2):
                if chunks[step].kind == "comma" and chunks[step + 1].kind == "seq":
                    cuts.setdefault(chunks[step + 2].start, f", {chunks[step + 1].low}")
                    break
        if (
            at > 1
            and chunk.low == "it"
            and chunks[at - 1].low in ("or", "else")
            and any(one.kind == "fig" for one in chunks[:at])
        ):
            cuts.setdefault(chunk.start, "or")  # "tighten that, thirty foot pounds, or it all goes slack again"
        if at and chunk.kind == "sub" and chunk.low in ("if", "unless") and chunks[at - 1].kind in BOUNDS:
            cuts.setdefault(chunk.start, chunks[at - 1].low)  # "measure the wear, and if it is past 0.2 ..."
        if at and chunk.kind == "sub" and chunk.low in ("until", "till", "because"):
            cuts.setdefault(chunk.start, "")
    starts = sorted({0, *cuts})
    spans = []
    for number, start in enumerate(starts):
        end = starts[number + 1] if number + 1 < len(starts) else len(items)
        spans.append((start, end, cuts.get(start, "")))
    return spans


def _cut_before(chunks: list[Chunk], first: int, at: int, later: bool) -> tuple[int, str] | None:
    """Where the clause of the verb at chunk `at` starts, looking back no further than `first`."""
    step = at - 1
    bound: int | None = None
    fresh = _fresh_start(chunks, first, at)
    if fresh is not None:
        return chunks[fresh].start, ""
    while step >= first:
        chunk = chunks[step]
        if chunk.kind in BOUNDS:
            bound = step
            break
        step -= 1
    if bound is not None and bound - 2 >= first and chunks[bound].kind == "conj" and chunks[bound - 1].kind == "thing":
        earlier = chunks[bound - 2]
        plural = any(chunk.low == "are" for chunk in chunks[bound + 1 : at])
        if earlier.kind in ("conj", "comma") and plural:
            bound -= 2  # "..., and the suction hose as well as the delivery hose are pulled off"
    if bound is not None:
        back = bound
        while back - 1 >= first and chunks[back - 1].kind in BOUNDS:
            back -= 1
        low = " ".join(chunk.low for chunk in chunks[back : bound + 1])
        start = bound + 1
        # a connecting word that hangs before the boundary belongs to this clause: ", and before you"
        return (chunks[start].start, low) if start < len(chunks) else None
    if not later:
        return _topic(chunks, at)
    # no boundary between two verbs: at "to", "before" and the like, else before a subject, else right at the verb
    for back in range(first, at):
        if chunks[back].kind == "sub" or (chunks[back].low == "to" and chunks[back].kind == "rel" and back == at - 1):
            return chunks[back].start, ""
    verb = chunks[at].item
    assert verb is not None
    assert verb.verb is not None
    back = at
    while back - 1 >= first and chunks[back - 1].kind in ("aux", "subj", "neg", "filler"):
        back -= 1
    moved = back < at
    intransitive = verb.verb.form in ("s",) or verb.verb.verb.base in ("come", "go", "drop", "fall", "slide") or moved
    if (
        intransitive
        and back - 1 >= first
        and chunks[back - 1].kind == "thing"
        and not (chunks[back - 1].low == "them" and back - 1 == first)
        and not any(chunks[k].kind == "subj" for k in range(back, at))
    ):
        return chunks[back - 1].start, ""
    return chunks[back].start, ""


def _placed_over(chunks: list[Chunk], at: int) -> bool:
    """ "Pressure plate over it | line your marks up"."""
    before = chunks[:at]
    after = chunks[at + 1].mention if at + 1 < len(chunks) else None
    return (
        len(before) == 3
        and before[0].mention is not None
        and before[1].low in ("over", "on", "onto", "in", "into", "round", "under")
        and before[2].mention is not None
        and before[2].mention.pronoun
        and after is not None
        and after.det != ""
    )


def _topic(chunks: list[Chunk], at: int) -> tuple[int, str] | None:
    """ "Twelve bolts round the outside, thirteen mil | you loosen them": what stands first is only named."""
    if _placed_over(chunks, at):
        return chunks[at].start, ""
    back = at
    while back >= 1 and chunks[back - 1].kind in ("aux", "subj", "filler"):
        back -= 1
    personal = any(chunk.kind == "subj" for chunk in chunks[back:at])
    named = back > 0 and any(chunk.mention is not None and chunk.mention.head for chunk in chunks[:back])
    plain = not any(chunk.kind in ("sub", "aux", "neg") for chunk in chunks[:back])
    after = chunks[at + 1].mention if at + 1 < len(chunks) else None
    if personal and named and plain and after is not None and after.pronoun:
        return chunks[back].start, ""
    return None


def _fresh_start(chunks: list[Chunk], first: int, at: int) -> int | None:
    """Where the verb's own clause starts behind a side clause with no comma: "once they are tight | you take it off",
    "… the flange | so it goes back"."""
    back = at
    while back - 1 >= first and chunks[back - 1].kind in ("aux", "subj", "neg", "filler"):
        back -= 1
    subs = [number for number in range(first, at) if chunks[number].kind == "sub"]
    if not subs:
        return None
    sub = subs[-1]
    between = [chunk for chunk in chunks[sub + 1 : back] if chunk.kind != "filler"]
    if any(chunk.kind in BOUNDS for chunk in between):
        return None
    personal = any(chunk.kind == "subj" for chunk in chunks[back:at])
    told = any(
        chunk.kind == "aux" and chunk.low.split()[-1] in ("is", "are", "'s", "has", "have", "was", "were")
        for chunk in between
    )
    verb = chunks[at].item
    bare = verb is not None and verb.verb is not None and verb.verb.form == "base"
    bare = bare and not any(chunk.kind in ("aux", "subj", "neg") for chunk in chunks[back:at])
    named = [chunk for chunk in between if chunk.mention is not None]
    if between and ((personal and told) or (told and bare)):
        return back
    if personal and named and chunks[sub].low in ("before", "after") and not told:
        return back  # "before any of that | you drain the coolant"
    return sub if sub > first else None
