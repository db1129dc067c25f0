"""Fills the templates of a language. Another language is another table of the same keys."""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.dialogue.wording.english import BITS, ITEMS, TEMPLATES
from assistant.job.open_items import OpenItem

VERBOSITIES = ("terse", "normal", "full")

_FIELD = re.compile(r"\{(\w+)(?:\|([^|}]*)\|([^|}]*))?\}")

Filling = str | int


def say(key: str, verbosity: str = "normal", **values: Filling) -> str:
    """The template `key` filled in; raises KeyError for a key or a value that is missing."""
    template = TEMPLATES[key]
    if isinstance(template, dict):
        template = template[verbosity]
    return fill(template, **values)


def bit(key: str, **values: Filling) -> str:
    """A part of a sentence."""
    return fill(BITS[key], **values)


def sentence(words: str) -> str:
    """The words with a stop at their end, where they have none."""
    return words if words.endswith((".", "?", "!")) else f"{words}."


def capital(words: str) -> str:
    """As a sentence begins."""
    return words[:1].upper() + words[1:]


def fill(template: str, **values: Filling) -> str:
    """`{name}` as it is, `{n|one|many}` as a number with its noun; double spaces and a doubled stop are closed up."""

    def field(found: re.Match[str]) -> str:
        name, one, many = found.groups()
        value = values[name]
        if one is None:
            return str(value)
        return f"{value} {one if value == 1 else many}"

    filled = re.sub(r"\s{2,}", " ", _FIELD.sub(field, template)).strip()
    return re.sub(r"([.?!])\.(?!\.)", r"\1", filled)


@lru_cache(maxsize=4096)
def item_in_words(item: OpenItem) -> str:
    """An open item as it stands in a list: "rear cap still in"."""
    return fill(ITEMS[item.kind], name=item.name, n=item.count or 1)
