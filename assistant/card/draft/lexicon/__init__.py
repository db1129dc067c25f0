"""The trade's words, kept as YAML beside this file: verbs, meanings, nouns, and the small words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Any

from ruamel.yaml import YAML

KINDS = ("fastener", "part", "connection", "fluid", "cover", "mark", "support", "consumable", "measure", "tool")


@dataclass(frozen=True, slots=True)
class Verb:
    """One verb with what it means bare and with each particle."""

    base: str
    meanings: dict[str, str]
    """Particle ("" for none) to meaning."""
    strong: bool = False
    """Hardly ever anything but work: an unknown object is still taken for a part."""


@dataclass(frozen=True, slots=True)
class VerbForm:
    verb: Verb
    form: str
    """base, s, past, done (past participle; regular verbs: past) or ing."""


@dataclass(frozen=True, slots=True)
class Noun:
    """One kind of thing that people name."""

    head: str
    """The word that it goes by: "bolt", "propeller shaft"."""
    kinds: tuple[str, ...]
    """What it may be, likeliest first: fastener, part, ..."""
    plural: bool = False
    spelling: str = ""
    """As it is written here, singular."""


@dataclass(slots=True)
class Lexicon:
    verbs: dict[str, VerbForm] = field(default_factory=dict)
    """Every written form."""
    nouns: dict[str, Noun] = field(default_factory=dict)
    """Every written form, one or more words."""
    meanings: dict[str, dict[str, str]] = field(default_factory=dict)
    words: dict[str, Any] = field(default_factory=dict)
    """The lists of words.yaml."""
    ordinary: frozenset[str] = frozenset()
    """Ordinary words that look like one of the trade's (ordinary.txt)."""
    longest: int = 1
    """Words in the longest noun."""

    def set_of(self, name: str) -> frozenset[str]:
        return frozenset(str(word) for word in self.words[name])

    def place(self, word: str) -> str | None:
        """The place word by its usual name ("back" stays itself: it is a particle as often)."""
        if word in self.words["same_place"]:
            return str(self.words["same_place"][word])
        return word if word in self.words["places"] else None

    def opposed(self, one: Iterable[str], other: Iterable[str]) -> bool:
        """True where the two sets of words name different places: front and rear, left and right."""
        mine, theirs = set(one), set(other)
        for group in self.words["opposites"]:
            a, b = mine.intersection(group), theirs.intersection(group)
            if a and b and a != b:
                return True
        return False


def plural_of(noun: str) -> str:
    if noun.endswith(("s", "x", "ch", "sh", "z")):
        return noun + "es"
    if noun.endswith("y") and noun[-2] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def _forms(base: str, irregular: list[str]) -> Iterator[tuple[str, str]]:
    yield base, "base"
    if irregular:
        for form in irregular:
            kind = (
                "ing"
                if form.endswith("ing")
                else "s"
                if form.endswith("s") and len(irregular) > 1 and form == irregular[0]
                else "past"
            )
            yield form, kind
        return
    vowel, last = base[-2] if len(base) > 1 else "", base[-1]
    one_vowel = sum(letter in "aeiou" for letter in base) == 1
    short = one_vowel and last not in "aeiouwxy" and vowel in "aeiou"
    stem = base + last if short else base[:-1] if last == "e" else base
    yield plural_of(base), "s"
    yield (base[:-1] + "ied" if last == "y" and vowel not in "aeiou" else stem + "ed"), "past"
    yield (base if last in "y" else stem) + "ing", "ing"
    if stem == base + last:  # torqued, loosened and the like are regular; "fited" is a slip that people make
        yield base + "ed", "past"


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The shipped lexicon."""
    here = files(__package__)
    book = {name: YAML(typ="safe").load((here / f"{name}.yaml").read_text("utf-8")) for name in _FILES}
    built = Lexicon(meanings=book["meanings"], words=book["words"])
    for base, entry in book["verbs"].items():
        meanings = {
            "" if key == "bare" else key: sense for key, sense in entry.items() if key not in ("forms", "strong")
        }
        verb = Verb(base, meanings, bool(entry.get("strong")))
        for form, kind in _forms(base, entry.get("forms", [])):
            built.verbs.setdefault(form, VerbForm(verb, kind))
    for kind, entries in book["nouns"].items():
        for head, spellings in entries.items():
            for spelling in spellings:
                _add_noun(built, spelling, spelling if head.startswith("words") else head, kind)
    lines = (here / "ordinary.txt").read_text("utf-8").splitlines()
    built.ordinary = frozenset(word for line in lines if not line.startswith("#") for word in line.split())
    built.longest = max(len(spelling.split()) for spelling in built.nouns)
    return built


_FILES = ("verbs", "meanings", "nouns", "words")
_NO_PLURAL = frozenset({"wear", "sag", "slack", "play", "travel", "flow", "feed"})
"""Nouns whose plural is a verb of something else: "the rotor wears"."""
PLURALS = frozenset({"splines", "fixings", "blocks", "teeth", "halves"})
"""Spelled as plurals in the lexicon: no "s" is put behind them."""


def _add_noun(book: Lexicon, spelling: str, head: str, kind: str) -> None:
    spelling = spelling.replace("-", " ")
    written_so = ((spelling, spelling in PLURALS), (plural_of(spelling), True))
    for written, plural in written_so[:1] if spelling in _NO_PLURAL else written_so:
        known = book.nouns.get(written)
        if known is None:
            book.nouns[written] = Noun(head, (kind,), plural, spelling)
        elif kind not in known.kinds:
            book.nouns[written] = Noun(known.head, (*known.kinds, kind), known.plural, known.spelling)
