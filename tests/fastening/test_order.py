"""Tightening orders: ASME PCC-1 cross pattern (from memory), any number by the same rule, rows, clock places."""

import itertools
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.model import Fastener, Order
from assistant.fastening.drawing import order_svg
from assistant.fastening.order import OrderError, clock_place, order_for, order_of, place_of

# ASME PCC-1, cross pattern by bolt number around the circle; from memory.
PCC_1 = {
    4: "1 3 2 4",
    8: "1 5 3 7 2 6 4 8",
    12: "1 7 4 10 2 8 5 11 3 9 6 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    20: "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19",
    24: "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24",
    32: "1 17 9 25 5 21 13 29 3 19 11 27 7 23 15 31 2 18 10 26 6 22 14 30 4 20 12 28 8 24 16 32",
}


@pytest.mark.parametrize("n", PCC_1)
def test_cross_pattern_is_that_of_asme_pcc_1(n: int) -> None:
    assert order_for(n).sequence == tuple(map(int, PCC_1[n].split()))


@pytest.mark.parametrize(
    ("n", "order"),
    [
        (1, (1,)),
        (2, (1, 2)),
        (3, (1, 2, 3)),
        (5, (1, 3, 5, 2, 4)),  # the star of a five-bolt wheel; common practice
        (6, (1, 4, 2, 5, 3, 6)),
        (7, (1, 4, 7, 3, 6, 2, 5)),
        (10, (1, 6, 3, 8, 5, 10, 2, 7, 4, 9)),
    ],
)
def test_numbers_that_the_table_leaves_out(n: int, order: tuple[int, ...]) -> None:
    assert order_for(n).sequence == order


def apart(one: int, other: int, n: int) -> int:
    """Bolts between two positions, the short way round."""
    return min((one - other) % n, (other - one) % n)


@given(st.integers(1, 400), st.sampled_from(["across", "round", "middle-out"]))
def test_every_order_is_a_permutation(n: int, pattern: str) -> None:
    order = order_for(n, pattern)  # type: ignore[arg-type]
    assert sorted(order.sequence) == list(range(1, n + 1))
    assert tuple(itertools.chain(*order.groups)) == order.sequence
    assert order.loosening == order.sequence[::-1]


@given(st.integers(2, 400))
def test_each_next_bolt_lies_across(n: int) -> None:
    """Odd: always as far as there is. Even: the second of each pair straight across."""
    sequence = order_for(n).sequence
    moves = list(itertools.pairwise(sequence))
    across = moves if n % 2 else moves[::2]
    assert all(apart(*move, n) == n // 2 for move in across)


@given(st.integers(1, 99).map(lambda n: n * 4 + 2))
def test_pairs_follow_each_other_by_a_quarter_turn_or_nearly(n: int) -> None:
    moves = list(itertools.pairwise(order_for(n).sequence))
    assert all(apart(*move, n) in (n // 4, n // 4 + 1) for move in moves[1::2])


@given(st.integers(1, 100).map(lambda n: n * 4))
def test_four_at_a_time_are_a_cross(n: int) -> None:
    sequence = order_for(n).sequence
    for at in range(0, n, 4):
        assert sorted((position - sequence[at]) % n for position in sequence[at : at + 4]) == [
            0,
            n // 4,
            n // 2,
            3 * n // 4,
        ]


def test_a_head_is_tightened_from_the_middle_outwards() -> None:
    """Two rows of five, numbered row by row: the middle two, then side by side outwards."""
    order = order_for(10, "middle-out", rows=[5, 5]).sequence
    assert set(order[:2]) == {3, 8}
    assert set(order[2:6]) == {2, 4, 7, 9}
    assert set(order[6:]) == {1, 5, 6, 10}
    assert order_for(5, "middle-out").sequence == (3, 2, 4, 1, 5)


@given(st.lists(st.integers(1, 12), min_size=1, max_size=6))
def test_middle_out_never_goes_back_inwards(rows: list[int]) -> None:
    import math

    from assistant.fastening.order import places_in_rows

    places = places_in_rows(rows)
    out = [math.hypot(*places[at - 1]) for at in order_for(sum(rows), "middle-out", rows=rows).sequence]
    assert all(one <= other + 1e-6 for one, other in itertools.pairwise(out))


def test_as_listed() -> None:
    assert order_for(3, "as-listed", listed=[2, 3, 1]).sequence == (2, 3, 1)


@pytest.mark.parametrize(
    "bad",
    [
        {"n": 0},
        {"n": -4},
        {"n": 401},
        {"n": 6, "pattern": "middle-out", "rows": [3, 4]},
        {"n": 3, "pattern": "as-listed", "listed": [1, 1, 2]},
        {"n": 3, "pattern": "as-listed"},
    ],
)
def test_an_order_that_cannot_be_is_refused(bad: dict) -> None:  # type: ignore[type-arg]
    with pytest.raises(OrderError):
        order_for(**bad)


def test_next_and_last() -> None:
    order = order_for(8)
    assert order.after(1) == 5
    assert order.after(8) is None
    assert order.groups == ((1, 5, 3, 7), (2, 6, 4, 8))


@pytest.mark.parametrize(
    ("position", "n", "place"),
    [
        (1, 8, "twelve o'clock"),
        (5, 8, "six o'clock"),
        (2, 8, "half past one"),
        (2, 16, "quarter to one"),
        (4, 4, "nine o'clock"),
        (2, 12, "one o'clock"),
        (3, 5, "quarter to five"),
        (49, 49, ""),
    ],
)
def test_clock_places(position: int, n: int, place: str) -> None:
    assert clock_place(position, n) == place


@given(st.integers(1, 48))
def test_no_two_bolts_have_one_clock_place(n: int) -> None:
    assert len({clock_place(position, n) for position in range(1, n + 1)}) == n


def fastener(**order: object) -> Fastener:
    return Fastener(name="flywheel bolts", count=8, order=Order(pattern="across", **order))  # type: ignore[arg-type]


def test_the_place_is_the_cards_own_name_or_the_clock() -> None:
    assert place_of(fastener(), 5) == "six o'clock"
    assert place_of(fastener(start="three o'clock"), 1) == "three o'clock"
    assert place_of(fastener(start="3 o'clock"), 5) == "nine o'clock"
    assert place_of(fastener(start="the dowel"), 1) == "the dowel"
    assert place_of(fastener(start="the dowel"), 2) == ""
    assert place_of(fastener(numbering="as-drawn"), 2) == ""
    named = fastener().model_copy(update={"places": ["upper left", "upper right"]})
    assert place_of(named, 2) == "upper right"
    assert order_of(named).sequence == order_for(8).sequence


def test_without_an_order_positions_go_as_numbered() -> None:
    assert order_of(Fastener(name="cover screws", count=3)).sequence == (1, 2, 3)


@given(st.integers(1, 60), st.sampled_from(["across", "middle-out"]))
def test_the_drawing_shows_every_bolt_once_with_its_turn(n: int, pattern: str) -> None:
    order = order_for(n, pattern)  # type: ignore[arg-type]
    root = ElementTree.fromstring(order_svg(order, due=order.sequence[-1], done=order.sequence[:1], title='a "b" <c>'))
    groups = list(root.iter("{http://www.w3.org/2000/svg}g"))
    shown = {int(node.attrib["data-position"]): int(node.attrib["data-turn"]) for node in groups}
    assert shown == {position: turn for turn, position in enumerate(order.sequence, 1)}
    due = [node.attrib["data-position"] for node in groups if "order-due" in node.attrib["class"]]
    assert due == [str(order.sequence[-1])]


@given(st.integers(3, 48))
def test_bolts_in_the_drawing_do_not_touch(n: int) -> None:
    import math

    root = ElementTree.fromstring(order_svg(order_for(n)))
    spots = [(float(t.attrib["x"]), float(t.attrib["y"])) for t in root.iter("{http://www.w3.org/2000/svg}text")][::2]
    width = 2 * max(4.0, min(22.0, 150 * math.sin(math.pi / n) * 0.8))
    assert min(math.dist(a, b) for a, b in itertools.combinations(spots, 2)) > width
