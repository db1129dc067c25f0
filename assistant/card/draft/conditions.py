"""Years and variants said in passing, as facts of the card: "on early models", "if it has two pieces"."""

from __future__ import annotations

import re

from .clause import Clause
from .story import Condition
from .thing import Said

_OPPOSITES = {
    "early": "late",
    "late": "early",
    "earlier": "later",
    "later": "earlier",
    "older": "newer",
    "newer": "older",
    "old": "new",
    "new": "old",
    "automatic": "manual",
    "manual": "automatic",
}
_VARIANT = re.compile(
    r"^(?:if|where|when|on) (?:it|yours|that|this|the \w+|you|there|they|the \w+ \w+)(?: one)?(?: has|"
    r" have| is| are| got| is got| have got| has got)+ (?P<what>.+)$"
)
_FITTED = re.compile(
    r"^(?:if|where|when) (?:fitted|there is one|it is fitted|you have one|it has one|you have that|"
    r"it has that|it has it|you have it|there is|present|it is there)$"
)
_STATES = frozenset(
    [
        "stuck",
        "seized",
        "tight",
        "hot",
        "cold",
        "worn",
        "loose",
        "damaged",
        "broken",
        "bent",
        "dry",
        "wet",
        "dirty",
        "rusty",
        "clean",
        "free",
        "ready",
        "done",
        "out",
        "off",
        "in",
        "on",
        "up",
        "down",
        "cracked",
        "leaking",
        "scored",
        "chipped",
        "stretched",
        "short",
        "low",
        "under",
        "over",
        "below",
        "above",
        "bad",
        "fine",
        "good",
        "okay",
        "ok",
        "difficult",
        "stiff",
        "heavy",
        "home",
        "finished",
    ]
)
"""What follows "if it is" and is a state found on the day, not a variant of the vehicle."""


class Conditions:
    """The facts found so far and which hold for the words being read."""

    def __init__(self) -> None:
        self.all: dict[str, Condition] = {}
        self.now: dict[str, str] = {}
        """Conditions opened inside the present sentence."""
        self.last: dict[str, str] = {}

    def end_sentence(self) -> None:
        self.now = {}

    def of_place(self, words: tuple[str, ...], said: Said) -> dict[str, str]:
        """ "on the early ones", "up to 2018"."""
        inside = [
            word
            for word in words
            if word
            not in (
                "on",
                "for",
                "with",
                "in",
                "the",
                "some",
                "all",
                "those",
                "these",
                "any",
                "of",
                "ones",
                "models",
                "model",
            )
        ]
        years = [word for word in words if word.isdigit() and len(word) == 4]
        if years:
            return self._year(words, years[0], said)
        for word in inside:
            if word in _OPPOSITES:
                return self._age(word, said)
        name = " ".join(word for word in words if word not in ("on", "for", "with", "in", "the"))
        return self._yes(name, f"Is it one of these: {name}?", said)

    def of_clause(self, clause: Clause, said: Said) -> bool:
        """ "if it has two pieces": True where it is a variant, and holds for the rest of the sentence."""
        text = re.sub(r"[ ,.;]+(?:and)?[ ,.;]*$", "", " ".join(clause.lows).strip(" ,.;"))
        text = re.sub(r"\s*,.*$", "", text)
        if _FITTED.match(text):
            if self.last:
                self.now = dict(self.last)
                return True
            return False
        match = _VARIANT.match(text)
        if match is None or clause.negated:
            return False
        what = match["what"].strip(" ,.")
        words = what.split()
        if (
            not words
            or words[0] in _STATES
            or words[-1] in _STATES
            or len(words) > 8
            or words[0] in ("more", "less", "no", "any", "to", "not")
        ):
            return False
        for word in words:
            if word in _OPPOSITES and any(model in words for model in ("one", "model", "version", "type")):
                self.now = self._age(word, said)
                return True
        has = " has " in f" {text} " or " got " in f" {text} " or " have " in f" {text} "
        ask = (
            f"Does it have {what}?"
            if has
            else f"Is it {what}?"
            if "there is" not in text and "there are" not in text
            else f"Is there {what}?"
        )
        self.now = self._yes(what, ask, said)
        return True

    def _remember(self, condition: Condition, option: str) -> dict[str, str]:
        self.all.setdefault(condition.id, condition)
        self.last = {condition.id: option}
        return dict(self.last)

    def _age(self, word: str, said: Said) -> dict[str, str]:
        base = {"earlier": "early", "later": "late", "older": "old", "newer": "new"}.get(word, word)
        pair = sorted((base, _OPPOSITES[base]), key=lambda option: option in ("late", "new", "manual"))
        what = "gearbox" if base in ("automatic", "manual") else "model"
        condition = Condition(
            f"{pair[0]}-or-{pair[1]}",
            f"{pair[0].capitalize()} or {pair[1]} {what}?",
            tuple((option, f"{option}") for option in pair),
            said,
        )
        return self._remember(condition, base)

    def _year(self, words: tuple[str, ...], year: str, said: Said) -> dict[str, str]:
        before = "up" in words or words[0] in ("before", "until", "till")
        inclusive = words[0] != "before" and words[0] != "after"
        if before:
            options = (("up-to", f"up to {year}" if inclusive else f"before {year}"), ("later", "later"))
        else:
            options = (("earlier", "earlier"), ("from", f"from {year} on" if inclusive else f"after {year}"))
        word = ("up-to" if inclusive else "before") if before else ("from" if inclusive else "after")
        condition = Condition(f"built-{word}-{year}", f"Built {options[0][1]} or {options[1][1]}?", options, said)
        return self._remember(condition, options[0][0] if before else options[1][0])

    def _yes(self, name: str, ask: str, said: Said) -> dict[str, str]:
        id_ = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:50].strip("-") or "variant"
        id_ = re.sub(r"^(?:a|an|the)-", "", id_)
        return self._remember(Condition(id_, ask, (("yes", "yes"), ("no", "no")), said), "yes")
