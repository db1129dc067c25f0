"""What pydantic found wrong, said in a mechanic's words with line, column and mend."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterator
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from .fault import Fault, RuleBroken
from .model import Card
from .nearest import did_you_mean, nearest
from .written import Path, Written

LONGEST_SHOWN = 60
"""Letters of a wrong value that a fault repeats."""
_VALUE_ERRORS = ("decimal", "int_", "bool", "greater", "less", "literal", "string", "finite")


def faults_of(error: ValidationError, written: Written, file: str) -> tuple[Fault, ...]:
    """The faults of a card, in the order of the file, one for each place."""
    found: dict[tuple[int, int, str], Fault] = {}
    for detail in error.errors(include_url=False):
        path = _path_in(written, detail["loc"])
        what, mend = _in_words(detail, path)
        of_content = detail["type"].startswith(_VALUE_ERRORS) or detail["type"] == "value_error"
        place = written.place(path, content=of_content)
        missing = what if detail["type"] == "missing" else ""
        found.setdefault((place.line, place.column, missing), Fault(place.line, place.column, what, mend, file))
    return tuple(sorted(found.values()))


def _path_in(written: Written, loc: tuple[int | str, ...]) -> Path:
    """pydantic's location without its own marks (`str`, `[key]`, ...) for choices between types."""
    path: Path = ()
    for part in loc:
        if (*path, part) in written.keys:
            path = (*path, part)
    return path


def _in_words(detail: ErrorDetails, path: Path) -> tuple[str, str]:
    kind = detail["type"]
    entry = str(path[-1]) if path else "the card"
    given = detail["input"]
    shown = _sort_of(given)
    context: dict[str, Any] = detail.get("ctx", {})
    broken = context.get("error")
    if isinstance(broken, RuleBroken):
        return broken.what, broken.mend
    if kind == "missing":
        return f"`{detail['loc'][-1]}` is missing here.", "Add it."
    if kind == "extra_forbidden":
        if given is None and " " in entry:
            return f'"{entry}" stands alone.', "A text with a comma in it needs quotes inside { } and [ ]."
        known = sorted(_keys_at(path[:-1]))
        mend = did_you_mean(entry, known, f"Known here: {', '.join(known)}." if known else "Take it out.")
        return f'"{entry}" is not known here.', mend
    if kind == "literal_error":
        known = re.findall(r"'([^']*)'", str(context["expected"]))
        close = nearest(given, known) if isinstance(given, str) else None
        return (
            f"`{entry}` cannot be {shown}.",
            f'Did you mean "{close}"?' if close else f"Use one of: {', '.join(known)}.",
        )
    if kind == "string_pattern_mismatch":
        if entry == "calibrated":
            return f"{shown} is not a date.", "Write it as 2026-03-01."
        slug = re.sub(r"[^a-z0-9]+", "-", str(given).lower()).strip("-")
        return f"{shown} is not an id.", f"Ids are lower case with hyphens{f': {slug}' if slug else ''}."
    if kind.startswith("string_too"):
        limit = context.get("max_length")
        return (
            f"`{entry}` is {'too long' if limit else 'empty'}.",
            f"At most {limit} letters." if limit else "Fill it in.",
        )
    if kind.startswith(("greater", "less")):
        bound = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
        key = next(k for k in bound if k in context)
        return f"`{entry}` cannot be {str(given)[:LONGEST_SHOWN]}.", f"It is {bound[key]} {context[key]}."
    if kind.startswith(("decimal_max", "decimal_whole")):
        return f"`{entry}` has too many digits.", "Round it to what the instrument shows."
    if kind.startswith(("decimal", "finite")):
        return (
            f"`{entry}` is {shown}, which is not a number.",
            "Write the number alone; units have a field of their own.",
        )
    if kind.startswith("int"):
        return f"`{entry}` is {shown}, which is not a whole number.", "Write a whole number."
    if kind.startswith("bool"):
        return f"`{entry}` is {shown}.", "Write true or false."
    if kind in ("list_type", "dict_type", "model_type", "string_type", "model_attributes_type"):
        wanted = {"list_type": "a list (lines that begin with `-`)", "string_type": "text"}
        return (
            f"`{entry}` is {_sort_of(given)}, {wanted.get(kind, 'entries of the form `name: value`')} belongs here.",
            ("Check the indent of the lines below it." if given is None else "Mend the form."),
        )
    if kind == "too_short":
        return f"`{entry}` has too few entries.", f"It needs at least {context['min_length']}."
    return f"`{entry}`: {detail['msg']}.", "Mend it."


def _sort_of(value: Any) -> str:
    if value is None:
        return "empty"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= LONGEST_SHOWN else f'"{value[:LONGEST_SHOWN]}..."'
    if isinstance(value, dict):
        return "a mapping"
    return "a list" if isinstance(value, list) else str(value)


def _keys_at(path: Path) -> set[str]:
    """The keys that the language knows at this place of a card."""
    at: list[Any] = [Card]
    for part in path:
        at = [inner for outer in at for inner in _inside(outer, part)]
    return {_spelled(name, field) for model in at if _is_model(model) for name, field in model.model_fields.items()}


def _inside(outer: Any, part: str | int) -> Iterator[Any]:
    """The types found under one key of a type, choices taken apart."""
    origin, arguments = get_origin(outer), get_args(outer)
    if _is_model(outer):
        for name, field in outer.model_fields.items():
            if part in (name, field.alias):
                yield from _choices(field.annotation)
    elif origin is dict:
        yield from _choices(arguments[1])
    elif origin is list:
        yield from _choices(arguments[0])


def _choices(annotation: Any) -> Iterator[Any]:
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from _choices(get_args(annotation)[0])
    elif origin in (typing.Union, types.UnionType):
        for choice in get_args(annotation):
            yield from _choices(choice)
    else:
        yield annotation


def _is_model(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _spelled(name: str, field: FieldInfo) -> str:
    return field.alias or name
