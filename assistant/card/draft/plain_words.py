"""The words of a sentence as the rules read them: contractions opened, hyphens gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from assistant.grammar.numbers import TEENS, TENS, UNITS

from .lexicon import lexicon
from .words import Token

_NUMBER_WORDS = frozenset((*UNITS, *TEENS, *TENS, "hundred"))

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
    tokens = _without_opinions(_without_asides(_sorts_named(list(tokens))))
    return _turned(_without_contrasts(list(_said_shorter(list(_shortened(_opened(tokens)))))))


_NO_TELLING = frozenset(
    {"proper", "whole", "entire", "actual", "decent", "bloody", "blasted", "damn", "damned", "flipping", "wretched",
     "lovely", "stupid", "silly", "poor", "daft", "miserable", "beautiful", "ordinary", "famous", "infamous"}
)  # fmt: skip
"""Words before a name that tell it from nothing else."""
_BEFORE_NAMES = frozenset(
    {"the", "a", "an", "your", "my", "that", "this", "those", "these", "our", "its", "two", "mean"}
)


def _without_opinions(tokens: list[Token]) -> list[Token]:
    """ "A whole cross member", "two proper stands"."""
    return [
        token
        for at, token in enumerate(tokens)
        if not (
            token.low in _NO_TELLING
            and at
            and tokens[at - 1].low in _BEFORE_NAMES
            and at + 1 < len(tokens)
            and tokens[at + 1].is_word
            and tokens[at + 1].low not in ("lot", "thing", "dozen", "job", "way", "set", "bunch", "time", "of", "one")
        )
    ]


def _without_asides(tokens: list[Token]) -> list[Token]:
    """ "Indicator switch next, the one the lead was on" without what only tells which one it is."""
    for at in range(1, len(tokens) - 4):
        if tokens[at].text != "," or (tokens[at + 1].low, tokens[at + 2].low) != ("the", "one"):
            continue
        end = next((here for here in range(at + 3, len(tokens)) if tokens[here].text in _STOPS), len(tokens))
        told = [token.low for token in tokens[at + 3 : end]]
        if {"was", "were"} & set(told) and not any(low[0].isdigit() or low in _NUMBER_WORDS for low in told):
            return [*tokens[:at], *tokens[end:]]
    return tokens


_SORTS = frozenset({"sorts", "kinds", "lengths", "sizes", "types", "lots", "sets"})


def _sorts_named(tokens: list[Token]) -> list[Token]:
    """ "Two sorts of sump bolt, the long ones, four, and the short ones, six" with the bolts named in each."""
    at = next((at for at in range(1, len(tokens) - 3) if tokens[at].low in _SORTS and tokens[at + 1].low == "of"), None)
    if at is None or tokens[at - 1].low not in _NUMBER_WORDS | {"2", "3"}:
        return tokens
    end = next((here for here in range(at + 2, len(tokens)) if not tokens[here].is_word), len(tokens))
    named = tokens[at + 2 : end]
    if not named or len(named) > 4 or not any(token.low == "ones" for token in tokens[end:]):
        return tokens
    if not named[-1].low.endswith("s"):
        last = f"{named[-1].low}s"
        named = [*named[:-1], replace(named[-1], text=last, low=last)]
    told: list[Token] = []
    for token in tokens[end + 1 :]:
        told.extend(named if token.low == "ones" else [token])
    return told


_NO_CONTRAST = frozenset(
    {"more", "less", "over", "above", "under", "below", "beyond", "past", "yet", "until", "till", "before", "after",
     "too", "very", "quite", "fully", "all", "even", "just", "only", "so", "as", "to", "exceeding", "that", "this",
     "if", "unless", "when", "because", "in", "on", "at", "here", "there", "now", "today", "ever", "than"}
)  # fmt: skip
"""Behind these a "not" belongs to what is said: "not more than two", "not too tight"."""
_PUTTING_RIGHT = frozenset({"no", "sorry", "wait", "on", "mean", "rather", "lie"})
_STOPS = (",", ";", ".", "-", "…", "...")


def _goes_further(held: list[str]) -> bool:
    """Whether more than the contrast stands there: not so in "round and round like Dad does it"."""
    twice = [at for at, low in enumerate(held[:-1]) if low == "and" and at and held[at - 1] == held[at + 1]]
    return "but" in held[1:] or any(low == "and" and at not in twice for at, low in enumerate(held) if at)


def _without_contrasts(tokens: list[Token]) -> list[Token]:
    """ "Run sealant round the plate, not half a tube" without what it is not."""
    for at in range(2, len(tokens) - 1):
        none = (
            tokens[at].low == "not" and tokens[at - 1].low == "and" and tokens[at + 1].low in ("one", "a", "an", "any")
        )
        if tokens[at].low != "not" or not (tokens[at - 1].text == "," or none) or tokens[at - 2].low in _PUTTING_RIGHT:
            continue
        end = next((here for here in range(at + 1, len(tokens)) if tokens[here].text in _STOPS), len(tokens))
        held = [token.low for token in tokens[at + 1 : end]]
        said = {token.low for token in tokens[:at]}
        again = [low for low in held if low not in ("the", "a", "an")]
        if (
            not held
            or held[0] in _NO_CONTRAST
            or held[0].endswith("ing")
            or held[:2] == ["the", "one"]
            or set(again) <= said
            or _goes_further(held)
            or any(low[0].isdigit() or low in _NUMBER_WORDS for low in held[none:])
        ):
            continue
        return _without_contrasts([*tokens[: at - 1], *tokens[end:]])
    return tokens


_SHORTER = {
    ("except", "for"): ("except",), ("apart", "from"): ("except",), ("other", "than"): ("except",),
    ("them", "all", "bar"): ("all", "but"), ("them", "all", "but"): ("all", "but"),
    ("all", "bar"): ("all", "but"), ("them", "all", "except"): ("all", "but"), ("excepting",): ("except",),
    ("save", "for"): ("except",), ("but", "not", "the"): ("except", "the"),
    ("but", "for", "the"): ("except", "the"), ("bar", "the"): ("except", "the"),
    ("all", "out", "but"): ("out", ",", "all", "but"), ("all", "off", "but"): ("off", ",", "all", "but"),
    ("with", "the", "engine", "off"): (), ("with", "engine", "off"): (), ("with", "the", "power", "off"): (),
    ("with", "the", "ignition", "off"): (), ("with", "the", "key", "off"): (),
    ("one", "and", "then", "the", "one", "opposite"): ("across",), ("and", "then", "the", "one", "opposite"): ("across",),
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
_HOLDS = frozenset({"holds", "keeps", "secures", "fixes"})


def _said_plainly(tokens: list[Token]) -> list[Token]:
    """ "M12 they are", "nine millimetres, least", "..., for the drum's 220 kilos"."""
    words = [token.low for token in tokens]
    for at in range(2, len(tokens) - 1):
        turned = words[at] in ("they", "it", "those") and words[at + 1] in ("are", "is") and tokens[at - 1].is_word
        ends = at + 2 >= len(tokens) or not tokens[at + 2].is_word
        if turned and ends and any(letter.isdigit() for letter in words[at - 1]):
            return [*tokens[:at], *tokens[at + 2 :]]
    for at in range(2, len(tokens) - 3):
        if words[at - 1 : at + 1] == [",", "so"] and words[at + 2 : at + 4] in (["of", "you"], ["of", "us"]):
            return tokens[: at - 1]  # "forty-two kilos, so two of you, or a hoist"
    for at in range(3, len(tokens) - 2):
        if words[at - 1 : at + 1] == [",", "one"] and words[at + 1] in ("on", "to", "at", "in", "per", "for"):
            counted = any(word in _NUMBER_WORDS - {"one"} or word.isdigit() for word in words[: at - 1])
            stop = next((here for here in range(at, len(tokens)) if not tokens[here].is_word), len(tokens))
            if counted and words[at + 2] in ("each", "either", "every"):
                return [*tokens[: at - 1], *tokens[stop:]]  # "there are two hose clips, one on each"
    last = next((at for at in range(len(tokens) - 1, 1, -1) if tokens[at].is_word), 0)
    if last and words[last] in ("least", "most") and tokens[last - 1].text == ",":
        at_least = [replace(tokens[last], text="at", low="at"), tokens[last]]
        return [*tokens[: last - 1], *at_least, *tokens[last + 1 :]]
    for at in range(2, len(tokens) - 3):
        if tokens[at - 1].text == "," and words[at : at + 2] == ["for", "the"]:
            told = next((here for here in range(at + 3, min(at + 6, len(tokens))) if words[here] in ("'s", "is")), None)
            named = told is not None and words[told - 1] not in ("it", "that", "this", "there", "they")
            if named and all(token.is_word for token in tokens[at:told]):
                return [*tokens[:at], replace(tokens[at], text="because", low="because"), *tokens[at + 1 :]]
    return tokens


def _counted_first(tokens: list[Token]) -> list[Token]:
    """ "New flange seals, two of them" as "two new flange seals"."""
    if not tokens or tokens[0].low not in ("new", "fresh"):
        return tokens
    at = next((at for at, token in enumerate(tokens) if not token.is_word), len(tokens))
    behind = [token.low for token in tokens[at + 1 : at + 4]]
    counted = tokens[at - 1].low.endswith("s") and 2 <= at <= 5 and len(behind) == 3
    if not counted or behind[1:] not in (["of", "them"], ["of", "those"]) or behind[0] not in _NUMBER_WORDS:
        return tokens
    return [tokens[at + 1], *tokens[:at], *tokens[at + 4 :]]


def _turned(tokens: list[Token]) -> list[Token]:
    """ "What holds it on is three long bolts" as "it is held by three long bolts"."""
    tokens = _counted_first(_said_plainly(tokens))
    for at in range(1, len(tokens) - 2):
        up = tokens[at].low == "held" and tokens[at + 1].low in ("up", "in", "down", "together")
        if up and tokens[at + 2].low == "by":
            tokens = [*tokens[: at + 1], *tokens[at + 2 :]]  # "held up by three nuts": on, and not raised
            break
        held_by = any(token.low == "by" for token in tokens[at + 2 : at + 8])
        if tokens[at].low == "hung" and tokens[at - 1].low in ("is", "'s", "are") and held_by:
            tokens = [*tokens[:at], replace(tokens[at], text="held", low="held"), *tokens[at + 1 :]]
    held = next((at for at in range(len(tokens) - 6) if tokens[at].low == "held" and tokens[at + 1].low == "by"), None)
    for at in range(held + 3, len(tokens) - 3) if held is not None else ():
        by = next((here for here in range(at + 2, min(at + 6, len(tokens) - 1)) if tokens[here].low == "by"), None)
        if tokens[at].low == "and" and by is not None and tokens[by + 1].low in (*_NUMBER_WORDS, "a", "its"):
            told = [replace(tokens[by], text=word, low=word) for word in ("is", "held")]
            tokens = [*tokens[:by], *told, *tokens[by:]]  # "held by a plate, and the plate by two bolts"
            break
    for at in range(len(tokens) - 4):
        if tokens[at].low != "what" or tokens[at + 1].low not in _HOLDS:
            continue
        verb = next((here for here in range(at + 3, min(at + 8, len(tokens) - 1)) if tokens[here].low == "is"), None)
        if verb is None:
            continue
        held = tokens[at + 2 : verb]
        while len(held) > 1 and held[-1].low in ("on", "in", "up", "down", "together"):
            held.pop()
        by = [replace(tokens[verb], text=word, low=word) for word in ("held", "by")]
        return [*tokens[:at], *held, tokens[verb], *by, *tokens[verb + 1 :]]
    return tokens


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
