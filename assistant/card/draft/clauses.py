"""A sentence split into single actions and statements: "take out the bolts and pull the shaft" is two."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

from .figures import Figure
from .lexicon import lexicon
from .phrases import Mention, mention_at
from .roles import settled
from .tagging import Item, plain_tokens, tagged
from .words import Sentence, Token, spelled

_TERSE = {
    "out": "open",
    "off": "open",
    "away": "open",
    "in": "fit",
    "on": "fit",
    "back": "fit",
    "up": "raise",
    "down": "let-down",
    "loose": "loosen",
    "under": "fit",
}
TERSE_LEADING = {
    "out of": "open",
    "off of": "open",
    "into": "fit",
    "onto": "fit",
    "over": "fit",
    "across": "fit",
    "round": "fit",
    "around": "fit",
    "through": "fit",
    "down": "fit",
    "against": "fit",
}
"""What a preposition means between two things with no verb: "new bearing into the housing", "bag over the end"."""
"""What a particle means behind a thing with no verb: "last bolt out", "hoses back on"."""


@dataclass(slots=True)
class Free:
    """A figure that belongs to no name: "to 65 newton metres"."""

    figure: Figure
    before: str = ""
    """The word before it: to, of, at, for, another, most, least."""
    beside: str = ""
    """The word after it: hex, spanner, long, first."""
    link: Mention | None = None
    """"sixty-five for the flange bolts"."""
    at: int = -1
    """Item at which it stands; -1 where the clause was put together from two."""


@dataclass(slots=True)
class Clause:
    """One action or statement."""

    words: str
    start: int = 0
    end: int = 0
    """Items of the sentence."""
    verb: str = ""
    """Base form; empty for a statement or a clause without a verb."""
    particle: str = ""
    meaning: str = ""
    """A key of meanings.yaml, or holds, needs, leave; empty where nothing is done."""
    strong: bool = False
    objects: list[Mention] = field(default_factory=list)
    subject: list[Mention] = field(default_factory=list)
    """What stands before the verb (then also in `objects` where the verb acts on it)."""
    beside: list[tuple[str, Mention]] = field(default_factory=list)
    """("with", a strap), ("into", the block)."""
    figures: list[Free] = field(default_factory=list)
    manners: list[str] = field(default_factory=list)
    treatments: list[str] = field(default_factory=list)
    sub: str = ""
    """The word that makes it no action of its own: before, once, if, to, that."""
    negated: str = ""
    past: bool = False
    third: bool = False
    """"comes", "goes"."""
    by_person: bool = False
    """"you take", "I took"."""
    passive: bool = False
    going_on: bool = False
    """"is hanging on the bolts": how it is, not what is done."""
    apart: bool = False
    """What follows the verb stands behind a pause: "the top bolt goes in, then the lower two"."""
    tail: str = ""
    """A side remark that opens behind the verb: because, so, in case."""
    opens: str = ""
    """The word that joins it to the clause before: and, then, comma."""
    lows: tuple[str, ...] = ()
    """Its words, lower case."""

    @property
    def mentions(self) -> list[Mention]:
        seen: list[Mention] = []
        for mention in (*self.subject, *self.objects, *(one for _, one in self.beside)):
            if not any(mention is known for known in seen):
                seen.append(mention)
        return seen


@dataclass(slots=True)
class Parsed:
    """A sentence with its clauses."""

    sentence: Sentence
    tokens: list[Token]
    items: list[Item]
    clauses: list[Clause]

    @property
    def lows(self) -> tuple[str, ...]:
        return tuple(token.low for token in self.tokens)


def parsed(sentence: Sentence) -> Parsed:
    return parsed_tokens(sentence, plain_tokens(sentence.tokens))


def parsed_tokens(sentence: Sentence, tokens: list[Token]) -> Parsed:
    items = settled(tagged(tokens))
    _told_beside(items)
    chunks = _chunks(items)
    spans = _spans(items, chunks)
    clauses: list[Clause] = []
    for start, end, opens in spans:
        clause = _clause(tokens, items, [chunk for chunk in chunks if start <= chunk.start < end], clauses)
        clause.opens = opens
        clauses.append(clause)
    _carry_on(clauses)
    _spread_remarks(clauses)
    _fronted(clauses)
    _share_objects(clauses)
    _let_go(clauses)
    _got_done(clauses)
    _resume_subject(clauses)
    _same_again(clauses)
    _go_on(clauses)
    _join_subjects(clauses)
    return Parsed(sentence, tokens, items, clauses)


_PUT_ON = frozenset({"coat", "cover", "smear", "pack", "fill", "grease", "oil", "treat", "lubricate"})


def _told_beside(items: list[Item]) -> None:
    """ "The bolts, coated with anti-seize, are put in": the coating is told beside, the verb is the second."""
    for here, item in enumerate(items):
        if item.verb is None or item.kind != "verb" or item.verb.form != "past" or item.verb.verb.base not in _PUT_ON:
            continue
        before = items[here - 1] if here else None
        if before is not None and before.kind == "comma":
            before = items[here - 2] if here > 1 else None
        named = before is not None and before.noun is not None
        later = any(one.kind == "aux" for one in items[here + 1 :])
        if named and later and here + 1 < len(items) and items[here + 1].low == "with":
            item.kind, item.verb = "filler", None


@dataclass(slots=True)
class Chunk:
    """A thing, or one item that is no thing."""

    kind: str
    start: int
    end: int
    low: str
    mention: Mention | None = None
    item: Item | None = None


def _chunks(items: list[Item]) -> list[Chunk]:
    chunks: list[Chunk] = []
    here = 0
    while here < len(items):
        mention = (
            mention_at(items, here) if items[here].kind not in ("rel", "verb", "comma", "conj", "end", "aux") else None
        )
        if mention is not None and mention.none:
            chunks.append(Chunk("without", here, mention.end, mention.words, item=items[here]))
            here = mention.end
            continue
        if mention is not None and mention.end > here:
            chunks.append(Chunk("thing", here, mention.end, mention.words, mention=mention))
            here = mention.end
            continue
        item = items[here]
        if item.kind == "treat" and item.low not in _STATES_OF_THREADS:
            chunks.append(Chunk("thing", here, here + 1, item.low, mention=_stuff(item, here), item=item))
            here += 1
            continue
        chunks.append(Chunk(item.kind, here, here + 1, item.low, item=item))
        here += 1
    return chunks


_STATES_OF_THREADS = frozenset({"dry", "no oil on", "clean and dry", "oiled", "lightly oiled", "oil on the threads"})


def _stuff(item: Item, here: int) -> Mention:
    """ "Medium thread locker" as the thing that is put on."""
    noun = next((book.nouns[low] for low in _tails(item.low) if low in (book := lexicon()).nouns), None)
    head = noun.head if noun is not None else item.low
    strength = [word for word in item.low.split() if word in ("low", "medium", "high", "strong", "weak")]
    return Mention(here, here + 1, item.low, head=head, kinds=("consumable",), mods=tuple(strength[:1]))


def _tails(words: str) -> list[str]:
    """The words, then without the first, ... : "medium strength thread locker", "strength thread locker", ..."""
    parts = words.split()
    return [" ".join(parts[at:]) for at in range(len(parts))]


_WARNS = frozenset({"mind", "watch", "careful", "never", "don't", "do not", "beware"})
_BOUNDS = ("conj", "comma", "seq", "end")


def _spans(items: list[Item], chunks: list[Chunk]) -> list[tuple[int, int, str]]:
    """Item spans of the clauses, with the word that opens each."""
    cuts: dict[int, str] = {}
    verbs = [at for at, chunk in enumerate(chunks) if chunk.kind == "verb"]
    for number, at in enumerate(verbs):
        first = verbs[number - 1] + 1 if number else 0
        cut = _cut_before(chunks, first, at, bool(number))
        if cut is not None:
            cuts[cut[0]] = cut[1]
    for at, chunk in enumerate(chunks):
        if (
            chunk.kind in _BOUNDS
            and at + 1 < len(chunks)
            and at
            and chunk.kind != "end"
            and _terse_next(chunks, at + 1)
        ):
            cuts[chunks[at + 1].start] = chunk.low
        if (
            not verbs
            and chunk.kind == "thing"
            and at >= 2
            and chunks[at - 1].kind == "rel"
            and chunks[at - 1].low in _TERSE
            and chunks[at - 2].kind in ("thing", "rel")
            and not (chunk.mention and chunk.mention.unknown)
            and at + 1 < len(chunks)
            and (chunks[at + 1].kind == "fig" or (chunks[at + 1].kind == "rel" and chunks[at + 1].low in _TERSE))
        ):
            cuts[chunk.start] = ""  # "pads in caliper down bolts in", said without a pause
        if chunk.kind in ("comma", "conj") and at >= 2 and at + 1 < len(chunks) and _terse_before(chunks, at):
            follows = at + 1
            while follows + 1 < len(chunks) and chunks[follows].kind in _BOUNDS:
                follows += 1
            cuts.setdefault(chunks[follows].start, chunk.low)
        if chunk.kind in _BOUNDS and not verbs and _fastener_with_torque(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind == "comma" and _stuff_next(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in _BOUNDS and at + 1 < len(chunks) and _value_next(chunks, at):
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
            and at + 1 < len(chunks)
            and chunks[at + 1].kind == "fig"
            and any(one.kind == "sub" for one in chunks[:at])
        ):
            cuts[chunks[at + 1].start] = chunk.low  # "... if it has one, eight newton metres on those"
        if chunk.kind == "comma" and _side_is_over(chunks, at):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in ("comma", "conj", "seq") and _statement_next(chunks, at + 1):
            cuts[chunks[at + 1].start] = chunk.low
        if chunk.kind in _BOUNDS and at + 1 < len(chunks) and chunks[at + 1].low in _WARNS:
            cuts[chunks[at + 1].start] = chunk.low
    for at, chunk in enumerate(chunks):
        if (
            chunk.kind == "neg"
            and at > 2
            and chunks[at - 1].low == "so"
            and any(one.kind == "aux" for one in chunks[:at])
        ):
            cuts.setdefault(chunk.start, "so")  # "it's 18 kilos so don't drop it"
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
        if at and chunk.kind == "sub" and chunk.low in ("until", "till"):
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
        if chunk.kind in _BOUNDS:
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
        while back - 1 >= first and chunks[back - 1].kind in _BOUNDS:
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
    if any(chunk.kind in _BOUNDS for chunk in between):
        return None
    personal = any(chunk.kind == "subj" for chunk in chunks[back:at])
    told = any(chunk.kind == "aux" and chunk.low.split()[-1] in ("is", "are", "'s", "has", "have") for chunk in between)
    verb = chunks[at].item
    bare = verb is not None and verb.verb is not None and verb.verb.form == "base" and back == at
    named = [chunk for chunk in between if chunk.mention is not None]
    if between and ((personal and told) or (told and bare)):
        return back
    if personal and named and chunks[sub].low in ("before", "after") and not told:
        return back  # "before any of that | you drain the coolant"
    return sub if sub > first else None


def _terse_next(chunks: list[Chunk], at: int) -> bool:
    """Whether [thing][particle] and an end follow: "hoses back on", "jack out"."""
    if chunks[at].kind == "seq" and at + 1 < len(chunks):
        at += 1
    if chunks[at].kind != "thing":
        return False
    step = at + 1
    seen = False
    while step < len(chunks) and chunks[step].kind in ("rel", "filler"):
        seen = seen or chunks[step].low in _TERSE
        step += 1
    return seen and (
        step == len(chunks)
        or chunks[step].kind in (*_BOUNDS, "manner", "sub", "treat", "fig")
        or chunks[step - 1].low in ("with", "to")
    )


def _terse_before(chunks: list[Chunk], at: int) -> bool:
    """Whether [thing][particle] with no verb stands right before: "guard back on, and ..."."""
    back = at - 1
    if chunks[back].kind != "rel" or chunks[back].low not in _TERSE:
        return False
    while back >= 0 and chunks[back].kind in ("rel", "filler"):
        back -= 1
    return back >= 0 and chunks[back].kind == "thing" and (back == 0 or chunks[back - 1].kind in (*_BOUNDS, "filler"))


def _value_next(chunks: list[Chunk], at: int) -> bool:
    """Whether a thing with its own value stands on both sides: "the nuts 40 and the bolts 65"."""
    left = _stretch(chunks, at - 1, -1, _BOUNDS)
    right = _stretch(chunks, at + 1, 1, (*_BOUNDS, "verb"))

    def full(stretch: list[Chunk]) -> bool:
        valued = any(
            chunk.kind == "fig" and chunk.item and chunk.item.figure and not chunk.item.figure.thread
            for chunk in stretch
        )
        return valued and any(chunk.kind == "thing" for chunk in stretch)

    return full(left) and full(right)


def _side_is_over(chunks: list[Chunk], at: int) -> bool:
    """ "Once they are off, the bolts and the plate ...": the side clause ends at the comma."""
    side = chunks[:at]
    opens = next((chunk.kind for chunk in side if chunk.kind not in ("seq", "filler", "conj")), "")
    whole = any(chunk.kind in ("verb", "aux") for chunk in side) and not any(chunk.kind == "comma" for chunk in side)
    follows = chunks[at + 1] if at + 1 < len(chunks) else None
    named = follows is not None and follows.mention is not None and follows.mention.det in ("the", "both", "all")
    return opens == "sub" and whole and named


def _fastener_with_torque(chunks: list[Chunk], at: int) -> bool:
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


def _stuff_next(chunks: list[Chunk], at: int) -> bool:
    """ ", plenty of grease on the pins": said by itself, between two deeds."""
    follows = chunks[at + 1 : at + 4]
    return (
        len(follows) == 3
        and follows[0].mention is not None
        and follows[0].mention.kinds[:1] == ("consumable",)
        and follows[1].low in ("on", "in", "between", "over")
        and follows[2].mention is not None
        and any(chunk.kind == "verb" for chunk in chunks[:at])
    )


def _stretch(chunks: list[Chunk], at: int, way: int, ends: tuple[str, ...]) -> list[Chunk]:
    found: list[Chunk] = []
    while 0 <= at < len(chunks) and chunks[at].kind not in ends:
        found.append(chunks[at])
        at += way
    return found


def _statement_next(chunks: list[Chunk], at: int) -> bool:
    """ ", they're M10", ", that's four screws": a statement of its own."""
    return (
        at + 1 < len(chunks)
        and chunks[at].kind in ("thing", "subj")
        and chunks[at + 1].kind == "aux"
        and (
            chunks[at + 1].low in ("is", "are", "was", "were")
            or chunks[at + 1].low.startswith("there")
            or (
                chunks[at + 1].low == "'s"
                and at + 2 < len(chunks)
                and (chunks[at + 2].kind == "fig" or chunks[at].low in ("each one", "that one", "this one"))
            )
        )
    )


def _clause(tokens: list[Token], items: list[Item], chunks: list[Chunk], before: Sequence[Clause]) -> Clause:
    start = items[chunks[0].start].start if chunks else 0
    end = items[chunks[-1].end - 1].end if chunks else 0
    clause = Clause(spelled(tokens[start:end]).strip(" ,"), chunks[0].start, chunks[-1].end)
    clause.lows = tuple(token.low for token in tokens[start:end])
    at = next((number for number, chunk in enumerate(chunks) if chunk.kind == "verb"), None)
    if at is None:
        _verbless(chunks, clause)
    else:
        _with_verb(chunks, at, clause)
    _counted_on_each(chunks, clause)
    for number, item in enumerate(items[clause.start : clause.end], start=clause.start):
        if (
            item.low in ("each", "every", "either")
            and number
            and items[number - 1].low in ("on", "at", "in", "per", "to")
        ):
            counted = [one for one in clause.mentions if one.count and one.end <= number]
            for one in counted[-1:]:
                one.per = True  # "two blocks on each side"
    for link, one in clause.beside:
        if one.each and link in ("on", "at", "in", "for", "of", "per"):
            for mention in (*clause.objects, *clause.subject):
                mention.per = True
    if "already" in clause.lows and not (clause.verb and clause.by_person and not clause.past):
        clause.meaning = ""  # "blade already off"
    _figures(chunks, clause)
    for chunk in chunks:
        if chunk.kind == "manner" and chunk.item:
            clause.manners.append(chunk.item.value)
        elif chunk.item is not None and chunk.item.kind == "treat":
            clause.treatments.append(chunk.item.value)
    return clause


def _counted_on_each(chunks: list[Chunk], clause: Clause) -> None:
    """ "Four bolts a roller", "two bolts a side", "each one's a flange with four bolts": not the count of all."""
    told = [chunk for chunk in chunks if chunk.kind != "filler"]
    for number, chunk in enumerate(told):
        if chunk.mention is None or not chunk.mention.count:
            continue
        more = told[number + 1 :]
        for one, other in itertools.pairwise(more):
            if one.low == "and" and other.item is not None and other.item.figure is not None:
                whole = other.item.figure.whole
                placed = [part.low for part in more[more.index(other) + 1 : more.index(other) + 2]]
                if whole is not None and placed and placed[0] in ("on", "at", "in", "underneath", "behind"):
                    chunk.mention.per = True  # "four bolts on the left and six on the right"
        after = told[number + 1] if number + 1 < len(told) else None
        if (after is not None and (
            (after.mention is not None and after.mention.det in ("a", "an"))
            or (after.kind == "det" and after.low in ("a", "an", "each", "every", "per"))
            or after.low in ("per", "apiece")
        )) or any(one.low.split()[:1] in (["each"], ["every"]) for one in told[:number]):
            chunk.mention.per = True


def _verbless(chunks: list[Chunk], clause: Clause) -> None:
    link = ""
    particles: list[str] = []
    for number, chunk in enumerate(chunks):
        if chunk.kind == "sub" and not clause.sub and number <= 1:
            clause.sub = chunk.low
        if chunk.kind == "neg" and not clause.negated:
            clause.negated = chunk.low
        if chunk.kind == "aux":
            link = ""
        if chunk.kind == "rel":
            link = chunk.low
            leads_on = number + 1 < len(chunks) and chunks[number + 1].mention is not None
            held = clause.objects and clause.objects[0].kinds[:1] in (("support",), ("cover",), ("mark",))
            if (
                chunk.low in _TERSE
                and (clause.objects or clause.manners)
                and not (leads_on and not held and chunk.low not in ("off", "out", "under"))
            ):
                particles.append(chunk.low)
        elif chunk.mention is not None:
            if link and (clause.objects or link not in _TERSE):
                clause.beside.append((link, chunk.mention))
                if particles and particles[-1] == link and link in ("off", "under", "on", "in", "up", "down"):
                    pass
            else:
                if link in _TERSE and not clause.objects:
                    particles.append(link)
                clause.objects.append(chunk.mention)
            link = ""
        elif chunk.kind in ("conj", "comma", "seq"):
            link = ""
    clause.subject = list(clause.objects)
    first = [chunk for chunk in chunks if chunk.kind not in ("filler", "seq", "conj")][:3]
    if len(first) == 3 and first[0].low in ("off", "out") and first[1].low == "with" and first[2].mention is not None:
        clause.objects = clause.subject = [first[2].mention]  # "off with that"
        clause.beside, particles = [], [first[0].low]
    if not particles and clause.objects and not clause.sub and not any(chunk.kind == "aux" for chunk in chunks):
        _led(clause)
    elif clause.objects and clause.objects[0].kinds[:1] == ("mark",) and "in line" in " ".join(clause.lows):
        clause.particle, clause.meaning, particles = "in", "line-up", []
    if clause.beside and clause.beside[0][0] == "with" and clause.objects and clause.objects[0].pronoun:
        particles = []  # "sixty kilos with the hub in it"
    if particles and clause.objects:
        clause.particle = particles[-1]
        clause.meaning = _TERSE[particles[-1]]
        if any(chunk.kind == "aux" for chunk in chunks) and clause.particle in ("on", "in", "up", "under", "down"):
            clause.meaning = ""  # "the bracket is on the frame" says where it is


def _led(clause: Clause) -> None:
    """ "New copper washer down the bore", "plastic bag over the end of it", "paint mark across wheel and shaft"."""
    first = clause.objects[0]
    kind = first.kinds[:1]
    held = kind in (("support",), ("cover",), ("mark",))
    for link, _ in clause.beside:
        placed = ("on", "in", "of") if held else ("on", "in", "under", "behind", "between") if first.new else ()
        meaning = TERSE_LEADING.get(link, "fit" if link in placed else "")
        if meaning and (held or kind in (("part",), ("connection",))) and (held or len(clause.objects) == 1):
            clause.particle, clause.meaning = link, meaning
            del clause.objects[1:]
            return
    if kind == ("mark",) and "in line" in " ".join(clause.lows):
        clause.particle, clause.meaning = "in", "line-up"
        del clause.objects[1:]
    elif kind == ("mark",) and "across" in clause.lows:
        clause.particle, clause.meaning = "across", "fit"
        del clause.objects[1:]


def _with_verb(chunks: list[Chunk], at: int, clause: Clause) -> None:
    item = chunks[at].item
    assert item is not None
    assert item.verb is not None
    verb = item.verb.verb
    clause.verb, clause.strong = verb.base, verb.strong
    clause.past = item.verb.form == "past"
    subjects: list[Mention] = []
    link = ""
    for number, chunk in enumerate(chunks[:at]):
        if chunk.kind == "sub":
            clause.sub = clause.sub or chunk.low
        elif chunk.kind == "neg":
            clause.negated = clause.negated or chunk.low
        elif chunk.kind == "subj":
            clause.by_person = True
            if subjects and item.verb.form == "past" and chunks[number - 1].kind == "thing":
                clause.sub = clause.sub or "that"
        elif chunk.kind == "aux":
            clause.passive = clause.passive or (
                chunk.low.split()[0] in ("is", "are", "be", "get", "gets", "was", "were", "got", "been", "'s")
                or chunk.low.split()[-1] in ("be", "is", "are", "get")
            )
            link = ""
        elif chunk.kind == "rel" and clause.beside and clause.beside[-1][0] == "with" and _with_out(chunks, number):
            link = ""  # "with both pins out | the ram swings clear"
        elif chunk.kind == "rel":
            link = chunk.low
        elif chunk.kind == "word" and chunks[number + 1].mention is not None:
            link = ""  # "on the bench the strip nuts are removed"
        elif chunk.mention is not None:
            if link:
                clause.beside.append((link, chunk.mention))
            else:
                subjects.append(chunk.mention)
            link = ""
        elif chunk.kind in ("conj", "comma"):
            link = ""
    if at and chunks[at - 1].low == "to" and chunks[at - 1].kind == "rel" and not clause.sub:
        led = at >= 2 and chunks[at - 2].kind == "aux"
        clause.sub = "" if led else "to"
    clause.subject = subjects
    _after_verb(chunks, at, clause, verb.meanings)
    _settle_object(clause, item.verb.form)
    fronted = clause.beside[0] if clause.beside else ("", None)
    if (
        not clause.particle
        and verb.base in ("come", "go")
        and fronted[1] is not None
        and fronted[1].pronoun
        and fronted[0] in verb.meanings
        and chunks[at - 1].mention is fronted[1]
    ):
        clause.particle = fronted[0]  # "out they come"
        del clause.beside[0]
        clause.objects = clause.subject = [fronted[1]]
    if (
        not clause.objects
        and at >= 2
        and chunks[at - 1].low in ("she", "he")
        and chunks[at - 2].low in verb.meanings
        and verb.base in ("come", "go")
    ):
        clause.particle, clause.by_person = chunks[at - 2].low, False  # "out she comes"
        clause.objects = clause.subject = [Mention(clause.start, clause.start, "it", pronoun=True)]
    if (
        not clause.particle
        and at
        and chunks[at - 1].kind == "rel"
        and verb.base in ("come", "go")
        and chunks[at - 1].low in verb.meanings
    ):
        clause.particle = chunks[at - 1].low  # "off comes the impeller"
        clause.beside = [(link, mention) for link, mention in clause.beside if link != clause.particle]
    particle = clause.particle
    clause.meaning = verb.meanings.get(particle, verb.meanings.get("", "none"))
    if clause.meaning == "none":
        clause.meaning = ""
    clause.third = item.verb.form == "s"
    if item.verb.form == "ing" and any(chunk.low in ("will", "would", "might", "could") for chunk in chunks[:at]):
        clause.meaning = ""  # "you will be taking them off again next spring"
    if verb.base == "feel" and (not clause.objects or clause.objects[0].pronoun or clause.negated):
        clause.meaning = ""
    if verb.base in ("come", "go") and "next" in clause.lows and not clause.particle and clause.objects:
        clause.meaning = "next"
    warned = verb.base in ("drop", "fall", "swing", "spring", "shoot", "jump", "run") and not clause.by_person
    if warned and all(one.pronoun for one in subjects) and any(chunk.low in ("will", "would") for chunk in chunks[:at]):
        clause.meaning = ""  # "it will drop like a stone"
    if verb.base in ("get", "have") and any(chunk.low in ("have", "has", "had") for chunk in chunks[:at]):
        clause.meaning = ""  # "they have got locking compound on them" says how it is
    if (
        item.verb.form == "ing"
        and clause.passive
        and clause.subject
        and not clause.by_person
        and verb.base not in ("go", "come")
    ):
        clause.going_on, clause.meaning = True, ""
    if clause.meaning in ("", "move", "apply", "tighten") and _covers_over(clause):
        clause.meaning = "cover"  # "stuck tape over the ends"
    if clause.meaning in ("", "move", "fit") and _holds_up(clause):
        clause.meaning = "support"  # "slid two sleepers under the frame"
    if (
        verb.base in ("hang", "sit", "mount", "rest", "ride", "fit")
        and clause.third
        and not clause.by_person
        and any(link in ("on", "by", "with") and one.kinds[:1] == ("fastener",) for link, one in clause.beside)
    ):
        clause.meaning, clause.passive = "holds", True  # "the motor hangs on four bolts"
    if (
        clause.passive
        and clause.past
        and verb.base in ("bolt", "screw", "fix", "fasten", "attach", "mount", "clamp")
        and any(
            link in ("on", "by", "with") and one.kinds[:1] == ("fastener",) and one.count and not one.new
            for link, one in clause.beside
        )
    ):
        clause.meaning = "holds"  # "the sprocket's bolted on with sixteen bolts"
    if verb.base in _SECURES and clause.meaning in ("", "holds", "move", "tighten", "fit"):
        _secured(clause)
    told = subjects and all(one.pronoun and one.words == "they" for one in subjects) and verb.base not in _INTRANSITIVE
    if told and not clause.passive and clause.objects[:1] and clause.objects[0].pronoun and clause.meaning != "holds":
        clause.meaning = ""  # "they clamp it up" tells what they are for
    weight = [number for number, chunk in enumerate(chunks[at + 1 :]) if chunk.low == "weight"]
    taken = clause.passive and any(chunk.low == "weight" for chunk in chunks[:at])
    if verb.base in ("take", "hold", "carry") and (taken or (weight and weight[0] <= 2)) and not clause.particle:
        clause.meaning = "support"  # "take the weight with the hoist"
        whole = [one for link, one in clause.beside if link == "of"]
        clause.objects = whole[:1] or [Mention(clause.start, clause.start, "it", pronoun=True)]


def _with_out(chunks: list[Chunk], number: int) -> bool:
    follows = chunks[number + 1].mention
    return (
        chunks[number].low in ("out", "off", "away", "up", "down")
        and chunks[number - 1].mention is not None
        and follows is not None
        and follows.det != ""
    )


_SECURES = frozenset({"secure", "protect", "close", "seal", "hold", "stop", "keep", "carry", "brace", "lock", "retain"})


def _holds_up(clause: Clause) -> bool:
    carriers = bool(clause.objects) and all(one.kinds[:1] == ("support",) for one in clause.objects)
    under = any(link in ("under", "underneath", "beneath", "below", "round", "around") for link, _ in clause.beside)
    return carriers and under and clause.particle not in ("out", "off", "away", "down") and not clause.negated


def _secured(clause: Clause) -> None:
    """ "Secure it with two chocks", "protect the end with a cap", "lock it with a new split pin"."""
    for link, mention in clause.beside:
        kind = mention.kinds[:1]
        if link != "with" or clause.negated:
            continue
        if clause.verb in ("close", "seal", "protect", "stop") and "cover" in mention.kinds:
            mention.kinds = kind = ("cover",)
        if kind in (("support",), ("cover",)):
            clause.meaning = kind[0]
        elif kind == ("part",) and mention.new and not clause.passive:
            clause.meaning, clause.objects = "fit", [mention]


def _covers_over(clause: Clause) -> bool:
    kept_out = bool(clause.objects) and all("cover" in one.kinds and one.head != "cover" for one in clause.objects)
    over = any(link in ("over", "round", "around", "across", "into", "onto") for link, _ in clause.beside)
    return kept_out and over and clause.particle not in ("off", "out", "away") and not clause.negated


def _after_verb(chunks: list[Chunk], at: int, clause: Clause, meanings: dict[str, str]) -> None:
    link = ""
    run: list[str] = []
    closed = False
    for number in range(at + 1, len(chunks)):
        chunk = chunks[number]
        if chunk.kind == "rel":
            if False:
                continue
            link = chunk.low
            means = chunk.low in meanings
            if chunk.low == "to" and not (number + 1 < len(chunks) and chunks[number + 1].kind == "fig"):
                means = False
            adjacent = (
                not clause.particle or (chunks[number - 1].kind == "rel") or meanings.get(clause.particle) == "none"
            )
            if clause.particle and meanings.get(chunk.low) == "none":
                adjacent = False
            if means and not closed and adjacent:
                clause.particle = chunk.low
            elif chunk.low in ("out of", "off of") and not closed and chunk.low.split()[0] in meanings:
                clause.particle = chunk.low.split()[0]
            run.append(chunk.low)
        elif chunk.mention is not None:
            directly = number == at + 1 or all(
                part.kind in ("rel", "filler", "manner", "det", "word") for part in chunks[at + 1 : number]
            )
            if (
                not link
                or (
                    directly
                    and not clause.subject
                    and link in meanings
                    and not clause.objects
                    and link not in ("for", "at", "with", "to", "onto", "into", "under", "like")
                )
                or (link in ("at", "round", "around", "over") and clause.verb == "look" and not clause.objects)
                or (link == "for" and "for" in meanings and directly)
            ) or (clause.objects and not link):
                clause.objects.append(chunk.mention)
            else:
                clause.beside.append((link, chunk.mention))
                closed = closed or link in meanings or bool(clause.particle)
            link, run = "", []
        elif chunk.kind in ("conj", "comma"):
            clause.apart = clause.apart or (chunk.kind == "comma" and not clause.objects)
            follows = chunks[number + 2].low if number + 2 < len(chunks) else ""
            joined = (
                chunk.kind == "conj" and clause.beside and number and chunks[number - 1].mention is clause.beside[-1][1]
            )
            link = clause.beside[-1][0] if joined and follows not in _TERSE else ""
            run = []
            if clause.particle and clause.objects:
                closed = True
        elif chunk.kind == "neg" and number == at + 1:
            clause.negated = clause.negated or chunk.low
        elif chunk.kind in ("aux", "sub"):
            clause.tail = chunk.low if chunk.kind == "sub" else ""
            break
        elif chunk.kind == "seq":
            clause.apart, link = clause.apart or not clause.objects, ""
        elif chunk.kind != "filler":
            link = link if chunk.kind in ("word", "det") else ""


_INTRANSITIVE = frozenset(
    {
        "come",
        "go",
        "fall",
        "sit",
        "drop",
        "slide",
        "slip",
        "lift",
        "swing",
        "pop",
        "fit",
        "pull",
        "run",
        "screw",
        "thread",
        "push",
        "spin",
        "press",
        "bolt",
        "clip",
        "plug",
        "seat",
        "wind",
        "hang",
        "back",
        "hook",
        "peel",
        "unscrew",
    }
)
"""Verbs of which the thing itself is the subject: "the shaft drops down", "the bolts go in"."""


def _settle_object(clause: Clause, form: str) -> None:
    """Passive and descriptive: what stands before the verb is what it is done to."""
    if not clause.subject or clause.by_person:
        return
    if clause.passive and form in ("past", "base"):
        if clause.objects and clause.verb not in ("torque", "tighten"):
            clause.beside.extend(("", mention) for mention in clause.objects)
        clause.objects = list(clause.subject)
    elif clause.verb in _INTRANSITIVE and (not clause.objects or clause.apart):
        clause.objects = [*clause.subject, *clause.objects]
    elif (not clause.objects and form == "past") or (
        not clause.objects and form == "base" and clause.verb not in ("have", "get", "need", "want")
    ):
        clause.objects = list(clause.subject)


def _figures(chunks: list[Chunk], clause: Clause) -> None:
    for number, chunk in enumerate(chunks):
        if chunk.kind != "fig" or chunk.item is None or chunk.item.figure is None:
            continue
        before = _near(chunks, number, -1)
        if number >= 2 and chunks[number - 1].low == before and chunks[number - 2].kind == "fig":
            before = "" if before in ("goes", "steps", "stages", "rounds", "passes", "times") else before
        free = Free(chunk.item.figure, before=before, beside=_near(chunks, number, 1), at=chunk.start)
        following = chunks[number + 1 : number + 4]
        if (
            following
            and following[0].kind == "rel"
            and following[0].low in ("for", "on")
            and len(following) > 1
            and following[1].mention is not None
        ):
            free.link = following[1].mention
        if (
            len(following) > 1
            and following[0].kind == "aux"
            and following[0].low in ("is", "are", "goes")
            and following[1].mention is not None
        ):
            free.link = following[1].mention  # "forty-five is the hose nuts"
        clause.figures.append(free)


def _near(chunks: list[Chunk], number: int, way: int) -> str:
    """The nearest telling word before or after; a comparison ("no more than") wins by its kind."""
    at = number + way
    steps = 0
    while 0 <= at < len(chunks) and steps < 4:
        chunk = chunks[at]
        if chunk.kind in ("most", "least"):
            return chunk.kind
        if chunk.kind in ("filler", "det") or chunk.low in ("about", "around", "roughly", "approximately", "be", "is"):
            at += way
            steps += 1
            continue
        return chunk.low if chunk.kind not in ("end", "comma") else ""
    return ""


_REASONS = frozenset(
    {"because", "since", "cause", "in case", "so it", "so they", "so he", "otherwise", "or else", "so that", "why"}
)


def _carry_on(clauses: list[Clause]) -> None:
    """ "Fill plug out first, then the drain plug": the second is out too."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        main = next((one for one in reversed(clauses[:number]) if not one.sub), None)
        bare = clause.objects and not (clause.verb or clause.meaning or clause.sub or clause.negated)
        if (
            bare
            and main is not None
            and (
                "then" in clause.opens
                or (clause.opens == "," and main.meaning == "fit" and main is clauses[number - 1])
            )
            and not main.verb
            and main.meaning in ("open", "fit")
            and clause.objects[0].kinds[:1] in (("fastener",), ("part",), ("connection",))
            and not any(free.figure.dimension == "torque" for free in clause.figures)
            and ("then" in clause.opens or not (clause.figures or clause.beside))
            and "is" not in clause.lows
        ):
            clause.meaning, clause.particle = main.meaning, main.particle


def _spread_remarks(clauses: list[Clause]) -> None:
    """ "… because it is heavy and it will come down on you": what follows "because" is no action either."""
    for before, clause in itertools.pairwise(clauses):
        reason = before.tail if before.tail in _REASONS else before.sub if before.sub in _REASONS else ""
        told = clause.subject and not clause.passive and not clause.by_person and clause.opens in ("and", "or", "")
        if reason and told and not clause.sub:
            clause.sub = reason


def _fronted(clauses: list[Clause]) -> None:
    """ "The wheel nuts I did up": no side clause, the object stands first. "The bolts you took out go back" is one."""
    for number, clause in enumerate(clauses):
        goes_on = number + 1 < len(clauses) and clauses[number + 1].opens == ""
        if clause.sub == "that" and clause.by_person and clause.subject and not goes_on and "that" not in clause.lows:
            clause.sub = ""
            clause.objects = clause.objects or list(clause.subject)
        elif clause.sub == "that" and clause.by_person and clause.subject and goes_on:
            main = clauses[number + 1]
            if not main.objects and not main.subject and main.meaning:
                main.objects, main.subject = list(clause.subject), list(clause.subject)


def _share_objects(clauses: list[Clause]) -> None:
    """ "Loosen and remove the bolts": the first verb works on what follows the second."""
    for number in range(len(clauses) - 2, -1, -1):
        clause, following = clauses[number], clauses[number + 1]
        if (
            clause.verb
            and not clause.objects
            and following.objects
            and following.verb
            and following.opens in ("and", "or", ", and")
            and clause.meaning
            and following.meaning
            and not following.by_person
            and not clause.beside
            and not following.subject
            and not clause.sub
        ):
            clause.objects = list(following.objects)


def _let_go(clauses: list[Clause]) -> None:
    """ "Let the hoist go"."""
    for before, clause in itertools.pairwise(clauses):
        if before.verb == "let" and clause.verb == "go" and not clause.particle and (before.objects or clause.subject):
            before.objects = before.objects or list(clause.subject)
            clause.objects, clause.subject = [], []
            before.meaning, clause.meaning, clause.verb = "release", "", ""


def _got_done(clauses: list[Clause]) -> None:
    """ "Get the sensor unplugged", "let the oil drain": what is got is what the second verb works on."""
    for before, clause in itertools.pairwise(clauses):
        if before.verb == "let" and before.objects and clause.verb and clause.opens == "" and not before.particle:
            clause.objects, before.objects, before.meaning = list(before.objects), [], ""
            continue
        if (
            before.verb in ("get", "have", "want")
            and not clause.sub
            and before.objects
            and clause.past
            and not clause.objects
            and not clause.subject
            and clause.opens == ""
        ):
            clause.objects, clause.by_person = list(before.objects), True
            before.objects = []


def _resume_subject(clauses: list[Clause]) -> None:
    """ "The earth bolt, an M6, comes out": what stands before the insertion is what comes out."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        if (
            not (clause.third or clause.passive)
            or clause.objects
            or clause.subject
            or not clause.meaning
            or clause.opens != ","
            or clause.by_person
        ):
            continue
        for before in reversed(clauses[:number]):
            if before.verb or before.meaning:
                break
            if before.objects:
                clause.objects = [before.objects[0]]
                clause.subject = list(clause.objects)
                break


def _same_again(clauses: list[Clause]) -> None:
    """ "Loosen six screws in turn, then remove", "piston nut, 60 mm across flats, remove": the same once more."""
    for number in range(1, len(clauses)):
        clause = clauses[number]
        alone = clause.strong and not (
            clause.objects or clause.subject or clause.beside or clause.figures or clause.sub
        )
        if not alone or clause.by_person or clause.passive or clause.negated or not clause.meaning:
            continue
        for before in reversed(clauses[max(0, number - 2) : number]):
            if before.sub or before.negated:
                break
            if before.objects:
                clause.objects = [one for one in before.objects if one.kinds[:1] != ("tool",)]
                break


def _go_on(clauses: list[Clause]) -> None:
    """ "The bolts are put in and screwed down by hand": the second verb works on the same."""
    for before, clause in itertools.pairwise(clauses):
        ones = all(mention.ones for mention in clause.objects)
        if (
            before.passive
            and before.objects
            and clause.past
            and not clause.subject
            and ones
            and clause.meaning
            and not clause.by_person
            and "and" in clause.opens
            and before.subject
        ):
            clause.objects = [*before.objects, *clause.objects]
            clause.passive = True


def _join_subjects(clauses: list[Clause]) -> None:
    """ "The pump and the bracket come off": things before the "and" belong to the verb behind it."""
    for number in range(1, len(clauses)):
        clause, before = clauses[number], clauses[number - 1]
        only_things = (
            before.objects and not before.verb and not before.meaning and not before.figures and not before.sub
        )
        if (
            only_things
            and before.objects[0].kinds[:1] != ("consumable",)
            and _ends_in_name(before)
            and clause.opens in ("and", ",", ", and")
            and clause.subject
            and clause.objects
            and clause.objects[0] is clause.subject[0]
            and not before.treatments
            and "is" not in before.lows
            and "are" not in before.lows
        ):
            clause.objects = [*before.objects, *clause.objects]
            clause.subject = [*before.objects, *clause.subject]
            before.objects, before.subject = [], []


def _ends_in_name(clause: Clause) -> bool:
    """ "The pump and …", not "engine cold, …"."""
    last = next((low for low in reversed(clause.lows) if low[0].isalnum() and low not in ("and", "then")), "")
    return any(last in mention.words.split() for mention in clause.mentions)


def kinds_for(meaning: str) -> tuple[str, ...]:
    """The kinds of thing that a meaning acts on."""
    return tuple(lexicon().meanings.get(meaning, {}))
