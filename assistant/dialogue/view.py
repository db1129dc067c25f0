"""What a reply is made from, and how it is built up: a Turn grows line by line and event by event."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, tzinfo
from functools import lru_cache

from assistant.card.model import Card
from assistant.dialogue.pending import CLEARING, READINGS_IN_DOUBT, pack_question, unpack_question
from assistant.dialogue.reply import Outcome, Reply, Sound
from assistant.dialogue.which import Names, candidates_of
from assistant.dialogue.wording import say
from assistant.dialogue.wording.words import Filling
from assistant.job.events import Asked, Body, Event, Said
from assistant.job.memory import State
from assistant.job.plan import Plan
from assistant.job.records import Question
from assistant.job.state import apply
from assistant.voice.wording import speakable


@dataclass(frozen=True, slots=True)
class Settings:
    """How this person wants to be spoken to."""

    verbosity: str = "normal"
    """terse | normal | full"""
    zone: tzinfo | None = None
    """For the time of day; None is the machine's own."""


@dataclass(frozen=True, slots=True)
class View:
    """All that a reply may be made from."""

    state: State
    settings: Settings = field(default_factory=Settings)
    last: str = ""
    """The reply before this one."""
    rest: tuple[str, ...] = ()
    """What "more" goes on with."""
    subject: str = ""
    """The fastener that the last answer was about."""
    typed: bool = False
    """True where the words were typed, or read back and confirmed: no number in them can have been misheard."""

    @property
    def card(self) -> Card:
        return self.state.the_card


_UTTERANCE = Said("", "", "", {}, "", None, None, "")
"""Stands for what was said while the answer is being made."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One answer in the making. Each method gives a new Turn; the first one still stands."""

    state: State
    """As it will be after the events so far."""
    now: datetime
    settings: Settings
    events: tuple[Body, ...] = ()
    lines: tuple[str, ...] = ()
    question: Asked | None = None
    """What is asked at the end of this turn; None leaves the question that stands."""
    manner: Mapping[str, str] = field(default_factory=dict)
    sound: Sound = Sound.NONE
    rest: tuple[str, ...] = ()
    subject: str = ""
    before: View | None = None
    """What the turn began with."""
    step: str = ""
    person: str = ""
    """Step and person of the envelope: as they were when the words were said."""
    said_seq: int = 0
    by_digits: bool = False
    """True where the number was given digit by digit, as it had been asked for: it is not doubted again."""

    @classmethod
    def of(cls, view: View, now: datetime) -> Turn:
        """A turn that has said nothing yet. The utterance itself is the first event after the state's last."""
        state = view.state
        said = state.seq + 1
        if state.card:
            state = apply(state, Event(said, now, state.person, state.at, _UTTERANCE))
        return cls(
            state, now, view.settings, rest=_cautions_in(view), before=view, step=state.at, person=state.person,
            said_seq=said,
        )  # fmt: skip

    def do(self, *bodies: Body) -> Turn:
        """Applies events; raises Illegal with nothing changed."""
        state = self.state
        for body in bodies:
            state = apply(state, Event(state.seq + 1, self.now, self.person, self.step, body, self.said_seq))
        return replace(self, state=state, events=self.events + bodies)

    def say(self, key: str, **values: Filling) -> Turn:
        return self.line(say(key, self.settings.verbosity, **values))

    def not_begun(self) -> Turn:
        """No step is begun; nobody who is asked about the vehicle is told to begin."""
        return self.say("no-step-yet") if self.state.question is not None else self.say("not-begun")

    def line(self, text: str) -> Turn:
        """Adds a sentence in the card's or the person's own words."""
        text = text.strip()
        if not text:
            return self
        if text[-1] not in ".?!:;":
            text += "."
        return replace(self, lines=(*self.lines, text))

    @property
    def standing(self) -> Question | None:
        """The question that stands open, as far as this turn has come."""
        if self.question is None:
            return self.state.question
        return Question(self.question.question, self.question.about) if self.question.question else None

    def ask(self, question: str, **about: str) -> Turn:
        """Leaves a question open. One that only makes something clear comes back to the one before it."""
        before = self.standing
        if before is not None and before.name in READINGS_IN_DOUBT:
            before = _behind(before)
        if question in CLEARING and before is not None and before.name != question:
            about["before"] = pack_question(before)
        return replace(self, question=Asked(question, about))

    def settle(self) -> Turn:
        """The question that stands open is answered; one that it had interrupted stands again."""
        before = _behind(self.standing)
        return replace(self, question=Asked(before.name, before.about) if before else Asked("", {}))

    def drop(self) -> Turn:
        """No question stands open any more, whatever it had interrupted."""
        return replace(self, question=Asked("", {}))

    def sounding(self, sound: Sound) -> Turn:
        return replace(self, sound=sound)

    def wish(self, **manner: str) -> Turn:
        """A wish to the voice or the ear."""
        return replace(self, manner={**self.manner, **manner})

    def going_on(self, rest: tuple[str, ...]) -> Turn:
        """Keeps what "more" goes on with: first the rest of this answer, then the cautions that nobody heard yet."""
        return replace(self, rest=(*rest, *(line for line in self.rest if line not in rest)))

    def further(self) -> Turn:
        """Says the next line of what "more" goes on with."""
        rest = self.before.rest if self.before else ()
        return replace(self.line(rest[0]), rest=rest[1:]) if rest else self.say("no-more")

    def nothing_new(self) -> Turn:
        """This answer tells nothing of the job: "more" and "it" mean what they meant before it."""
        return self if self.before is None else replace(self, rest=self.before.rest, subject=self.before.subject)

    def about(self, fastener: str) -> Turn:
        """Remembers the fastener, so that a next question need not name it."""
        return replace(self, subject=fastener)

    def outcome(self) -> Outcome:
        """The finished answer."""
        return self.closed()[1]

    def closed(self) -> tuple[State, Outcome]:
        """The state after the answer, and the answer; a change of the open question is an event of its own."""
        turn = self
        if self.question is not None:
            standing = self.state.question
            same = (
                standing is None
                if not self.question.question
                else standing is not None
                and (standing.name, dict(standing.about)) == (self.question.question, dict(self.question.about))
            )
            if not same:
                turn = self.do(self.question)
        text = " ".join(turn.lines)
        reply = Reply(text, turn.sound, speakable(text))
        return turn.state, Outcome(reply, turn.events, dict(turn.manner), turn.rest, turn.subject)


def _cautions_in(view: View) -> tuple[str, ...]:
    """The card's cautions that "more" would still tell: no other answer takes their place."""
    if not view.rest:
        return ()
    cautions = {say("card-caution", caution=words) for words in view.card.cautions}
    return tuple(line for line in view.rest if line in cautions)


def _behind(question: Question | None) -> Question | None:
    """The question that this one interrupted."""
    packed = question.about.get("before") if question is not None else None
    return unpack_question(packed) if packed else None


@lru_cache(maxsize=16)
def _names(plan: Plan, sort: str) -> Names:
    tables = {
        "fastener": plan.card.fasteners,
        "measure": plan.card.measures,
        "tool": plan.card.tools,
    }
    if sort in tables:
        return Names(candidates_of(tables[sort]))  # type: ignore[arg-type]
    return Names(candidates_of({thing: it for thing, (_, it) in plan.things.items()}))


def names_of(plan: Plan, sort: str) -> Names:
    """All names of the card's fasteners, measures, tools, or (for `thing`) of everything on it."""
    return _names(plan, sort)
