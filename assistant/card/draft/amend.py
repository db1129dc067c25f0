"""Slips put right: "the four lower bolts, no, sorry, the four upper ones" says only the last."""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from assistant.grammar.numbers import TEENS, TENS, UNITS

from .clause import Clause, Free
from .clauses import Parsed, parsed_tokens
from .figures import Figure
from .lexicon import lexicon
from .phrases import Mention
from .tagging import misheard_as, plain_tokens
from .words import Sentence, Token


@dataclass(slots=True)
class Piece:
    """A clause with the sentence it was said in."""

    clause: Clause
    sentence: Sentence
    condition: tuple[str, ...] = ()
    """Words of a condition that held for the sentence: ("on", "early", "models")."""
    mended: str = ""
    """What was said first, where it was put right."""
    asked: bool = False
    """Part of a question."""
    first: bool = False
    """Opens its sentence."""
    only_cue: str = ""
    """The whole sentence is "no, wait": what puts it right comes next."""


@lru_cache(maxsize=1)
def _cues() -> tuple[tuple[str, ...], ...]:
    cues = {tuple(word for word in cue.replace(",", " ").split()) for cue in lexicon().words["corrections"]}
    return tuple(sorted(cues, key=len, reverse=True))


@lru_cache(maxsize=1)
def _cues_from() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Corrections by their first word."""
    firsts = {cue[0] for cue in _cues()}
    return {first: tuple(cue for cue in _cues() if cue[0] == first) for first in firsts}


_NUMBERS = frozenset((*UNITS, *TEENS, *TENS, "hundred", "a"))
_HUMS = frozenset({"uh", "er", "erm", "um"})


def _bare_number(tokens: list[Token], here: int) -> bool:
    """ "Uh, five, …": a number alone, straight after the hum."""
    return here + 1 >= len(tokens) or tokens[here + 1].text in (",", ".", "-", "…", "!")


_WEAK = frozenset(
    {
        ("uh",),
        ("er",),
        ("erm",),
        ("um",),
        ("no",),
        ("wait",),
        ("sorry",),
        ("hang", "on"),
        ("hold", "on"),
        ("nope",),
        ("oops",),
    }
)


def _cue_at(tokens: list[Token], here: int) -> int:
    """End of a correction that starts here, commas and several in a row included; `here` where none does."""
    end = here
    strong = False
    while True:
        found = 0
        for cue in _cues_from().get(tokens[end].low, ()) if end < len(tokens) else ():
            at, matched = end, 0
            while matched < len(cue) and at < len(tokens):
                if tokens[at].low == cue[matched]:
                    matched += 1
                elif not (tokens[at].text in (",", "-", "…") and matched):
                    break
                at += 1
            if matched == len(cue):
                found = at
                strong = strong or cue not in _WEAK
                break
        if not found:
            break
        end = found
        while end < len(tokens) and tokens[end].text in (",", "-", ".", "…"):
            end += 1
    if end == here:
        return here
    opened = here == 0 or tokens[here - 1].text in (",", "-", ".", "…", ";", ":", "?", "!")
    numbered = end < len(tokens) and (
        tokens[end].text[0].isdigit()
        or tokens[end].low in _NUMBERS
        or (tokens[end].text[0] in "Mm" and tokens[end].text[1:2].isdigit())
    )
    if not strong and tokens[here].low in _HUMS and not (opened and numbered and _bare_number(tokens, end)):
        return here
    if (
        not strong
        and numbered
        and (opened or (tokens[here].low in ("sorry", "no", "wait") and tokens[end].low not in ("more", "less")))
    ):
        return end
    closed = tokens[end - 1].text in (",", ".", "-", "…") or end >= len(tokens)
    if not strong and not (
        opened and (closed or (end < len(tokens) and tokens[end].low in ("the", "that's", "it", "not", "make", "they")))
    ):
        return here
    return end if opened or strong else here


LOOKBACK = 8
"""Sentences that a correction may reach back."""


def amended(heard: Iterable[Sentence]) -> Iterator[list[Piece]]:
    """The clauses of one sentence after another, slips put right. Lazy: no further ahead than a correction reaches."""
    window: list[Piece] = []
    waiting: deque[list[Piece]] = deque()
    for sentence in heard:
        waiting.append(_pieces(window, sentence))
        del window[:-40]
        if len(waiting) > LOOKBACK:
            yield from filter(None, [waiting.popleft()])
    yield from filter(None, waiting)


def _pieces(window: list[Piece], sentence: Sentence) -> list[Piece]:
    if not _tells(sentence):
        aside = Piece(Clause(sentence.words), sentence, asked=sentence.tokens[-1].text == "?", first=True)
        window.append(aside)
        return [aside]
    tokens = plain_tokens(sentence.tokens)
    while tokens and not tokens[0].is_word:
        tokens = tokens[1:]
    start, at, mending = 0, 0, ""
    found: list[Piece] = []
    if window and window[-1].only_cue and not (len(window) > 1 and window[-2].asked):
        mending = window[-1].only_cue
    while at < len(tokens):
        end = _cue_at(tokens, at)
        if end == at:
            at += 1
            continue
        if at > start:
            found.extend(_take(window, sentence, tokens[start:at], mending))
        mending = " ".join(token.low for token in tokens[at:end])
        start = at = end
    if any(token.is_word for token in tokens[start:]):
        found.extend(_take(window, sentence, tokens[start:], mending))
    elif mending and not found and start:
        found = [
            Piece(Clause(sentence.words), sentence, only_cue=mending, first=True)
        ]  # "Wait." The next sentence says it
        window.extend(found)
    return found


def _tells(sentence: Sentence) -> bool:
    """Whether there is a word of the trade in it, a number, or a slip put right; small talk is not read further."""
    return any(
        any(letter.isdigit() for letter in token.text) or token.low in _telling() or misheard_as(token.low)
        for token in sentence.tokens
    )


@lru_cache(maxsize=1)
def _telling() -> frozenset[str]:
    book = lexicon()
    words = (
        {part for noun in book.nouns for part in noun.split()}
        | set(book.verbs)
        | set(_NUMBERS)
        | {cue[0] for cue in _cues()}
    )
    for group in ("treatments", "manner"):
        words |= {part for phrases in book.words[group].values() for phrase in phrases for part in phrase.split()}
    cautions = {part for cue in book.words["cautions"] for part in cue.split()[:1]}
    back = {part for cue in book.words["going_back"] for part in cue.split()}
    small = book.set_of("english") | book.set_of("determiners") | book.set_of("prepositions") | {"no", "by"}
    return frozenset(words | cautions | back - small | {"no", "off", "out", "in"}) - (
        small - {"no", "off", "out", "in", "up", "back"}
    )


def _take(pieces: list[Piece], sentence: Sentence, tokens: list[Token], mending: str) -> list[Piece]:
    if not any(token.is_word for token in tokens):
        return []
    condition, rest = condition_in(tokens)
    found = parsed_tokens(sentence, rest) if rest else Parsed(sentence, rest, [], [])
    asked = sentence.tokens[-1].text == "?"
    fresh = [
        Piece(clause, sentence, condition, asked=asked, first=number == 0)
        for number, clause in enumerate(found.clauses)
    ]
    if not fresh and condition:
        fresh = [Piece(Clause(" ".join(condition)), sentence, condition, asked=asked)]
    if mending and fresh and not asked:
        fresh = _mend(pieces, fresh)
    pieces.extend(fresh)
    return fresh


def _mend(pieces: list[Piece], fresh: list[Piece]) -> list[Piece]:
    """Puts the first fresh clause right into the one that it corrects; what is left stands by itself."""
    strengths = {"low", "medium", "high"}
    while (
        len(fresh) > 1
        and not strengths & set(fresh[0].clause.lows)
        and not (fresh[0].clause.objects or fresh[0].clause.figures or fresh[0].clause.verb)
    ):
        fresh = fresh[1:]
    first = fresh[0].clause
    for back in range(len(pieces) - 1, max(-1, len(pieces) - 6), -1):
        target = pieces[back]
        if target.only_cue:
            continue
        named = any(mention.head for mention in first.objects)
        if _only_a_number(target.clause) and back and pieces[back - 1].clause.objects and named:
            continue  # another voice has put it right already
        if target.asked or not (target.clause.objects or target.clause.figures or target.clause.meaning):
            continue
        if _counted_again(target.clause, first):
            target.clause.objects, target.clause.subject = [], []
            fresh[0].mended = target.clause.words
            return fresh
        if _mended(target, first):
            target.mended = target.mended or target.clause.words
            target.clause.words = f"{target.clause.words} ... {first.words}"
            return fresh[1:]
        if target.clause.meaning:
            break
    return fresh


def _counted_again(old: Clause, first: Clause) -> bool:
    """ "Five bolts, no, six bolts hold the cover": the whole is said anew."""
    return (
        not old.verb
        and bool(first.verb)
        and any(
            one.count and other.count and one.head == other.head and one.count != other.count
            for one in old.objects
            for other in first.mentions
        )
    )


def _only_a_number(clause: Clause) -> bool:
    return (
        bool(clause.figures)
        and not clause.objects
        and not clause.verb
        and all(free.figure.whole is not None for free in clause.figures)
    )


def _mended(target: Piece, first: Clause) -> bool:
    old = target.clause
    if first.verb and first.verb == old.verb and "not" in first.lows and "not" not in old.lows:
        return True  # "clean it, and I mean clean, not spit and an old glove": the same again
    if first.meaning and first.objects and first.verb:
        same = first.meaning == old.meaning and any(
            _alike(one, other) for one in first.objects for other in old.objects
        )
        if same or (first.meaning == old.meaning and len(old.objects) == 1 and not first.objects[0].pronoun):
            words = old.words
            keep = old.figures if not first.figures else first.figures
            target.clause = replace(first, words=words, figures=keep)
            return True
        return False
    changed = False
    if first.verb == "call":  # "no, they are called guide bolts"
        named = [mention for mention in first.mentions if mention.head]
        return bool(named) and _mend_object(old, named[-1], renamed=True)
    if any(treatment.startswith("locker-") for treatment in old.treatments):
        strength = next((low for low in first.lows if low in ("low", "medium", "high")), "")
        if strength and not first.objects:
            old.treatments = [f"locker-{strength}"]
            return True
    if (
        not first.verb
        and len(first.objects) == 1
        and first.lows[:1]
        and any(link == first.lows[0] for link, _ in old.beside)
    ):
        old.beside = [(link, first.objects[0] if link == first.lows[0] else mention) for link, mention in old.beside]
        return True  # "under the drive wheels, no, sorry, under the steer wheels"
    if first.figures:
        changed = _mend_figures(old, first)
        if not changed and (first.objects or first.subject) and old.meaning in ("snug", "start", "tighten", "fit"):
            old.figures = list(first.figures)
            old.manners = []
            old.meaning, old.verb = "tighten", old.verb or "tighten"
            return True
    called = first.objects[1] if len(first.objects) > 1 and first.objects[0].pronoun and not first.verb else None
    if called is not None and {"is", "are"} & set(first.lows) and called.kinds[:1] == ("fastener",):
        bolted = [mention for mention in old.objects if mention.kinds[:1] == ("fastener",)]
        return bool(bolted) and _mend_object(old, called, renamed=True)  # "sorry, it's a nut"
    if first.objects and not (first.objects[0].pronoun or first.meaning or "there" in first.lows):
        changed = _mend_object(old, first.objects[0]) or changed
    if first.manners and not first.objects and not first.figures and old.meaning:
        old.manners = list(first.manners)
        changed = True
    return changed


ROUNDS = frozenset({"round", "rounds", "steps", "step", "passes", "pass", "stages", "stage", "goes", "times"})
"""Words that make a number a count of rounds, no value of a thing."""


def _mend_figures(old: Clause, first: Clause) -> bool:
    changed = False
    mended: set[int] = set()
    dropped: set[Decimal | None] = set()
    """Values put right already: said again, they only tell what was wrong."""
    for free in first.figures:
        figure = free.figure
        if free.beside in ROUNDS or _of_another(free) or figure.value in dropped:
            continue
        for number in range(len(old.figures) - 1, -1, -1):
            if number in mended or old.figures[number].beside in ROUNDS:
                continue
            was = old.figures[number].figure
            if bool(was.thread) != bool(figure.thread):
                continue
            if not figure.unit or not was.unit or figure.dimension == was.dimension:
                dropped.add(was.value if was.value is not None and was.value != figure.value else Decimal(-1))
                unit = figure.unit or (was.unit if not figure.thread else "")
                old.figures[number] = replace(old.figures[number], figure=replace(figure, unit=unit), at=-1)
                mended.add(number)
                changed = True
                break
        else:
            whole = figure.whole
            counted = next((mention for mention in old.mentions if mention.count is not None), None)
            if whole is not None and counted is not None and not _as_a_size(first, figure):
                counted.count = whole
                changed = True
            sized = next((mention for mention in old.mentions if mention.sizes), None)
            if not changed and sized is not None:
                sized.sizes = (figure,)
                changed = True
    return changed


def _as_a_size(clause: Clause, figure: Figure) -> bool:
    """ "That's a twenty two": a size, no count."""
    opens = figure.said.lower().split()[0]
    return any(pair in (("a", opens), ("an", opens)) for pair in itertools.pairwise(clause.lows))


def _of_another(free: Free) -> bool:
    """ "Fifty-five is the other engine"."""
    return free.link is not None and (free.link.rest or free.link.old or " other " in f" {free.link.words} ")


def _alike(one: Mention, other: Mention) -> bool:
    return bool(one.head) and one.head == other.head


def _mend_object(old: Clause, mention: Mention, renamed: bool = False) -> bool:
    """The thing named last takes the place of the one it corrects."""
    places = [(number, was) for number, was in enumerate(old.objects) if not was.pronoun]
    if not places:
        return False
    number, was = next(((n, w) for n, w in reversed(places) if w.head == mention.head or mention.ones), places[-1])
    if mention.ones and not mention.head:
        mention = replace(
            mention,
            head=was.head,
            kinds=was.kinds,
            plural=was.plural,
            ones=False,
            mods=was.mods or mention.mods,
            attached=was.attached,
            count=mention.count or was.count,
        )
        if not lexicon().opposed(was.places, mention.places):
            mention.places = was.places | mention.places
    elif mention.head == was.head:
        mention = replace(
            mention,
            count=mention.count or was.count,
            mods=mention.mods or was.mods,
            places=mention.places or was.places,
            attached=mention.attached or was.attached,
        )
    elif renamed:
        mention = replace(mention, count=mention.count or was.count, places=mention.places or was.places)
    elif mention.kinds[:1] != was.kinds[:1] and (
        mention.kinds[:1] not in (("fastener",), ("part",)) or not old.meaning or mention.rest or old.figures
    ):
        return False
    old.objects[number] = mention
    old.subject = [mention if one is was else one for one in old.subject]
    return True


# -- conditions ------------------------------------------------------------

_MODELS = frozenset(
    [
        "ones",
        "models",
        "model",
        "trucks",
        "machines",
        "versions",
        "version",
        "vehicles",
        "types",
        "carriers",
        "units",
        "cars",
        "vans",
        "tractors",
        "trailers",
        "variants",
        "variant",
        "type",
        "machine",
        "series",
    ]
)
_AGES = frozenset(
    [
        "early",
        "earlier",
        "late",
        "later",
        "old",
        "older",
        "new",
        "newer",
        "automatic",
        "manual",
        "diesel",
        "petrol",
        "hydraulic",
        "electric",
        "short",
        "long",
        "heavy",
        "light",
    ]
)
_OPEN = frozenset({"on", "for", "with", "in"})


def condition_in(tokens: list[Token]) -> tuple[tuple[str, ...], list[Token]]:
    """A condition of years or variants said as a place ("on the early ones", "up to 2018"), and the rest."""
    for here in range(len(tokens)):
        end = _variant_at(tokens, here) or _years_at(tokens, here)
        if end:
            words = tuple(part.low for part in tokens[here:end])
            rest = tokens[:here] + tokens[end:]
            while rest and rest[0].text in (",",):
                rest = rest[1:]
            return words, rest
    return (), tokens


def _variant_at(tokens: list[Token], here: int) -> int:
    if tokens[here].low not in _OPEN:
        return 0
    at = here + 1
    while at < len(tokens) and tokens[at].low in (
        "the",
        "some",
        "all",
        "those",
        "these",
        "any",
        "of",
        "really",
        "very",
    ):
        at += 1
    start = at
    while at < len(tokens) and at - start < 5 and tokens[at].is_word and tokens[at].low not in _MODELS:
        at += 1
    if at >= len(tokens) or tokens[at].low not in _MODELS or at == start:
        return 0
    inside = [token.low for token in tokens[start:at]]
    telling = (
        tokens[at].low not in ("ones", "type", "unit", "units", "version", "machine", "series")
        or any(word in _AGES for word in inside)
        or any(word.isdigit() for word in inside)
    )
    if (
        any(
            word
            in (
                "bolts",
                "nuts",
                "screws",
                "bolt",
                "nut",
                "upper",
                "lower",
                "left",
                "right",
                "front",
                "rear",
                "one",
                "of",
            )
            for word in inside
        )
        or not telling
    ):
        return 0
    return at + 1


def _years_at(tokens: list[Token], here: int) -> int:
    def year(at: int) -> bool:
        return (
            at < len(tokens)
            and tokens[at].text.isdigit()
            and len(tokens[at].text) == 4
            and 1950 <= int(tokens[at].text) <= 2040
        )

    low = tokens[here].low
    start = here
    at = here
    if low == "up" and here + 2 < len(tokens) and tokens[here + 1].low == "to":
        at = here + 2
    elif low in ("before", "after", "from", "since", "until", "till"):
        at = here + 1
    else:
        return 0
    if at < len(tokens) and tokens[at].low in ("about", "around", "the"):
        at += 1
    if not year(at):
        return 0
    at += 1
    while at < len(tokens) and tokens[at].low in (
        "on",
        "onwards",
        "onward",
        "models",
        "ones",
        "model",
        "year",
        "and",
        "later",
        "machines",
        "upwards",
        "built",
        "trucks",
        "forward",
        "up",
    ):
        if tokens[at].low == "and" and not (
            at + 1 < len(tokens) and tokens[at + 1].low in ("later", "on", "onwards", "up")
        ):
            break
        at += 1
    if start and tokens[start - 1].low in ("on", "for"):
        start -= 1
    return at
