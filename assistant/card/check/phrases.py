"""The loaded grammar itself: each full name on the card must ask for that thing and for nothing else."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.card.plan import KINDS, Thing
from assistant.grammar.errors import GrammarError
from assistant.grammar.load import CardGrammar
from assistant.grammar.names import NOT_ON_CARD
from assistant.grammar.request import Request

from .combinations import disjoint
from .finding import Finding
from .happenings import Row

_FRAMES = {
    "fastener": ("what is the torque for the {}", "fastener"),
    "measure": ("what is the limit for the {}", "measure"),
}
_FRAME = ("what is the {}", "thing")


def phrase_findings(row: Row) -> Iterator[Finding]:
    """Speaks every name to the grammar of this card and looks at what it was taken for."""
    try:
        grammar = CardGrammar(row.card)
    except GrammarError as error:
        mend = "Mend the grammar file, or the name on the card that it took in."
        yield row.finding(("title",), "one-phrase-two-things", f"No grammar can be made for this card: {error}", mend)
        return
    for thing in row.things.values():
        frame, slot = _FRAMES.get(thing.kind, _FRAME)
        for name in dict.fromkeys((thing.entry.name, *thing.entry.aka)):
            phrase = frame.format(name)
            yield from _judged(row, thing, name, slot, grammar.meanings(phrase))


def _judged(row: Row, thing: Thing, name: str, slot: str, requests: tuple[Request, ...]) -> Iterator[Finding]:
    path = (KINDS[thing.kind], thing.id, "name")
    if not requests:
        message = f'The grammar does not understand "{name}".'
        mend = "Use words and figures as one speaks them."
        yield row.finding(path, "not-sayable", message, mend)
        return
    meant = {each for request in requests for each in str(request.slots.get(slot, "")).split("|")}
    others = sorted(
        other
        for other in meant - {thing.id, ""}
        if other not in row.things or not disjoint(row.when(thing.id), row.when(other))
    )
    if others:
        called = ", ".join(_called(row, other) for other in others)
        message = f'"{name}" asks for the {thing.entry.name} and as well for: {called}.'
        yield row.finding(path, "one-phrase-two-things", message, "Rename one of them.")
    elif len({request.name for request in requests}) > 1:
        asked = ", ".join(sorted({request.name for request in requests}))
        message = f'A question about "{name}" could be any of these requests: {asked}.'
        yield row.finding(path, "one-phrase-two-things", message, "Give it a name that is no command.")


def _called(row: Row, other: str) -> str:
    if other in row.things:
        return row.name(other)
    return f"{other.removeprefix(NOT_ON_CARD)} (a fastener of the trade that is not on this card)"
