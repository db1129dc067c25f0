"""The format as the W3C Note of 5 June 2000 defines it (https://www.w3.org/TR/jsgf/): sections from memory."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import Alternatives, Null, Optional, Repeat, RuleRef, Sequence, Tagged, Token, Void
from assistant.grammar.jsgf import parse_grammar, read_grammar


def rule(text: str) -> object:
    """The one rule's expansion, its places left out."""
    grammar = parse_grammar(f"#JSGF V1.0;\ngrammar test;\n<rule> = {text};")
    return bare(grammar.rules["rule"].expansion)


def bare(item: object) -> object:
    match item:
        case Token(text):
            return text
        case RuleRef(name):
            return f"<{name}>"
        case Sequence(items):
            return ["seq", *map(bare, items)]
        case Alternatives(items, weights):
            return ["alt", *map(bare, items), *weights]
        case Optional(inner):
            return ["opt", bare(inner)]
        case Repeat(inner, least):
            return ["+" if least else "*", bare(inner)]
        case Tagged(inner, tag):
            return ["tag", bare(inner), tag]
        case Null():
            return "NULL"
        case Void():
            return "VOID"
    raise TypeError(item)


def test_header_names_version_character_set_and_locale() -> None:
    grammar = parse_grammar("#JSGF V1.0 UTF-8 en;\ngrammar com.example.trade;")
    assert (grammar.name, grammar.locale) == ("com.example.trade", "en")


def test_public_rules_are_told_from_private_ones() -> None:
    rules = parse_grammar("#JSGF V1.0;\ngrammar g;\npublic <a> = x;\n<b> = y;").rules
    assert (rules["a"].public, rules["b"].public) == (True, False)


@pytest.mark.parametrize(
    ("text", "expansion"),
    [
        ("open", "open"),
        ("open the door", ["seq", "open", "the", "door"]),
        ("open | close", ["alt", "open", "close"]),
        ("a b | c", ["alt", ["seq", "a", "b"], "c"]),
        ("a (b | c)", ["seq", "a", ["alt", "b", "c"]]),
        ("[a] b", ["seq", ["opt", "a"], "b"]),
        ("a* b+", ["seq", ["*", "a"], ["+", "b"]]),
        ("(a b)*", ["*", ["seq", "a", "b"]]),
        ("<x> <NULL> <VOID>", ["seq", "<x>", "NULL", "VOID"]),
        ('"New York" now', ["seq", "new york", "now"]),
        (r'"a \"b\" c"', 'a "b" c'),
        ("3/8 what's", ["seq", "3/8", "what's"]),
        ("grammar import public", ["seq", "grammar", "import", "public"]),
        ("a {X}", ["tag", "a", "X"]),
        ("a {X} {Y}", ["tag", ["tag", "a", "X"], "Y"]),
        ("(a | b {X})", ["alt", "a", ["tag", "b", "X"]]),
        ("a b {X}", ["seq", "a", ["tag", "b", "X"]]),
        ("a* {X}", ["tag", ["*", "a"], "X"]),
        (r"a {\{x\} \\ y}", ["tag", "a", r"{x} \ y"]),
        ("a {x; // no comment}", ["tag", "a", "x; // no comment"]),
        ("/10/ small | /2.5/ medium | /0.5/ large", ["alt", "small", "medium", "large", 10.0, 2.5, 0.5]),
        ("/1e1/ a | b", ["alt", "a", "b", 10.0, 1.0]),
        ("/0/ a | /1/ b", ["alt", "VOID", "b", 0.0, 1.0]),
        ("a // to the end\n b /* and\n here */ c", ["seq", "a", "b", "c"]),
    ],
)
def test_expansions(text: str, expansion: object) -> None:
    assert rule(text) == expansion


def test_rule_names_may_hold_the_marks_that_the_format_allows() -> None:
    assert "a+b:c/d#1" in parse_grammar("#JSGF V1.0;\ngrammar g;\n<a+b:c/d#1> = x;").rules


def test_documentation_comments_stand_anywhere() -> None:
    text = "/** of the file\n * @author nobody */\n"
    assert parse_grammar(f"#JSGF V1.0;\n{text}grammar g;\n{text}public <a> = {text} x;").rules["a"].public


@pytest.mark.parametrize(
    ("text", "line", "column", "mend"),
    [
        ("hello", 1, 1, "#JSGF V1.0;"),
        ("#JSGF V2.0;\ngrammar g;", 1, 1, "#JSGF V1.0;"),
        ("#JSGF V1.0;\n<a> = b;", 2, 1, "grammar NAME;"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b\n<c> = d;", 4, 5, "close the statement before it with ;"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = (b;", 3, 9, "close the group with )"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = [b;", 3, 9, "close the option with ]"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b);", 3, 8, "open it with ("),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b | ;", 3, 11, "an expansion is missing"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = ;", 3, 7, "an expansion is missing"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b {x;", 3, 9, "close the tag with }"),
        ('#JSGF V1.0;\ngrammar g;\n<a> = "b;', 3, 7, "close the quoted token"),
        ("#JSGF V1.0;\ngrammar g;\na = b;", 3, 1, "public <name>"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = /-1/ b | c;", 3, 7, "0 or more"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b;\n\n<a> = c;", 5, 1, "rename one"),
        ("#JSGF V1.0;\ngrammar g;\n<NULL> = b;", 3, 1, "another name"),
        ("#JSGF V1.0;\ngrammar g;\nimport <rule>;", 3, 8, "grammar.rule"),
        ('#JSGF V1.0;\ngrammar g;\n<a> = "  ";', 3, 7, "<NULL>"),
        ("#JSGF V1.0;\ngrammar g;\n<a> = b", 3, 7, ";"),
    ],
)
def test_a_fault_is_told_with_line_column_and_mend(text: str, line: int, column: int, mend: str) -> None:
    with pytest.raises(GrammarError) as fault:
        parse_grammar(text, "wrong.jsgf")
    assert (fault.value.line, fault.value.column) == (line, column)
    assert mend in fault.value.mend
    assert str(fault.value).startswith(f"wrong.jsgf:{line}:{column}: ")


def test_a_file_in_the_character_set_of_its_header(tmp_path: Path) -> None:
    path = tmp_path / "de.jsgf"
    path.write_bytes("#JSGF V1.0 ISO-8859-1 de;\ngrammar g;\npublic <a> = zurück;".encode("latin-1"))
    assert read_grammar(path).rules["a"].expansion == Token("zurück", read_grammar(path).rules["a"].expansion.place)  # type: ignore[union-attr]


def test_a_file_with_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "bom.jsgf"
    path.write_bytes("\ufeff#JSGF V1.0;\ngrammar g;\npublic <a> = x;".encode())
    assert "a" in read_grammar(path).rules


@pytest.mark.parametrize(
    ("raw", "line"),
    [(b"#JSGF V1.0 KLINGON-7;\ngrammar g;", 1), (b"#JSGF V1.0;\ngrammar g;\n<a> = \xff;", 3)],
)
def test_bytes_that_are_no_text_are_told(tmp_path: Path, raw: bytes, line: int) -> None:
    path = tmp_path / "x.jsgf"
    path.write_bytes(raw)
    with pytest.raises(GrammarError) as fault:
        read_grammar(path)
    assert fault.value.line == line


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match="cannot read the grammar"):
        read_grammar(tmp_path / "none.jsgf")
