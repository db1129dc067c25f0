"""How events change what is not a fastener: parts, connections, fluids, covers, marks, supports."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.card.model import Named
from assistant.job.errors import Illegal
from assistant.job.events import ActionDone
from assistant.job.memory import State
from assistant.job.plan import CLOSING, FASTENER_VERBS, NOT_YET, OPENED_AS

_ALREADY = {
    "off": "is off already", "on": "is on already", "apart": "is disconnected already",
    "joined": "is connected already",
    "out": "is out already", "in": "is in already", "made": "is made already", "lined-up": "is lined up already",
    "in-place": "is in place already", "away": "is away already",
}  # fmt: skip


def act(state: State, body: ActionDone) -> tuple[str, str]:
    """(`sort:id`, how it stands now); raises Illegal."""
    sort, after = OPENED_AS[body.verb]
    found = state.plan.things.get(body.thing)
    if found is None or body.thing not in _of_sort(state, sort):
        raise Illegal(f"There is no {sort} {body.thing} on this card.")
    name = state.plan.name_of(body.thing)
    now = state.standing(sort, body.thing)
    if now == after:
        raise Illegal(f"The {name} {_ALREADY[after]}.")
    match body.verb:
        case "remove":
            if now == NOT_YET:
                raise Illegal(f"The {name} is not on yet.")
            _nothing_holds(state, body.thing, name)
        case "line_up" if now != "made":
            raise Illegal(f"The {name} was never made, so it cannot be lined up.")
        case "mark" if now == "lined-up":
            raise Illegal(f"The {name} is lined up already.")
        case "release":
            _carries_nothing_loose(state, body.thing, name)
    return f"{sort}:{body.thing}", after


def is_in_effect(state: State, verb: str, thing: str, count: int | None, only_pass: int | None = None) -> bool:
    """True where there is nothing left to do: the thing already stands as the verb would leave it."""
    if verb in FASTENER_VERBS:
        it = state.fastener(thing)
        if count is not None or only_pass:
            return (state.at, verb, thing) in state.acted
        return {
            "loosen": it.tight == 0,
            "take_out": it.out == it.count,
            "start": it.out == 0,
            "snug": it.out + it.loose + it.started == 0,
            "tighten": it.tight == it.count,
        }[verb]
    if verb in OPENED_AS:
        sort, after = OPENED_AS[verb]
        now = state.standing(sort, thing)
        return now == after or (verb == "mark" and now == "lined-up")
    return (state.at, verb, thing) in state.acted


def closing_verb(sort: str) -> str:
    """The verb that puts a thing of this sort back."""
    return next(verb for verb, (of, _) in OPENED_AS.items() if of == sort and verb in CLOSING)


def _of_sort(state: State, sort: str) -> Mapping[str, Named]:
    card = state.the_card
    sorts: dict[str, Mapping[str, Named]] = {
        "part": card.parts, "connection": card.connections, "fluid": card.fluids, "cover": card.covers,
        "mark": card.marks, "support": card.supports,
    }  # fmt: skip
    return sorts[sort]


def _nothing_holds(state: State, part: str, name: str) -> None:
    """A part does not come off while a set that was to be undone before is still tight."""
    here = state.place
    for thing in state.plan.holding.get(part, ()):
        if not state.plan.is_there(thing, state.facts):
            continue
        steps = state.plan.taken_out_by.get(thing, ())
        due = here is None or any(number <= here.number for number in steps)
        if due and steps and state.fastener(thing).tight:
            raise Illegal(f"The {state.plan.name_of(thing)} still hold the {name}.")


def _carries_nothing_loose(state: State, support: str, name: str) -> None:
    """A jack stays under a part that is on the vehicle with nothing that holds it."""
    for part in state.the_card.supports[support].carries:
        sets = [t for t in state.plan.holding.get(part, ()) if state.plan.is_there(t, state.facts)]
        if part not in state.the_card.parts or not state.is_on(part) or not sets:
            continue
        if all(state.fastener(thing).out == state.fastener(thing).count for thing in sets):
            raise Illegal(f"Nothing holds the {state.plan.name_of(part)} but the {name}: fasten it first.")
