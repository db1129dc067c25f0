"""Which thing was meant: from the words for it to one thing on the card, to a question, or to "not on the card".

What the step is about comes first. Two things that the words fit equally are asked about by what tells them
apart. A name that is not on the card is never replaced by the nearest: the nearest is only told.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from rapidfuzz import fuzz, process
from rapidfuzz.distance import DamerauLevenshtein, Levenshtein

from assistant.card.model import Named

from .sounds import sound_key, sounds_like_distance


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thing that a person may name."""

    id: str
    """Id on the card."""
    name: str
    aka: tuple[str, ...] = ()
    """Other names; all serve alike."""
    kind: str = ""
    """bolt, nut, screw ...: what it may also be called by ("the clutch cover bolts")."""


@dataclass(frozen=True, slots=True)
class Found:
    """One thing, and no doubt which."""

    id: str
    exact: bool = True
    """False where a word only sounds like the card's: name it and have it confirmed before anything is recorded."""


@dataclass(frozen=True, slots=True)
class Close:
    """Two or more things fit."""

    ids: tuple[str, ...]
    """All that fit; those of this step first."""
    apart: tuple[str, ...]
    """For each id, the words that tell it from the others: "front", "rear". Its whole name where none do."""
    ask: str
    """The question in few words: "Front or rear?"."""


@dataclass(frozen=True, slots=True)
class NotOnCard:
    """Nothing fits."""

    nearest: tuple[str, ...] = ()
    """Names on the card that come nearest, at most three, for information only."""


Which = Found | Close | NotOnCard

_FILLERS = frozenset(
    ["the", "a", "an", "of", "on", "for", "these", "those", "this", "that", "my", "please", "and", "all", "with", "s"]
)
_POINTERS = frozenset(["it", "them", "one", "thing", "same", "here"])
"""What is left of "that one", "those", "them": the thing that the step is about."""
_KINDS = frozenset(["bolt", "nut", "screw", "stud", "plug", "clamp", "union", "fastener", "fixing"])
_ANY_KIND = frozenset(["fastener", "fixing"])
_SET_APART = frozenset(
    ["front", "rear", "left", "right", "upper", "lower", "inner", "outer", "top", "bottom", "long", "short",
     "first", "second", "third", "fourth", "fifth", "sixth", "near", "off", "nearside", "offside", "inside",
     "outside", "inboard", "outboard", "forward", "back", "main", "side", "big", "small", "large", "little",
     "input", "output", "drain", "fill", "intake", "inlet", "outlet", "exhaust"]
)  # fmt: skip
"""Words that exist to tell things apart: one of them is never a mishearing of another."""
_NUMBERS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_SOUNDS_LIKE = 0.25
"""Distance up to which a word that the card does not know may be a slip for one that it does."""


class _Spelling(NamedTuple):
    """One of the names of one thing."""

    candidate: Candidate
    words: frozenset[str]
    kinds: frozenset[str]


@dataclass(frozen=True)
class Names:
    """All names of a card, ready to be searched: build it once, ask it often."""

    candidates: tuple[Candidate, ...] = field(default=())

    @cached_property
    def spellings(self) -> tuple[_Spelling, ...]:
        return tuple(
            _Spelling(candidate, frozenset(words - _KINDS), frozenset(words & _KINDS))
            for candidate in self.candidates
            for name in (candidate.name, *candidate.aka)
            for words in [set(_words(name))]
        )

    @cached_property
    def having(self) -> Mapping[str, frozenset[int]]:
        """Word to the places in `spellings` that have it."""
        places: dict[str, set[int]] = {}
        for at, spelling in enumerate(self.spellings):
            for word in spelling.words:
                places.setdefault(word, set()).add(at)
        return {word: frozenset(where) for word, where in places.items()}

    @cached_property
    def keys(self) -> Mapping[str, str]:
        """Word to its coarse sound; numbers are left out, for they are never guessed at."""
        return {word: sound_key(word) for word in self.having if not word.isdigit()}

    @cached_property
    def bare(self) -> Mapping[str, str]:
        """Name to its words without bolt, nut and the like."""
        return {c.name: " ".join(word for word in _words(c.name) if word not in _KINDS) for c in self.candidates}


def candidates_of(things: Mapping[str, Named]) -> tuple[Candidate, ...]:
    """The candidates that a table of a card holds: `candidates_of(card.fasteners)`."""
    return tuple(
        Candidate(id_, thing.name, tuple(thing.aka), str(getattr(thing, "kind", ""))) for id_, thing in things.items()
    )


def which(words: str, candidates: Names | Iterable[Candidate], here: Collection[str] = ()) -> Which:
    """Which of the candidates the words name; `here` are the ids that this step is about.

    A whole name comes before part of one ("hub bolts" of "rear hub bolts"); among equals those of this step come
    first; where a whole name elsewhere stands against part of a name here, neither is sure and it is asked. Words
    that only sound like the card's count where no exact ones do. Words that point ("those", "it") mean what the
    step is about. To settle the answer to a question, ask again with its candidates alone and nothing in `here`.
    """
    names = candidates if isinstance(candidates, Names) else Names(tuple(candidates))
    said = [word for word in _as_the_card_writes(_words(words), names) if word not in _POINTERS or word in names.having]
    if not said:
        pointed_at = [candidate for candidate in names.candidates if candidate.id in here]
        return _settled(pointed_at, here) if pointed_at else NotOnCard()
    fits = list(_fits(said, names))
    if not fits:
        return NotOnCard(_nearest(words, names))
    least = min(fit.blur for fit in fits)
    fits = [fit for fit in fits if fit.blur <= (least + 0.1 if least else 0)]
    best = min(fit.grade for fit in fits)
    best_here = min((fit.grade for fit in fits if fit.candidate.id in here), default=None)
    chosen = {
        fit.candidate.id: fit.candidate
        for fit in fits
        if (fit.grade == best_here and fit.candidate.id in here) or (fit.grade == best and best != best_here)
    }
    return _settled(list(chosen.values()), here, exact=not least)


class _Fit(NamedTuple):
    candidate: Candidate
    grade: int
    """0: the whole name was said; 1: all but bolt, nut or the like; 2: part of it."""
    blur: float
    """Distance of the words said from the name's, summed; 0 is exact."""


def _fits(said: Sequence[str], names: Names) -> Iterator[_Fit]:
    """Each name that has all the words said."""
    wanted = list(dict.fromkeys(word for word in said if word not in _KINDS))
    kinds = frozenset(said) & _KINDS
    reached: dict[int, tuple[frozenset[str], float]] = dict.fromkeys(range(len(names.spellings)), (frozenset(), 0.0))
    for word in wanted:
        reached = {
            at: (reached[at][0] | {meant}, reached[at][1] + blur)
            for meant, blur in reversed(_meanings(word, names))
            for at in names.having[meant]
            if at in reached
        }
    for at, (matched, blur) in reached.items():
        spelling = names.spellings[at]
        if not all(_is_of_kind(kind, spelling) for kind in kinds):
            continue
        kind_said = not spelling.kinds - kinds or bool(kinds & _ANY_KIND)
        yield _Fit(spelling.candidate, 2 if spelling.words - matched else 1 - kind_said, blur)


def _is_of_kind(kind: str, spelling: _Spelling) -> bool:
    """A nut is not a bolt: whoever says "wheel nuts" of wheel bolts means something that is not on the card."""
    if kind in _ANY_KIND:
        return bool(spelling.candidate.kind)
    return kind in spelling.kinds or (not spelling.kinds and kind == spelling.candidate.kind)


def _meanings(word: str, names: Names) -> list[tuple[str, float]]:
    """The card's words that a word may stand for, nearest first. A word that the card knows stands for itself."""
    if word in names.having:
        return [(word, 0.0)]
    if word.isdigit() or len(word) < 3:
        return []
    near = process.extract(sound_key(word), names.keys, scorer=Levenshtein.distance, score_cutoff=2, limit=40)
    alike = process.extract(word, list(names.keys), scorer=DamerauLevenshtein.distance, score_cutoff=2, limit=20)
    found: dict[str, float] = {}
    for known in {str(row[2]) for row in near} | {str(row[0]) for row in alike}:
        if known in _SET_APART and word in _SET_APART:
            continue
        blur = min(sounds_like_distance(word, known), DamerauLevenshtein.normalized_distance(word, known))
        if blur <= _SOUNDS_LIKE:
            # never 0: a homophone is still not the card's word
            found[known] = max(blur, 0.01)
    return sorted(found.items(), key=lambda row: row[1])


def _settled(fitting: Sequence[Candidate], here: Collection[str], exact: bool = True) -> Found | Close:
    if len(fitting) == 1:
        return Found(fitting[0].id, exact)
    ordered = sorted(fitting, key=lambda candidate: candidate.id not in here)
    apart = tells_apart([candidate.name for candidate in ordered])
    return Close(tuple(candidate.id for candidate in ordered), apart, _question(apart))


def tells_apart(names: Sequence[str]) -> tuple[str, ...]:
    """For each name the words that the others lack: front hub bolts, rear hub bolts -> front, rear.
    The whole names where that leaves one with nothing, or two with the same."""
    rows = [[(word, "".join(_words(word)) or word.casefold()) for word in name.split()] for name in names]
    common = set.intersection(*({key for _, key in row} for row in rows)) if rows else set()
    own = [[(word, key) for word, key in row if key not in common] for row in rows]
    places = [" ".join(word for word, key in row if key in _SET_APART or key.isdigit()) for row in own]
    for told in (places, [" ".join(word for word, _ in row) for row in own]):
        if all(told) and len({words.casefold() for words in told}) == len(told):
            return tuple(told)
    return tuple(names)


def _question(apart: Sequence[str]) -> str:
    if len(apart) > 4:
        asked = f"which one: {', '.join(apart[:3])}, or another?"
    else:
        asked = f"{', '.join(apart[:-1])} or {apart[-1]}?"
    return asked[:1].upper() + asked[1:]


def _nearest(words: str, names: Names) -> tuple[str, ...]:
    """At most three names, for information."""
    said = " ".join(word for word in _words(words) if word not in _KINDS)
    shared = Counter(at for word in set(said.split()) for at in names.having.get(word, ()))
    sharing = [names.spellings[at].candidate.name for at, _ in shared.most_common(6)]
    like = process.extract(said, names.bare, scorer=fuzz.token_sort_ratio, score_cutoff=60, limit=3)
    return tuple(dict.fromkeys([*sharing, *(str(row[2]) for row in like)]))[:3]


def _words(text: str) -> list[str]:
    """Words that count, in the singular, numbers as figures."""
    found = re.findall(r"[^\W_]+", text.casefold().replace("'", "").replace("’", ""))
    singular = [
        word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word for word in found
    ]
    return [
        str(_NUMBERS.index(word)) if word in _NUMBERS and word != "one" else word
        for word in singular
        if word not in _FILLERS
    ]


def _as_the_card_writes(said: Sequence[str], names: Names) -> list[str]:
    """Compounds in the card's spelling: "fly wheel" -> "flywheel" or the other way about."""
    written: list[str] = []
    at = 0
    while at < len(said):
        word = said[at]
        joined = word + said[at + 1] if at + 1 < len(said) else ""
        if joined in names.having and not (word in names.having and said[at + 1] in names.having):
            written.append(joined)
            at += 2
            continue
        parts = [(word[:cut], word[cut:]) for cut in range(3, len(word) - 2)] if word not in names.having else []
        split = next((part for part in parts if part[0] in names.having and part[1] in names.having), None)
        written.extend(split or (word,))
        at += 1
    return written
