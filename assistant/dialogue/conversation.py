"""One job being talked about: what was heard comes in, the answer and what it changes come out.

A Conversation is a value. It does no I/O: whoever holds it stores `fresh` in the logbook after each call, in that
order and under those numbers, and speaks the reply.

    conversation, outcome = Conversation.begin(card, now)            # a new job
    conversation, outcome = Conversation.resume(card, events, now)   # one from the logbook
    conversation, outcome = conversation.take(heard, now, clip)      # from the ear
    conversation, outcome = conversation.take(request, now)          # typed
    conversation, outcome = conversation.not_understood(line, now)   # typed, no phrase of the grammar
    conversation, outcome = conversation.tick(now)                   # timers; an empty reply where nothing is due

The question that stands open, the place in the job, what "more" goes on with, and how the person wants to be spoken
to live in the state, and so in the log, with the fastener that was last talked about: nothing is lost with the
process but the wording of the last answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from assistant.card.model import Card
from assistant.dialogue.answers import in_digits
from assistant.dialogue.bolting import where_in_bolts
from assistant.dialogue.doubt import has_impossible_unit, in_doubt
from assistant.dialogue.live import listening
from assistant.dialogue.named import ask_which
from assistant.dialogue.pending import pack, unpack
from assistant.dialogue.questions import in_words, said_back
from assistant.dialogue.reply import Outcome, Reply, Sound
from assistant.dialogue.respond import respond_turn
from assistant.dialogue.said import quantity_said
from assistant.dialogue.view import Settings, Turn, View
from assistant.dialogue.wording import say
from assistant.grammar.live import Ask, Live
from assistant.grammar.request import Quantity, Request, SlotValue
from assistant.hearing.heard import Decision, Heard
from assistant.job.events import Answered, Body, Event, JobStarted, Reopened, Said, TimerEnded
from assistant.job.memory import State
from assistant.job.plan import Plan
from assistant.job.state import apply, salvage
from assistant.job.state import begin as beginning
from assistant.voice.wording import speakable

NEVER_HALF_HEARD = frozenset(("yes", "no", "done", "click", "next"))
"""Words of one syllable: all talk is full of them, so half heard they are never taken."""


@dataclass(frozen=True, slots=True)
class Conversation:
    """A job, and where the talk about it stands."""

    state: State
    settings: Settings = field(default_factory=Settings)
    last: str = ""
    """The last reply; what "say again" says."""
    rest: tuple[str, ...] = ()
    """What "more" goes on with."""
    fresh: tuple[Event, ...] = ()
    """What the last call added to the log, numbered: append these as they are."""

    # -- beginning and coming back ------------------------------------------

    @classmethod
    def begin(
        cls,
        card: Card,
        now: datetime,
        *,
        card_sha256: str = "",
        vehicle: str = "",
        settings: Settings | None = None,
    ) -> tuple[Conversation, Outcome]:
        """A new job. The reply greets and says what the card is."""
        talk = cls(beginning(card), settings or Settings())
        started = JobStarted(card.card, card.revision, card_sha256, card.title, vehicle)
        text = say(
            "welcome", talk.settings.verbosity,
            title=card.title, vehicle=vehicle or card.vehicle, notice=card.notice, n=len(talk.state.plan.places),
        )  # fmt: skip
        return talk._speak_up((started, Answered(text, "start")), text, now)

    @classmethod
    def resume(
        cls, card: Card | Plan, events: Iterable[Event], now: datetime, settings: Settings | None = None
    ) -> tuple[Conversation, Outcome]:
        """The job that these events made, as it was left: its place, what is open, and the question that stood."""
        state, left_out = salvage(card, events)
        settings = settings or Settings()
        talk = cls(state, replace(settings, verbosity=state.verbosity or settings.verbosity), rest=state.rest)
        text = talk._where_we_were()
        if left_out:
            text = f"{text} {say('left-out', n=len(left_out), first=left_out[0][0].seq)}"
        bodies: tuple[Body, ...] = (Reopened(),) if state.card else ()
        return talk._speak_up((*bodies, Answered(text, "resume")), text, now)

    def _where_we_were(self) -> str:
        state, card = self.state, self.state.the_card
        if state.finished:
            return say("welcome-back-finished", title=card.title)
        place = state.place
        if place is None:
            text = say("welcome-back-start", title=card.title)
        else:
            who = f", with {state.person}" if state.person else ""
            text = say("welcome-back", title=card.title, number=place.number, total=len(state.plan.places), person=who)
            settled = state.steps.get(place.step.id)
            text += f" {place.step.say}" if settled is None else f" {say('where-done')}"
        text = f"{text} {where_in_bolts(state)}".rstrip()
        if state.paused:
            text += f" {say('pause-was-on')}"
        if state.asleep:
            text += f" {say('asleep')}"
        elif state.question is not None:
            text += f" {in_words(state, state.question)}"
        return text.strip()

    # -- taking what was said -------------------------------------------------

    def take(self, said: Heard | Request, now: datetime, clip: str = "") -> tuple[Conversation, Outcome]:
        """One utterance, or one typed request. `clip` is the SHA-256 of the sound as the logbook keeps it."""
        if isinstance(said, Request):
            turn = self._respond(said, now, typed=True)
            return self._close(turn, _said(said, "typed", clip))
        return self._hear(said, now, clip)

    def not_understood(self, line: str, now: datetime, nearest: str = "") -> tuple[Conversation, Outcome]:
        """A typed line that is no phrase of the grammar. `nearest` is one that is: offered, never acted on."""
        turn = self._turn(now).nothing_new().sounding(Sound.NOT_UNDERSTOOD)
        standing = self.state.question
        help_ = in_words(self.state, standing) if standing else say("say-help")
        turn = turn.say("did-you-mean", phrase=nearest) if nearest else turn.say("cannot-now", help=help_)
        return self._close(turn, Said(line, line, "", {}, "again", None, None, ""))

    def _hear(self, heard: Heard, now: datetime, clip: str) -> tuple[Conversation, Outcome]:
        best = heard.best
        if self.asleep and (best is None or best.request.name != "wake"):
            return self._close(self._turn(now), _heard(heard, Decision.IGNORE, clip))
        if heard.decision is Decision.IGNORE:
            return self._close(self._turn(now), _heard(heard, Decision.IGNORE, clip))
        if best is None or heard.decision is Decision.AGAIN:
            turn = self._turn(now).nothing_new().say("say-again").sounding(Sound.NOT_UNDERSTOOD)
            return self._close(turn, _heard(heard, Decision.AGAIN, clip))
        request = best.request
        if has_impossible_unit(self.state, heard):
            return self._close(self._respond(request, now, typed=False), _heard(heard, Decision.AGAIN, clip))
        doubt = in_doubt(self.state, heard)
        if doubt is not None:
            turn = self._turn(now).line(doubt.words).ask("digits", **doubt.about).sounding(Sound.WAITING)
            return self._close(turn, _heard(heard, Decision.CONFIRM, clip))
        if heard.decision is Decision.CONFIRM and request.name not in HARMLESS and not self._says_it_again(request):
            turn = self._ask_which(heard, now) or self._ask_back(request, now)
            return self._close(turn, _heard(heard, Decision.CONFIRM, clip))
        turn = self._respond(request, now, typed=False)
        return self._close(turn, _heard(heard, Decision.ACT, clip))

    def _says_it_again(self, request: Request) -> bool:
        """ "Did you say: begin?" "Begin." Heard twice alike, it was said; but no name and no number is right by that:
        both may have been misheard the same way."""
        asked = self.state.question
        if asked is None or asked.name != "confirm" or request.slots or request.name in NEVER_HALF_HEARD:
            return False
        before = unpack(asked.about["request"])
        return before.name == request.name and not before.slots

    def _ask_which(self, heard: Heard, now: datetime) -> Turn | None:
        """Two readings that differ in nothing but the thing they name are asked about by what tells those apart."""
        if heard.best is None or not heard.others:
            return None
        one, other = heard.best.request, heard.others[0].request
        slots = [slot for slot in one.slots.keys() | other.slots.keys() if one.slots.get(slot) != other.slots.get(slot)]
        if one.name != other.name or len(slots) != 1 or slots[0] not in ("fastener", "measure", "thing", "tool"):
            return None
        things = [str(request.slots.get(slots[0], "")) for request in (one, other)]
        if not all(thing in self.state.plan.things for thing in things):
            return None
        return ask_which(self._turn(now).sounding(Sound.WAITING), one, slots[0], things)

    def _ask_back(self, request: Request, now: datetime) -> Turn:
        """What was half heard is said back. An answer that was half heard is asked for again: a yes to a yes
        would be a guess on a guess."""
        turn = self._turn(now).nothing_new().sounding(Sound.WAITING)
        standing = self.state.question
        if standing is not None and request.name in ("yes", "no"):
            return turn.say("yes-or-no", question=in_words(self.state, standing))
        if request.name in NEVER_HALF_HEARD:
            return turn.say("say-again").sounding(Sound.NOT_UNDERSTOOD)
        turn = turn.say("ask-confirm", words=said_back(request))
        value = quantity_said(request) if request.name in ("digits", "answer") else None
        if standing is not None and standing.name == "digits" and value is not None:
            # this question takes the other's place: what the digits were asked for must not be lost with it
            request = in_digits(value, standing.about)
        return turn.ask("confirm", request=pack(request))

    def _respond(self, request: Request, now: datetime, typed: bool) -> Turn:
        if self.asleep and request.name not in ("wake", "stop"):
            return self._turn(now)
        return respond_turn(self._view(typed), request, now)

    def tell(self, text: str, about: str, now: datetime) -> tuple[Conversation, Outcome]:
        """The assistant speaks of itself: a lost microphone, a card that has changed."""
        return self._speak_up((Answered(text, about),), text, now)

    # -- timers ---------------------------------------------------------------

    def tick(self, now: datetime) -> tuple[Conversation, Outcome]:
        """Timers that are due ring; the reply is empty where none is."""
        due = [t for t in self.state.timers.values() if t.ends <= now]
        if not due:
            return replace(self, fresh=()), Outcome(Reply(""))
        text = " ".join(say("timer-rang", label=f": {t.label}" if t.label else "") for t in due)
        bodies = (*(TimerEnded(t.seq, "rang") for t in due), Answered(text, "timer"))
        talk, outcome = self._speak_up(bodies, text, now)
        return talk, replace(outcome, reply=replace(outcome.reply, sound=Sound.TIMER))

    @property
    def next_timer(self) -> datetime | None:
        """When `tick` will have something to say; None while no timer runs."""
        return min((t.ends for t in self.state.timers.values()), default=None)

    # -- what the ear needs ---------------------------------------------------

    @property
    def ask(self) -> Ask:
        """The moment, for the grammar's prior."""
        return listening(self.state, self.asleep)[0]

    @property
    def live(self) -> Live:
        """The requests that are listened for now."""
        return listening(self.state, self.asleep)[1]

    @property
    def asleep(self) -> bool:
        """True while nothing but "wake up" is listened for."""
        return self.state.asleep

    # -- making the next conversation ----------------------------------------

    def _view(self, typed: bool) -> View:
        return View(self.state, self.settings, self.last, self.rest, self.state.subject, typed)

    def _turn(self, now: datetime) -> Turn:
        return Turn.of(self._view(True), now)

    def _close(self, turn: Turn, said: Said) -> tuple[Conversation, Outcome]:
        """The conversation after this turn. The utterance itself goes into the log first."""
        state, outcome = turn.closed()
        said = replace(said, reply=outcome.reply.text, rest=outcome.rest, subject=outcome.subject)
        return self._after(outcome, (said, *outcome.events), turn.now, state), outcome

    def _speak_up(self, bodies: tuple[Body, ...], text: str, now: datetime) -> tuple[Conversation, Outcome]:
        """Speaks without having been spoken to."""
        outcome = Outcome(Reply(text, spoken=speakable(text)), bodies, rest=self.rest, subject=self.state.subject)
        return self._after(outcome, bodies, now, None), outcome

    def _after(self, outcome: Outcome, bodies: tuple[Body, ...], now: datetime, state: State | None) -> Conversation:
        """`state` is that after an utterance and its events; None where nobody said anything: then it is made here."""
        first = self.state.seq + 1
        said_first = state is not None
        fresh = tuple(
            Event(seq, now, self.state.person, self.state.at, body, first if said_first and seq != first else 0)
            for seq, body in enumerate(bodies, start=first)
        )
        if state is None:
            state = self.state
            for event in fresh:
                state = apply(state, event)
        elif outcome.reply.text:
            # the utterance stood in the state before its answer was known
            state = replace(state, rest=outcome.rest, subject=outcome.subject)
        manner = outcome.manner
        text = outcome.reply.text
        return Conversation(
            state=state,
            settings=replace(self.settings, verbosity=manner.get("verbosity", self.settings.verbosity)),
            last=self.last if outcome.reply.sound is Sound.NOT_UNDERSTOOD else text or self.last,
            rest=outcome.rest if text else self.rest,
            fresh=fresh,
        )


HARMLESS = frozenset((
    "repeat", "again", "stop", "where", "help", "can-hear", "louder", "quieter", "faster", "slower", "time", "more",
    "caution", "how", "why", "open", "left", "wake", "cancel",
))  # fmt: skip
"""Done even if only half heard: they change nothing, and what they say cannot be taken for something else."""


def _said(request: Request, decision: str, clip: str) -> Said:
    return Said(
        request.words, request.words, request.name, slots_in_words(request.slots), decision, None, None, "", clip
    )


def _heard(heard: Heard, decision: Decision, clip: str) -> Said:
    best = heard.best
    margin = heard.margin if heard.margin != float("inf") else None
    acted = best is not None and decision is not Decision.IGNORE
    return Said(
        best.words if acted and best else heard.free,
        heard.free,
        best.request.name if acted and best else "",
        slots_in_words(best.request.slots) if acted and best else {},
        decision.value,
        best.score if best else None,
        margin,
        "",
        clip,
    )


def slots_in_words(slots: Mapping[str, SlotValue]) -> dict[str, str]:
    """Slots as the log keeps them: a quantity is "65 N·m"."""
    return {
        slot: f"{value.value} {value.unit}".strip() if isinstance(value, Quantity) else str(value)
        for slot, value in slots.items()
    }
