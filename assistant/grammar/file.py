"""The grammar of a file: any JSGF, ours or not."""

from __future__ import annotations

from pathlib import Path
from random import Random

from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import Grammar, Null, RuleRef, Tagged
from assistant.grammar.jsgf import SUFFIXES, read_grammar
from assistant.grammar.letters import spelled
from assistant.grammar.library import joined, shipped_grammars
from assistant.grammar.live import Live
from assistant.grammar.names import unit_grammar, written_grammar
from assistant.grammar.network import Network
from assistant.grammar.parse import Meaning, meanings
from assistant.grammar.phrases import Phrase, said
from assistant.grammar.request import Request
from assistant.grammar.walk import BEFORE, Letters, Walk


class FileGrammar:
    """Any grammar file: its public rules are what can be said. A request is named for the rule, and its one
    slot `tags` holds the tags that were met, joined by spaces."""

    def __init__(self, path: Path) -> None:
        grammar = read_grammar(path)
        self.library = joined(_wanted(path, grammar))
        self._network = Network(self.library, figures_for_words=True)
        self.walk = Walk(self._network, figures_run_on=True)
        self._rules: dict[int, str] = {}
        root = self._network.add_node()
        for rule in self.library.public_rules(grammar.name):
            leave = self._network.compiled(Null())
            self._rules[leave] = rule.rpartition(".")[2]
            tagged = Tagged(RuleRef(rule), f"= {self._rules[leave]}")
            self._network.call(root, self._network.compiled(tagged), leave)
        if not self._rules:
            raise GrammarError(
                f"the grammar {grammar.name} has no public rule, so nothing can be said",
                "write public before the rule that is to be heard",
                str(path),
                1,
                1,
            )
        self._start = Letters(self.walk, self.walk.position([(BEFORE, root, 0)]))
        self.name = grammar.name

    def acceptor(self, live: Live | None = None, named: bool = False) -> Letters:
        """What may be said; there is only one state."""
        return self._start

    def parse(self, text: str, live: Live | None = None, named: bool = False) -> Request | None:
        """The rule that a text keeps, with its tags; None where none does or several do."""
        phrase = spelled(text)
        found = {(meaning.name, self._tags(meaning)) for meaning in meanings(self.walk, self._start, phrase)}
        if len(found) != 1:
            return None
        name, tags = found.pop()
        return Request(name, {"tags": tags} if tags else {}, phrase.text)

    def may_go_on(self, text: str, live: Live | None = None, named: bool = False) -> bool:
        """True where words may still follow."""
        position = self._start.along(spelled(text).text)
        return position >= 0 and bool(self.walk.letters(position))

    def phrases(self, limit: int = 1000, seed: int = 0) -> tuple[Phrase, ...]:
        """Up to `limit` different phrases."""
        chance = Random(seed)
        rules = self.library.public_rules(self.name)
        found: dict[str, Phrase] = {}
        for _ in range(limit * 4):
            text = said(self.library.rules[chance.choice(rules)].expansion, self.library, chance)
            request = self.parse(text) if text and text not in found else None
            if request is not None:
                found[text] = Phrase(text, request)
            if len(found) == limit:
                break
        return tuple(found.values())

    @staticmethod
    def _tags(meaning: Meaning) -> str:
        return " ".join((*meaning.tags, *(f"{slot}: {value}" for slot, value in meaning.sets)))


def _wanted(path: Path, grammar: Grammar) -> list[Grammar]:
    """The grammars that this one imports, and those that they import: from files beside it, else of ours."""
    beside = {each.name: each for each in map(_readable, _neighbours(path)) if each is not None}
    ours = {each.name: each for each in (*shipped_grammars(), written_grammar(), unit_grammar())}
    found: dict[str, Grammar] = {grammar.name: grammar}
    waiting = [grammar]
    while waiting:
        for wanted in waiting.pop().imports:
            name = wanted.name.rpartition(".")[0]
            source = beside.get(name) or ours.get(name)
            if name not in found and source is not None:
                found[name] = source
                waiting.append(source)
    return list(found.values())


def _neighbours(path: Path) -> list[Path]:
    return sorted(other for other in path.parent.iterdir() if other.suffix in SUFFIXES and other != path)


def _readable(path: Path) -> Grammar | None:
    """A neighbour; None where it has a fault, for a file that nobody imports need not be right."""
    try:
        return read_grammar(path)
    except GrammarError:
        return None
