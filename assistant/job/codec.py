"""Event bodies to JSON and back: one (de)serialiser for all of them, driven by their field types.

Decimals travel as strings, so that 0.30 stays 0.30. Fields that a later version added are passed over;
a field that is missing takes its default.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from assistant.job import events
from assistant.job.errors import UnreadableEvent
from assistant.job.events import Body, kind_of

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]


def to_json(body: Body) -> dict[str, Json]:
    """The body's fields as JSON values; the kind is kept beside it, not in it."""
    kind: Any = type(body)
    fields = {name: getattr(body, name) for name in _fields_of(kind)}
    for name, value in fields.items():
        if type(value) not in _AS_IT_IS:
            fields[name] = _plain(value)
    return fields


def from_json(kind: str, fields: Mapping[str, Any]) -> Body:
    """The body that `to_json` made; raises UnreadableEvent."""
    try:
        body, readers = _kinds()[kind]
    except KeyError:
        raise UnreadableEvent(
            f"The log holds an event of the kind {kind!r}, which this version does not know: use a newer version."
        ) from None
    try:
        return body(**{name: read(fields[name]) for name, read in readers.items() if name in fields})
    except (TypeError, ValueError, InvalidOperation, AttributeError) as fault:
        raise UnreadableEvent(f"An event {kind!r} in the log cannot be read: {fault}.") from fault


def kinds() -> tuple[str, ...]:
    """Every kind of event that can stand in a log."""
    return tuple(_kinds())


_AS_IT_IS = frozenset((str, bool, int, float, type(None)))
"""What most fields are: JSON knows them already."""


@cache
def _fields_of(kind: type[Body]) -> tuple[str, ...]:
    return tuple(f.name for f in dataclasses.fields(kind))


def _plain(value: Any) -> Json:
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if isinstance(value, dict | Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    raise TypeError(f"{type(value).__name__} has no place in an event")


Reader = Callable[[Any], Any]


@cache
def _kinds() -> dict[str, tuple[type[Body], dict[str, Reader]]]:
    found = {}
    for value in vars(events).values():
        if isinstance(value, type) and issubclass(value, Body) and value is not Body:
            hints = get_type_hints(value, vars(events))
            readers = {f.name: _reader(hints[f.name]) for f in dataclasses.fields(value)}
            found[kind_of(value.__new__(value))] = (value, readers)
    return found


def _reader(hint: Any) -> Reader:
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        inner = _reader(next(a for a in args if a is not type(None)))
        return lambda v: None if v is None else inner(v)
    if origin is tuple:
        item = _reader(args[0])
        return lambda v: tuple(item(x) for x in v)
    if origin is Mapping:
        key, item = _reader(args[0]), _reader(args[1])
        return lambda v: {key(k): item(x) for k, x in v.items()}
    if hint is Decimal:
        return lambda v: Decimal(str(v))
    if hint is bool:
        return _exactly(bool)
    if hint is int:
        return _exactly(int)
    if hint is float:
        return lambda v: float(v)
    if hint is str:
        return _exactly(str)
    raise TypeError(f"no reader for {hint!r}: teach job.codec")


def _exactly(wanted: type) -> Reader:
    def read(value: Any) -> Any:
        if type(value) is not wanted:
            raise ValueError(f"{value!r} should be {wanted.__name__}")
        return value

    return read
