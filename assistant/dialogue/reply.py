"""What goes back to the person."""

from dataclasses import dataclass, field
from enum import StrEnum

from assistant.job.events import Body


class Sound(StrEnum):
    """The small sounds, by what they mean."""

    HEARD = "heard"
    NOT_UNDERSTOOD = "not-understood"
    WAITING = "waiting"
    TIMER = "timer"
    NONE = ""


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer: text as shown; the voice works out how to speak it."""

    text: str
    """Plain words and figures, as the screen shows them: "Flywheel bolts: 65 N·m, 6 5." Empty says nothing."""
    sound: Sound = Sound.NONE
    spoken: str = ""
    """How it is spoken ("sixty-five newton metres, six five"); never with a figure that text does not hold."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one request leads to."""

    reply: Reply
    events: tuple[Body, ...] = ()
    """Event bodies to append, in order; empty where nothing changed."""
    manner: dict[str, str] = field(default_factory=dict)
    """Wishes to voice and ear that are no part of the job: {"volume": "+1"}, {"speed": "-1"}, {"stop": "1"},
    {"attention": "name"}, {"sleep": "1"}."""
    rest: tuple[str, ...] = ()
    """What "more" goes on with, line by line."""
    subject: str = ""
    """The fastener that the reply was about, so that a next question need not name it."""
