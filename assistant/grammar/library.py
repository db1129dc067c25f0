"""Several grammars together: which rule a name means, and whether every rule can be spoken at all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    FreeWords,
    Grammar,
    NameList,
    Null,
    Numeral,
    Optional,
    Repeat,
    Rule,
    RuleRef,
    Sequence,
    Tagged,
    Token,
    Void,
    parts_of,
)
from assistant.grammar.jsgf import SUFFIXES, read_grammar
from assistant.paths import shipped


@dataclass(frozen=True, slots=True)
class Library:
    """Grammars whose rules have been joined: every reference is a full name, and every rule ends."""

    rules: Mapping[str, Rule]
    """By full name, `package.grammar.rule`."""
    grammars: Mapping[str, Grammar]

    def public_rules(self, grammar: str) -> tuple[str, ...]:
        """Full names of the public rules of a grammar, in the order of its file."""
        return tuple(f"{grammar}.{rule.name}" for rule in self.grammars[grammar].rules.values() if rule.public)


def read_folder(folder: Path) -> tuple[Grammar, ...]:
    """Every grammar file of a folder, by file name."""
    return tuple(read_grammar(path) for path in sorted(folder.iterdir()) if path.suffix in SUFFIXES)


@cache
def shipped_grammars() -> tuple[Grammar, ...]:
    """The grammar files that come with the program."""
    return read_folder(shipped("grammars"))


def joined(grammars: Iterable[Grammar]) -> Library:
    """The grammars as one library. Raises GrammarError for whatever cannot be meant or spoken."""
    by_name: dict[str, Grammar] = {}
    for grammar in grammars:
        if grammar.name in by_name:
            raise GrammarError(
                f"the grammar {grammar.name} is already in {by_name[grammar.name].path or 'the program'}",
                "give one of the two another name",
                grammar.path,
                1,
                1,
            )
        by_name[grammar.name] = grammar
    for grammar in by_name.values():
        _check_imports(grammar, by_name)
    rules = {
        f"{grammar.name}.{rule.name}": Rule(
            rule.name, _with_full_names(rule.expansion, grammar, by_name), rule.public, rule.place
        )
        for grammar in by_name.values()
        for rule in grammar.rules.values()
    }
    library = Library(rules, by_name)
    _refuse_left_recursion(library)
    _refuse_endless_recursion(library)
    return library


def _check_imports(grammar: Grammar, by_name: Mapping[str, Grammar]) -> None:
    for wanted in grammar.imports:
        package, _, rule = wanted.name.rpartition(".")
        source = by_name.get(package)
        line, column = wanted.place.line, wanted.place.column
        if source is None:
            raise GrammarError(
                f"there is no grammar {package} to import from",
                "put its file beside this one, or mend the name",
                grammar.path,
                line,
                column,
            )
        if rule != "*" and (rule not in source.rules or not source.rules[rule].public):
            known = rule in source.rules
            raise GrammarError(
                f"{package} has no public rule <{rule}>",
                f"write public before <{rule}> there" if known else "mend the name",
                grammar.path,
                line,
                column,
            )


def _with_full_names(expansion: Expansion, grammar: Grammar, by_name: Mapping[str, Grammar]) -> Expansion:
    def full(inner: Expansion) -> Expansion:
        match inner:
            case RuleRef(_, place):
                return RuleRef(_full_name(inner, grammar, by_name), place)
            case Sequence(items):
                return Sequence(tuple(full(item) for item in items))
            case Alternatives(items, weights):
                return Alternatives(tuple(full(item) for item in items), weights)
            case Optional(item):
                return Optional(full(item))
            case Repeat(item, least):
                return Repeat(full(item), least)
            case Tagged(item, tag, place):
                return Tagged(full(item), tag, place)
            case _:
                return inner

    return full(expansion)


def _full_name(reference: RuleRef, grammar: Grammar, by_name: Mapping[str, Grammar]) -> str:
    name = reference.name
    if "." not in name:
        if name in grammar.rules:
            return f"{grammar.name}.{name}"
        found = {f"{source}.{name}" for source, rule in _imported(grammar, by_name) if rule == name}
    else:
        package, _, rule = name.rpartition(".")
        if package in by_name:  # a full name needs no import
            owner = by_name[package]
            own = package == grammar.name
            found = {name} if rule in owner.rules and (own or owner.rules[rule].public) else set()
        else:
            found = {
                f"{source}.{rule}"
                for source, simple in _imported(grammar, by_name)
                if simple == rule and source.endswith(f".{package}")
            }
    if len(found) == 1:
        return found.pop()
    if found:
        problem = f"<{name}> could be {' or '.join(f'<{each}>' for each in sorted(found))}"
        mend = "write the full name"
    else:
        problem = f"there is no rule <{name}>"
        near = _nearest(name, {*grammar.rules, *(rule for _, rule in _imported(grammar, by_name))})
        mend = f"did you mean <{near}>? Otherwise define or import it" if near else "define it, or import it"
    raise GrammarError(problem, mend, grammar.path, reference.place.line, reference.place.column)


def _imported(grammar: Grammar, by_name: Mapping[str, Grammar]) -> Iterator[tuple[str, str]]:
    """Grammar and simple name of each rule that the imports bring in."""
    for wanted in grammar.imports:
        package, _, rule = wanted.name.rpartition(".")
        if rule != "*":
            yield package, rule
        else:
            yield from ((package, each.name) for each in by_name[package].rules.values() if each.public)


def _nearest(name: str, known: Iterable[str]) -> str:
    from rapidfuzz import fuzz, process

    found = process.extractOne(name, sorted(known), scorer=fuzz.ratio, score_cutoff=60)
    return str(found[0]) if found else ""


def _refuse_left_recursion(library: Library) -> None:
    nullable = _nullable(library)
    state: dict[str, int] = {}  # 1 on the way, 2 done

    def visit(name: str) -> None:
        state[name] = 1
        for reference in _leftmost(library.rules[name].expansion, nullable):
            if state.get(reference.name) == 1:
                grammar = library.grammars[name.rpartition(".")[0]]
                simple = reference.name.rpartition(".")[2]
                raise GrammarError(
                    f"<{simple}> begins with itself (left recursion)",
                    f"put words before <{simple}>, or repeat with * or +",
                    grammar.path,
                    reference.place.line,
                    reference.place.column,
                )
            if reference.name not in state:
                visit(reference.name)
        state[name] = 2

    for name in library.rules:
        if name not in state:
            visit(name)


def _leftmost(expansion: Expansion, nullable: set[str]) -> Iterator[RuleRef]:
    """References that may be met before any word has been spoken."""
    match expansion:
        case RuleRef():
            yield expansion
        case Sequence(items):
            for item in items:
                yield from _leftmost(item, nullable)
                if not _may_be_silent(item, nullable):
                    return
        case _:
            for item in parts_of(expansion):
                yield from _leftmost(item, nullable)


def _may_be_silent(expansion: Expansion, nullable: set[str]) -> bool:
    match expansion:
        case Null() | Optional() | Repeat(_, 0):
            return True
        case RuleRef(name):
            return name in nullable
        case Sequence(items):
            return all(_may_be_silent(item, nullable) for item in items)
        case Alternatives(items, _):
            return any(_may_be_silent(item, nullable) for item in items)
        case Repeat(item, _) | Tagged(item, _, _):
            return _may_be_silent(item, nullable)
        case Token() | Void() | NameList() | Numeral() | FreeWords():
            return False


def _nullable(library: Library) -> set[str]:
    """Rules that may be spoken by saying nothing."""
    nullable: set[str] = set()
    while True:
        more = {
            name
            for name, rule in library.rules.items()
            if name not in nullable and _may_be_silent(rule.expansion, nullable)
        }
        if not more:
            return nullable
        nullable |= more


def _refuse_endless_recursion(library: Library) -> None:
    ending: set[str] = set()

    def ends(expansion: Expansion) -> bool:
        match expansion:
            case RuleRef(name):
                return name in ending
            case Sequence(items):
                return all(ends(item) for item in items)
            case Alternatives(items, _):
                return any(ends(item) for item in items)
            case Repeat(item, 1) | Tagged(item, _, _):
                return ends(item)
            case _:  # <VOID> is a rule switched off, not one that runs on
                return True

    while more := {name for name, rule in library.rules.items() if name not in ending and ends(rule.expansion)}:
        ending |= more
    for name, rule in library.rules.items():
        if name not in ending:
            grammar = library.grammars[name.rpartition(".")[0]]
            raise GrammarError(
                f"<{rule.name}> never comes to an end (endless recursion)",
                "give it an alternative that does not lead back to itself",
                grammar.path,
                rule.place.line,
                rule.place.column,
            )
