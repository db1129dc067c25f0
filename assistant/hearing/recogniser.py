"""What every recogniser does, whatever its engine: an utterance and what may be said now -> Heard."""

from collections.abc import Callable
from typing import Protocol

from assistant.grammar.acceptor import Acceptor
from assistant.grammar.request import Request
from assistant.hearing.heard import Heard, Utterance

Reads = Callable[[str], Request | None]
"""A phrase as the grammar spells it to the request it stands for; None where it is no phrase."""


class Recogniser(Protocol):
    """An engine that reads inside a grammar."""

    @property
    def name(self) -> str:
        """Short name of the engine, as `--engine` takes it."""
        ...

    def warm_up(self, acceptor: Acceptor) -> None:
        """Does beforehand what the first utterance would wait for."""
        ...

    def hear(self, utterance: Utterance, acceptor: Acceptor, reads: Reads) -> Heard:
        """What was said, as far as the grammar goes, and what to make of it."""
        ...
