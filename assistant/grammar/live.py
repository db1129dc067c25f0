"""Which requests make sense now: from what is pending to the names that the recogniser listens for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from assistant.grammar.request import REQUESTS, Request

Live = frozenset[str]
"""Request names; beside them `option:N:ID` for each thing that a question offers, N from 1 in the order offered."""

OPTION = "option:"


class Pending(StrEnum):
    """What the assistant waits for."""

    NOTHING = "nothing"
    YES_NO = "yes-no"
    NUMBER = "number"
    """A number, with or without its unit, in words or figures."""
    DIGITS = "digits"
    """A number, figure by figure."""
    OPTIONS = "options"
    """One of several: an option of a fact or a decision, a fastener, a measure."""
    WORDS = "words"
    """Free words: a reason, a name. They come as the request `reason`."""
    NOTE = "note"
    """A note is open: free words go into it (as the request `reason`) until it is ended."""
    ASLEEP = "asleep"


@dataclass(frozen=True, slots=True)
class Ask:
    """The moment, as far as listening depends on it."""

    pending: Pending = Pending.NOTHING
    options: tuple[str, ...] = ()
    """For OPTIONS: the ids offered, in the order in which they were said."""
    begun: bool = True
    """False before the first step."""
    paused: bool = False
    bolting: bool = False
    """True while fasteners are tightened one by one."""
    timing: bool = True
    """True while a timer runs."""
    about: frozenset[str] = frozenset()
    """Ids of what the present step is about: its fasteners, measures, parts."""


def _names(words: str) -> Live:
    return frozenset(words.split())


ALWAYS: Live = _names(
    "stop again pause help note undo cancel louder quieter faster slower terse normal full sounds-on "
    "sounds-off sleep attention can-hear who time person"
)
"""Listened for in every state but sleep."""

QUESTIONS: Live = _names(
    "repeat where left open caution how why more stuck which-tool what-is needed parts tools torque order "
    "which-bolt which-way passes count size treatment reuse fasteners-at limit readings read-notes timers time-worked"
)
"""Asking changes nothing, so it is allowed while a question of ours is open."""

ANSWERS: Live = _names("yes no digits answer reason")
"""Listened for only when asked for: they occur in all talk."""

WORK: Live = frozenset(REQUESTS) - ALWAYS - QUESTIONS - ANSWERS - {"begin", "resume", "click", "wake"}
"""What moves the job on or is written down."""

ONLY_WHEN_ASLEEP: Live = frozenset({"wake"})


def live_for(ask: Ask) -> Live:
    """The request names that are listened for now."""
    if ask.pending is Pending.ASLEEP:
        return ONLY_WHEN_ASLEEP
    if ask.pending is Pending.YES_NO:
        return ALWAYS | QUESTIONS | {"yes", "no", "override"}
    if ask.pending in (Pending.NUMBER, Pending.DIGITS):
        return ALWAYS | {"digits", "measured", "limit", "caution", "how", "why", "repeat", "which-tool", "no"}
    if ask.pending is Pending.OPTIONS:
        return ALWAYS | QUESTIONS | {"answer"} | offered(ask.options)
    if ask.pending is Pending.WORDS:
        return frozenset({"stop", "again", "cancel", "help", "undo", "pause", "reason"})
    if ask.pending is Pending.NOTE:
        return frozenset({"stop", "cancel", "undo", "end-note", "withdraw-note", "reason"})
    live = ALWAYS | QUESTIONS
    if ask.paused:
        return live | {"resume", "hand-over", "timer", "cancel-timer"}
    live |= WORK
    if not ask.begun:
        live |= {"begin"}
    if ask.bolting:
        live |= {"click"}
    return live if ask.timing else live - {"cancel-timer"}


def offered(ids: Iterable[str]) -> Live:
    """What a live set holds for things that were offered in this order."""
    return frozenset(f"{OPTION}{number}:{key}" for number, key in enumerate(ids, 1))


def offers_in(live: Live) -> tuple[str, ...]:
    """The ids offered in a live set, in order."""
    pairs = (name.removeprefix(OPTION).partition(":") for name in live if name.startswith(OPTION))
    return tuple(key for _, _, key in sorted(pairs, key=lambda pair: int(pair[0])))


ABOUT_THIS_STEP = 0.3
"""Nats a token; what a reading gains in rank when it is about the present step. Common practice: context breaks
ties, it does not outvote the sound."""


def prior(request: Request, ask: Ask) -> float:
    """What a reading gains in rank by being about the present step, nats a token; 0 where it is not."""
    named = {
        key
        for slot in ("fastener", "measure", "thing", "tool", "item")
        if isinstance(value := request.slots.get(slot), str)
        for key in value.split("|")
    }
    return ABOUT_THIS_STEP if named & ask.about else 0.0
