"""What is written into the log comes out of it unchanged."""

import dataclasses
import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.job import codec, events
from assistant.job.errors import UnreadableEvent
from assistant.job.events import Body, Measured, Said, Torqued, Withdrawn, kind_of

BODIES = [v for v in vars(events).values() if isinstance(v, type) and issubclass(v, Body) and v is not Body]


def _any_body() -> st.SearchStrategy[Body]:
    st.register_type_strategy(Decimal, st.decimals(allow_nan=False, allow_infinity=False, places=4))
    return st.one_of([st.builds(b) for b in BODIES])


def test_there_is_a_reader_for_every_kind() -> None:
    assert len(codec.kinds()) == len(BODIES)


@given(_any_body())
def test_every_event_survives_the_log(body: Body) -> None:
    written = json.dumps(codec.to_json(body), allow_nan=True)
    back = codec.from_json(kind_of(body), json.loads(written))
    assert json.dumps(codec.to_json(back)) == written
    assert type(back) is type(body)


def test_trailing_zeros_of_a_reading_stay() -> None:
    body = Measured("runout", Decimal("0.30"), "mm", "inside")
    assert str(codec.from_json("measured", codec.to_json(body)).value) == "0.30"  # type: ignore[attr-defined]


def test_a_field_of_a_later_version_is_passed_over() -> None:
    assert codec.from_json("withdrawn", {"seqs": [3, 4], "colour": "red"}) == Withdrawn((3, 4))


def test_a_field_that_is_missing_takes_its_default() -> None:
    body = codec.from_json("torqued", {"fastener": "flywheel-bolts", "value": "65", "unit": "N·m"})
    assert body == Torqued("flywheel-bolts", Decimal(65), "N·m")


@pytest.mark.parametrize(
    ("kind", "fields", "part"),
    [
        ("teleported", {}, "does not know"),
        ("torqued", {"fastener": "x", "unit": "N·m"}, "torqued"),
        ("torqued", {"fastener": "x", "unit": "N·m", "value": "many"}, "torqued"),
        ("withdrawn", {"seqs": 3}, "withdrawn"),
        ("withdrawn", {"seqs": ["3"]}, "should be int"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(kind: str, fields: dict[str, object], part: str) -> None:
    with pytest.raises(UnreadableEvent, match=part):
        codec.from_json(kind, fields)


def test_bodies_are_frozen_and_hold_only_what_json_can() -> None:
    for body in BODIES:
        assert dataclasses.is_dataclass(body)
        assert body.__dataclass_params__.frozen  # type: ignore[attr-defined]


def test_said_keeps_its_slots() -> None:
    said = Said("torque of the bolts", "torque of the bolts", "torque", {"fastener": "x"}, "act", -0.3, None, "65")
    assert codec.from_json("said", json.loads(json.dumps(codec.to_json(said)))) == said
