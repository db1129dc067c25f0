"""A sentence split into single actions and statements: "take out the bolts and pull the shaft" is two."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .chunks import Chunk, chunked, excepted, told_beside
from .clause import Clause, Free
from .cutting import spans_of
from .lending import (
    carries,
    carry_on,
    fronted,
    go_on,
    got_done,
    half_compared,
    join_subjects,
    let_go,
    resume_subject,
    same_again,
    same_subject,
    share_objects,
    spread_not,
    spread_remarks,
    then_rejected,
    then_those,
)
from .lexicon import Noun, lexicon
from .mention import OF_SIZE
from .plain_words import plain_tokens
from .roles import settled
from .tagging import Item, tagged
from .with_verb import read_with_verb
from .without_verb import read_without_verb
from .words import Sentence, Token, spelled


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


def parsed_tokens(sentence: Sentence, tokens: list[Token], own: Mapping[str, Noun] | None = None) -> Parsed:
    """`own`: things that only this narration names."""
    items = settled(tagged(tokens, own or {}))
    told_beside(items)
    chunks = chunked(items)
    excepted(chunks)
    spans = spans_of(items, chunks)
    clauses: list[Clause] = []
    for start, end, opens in spans:
        clause = _clause(tokens, items, [chunk for chunk in chunks if start <= chunk.start < end], clauses)
        clause.opens = opens
        clauses.append(clause)
    for clause in clauses:
        _of_the_tool(clause)
    carry_on(clauses)
    spread_remarks(clauses)
    then_rejected(clauses)
    if len(clauses) == 1:
        half_compared(clauses[0])
    fronted(clauses)
    share_objects(clauses)
    let_go(clauses)
    got_done(clauses)
    resume_subject(clauses)
    carries(clauses)
    spread_not(clauses)
    then_those(clauses)
    same_again(clauses)
    go_on(clauses)
    same_subject(clauses)
    join_subjects(clauses)
    return Parsed(sentence, tokens, items, clauses)


def _clause(tokens: list[Token], items: list[Item], chunks: list[Chunk], before: Sequence[Clause]) -> Clause:
    start = items[chunks[0].start].start if chunks else 0
    end = items[chunks[-1].end - 1].end if chunks else 0
    clause = Clause(spelled(tokens[start:end]).strip(" ,"), chunks[0].start, chunks[-1].end)
    clause.lows = tuple(token.low for token in tokens[start:end])
    at = next((number for number, chunk in enumerate(chunks) if chunk.kind == "verb"), None)
    if at is None:
        read_without_verb(chunks, clause)
    else:
        read_with_verb(chunks, at, clause)
    _counted_on_each(chunks, clause)
    for number, item in enumerate(items[clause.start : clause.end], start=clause.start):
        if (
            item.low in ("each", "every", "either")
            and number
            and items[number - 1].low in ("on", "at", "in", "per", "to")
        ):
            counted = [
                one
                for one in clause.mentions
                if one.count
                and one.end <= number
                and not any(
                    two.figure is not None and two.figure.whole is not None and not two.figure.thread
                    for two in items[one.end : number]
                )
            ]  # "twelve nuts, six at each end"
            alone = number > 1 and items[number - 2].low == "one"  # "four chocks, one at every wheel"
            for one in counted[-1:] if not alone else ():
                one.per = True  # "two blocks on each side"
    if not clause.verb and {"is", "are", "'s"} & set(clause.lows):
        ahead = [one for one in clause.mentions if one.head or one.pronoun]
        for one in [one for one in clause.mentions if one.ones and not one.head and not one.count]:
            behind = any(other.start < one.start for other in ahead if other is not one) and one.places <= OF_SIZE
            if behind or clause.sub == "which":
                clause.objects = [other for other in clause.objects if other is not one]
                clause.subject = [other for other in clause.subject if other is not one]  # "which is the thin one"
    told = clause.objects[:1] and clause.objects[0].pronoun and not clause.verb and {"is", "are"} & set(clause.lows)
    if told:  # "these are the metric ones"
        clause.subject = [one for one in clause.subject if not (one.ones and not one.head and one.places <= OF_SIZE)]
        clause.objects = [one for one in clause.objects if not (one.ones and not one.head and one.places <= OF_SIZE)]
    for one, other in zip(list(clause.objects), clause.objects[1:], strict=False):
        in_all = other.count if other.det.startswith("all") else None
        if in_all and not other.head and one.plural and one.count is None and one.head:
            one.count, one.noun_plural = in_all, True  # "new tab washers, all four"
            clause.objects.remove(other)
            break
    for one, other in zip(list(clause.objects), clause.objects[1:], strict=False):
        hums = [item.low for item in items[one.end : other.start]]
        both = one.kinds[:1] == ("fastener",) == other.kinds[:1] and one.head != other.head
        if (
            both
            and {"uh", "um", "er", "erm"} & set(hums)
            and not (other.det or other.count or other.mods or other.places)
        ):
            one.head, one.spoken = other.head, other.spoken  # "the four nuts, uh, bolts"
            clause.objects.remove(other)
            break
    one_apiece = bool(_ONE_APIECE.search(" ".join(clause.lows)))
    if one_apiece:
        for mention in clause.mentions:
            mention.per = False
    for link, one in clause.beside:
        if one.each and link in ("on", "at", "in", "for", "of", "per") and not one_apiece:
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
    locker = any(one.head == "thread locker" for one in clause.mentions)
    if locker and not any(one.startswith("locker") for one in clause.treatments):
        strength = next((_STRENGTHS[low] for low in clause.lows if low in _STRENGTHS), "")
        clause.treatments.extend([f"locker-{strength}"] if strength else [])  # "thread lock, medium strength"
    return clause


_ONE_APIECE = re.compile(
    r", one (?:(?:on|at|in|to|for|under) )?(?:each|every|either|a|per) \w+|, one (?:\w+ ){1,3}and one\b"
)
""" "Four chocks, one at every wheel", "two wedges, one in front and one behind": the number told is that of all."""
_STRENGTHS = {"low": "low", "weak": "low", "medium": "medium", "high": "high", "strong": "high"}


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
        if (
            after is not None
            and (
                (after.mention is not None and after.mention.det in ("a", "an"))
                or (after.kind == "det" and after.low in ("a", "an", "each", "every", "per"))
                or after.low in ("per", "apiece", "each")
            )
        ) or any(one.low.split()[:1] in (["each"], ["every"]) for one in told[:number]):
            chunk.mention.per = True


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
    if way > 0 and at + 1 < len(chunks) and chunks[at].kind == "comma" and chunks[at + 1].kind in ("most", "least"):
        last = at + 2 == len(chunks) or chunks[at + 2].kind in ("end", "comma", "conj", "sub")
        if last:
            return chunks[at + 1].kind  # "one and a half mil, no more"
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


def _of_the_tool(clause: Clause) -> None:
    """ "Forty-one spanner, a thin one": one of the spanners; "nineteen socket and the longest bar": a tool as well."""
    text = " ".join(clause.lows)
    clause.objects = [one for one in clause.objects if f"facing {one.words}" not in text or one.pronoun]
    if clause.treatments:
        clause.objects = [one for one in clause.objects if not (one.unknown and one.head == "strength")]
    tools = [one for one in clause.objects if one.kinds[:1] == ("tool",) and one.sizes]
    if not tools:
        return
    clause.objects = [
        one
        for one in clause.objects
        if not (one.ones and not one.head and one.det in ("a", "an") and one.start > tools[0].start)
    ]
    for one in clause.objects:
        if one.head in ("bar", "extension", "lever") and one.start > tools[0].start:
            one.kinds = ("tool",)


def kinds_for(meaning: str) -> tuple[str, ...]:
    """The kinds of thing that a meaning acts on."""
    return tuple(lexicon().meanings.get(meaning, {}))
