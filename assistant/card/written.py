"""A card as it is written: plain values from YAML text, with the line and column of each.

The text is walked event by event, so that a bomb (aliases), endless nesting or a flood of entries
stops early. Plain scalars stay text: numbers are read by the model as exact decimals, and `no` or
`1.10` means what it says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NoReturn

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from ruamel.yaml.reader import ReaderError

from .fault import CardError, Fault

LARGEST_BYTES = 1_000_000
DEEPEST = 12
MOST_ENTRIES = 100_000
LONGEST_LINE = 10_000

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry stands in the file, 1-based."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Written:
    """Plain values (dict, list, str, None) and where each stands."""

    values: Any
    keys: dict[Path, Place]
    """Path of each entry to the place of its key (in a list: of its value)."""
    contents: dict[Path, Place]
    """Path of each entry to the place of its value."""

    def place(self, path: Path, *, content: bool = False) -> Place:
        """The place of the entry, or of the nearest entry that holds it."""
        book = self.contents if content else self.keys
        while path:
            if path in book:
                return book[path]
            path = path[:-1]
        return Place(1, 1)


@dataclass(slots=True)
class _Open:
    """A mapping or list whose end has not come yet."""

    path: Path
    values: dict[str, Any] | list[Any]
    key: str | None = None


def read_written(text: str, file: str) -> Written:
    """Reads YAML text. Raises CardError with the line and column of what is not plain YAML."""
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            what = f"This line has {len(line)} letters; no card has such a line."
            raise CardError((Fault(number, 0, what, "Check that it is the right file.", file),))
    return _Reader(file).read(text)


class _Reader:
    def __init__(self, file: str) -> None:
        self.file = file
        self.stack: list[_Open] = []
        self.keys: dict[Path, Place] = {}
        self.contents: dict[Path, Place] = {}
        self.faults: list[Fault] = []
        self.root: Any = None
        self.documents = 0
        self.entries = 0

    def stop(self, event: Any, what: str, mend: str) -> NoReturn:
        self.note(event, what, mend)
        raise CardError(tuple(self.faults))

    def note(self, event: Any, what: str, mend: str) -> None:
        mark = event.start_mark
        self.faults.append(Fault(mark.line + 1, mark.column + 1, what, mend, self.file))

    def read(self, text: str) -> Written:
        yaml = YAML(typ="safe", pure=True)
        try:
            for event in yaml.parse(text):
                self.take(event)
        except MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
            problem = " ".join(part for part in (error.context, error.problem) if part)
            fault = Fault(line, column, f"This is not YAML: {problem}.", _yaml_mend(problem, text, line), self.file)
            raise CardError((fault,)) from None
        except ReaderError as error:
            line = text.count("\n", 0, error.position) + 1
            what = f"There is a character here (U+{_code(error.character):04X}) that a card may not have."
            raise CardError((Fault(line, 0, what, "Take it out.", self.file),)) from None
        except (YAMLError, ValueError, RecursionError) as error:
            fault = Fault(0, 0, f"This is not YAML: {' '.join(str(error).split())[:200]}", "", self.file)
            raise CardError((fault,)) from None
        if self.faults:
            raise CardError(tuple(sorted(self.faults)))
        if not isinstance(self.root, dict):
            what = "The card is empty." if self.root is None else "This is not a card: it has no entries like `title:`."
            mend = "Start from one of the cards in procedures/."
            raise CardError((Fault(1, 1, what, mend, self.file),))
        return Written(self.root, self.keys, self.contents)

    def take(self, event: Any) -> None:
        if isinstance(event, DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self.stop(event, "A second document starts here (`---`).", "One file holds one card: split it.")
        elif isinstance(event, AliasEvent):
            self.stop(event, f"`*{event.anchor}` is a YAML alias.", "Cards do not use aliases: write it out.")
        elif isinstance(event, ScalarEvent | MappingStartEvent | SequenceStartEvent):
            self.open_or_place(event)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self.stack.pop()

    def open_or_place(self, event: Any) -> None:
        self.entries += 1
        if self.entries > MOST_ENTRIES:
            self.stop(event, f"The card has more than {MOST_ENTRIES} entries.", "Split the job into several cards.")
        if event.anchor:
            self.stop(event, f"`&{event.anchor}` is a YAML anchor.", "Cards do not use anchors: take it out.")
        if event.tag is not None:
            self.stop(event, f"`{event.tag}` is a YAML tag.", "Cards do not use tags: take it out.")
        top = self.stack[-1] if self.stack else None
        if top is not None and isinstance(top.values, dict) and top.key is None:
            self.take_key(event, top)
            return
        value: Any
        if isinstance(event, ScalarEvent):
            plain = event.implicit[0]
            value = None if plain and event.value in ("", "~", "null") else event.value
        else:
            value = {} if isinstance(event, MappingStartEvent) else []
        path = self.place(value, event, top)
        if not isinstance(event, ScalarEvent):
            if len(self.stack) >= DEEPEST:
                self.stop(
                    event, f"Entries are nested more than {DEEPEST} deep.", "A card needs far less: check the indents."
                )
            self.stack.append(_Open(path, value))

    def take_key(self, event: Any, top: _Open) -> None:
        if not isinstance(event, ScalarEvent):
            self.stop(event, "A list or mapping stands where a name was expected.", "Write `name: value`.")
        key = event.value
        path = (*top.path, key)
        if key == "<<":
            self.stop(event, "`<<` merges entries.", "Cards do not merge: write the entries out.")
        if path in self.keys:
            first = self.keys[path].line
            self.note(event, f'"{key}" stands here twice; the first is in line {first}.', "Rename or remove one.")
        self.keys[path] = Place(event.start_mark.line + 1, event.start_mark.column + 1)
        top.key = key

    def place(self, value: Any, event: Any, top: _Open | None) -> Path:
        spot = Place(event.start_mark.line + 1, event.start_mark.column + 1)
        if top is None:
            self.root = value
            return ()
        if isinstance(top.values, list):
            path: Path = (*top.path, len(top.values))
            top.values.append(value)
            self.keys[path] = spot
        else:
            assert top.key is not None
            path = (*top.path, top.key)
            top.values[top.key] = value
            top.key = None
        self.contents[path] = spot
        return path


def _yaml_mend(problem: str, text: str, line: int) -> str:
    lines = text.splitlines()
    written = lines[line - 1] if 0 < line <= len(lines) else ""
    if "\t" in written:
        return "Indent with spaces, not tabs."
    if "mapping values are not allowed" in problem:
        return "Put text that has a colon in it between quotes."
    if "quoted scalar" in problem:
        return "A quote was opened and not closed."
    return "Check the indents, quotes and colons of this line and the one above."


def _code(character: str | int | bytes) -> int:
    return character if isinstance(character, int) else ord(character)
