"""Units: NIST SP 811 appendix B (values in published-values form), spellings, rounding for people."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import MeasureUnit, TorqueUnit
from assistant.fastening.units import (
    DIMENSIONS,
    SPELLINGS,
    UnitError,
    convert,
    figures,
    measures_the_same,
    quantity_of,
    shown_in,
    unit_named,
)

D = Decimal

# NIST Special Publication 811, appendix B: factor to SI, to the seven figures printed there.
NIST_SP_811 = [
    ("lbf·ft", "N·m", "1.355818"),
    ("lbf·in", "N·m", "0.1129848"),
    ("kgf·m", "N·m", "9.80665"),  # exact
    ("in", "mm", "25.4"),  # exact
    ("ft", "m", "0.3048"),  # exact
    ("lbf", "N", "4.448222"),
    ("psi", "kPa", "6.894757"),
    ("bar", "kPa", "100"),  # exact
    ("lb", "kg", "0.45359237"),  # exact
    ("qt", "L", "0.9463529"),  # US liquid quart; from memory
    ("pt", "L", "0.4731765"),  # US liquid pint; from memory
    ("mi", "km", "1.609344"),  # exact
]


@pytest.mark.parametrize(("unit", "si", "factor"), NIST_SP_811)
def test_factors_are_those_of_nist_sp_811(unit: str, si: str, factor: str) -> None:
    printed = D(factor)
    last_place = D((0, (1,), printed.as_tuple().exponent))
    assert abs(convert(D(1), unit, si) - printed) <= last_place / 2


def test_every_unit_of_the_card_language_has_a_canonical_name() -> None:
    from typing import get_args

    for unit in (*get_args(get_args(TorqueUnit)[0]), *get_args(MeasureUnit)):
        assert unit_named(unit) == unit


@pytest.mark.parametrize(
    ("spelling", "unit"),
    [
        ("foot pounds", "lbf·ft"),
        ("foot-pounds", "lbf·ft"),
        ("Ft-Lbs", "lbf·ft"),
        ("ft.lb", "lbf·ft"),
        ("lbf-ft", "lbf·ft"),
        ("lb-ft", "lbf·ft"),
        ("pound feet", "lbf·ft"),
        ("inch pounds", "lbf·in"),
        ("in-lb", "lbf·in"),
        ("Nm", "N·m"),
        ("NM", "N·m"),
        ("N.m", "N·m"),
        ("N*m", "N·m"),
        ("N-m", "N·m"),
        ("newton metres", "N·m"),
        ("Newton meters", "N·m"),
        ("kgf-m", "kgf·m"),
        ("kg·m", "kgf·m"),
        ("kilogram force metres", "kgf·m"),
        ("millimeters", "mm"),
        ('"', "in"),
        ("°", "deg"),
        ("newtons", "N"),
        ("Ω", "ohm"),
        ("pounds per square inch", "psi"),
        ("kilos", "kg"),
    ],
)
def test_usual_spellings(spelling: str, unit: str) -> None:
    assert unit_named(spelling) == unit


def test_no_spelling_names_two_units() -> None:
    seen: dict[str, str] = {}
    for unit, spellings in SPELLINGS.items():
        for spelling in spellings:
            assert seen.setdefault(spelling, unit) == unit
            assert unit_named(spelling) == unit


def test_an_unknown_unit_is_named_with_the_nearest() -> None:
    with pytest.raises(UnitError, match=r"no such unit: 'foot punds'.*lbf·ft"):
        unit_named("foot punds")
    with pytest.raises(UnitError, match="no such unit"):
        unit_named("")


def test_a_torque_is_not_a_length() -> None:
    with pytest.raises(UnitError, match="N·m measures torque and mm measures length"):
        convert(D(1), "N·m", "mm")
    assert not measures_the_same("N", "N·m")
    assert measures_the_same("lbf·in", "kgf·m")


@pytest.mark.parametrize(
    ("value", "unit", "to", "shown"),
    [
        ("65", "N·m", "lbf·ft", "47.9"),
        ("110", "lbf·ft", "N·m", "149"),
        ("0.004", "in", "mm", "0.10"),
        ("7.5", "kgf·m", "N·m", "73.5"),
        ("90", "lbf·in", "N·m", "10.2"),
        ("1", "kgf·m", "N·m", "9.8"),
        ("1000", "N·m", "lbf·ft", "737.6"),
        ("65.0", "N·m", "N·m", "65.0"),
    ],
)
def test_shown_values_claim_no_more_than_their_source(value: str, unit: str, to: str, shown: str) -> None:
    assert figures(shown_in(D(value), unit, to)) == shown


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("110 lbf-ft", "110", "lbf·ft"),
        ("65Nm", "65", "N·m"),
        ("1/2 in", "0.5", "in"),
        ("1 1/2 in", "1.5", "in"),
        ("11/2 in", "5.5", "in"),
        ("1,200 N·m", "1200", "N·m"),
        ("4 thou", "0.004", "in"),
        ("-3.5 mm", "-3.5", "mm"),
        (".5 in", "0.5", "in"),
    ],
)
def test_typed_quantities(text: str, value: str, unit: str) -> None:
    assert quantity_of(text) == (D(value), unit)


@pytest.mark.parametrize("text", ["110", "lbf", "", "3/0 in", "12 furlong", "1.2.3 mm", "nan N·m", "1e5 N·m"])
def test_what_is_no_quantity_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(UnitError) as refused:
        quantity_of(text)
    assert "\n" not in str(refused.value)


PAIRS = [(a, b) for a in DIMENSIONS for b in DIMENSIONS if a != b and DIMENSIONS[a] == DIMENSIONS[b]]
values = st.decimals(min_value="0.0001", max_value=9999, places=4)


@given(values, st.sampled_from(PAIRS))
def test_conversions_go_round(value: Decimal, pair: tuple[str, str]) -> None:
    there = convert(value, *pair)
    back = convert(there, pair[1], pair[0])
    assert abs(back - value) <= value * D("1e-18")


@given(values, st.sampled_from(PAIRS))
def test_rounding_for_people_stays_within_the_source(value: Decimal, pair: tuple[str, str]) -> None:
    """Within half of the last figure that was written, or half of the second figure where that is finer."""
    exact, shown = convert(value, *pair), shown_in(value, *pair)
    trust = D((0, (5,), min(value.as_tuple().exponent, 0) - 1)) / value
    assert abs(shown - exact) / exact <= min(trust, D("0.05")) + D("1e-20")


@pytest.mark.parametrize("pair", PAIRS)
def test_a_plain_pint_registry_agrees(pair: tuple[str, str]) -> None:
    """pint in floating point, by its own parser, as the second opinion."""
    spelled = {
        "N·m": "N*m", "lbf·ft": "lbf*ft", "lbf·in": "lbf*inch", "kgf·m": "kgf*m", "in": "inch", "h": "hour",
        "d": "day", "pt": "pint", "qt": "quart", "%": "percent", "ohm": "ohm", "g": "gram",
    }  # fmt: skip
    registry = pint.get_application_registry()
    theirs = registry.Quantity(7.25, spelled.get(pair[0], pair[0])).to(spelled.get(pair[1], pair[1])).magnitude
    assert float(convert(D("7.25"), *pair)) == pytest.approx(theirs, rel=1e-9)
