"""Grammars together: imports, which rule a name means, and recursion."""

from __future__ import annotations

import pytest

from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import RuleRef
from assistant.grammar.jsgf import parse_grammar
from assistant.grammar.library import Library, joined


def together(**texts: str) -> Library:
    """Grammars `org.NAME`, each from its statements."""
    return joined(
        parse_grammar(f"#JSGF V1.0;\ngrammar org.{name};\n{text}", f"{name}.jsgf") for name, text in texts.items()
    )


def meant(library: Library, rule: str) -> str:
    expansion = library.rules[rule].expansion
    assert isinstance(expansion, RuleRef)
    return expansion.name


def test_a_rule_is_imported_by_its_full_name() -> None:
    library = together(a="import <org.b.far>; public <x> = <far>;", b="public <far> = y;")
    assert meant(library, "org.a.x") == "org.b.far"


def test_all_public_rules_are_imported_by_a_star() -> None:
    library = together(a="import <org.b.*>; public <x> = <far>;", b="public <far> = y;")
    assert meant(library, "org.a.x") == "org.b.far"


def test_a_full_name_needs_no_import() -> None:
    assert meant(together(a="public <x> = <org.b.far>;", b="public <far> = y;"), "org.a.x") == "org.b.far"


def test_the_last_part_of_a_grammar_name_is_enough_after_an_import() -> None:
    assert meant(together(a="import <org.b.*>; <x> = <b.far>;", b="public <far> = y;"), "org.a.x") == "org.b.far"


def test_a_rule_of_the_file_itself_comes_before_an_imported_one() -> None:
    library = together(a="import <org.b.*>; <x> = <far>; <far> = z;", b="public <far> = y;")
    assert meant(library, "org.a.x") == "org.a.far"


@pytest.mark.parametrize(
    ("texts", "place", "problem", "mend"),
    [
        ({"a": "<x> = <fra>;\n<far> = y;"}, "a.jsgf:3:7", "no rule <fra>", "<far>"),
        ({"a": "<x> = <zzz>;"}, "a.jsgf:3:7", "no rule <zzz>", "define it"),
        ({"a": "import <org.c.*>;"}, "a.jsgf:3:8", "no grammar org.c", "beside"),
        ({"a": "import <org.b.far>;", "b": "<far> = y;"}, "a.jsgf:3:8", "no public rule", "write public"),
        ({"a": "<x> = <org.b.far>;", "b": "<far> = y;"}, "a.jsgf:3:7", "no rule", "define"),
        (
            {"a": "import <org.b.*>;\nimport <org.c.*>;\n<x> = <r>;", "b": "public <r> = y;", "c": "public <r> = z;"},
            "a.jsgf:5:7",
            "<org.b.r> or <org.c.r>",
            "full name",
        ),
        ({"a": "<x> = <x> y | z;"}, "a.jsgf:3:7", "begins with itself", "repeat with"),
        ({"a": "<x> = [very] <y>;\n<y> = <x> more | z;"}, "a.jsgf:4:7", "begins with itself", "before"),
        ({"a": "<x> = <n> <x> y | z;\n<n> = [a];"}, "a.jsgf:3:11", "begins with itself", "before"),
        ({"a": "<x> = y <x>;"}, "a.jsgf:3:1", "never comes to an end", "alternative"),
        ({"a": "<x> = a <y>;\n<y> = b <x>;"}, "a.jsgf:3:1", "never comes to an end", "alternative"),
    ],
)
def test_what_cannot_be_meant_or_spoken_is_told_with_its_place(
    texts: dict[str, str], place: str, problem: str, mend: str
) -> None:
    with pytest.raises(GrammarError) as fault:
        together(**texts)
    assert str(fault.value).startswith(place + ":")
    assert problem in fault.value.problem
    assert mend in fault.value.mend


def test_two_files_may_not_bear_the_same_grammar_name() -> None:
    grammar = parse_grammar("#JSGF V1.0;\ngrammar g;", "one.jsgf")
    with pytest.raises(GrammarError, match=r"one\.jsgf"):
        joined([grammar, grammar])


def test_right_and_embedded_recursion_are_lawful() -> None:
    assert together(a="<list> = <item> [and <list>]; <item> = x | ( open <list> close );")


def test_a_rule_that_is_switched_off_is_no_endless_one() -> None:
    assert together(a="<x> = <VOID>; <y> = a <x>;")
