"""Phrases that mean two requests: a fault of a grammar file, or of a name on a card."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.grammar.live import Ask, Live, Pending, live_for
from assistant.grammar.load import ALL_BUT_BARE_REASONS, CardGrammar
from assistant.grammar.request import Request
from assistant.grammar.walk import AFTER, AFTER_FIGURE, FREE, INSIDE, Thread

MOMENTS: tuple[Live, ...] = (ALL_BUT_BARE_REASONS, live_for(Ask(Pending.WORDS)), live_for(Ask(Pending.NOTE)))
"""All that may ever be live together: whatever is live at one time is part of one of these."""


@dataclass(frozen=True, slots=True)
class Ambiguity:
    phrase: str
    requests: tuple[Request, ...]
    """The requests that it may mean; empty where a number in it can be read in two ways."""


def ambiguities(grammar: CardGrammar, most: int = 50, moments: Iterable[Live] = MOMENTS) -> tuple[Ambiguity, ...]:
    """The shortest phrases by which two requests could be meant, of those that are live together.

    Every position of the walk in which two requests are still possible is visited, so that none is missed;
    phrases with the same name and other slots are a matter of `grammar.names` and of samples.
    """
    found: dict[str, Ambiguity] = {}
    for live in moments:
        for phrase in _shared_endings(grammar, live):
            requests = grammar.meanings(phrase, live)
            if len(requests) > 1:
                found.setdefault(phrase, Ambiguity(phrase, requests))
            if len(found) >= most:
                return tuple(found.values())
    return tuple(found.values())


def _shared_endings(grammar: CardGrammar, live: Live) -> Iterable[str]:
    """One phrase for each position at which two requests may both end."""
    walk = grammar.walk
    start = grammar.acceptor(live).start
    waiting: deque[tuple[int, str]] = deque([(start, "")])
    seen = {start}
    while waiting:
        position, text = waiting.popleft()
        for letter in walk.letters(position):
            onward = walk.step(position, letter)
            if onward in seen:
                continue
            seen.add(onward)
            threads = [thread for thread in walk.threads(onward) if thread[0] != FREE]
            alive = [grammar.request_at(*_stack(thread)) for thread in threads]
            if len(set(alive) - {""}) < 2 and "" not in alive:
                continue
            waiting.append((onward, text + letter))
            ending = {
                grammar.request_at(*_stack(thread))
                for thread in threads
                if thread[0] in (AFTER, AFTER_FIGURE) and any(True for _ in walk.ends(thread))
            }
            if len(ending - {""}) > 1:
                yield text + letter


def _stack(thread: Thread) -> tuple[int, int]:
    """Node and stack of a thread."""
    return (thread[1], thread[6]) if thread[0] == INSIDE else (thread[1], thread[2])
