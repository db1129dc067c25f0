"""Every sort of entry that a log can hold has its words, its place in a replay, and its way through the store."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, get_type_hints

import pytest

from assistant.job import codec
from assistant.job import events as e
from assistant.job.events import Body, Event, kind_of
from assistant.logbook import Logbook
from assistant.logbook.verify import verify
from assistant.logbook.words import in_words, sort_of

SILENT = {"asked", "sleep-set"}
"""Bookkeeping of the talk: what was said stands in the utterance before."""
VALUES: dict[Any, Any] = {str: "sort-of-word", int: 3, float: 2.5, bool: True, Decimal: Decimal("65.0")}


def bodies() -> list[Body]:
    """One of each kind, every field filled."""
    found = []
    for kind in codec.kinds():
        body, readers = codec._kinds()[kind]
        hints = get_type_hints(body, vars(e))
        fields = {f.name: _value(hints[f.name]) for f in dataclasses.fields(body)}
        assert set(fields) == set(readers)
        found.append(body(**fields))
    return found


def _value(hint: Any) -> Any:
    inner = [arg for arg in getattr(hint, "__args__", ()) if arg not in (type(None), Ellipsis)]
    named = str(hint)
    if hint in VALUES:
        return VALUES[hint]
    if "tuple" in named:
        return (_value(inner[0]), _value(inner[0]))
    if "Mapping" in named:
        return {"a": _value(inner[1])}
    return _value(inner[0])


def named(thing: str) -> str:
    return thing.replace("-", " ")


@pytest.mark.parametrize("body", bodies(), ids=kind_of)
def test_every_entry_says_what_it_is(body: Body) -> None:
    told = in_words(Event(5, datetime(2026, 3, 2, 8, tzinfo=UTC), "Mara", "hub-off", body, 4), named)
    assert bool(told) == (kind_of(body) not in SILENT), told
    assert not re.search(r"Decimal|None|object|sort-of-word\w|\(\)", told), told
    assert sort_of(body)


@pytest.mark.parametrize("body", bodies(), ids=kind_of)
def test_every_entry_is_read_back_as_it_was_written(
    body: Body, bench: Logbook, start: Callable[..., Any], at: Callable[[float], datetime]
) -> None:
    """Whether it made sense is not the store's business."""
    with start(bench) as job:
        (kept,) = job.append([body], at(3), "Mara", "hub-off")
    assert bench.events(job.name)[-1] == kept
    assert [fault for fault in verify(bench).faults if "clip" not in str(fault)] == []
