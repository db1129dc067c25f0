"""A card of this test's own: the names that matter here, and none that may change under it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.card.model import Card
from assistant.grammar.load import CardGrammar


def card_with(fasteners: dict[str, object]) -> Card:
    """A small card; two sets whose names share their last words, one whose name is spelled in two ways."""
    return Card.model_validate(
        {
            "card": "test-card",
            "title": "Gearbox out and back",
            "revision": "1",
            "notice": "Invented; not to be used on a real vehicle.",
            "vehicle": "3.5-tonne forestry carrier",
            "maker": "Invented",
            "facts": {
                "control": {
                    "ask": "Hydraulic or cable clutch?",
                    "options": {
                        "hydraulic": {"say": "hydraulic", "aka": ["hydraulics"]},
                        "cable": {"say": "a cable", "aka": ["cable"]},
                    },
                }
            },
            "tools": {"big-wrench": {"name": "big torque wrench", "kind": "torque-wrench"}},
            "parts": {"gearbox": {"name": "gearbox", "mass_kg": 48}, "left-bracket": {"name": "left bracket"}},
            "fasteners": fasteners,
            "measures": {
                "flywheel-runout": {"name": "flywheel runout", "unit": "mm", "limits": {"high": Decimal("0.15")}},
                "bite-height": {"name": "bite height", "aka": ["bite point"], "unit": "mm", "limits": {"low": 40}},
                "disc-thickness": {"name": "clutch disc thickness", "unit": "mm", "limits": {"low": Decimal("7.1")}},
            },
            "sections": [
                {
                    "id": "out",
                    "name": "Taking out",
                    "steps": [{"id": "drain-the-gearbox", "say": "Drain the gearbox."}],
                },
                {"id": "in", "name": "Putting back", "steps": [{"id": "fit-the-gearbox", "say": "Fit the gearbox."}]},
            ],
        }
    )


FASTENERS: dict[str, object] = {
    "flywheel-bolts": {"name": "flywheel bolts", "count": 8, "thread": "M10"},
    "upper-bellhousing-bolts": {"name": "upper bellhousing bolts", "count": 4, "aka": ["top bolts"]},
    "lower-bellhousing-bolts": {"name": "lower bellhousing bolts", "count": 4},
    "crossmember-bolts": {"name": "crossmember to frame bolts", "count": 6},
    "drain-plug": {"name": "gearbox drain plug", "kind": "plug", "count": 1},
}


@pytest.fixture(scope="session")
def card() -> Card:
    return card_with(FASTENERS)


@pytest.fixture(scope="session")
def grammar(card: Card) -> CardGrammar:
    return CardGrammar(card, people=["Mara", "Jonas"], attention_name="Otto")
