"""The grammar of a card: one network, from which hearing, typing and help all live."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from random import Random

from assistant.card.model import Card
from assistant.grammar.ahead import Ahead
from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    Optional,
    RuleRef,
    Sequence,
    Token,
)
from assistant.grammar.letters import Spelled, spelled
from assistant.grammar.library import joined, shipped_grammars
from assistant.grammar.live import Live, offers_in
from assistant.grammar.meaning import request_of
from assistant.grammar.names import Names, answering, card_grammar, offered_names, unit_grammar, written_grammar
from assistant.grammar.network import Network
from assistant.grammar.parse import meanings
from assistant.grammar.phrases import Phrase, count, said
from assistant.grammar.request import REQUESTS, Quantity, Request
from assistant.grammar.spelling import plain_phrases
from assistant.grammar.suggest import Suggestions
from assistant.grammar.tags import names_within
from assistant.grammar.walk import BEFORE, Letters, Walk

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
CARDINALS = ("one", "two", "three", "four", "five", "six")
NOT_AFTER_AN_OPENING = frozenset({"reason"})
"""Free words keep their first word, be it "and" or "please"."""
ALL_BUT_BARE_REASONS: Live = frozenset(REQUESTS) - {"reason"}
"""Any text at all would be a reason."""
AT_ONCE = frozenset({"stop"})
"""Never waited out, whatever else might follow."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One way to make a request: an alternative of a public rule."""

    request: str
    expansion: Expansion
    start: int
    exit: int
    """Node that is returned to; by it the request is known."""


class CardGrammar:
    """What can be said while a card is worked."""

    def __init__(self, card: Card, people: Iterable[str] = (), attention_name: str = "") -> None:
        self.card = card
        grammars = shipped_grammars()
        trade = next(grammar for grammar in grammars if grammar.name == "bay.trade")
        other = plain_phrases(trade.rules["fastener"].expansion)
        words = plain_phrases(trade.rules["word"].expansion)
        of_card = card_grammar(card, people, other, words)
        self.library = joined([*grammars, written_grammar(), unit_grammar(), of_card])
        self._network = Network(self.library)
        self.walk = Walk(self._network)
        self._by_exit: dict[int, str] = {}
        self._ahead = Ahead(self.walk, self._by_exit)
        self._opening = RuleRef("bay.manner.opening")
        self._name = _attention(attention_name)
        self.entries = tuple(self._entries())
        self._roots: dict[tuple[Live, bool], int] = {}

    # -- hearing -------------------------------------------------------------

    def acceptor(self, live: Live | None = None, named: bool = False) -> Letters:
        """What may be said now; everything but a bare reason where `live` is None. With `named` the attention name
        must come first.
        """
        key = (ALL_BUT_BARE_REASONS if live is None else live, named)
        root = self._roots.get(key)
        if root is None:
            root = self._roots[key] = self._root(*key)
        return Letters(self.walk, self.walk.position([(BEFORE, root, 0)]))

    def may_go_on(self, text: str, live: Live | None = None, named: bool = False) -> bool:
        """True where more words could still change what the text asks for; False where nothing that may follow
        would, or where the text is no beginning of a phrase.
        """
        letters = self.acceptor(live, named)
        phrase = spelled(text)
        position = letters.along(phrase.text)
        if position < 0:
            return False
        if not self.walk.may_end(position):
            return True
        found = self._requests(phrase, letters, live)
        names = {request.name for request in found}
        if names & AT_ONCE:
            return False
        return any(self._ahead.may_change(thread, names) for thread in self.walk.threads(position))

    # -- reading ---------------------------------------------------------------

    def parse(self, text: str, live: Live | None = None, named: bool = False) -> Request | None:
        """What a text asks for; None where it is no phrase, or where it could mean two things."""
        found = self._requests(spelled(text), self.acceptor(live, named), live)
        return found[0] if len(found) == 1 else None

    def meanings(self, text: str, live: Live | None = None) -> tuple[Request, ...]:
        """Every request that a text may mean; more than one is a fault of grammar or card."""
        return self._requests(spelled(text), self.acceptor(live), live)

    def _requests(self, phrase: Spelled, letters: Letters, live: Live | None) -> tuple[Request, ...]:
        found: dict[object, Request] = {}
        for meaning in meanings(self.walk, letters, phrase):
            request = request_of(meaning, phrase)
            if request is None:  # a number that could be two: no reading of this text is safe
                return ()
            found.setdefault(_asked(request), request)
        # What a question offers is an answer before it is anything else ("yes", "carry on"); what the card might
        # offer some other time is not.
        offered = live is not None and bool(offers_in(live))
        preferred = [each for each in found.values() if (each.name == "answer") == offered]
        return tuple(preferred or found.values())

    def request_at(self, node: int, stack: int) -> str:
        """The request that a thread of the walk is on the way to; empty before it is known."""
        return next((self._by_exit[each] for each in (node, *self.walk.returns(stack)) if each in self._by_exit), "")

    # -- examples ----------------------------------------------------------------

    def phrases(self, limit: int = 10_000, live: Live | None = None, seed: int = 0) -> tuple[Phrase, ...]:
        """Up to `limit` different phrases, every request in turn; the same for the same seed."""
        chance = Random(seed)
        found: dict[str, Phrase] = {}
        by_request: dict[str, list[Entry]] = {}
        for entry in self.entries:
            if live is None or entry.request in live:
                by_request.setdefault(entry.request, []).append(entry)
        patience = dict.fromkeys(by_request, 40)
        while patience and len(found) < limit:
            for name in list(patience):
                entry = chance.choice(by_request[name])
                text = said(entry.expansion, self.library, chance)
                request = self.parse(text) if text and text not in found else None
                if request is None and text not in found:
                    request = self.parse(text, frozenset({name})) if text else None
                if request is None:
                    patience[name] -= 1
                    if not patience[name]:
                        del patience[name]
                    continue
                patience[name] = 40
                found[text] = Phrase(text, request)
                if len(found) == limit:
                    break
        return tuple(found.values())

    def count(self) -> int:
        """How many spoken phrases there are, free words counted as one each, without words before and after."""
        known: dict[str, int] = {}
        return sum(count(entry.expansion, self.library, known) for entry in self.entries)

    def help(self, live: Live | None = None) -> tuple[str, ...]:
        """One example for each request that is live, in the order of REQUESTS."""
        found: dict[str, str] = {}
        for phrase in self._examples:
            found.setdefault(phrase.request.name, phrase.text)
        wanted = frozenset(REQUESTS) if live is None else live
        offers = offers_in(wanted)
        if offers:
            names = offered_names(self.card, offers)
            found["answer"] = next((phrase for phrase, keys in names.items() if offers[0] in keys), offers[0])
        return tuple(found[name] for name in REQUESTS if name in wanted and name in found)

    @cached_property
    def _examples(self) -> tuple[Phrase, ...]:
        return self.phrases(6 * len(REQUESTS), seed=1)

    def suggest(self, text: str, live: Live | None = None) -> str | None:
        """The nearest phrase to a text that is none, to be offered and never acted upon; None where none is near."""
        return self._suggestions.nearest(text, lambda phrase: self.parse(phrase, live) is not None)

    @cached_property
    def _suggestions(self) -> Suggestions:
        return Suggestions(self.library, [entry.expansion for entry in self.entries])

    # -- building ------------------------------------------------------------------

    def _entries(self) -> Iterator[Entry]:
        for grammar in self.library.grammars.values():
            for rule in grammar.rules.values():
                if not rule.public or not names_within(rule.expansion):
                    continue
                expansion = self.library.rules[f"{grammar.name}.{rule.name}"].expansion
                for alternative in _alternatives(expansion):
                    named = names_within(alternative)
                    if len(named) != 1 or not named <= REQUESTS.keys():
                        raise GrammarError(
                            f"a phrase of <{rule.name}> names {_listed(named)}",
                            "give each alternative one {= request} that request.py knows",
                            grammar.path,
                            rule.place.line,
                            rule.place.column,
                        )
                    yield self._entry(next(iter(named)), alternative)

    def _entry(self, request: str, expansion: Expansion) -> Entry:
        leave, back = self._network.add_node(), self._network.add_node()
        for node in (leave, back):
            self._network.nodes[node].ends = self._network.nodes[node].kept = True
            self._by_exit[node] = request
        self._network.call(leave, self._network.start_of("bay.manner.closing"), back)
        return Entry(request, expansion, self._network.compiled(expansion), leave)

    def _root(self, live: Live, named: bool) -> int:
        entries = [entry for entry in self.entries if entry.request in live]
        offers = offers_in(live)
        if offers:
            entries = [entry for entry in entries if entry.request != "answer"]
            entries.append(self._entry("answer", self._answers(offers)))
        plain, opened = self._network.add_node(), self._network.add_node()
        for entry in entries:
            self._network.call(plain, entry.start, entry.exit)
            if entry.request not in NOT_AFTER_AN_OPENING:
                self._network.call(opened, entry.start, entry.exit)
        self._network.call(plain, self._network.compiled(self._opening), opened)
        if self._name is None:
            return plain
        root = self._network.add_node()
        self._network.call(root, self._network.compiled(self._name), plain)
        if not named:
            self._network.nodes[root].silent.append((plain, ()))
        return root

    def _answers(self, offers: tuple[str, ...]) -> Expansion:
        names: Names = offered_names(self.card, offers)
        for key, ordinal, cardinal in zip(offers, ORDINALS, CARDINALS, strict=False):
            for phrase in (ordinal, f"{ordinal} one", f"number {cardinal}"):
                names.setdefault(phrase, set()).add(key)
        frame = Alternatives(
            tuple(Token(words) for words in ("it's", "they're", "i mean", "that's", "it has", "we have"))
        )
        return Sequence((Optional(frame), answering(names)))


def _alternatives(expansion: Expansion) -> tuple[Expansion, ...]:
    return expansion.items if isinstance(expansion, Alternatives) else (expansion,)


def _asked(request: Request) -> object:
    """What tells two requests apart: not the words ("a half inch" is "half inch")."""
    slots = {
        slot: (value.value, value.unit) if isinstance(value, Quantity) else value
        for slot, value in request.slots.items()
    }
    return request.name, frozenset(slots.items())


def _listed(requests: set[str]) -> str:
    return " and ".join(sorted(requests)) if requests else "no request"


def _attention(name: str) -> Expansion | None:
    """ "Hey NAME", "NAME"; None where there is no name."""
    words = spelled(name).text
    if not words:
        return None
    calls = tuple(Token(call) for call in ("hey", "okay", "hello", "hi"))
    return Sequence((Optional(Alternatives(calls)), Token(words)))
