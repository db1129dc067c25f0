"""Finding an entry or a step in the draft's YAML."""

from __future__ import annotations

from ruamel.yaml.comments import CommentedMap

from .questions import TABLES


def steps_of(card: CommentedMap) -> list[CommentedMap]:
    return [step for section in card["sections"] for step in section["steps"]]


def entry_of(card: CommentedMap, id_: str) -> CommentedMap | None:
    for table in (*TABLES.values(), "measures", "tools", "consumables"):
        entries = card.get(table) or {}
        if id_ in entries:
            found: CommentedMap = entries[id_]
            return found
    return next((step for step in steps_of(card) if step["id"] == id_), None)


def kind_of_entry(card: CommentedMap, id_: str) -> str:
    return next((kind for kind, table in TABLES.items() if id_ in (card.get(table) or {})), "")
