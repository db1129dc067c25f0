"""The names on a card as rules: what people may call each thing, and which thing they mean by it.

A slot that is filled by a name holds an id of the card; several ids joined with `|` where the name does not
tell them apart ("a|b"); or `?` and the words for a fastener of the trade that this card does not have.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.card.model import Card, Fastener, Named
from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    FreeWords,
    Grammar,
    NameList,
    Numeral,
    Optional,
    Rule,
    Sequence,
    Tagged,
    Token,
    Void,
)
from assistant.grammar.letters import spelled
from assistant.grammar.numbers import NUMBER_WORDS
from assistant.grammar.quantity import spoken_units

NOT_ON_CARD = "?"
_UNIT_WORDS = frozenset(word for spelling in spoken_units() for word in spelling.split())
_NO_NAME_BEGINS_WITH = frozenset({"to", "of", "the", "for", "on", "at", "in", "with"}) | NUMBER_WORDS | _UNIT_WORDS
"""Nor with these when it is cut short: "point" for "bite point" would make 5 of "point five"."""

Names = dict[str, set[str]]
"""Phrase to the ids that it may mean."""


def written_grammar() -> Grammar:
    """Figures and dictation, which have no notation in a grammar file."""
    return _grammar(
        "bay.written",
        {
            "numeral": Numeral(),
            "whole": Numeral(whole_only=True),
            "figure": Numeral(most=1, whole_only=True),
            "two-figure": Numeral(most=2, whole_only=True),
            "words": FreeWords(),
        },
    )


def unit_grammar() -> Grammar:
    """The names of units, by what they measure."""
    kinds = {
        "torque": ("N·m", "lbf·ft", "lbf·in", "kgf·m"),
        "length": ("mm", "in", "cm"),
        "reading": ("deg", "N", "kPa", "bar", "psi", "V", "ohm", "L", "mL", "g", "kg"),
        "angle": ("deg",),
    }
    return _grammar("bay.units", {kind: _words(spoken_units(*names)) for kind, names in kinds.items()})


def card_grammar(
    card: Card, people: Iterable[str], other_fasteners: Iterable[str], trade_words: Iterable[str] = ()
) -> Grammar:
    """The rules of `bay.card`: fastener, part, measure, thing, tool, person, step, option, item, section, and
    measured, word, fluid, stand."""
    fasteners = fastener_names(card.fasteners)
    everything: Names = {}
    for kind in _kinds(card):
        _add_all(everything, kind)
    for phrase, ids in _full_names(card.fasteners).items():
        everything.setdefault(phrase, set()).update(ids)
    parts: Names = {}
    _add_all(parts, card.parts)
    tools: Names = {}
    _add_all(tools, card.tools)
    known = _joined(fasteners)
    # the trade's "skidplate bolts" are this card's "skid plate bolts"
    unspaced = {phrase.replace(" ", "") for phrase in known}
    for name in other_fasteners:
        for phrase in _one_and_many(name):
            if phrase.replace(" ", "") not in unspaced:
                known[phrase] = NOT_ON_CARD + name
    return _grammar(
        "bay.card",
        {
            "fastener": _with_article("fastener", known),
            "part": _with_article("", _joined(parts)),
            "measure": _with_article("measure", _joined(measure_names(card))),
            "measured": _with_article("measure", _joined(measured_names(card))),
            "thing": _with_article("thing", _joined(everything)),
            "tool": _with_article("tool", _joined(tools)),
            "item": _with_article("item", _joined(everything)),
            "item-is": _with_article("item", {f"{phrase}'s": ids for phrase, ids in _joined(everything).items()}),
            "word": _with_article("thing", {w: NOT_ON_CARD + w for w in trade_words if w not in everything}),
            "fluid": _with_article("thing", _joined(fluid_names(card))),
            "stand": _with_article("item", _joined(_full_names(card.supports))),
            "person": _list("name", {spelled(name).text: name for name in people}),
            "section": _with_article("section", _joined(section_names(card))),
            "step": _with_article("step", _joined(step_names(card))),
            "option": _with_article("option", _joined(option_names(card))),
        },
    )


def fastener_names(fasteners: Mapping[str, Fastener]) -> Names:
    """Full names, other names, and the shorter forms that people use: "flywheel", "bolts on the flywheel", and
    without leading words ("bellhousing bolts" of "upper bellhousing bolts"). A full name beats a shorter form.
    """
    names = _full_names(fasteners)
    shorter: Names = {}
    for key, fastener in fasteners.items():
        for name in (fastener.name, *fastener.aka):
            words = spelled(name).text.split()
            for start in range(1, len(words) - 1):
                if words[start] not in _NO_NAME_BEGINS_WITH:
                    for phrase in _one_and_many(" ".join(words[start:])):
                        shorter.setdefault(phrase, set()).add(key)
            place = " ".join(words[:-1])
            if place and words[-1].rstrip("s") == fastener.kind:
                phrases = [place, *(f"{words[-1]} {link} the {place}" for link in ("on", "of", "for", "in"))]
                for phrase in phrases:
                    shorter.setdefault(phrase, set()).add(key)
    return {**shorter, **names}


def fluid_names(card: Card) -> Names:
    """Fluids and materials, and each by its last word ("oil")."""
    names: Names = {}
    for kind in (card.fluids, card.consumables):
        _add_all(names, kind)
        for key, it in kind.items():
            names.setdefault(spelled(it.name).text.split()[-1], set()).add(key)
    return names


def measure_names(card: Card) -> Names:
    """Full and other names, and the same without leading words down to the last ("runout")."""
    names: Names = {}
    _add_all(names, card.measures)
    shorter: Names = {}
    for key, measure in card.measures.items():
        for name in (measure.name, *measure.aka):
            words = spelled(name).text.split()
            for start in range(1, len(words)):
                if words[start] not in _NO_NAME_BEGINS_WITH:
                    shorter.setdefault(" ".join(words[start:]), set()).add(key)
    return {**shorter, **names}


def measured_names(card: Card) -> Names:
    """What is measured, without the word for how: "disc" of "disc thickness", where that is no fastener's name."""
    fasteners = fastener_names(card.fasteners)
    names: Names = {}
    for key, measure in card.measures.items():
        for name in (measure.name, *measure.aka):
            what = spelled(name).text.rpartition(" ")[0]
            if what and what not in fasteners:
                names.setdefault(what, set()).add(key)
    return names


def section_names(card: Card) -> Names:
    names: Names = {}
    for section in card.sections:
        for phrase in (spelled(section.name).text, spelled(section.id).text):
            names.setdefault(phrase, set()).add(section.id)
    return names


def step_names(card: Card) -> Names:
    """Steps by the words of their ids; sections by name, meaning their first step."""
    names: Names = {}
    for section in card.sections:
        names.setdefault(spelled(section.name).text, set()).add(section.steps[0].id)
        for step in section.steps:
            phrase = spelled(step.id).text
            if " " in phrase:
                names.setdefault(phrase, set()).add(step.id)
    return names


def option_names(card: Card) -> Names:
    """What may be answered to the card's own questions."""
    names: Names = {}
    for options in (
        *(fact.options for fact in card.facts.values()),
        *(measure.out.options for measure in card.measures.values() if measure.out),
    ):
        for key, option in options.items():
            for name in (option.say, *option.aka, key):
                names.setdefault(spelled(name).text, set()).add(key)
    return names


def offered_names(card: Card, ids: Iterable[str]) -> Names:
    """What may be answered where these were offered: names of options or of things on the card, and of each the
    words that no other of them has ("the upper ones").
    """
    wanted = set(ids)
    names: Names = {phrase: keys & wanted for phrase, keys in option_names(card).items() if keys & wanted}
    for kind in (*_kinds(card), card.fasteners):
        _add_all(names, {key: named for key, named in kind.items() if key in wanted})
    words_of: dict[str, set[str]] = {key: set() for key in wanted}
    for phrase, keys in names.items():
        for key in keys:
            words_of[key].update(phrase.split())
    for key, words in words_of.items():
        others = set().union(*(each for other, each in words_of.items() if other != key))
        for word in words - others - _NO_NAME_BEGINS_WITH:
            for phrase in (word, f"{word} ones", f"{word} one"):
                names.setdefault(phrase, set()).add(key)
    return names


def _full_names(kind: Mapping[str, Named]) -> Names:
    names: Names = {}
    _add_all(names, kind)
    return names


def _kinds(card: Card) -> tuple[Mapping[str, Named], ...]:
    return (
        card.parts,
        card.connections,
        card.fluids,
        card.covers,
        card.marks,
        card.supports,
        card.tools,
        card.consumables,
        card.measures,
    )


def _add_all(names: Names, kind: Mapping[str, Named]) -> None:
    for key, named in kind.items():
        for name in (named.name, *named.aka):
            for phrase in _one_and_many(spelled(name).text):
                names.setdefault(phrase, set()).add(key)


def _one_and_many(phrase: str) -> tuple[str, ...]:
    """The phrase, and the same in the other number: bolts, bolt."""
    head, _, last = phrase.rpartition(" ")
    if not last.isalpha() or len(last) < 3:
        return (phrase,)
    if last.endswith(("ches", "shes", "xes", "sses")):
        other = last[:-2]
    elif last.endswith("s") and not last.endswith("ss"):
        other = last[:-1]
    elif last.endswith(("ch", "sh", "x", "ss")):
        other = last + "es"
    else:
        other = last + "s"
    return phrase, f"{head} {other}".strip()


def _joined(names: Names) -> dict[str, str]:
    return {phrase: "|".join(sorted(ids)) for phrase, ids in names.items() if phrase}


def _list(slot: str, names: Mapping[str, str]) -> Expansion:
    return NameList(slot, names) if names else Void()


def _with_article(slot: str, names: Mapping[str, str]) -> Expansion:
    if not names:
        return Void()
    article = Alternatives(tuple(Token(word) for word in ("the", "these", "those", "this", "that", "a")))
    return Sequence((Optional(article), NameList(slot, names)))


def _words(phrases: Mapping[str, str]) -> Expansion:
    return Alternatives(tuple(Token(phrase) for phrase in phrases))


def _grammar(name: str, expansions: Mapping[str, Expansion]) -> Grammar:
    return Grammar(name, {rule: Rule(rule, expansion, public=True) for rule, expansion in expansions.items()})


def answering(names: Names) -> Expansion:
    """An answer to a question that offered these."""
    return Tagged(_with_article("option", _joined(names)), "= answer")
