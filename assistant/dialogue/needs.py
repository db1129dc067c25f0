"""Asking for what a step lacks: before it is started, and before it counts as done."""

from __future__ import annotations

from assistant.dialogue.view import Turn
from assistant.dialogue.wording import capital, say, sentence
from assistant.dialogue.wording.english import listed
from assistant.job.holds import Lack
from assistant.job.memory import State
from assistant.job.plan import Place
from assistant.voice.wording import show_amount


def needed_before(turn: Turn, place: Place, lack: Lack) -> Turn:
    """The step is not started: asks for the one thing that comes first."""
    words = before_in_words(turn.state, place, lack)
    turn = turn.say("held", number=place.number, ask=words)
    about = {"step": place.step.id}
    if lack.thing:
        about["thing"] = lack.thing
    return turn.ask(lack.what, **about)


def before_in_words(state: State, place: Place, lack: Lack) -> str:
    if lack.what == "support":
        name = state.plan.name_of(lack.thing)
        return say("support-missing", support=capital(name))
    if lack.what == "lift":
        if lack.kg is None:
            return say("lift-people", n=place.step.helpers + 1)
        name = state.plan.name_of(lack.thing)
        limit = show_amount(state.the_card.lift_limit_kg, "kg")
        return say("lift-part", part=capital(name), mass=show_amount(lack.kg, "kg"), limit=limit)
    hold = place.step.hold
    if hold is not None and hold.who != "anyone":
        return say(f"who-{hold.who}", ask=hold.ask)
    return lack.says


def ask_who(turn: Turn, place: Place, reason: str = "") -> Turn:
    """Who it is that confirms the hold, or, with a reason, allows going on without."""
    about = {"step": place.step.id} | ({"reason": reason} if reason else {})
    return turn.line(who_in_words(place, reason)).ask("who-confirms", **about)


def who_in_words(place: Place, reason: str = "") -> str:
    who = place.step.hold.who if place.step.hold is not None else "anyone"
    return say("name-allows" if reason else f"who-is-{who}")


def takes_a_name(place: Place) -> bool:
    """True where the card wants a second person or the foreman for the hold."""
    return place.step.hold is not None and place.step.hold.who != "anyone"


def ask_for(turn: Turn, place: Place, lack: Lack) -> Turn:
    """The step is not done yet: asks for the one thing that comes first, and goes on with "done" after it."""
    step = place.step.id
    state = turn.state
    match lack.what:
        case "torque":
            return ask_torque(turn, lack.thing, then="done")
        case "measure":
            if lack.thing not in state.decisions and any(
                r.verdict == "outside" for r in state.readings.get(lack.thing, ())
            ):
                return ask_decision(turn, lack.thing, then="done")
            return ask_measure(turn, lack.thing, then="done")
        case _:
            return turn.line(lack.says).ask("check", step=step)


def ask_torque(turn: Turn, fastener: str, then: str = "") -> Turn:
    name = turn.state.plan.name_of(fastener)
    several = turn.state.plan.fastener(fastener).count > 2
    turn = turn.say("ask-torque-value" if several else "ask-torque-again", fastener=capital(name))
    return turn.ask("torque-value", fastener=fastener, then=then)


def ask_measure(turn: Turn, measure: str, then: str = "") -> Turn:
    """Asks for the first reading that is missing; of a derived measure, for those it is worked out of."""
    it = turn.state.plan.measure(measure)
    wanted = measure
    while it.derived is not None:
        missing = [m for m in it.derived.of if m in turn.state.the_card.measures and not _complete(turn.state, m)]
        if not missing:
            break
        wanted, it = missing[0], turn.state.plan.measure(missing[0])
    name = capital(it.name)
    number = next_reading(turn.state, wanted)
    if it.readings > 1 and number > 1 and turn.lines:
        turn = turn.say("ask-next-reading", reading=number)
    elif it.readings > 1 and number > 1:
        turn = turn.say("ask-reading-again", measure=name, reading=number, of=it.readings)
    elif it.readings > 1:
        turn = turn.say("ask-measure-of", measure=name, reading=number, of=it.readings)
    else:
        turn = turn.say("ask-measure", measure=name)
    about = {"measure": wanted, "reading": str(number), "then": then}
    if wanted != measure:
        about["for"] = measure
    return turn.ask("measure-value", **about)


def next_reading(state: State, measure: str) -> int:
    """The reading number whose turn it is; the first again where all are taken."""
    taken = {r.reading for r in state.readings.get(measure, ())}
    wanted = state.plan.measure(measure).readings
    return next((n for n in range(1, wanted + 1) if n not in taken), 1)


def _complete(state: State, measure: str) -> bool:
    return len(state.readings.get(measure, ())) >= state.plan.measure(measure).readings


def ask_decision(turn: Turn, measure: str, then: str = "") -> Turn:
    """Puts the card's decision for a reading out of its limits."""
    out = turn.state.plan.measure(measure).out
    if out is None:
        return turn
    options = listed([option.say for option in out.options.values()], "or")
    return turn.say("ask-decision", say=sentence(out.say), options=options).ask("decision", measure=measure, then=then)
