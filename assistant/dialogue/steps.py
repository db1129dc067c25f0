"""A step: read, entered, completed. What it lacks is asked for first; what it does is done with it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from assistant.card.model import Fact
from assistant.dialogue.needs import ask_for, needed_before
from assistant.dialogue.view import Turn
from assistant.dialogue.wording import capital, say
from assistant.dialogue.wording.english import duration, listed
from assistant.dialogue.wording.open_words import open_summary
from assistant.job.errors import Illegal
from assistant.job.events import ActionDone, BoltsStopped, FactSet, Resumed, StepDone, StepStarted
from assistant.job.holds import lacking, wanting
from assistant.job.memory import State
from assistant.job.open_items import needs_value
from assistant.job.plan import FASTENER_VERBS, Place
from assistant.job.thing_rules import is_in_effect
from assistant.voice.wording import show_torque


def focus(state: State) -> Place | None:
    """The step that is being talked about: the one that waits for an answer, else the present one."""
    question = state.question
    if question is not None and question.name in (
        "hold",
        "support",
        "lift",
        "who-confirms",
        "skip-reason",
        "skip-confirm",
    ):
        return state.plan.by_id.get(question.about.get("step", ""))
    return state.place


def next_open(state: State) -> Place | None:
    """The first step after the present one that is neither done nor skipped; else the first left behind."""
    here = state.place.number if state.place else 0
    ahead = [p for p in state.path if p.step.id not in state.steps]
    return next((p for p in ahead if p.number > here), ahead[0] if ahead else None)


def last_of_section(state: State, place: Place) -> bool:
    """True where no step of the section is left."""
    return all(p.step.id in state.steps for p in state.path if p.section.id == place.section.id)


def read_step(turn: Turn, place: Place, *, with_section: bool = False) -> Turn:
    """Reads the step, with the torque of what it tightens."""
    if with_section:
        turn = turn.say("section", section=place.section.name)
    turn = turn.say("step", number=place.number, say=place.step.say, total=len(turn.state.plan.places))
    for deed in turn.state.plan.deeds(place.step.id, turn.state.facts):
        if deed.verb == "tighten":
            fastener = turn.state.plan.fastener(deed.thing)
            if fastener.torque is not None and needs_value(fastener):
                turn = turn.say("torque-line", fastener=capital(fastener.name), torque=show_torque(fastener.torque))
    return turn


def cautions_of(state: State, place: Place) -> tuple[str, ...]:
    """The step's own cautions, and those of the fasteners and connections that it works on."""
    found = list(place.step.cautions)
    heard = {
        deed.thing for step in state.read - {place.step.id} for deed in state.plan.deeds(step, state.facts)
    }  # fmt: skip
    for deed in state.plan.deeds(place.step.id, state.facts):
        if deed.thing in state.plan.things and deed.thing not in heard:
            caution = getattr(state.plan.things[deed.thing][1], "caution", None)
            if caution:
                found.append(caution)
    return said_once(found)


def said_once(cautions: Iterable[str]) -> tuple[str, ...]:
    """Without those whose every telling word stands in another: of two that say the same, the one that says more."""
    kept = list(dict.fromkeys(cautions))
    words = {caution: set(re.findall(r"[a-z0-9]+", caution.casefold())) - _TELL_NOTHING for caution in kept}
    return tuple(
        caution
        for n, caution in enumerate(kept)
        if not any(
            words[caution] < words[other] or (words[caution] == words[other] and m < n)
            for m, other in enumerate(kept)
            if other != caution
        )
    )


_TELL_NOTHING = frozenset((
    "a", "an", "the", "is", "are", "be", "it", "its", "they", "them", "this", "that", "there", "and", "or", "of", "for",
    "stays", "stay", "remains", "gets", "will", "at", "in", "to", "all",
))  # fmt: skip
"""Left out where two cautions are compared; never a "not", a number or a name."""


def undecided_fact(state: State, up_to: int) -> str:
    """A fact that a reading should have settled and that a step up to this number hangs on; empty where none.

    Where the reading was not taken, or was out of limits and nobody decided, it is asked.
    """
    if not state.plan.decided_facts.keys() - state.facts.keys():
        return ""
    for place in state.plan.places:
        if place.number > up_to:
            break
        if place.step.id in state.steps:
            continue
        for fact in sorted(state.plan.depends_on(place.step.id)):
            measures = state.plan.decided_facts.get(fact, ())
            if fact in state.facts or not measures:
                continue
            others = {f: o for f, o in place.step.when.items() if f != fact}
            if state.plan.applies(others, state.facts) and not any(_settles(state, m) for m in measures):
                return fact
    return ""


def sources_of(state: State, measure: str) -> set[str]:
    """The measures that a derived one rests on, through and through."""
    found: set[str] = set()
    todo = [measure]
    while todo:
        derived = state.plan.measure(todo.pop()).derived
        for source in derived.of if derived else []:
            if source not in found and source in state.the_card.measures:
                found.add(source)
                todo.append(source)
    return found


def _settles(state: State, measure: str) -> bool:
    """True where the reading says all that there is to say: it is inside, or still to be taken."""
    taken = state.readings.get(measure, ())
    if taken:
        # too close to call is no answer either: what hangs on it would be left out without a word
        return measure in state.decisions or not any(r.verdict in ("outside", "too-close") for r in taken)
    taken_from = {measure, *sources_of(state, measure)}
    return any(
        place.step.id not in state.steps and any(d.verb == "measure" and d.thing in taken_from for d in deeds)
        for place in state.path
        for deeds in [state.plan.deeds(place.step.id, state.facts)]
    )


def enter(turn: Turn, place: Place) -> Turn:
    """Starts a step: asks for what it lacks, or reads its cautions (once) and the step."""
    state, step = turn.state, place.step.id
    if step not in state.steps:
        fact = undecided_fact(state, place.number)
        if fact:
            return turn.line(fact_in_words(state.the_card.facts[fact])).ask("fact", fact=fact)
        missing = lacking(state, step)
        if missing:
            return needed_before(turn, place, missing[0])
    before = state.place
    first_time = step not in state.read
    if state.bolting and step != state.at:
        # done means the step again, no longer the next bolt
        turn = turn.do(BoltsStopped(state.bolting))
    # from here on "it" is what this step is about
    turn = turn.do(StepStarted(step)).settle().about("")
    if first_time:
        for caution in cautions_of(turn.state, place):
            turn = turn.say("caution", caution=caution)
    return read_step(turn, place, with_section=before is None or before.section.id != place.section.id)


def go_on(turn: Turn) -> Turn:
    """To the next step that is open, or the word that all are done."""
    state = turn.state
    place = next_open(state)
    if place is None:
        skipped_any = any(how.how == "skipped" for how in state.steps.values())
        key = "all-steps-through" if skipped_any else "all-steps-done"
        return turn.settle().say(key, open=open_summary(state))
    if state.place is not None and place.number < state.place.number:
        turn = turn.say("go-back-to")
    return enter(turn, place)


def ask_facts(turn: Turn) -> Turn:
    """Asks the next fact; with none left, starts the first step."""
    facts = turn.state.plan.to_ask(turn.state.facts)
    if facts:
        fact = turn.state.the_card.facts[facts[0]]
        return turn.line(fact.ask).ask("fact", fact=facts[0])
    if turn.state.at:
        return go_on(turn) if turn.state.at in turn.state.steps else turn.settle()
    cautions = turn.state.the_card.cautions
    if len(cautions) == 1:
        return go_on(turn.say("card-caution", caution=cautions[0]))
    if cautions:
        # each danger is named at once; what to do about it comes on "more", and again at the steps it belongs to
        turn = turn.say("card-cautions", cautions=" ".join(_first_sentence(c) for c in cautions))
        turn = turn.going_on(tuple(say("card-caution", caution=c) for c in cautions))
    return go_on(turn)


def _first_sentence(words: str) -> str:
    return re.split(r"(?<=[.!?])\s", words, maxsplit=1)[0]


def fact_answered(turn: Turn, fact: str, option: str) -> Turn:
    """Sets the fact and goes on to the next."""
    answer = turn.state.the_card.facts[fact].options[option].say
    turn = turn.do(FactSet(fact, option)).say("fact-set", answer=capital(answer))
    return ask_facts(turn.settle())


def fact_in_words(fact: Fact) -> str:
    """The fact with its options: "Drum or disc brakes? Say drum or disc."."""
    return say("fact-options", ask=fact.ask, options=listed([o.say for o in fact.options.values()], "or"))


def complete(turn: Turn) -> Turn:
    """Marks the present step done, or asks for the one thing that it wants; never both."""
    place = turn.state.place
    if place is None:
        return turn.not_begun()
    step = place.step.id
    try:
        after = with_actions(turn, step)
    except Illegal as no:
        return turn.drop().say("in-the-way", reason=no.reason)
    wants = [lack for lack in wanting(after.state, step) if lack.what != "action"]
    if wants:
        # what else the step does was said to be done
        return ask_for(after, place, wants[0])
    try:
        turn = after.do(StepDone(step))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    turn = turn.settle().say("done", number=place.number)
    return go_on(section_end(turn, place))


def with_actions(turn: Turn, step: str) -> Turn:
    """Does all that the step does and that still is to be done; raises Illegal where something stands in the way."""
    deeds = turn.state.plan.deeds(step, turn.state.facts)
    for n, deed in enumerate(deeds):
        if deed.verb == "measure":
            continue
        if any(d.thing == deed.thing and (step, d.verb, d.thing) in turn.state.acted for d in deeds[n + 1 :]):
            # taken out and put back within this step: it is back already
            continue
        if deed.verb == "tighten" and not deed.only_pass and _waits_for_value(turn.state, deed.thing):
            continue
        if not is_in_effect(turn.state, deed.verb, deed.thing, deed.count, deed.only_pass):
            count = deed.count if deed.verb in FASTENER_VERBS else None
            try:
                turn = turn.do(ActionDone(deed.verb, deed.thing, count, pass_no=deed.only_pass))
            except Illegal:
                if (step, "action") not in turn.state.overridden:
                    raise
    return turn


def _waits_for_value(state: State, thing: str) -> bool:
    it = state.fastener(thing)
    overridden = (state.at, "torque") in state.overridden
    return needs_value(state.plan.fastener(thing)) and not it.reached and not overridden


def section_end(turn: Turn, place: Place) -> Turn:
    """At the end of a section: the time it took and what is open, counted."""
    state = turn.state
    if not last_of_section(state, place):
        return turn
    seconds = state.clock.worked.get(place.section.id, 0.0)
    if seconds < 60:
        turn = turn.say("section-through", section=place.section.name)
    else:
        turn = turn.say("section-done", section=place.section.name, time=duration(seconds))
    if next_open(state) is None:
        return turn
    return turn.line(open_summary(state))


def wake_from_pause(turn: Turn) -> Turn:
    """Work goes on by being done: a pause ends with the first thing that is recorded."""
    if not turn.state.paused:
        return turn
    since = turn.state.clock.paused
    seconds = (turn.now - since).total_seconds() if since else 0
    return turn.do(Resumed()).say("resumed", time=duration(seconds))
