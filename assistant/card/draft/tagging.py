"""Each word of a sentence by what it can be: a verb, a thing, a place, a figure, a small word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .figures import Figure, figures_in
from .lexicon import Noun, VerbForm, lexicon
from .misheard import misheard_as
from .small_words import phrase_book, single_words
from .words import Token


@dataclass(slots=True)
class Item:
    """One word, or a few that count as one."""

    kind: str
    """fig, verb, noun, place, det, pron, subj, aux, neg, rel, conj, comma, sub, seq, filler, manner, treat, most,
    least, word, end."""
    low: str
    start: int
    end: int
    """Tokens of the plain sentence, start..end-1."""
    figure: Figure | None = None
    noun: Noun | None = None
    verb: VerbForm | None = None
    value: str = ""
    """Of a manner: its name; of a treatment: its kind; of a place: its usual name."""
    misheard: str = ""
    """The word that stood there, where another was taken for it."""


def tagged(tokens: Sequence[Token], own: Mapping[str, Noun]) -> list[Item]:
    """The words of a plain sentence, each by what it can be; `roles.settled` decides between verb and thing."""
    items: list[Item] = []
    figures = {figure.start: figure for figure in figures_in(tokens)}
    here = 0
    while here < len(tokens):
        if here in figures:
            figure = figures[here]
            items.append(Item("fig", figure.said.lower(), figure.start, figure.end, figure=figure))
            here = figure.end
            continue
        phrase = _phrase_at(tokens, here, figures)
        item = phrase or _word_at(tokens, here)
        if item.kind == "word" and item.low in own:
            item.noun, item.kind = own[item.low], "noun"
        items.append(item)
        here = item.end
    return items


def _phrase_at(tokens: Sequence[Token], here: int, figures: dict[int, Figure]) -> Item | None:
    book = phrase_book()
    most = book.first.get(tokens[here].low, 0)
    for size in range(min(most, len(tokens) - here), 0, -1):
        if any(at in figures for at in range(here + 1, here + size)):
            continue
        words = tuple(tokens[here + step].low for step in range(size))
        found = book.phrases.get(words)
        if found is None:
            continue
        kind, value = found
        low = " ".join(words)
        if (
            kind == "treat"
            and size == 1
            and value in ("grease", "dry", "sealant", "anti-seize", "oil")
            and low != "dry"
            and low != "oiled"
        ):
            continue
        item = Item(kind, low, here, here + size, value=value)
        if kind == "noun":
            item.noun = lexicon().nouns[low]
        elif kind == "place":
            item.value = lexicon().place(low) or low
        return item
    return None


def _word_at(tokens: Sequence[Token], here: int) -> Item:
    low = tokens[here].low
    book = lexicon()
    item = Item("word", low, here, here + 1)
    kind = single_words().get(low)
    item.noun, item.verb = book.nouns.get(low), book.verbs.get(low)
    if kind is not None:
        item.kind = kind
        item.value = book.place(low) or low if kind == "place" else ""
        if low not in _BOTH:
            item.noun = item.verb = None
        return item
    if item.verb or item.noun:
        item.kind = "verb" if item.verb else "noun"
        return item
    if low == "'s":
        item.kind = "aux"
        return item
    meant = misheard_as(low) if tokens[here].is_word else None
    if meant and not _is_name(tokens, here):
        item.noun, item.verb, item.misheard = book.nouns.get(meant), book.verbs.get(meant), low
        item.low = meant
        item.kind = "verb" if item.verb else "noun"
    return item


def _is_name(tokens: Sequence[Token], here: int) -> bool:
    return here > 0 and tokens[here].text[0].isupper()


_BOTH = frozenset(
    {
        "lower",
        "free",
        "open",
        "top",
        "get",
        "gets",
        "got",
        "have",
        "has",
        "had",
        "do",
        "does",
        "did",
        "back",
        "mind",
        "watch",
        "side",
        "left",
    }
)
"""Small words that are also verbs, told apart by what follows."""
