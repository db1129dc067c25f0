"""How near two names are to the ear.

A name is turned into sounds by spelling rules for English (a rough cut of what a dictionary would give:
good enough to tell "dowel" and "towel" near, "front" and "rear" far), and two rows of sounds are
compared by an edit distance in which sounds that noise mixes up cost little: voiced and unvoiced pairs,
nasals, hisses, neighbouring vowels. The classes follow place and manner of articulation, as in any
phonetics primer; the costs are our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

_VOWELS = "iIEeaQcouUV3YWO"
# longest first; a rule is (spelling, what must follow, sounds)
_RULES: tuple[tuple[str, str, str], ...] = (
    ("ought", "", "ct"), ("ough", "", "o"), ("augh", "", "c"), ("eigh", "", "e"), ("tion", "", "Sn"),
    ("sion", "", "Zn"), ("ture", "$", "C3"), ("cious", "", "SVs"), ("igh", "", "Y"), ("tch", "", "C"),
    ("sch", "", "sk"), ("chr", "", "kr"), ("dge", "", "J"), ("eau", "", "o"), ("oor", "", "cr"), ("our", "", "cr"),
    ("ear", "", "ir"), ("eer", "", "ir"), ("air", "", "Er"), ("are", "$", "Er"), ("ore", "", "cr"), ("ire", "$", "Yr"),
    ("ure", "$", "Ur"), ("que", "$", "k"), ("gue", "$", "g"), ("qu", "", "kw"), ("ck", "", "k"), ("ch", "", "C"),
    ("sh", "", "S"), ("ph", "", "f"), ("th", "", "T"), ("wh", "", "w"), ("gh", "", ""), ("ng", "$", "N"),
    ("nk", "", "Nk"), ("mb", "$", "m"), ("le", "$", "Vl"), ("sc", "[eiy]", "s"), ("cc", "[ei]", "ks"),
    ("ee", "", "i"), ("ea", "", "i"), ("ie", "$", "Y"), ("ie", "", "i"), ("ei", "", "i"), ("ey", "$", "i"),
    ("oo", "", "u"), ("ou", "", "W"), ("ow", "$", "o"), ("ow", "", "W"), ("oa", "", "o"), ("oi", "", "O"),
    ("oy", "", "O"), ("oe", "$", "o"), ("ai", "", "e"), ("ay", "", "e"), ("au", "", "c"), ("aw", "", "c"),
    ("ew", "", "u"), ("ue", "$", "u"), ("ui", "", "u"), ("er", "(?![aeiou])", "3"), ("ir", "(?![aeiou])", "3"),
    ("ur", "(?![aeiou])", "3"), ("or", "(?![aeiou])", "cr"), ("ar", "(?![aeiou])", "ar"),
    ("ol", "[dt]", "ol"), ("all", "", "cl"), ("al", "[kt]", "cl"),
    ("a", "[bcdfgklmnpstvz]es?$", "e"), ("i", "[bcdfgklmnpstvz]es?$", "Y"), ("o", "[bcdfgklmnpstvz]es?$", "o"),
    ("u", "[bcdfgklmnpstvz]es?$", "u"), ("e", "s?$", ""), ("c", "[eiy]", "s"), ("g", "[ey]", "J"),
    ("y", "[aeiou]", "y"),
    ("y", "", "i"), ("x", "", "ks"), ("a", "", "a"), ("e", "", "E"), ("i", "", "I"), ("o", "$", "o"), ("o", "", "Q"),
    ("u", "", "V"), ("c", "", "k"), ("q", "", "k"), ("j", "", "J"),
)  # fmt: skip
_AT_START = (("kn", "n"), ("gn", "n"), ("wr", "r"), ("ps", "s"), ("pn", "n"))
# words that the rules get badly wrong, digits and trade words mostly
_ODD = {
    "one": "wVn", "two": "tu", "four": "fcr", "eight": "et", "gear": "gir", "gears": "girz", "gauge": "geJ",
    "gasket": "gaskEt", "get": "gEt", "fly": "flY", "guard": "gard", "guide": "gYd",
    "axle": "aksVl", "engine": "EnJIn", "hose": "hoz", "bearing": "bErIN",
    "yoke": "yok", "pilot": "pYlVt", "spider": "spYd3", "idler": "Ydl3", "spigot": "spIgVt", "body": "bQdi",
    "head": "hEd", "thread": "TrEd", "oil": "OVl", "iron": "Y3n", "cover": "kVv3", "front": "frVnt", "lower": "lo3",
    "outer": "Wt3", "brake": "brek", "break": "brek", "caliper": "kalIp3", "calliper": "kalIp3", "tie": "tY",
    "steering": "stirIN", "bush": "bUS", "pulley": "pUli", "nut": "nVt", "done": "dVn",
    "other": "VT3", "mounting": "mWntIN",
}  # fmt: skip
_WORD = re.compile(r"[a-z]+|\d+")


@lru_cache(maxsize=65_536)
def sounds_of(words: str) -> str:
    """The sounds of a phrase, one character each, words run together: "cross member" and "crossmember" alike.
    Figures sound as the words they are read as."""
    sounds = "".join(_sounds_of_word(word) for word in _WORD.findall(words.casefold().replace("'", "")))
    return re.sub(r"(.)\1+", r"\1", sounds)


@lru_cache(maxsize=65_536)
def _sounds_of_word(word: str) -> str:
    if word.isdigit():
        from num2words import num2words

        read_as = str(num2words(int(word))) if len(word) <= 4 else " ".join(word)
        return "".join(_sounds_of_word(part) for part in re.findall("[a-z]+", read_as.replace(" and ", " ")))
    if word in _ODD:
        return _ODD[word]
    if word.endswith("s") and word[:-1] in _ODD:
        return _ODD[word[:-1]] + "z"
    for length in range(len(word) - 3, 2, -1):
        # a compound that begins with an odd one: gearbox, flywheel
        if word[:length] in _ODD:
            return _ODD[word[:length]] + _sounds_of_word(word[length:])
    sounds, at = "", 0
    for spelling, sound in _AT_START:
        if word.startswith(spelling):
            sounds, at = sound, len(spelling)
    while at < len(word):
        spelling, sound = _rule(word, at)
        sounds += sound
        at += len(spelling)
    return sounds


def _rule(word: str, at: int) -> tuple[str, str]:
    for spelling, then, sound in _RULES:
        if word.startswith(spelling, at) and (not then or re.match(then, word[at + len(spelling) :])):
            # a silent e needs a vowel before it
            if spelling == "e" and not sound and not re.search("[aeiouy]", word[:at]):
                continue
            return spelling, sound
    return word[at], word[at]


_NEAR_SOUNDS: tuple[tuple[float, tuple[str, ...]], ...] = (
    # voiced and unvoiced; vowels next to each other
    (0.25, ("pb", "td", "kg", "fv", "sz", "SZ", "CJ", "iI", "uU", "EI", "aE", "QV", "Qc", "3V", "oc", "eE", "oU",
            "Ve")),
    # same manner, next place; a diphthong and its halves
    (0.4, ("mn", "nN", "mN", "fT", "vT", "sT", "sS", "zZ", "SC", "ZJ", "tC", "dJ", "lr", "lw", "wr", "wv", "YI", "Ya",
           "YO", "WQ", "Wo", "Wa", "Oo", "ei", "aV", "3c", "3E", "oQ", "uo", "EV", "VI")),
    (0.5, ("pt", "kt", "pk", "bd", "dg", "bg", "tT", "dT", "vb", "mb")),
    # both place and voice, or a breath
    (0.75, ("pd", "pg", "tb", "tg", "kb", "kd", "ht", "hp", "hk", "hf", "hT")),
)  # fmt: skip
_PAIRS = {frozenset(pair): cost for cost, pairs in _NEAR_SOUNDS for pair in pairs}
_WEAK = "hryw"


def _drop(sound: str) -> float:
    """Cost of a sound that is there in one and missing in the other."""
    return 0.5 if sound in _VOWELS or sound in _WEAK else 0.9


def _swap(one: str, other: str) -> float:
    if one == other:
        return 0.0
    if one in _VOWELS and other in _VOWELS:
        return _PAIRS.get(frozenset((one, other)), 0.6)
    return _PAIRS.get(frozenset((one, other)), 1.0)


@lru_cache(maxsize=262_144)
def _cost_between(one: str, other: str) -> float:
    row = [0.0]
    for sound in other:
        row.append(row[-1] + _drop(sound))
    for sound in one:
        above, row = row, [row[0] + _drop(sound)]
        for at, against in enumerate(other):
            row.append(min(above[at] + _swap(sound, against), above[at + 1] + _drop(sound), row[at] + _drop(against)))
    return row[-1]


def sounds_like_distance(one: str, other: str) -> float:
    """0 where two phrases sound the same, 1 where nothing is alike: edit cost as a share of the longer phrase."""
    first, second = sorted((sounds_of(one), sounds_of(other)))
    whole = max(sum(map(_drop, first)), sum(map(_drop, second)))
    return min(1.0, _cost_between(first, second) / whole) if whole else 0.0


EASILY_CONFUSED = 1.0
"""Edit cost at which two names are one swallowed sound apart (thirteen and thirty, top plate and stop plate)."""


def easily_confused(one: str, other: str) -> bool:
    """True where one sound swallowed, or two blurred, turns one name into the other.

    This is an absolute cost, not a share: a long common tail does not make "front hub bolts" and "rear hub
    bolts" alike, for the words that tell them apart are clear.
    """
    first, second = sorted((sounds_of(one), sounds_of(other)))
    return _cost_between(first, second) <= EASILY_CONFUSED


def confused_pairs(names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """All pairs of different names that are easily confused, in the order given.

    A coarse distance over all pairs first, in C; the fine one only on what is left.
    """
    listed = list(dict.fromkeys(names))
    keys = [sound_key(name) for name in listed]
    # swaps inside a class leave the key as it is; what costs 1.0 or less changes at most two letters of it
    near = cdist(keys, keys, scorer=Levenshtein.distance, score_cutoff=2)
    for at, row in enumerate(near):
        for other in range(at + 1, len(listed)):
            if row[other] <= 2 and easily_confused(listed[at], listed[other]):
                yield listed[at], listed[other]


_CLASS = str.maketrans(
    {
        **dict.fromkeys("pbtdkgCJ", "t"),
        **dict.fromkeys("fvTszSZ", "s"),
        **dict.fromkeys("mnN", "n"),
        **dict.fromkeys("lrwy", "r"),
        **dict.fromkeys(_VOWELS, "a"),
    }
)


def sound_key(words: str) -> str:
    """A coarse key: sounds by class only (stops, hisses, nasals, liquids, vowels), for a first sieve."""
    return sounds_of(words).translate(_CLASS)
