"""One job being worked: what was heard or typed comes in; it is answered, logged, and the answer goes out.

The log comes first: an answer is given only when what it stands on is on the disk. Where the disk refuses, the
job stays as it was, and the person is told so.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from assistant.card.fault import CardError
from assistant.card.load import ReadCard, load_card_text, own_file
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.live import TYPED
from assistant.dialogue.reply import Outcome, Reply, Sound
from assistant.dialogue.view import Settings
from assistant.grammar.live import ALWAYS, QUESTIONS, WORK, Live
from assistant.grammar.load import CardGrammar
from assistant.grammar.request import Quantity, Request
from assistant.hearing.ear import Listening
from assistant.hearing.heard import Decision, Heard, Reading, Samples
from assistant.job.events import Event, JobStarted
from assistant.logbook.errors import LogbookError
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.writer import JobWriter
from assistant.voice.wording import speakable

LOG_AGAIN = timedelta(minutes=1)
"""Between two tries to log a timer that rang while nothing could be written."""
AT_ANY_TIME: Live = ALWAYS | QUESTIONS | WORK
"""Requests that are no answers: they mean the same whatever stands open."""
SURE_CONTRAST = 0.05
"""Nats a token; a reading this near to the free one is not held against the whole grammar."""


CardNow = Callable[[str, str], ReadCard | None]
"""Reads a card as it lies on the disk now, by its id and the file it came from: `assistant.card.load.card_today`."""


@dataclass(frozen=True, slots=True)
class Opening:
    """How a session begins."""

    session: Session
    reply: Reply
    """What is said first: the greeting, or where we were."""


class Session:
    """Joins grammar, conversation and logbook. All of it is called from one thread."""

    def __init__(self, conversation: Conversation, grammar: CardGrammar, writer: JobWriter) -> None:
        self.conversation = conversation
        self.grammar = grammar
        self.writer = writer
        self.written: tuple[Event, ...] = ()
        """The events that the last call put into the log."""
        self.unwritten = False
        """True while the last call could not be written down."""
        self._rung: frozenset[int] = frozenset()
        """Timers that rang while nothing could be written."""
        self._log_again = datetime.min.replace(tzinfo=UTC)

    @property
    def is_over(self) -> bool:
        """True once the job is finished."""
        return self.conversation.state.finished

    # -- what may be said -----------------------------------------------------

    def live(self, named: bool = False) -> Listening:
        """What may be said now; with `named` the attention name must come first."""
        live = self.conversation.live
        return Listening(
            self.grammar.acceptor(live, named),
            lambda text: self.grammar.parse(text, live, named),
            lambda text: self.grammar.may_go_on(text, live, named),
            self._held_against_all,
        )

    # -- what was said ----------------------------------------------------------

    def take(self, heard: Heard, now: datetime) -> Outcome:
        """An utterance, logged with its clip."""
        return self._keep(*self.conversation.take(heard, now), now, heard.clip)

    def _held_against_all(self, heard: Heard) -> Heard:
        """The narrow look against the wide one.

        While a question stands open little is listened for; a phrase that is none of it is squeezed into the nearest
        that is, or into nothing. Where the free reading is word for word a request that may come at any time, that
        is what was said. A number in it was not held against what it sounds like: then it is asked for again.
        """
        best = heard.best
        if heard.contrast > -SURE_CONTRAST and best is not None:
            return heard
        said = self.grammar.parse(heard.free, AT_ANY_TIME - self.conversation.live)
        if said is None or self.conversation.asleep:
            return heard
        if any(isinstance(value, Quantity) for value in said.slots.values()):
            return replace(heard, decision=Decision.AGAIN) if heard.decision is not Decision.IGNORE else heard
        score = best.score - heard.contrast if best is not None else 0.0
        return replace(
            heard, best=Reading(said.words, said, score), others=(), contrast=0.0, doubtful=(), decision=Decision.ACT
        )

    def take_typed(self, text: str, now: datetime) -> Outcome:
        """A typed line. A line that is no phrase changes nothing, and the nearest phrase is offered."""
        live = self.conversation.live
        request = self.grammar.parse(text, live) or self.grammar.parse(text, TYPED)
        if request is not None:
            return self._keep(*self.conversation.take(request, now), now)
        return self._keep(*self.conversation.not_understood(text, now, self.grammar.suggest(text, live) or ""), now)

    def overheard(self, heard: Heard, why: str, now: datetime) -> None:
        """An utterance that was not for us: logged as ignored, with its sound, and nothing else."""
        self.take(replace(heard, decision=Decision.IGNORE), now)

    def end_note(self, now: datetime) -> Outcome:
        """The pause that ends a note."""
        return self._keep(*self.conversation.take(Request("end-note"), now), now)

    # -- what comes of itself ---------------------------------------------------

    def tell(self, text: str, about: str, now: datetime) -> Reply:
        """The assistant speaks of itself: a lost microphone, a quiet job. Said even where it cannot be logged."""
        said = Reply(text, spoken=speakable(text))
        reply = self._keep(*self.conversation.tell(text, about, now), now).reply
        return said if self.unwritten else reply

    def tick(self, now: datetime) -> tuple[Reply, ...]:
        """What time brings: timers that ring. One that cannot be logged rings all the same, and once."""
        due = frozenset(timer.seq for timer in self.conversation.state.timers.values() if timer.ends <= now)
        rung = due <= self._rung
        if not due or (rung and now < self._log_again):
            return ()
        conversation, outcome = self.conversation.tick(now)
        self._keep(conversation, outcome, now)
        self._rung = due if self.unwritten else frozenset()
        self._log_again = now + LOG_AGAIN
        return () if rung else (outcome.reply,)

    def _keep(
        self, conversation: Conversation, outcome: Outcome, now: datetime, clip: Samples | None = None
    ) -> Outcome:
        fresh = conversation.fresh
        self.written = ()
        try:
            if fresh:
                bodies = [event.body for event in fresh]
                self.written = self.writer.append(bodies, now, fresh[0].person, fresh[0].step, clip)
        except LogbookError as fault:
            self.unwritten = True
            text = f"That is not written down: {fault} Nothing was changed. Say it again when this is mended."
            return Outcome(Reply(text, Sound.NOT_UNDERSTOOD, text))
        self.unwritten = False
        self.conversation = conversation
        return outcome

    def close(self) -> None:
        """Lets go of the job."""
        self.writer.close()


def begin(
    card: ReadCard,
    logbook: Logbook,
    now: datetime,
    *,
    vehicle: str = "",
    person: str = "",
    name: str = "",
    settings: Settings | None = None,
) -> Opening:
    """A new job by this card. `name` is the attention name, `person` who works. Raises LogbookError."""
    text = card.text.encode()
    conversation, outcome = Conversation.begin(
        card.card, now, card_sha256=hashlib.sha256(text).hexdigest(), vehicle=vehicle, settings=settings
    )
    started, *rest = conversation.fresh
    assert isinstance(started.body, JobStarted)
    started = replace(started, body=(body := replace(started.body, file=own_file(card))))
    writer = logbook.create_job(text, body, now, person)
    writer.append([event.body for event in rest], now)
    session = Session(conversation, CardGrammar(card.card, _people(logbook), name), writer)
    session.written = (started, *rest)
    if person:
        session.take_typed(f"this is {person}", now)
    return Opening(session, outcome.reply)


def resume(
    job: str | None,
    logbook: Logbook,
    now: datetime,
    *,
    person: str = "",
    name: str = "",
    settings: Settings | None = None,
    card_now: CardNow | None = None,
) -> Opening:
    """A job as it was left, by the card that it began with. `job` None: the last unfinished one.

    Where the card that lies on the disk by now is another, the reply says that the job keeps the text it began with.
    Raises LogbookError (JobHeld, NoSuchJob).
    """
    found = logbook.find_job(job, unfinished=job is None)
    text = logbook.card_text(found.card_sha256).decode("utf-8")
    card = load_card_text(text, f"{found.card} of job {found.name}")
    writer = logbook.resume(found.name, now, person)
    conversation, outcome = Conversation.resume(card, logbook.events(found.name), now, settings)
    session = Session(conversation, CardGrammar(card, _people(logbook), name), writer)
    outcome = session._keep(conversation, outcome, now)
    reply = outcome.reply
    if card_now is not None and (changed := _changed_since(logbook, found, text, card_now)):
        note = session.tell(changed, "card-changed", now)
        reply = Reply(f"{note.text} {reply.text}", reply.sound, f"{note.spoken} {reply.spoken}")
    return Opening(session, reply)


def _changed_since(logbook: Logbook, job: JobSummary, text: str, card_now: CardNow) -> str:
    """What is to be said of the card on the disk; empty where it is still the same, or gone."""
    started = next(iter(logbook.each_event(job))).body
    keeps = f"This job keeps revision {job.revision}, which it began with."
    try:
        today = card_now(job.card, started.file if isinstance(started, JobStarted) else "")
    except CardError:
        return f"The card's file cannot be read as a card any more. {keeps}"
    if today is None or today.text == text:
        return ""
    if today.card.revision == job.revision:
        return (
            f"The card has changed since, though it is still called revision {job.revision}. "
            "This job keeps the text that it began with."
        )
    return f"The card has changed since: it is revision {today.card.revision} now. {keeps}"


def _people(logbook: Logbook) -> list[str]:
    """Everyone who has worked here: names to be listened for."""
    return sorted({person for job in logbook.jobs() for person in job.people})
