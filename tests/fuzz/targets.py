"""What is fuzzed. Each target takes bytes, says whether they were taken or refused in words, and raises for a find.

A refusal is one of the tool's own errors, whose text is for the person. Anything else that is raised is a find.
"""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from unittest import mock

from assistant.card.check.checked import check_card
from assistant.card.load import read_card, read_card_text
from assistant.dialogue.conversation import Conversation
from assistant.errors import BayError
from assistant.grammar.expansion import Grammar
from assistant.grammar.jsgf import read_grammar
from assistant.grammar.library import joined, shipped_grammars
from assistant.grammar.load import CardGrammar
from assistant.grammar.names import card_grammar, unit_grammar, written_grammar
from assistant.grammar.network import Network
from assistant.grammar.walk import BEFORE, Walk
from assistant.hearing.files import frames, inspected
from assistant.job.events import Answered, Reopened, Said
from assistant.job.state import fold
from assistant.logbook.store import Logbook
from assistant.logbook.verify import verify
from assistant.session import Session, begin, resume

Target = Callable[[bytes], bool]
"""True: taken. False: refused in words."""

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
CARD = Path(__file__).parents[1] / "cards" / "belt-guard.yaml"
WITHOUT_A_DISK = "/dev/shm" if Path("/dev/shm").is_dir() else None
"""Thousands of jobs are begun here; what a disk does to one is looked at elsewhere."""
LONGEST_HEARD = 20_000
"""Frames that are read of a sound file that is taken: ten minutes and a half."""


def card(content: bytes) -> bool:
    """A card's file: read, checked, its names put into the grammar, a job begun by it."""
    with tempfile.NamedTemporaryFile(suffix=".yaml") as file:
        file.write(content)
        file.flush()
        try:
            read = read_card(file.name)
        except BayError as told:
            _is_for_a_person(told)
            return False
    check_card(read)
    try:
        grammar = CardGrammar(read.card)
        grammar.parse("what is next")
    except BayError as told:
        _is_for_a_person(told)
    talk, _ = Conversation.begin(read.card, NOW)
    for line in ("begin", "done", "how many are left"):
        request = grammar.parse(line, talk.live)
        if request is not None:
            talk, _ = talk.take(request, NOW)
    return True


def grammar(content: bytes) -> bool:
    """A grammar file among those that are shipped, made into a network and walked."""
    with tempfile.NamedTemporaryFile(suffix=".jsgf") as file:
        file.write(content)
        file.flush()
        try:
            made = read_grammar(Path(file.name))
            library = joined([*(other for other in _grammars() if other.name != made.name), made])
        except BayError as told:
            _is_for_a_person(told)
            return False
    network = Network(library)
    walk = Walk(network)
    for rule in library.public_rules(made.name):
        position = walk.position([(BEFORE, network.start_of(rule), 0)])
        for letter in "take out the bolts":
            if position < 0:
                break
            position = walk.step(position, letter)
    return True


def sound(content: bytes) -> bool:
    """A sound file: looked over, and all of it read as frames."""
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        file.write(content)
        file.flush()
        try:
            for frame in itertools.islice(frames(inspected(Path(file.name))), LONGEST_HEARD):
                assert abs(frame.samples).max() <= 1.0, "sound beyond full scale"
        except BayError as told:
            _is_for_a_person(told)
            return False
    return True


@cache
def _grammars() -> tuple[Grammar, ...]:
    """All that a card's grammar is made of."""
    card, _ = _card_and_grammar()
    return (*shipped_grammars(), written_grammar(), unit_grammar(), card_grammar(card.card, (), ()))


@cache
def _card_and_grammar():  # type: ignore[no-untyped-def]
    text = CARD.read_text(encoding="utf-8")
    read = read_card_text(text, CARD.name)
    return read, CardGrammar(read.card)


def typed(content: bytes) -> bool:
    """Lines typed into a job: each is answered, and the log holds exactly what the session knows.

    A line that is no phrase changes nothing in the job.
    """
    read, words = _card_and_grammar()
    understood = False
    # one grammar serves all: making it takes longer than a job
    once = mock.patch("assistant.session.CardGrammar", return_value=words)
    with once, tempfile.TemporaryDirectory(dir=WITHOUT_A_DISK) as folder, Logbook.open(Path(folder)) as logbook:
        session = begin(read, logbook, NOW).session
        name = session.writer.name
        for number, line in enumerate(content.decode("utf-8", "replace").splitlines()[:60]):
            now = NOW + timedelta(seconds=20 * (number + 1))
            session.tick(now)
            before = session.conversation.state.seq
            outcome = session.take_typed(line, now)
            assert not session.unwritten, outcome.reply.text
            done = [event.body for event in session.written]
            assert isinstance(done[0], Said), "the utterance is logged first"
            if not done[0].request:
                assert len(done) == 1, f"{line!r} is no phrase, and did {done[1:]}"
                assert session.conversation.state.seq == before + 1
            else:
                understood = True
            if session.is_over:
                break
        session.close()
        _log_and_session_agree(session, logbook, name)
    return understood


def _log_and_session_agree(session: Session, logbook: Logbook, name: str) -> None:
    events = logbook.events(name)
    known = session.conversation.state
    assert fold(session.grammar.card, events) == known, "the log folded is another job"
    proof = verify(logbook)
    assert proof.whole, [str(fault) for fault in proof.faults]
    again = resume(name, logbook, NOW + timedelta(days=1)).session
    again.close()
    fresh = [event.body for event in logbook.events(name)[len(events) :]]
    assert all(isinstance(body, Reopened | Answered) for body in fresh), "coming back only says so"


def _is_for_a_person(told: BayError) -> None:
    text = str(told)
    assert text.strip(), "a refusal without words"
    assert "Traceback" not in text
    assert not text.startswith(("KeyError", "ValueError", "<"))


TARGETS: dict[str, Target] = {"card": card, "grammar": grammar, "sound": sound, "typed": typed}
