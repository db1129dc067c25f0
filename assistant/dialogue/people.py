"""Who is there, and how one wants to be spoken to."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.reply import Sound
from assistant.dialogue.steps import focus, next_open
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit
from assistant.dialogue.wording.english import listed
from assistant.grammar.request import Request
from assistant.job.errors import Illegal
from assistant.job.events import PersonChanged, SleepSet, VerbositySet


def person(view: View, turn: Turn, request: Request) -> Turn:
    """ "This is Mara": what is said from now on is hers."""
    name = str(request.slots.get("name", "")).strip()
    if not name:
        return turn.say("ask-name").ask("person-name")
    return is_now(turn, name)


def is_now(turn: Turn, name: str) -> Turn:
    name = " ".join(word[:1].upper() + word[1:] for word in name.split())
    try:
        turn = turn.do(PersonChanged(name))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    question = turn.standing
    if question is not None and question.name == "person-name":
        turn = turn.settle()
    place = turn.state.place
    if place is not None and place.step.id in turn.state.steps:
        place = next_open(turn.state)
    place = focus(turn.state) if question is not None and question.name in ("hold", "who-confirms") else place
    return turn.say("person", name=name, number=place.number) if place else turn.say("person-start", name=name)


def who(view: View, turn: Turn, request: Request) -> Turn:
    state = turn.state
    if not state.person:
        return turn.say("who-nobody")
    others = [name for name in state.people if name != state.person]
    return turn.say("who", name=state.person, others=bit("before", people=listed(others)) if others else "")


_MANNERS: dict[str, dict[str, str]] = {
    "louder": {"volume": "+1"},
    "quieter": {"volume": "-1"},
    "faster": {"speed": "+1"},
    "slower": {"speed": "-1"},
    "sounds-on": {"sounds": "on"},
    "sounds-off": {"sounds": "off"},
}


def manner(view: View, turn: Turn, request: Request) -> Turn:
    """Louder, faster, terser: wishes that are no part of the job."""
    return turn.say(request.name).wish(**_MANNERS[request.name])


def verbosity(view: View, turn: Turn, request: Request) -> Turn:
    turn = replace(turn, settings=replace(turn.settings, verbosity=request.name))
    if turn.state.verbosity != request.name:
        turn = turn.do(VerbositySet(request.name))
    return turn.say("verbosity").wish(verbosity=request.name)


def stop(view: View, turn: Turn, request: Request) -> Turn:
    """Stops talking, at once and without a word."""
    return turn.wish(stop="1")


def sleep(view: View, turn: Turn, request: Request) -> Turn:
    return turn.do(SleepSet(True)).say("asleep").wish(sleep="1")


def wake(view: View, turn: Turn, request: Request) -> Turn:
    turn = turn.do(SleepSet(False)) if turn.state.asleep else turn
    return turn.say("awake").wish(sleep="0")


def attention(view: View, turn: Turn, request: Request) -> Turn:
    mode = str(request.slots.get("mode", "open"))
    if mode not in ("open", "name", "pedal"):
        return turn.say("cannot-now", help="")
    return turn.say(f"attention-{mode}").wish(attention=mode)


def can_hear(view: View, turn: Turn, request: Request) -> Turn:
    return turn.say("can-hear").sounding(Sound.HEARD)
