"""Whole jobs as typed scripts: what is said, what is answered, what is logged.

    card: wheel-end
    start: 2026-03-02 07:30
    > begin                     what is typed
    < Step 1: ...               the whole answer
    ! step-started park         each event that it led to, but for what was said and asked
    + 20 min                    time goes by
    ~ power cut                 the process dies; the job comes back out of its log

`python -m tests.scripts.play NAME ...` plays a script with the `>`, `+` and `~` lines that it has and writes the
answers and events anew. Read the difference before committing it: a script is a fact of the trade.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from assistant.card.load import find_card
from assistant.card.model import Card
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.live import TYPED
from assistant.dialogue.reply import Outcome
from assistant.dialogue.view import Settings
from assistant.grammar.load import CardGrammar
from assistant.job import events as e
from assistant.job.codec import from_json, to_json
from assistant.job.events import Body, Event, kind_of

FOLDER = Path(__file__).parent
PEOPLE = ("Mara", "Jonas", "Ines")
BETWEEN = timedelta(seconds=30)
"""Between two lines of a script."""


@cache
def card_named(name: str) -> Card:
    return find_card(name).card


@cache
def grammar_of(name: str) -> CardGrammar:
    return CardGrammar(card_named(name), PEOPLE)


@dataclass
class Bay:
    """A person at the keyboard, with a clock that stands still between two lines."""

    card: str
    now: datetime
    log: list[Event] = field(default_factory=list)
    talk: Conversation = field(init=False)

    def __post_init__(self) -> None:
        self.talk, self.greeting = Conversation.begin(card_named(self.card), self.now, settings=Settings(zone=UTC))
        self.log += self.talk.fresh

    def type(self, line: str) -> Outcome:
        """Types one line and gives the answer."""
        self.now += BETWEEN
        grammar = grammar_of(self.card)
        request = grammar.parse(line, self.talk.live) or grammar.parse(line, TYPED)
        talk, outcome = self.talk.take(request, self.now) if request else self.talk.not_understood(line, self.now)
        return self._kept(talk, outcome)

    def ring(self) -> Outcome:
        talk, outcome = self.talk.tick(self.now)
        return self._kept(talk, outcome)

    def power_cut(self) -> Outcome:
        """Only the log is left, as JSON."""
        stored = [(ev, kind_of(ev.body), to_json(ev.body)) for ev in self.log]
        events = [
            Event(ev.seq, ev.at, ev.person, ev.step, from_json(kind, body), ev.group) for ev, kind, body in stored
        ]
        talk, outcome = Conversation.resume(card_named(self.card), events, self.now, Settings(zone=UTC))
        return self._kept(talk, outcome)

    def _kept(self, talk: Conversation, outcome: Outcome) -> Outcome:
        self.talk = talk
        self.log += talk.fresh
        return outcome


def minutes_in(words: str) -> timedelta:
    number, _, unit = words.partition(" ")
    return timedelta(**{{"min": "minutes", "h": "hours", "s": "seconds"}[unit.strip()]: float(number)})


UNTOLD = (e.Said, e.Asked, e.Answered)


def event_in_words(body: Body) -> str:
    """An event on one line: its kind and its fields, empty ones left out."""
    words = []
    for name, value in to_json(body).items():
        if value in (None, "", [], {}) or (name in ("card_sha256", "reading") and value in (1, "")):
            continue
        words.append(",".join(map(str, value)) if isinstance(value, list) else str(value))
    return " ".join([kind_of(body), *words])


@dataclass(frozen=True)
class Exchange:
    """What a script says of one line."""

    line: str
    """With its mark: "> begin", "+ 5 min", "~ power cut"; "" for the greeting."""
    answers: tuple[str, ...]
    events: tuple[str, ...]
    number: int
    """Line in the file."""


def read(path: Path) -> tuple[dict[str, str], list[Exchange]]:
    head: dict[str, str] = {}
    exchanges: list[Exchange] = []
    line, number = "", 0
    answers: list[str] = []
    events: list[str] = []
    started = False
    for n, raw in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        text = raw.strip()
        if not text or text.startswith("#"):
            continue
        if not started and ":" in text and text[0] not in "<>!+~":
            key, _, value = text.partition(":")
            head[key.strip()] = value.strip()
            continue
        started = True
        if text[0] in ">+~":
            exchanges.append(Exchange(line, tuple(answers), tuple(events), number))
            line, number, answers, events = text, n, [], []
        elif text[0] == "<":
            answers.append(text[1:].strip())
        elif text[0] == "!":
            events.append(text[1:].strip())
        else:
            raise ValueError(f"{path.name}:{n}: a line begins with >, <, !, + or ~")
    exchanges.append(Exchange(line, tuple(answers), tuple(events), number))
    return head, exchanges


def begin(head: dict[str, str]) -> Bay:
    return Bay(head["card"], datetime.strptime(head["start"], "%Y-%m-%d %H:%M").replace(tzinfo=UTC))


def played(bay: Bay, exchange: Exchange) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The answers and the events that a line of a script leads to."""
    before = len(bay.log)
    mark, words = exchange.line[:1], exchange.line[1:].strip()
    if not mark:
        outcome, before = bay.greeting, 0
    elif mark == ">":
        outcome = bay.type(words)
    elif mark == "+":
        bay.now += minutes_in(words)
        outcome = bay.ring()
    else:
        outcome = bay.power_cut()
    answers = (outcome.reply.text,) if outcome.reply.text else ()
    return answers, tuple(event_in_words(ev.body) for ev in bay.log[before:] if not isinstance(ev.body, UNTOLD))


def rewritten(path: Path) -> Iterator[str]:
    """The script with the answers and events as they are now."""
    head, exchanges = read(path)
    bay = begin(head)
    at = {exchange.number: exchange for exchange in exchanges}
    todo = iter(path.read_text(encoding="utf-8").splitlines())
    begun = False
    for n, raw in enumerate(todo, start=1):
        text = raw.strip()
        if text[:1] in ("<", "!"):
            continue
        if not begun and text[:1] in (">", "+", "~"):
            begun = True
            yield from _told(played(bay, at[0]))
            yield ""
        yield raw.rstrip()
        if n in at:
            yield from _told(played(bay, at[n]))


def _told(answers_and_events: tuple[tuple[str, ...], tuple[str, ...]]) -> Iterator[str]:
    answers, events = answers_and_events
    yield from (f"< {answer}" for answer in answers)
    yield from (f"! {event}" for event in events)


def main() -> None:
    for name in sys.argv[1:] or [path.stem for path in sorted(FOLDER.glob("*.txt"))]:
        path = FOLDER / f"{name}.txt"
        lines: list[str] = []
        for line in rewritten(path):
            if line or (lines and lines[-1]):
                lines.append(line)
        path.write_text("\n".join(lines).rstrip() + "\n", encoding="utf-8")
        print(path.name)


if __name__ == "__main__":
    main()
