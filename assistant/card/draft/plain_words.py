"""The words of a sentence as the rules read them: contractions opened, hyphens gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from .left_out import without_asides, without_contrasts, without_opinions
from .lexicon import lexicon
from .turned import sorts_named, turned
from .words import Token

CONTRACTED = {
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


def plain_tokens(tokens: Sequence[Token]) -> list[Token]:
    """Contractions opened, hyphens inside words gone, "have a look" said shortly: what the rules read."""
    tokens = without_opinions(without_asides(sorts_named(list(tokens))))
    return turned(without_contrasts(list(_said_shorter(list(_shortened(_opened(tokens)))))))


_SHORTER = {
    ("except", "for"): ("except",), ("apart", "from"): ("except",), ("other", "than"): ("except",),
    ("them", "all", "bar"): ("all", "but"), ("them", "all", "but"): ("all", "but"),
    ("all", "bar"): ("all", "but"),
    ("they", "both"): ("both", "of", "them"), ("in", "two", "halves"): (), ("in", "one", "piece"): (),
    ("all", "of", "them", "but"): ("all", "but"), ("all", "of", "them", "bar"): ("all", "but"),
    ("them", "all", "except"): ("all", "but"), ("excepting",): ("except",),
    ("save", "for"): ("except",), ("but", "not", "the"): ("except", "the"),
    ("but", "for", "the"): ("except", "the"), ("bar", "the"): ("except", "the"),
    ("all", "out", "but"): ("out", ",", "all", "but"), ("all", "off", "but"): ("off", ",", "all", "but"),
    ("with", "the", "engine", "off"): (), ("with", "engine", "off"): (), ("with", "the", "power", "off"): (),
    ("with", "the", "ignition", "off"): (), ("with", "the", "key", "off"): (),
    ("one", "and", "then", "the", "one", "opposite"): ("across",),
    ("and", "then", "the", "one", "opposite"): ("across",),
    ("one", "then", "the", "one", "opposite"): ("across",),
    ("go", "round", "them", "in", "turn"): ("tighten", "them", "round", "and", "round"),
    ("go", "round", "them", "all", "in", "turn"): ("tighten", "them", "round", "and", "round"),
    ("then", "round", "again", "in", "turn"): ("then", "tighten", "them", "again", "round", "and", "round"),
    ("all", "over", "it"): ("on", "it"), ("all", "over", "them"): ("on", "them"), ("all", "round", "it"): ("on", "it"),
    ("on", "top", "of", "it"): ("on", "it"), ("on", "top", "of", "that"): ("on", "that"),
    ("let", "it", "go", "cold"): ("wait",), ("let", "it", "go", "cool"): ("wait",),
    ("fire", "it", "up"): ("wait",), ("fire", "her", "up"): ("wait",), ("start", "her", "up"): ("wait",),
    ("not", "the", "one"): ("except", "the", "one"),
    ("of", "em"): ("of", "them"), ("owt",): ("anything",), ("nowt",): ("nothing",), ("summat",): ("something",),
    ("out", "from", "under"): ("out", "from"), ("out", "from", "underneath"): ("out", "from"),
    ("out", "from", "between"): ("out", "from"), ("out", "from", "behind"): ("out", "from"),
    ("away", "from", "under"): ("away", "from"),
    ("up", "and", "away"): ("away",), ("up", "and", "out"): ("out",), ("up", "and", "off"): ("off",),
    ("down", "and", "out"): ("out",), ("down", "and", "off"): ("off",), ("down", "and", "away"): ("away",),
    ("off", "and", "away"): ("off",), ("out", "and", "away"): ("out",), ("out", "and", "off"): ("off",),
    ("back", "and", "out"): ("out",), ("back", "and", "off"): ("off",), ("back", "and", "away"): ("away",),
    ("clear", "and", "away"): ("away",), ("round", "and", "out"): ("out",),
}  # fmt: skip
"""Turns of phrase and the one word that they come to: ways of excepting, particles in pairs."""


_THROWN = {"up": ("lift", "out"), "off": ("take", "off"), "out": ("take", "out"), "in": ("put", "in")}
"""A particle that stands for the deed."""


@lru_cache(maxsize=1)
def _done() -> dict[str, str]:
    """ "scraping" to "scraped"."""
    forms = lexicon().verbs
    past: dict[str, str] = {}
    for form, one in forms.items():
        if one.form == "past":
            past[one.verb.base] = form  # the last one: taken, not took
    return {form: past[one.verb.base] for form, one in forms.items() if one.form == "ing" and one.verb.base in past}


_HOW = {"thick": "thickness", "thin": "thickness", "deep": "depth", "wide": "width", "long": "length", "high": "height",
        "tall": "height", "worn": "wear", "flat": "flatness"}  # fmt: skip
"""What is asked with "how": "how thick the pads are" is their thickness."""
_GOT = {
    "scrape": "scraped", "wipe": "wiped", "clean": "cleaned", "brush": "brushed", "rinse": "rinsed", "wash": "washed",
    "polish": "polished", "check": "checked", "scrub": "scrubbed", "measure": "measured",
}  # fmt: skip
"""What a thing gets that is cleaned or looked at: "the trough got a scrape"."""
_NEEDS = frozenset({"needs", "need", "wants", "want", "requires", "require"})


def _said_shorter(tokens: list[Token]) -> Iterator[Token]:
    here = 0
    while here < len(tokens):
        if tokens[here].low in ("got", "gets", "had", "needs", "wants") and here + 2 < len(tokens):
            at = here + 2 + (tokens[here + 2].low in ("good", "quick", "proper", "final", "last"))
            got = _GOT.get(tokens[at].low) if tokens[here + 1].low == "a" and at < len(tokens) else None
            if got and here and tokens[here - 1].low not in ("you", "i", "we"):
                yield from (replace(tokens[here], text=word, low=word) for word in ("is", got))
                here = at + 1
                continue
        if tokens[here].low == "how" and here + 3 < len(tokens) and tokens[here + 1].low in _HOW:
            is_at = next(
                (at for at in range(here + 3, min(here + 9, len(tokens))) if tokens[at].low in ("is", "are")), 0
            )
            if is_at:
                told = ("the", _HOW[tokens[here + 1].low], "of")
                yield from (replace(tokens[here], text=word, low=word) for word in told)
                yield from tokens[here + 2 : is_at]
                here = is_at + 1
                continue
        done = _done().get(tokens[here + 1].low) if here + 1 < len(tokens) else None
        if tokens[here].low in _NEEDS and done and here and tokens[here - 1].low not in ("you", "i", "we", "don't"):
            yield from (replace(tokens[here], text=word, low=word) for word in ("must", "be", done))
            here += 2  # "the gasket needs scraping off"
            continue
        if here == 0 and tokens[0].low == "bar" and len(tokens) > 1 and tokens[1].low in ("the", "it", "them"):
            yield replace(tokens[0], text="lever", low="lever")
            here += 1  # "bar the plate off": with a bar, no exception
            continue
        stands = tokens[here].low == "stand" and (
            here == 0 or tokens[here - 1].low in (",", "and", "so", "then", "but")
        )
        if stands and here + 1 < len(tokens) and tokens[here + 1].low in _STAND_WHERE:
            yield replace(tokens[here], text="mind", low="mind")
            here += 1  # "stand to the side of it": nobody's axle stand
            continue
        if tokens[here].low == "wear" and here + 1 < len(tokens) and tokens[here + 1].low in _WORN:
            yield replace(tokens[here], text="mind", low="mind")
            here += 1  # "wear your glasses": no wear of a part
            continue
        opens = here == 0 or tokens[here - 1].low in (",", "and", "then", "so", "now", ".", ";")
        thrown = _THROWN.get(tokens[here].low) if opens and here + 2 < len(tokens) else None
        if thrown and tokens[here + 1].low == "with" and tokens[here + 2].low in ("the", "your", "that", "them", "it"):
            yield from (replace(tokens[here], text=word, low=word) for word in thrown)
            here += 2  # "up with the shaft now"
            continue
        for size in (6, 5, 4, 3, 2, 1):
            short = _SHORTER.get(tuple(token.low for token in tokens[here : here + size]))
            if short is not None and len(tokens[here : here + size]) == size:
                yield from (replace(tokens[here], text=word, low=word) for word in short)
                here += size
                break
        else:
            yield tokens[here]
            here += 1


_STAND_WHERE = frozenset({"to", "clear", "well", "back", "behind", "away", "by", "aside", "beside", "off", "still"})
_WORN = frozenset({"your", "gloves", "goggles", "glasses", "a", "ear", "eye", "safety", "proper", "thick"})
"""What follows "wear" where somebody is to wear something."""


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
        if low in CONTRACTED:
            parts = CONTRACTED[low]
            if parts[-1] == "is" and here + 1 < len(tokens) and tokens[here + 1].low == "got":
                parts = (parts[0], "has")  # "it's got eight bolts"
        elif low.endswith("'s") and len(low) > 3 and low not in ("driver's",):
            got = here + 1 < len(tokens) and tokens[here + 1].low == "got"
            parts = (low[:-2], "has" if got else "'s")
            joined = got  # "the guard's got five bolts in it"
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


def _says_how(low: str) -> bool:
    """ "Self-locking", "spring-loaded", "two-legged", "push-fit": how a thing is made, no deed."""
    return low in ("fit", "free", "proof", "grade", "type") or (len(low) > 4 and low.endswith(("ing", "ed")))


def _of_a_noun(tokens: Sequence[Token], here: int) -> bool:
    """ "Wire-break sensor", "gear-change lever": no deed either."""
    after = tokens[here + 2].low if here + 2 < len(tokens) else ""
    first, second = tokens[here - 1].low, tokens[here + 1].low
    return second in lexicon().verbs and after in lexicon().nouns and first not in ("re", "un", "de", "pre", "double")


def _one_word(tokens: Sequence[Token], here: int) -> bool:
    """ "Leak-off hose", "push-in fitting": the hyphen makes one word of them, and the second half is no particle."""
    first, second = tokens[here - 1], tokens[here + 1]
    return (
        tokens[here].glued
        and second.glued
        and (second.low in lexicon().set_of("particles") or _says_how(second.low) or _of_a_noun(tokens, here))
        and first.low.isalpha()
        and f"{first.low} {second.low}" not in lexicon().nouns
        and here + 2 < len(tokens)
        and (tokens[here + 2].is_word or tokens[here + 2].text in (",", ".", ";", ":"))
    )
