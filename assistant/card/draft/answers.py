"""An answer to an open question, written into the card with who said so and when."""

from __future__ import annotations

import io
import re
from copy import deepcopy
from datetime import datetime

from rapidfuzz import fuzz
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap

from assistant.card.fault import RuleBroken
from assistant.card.model import MOST_IN_A_SET
from assistant.card.torque_line import read_torque

from .answer import Answer, NotUnderstood, Place
from .answers_written import write_back, write_count, write_out, write_owner, write_settled, write_torque, write_words
from .card_text import torque_line
from .figures import Figure, figures_in
from .in_the_draft import entry_of, kind_of_entry, steps_of
from .narration import Passage
from .plain_words import plain_tokens
from .questions import TABLES, Question, Wants
from .words import sentences
from .writing import yaml_of

_YES = frozenset(["yes", "yeah", "yep", "right", "correct", "ok", "okay", "fine", "true", "sure", "exactly", "settled"])


_NO = frozenset(["no", "nope", "wrong"])


def read_yaml(text: str) -> CommentedMap:
    """The card with its comments, ready to be written into."""
    yaml = YAML()
    yaml.preserve_quotes = True
    loaded: CommentedMap = yaml.load(io.StringIO(text))
    return loaded


def understood_answer(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    """What the words answer to the question; nothing is written yet."""
    words = " ".join(words.split()).strip(" .")
    if not words:
        return NotUnderstood("Nothing was said. Answer, or say skip.")
    read = {
        Wants.COUNT: _count,
        Wants.TORQUE: _torque,
        Wants.WHERE_BACK: _where_back,
        Wants.WHERE_OUT: _where_out,
        Wants.OWNER: _owner,
        Wants.SETTLED: _settled,
        Wants.WORDS: _free,
    }[question.wants]
    return read(card, question, words)


def answered(
    card: CommentedMap, question: Question, answer: Answer, words: str, who: str, when: datetime
) -> CommentedMap:
    """A copy of the card with the answer in it, and beside it who said so and when."""
    card = deepcopy(card)
    note = f'"{" ".join(words.split())[:120]}" said by {who}, {when:%Y-%m-%d %H:%M}'
    write = {
        Wants.COUNT: write_count,
        Wants.TORQUE: write_torque,
        Wants.WHERE_BACK: write_back,
        Wants.WHERE_OUT: write_out,
        Wants.OWNER: write_owner,
        Wants.SETTLED: write_settled,
        Wants.WORDS: write_words,
    }[question.wants]
    write(card, question, answer, note)
    return card


def text_of(card: CommentedMap, before: str) -> str:
    """The card as text. The comments that stand above entries in `before` stand above the same entries again."""
    rows: list[str] = []
    told = _comments_above(before)
    top = True
    for row in yaml_of(card).split("\n"):
        bare = row.lstrip()
        if bare.startswith("#") and not top:
            continue
        top = top and (bare.startswith("#") or not bare)
        rows.extend(told.get(_entry_line(row), ()))
        rows.append(row)
    return "\n".join(rows)


def _entry_line(row: str) -> str:
    """An entry as it is known again: its indent and its key or id, without what stands behind."""
    found = re.match(r"^\s*(?:- id: \S+|[a-z0-9-]+:)", row)
    return found[0] if found else ""


def _comments_above(text: str) -> dict[str, tuple[str, ...]]:
    held: list[str] = []
    found: dict[str, tuple[str, ...]] = {}
    for row in text.split("\n"):
        if row.lstrip().startswith("#"):
            held.append(row)
            continue
        key = _entry_line(row)
        if held and key and row.startswith(" "):
            found[key] = tuple(held)
        held = []
    return found


def figures_of(words: str) -> list[Figure]:
    found: list[Figure] = []
    for sentence in sentences([Passage(words)]):
        found.extend(figures_in(plain_tokens(sentence.tokens)))
    return found


def _name(card: CommentedMap, question: Question) -> str:
    entry = entry_of(card, question.about)
    return str(entry["name"]) if entry is not None else question.about


def _count(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    figures = figures_of(f"{words} pieces" if words.lower() == "one" else words)
    whole = [figure.whole for figure in figures if figure.whole is not None]
    if len(whole) != 1 or len(figures) != 1 or not 1 <= whole[0] <= MOST_IN_A_SET:
        return NotUnderstood(f"That is not one whole number from 1 to {MOST_IN_A_SET}. Say how many, like six.")
    return Answer(f"{_name(card, question)}: {whole[0]}", whole[0])


_BY_HAND = ("by hand", "hand tight", "finger tight", "snug by hand", "hand-tight")


def _torque(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    if any(phrase in words.lower() for phrase in _BY_HAND):
        return Answer(f"{_name(card, question)}: snug by hand", "snug by hand")
    figures = figures_of(words)
    torques = [figure for figure in figures if figure.dimension == "torque"]
    angles = [figure for figure in figures if figure.unit == "deg" and figure.value is not None]
    if len(torques) != 1 or len(figures) != len(torques) + len(angles) or len(angles) > 1:
        try:
            read_torque(words)
        except RuleBroken:
            return NotUnderstood(
                "That is not one torque with its unit. Say it like sixty-five newton metres, or by hand."
            )
        return Answer(f"{_name(card, question)}: {words}", words)
    line = torque_line(torques[0], angles[0].value if angles else None)
    return Answer(f"{_name(card, question)}: {line}", line)


_STAYS_OFF = re.compile(
    r"\b(?:stays? off|not go(?:es)? back|does(?:n't| not) go back|do(?:n't| not) go back|never|scrap|"
    r"bin|thrown? away|not (?:fitted|used) again|nowhere)\b"
)


_LAST = re.compile(r"\b(?:at the (?:very )?end|last|at last)\b")


_FIRST = re.compile(r"\b(?:at the (?:very )?(?:start|beginning)|first)\b")


_BESIDE = re.compile(r"\b(?P<how>before|after|with|behind|ahead of|following|once|when)\b(?: you)? (?P<what>.+)$")


_STEP_NUMBER = re.compile(r"\bstep (?P<number>.+)$")


def _where_back(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    low = words.lower()
    name = _name(card, question)
    if _STAYS_OFF.search(low) and kind_of_entry(card, question.about) == "part":
        return Answer(f"{name}: stays off", Place("stays-off"))
    return _place(card, name, low)


def _where_out(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    low = words.lower()
    name = _name(card, question)
    if re.search(r"\bnew\b", low) and kind_of_entry(card, question.about) == "part":
        return Answer(f"{name}: new", Place("new"))
    return _place(card, name, low)


def _place(card: CommentedMap, name: str, low: str) -> Answer | NotUnderstood:
    beside = _BESIDE.search(low)
    if beside is not None:
        kind = "before" if beside["how"] in ("before", "ahead of") else "after"
        step = _step_meant(card, beside["what"])
        if step is not None:
            return Answer(f'{name}: {kind} "{step["say"]}"', Place(kind, str(step["id"])))
        return NotUnderstood(
            "No one step is meant by that. Name what a step works on, like after the shaft, or its number, "
            "like before step twelve."
        )
    if _LAST.search(low):
        return Answer(f"{name}: at the end", Place("last"))
    if _FIRST.search(low):
        return Answer(f"{name}: first", Place("first"))
    return NotUnderstood("Say where: after the shaft, before step twelve, at the end; or say skip.")


def _step_meant(card: CommentedMap, words: str) -> CommentedMap | None:
    """The one step named; the last that works on the thing. None where none, or two things, fit."""
    steps = steps_of(card)
    number = _STEP_NUMBER.search(words)
    if number is not None:
        figures = figures_of(f"{number['number']} pieces")
        whole = figures[0].whole if figures else None
        return steps[whole - 1] if whole is not None and 1 <= whole <= len(steps) else None
    wanted = re.sub(
        r"^(?:the|that|those|these) ",
        "",
        re.sub(
            r"\b(?:is|are|goes|go|has|have|been|on|in|back|fitted|tight|tightened|off|out|up|connected)\b", " ", words
        ),
    ).strip()
    wanted = " ".join(wanted.split())
    best: list[tuple[float, str]] = []
    for table in TABLES.values():
        for id_, entry in (card.get(table) or {}).items():
            best.append((fuzz.token_sort_ratio(wanted, str(entry["name"])), id_))
    best.sort(reverse=True)
    if not best or best[0][0] < 60 or (len(best) > 1 and best[1][0] > best[0][0] - 5 and best[0][0] < 99):
        return None
    chosen = best[0][1]
    with_it = [step for step in steps if any(chosen in action.values() for action in step.get("does") or [])]
    return with_it[-1] if with_it else None


def _owner(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    low = words.lower()
    if low in ("none", "nothing", "skip it", "leave it out", "no one", "drop it"):
        return Answer("left out", True)
    named = sorted(
        (
            (fuzz.token_sort_ratio(re.sub(r"^(?:for |it is for |to )?(?:the )?", "", low), str(entry["name"])), id_)
            for id_, entry in (card.get("fasteners") or {}).items()
        ),
        reverse=True,
    )
    if not named or named[0][0] < 70 or (len(named) > 1 and named[1][0] > named[0][0] - 5):
        known = ", ".join(str(entry["name"]) for entry in (card.get("fasteners") or {}).values())
        return NotUnderstood(f"No one set of fasteners is meant by that. There are: {known}. Or say none.")
    torques = [
        figure
        for figure in figures_of(question.mark.partition("(")[2].partition(")")[0])
        if figure.dimension == "torque"
    ]
    if len(torques) != 1:
        return NotUnderstood("More than one torque was said there. Say none, and write them into the card by hand.")
    id_ = named[0][1]
    return Answer(f"{card['fasteners'][id_]['name']}: {torque_line(torques[0])}", (id_, torque_line(torques[0])))


def _settled(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    first = re.split(r"[ ,]", words.lower())[0]
    about = kind_of_entry(card, question.about)
    if about == "fastener" and re.match(r"\d+ said first and \d+ later", question.mark):
        return _count(card, question, words)
    if about == "fastener" and question.mark.startswith("two torques said"):
        return _torque(card, question, words)
    if first in _YES:
        return Answer("settled as it stands", True)
    if first in _NO:
        return Answer("kept open", False)
    return NotUnderstood("Say yes if the card is right as it stands, no to keep the question open, or skip.")


def _free(card: CommentedMap, question: Question, words: str) -> Answer | NotUnderstood:
    _ = card
    limit = 80 if question.about in ("title", "maker") else 400
    if len(words) > limit:
        return NotUnderstood(f"That is longer than {limit} letters. Say it shorter.")
    return Answer(f"{question.about}: {words}", words)
