"""The JSON Schema of the card language, for editors.

`python -m assistant.card.schema` writes procedures/schema.json anew. The schema asks for the plain form
(numbers as numbers, units by their canonical name); the reader forgives a little more.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from assistant.paths import shipped

from .model import Card

FILE = "schema.json"


class _PlainNumbers(GenerateJsonSchema):
    """Decimals are numbers in a card file; their exactness is the reader's affair."""

    def decimal_schema(self, schema: core_schema.DecimalSchema) -> JsonSchemaValue:
        bounds = {"gt": "exclusiveMinimum", "ge": "minimum", "lt": "exclusiveMaximum", "le": "maximum"}
        return {"type": "number"} | {word: int(schema[key]) for key, word in bounds.items() if key in schema}  # type: ignore[literal-required]

    def encode_default(self, dft: Any) -> Any:
        return int(dft) if isinstance(dft, Decimal) and dft == int(dft) else super().encode_default(dft)


def card_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a card file, generated from the models."""
    schema = Card.model_json_schema(by_alias=True, mode="validation", schema_generator=_PlainNumbers)
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Job card",
        "description": "What a job card of the repair-bay assistant can say. Generated from assistant/card/model.py.",
    }
    return head | {key: value for key, value in schema.items() if key not in head}


def schema_text() -> str:
    """The schema as it stands in its file."""
    return json.dumps(card_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    (shipped("procedures") / FILE).write_text(schema_text(), encoding="utf-8")
