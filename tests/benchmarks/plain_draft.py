"""The alternative that the draft's benchmark is held against: each sentence by its first verb and first thing."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from assistant.card.draft.clauses import parsed
from assistant.card.draft.lexicon import lexicon
from assistant.card.draft.reading import read_text_file
from assistant.card.draft.story import Deed, Telling, Understanding
from assistant.card.draft.thing import Said, Thing
from assistant.card.draft.words import sentences


@lru_cache(maxsize=64)
def plainly_understood(path: Path) -> Understanding:
    """Things are the same only when called the same; a value goes to the thing named last."""
    steps: list[Telling] = []
    things: dict[tuple[str, str], Thing] = {}
    last: Thing | None = None
    for sentence in sentences(read_text_file(path).passages):
        items = parsed(sentence).clauses
        mentions = [mention for clause in items for mention in clause.mentions if mention.head and mention.kinds]
        said = Said(sentence.words, sentence.at_s)
        for mention in mentions:
            name = " ".join([*sorted(mention.places), *mention.mods, mention.head])
            thing = things.setdefault(
                (mention.kinds[0], name), Thing(len(things), mention.kinds[0], mention.head, mention.plural)
            )
            thing.places, thing.mods = set(mention.places), list(mention.mods)
            if mention.count:
                thing.count, thing.count_said = mention.count, said
            last = thing
        meaning = next((clause.meaning for clause in items if clause.meaning in lexicon().meanings), "")
        if meaning and mentions:
            first = mentions[0]
            thing = things[(first.kinds[0], " ".join([*sorted(first.places), *first.mods, first.head]))]
            verb = lexicon().meanings[meaning].get(thing.kind)
            if verb:
                steps.append(Telling([Deed(verb, thing)], [said]))
        for clause in items:
            for free in clause.figures:
                if last is None:
                    continue
                if free.figure.dimension == "torque":
                    last.torque = free.figure
                elif free.figure.thread:
                    last.thread = free.figure.thread
                elif free.figure.dimension == "mass":
                    last.mass = free.figure
                elif free.figure.dimension == "length":
                    last.wrench = free.figure
    return Understanding("", steps, list(things.values()), {}, [], [], [])
