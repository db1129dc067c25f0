"""Each word of a sentence by what it can be: a verb, a thing, a place, a figure, a small word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from .figures import Figure, figures_in
from .lexicon import Noun, VerbForm, lexicon
from .words import Token

_CONTRACTED = {
    "it's": ("it", "is"),
    "that's": ("that", "is"),
    "there's": ("there", "is"),
    "they're": ("they", "are"),
    "you're": ("you", "are"),
    "we're": ("we", "are"),
    "i'm": ("i", "am"),
    "he's": ("he", "is"),
    "she's": ("she", "is"),
    "what's": ("what", "is"),
    "here's": ("here", "is"),
    "you've": ("you", "have"),
    "i've": ("i", "have"),
    "we've": ("we", "have"),
    "they've": ("they", "have"),
    "you'll": ("you", "will"),
    "i'll": ("i", "will"),
    "we'll": ("we", "will"),
    "they'll": ("they", "will"),
    "it'll": ("it", "will"),
    "that'll": ("that", "will"),
    "you'd": ("you", "would"),
    "i'd": ("i", "would"),
    "we'd": ("we", "would"),
    "they'd": ("they", "would"),
    "let's": ("let", "us"),
    "gonna": ("going", "to"),
    "gotta": ("got", "to"),
    "wanna": ("want", "to"),
    "everything's": ("everything", "is"),
    "who's": ("who", "is"),
    "where's": ("where", "is"),
}


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


def plain_tokens(tokens: Sequence[Token]) -> list[Token]:
    """Contractions opened, hyphens inside words gone, "have a look" said shortly: what the rules read."""
    return list(_shortened(_opened(tokens)))


_TWO_WORD_VERBS = {
    ("wire", "brush"): "clean",
    ("pressure", "wash"): "clean",
    ("power", "wash"): "clean",
    ("jet", "wash"): "clean",
    ("steam", "clean"): "clean",
    ("hand", "tighten"): "snug",
    ("finger", "tighten"): "snug",
    ("removal", "of"): "removing",
    ("installation", "of"): "installing",
    ("fitting", "of"): "fitting",
    ("double", "check"): "check",
    ("spot", "check"): "check",
}
_BEFORE_OBJECTS = frozenset({"the", "it", "them", "all", "both", "your", "each", "these", "those", "that", "this"})


def _shortened(tokens: Sequence[Token]) -> Iterator[Token]:
    """ "Have a good look at" is "look at"; "give it a check" stays as it is."""
    here = 0
    while here < len(tokens):
        one = _TWO_WORD_VERBS.get((tokens[here].low, tokens[here + 1].low if here + 1 < len(tokens) else ""))
        if one and here + 2 < len(tokens) and tokens[here + 2].low in _BEFORE_OBJECTS:
            yield replace(tokens[here], low=one)
            here += 2
            continue
        if (
            tokens[here].low in ("have", "take", "had", "has")
            and here + 2 < len(tokens)
            and tokens[here + 1].low == "a"
        ):
            at = here + 2
            while at < len(tokens) and tokens[at].low in ("good", "quick", "close", "proper", "careful", "long"):
                at += 1
            if at < len(tokens) and tokens[at].low == "look":
                here = at
            elif at + 1 < len(tokens) and tokens[at].low == "feel" and tokens[at + 1].low in ("of", "for", "round"):
                yield tokens[at]
                here = at + 2
                continue
        yield tokens[here]
        here += 1


def _opened(tokens: Sequence[Token]) -> list[Token]:
    plain: list[Token] = []
    joined = False
    for here, token in enumerate(tokens):
        if joined:
            joined = False
            continue
        low = token.low
        parts: Sequence[str]
        if low in _CONTRACTED:
            parts = _CONTRACTED[low]
        elif low.endswith("'s") and len(low) > 3 and low not in ("driver's",):
            parts = (low[:-2], "'s")
        else:
            if token.text == "-":
                between = 0 < here < len(tokens) - 1 and tokens[here - 1].is_word and tokens[here + 1].is_word
                if not between:
                    continue
                if not (tokens[here - 1].text[-1].isdigit() and tokens[here + 1].text[0].isdigit()):
                    if plain and _one_word(tokens, here):
                        compound = f"{plain[-1].low}-{tokens[here + 1].low}"
                        plain[-1] = replace(plain[-1], text=compound, low=compound)
                        joined = True
                    continue
            dropped = bool(here) and tokens[here - 1].text == "-" and (not plain or plain[-1] is not tokens[here - 1])
            plain.append(replace(token, glued=False) if dropped and token.glued else token)
            continue
        plain.extend(
            Token(part if part != low else token.text, part, token.at_s, token.line, token.speaker) for part in parts
        )
    return plain


def _one_word(tokens: Sequence[Token], here: int) -> bool:
    """ "Leak-off hose", "push-in fitting": the hyphen makes one word of them, and the second half is no particle."""
    first, second = tokens[here - 1], tokens[here + 1]
    return (
        tokens[here].glued
        and second.glued
        and second.low in lexicon().set_of("particles")
        and first.low.isalpha()
        and f"{first.low} {second.low}" not in lexicon().nouns
        and here + 2 < len(tokens)
        and tokens[here + 2].is_word
    )


_NOT = (
    "must not be",
    "mustn't be",
    "should not be",
    "shouldn't be",
    "cannot be",
    "can't be",
    "not be",
    "may not be",
    "must not go",
    "not",
    "no",
    "never",
)
_MORE = ("more than", "over", "above", "greater than", "bigger than", "wider than", "higher than")
_FEWER = ("less than", "under", "below", "smaller than", "thinner than", "narrower than", "lower than")
_MOST = (
    *(f"{no} {more}" for no in _NOT for more in _MORE),
    *_FEWER,
    "at most",
    "at the most",
    "at the very most",
    "absolute maximum",
    "absolute most",
    "is the limit",
    "is the most",
    "is the maximum",
    "is the max",
    "the most",
    "maximum",
    "max",
    "up to",
    "must not exceed",
    "not exceed",
    "must be under",
    "limit is",
    "or less",
    "tops",
    "within",
    "maximum of",
    "the limit is",
    "a maximum of",
    "has to be under",
    "or under",
)
_LEAST = (
    *(f"{no} {less}" for no in _NOT for less in _FEWER),
    *_MORE,
    "at least",
    "at the least",
    "at the very least",
    "absolute minimum",
    "is the least",
    "is the minimum",
    "is the min",
    "the least",
    "minimum",
    "min",
    "or more",
    "minimum of",
    "a minimum of",
    "anything under",
    "anything below",
    "anything less than",
    "anything thinner than",
    "less than that",
    "if it is under",
    "if it is below",
    "if it is less than",
    "if they are under",
    "if they are below",
    "if they are less than",
    "once it is under",
    "once it is below",
    "when it is under",
    "when it is below",
)


@dataclass(slots=True)
class _Book:
    phrases: dict[tuple[str, ...], tuple[str, str]] = field(default_factory=dict)
    """Words to (kind, value)."""
    longest: int = 1
    first: dict[str, int] = field(default_factory=dict)
    """First word to the longest phrase that it opens."""

    def add(self, words: str, kind: str, value: str = "") -> None:
        key = tuple(
            part for word in words.replace("-", " ").split() for part in _CONTRACTED.get(word.strip(","), (word,))
        )
        self.phrases.setdefault(key, (kind, value))
        self.first[key[0]] = max(self.first.get(key[0], 1), len(key))


@lru_cache(maxsize=1)
def _book() -> _Book:
    words = lexicon().words
    book = _Book()
    for group, kind in (("treatments", "treat"), ("manner", "manner")):
        for name, phrases in words[group].items():
            for phrase in phrases:
                book.add(phrase, kind, name)
    for phrase, kind in (
        ("as well as", "conj"), ("and also", "conj"), ("as well", "filler"), ("after which", "seq"),
        ("whereupon", "seq"), ("at which point", "seq"), ("upon which", "seq"),
    ):  # fmt: skip
        book.add(phrase, kind)
    for phrase in (
        "a turn at a time", "half a turn at a time", "one turn at a time", "a bit at a time", "bit by bit",
        "little by little", "turn by turn", "a quarter turn at a time", "quarter of a turn at a time",
        "a half turn at a time", "by the way", "at the same time",
    ):  # fmt: skip
        book.add(phrase, "filler")
    for phrase in ("across flats", "across the flats", "across the flat"):
        book.add(phrase, "word")
    for phrases, kind in ((_MOST, "most"), (_LEAST, "least")):
        for phrase in phrases:
            book.add(phrase, kind)
    for spelling in lexicon().nouns:
        if " " in spelling:
            book.add(spelling, "noun")
    for group, kind in (
        ("not_needed", "neg"),
        ("auxiliaries", "aux"),
        ("subordinators", "sub"),
        ("fillers", "filler"),
        ("determiners", "det"),
        ("pronouns", "pron"),
        ("sequence", "seq"),
        ("negations", "neg"),
        ("prepositions", "rel"),
        ("places", "place"),
        ("particles", "rel"),
    ):
        for phrase in words[group]:
            if " " in phrase or "'" in phrase:
                book.add(phrase, kind)
    return book


@lru_cache(maxsize=1)
def _single() -> dict[str, str]:
    """Single small words to their kind, most telling first."""
    words = lexicon().words
    kinds: dict[str, str] = {}
    for group, kind in (
        ("subordinators", "sub"),
        ("prepositions", "rel"),
        ("particles", "rel"),
        ("determiners", "det"),
        ("pronouns", "pron"),
        ("auxiliaries", "aux"),
        ("subjects", "subj"),
        ("negations", "neg"),
        ("sequence", "seq"),
        ("fillers", "filler"),
        ("places", "place"),
    ):
        for word in words[group]:
            kinds.setdefault(str(word), kind)
    kinds |= {
        "and": "conj",
        "or": "conj",
        "but": "conj",
        ",": "comma",
        ";": "comma",
        ":": "comma",
        "am": "aux",
        "plus": "conj",
        "back": "rel",
    }
    for end in ".?!":
        kinds[end] = "end"
    return kinds


@lru_cache(maxsize=200_000)
def misheard_as(word: str) -> str | None:
    """The trade's word that this one is a slip of, or None. Short and ordinary words are never taken for another."""
    book = lexicon()
    if len(word) < 5 or not word.isalpha() or word in _single() or word in _ordinary():
        return None
    found = process.extractOne(word, _long_words(), scorer=fuzz.ratio, score_cutoff=86)
    if found is None:
        swapped = [known for known in _by_letters().get("".join(sorted(word)), ()) if OSA.distance(word, known) == 1]
        return swapped[0] if len(swapped) == 1 and swapped[0][0] == word[0] else None
    if found[0][0] != word[0]:
        return None
    known = str(found[0])
    return known if known in book.nouns or known in book.verbs else None


@lru_cache(maxsize=1)
def _by_letters() -> dict[str, tuple[str, ...]]:
    """The same words by their letters in order: two that change places are the commonest slip of the hand."""
    found: dict[str, tuple[str, ...]] = {}
    for word in _long_words():
        key = "".join(sorted(word))
        found[key] = (*found.get(key, ()), word)
    return found


@lru_cache(maxsize=1)
def _ordinary() -> frozenset[str]:
    words = lexicon().words
    return frozenset(words["confusable"]) | frozenset(words["english"])


@lru_cache(maxsize=1)
def _long_words() -> tuple[str, ...]:
    book = lexicon()
    return tuple(sorted({word for word in (*book.nouns, *book.verbs) if len(word) >= 5 and " " not in word}))


def tagged(tokens: Sequence[Token]) -> list[Item]:
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
        items.append(item)
        here = item.end
    return items


def _phrase_at(tokens: Sequence[Token], here: int, figures: dict[int, Figure]) -> Item | None:
    book = _book()
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
    kind = _single().get(low)
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
    }
)
"""Small words that are also verbs, told apart by what follows."""
