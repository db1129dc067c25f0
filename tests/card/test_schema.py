"""The published schema is the models', and the shipped cards keep it."""

import json

import jsonschema
import pytest
from ruamel.yaml import YAML

from assistant.card.load import shipped_cards
from assistant.card.schema import card_schema, schema_text
from assistant.paths import shipped

from .conftest import SMALL


def problems(text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(card_schema())
    return [error.message for error in validator.iter_errors(YAML(typ="safe", pure=True).load(text))]


def test_the_published_schema_is_up_to_date() -> None:
    written = (shipped("procedures") / "schema.json").read_text(encoding="utf-8")
    assert written == schema_text(), "run: python -m assistant.card.schema"


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))


@pytest.mark.parametrize("name", shipped_cards())
def test_shipped_cards_keep_the_schema(name: str) -> None:
    assert problems(shipped_cards()[name].read_text(encoding="utf-8")) == []


def test_every_shipped_card_names_the_schema_for_editors() -> None:
    for path in shipped_cards().values():
        assert path.read_text(encoding="utf-8").startswith("# yaml-language-server: $schema=schema.json\n")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("count: 5", "cuont: 5"),
        ("count: 5", "count: -5"),
        ("mass_kg: 20", "mass_kg: heavy"),
        ("unit: mm", "unit: mmm"),
        ("card: small", "card: Small Card"),
        ("maker: nobody\n", ""),
    ],
)
def test_an_editor_sees_what_is_wrong(old: str, new: str) -> None:
    assert problems(SMALL) == []
    assert problems(SMALL.replace(old, new, 1))


def test_fields_carry_their_words_into_the_editor() -> None:
    fastener = card_schema()["$defs"]["Fastener"]["properties"]
    assert "hide" in fastener["behind"]["description"]
    assert "take-out" in card_schema()["$defs"]["Action"]["properties"]
