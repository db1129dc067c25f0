"""From the words of a slot to one thing on the card; or the question which of two; or that it is not there."""

from __future__ import annotations

from collections.abc import Collection

from assistant.dialogue.pending import pack
from assistant.dialogue.view import Turn, View, names_of
from assistant.dialogue.which import Close, Found, which
from assistant.dialogue.wording import capital, say
from assistant.dialogue.wording.english import listed
from assistant.grammar.names import NOT_ON_CARD
from assistant.grammar.request import Request
from assistant.job.memory import State


def here(state: State, sort: str) -> tuple[str, ...]:
    """Things of a sort that the present step is about, in its order."""
    found: list[str] = [state.bolting] if state.bolting and sort in ("fastener", "thing") else []
    if state.at:
        for deed in state.plan.deeds(state.at, state.facts):
            if sort == "thing" or state.plan.things.get(deed.thing, ("",))[0] == sort:
                found.append(deed.thing)
        if sort in ("tool", "thing"):
            found += state.plan.by_id[state.at].step.tools
    question = state.question
    if question is not None and question.about.get(sort):
        found.insert(0, question.about[sort])
    return tuple(dict.fromkeys(found))


def resolve(view: View, turn: Turn, request: Request, slot: str, sort: str) -> tuple[str, Turn | None]:
    """(id, None) for one thing; ("", turn) where the turn asks which, or says that it is not on the card;
    ("", None) where the slot is empty."""
    said = request.slots.get(slot, "")
    words = said if isinstance(said, str) else str(said)
    if not words.strip():
        return "", None
    state = turn.state
    sorts = {sort} if sort != "thing" else set(_SORTS)
    if words in state.plan.things and state.plan.things[words][0] in sorts:
        return words, None
    if "|" in words:
        # a name that several things share
        several = [t for t in words.split("|") if t in state.plan.things and state.plan.is_there(t, state.facts)]
        near = [t for t in several if t in here(state, sort)]
        if len(near or several) == 1:
            return (near or several)[0], None
        if several:
            return "", ask_which(turn, request, slot, several)
    found = which(words, names_of(state.plan, sort), here(state, sort))
    if isinstance(found, Close):
        there = [thing for thing in found.ids if state.plan.is_there(thing, state.facts)]
        if len(there) == 1:
            return there[0], None
        apart = dict(zip(found.ids, found.apart, strict=True))
        return "", ask_which(turn, request, slot, there or list(found.ids), apart)
    if isinstance(found, Found):
        return found.id, None
    key = {"fastener": "no-such-fastener", "measure": "no-such-measure", "tool": "no-such-tool"}
    return "", turn.say(key.get(sort, "no-such-thing"), words=capital(words.removeprefix(NOT_ON_CARD)))


_SORTS = (
    "fastener", "part", "connection", "fluid", "cover", "mark", "support", "measure", "tool", "consumable",
)  # fmt: skip


def what_tells_apart(state: State, things: Collection[str]) -> dict[str, str]:
    """Thing to the words of its name that the others lack: "upper", "lower"; the whole name where none do."""
    names = {thing: state.plan.name_of(thing).split() for thing in things}
    found = {}
    for thing, words in names.items():
        others = [set(w) for other, w in names.items() if other != thing]
        own = [word for word in words if all(word not in other for other in others)]
        found[thing] = " ".join(own) or " ".join(words)
    return found


def what_they_share(state: State, things: Collection[str]) -> str:
    """The words that all their names have, with a blank before: " bellhousing bolts"; empty where none."""
    names = [state.plan.name_of(thing).split() for thing in things]
    shared = [word for word in names[0] if all(word in name for name in names[1:])]
    return f" {' '.join(shared)}" if shared else ""


def ask_which(
    turn: Turn, request: Request, slot: str, things: Collection[str], apart: dict[str, str] | None = None
) -> Turn:
    """Asks which of the things is meant, by what tells them apart; the answer goes into `slot`."""
    if apart is None:
        apart = what_tells_apart(turn.state, things)
    words = [apart.get(thing) or turn.state.plan.name_of(thing) for thing in things]
    turn = turn.line(say("which-of", what=what_they_share(turn.state, things), options=listed(words, "or")))
    return turn.ask("which", request=pack(request), slot=slot, options=" ".join(things))


def fastener_of(view: View, turn: Turn, request: Request, *, to_log: bool = False) -> tuple[str, Turn | None]:
    """The fastener meant; without a name, the one that the last answer was about, else that of the step.

    Where something is to be logged and both could be meant, it is asked.
    """
    thing, asked = resolve(view, turn, request, "fastener", "fastener")
    if thing or asked is not None:
        return thing, asked
    there = here(turn.state, "fastener")
    subject = view.subject if view.subject in turn.state.the_card.fasteners else ""
    if subject and to_log and there and subject not in there:
        return "", ask_which(turn, request, "fastener", [*there, subject])
    if subject and not to_log:
        return subject, None
    if len(there) == 1:
        return there[0], None
    if there:
        return "", ask_which(turn, request, "fastener", there)
    if subject:
        return subject, None
    return "", turn.say("no-fastener-here")
