"""What is in an answer: a number, free words, a reason, one of the options."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from assistant.card.model import FactOption
from assistant.dialogue.which import Candidate, Found, which
from assistant.grammar.request import Quantity, Request


def quantity_said(request: Request) -> Quantity | None:
    """The number in an answer: said whole, or in digits ("6 5")."""
    value = request.slots.get("value")
    if isinstance(value, Quantity):
        return value
    if isinstance(value, int):
        return Quantity(Decimal(value), "", str(value))
    if isinstance(value, str):
        try:
            return Quantity(Decimal(value.replace(" ", "")), "", value)
        except InvalidOperation:
            return None
    return None


def words_said(request: Request) -> str:
    """Free words in an answer, whichever request they came as."""
    for slot in ("text", "reason", "option", "name"):
        if request.slots.get(slot):
            return str(request.slots[slot]).strip()
    return ""


NO_REASON = frozenset(("yes", "no", "ok", "okay", "done", "next", "yeah", "yep", "nope", "because", "reason"))


_BEFORE_A_NAME = re.compile(
    r"^(yes,? )?((it's|it is|this is|that's|that is|i'm|i am|my name is|the name is|name is|here is) )", re.I
)
_NO_NAMES = NO_REASON | {
    "me", "i", "myself", "you", "he", "she", "him", "her", "us", "we", "nobody", "no one", "someone", "somebody",
    "both", "the foreman", "foreman", "a second person", "the second person", "hello", "right", "fine", "good", "sure",
    "go", "ready", "safe", "what", "who", "huh",
}  # fmt: skip


def name_said(request: Request) -> str:
    """A name in the answer: at most three words, all letters; empty where the words are none."""
    name = str(request.slots.get("name", "")) if request.name == "person" else words_said(request)
    name = re.sub(r" (here|speaking|confirms|confirms it|does|did|says yes)$", "", name.strip(" .,!"), flags=re.I)
    words = _BEFORE_A_NAME.sub("", name).split()
    plain = 1 <= len(words) <= 3 and all(re.fullmatch(r"[^\W\d_]+([-'’.][^\W\d_]*)*", word) for word in words)
    if not plain or " ".join(words).casefold() in _NO_NAMES or _A_QUESTION.match(name):
        return ""
    return " ".join(word[:1].upper() + word[1:] for word in words)


_LED_IN = re.compile(
    r"^((skip|override|accept|leave) (it|that|this)( step)?( out)?,? )?(because|since|as the reason is|the reason is) ",
    re.I,
)
"""What people say before a reason though it was asked for; a reason is logged without it."""


_A_QUESTION = re.compile(r"(what|which|where|who|how|why)\b", re.I)


def reason_said(request: Request) -> str:
    """A reason in the answer; empty where the words give none ("yes"), or ask something ("what was that bolt")."""
    words = _LED_IN.sub("", words_said(request))
    if _A_QUESTION.match(words) or words.endswith("?"):
        return ""
    return "" if words.casefold().strip(" .,!") in NO_REASON else words


def option_said(options: Mapping[str, FactOption], request: Request) -> str:
    """The option that the answer names; empty where none."""
    words = request.name if request.name in ("yes", "no") else words_said(request)
    words = words.casefold().strip(" .")
    for option, it in options.items():
        if words in {name.casefold() for name in (option, it.say, *it.aka)}:
            return option
    if not words or request.name not in ("answer", "reason"):
        return ""
    found = which(words, [Candidate(option, it.say, tuple(it.aka)) for option, it in options.items()])
    return found.id if isinstance(found, Found) and found.exact else ""
