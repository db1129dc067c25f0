"""Any grammar file, walked letter by letter: what is accepted, what may come next, what is read."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from assistant.grammar.acceptor import Acceptor
from assistant.grammar.errors import GrammarError
from assistant.grammar.file import FileGrammar


def grammar_of(folder: Path, text: str, name: str = "test.gram") -> FileGrammar:
    path = folder / name
    path.write_text("#JSGF V1.0;\ngrammar test;\n" + text)
    return FileGrammar(path)


def accepts(acceptor: Acceptor, text: str) -> bool:
    position = acceptor.start
    for letter in text:
        position = acceptor.step(position, letter)
        if position < 0:
            return False
    return acceptor.may_end(position)


def language(acceptor: Acceptor, longest: int) -> set[str]:
    """Every text up to a length that `letters` leads to."""
    found: set[str] = set()
    waiting = [(acceptor.start, "")]
    while waiting:
        position, text = waiting.pop()
        if acceptor.may_end(position):
            found.add(text)
        if len(text) < longest:
            waiting += [(acceptor.step(position, letter), text + letter) for letter in acceptor.letters(position)]
    return found


@pytest.mark.parametrize(
    ("rules", "language_of_it"),
    [
        ("public <x> = a b | c;", {"a b", "c"}),
        ("public <x> = [a] b;", {"b", "a b"}),
        ("public <x> = a* b;", {"b", "a b", "a a b", "a a a b"}),
        ("public <x> = (a | b)+;", {" ".join(p) for n in (1, 2, 3, 4) for p in product("ab", repeat=n)}),
        ("public <x> = <y> c; <y> = a | ab | <NULL>;", {"c", "a c", "ab c"}),
        ("public <x> = a | <VOID> b;", {"a"}),
        ("public <x> = /0/ a | b;", {"b"}),
        ("public <x> = a; public <y> = b; <z> = c;", {"a", "b"}),
        # right recursion: a list of any length
        ("public <x> = a [and <x>];", {"a", "a and a"}),
        # embedded recursion: as many closing words as opening ones, which no finite automaton can count
        ("public <x> = u [<x>] d;", {"u d", "u u d d"}),
        # a rule that may be silent, repeated
        ("public <x> = ([a])* b;", {"b", "a b", "a a b", "a a a b"}),
    ],
)
def test_the_language_of_a_grammar(tmp_path: Path, rules: str, language_of_it: set[str]) -> None:
    assert language(grammar_of(tmp_path, rules).acceptor(), 7) == language_of_it


def test_embedded_recursion_goes_as_deep_as_one_speaks(tmp_path: Path) -> None:
    acceptor = grammar_of(tmp_path, "public <x> = up [<x>] down;").acceptor()
    assert accepts(acceptor, " ".join(["up"] * 40 + ["down"] * 40))
    assert not accepts(acceptor, " ".join(["up"] * 40 + ["down"] * 39))


def test_equal_positions_are_the_same_however_one_came_there(tmp_path: Path) -> None:
    grammar = grammar_of(tmp_path, "public <x> = (big | red) [<x>];")
    start = grammar.acceptor()
    assert start.along("big red") == start.along("red") == start.along("red big big")  # type: ignore[attr-defined]


def test_every_letter_that_may_come_leads_on_and_no_other(tmp_path: Path) -> None:
    acceptor = grammar_of(tmp_path, "public <x> = one [two] three | once;").acceptor()
    waiting, seen = [acceptor.start], {acceptor.start}
    while waiting:
        position = waiting.pop()
        may = acceptor.letters(position)
        assert may == "".join(sorted(set(may)))
        for letter in " abcdefghijklmnopqrstuvwxyz0123456789'./":
            onward = acceptor.step(position, letter)
            assert (onward >= 0) == (letter in may)
            if onward >= 0 and onward not in seen:
                seen.add(onward)
                waiting.append(onward)


def test_number_words_may_be_written_in_figures(tmp_path: Path) -> None:
    grammar = grammar_of(tmp_path, "public <x> = call <digit>+ | dial twenty five now; <digit> = zero | one | five;")
    for text in ("call one five zero", "call 1 5 0", "call 150", "Call 1-5-0.", "dial 25 now", "dial twenty-five now"):
        assert grammar.parse(text) is not None, text
    assert grammar.parse("call 2") is None


def test_a_request_bears_the_name_of_the_rule_and_its_tags(tmp_path: Path) -> None:
    grammar = grammar_of(tmp_path, "public <Order> = open {OPEN} the (door {DOOR} | lid {LID});")
    request = grammar.parse("Open the lid!")
    assert request is not None
    assert (request.name, request.slots) == ("Order", {"tags": "OPEN LID"})


def test_a_text_that_two_rules_allow_is_not_read(tmp_path: Path) -> None:
    grammar = grammar_of(tmp_path, "public <a> = go on; public <b> = go (on | off);")
    assert grammar.parse("go on") is None
    assert grammar.parse("go off") is not None


def test_a_grammar_takes_in_the_file_beside_it_and_ours(tmp_path: Path) -> None:
    (tmp_path / "colours.jsgf").write_text("#JSGF V1.0;\ngrammar org.colours;\npublic <colour> = red | green;")
    (tmp_path / "broken.jsgf").write_text("nobody imports this")
    grammar = grammar_of(
        tmp_path,
        "import <org.colours.*>; import <bay.numbers.whole>;\npublic <x> = <bay.numbers.whole> <colour> bolts;",
    )
    assert grammar.parse("one hundred ten red bolts") is not None
    assert grammar.parse("110 green bolts") is not None
    assert grammar.parse("110 blue bolts") is None


def test_a_grammar_without_a_public_rule_is_refused(tmp_path: Path) -> None:
    with pytest.raises(GrammarError, match="no public rule"):
        grammar_of(tmp_path, "<x> = a;")


def test_every_phrase_of_a_grammar_is_read(tmp_path: Path) -> None:
    grammar = grammar_of(tmp_path, "public <x> = (a | b {B}) [<y>]; <y> = very (good | bad)+ | <x>;")
    phrases = grammar.phrases(200)
    assert len(phrases) > 20
    assert all(phrase.request.name == "x" for phrase in phrases)
