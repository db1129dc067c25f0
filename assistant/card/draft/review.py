"""Finishing a draft in talk: the open questions one after another, typed or by ear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from assistant.card.load import load_card_text

from .answer import Answer, NotUnderstood
from .answers import answered, read_yaml, text_of, understood_answer
from .questions import Question, Wants, questions_of


class Talk(Protocol):
    """Who asks and hears: a terminal, or voice and ear."""

    is_heard: bool
    """Answers come by ear: each is said back and wants a yes before it is written."""

    def tell(self, words: str) -> None:
        """Says or shows something that wants no answer."""
        ...

    def ask(self, words: str) -> str | None:
        """The answer in words; None where the person has left."""
        ...


@dataclass(frozen=True, slots=True)
class Reviewed:
    text: str
    """The card, with the answers in it."""
    settled: int
    left: int
    """Questions still open."""


_LATER = frozenset({"skip", "next", "later", "don't know", "i don't know", "do not know", "no idea", "pass", "skip it"})
_STOP = frozenset({"stop", "end", "quit", "enough", "that is enough", "that's enough", "finish", "exit"})
_YES = frozenset({"yes", "yeah", "yep", "right", "correct", "okay"})
_BUT = frozenset({"no", "not", "wrong", "wait", "but", "don't", "isn't"})
MOST_TRIES = 3
"""Answers not understood before a question is left for later."""


def review(text: str, talk: Talk, who: str, now: Callable[[], datetime], keep: Callable[[str], None]) -> Reviewed:
    """Asks everything that is open. `keep` gets the card after each answer, so that nothing is lost by leaving."""
    settled = 0
    passed: set[str] = set()
    while (question := _next(text, passed)) is not None:
        words, answer = _answer_to(text, question, talk)
        if words is None:
            break
        if answer is None:
            passed.add(question.key)
            continue
        if answer.value is False:
            passed.add(question.key)
        text = text_of(answered(read_yaml(text), question, answer, words, who, now()), text)
        load_card_text(text, "the draft")
        keep(text)
        settled += answer.value is not False
    left = len(questions_of(load_card_text(text, "the draft")))
    return Reviewed(text, settled, left)


def _next(text: str, passed: set[str]) -> Question | None:
    return next((one for one in questions_of(load_card_text(text, "the draft")) if one.key not in passed), None)


def _answer_to(text: str, question: Question, talk: Talk) -> tuple[str | None, Answer | None]:
    """The words and what they mean; (None, None) where the person stops, (words, None) where the question waits."""
    ask = question.ask
    for _ in range(MOST_TRIES):
        said = talk.ask(ask)
        if said is None or _plain(said) in _STOP:
            return None, None
        if _plain(said) in _LATER:
            return said, None
        answer = understood_answer(read_yaml(text), question, said)
        if isinstance(answer, NotUnderstood):
            talk.tell(answer.say)
            continue
        if not talk.is_heard or (question.wants is Wants.SETTLED and isinstance(answer.value, bool)):
            talk.tell(f"{answer.echo}.")
            return said, answer
        if _is_yes(talk.ask(f"{answer.echo}. Right?") or ""):
            return said, answer
        ask = f"Not written. {question.ask}"
    return "", None


def _is_yes(said: str) -> bool:
    """A yes with nothing that could take it back."""
    words = _plain(said).split()
    return bool(words) and words[0] in _YES and not _BUT & set(words)


def _plain(said: str) -> str:
    return " ".join(said.lower().replace(",", " ").split()).strip(" .!?")
