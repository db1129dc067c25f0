"""Rules as a recursive transition network over phrases.

A node has arcs that spell a phrase, arcs that call a rule, and silent arcs; each may carry marks (see `tags`).
A rule is entered by its start node and left where a node `ends`. Rules are compiled once and called from
wherever they are used, so that the network is no larger than the grammar. It only ever grows: positions found
in it stay good.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    FreeWords,
    NameList,
    Null,
    Numeral,
    Optional,
    Repeat,
    RuleRef,
    Sequence,
    Tagged,
    Token,
    Void,
)
from assistant.grammar.letters import spelled
from assistant.grammar.library import Library
from assistant.grammar.numbers import read_whole
from assistant.grammar.spelling import spellings, ways
from assistant.grammar.tags import Closes, Marks, Opens, Sets, Weighs, mark_of

Entry = tuple[int, Marks]
"""Node that a spelled phrase leads to, and the marks it leaves."""

FIGURES = "0123456789"


@dataclass(slots=True)
class Node:
    words: list[tuple[str, Entry]]
    """Phrases that may follow after a space."""
    glued: list[tuple[str, Entry]]
    """Letters that may follow at once, with no space: the next figure of a numeral."""
    silent: list[Entry]
    calls: list[tuple[int, int]]
    """Start node of a rule, and the node to go on from."""
    free: int = -1
    """Node after free words that may begin here; -1 where none may."""
    ends: bool = False
    """The rule may end here."""
    kept: bool = False
    """Stays on the stack of what it calls, though nothing follows: it tells whose words these are."""


class Network:
    """The nodes, and where each rule starts."""

    def __init__(self, library: Library, figures_for_words: bool = False) -> None:
        """With `figures_for_words`, number words in any rule may be written as figures ("five" as "5")."""
        self._library = library
        self._figures_for_words = figures_for_words
        self.nodes: list[Node] = []
        self._starts: dict[str, int] = {}

    def add_node(self) -> int:
        """A new node without arcs."""
        self.nodes.append(Node([], [], [], []))
        return len(self.nodes) - 1

    def start_of(self, rule: str) -> int:
        """Start node of a rule by its full name; compiled when first asked for."""
        start = self._starts.get(rule)
        if start is None:
            start = self._starts[rule] = self.add_node()  # known before it is compiled: a rule may call itself
            self._compile(start, self._library.rules[rule].expansion)
        return start

    def compiled(self, expansion: Expansion) -> int:
        """Start node of an expansion that is to be called like a rule."""
        start = self.add_node()
        self._compile(start, expansion)
        return start

    def call(self, node: int, start: int, back: int) -> None:
        """Lets what begins at `start` be spoken from `node`, to go on at `back`."""
        self.nodes[node].calls.append((start, back))

    def _compile(self, start: int, expansion: Expansion) -> None:
        end = self.add_node()
        self.nodes[end].ends = True
        self._join(start, end, expansion)

    def _join(self, start: int, end: int, expansion: Expansion) -> None:
        nodes = self.nodes
        match expansion:
            case Token():
                self._join_words(start, end, [expansion])
            case RuleRef(name):
                nodes[start].calls.append((self.start_of(name), end))
            case Null():
                nodes[start].silent.append((end, ()))
            case Void():
                pass
            case Sequence(items):
                self._join_sequence(start, end, items)
            case Alternatives(items, weights):
                for item, weight in zip(items, weights or (1.0,) * len(items), strict=True):
                    self._join(self._weighed(start, weight, max(weights, default=1.0)), end, item)
            case Optional(item):
                nodes[start].silent.append((end, ()))
                self._join(start, end, item)
            case Repeat(item, least):
                before, after = self.add_node(), self.add_node()
                nodes[start].silent.append((before, ()))
                self._join(before, after, item)
                nodes[after].silent += [(before, ()), (end, ())]
                if not least:
                    nodes[start].silent.append((end, ()))
            case Tagged(item, tag, _):
                mark = mark_of(tag)
                inside, after = start, self.add_node()
                if isinstance(mark, Closes):
                    inside = self.add_node()
                    nodes[start].silent.append((inside, (Opens(),)))
                self._join(inside, after, item)
                nodes[after].silent.append((end, (mark,)))
            case NameList(slot, names):
                for phrase, value in names.items():
                    marks: Marks = (Sets(slot, value),) if slot else ()
                    nodes[start].words.extend((written, (end, marks)) for written in spellings(phrase))
            case Numeral(most, whole_only):
                self._join_numeral(start, end, most, whole_only)
            case FreeWords():
                nodes[start].free = end

    def _weighed(self, start: int, weight: float, most: float) -> int:
        """Where an alternative of this weight begins; `most` is the greatest weight beside it."""
        if weight in (0, most):
            return start
        here = self.add_node()
        self.nodes[start].silent.append((here, (Weighs(log(weight / most)),)))
        return here

    def _join_sequence(self, start: int, end: int, items: tuple[Expansion, ...]) -> None:
        """In turn; neighbouring words are joined together, for a spelling may span two of them."""
        groups: list[list[Expansion]] = []
        for item in items:
            if isinstance(item, Token) and groups and isinstance(groups[-1][-1], Token):
                groups[-1].append(item)
            else:
                groups.append([item])
        here = start
        for number, group in enumerate(groups):
            there = end if number == len(groups) - 1 else self.add_node()
            tokens = [item for item in group if isinstance(item, Token)]
            if tokens:
                self._join_words(here, there, tokens)
            else:
                self._join(here, there, group[0])
            here = there

    def _join_words(self, start: int, end: int, tokens: list[Token]) -> None:
        words = tuple(word for token in tokens for word in spelled(token.text).text.split())
        places = [start, *(self.add_node() for _ in words[1:]), end]
        for number, word in enumerate(words):
            self.nodes[places[number]].words.append((word, (places[number + 1], ())))
        for first, last, other in ways(words):
            self.nodes[places[first]].words.append((other, (places[last], ())))
        if self._figures_for_words:
            for first in range(len(words)):
                for last in range(first + 1, len(words) + 1):
                    value = read_whole(" ".join(words[first:last]))
                    if value is not None and not words[first].isdigit():
                        self.nodes[places[first]].words.append((str(value), (places[last], ())))

    def _join_numeral(self, start: int, end: int, most: int, whole_only: bool) -> None:
        """Up to `most` figures; with a decimal point as many more; or a fraction in halves to sixty-fourths."""
        nodes = self.nodes

        def figures(start: int, first_glued: bool, leave: list[int]) -> None:
            here = start
            for count in range(most):
                there = self.add_node()
                arcs = nodes[here].glued if first_glued or count else nodes[here].words
                arcs.extend((figure, (there, ())) for figure in FIGURES)
                leave.append(there)
                here = there

        wholes: list[int] = []
        figures(start, False, wholes)
        for node in wholes:
            nodes[node].silent.append((end, ()))
        if whole_only:
            return
        point = self.add_node()
        nodes[start].words.append((".", (point, ())))
        for node in wholes:
            nodes[node].glued.append((".", (point, ())))
        decimals: list[int] = []
        figures(point, True, decimals)
        over = self.add_node()
        nodes[start].words.extend((fraction, (end, ())) for fraction in FRACTIONS)
        for node in wholes:
            nodes[node].silent.append((over, ()))
        nodes[over].words.extend((fraction, (end, ())) for fraction in FRACTIONS)
        for node in decimals:
            nodes[node].silent.append((end, ()))


FRACTIONS = tuple(f"{over}/{under}" for under in (2, 4, 8, 16, 32, 64) for over in range(1, under, 2))
"""The fractions that stand on tools and rules, in lowest terms."""
