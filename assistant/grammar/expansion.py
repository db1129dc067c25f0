"""What stands on the right-hand side of a rule: the forms of the JSpeech Grammar Format, and three of ours.

NameList, Numeral and FreeWords have no notation in the format: they are what a card's names, figures and
dictation become, in grammars that are built and not written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands in a grammar file, 1-based."""

    line: int = 0
    column: int = 0


NOWHERE = Place()


@dataclass(frozen=True, slots=True)
class Token:
    text: str
    """One spoken token, lower case; a quoted token may hold spaces."""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class RuleRef:
    name: str
    """As written between the angle brackets; `resolve` replaces it by the full name."""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Null:
    """<NULL>: spoken by saying nothing."""


@dataclass(frozen=True, slots=True)
class Void:
    """<VOID>: can never be spoken."""


@dataclass(frozen=True, slots=True)
class Sequence:
    items: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True)
class Alternatives:
    items: tuple[Expansion, ...]
    weights: tuple[float, ...] = ()
    """One for each item, 0 or more; empty where the file gives none."""


@dataclass(frozen=True, slots=True)
class Optional:
    item: Expansion


@dataclass(frozen=True, slots=True)
class Repeat:
    item: Expansion
    least: int
    """0 for `*`, 1 for `+`."""


@dataclass(frozen=True, slots=True)
class Tagged:
    item: Expansion
    tag: str
    """The text between the braces, escapes taken out."""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class NameList:
    """Many phrases, each with the slot value that it stands for: the names on a card."""

    slot: str
    """Empty where it does not matter which of them is named."""
    names: Mapping[str, str]
    """Phrase to slot value; several values that share a phrase are joined with `|`."""


@dataclass(frozen=True, slots=True)
class Numeral:
    """Figures as one writes them: "110", "1,100", "12.5", ".13", "1/2", "12 1/2"."""

    most: int = 4
    """Figures before the point, and behind it."""
    whole_only: bool = False


@dataclass(frozen=True, slots=True)
class FreeWords:
    """The rest of the utterance, whatever it is: dictation."""


Expansion = (
    Token
    | RuleRef
    | Null
    | Void
    | Sequence
    | Alternatives
    | Optional
    | Repeat
    | Tagged
    | NameList
    | Numeral
    | FreeWords
)


@dataclass(frozen=True, slots=True)
class Rule:
    name: str
    """Simple name, as written."""
    expansion: Expansion
    public: bool = False
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Import:
    name: str
    """`package.grammar.rule` or `package.grammar.*`."""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Grammar:
    """One grammar: a file that was read, or rules that were built."""

    name: str
    """Full name, `package.grammar`."""
    rules: Mapping[str, Rule] = field(default_factory=dict)
    """By simple name, in the order of the file."""
    imports: tuple[Import, ...] = ()
    path: str = ""
    """File it was read from; empty for a built one."""
    locale: str = ""


def parts_of(expansion: Expansion) -> tuple[Expansion, ...]:
    """The expansions directly inside this one."""
    match expansion:
        case Sequence(items) | Alternatives(items, _):
            return items
        case Optional(item) | Repeat(item, _) | Tagged(item, _, _):
            return (item,)
        case _:
            return ()
