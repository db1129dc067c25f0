"""Slips put right: "the four lower bolts, no, sorry, the four upper ones" says only the last."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType

from assistant.fastening.units import DIMENSIONS

from .clause import Clause
from .clauses import Parsed, parsed_tokens
from .lexicon import Noun, lexicon
from .mending import mend
from .misheard import misheard_as
from .owners import ROUND_TOLD
from .piece import Piece
from .plain_words import plain_tokens
from .slips import NUMBERS, THINKS, cue_at, cues
from .units_said import unit_at
from .variants import condition_in
from .words import Sentence, Token

_NOTHING: Mapping[str, Noun] = MappingProxyType({})
LOOKBACK = 8
"""Sentences that a correction may reach back."""


def amended(heard: Iterable[Sentence], own: Mapping[str, Noun] = _NOTHING) -> Iterator[list[Piece]]:
    """The clauses of one sentence after another, slips put right. Lazy: no further ahead than a correction reaches."""
    window: list[Piece] = []
    waiting: deque[list[Piece]] = deque()
    for sentence in heard:
        waiting.append(_pieces(window, sentence, own))
        del window[:-40]
        if len(waiting) > LOOKBACK:
            yield from filter(None, [waiting.popleft()])
    yield from filter(None, waiting)


def _pieces(window: list[Piece], sentence: Sentence, own: Mapping[str, Noun]) -> list[Piece]:
    if (unit := _only_a_unit(list(sentence.tokens))) and _other_unit(window, unit):
        return []
    if _looks_it_up(sentence):
        if any(token.low == "count" for token in sentence.tokens):
            window.append(Piece(Clause(sentence.words), sentence, only_cue="let me count", first=True))
        return []  # "Hang on, let me look at the card.": what comes next still puts the sentence before right
    if not _tells(sentence, own):
        aside = Piece(Clause(sentence.words), sentence, asked=_asks(sentence), first=True)
        window.append(aside)
        return [aside]
    tokens = plain_tokens(sentence.tokens)
    while tokens and not tokens[0].is_word:
        tokens = tokens[1:]
    if len(tokens) > 1 and tokens[0].low == "not" and len(tokens) < 8 and _opens_number(tokens[1]):
        for piece in reversed(window[-3:]):
            if piece.clause.figures:  # "nought point one to nought point five. Not five, four."
                piece.open_numbers = tuple(free.figure.said for free in piece.clause.figures)
                piece.clause.figures = []
                break
    start, at, mending = 0, 0, ""
    found: list[Piece] = []
    if window and window[-1].only_cue and not (len(window) > 1 and window[-2].asked):
        mending = window[-1].only_cue
    while at < len(tokens):
        end = cue_at(tokens, at)
        if end == at:
            at += 1
            continue
        behind = start == 0 and not any(token.is_word for token in tokens[end:]) and at <= _SHORT
        told = [token.low for token in tokens[:at] if token.is_word]
        again = [token.low for token in tokens[end:] if token.is_word]
        if start == 0 and window and again and len(told) <= _SHORT and again == told[: len(again)]:
            mending = " ".join(token.low for token in tokens[at:end])  # "With three bolts. Two bolts, sorry, two."
            found.extend(_take(window, sentence, tokens[:at], mending, own))
            return found
        if behind and window and _names_again(tokens[at:end]):
            mending = " ".join(token.low for token in tokens[at:end])  # "Shaft nut, I mean."
            found.extend(_take(window, sentence, tokens[start:at], mending, own))
            return found
        if at > start:
            found.extend(_take(window, sentence, tokens[start:at], mending, own))
        mending = " ".join(token.low for token in tokens[at:end])
        start = at = end
    if any(token.is_word for token in tokens[start:]):
        found.extend(_take(window, sentence, tokens[start:], mending, own))
        if window and window[-1].only_cue:
            window.append(Piece(Clause(sentence.words), sentence))  # what it announced has been said
    elif mending and not found and start:
        found = [
            Piece(Clause(sentence.words), sentence, only_cue=mending, first=True)
        ]  # "Wait." The next sentence says it
        window.extend(found)
    return found


_SHORT = 8


def _opens_number(token: Token) -> bool:
    return token.text[0].isdigit() or (token.low in NUMBERS and token.low != "a")


def _leave_open(old: Piece, new: Piece) -> None:
    """ "Eight, eighty, sorry, eighty newton metres": two numbers of a kind and no telling which is meant."""
    both = _numbers(old) & _numbers(new)
    if not both:
        return
    bare = old.clause.figures and not any(one.count or one.sizes for one in old.clause.mentions)
    if both == {"count"} and bare and any(one.count and one.head for one in new.clause.mentions):
        old.clause.figures = []  # "get three, no, two stands under the frame"
        return
    for piece in (old, new):
        clause = piece.clause
        said = [free.figure.said for free in clause.figures]
        for mention in clause.mentions:
            said.extend([str(mention.count)] if mention.count else [])
            said.extend(size.said for size in mention.sizes)
            mention.count, mention.sizes = None, ()
        clause.figures = []
        piece.open_numbers = tuple(said)


def _numbers(piece: Piece) -> set[str]:
    """What kinds of number a clause holds."""
    kinds = {"thread" if free.figure.thread else free.figure.dimension for free in piece.clause.figures}
    for mention in piece.clause.mentions:
        kinds |= {"thread" if size.thread else size.dimension for size in mention.sizes}
        kinds |= {"count"} if mention.count and mention.det not in ("both", "both of") else set()
    return {kind or "count" for kind in kinds}


def _names_again(cue: list[Token]) -> bool:
    return " ".join(token.low for token in cue if token.is_word) in _SAID_BEHIND


_SAID_BEHIND = frozenset(
    {"sorry", "i mean", "i meant", "sorry i mean", "rather", "i should say", "i should have said",
     "i had it back to front", "i have got it back to front", "i had that back to front", "i had them back to front",
     "wrong way round", "i have turned it round", "i have turned them round", "other way round"}
)  # fmt: skip
"""What is said behind the right word: "Shaft nut, I mean."."""


_TAGS = frozenset(
    {"all right", "alright", "okay", "ok", "right", "yeah", "yes", "see", "you see", "eh", "aye", "got it", "got that",
     "understood", "understand", "you with me", "with me", "isn't it", "aren't they", "don't you", "won't it",
     "hear me"}
)  # fmt: skip
"""What asks for a nod and for nothing else: "ninety kilos, all right?"."""


def _looks_it_up(sentence: Sentence) -> bool:
    words = [token.low for token in sentence.tokens if token.is_word]
    while words and words[0] in ("uh", "er", "erm", "um", "oh", "ah", "well"):
        words.pop(0)
    alone = words[:2] == ["let", "me"] and words[2:3] and words[2] in THINKS
    return bool(alone) and not any(word[0].isdigit() or word in NUMBERS - {"a"} for word in words)


def _only_a_unit(tokens: list[Token]) -> str:
    """The unit, where the sentence is nothing else: "Inch pounds."."""
    words = [token for token in tokens if token.is_word]
    unit, end = unit_at(words, 0) if words else ("", 0)
    return unit if unit and end == len(words) else ""


def _other_unit(window: list[Piece], unit: str) -> bool:
    """ "The clamp gets ninety foot pounds. Inch pounds.": puts the unit right where it is one of the same kind."""
    for piece in reversed(window[-2:]):
        for free in piece.clause.figures:
            if free.figure.unit and DIMENSIONS[unit] == free.figure.dimension and free.figure.unit != unit:
                said = f"{free.figure.said}, {unit}"
                free.figure = replace(free.figure, unit=unit, said=said)
                piece.mended = piece.mended or piece.clause.words
                return True
    return False


def _in_place_of(pieces: list[Piece], fresh: list[Piece]) -> None:
    """ "No more than 0.2 millimetres. No, that's the old one. 0.15 on this one": no more than, and millimetres."""
    back = next((piece for piece in reversed(pieces[-5:]) if piece.taken_back), None)
    figures = fresh[0].clause.figures if fresh else []
    if back is None or len(figures) != 1 or len(back.taken_back) != 1 or figures[0].figure.thread:
        return
    free, was = figures[0], back.taken_back[0]
    both = free.figure.unit and was.figure.unit
    if was.figure.thread or (both and free.figure.dimension != was.figure.dimension):
        return
    back.taken_back = ()
    told_round = ROUND_TOLD.search(" ".join(back.clause.lows))
    if told_round and not ROUND_TOLD.search(" ".join(fresh[0].clause.lows)):
        fresh[0].clause.lows = (*told_round[0].split(), ",", *fresh[0].clause.lows)
    compared = {free.before, free.beside} & {"most", "least"}
    if not compared and was.before in ("most", "least"):
        free.before = was.before
    elif not compared and was.beside in ("most", "least"):
        free.beside = was.beside
    if not free.figure.unit and was.figure.unit:
        free.figure = replace(free.figure, unit=was.figure.unit)


def _asks(sentence: Sentence) -> bool:
    if sentence.tokens[-1].text != "?":
        return False
    tail: list[str] = []
    for token in reversed(sentence.tokens[:-1]):
        if not token.is_word:
            return " ".join(reversed(tail)) not in _TAGS
        tail.append(token.low)
    return True


def _tells(sentence: Sentence, own: Mapping[str, Noun]) -> bool:
    """Whether there is a word of the trade in it, a number, or a slip put right; small talk is not read further."""
    return any(
        any(letter.isdigit() for letter in token.text)
        or token.low in _telling()
        or token.low in own
        or misheard_as(token.low)
        for token in sentence.tokens
    )


@lru_cache(maxsize=1)
def _telling() -> frozenset[str]:
    book = lexicon()
    words = (
        {part for noun in book.nouns for part in noun.split()}
        | set(book.verbs)
        | set(NUMBERS)
        | {cue[0] for cue in cues()}
    )
    for group in ("treatments", "manner"):
        words |= {part for phrases in book.words[group].values() for phrase in phrases for part in phrase.split()}
    cautions = {part for cue in book.words["cautions"] for part in cue.split()[:1]}
    back = {part for cue in book.words["going_back"] for part in cue.split()}
    small = book.set_of("english") | book.set_of("determiners") | book.set_of("prepositions") | {"no", "by"}
    return frozenset(words | cautions | back - small | {"no", "off", "out", "in"}) - (
        small - {"no", "off", "out", "in", "up", "back", "across"}
    )


def _take(
    pieces: list[Piece], sentence: Sentence, tokens: list[Token], mending: str, own: Mapping[str, Noun]
) -> list[Piece]:
    if not any(token.is_word for token in tokens):
        return []
    condition, rest = condition_in(tokens)
    found = parsed_tokens(sentence, rest, own) if rest else Parsed(sentence, rest, [], [])
    asked = _asks(sentence)
    fresh = [
        Piece(clause, sentence, condition, asked=asked, first=number == 0)
        for number, clause in enumerate(found.clauses)
    ]
    _in_place_of(pieces, fresh)
    if not fresh and condition:
        fresh = [Piece(Clause(" ".join(condition)), sentence, condition, asked=asked)]
    if mending and fresh and not asked:
        before = [piece for piece in pieces if piece.sentence is sentence][-1:] or pieces[-1:]
        mended = [piece.mended for piece in before]
        first = fresh[0]
        fresh = mend(pieces, fresh)
        settled = (
            not fresh or fresh[0] is not first or bool(first.mended) or [piece.mended for piece in before] != mended
        )
        if not settled and before and not before[0].only_cue:
            _leave_open(before[0], first)
    pieces.extend(fresh)
    return fresh
