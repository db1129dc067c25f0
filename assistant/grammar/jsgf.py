"""Reads the JSpeech Grammar Format, W3C Note of 5 June 2000 (https://www.w3.org/TR/jsgf/)."""

from __future__ import annotations

import codecs
import re
from functools import cache
from pathlib import Path

from lark import Lark, Transformer, UnexpectedInput, v_args
from lark import Token as LarkToken
from lark.exceptions import VisitError

from assistant.grammar.errors import GrammarError
from assistant.grammar.expansion import (
    Alternatives,
    Expansion,
    Grammar,
    Import,
    Null,
    Optional,
    Place,
    Repeat,
    Rule,
    RuleRef,
    Sequence,
    Tagged,
    Token,
    Void,
)

SUFFIXES = (".jsgf", ".gram")

_SYNTAX = r"""
start: HEADER declaration imported* rule*
declaration: "grammar" NAME ";"
imported: "import" RULENAME ";"
rule: [PUBLIC] RULENAME "=" alternatives ";"
alternatives: weighted ("|" weighted)*
weighted: [WEIGHT] sequence
sequence: postfixed+
?postfixed: item
    | postfixed "*"  -> any_number
    | postfixed "+"  -> one_or_more
    | postfixed TAG  -> tagged
?item: TOKEN     -> token
    | QUOTED     -> quoted
    | RULENAME   -> reference
    | "(" alternatives ")"  -> group
    | "[" alternatives "]"  -> optional

HEADER: /#JSGF[^;\r\n]*;/
PUBLIC: "public"
NAME: /[^\W\d][\w$-]*(\.[^\W\d][\w$-]*)*/
RULENAME: /<\s*[^<>\s]+\s*>/
WEIGHT: /\/\s*[^\s\/]+\s*\//
TAG: /\{(\\.|[^\\}])*\}/s
QUOTED: /"(\\.|[^"\\])*"/
TOKEN: /(?![\/])(?:[^\s;=|*+<>()\[\]{}"\/]|\/(?![\/*]))+/
COMMENT: /\/\*.*?\*\//s | /\/\/[^\r\n]*/
%ignore COMMENT
%ignore /\s+/
"""


@cache
def _reader() -> Lark:
    return Lark(_SYNTAX, parser="lalr", lexer="contextual", propagate_positions=True)


def read_grammar(path: Path) -> Grammar:
    """The grammar in a file. Raises GrammarError with file, line and column."""
    try:
        raw = path.read_bytes()
    except OSError as fault:
        raise GrammarError(f"cannot read the grammar ({fault.strerror})", "check the path", str(path)) from None
    return parse_grammar(_decoded(raw, str(path)), str(path))


def parse_grammar(text: str, path: str = "") -> Grammar:
    """The grammar in a text; `path` is only for messages."""
    text = text.removeprefix("\ufeff")
    try:
        tree = _reader().parse(text)
    except UnexpectedInput as fault:
        raise _misread(fault, text, path) from None
    try:
        grammar = _Builder(path).transform(tree)
    except VisitError as fault:
        if isinstance(fault.orig_exc, GrammarError):
            raise fault.orig_exc from None
        raise
    assert isinstance(grammar, Grammar)
    return grammar


def _decoded(raw: bytes, path: str) -> str:
    """Text of a file in the character set that its header names; UTF-8 where it names none."""
    charset = "utf-8-sig"
    header = re.match(rb"\s*#JSGF[ \t]+[^\s;]+[ \t]+([A-Za-z0-9_.:-]+)[^;\r\n]*;", raw.removeprefix(codecs.BOM_UTF8))
    if header:
        named = header.group(1).decode("ascii")
        try:
            charset = "utf-8-sig" if codecs.lookup(named).name == "utf-8" else named
        except LookupError:
            raise GrammarError(
                f'the header names a character set "{named}" that is not known',
                "write UTF-8, or leave it out",
                path,
                1,
                1,
            ) from None
    try:
        return raw.decode(charset)
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        raise GrammarError(
            f"this byte is not {charset.removesuffix('-sig')}", "save the file as UTF-8", path, line, 1
        ) from None


def _misread(fault: UnexpectedInput, text: str, path: str) -> GrammarError:
    line = fault.line if fault.line and fault.line > 0 else text.count("\n") + 1
    column = fault.column if fault.column and fault.column > 0 else 1
    if not text.lstrip().startswith("#JSGF"):
        return GrammarError(
            "the file does not begin with a JSGF header", "put #JSGF V1.0; in its first line", path, 1, 1
        )
    expected: set[str] = set(getattr(fault, "expected", ()) or getattr(fault, "allowed", ()) or ())
    met = getattr(fault, "token", None)
    here = str(met) if met is not None and str(met) else text[fault.pos_in_stream or 0 : (fault.pos_in_stream or 0) + 1]
    at_end = (met is not None and met.type == "$END") or not here.strip()
    shown = "the end of the file" if at_end else f'"{here}"'
    if here == "{":
        mend = "close the tag with }, and let it follow the words that it belongs to"
    elif here == '"':
        mend = 'close the quoted token with "'
    elif expected & {"SEMICOLON"} and not expected & {"HEADER"}:
        mend = "close the statement before it with ;"
        if here in {")", "]"}:
            mend = f"take it out, or open it with {'(' if here == ')' else '['}"
    elif "RPAR" in expected:
        mend = "close the group with )"
    elif "RSQB" in expected:
        mend = "close the option with ]"
    elif "NAME" in expected:
        mend = "write grammar and its name, as in: grammar bay.moving;"
    elif "GRAMMAR" in expected:
        mend = "the header is followed by: grammar NAME;"
    elif expected & {"TOKEN", "RULENAME"} and "PUBLIC" not in expected:
        mend = "an expansion is missing here: words, <rule>, (group) or [option]"
    else:
        mend = "a rule reads: public <name> = words | <other>;"
    return GrammarError(f"{shown} is not expected here", mend, path, line, column)


def _place(token: LarkToken) -> Place:
    return Place(token.line or 0, token.column or 0)


def _unescaped(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text, flags=re.DOTALL)


@v_args(inline=True)
class _Builder(Transformer[LarkToken, Grammar]):
    """Turns the syntax tree into a Grammar."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self._path = path

    def _fault(self, token: LarkToken, problem: str, mend: str) -> GrammarError:
        return GrammarError(problem, mend, self._path, token.line or 0, token.column or 0)

    def token(self, word: LarkToken) -> Expansion:
        return Token(str(word).lower(), _place(word))

    def quoted(self, word: LarkToken) -> Expansion:
        text = " ".join(_unescaped(str(word)[1:-1]).lower().split())
        if not text:
            raise self._fault(word, "a quoted token is empty", "write the words, or <NULL>")
        return Token(text, _place(word))

    def reference(self, name: LarkToken) -> Expansion:
        simple = str(name)[1:-1].strip()
        if simple == "NULL":
            return Null()
        if simple == "VOID":
            return Void()
        return RuleRef(simple, _place(name))

    def group(self, inner: Expansion) -> Expansion:
        return inner

    def optional(self, inner: Expansion) -> Expansion:
        return Optional(inner)

    def any_number(self, item: Expansion) -> Expansion:
        return Repeat(item, 0)

    def one_or_more(self, item: Expansion) -> Expansion:
        return Repeat(item, 1)

    def tagged(self, item: Expansion, tag: LarkToken) -> Expansion:
        return Tagged(item, _unescaped(str(tag)[1:-1]).strip(), _place(tag))

    def sequence(self, *items: Expansion) -> Expansion:
        return items[0] if len(items) == 1 else Sequence(items)

    def weighted(self, weight: LarkToken | None, item: Expansion) -> tuple[float | None, Expansion]:
        if weight is None:
            return None, item
        figure = str(weight).strip("/").strip()
        try:
            value = float(figure)
        except ValueError:
            value = -1.0
        if not 0 <= value < float("inf"):
            raise self._fault(weight, f'"{figure}" is no weight', "write a number of 0 or more, as in /2.5/")
        return value, item

    def alternatives(self, *weighted: tuple[float | None, Expansion]) -> Expansion:
        # An alternative of weight 0 is never spoken; one without a weight beside weighted ones counts as 1.
        if len(weighted) == 1:
            weight, item = weighted[0]
            return Void() if weight == 0 else item
        if all(weight is None for weight, _ in weighted):
            return Alternatives(tuple(item for _, item in weighted))
        return Alternatives(
            tuple(Void() if weight == 0 else item for weight, item in weighted),
            tuple(1.0 if weight is None else weight for weight, _ in weighted),
        )

    def declaration(self, name: LarkToken) -> LarkToken:
        return name

    def imported(self, name: LarkToken) -> Import:
        full = str(name)[1:-1].strip()
        if "." not in full:
            raise self._fault(
                name, f"<{full}> names no grammar", f"write the grammar too: import <grammar.{full}>; or <grammar.*>"
            )
        return Import(full, _place(name))

    def rule(self, public: LarkToken | None, name: LarkToken, expansion: Expansion) -> Rule:
        simple = str(name)[1:-1].strip()
        if simple in {"NULL", "VOID"}:
            raise self._fault(name, f"<{simple}> has a meaning of its own", "give the rule another name")
        if "." in simple:
            raise self._fault(name, f"<{simple}> has a dot in it", "define a rule under its simple name")
        return Rule(simple, expansion, public is not None, _place(name))

    def start(self, header: LarkToken, name: LarkToken, *statements: Import | Rule) -> Grammar:
        words = str(header).rstrip(";").split()
        if len(words) < 2 or words[1].upper() != "V1.0":
            raise self._fault(header, "this is not version 1.0 of the format", "write #JSGF V1.0;")
        rules: dict[str, Rule] = {}
        for statement in statements:
            if not isinstance(statement, Rule):
                continue
            if statement.name in rules:
                raise GrammarError(
                    f"<{statement.name}> is defined twice (first in line {rules[statement.name].place.line})",
                    "join the two with |, or rename one",
                    self._path,
                    statement.place.line,
                    statement.place.column,
                )
            rules[statement.name] = statement
        return Grammar(
            str(name),
            rules,
            tuple(statement for statement in statements if isinstance(statement, Import)),
            self._path,
            words[3] if len(words) > 3 else "",
        )
