"""One naming of a thing in a sentence."""

from __future__ import annotations

from dataclasses import dataclass, field

from .figures import Figure

SORTS = frozenset({"lock", "jam", "castle", "wing", "slotted", "cap", "grub", "set", "allen", "hex"})
"""Words that tell what sort of nut or screw it is, and not which."""

OF_SIZE = frozenset({"big", "small", "long", "short", "thick", "thin"})
"""Words that tell two of a kind apart by their size."""


@dataclass(slots=True)
class Mention:
    """One naming of a thing in a sentence."""

    start: int
    end: int
    """Items start..end-1."""
    words: str = ""
    head: str = ""
    """Lexicon head ("bolt"); for a pronoun empty."""
    spoken: str = ""
    """The head as it was said, singular: "grease cap" where the lexicon has "dust cap"."""
    kinds: tuple[str, ...] = ()
    plural: bool = False
    noun_plural: bool = False
    """The noun itself is in the plural: "two hoses", not "number two pump"."""
    places: frozenset[str] = frozenset()
    mods: tuple[str, ...] = ()
    """Words that tell it from others, in order: ("shaft", "flange")."""
    det: str = ""
    count: int | None = None
    some: int | None = None
    """This many of them: "two of the four"."""
    all_but: int | None = None
    rest: bool = False
    """"the last one", "the other two", "the rest"."""
    pronoun: bool = False
    ones: bool = False
    """"the four upper ones": the same kind as before."""
    new: bool = False
    old: bool = False
    each: bool = False
    both: bool = False
    per: bool = False
    """"Four bolts on each side": the count is not that of all."""
    unknown: bool = False
    """The head is not in the lexicon."""
    none: bool = False
    """"no sealant": named to say that there is none."""
    misheard: str = ""
    sizes: tuple[Figure, ...] = ()
    """Thread and millimetre sizes said with it."""
    attached: list[tuple[str, Mention]] = field(default_factory=list)
    """("on", the flange), ("holding", the bracket)."""
    amount: Figure | None = None
    """"half a litre of oil"."""

    @property
    def is_oil(self) -> bool:
        """Oil with no amount said: put on something, or told of as what is in it; not so many litres to fill in."""
        return self.kinds[:1] == ("fluid",) and self.head.endswith("oil") and self.amount is None

    @property
    def own_mods(self) -> tuple[str, ...]:
        """The telling words without those of the sort: a locknut has none of its own."""
        return tuple(mod for mod in self.mods if mod not in SORTS)

    @property
    def bare(self) -> bool:
        """Nothing tells it from others of its kind."""
        return not (self.places or self.mods or self.attached or self.ones)


_DEFINING = frozenset({"on", "of", "at", "from", "for", "in", "to", "through", "holding"})
"""Prepositions after which a thing tells fasteners and connections apart."""


def words_of(mention: Mention) -> frozenset[str]:
    """Every telling word of the name, those of what hangs on it included."""
    words = set(mention.mods) | set(mention.places)
    named = bool(words) and mention.kinds[:1] == ("connection",)
    for link, inner in mention.attached:
        if link in _DEFINING and not named:
            words |= set(inner.mods) | set(inner.places) | {inner.head}
    return frozenset(part for word in words for part in word.split())
