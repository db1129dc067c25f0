"""Passes: ASME PCC-1 (from memory) where the card is silent, the card's own otherwise."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Fastener, Order, Pass, Torque
from assistant.fastening.passes import PassError, kind_of, passes_of

D = Decimal


def bolts(**given: Any) -> Fastener:
    return Fastener(**({"name": "cover bolts", "count": 8, "order": Order(pattern="across")} | given))


def test_a_set_tightened_across_is_snug_thirty_seventy_hundred_then_once_round() -> None:
    """ASME PCC-1, from memory: snug, 20 to 30 %, 50 to 70 %, 100 % across, 100 % round."""
    passes = passes_of(bolts(torque="100 N·m"))
    assert [p.label for p in passes] == ["snug", "30 %", "70 %", "100 %", "100 %, round"]
    assert [p.target and p.target.value for p in passes] == [None, D(30), D(70), D(100), D(100)]
    assert [p.sequence for p in passes[:-1]] == [(1, 5, 3, 7, 2, 6, 4, 8)] * 4
    assert passes[-1].sequence == (1, 2, 3, 4, 5, 6, 7, 8)
    assert [p.is_final for p in passes] == [False, False, False, True, True]


def test_shares_are_rounded_down_to_what_a_wrench_can_be_set_to() -> None:
    assert [p.target.value for p in passes_of(bolts(torque="65 N·m")) if p.target] == [D(19), D(45), D(65), D(65)]
    assert [p.target.value for p in passes_of(bolts(torque="9 N·m")) if p.target] == [D("2.7"), D("6.3"), D(9), D(9)]


def test_the_unit_is_that_of_the_source() -> None:
    assert {p.target.unit for p in passes_of(bolts(torque="80 lbf·ft")) if p.target} == {"lbf·ft"}


def test_shares_of_a_range_are_of_its_lower_end_and_the_last_is_the_range() -> None:
    passes = passes_of(bolts(torque="60 to 70 N·m"))
    assert passes[1].target == Torque(value=D(18), unit="N·m")
    assert passes[-1].target == Torque(low=D(60), high=D(70), unit="N·m")


def test_a_set_that_is_not_across_is_taken_to_its_value_in_one_pass() -> None:
    for order in (None, Order(pattern="round"), Order(pattern="middle-out", rows=[4, 4])):
        passes = passes_of(bolts(torque="65 N·m", order=order))
        assert [p.label for p in passes] == ["100 %"]
        assert passes[0].target == Torque(value=D(65), unit="N·m")


def test_a_turn_after_the_torque_is_a_pass_of_its_own_and_the_last() -> None:
    passes = passes_of(bolts(torque="50 N·m + 90 deg"))
    assert [p.label for p in passes] == ["snug", "100 %", "90° more"]
    assert passes[1].target == Torque(value=D(50), unit="N·m")
    assert [kind_of(p) for p in passes] == ["snug", "torque", "turn"]


def test_by_hand_is_one_pass_without_a_value() -> None:
    (only,) = passes_of(bolts(torque="snug by hand"))
    assert (only.label, only.target, kind_of(only)) == ("snug", None, "snug")


def test_a_quarter_turn_each_in_order_until_snug_then_to_the_value() -> None:
    passes = passes_of(bolts(torque="65 N·m", passes=[Pass(angle_deg=D(90), until="snug"), Pass(share=D(100))]))
    assert [p.label for p in passes] == ["90° at a time until snug", "100 %"]
    assert (passes[0].until, passes[0].is_final, passes[1].is_final) == ("snug", False, True)


def test_the_cards_own_passes_end_at_its_value_even_if_it_forgets_to_say_so() -> None:
    passes = passes_of(bolts(torque="65 N·m", passes=[Pass(torque="20 N·m"), Pass(share=D(50))]))
    assert [(p.label, p.target and p.target.value) for p in passes] == [
        ("20 N·m", D(20)),
        ("50 %", D(32)),
        ("100 %", D(65)),
    ]


def test_a_share_without_a_torque_is_refused() -> None:
    with pytest.raises(PassError, match="cover bolts: a pass of 50 % needs a torque"):
        passes_of(bolts(torque=None, passes=[Pass(share=D(50))]))


torques = st.decimals(min_value="0.5", max_value=2000, places=1)


@given(torques, st.integers(1, 48), st.lists(st.integers(1, 100), max_size=4))
def test_no_pass_asks_for_more_than_the_final_torque(value: Decimal, count: int, shares: list[int]) -> None:
    fastener = bolts(torque=Torque(value=value, unit="N·m"), count=count, passes=[Pass(share=D(s)) for s in shares])
    passes = passes_of(fastener)
    assert all(p.target is None or 0 < (p.target.value or 0) <= value for p in passes)
    assert any(p.target and p.target.value == value for p in passes)
    assert all(sorted(p.sequence) == list(range(1, count + 1)) for p in passes)
    assert [p.number for p in passes] == list(range(1, len(passes) + 1))
