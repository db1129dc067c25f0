"""In which order the fasteners of a set are tightened, for any number of them.

Across: the cross pattern of ASME PCC-1 (from memory) by bolt number around the circle, continued by the same
rule to any number:

- a multiple of four goes in groups of four: a bolt, the one opposite, a quarter on, the one opposite that.
  The first bolts of the groups spread out over the first quarter: halving it while it halves (1 3 2 4),
  three in their order, any other odd number the odd places first (1 3 5 2 4);
- any other even number goes in pairs straight across, each pair as near a quarter turn on as the bolts allow;
- an odd number takes the farthest bolt each time: the star of the five-bolt wheel, 1 3 5 2 4.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from assistant.card.model import Fastener

from .units import FasteningError

Pattern = Literal["across", "round", "middle-out", "as-listed"]
MOST_FASTENERS = 400


class OrderError(FasteningError):
    """An order that cannot be made: no such number, rows that do not add up."""


@dataclass(frozen=True, slots=True)
class TighteningOrder:
    """The positions of a set in the order in which they are tightened."""

    pattern: Pattern
    sequence: tuple[int, ...]
    """Each position 1..count once."""
    rows: tuple[int, ...] = ()
    """Fasteners in each row, top to bottom, where they stand in rows; empty for a circle."""

    @property
    def count(self) -> int:
        return len(self.sequence)

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """The sequence in mouthfuls, for speaking: fours, or all at once up to five."""
        size = self.count if self.count <= 5 else 4
        return tuple(self.sequence[at : at + size] for at in range(0, self.count, size))

    @property
    def loosening(self) -> tuple[int, ...]:
        """The other way round: the last tightened comes loose first."""
        return self.sequence[::-1]

    def after(self, position: int) -> int | None:
        """The position that comes next; None after the last."""
        at = self.sequence.index(position) + 1
        return self.sequence[at] if at < self.count else None


def order_for(
    n: int, pattern: Pattern = "across", rows: Sequence[int] | None = None, listed: Sequence[int] | None = None
) -> TighteningOrder:
    """The order for `n` fasteners (1 to 400); position 1 is the start mark, numbers go round or row by row.

    `rows` is for middle-out (without it: one row), `listed` for as-listed. Raises OrderError.
    """
    if not 1 <= n <= MOST_FASTENERS:
        raise OrderError(f"{n} fasteners: give a number from 1 to {MOST_FASTENERS}.")
    if pattern == "across":
        return TighteningOrder(pattern, tuple(position + 1 for position in _across(n)))
    if pattern == "round":
        return TighteningOrder(pattern, tuple(range(1, n + 1)))
    if pattern == "as-listed":
        if sorted(listed or ()) != list(range(1, n + 1)):
            raise OrderError(f"The list must name each position from 1 to {n} once.")
        return TighteningOrder(pattern, tuple(listed or ()))
    laid_out = tuple(rows) if rows else (n,)
    if sum(laid_out) != n or min(laid_out) < 1:
        raise OrderError(f"Rows of {', '.join(map(str, laid_out))} make {sum(laid_out)}, not {n}: mend the rows.")
    return TighteningOrder("middle-out", _middle_out(laid_out), laid_out)


def order_of(fastener: Fastener) -> TighteningOrder:
    """The order that a card gives to a set; where it gives none, the positions as they are numbered."""
    if fastener.order is None:
        return order_for(fastener.count, "round")
    order = fastener.order
    return order_for(fastener.count, order.pattern, order.rows, order.listed)


def _across(n: int) -> list[int]:
    """Positions 0..n-1 in cross pattern."""
    if n % 2:
        return [at * ((n - 1) // 2 or 1) % n for at in range(n)]
    half, quarter = n // 2, n // 4
    if n % 4:
        firsts = [at * ((half - 1) // 2 or 1) % half for at in range(half)]
        return [position for first in firsts for position in (first, first + half)]
    return [first + turn for first in _spread(quarter) for turn in (0, half, quarter, half + quarter)]


def _spread(n: int) -> list[int]:
    """0..n-1 so that neighbours in the list lie apart."""
    if n <= 3:
        return list(range(n))
    if n % 2:
        return [*range(0, n, 2), *range(1, n, 2)]
    return [position for first in _spread(n // 2) for position in (first, first + n // 2)]


def places_in_rows(rows: Sequence[int]) -> tuple[tuple[float, float], ...]:
    """Where each position lies, in units of the bolt spacing from the middle of the pattern (right, down).
    Rows are taken to be equally wide and one spacing apart."""
    widest = max(rows) - 1
    return tuple(
        ((widest * at / (count - 1) - widest / 2) if count > 1 else 0.0, down - (len(rows) - 1) / 2)
        for down, count in enumerate(rows)
        for at in range(count)
    )


def _middle_out(rows: Sequence[int]) -> tuple[int, ...]:
    """Nearest the middle first; of those equally near, the one farthest from the last, so that sides take turns."""
    places = places_in_rows(rows)
    left = set(range(len(places)))
    sequence: list[int] = []
    while left:
        last = places[sequence[-1]] if sequence else (0.0, 0.0)
        following = min(
            left, key=lambda at: (round(math.hypot(*places[at]), 6), -round(math.dist(places[at], last), 6), at)
        )
        left.remove(following)
        sequence.append(following)
    return tuple(at + 1 for at in sequence)


_HOURS = (
    "twelve", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
)  # fmt: skip


def clock_place(position: int, n: int, start_hour: int = 12, clockwise: bool = True) -> str:
    """Where a position of an even circle lies on a clock face, to the quarter: "twelve o'clock", "half past one".

    Position 1 lies at `start_hour`. Empty for more than 48 on the circle: two would have one name.
    """
    if n > 48 or not 1 <= position <= n:
        return ""
    turned = (position - 1) / n if clockwise else -(position - 1) / n
    quarters = math.floor((turned + start_hour % 12 / 12) * 48 + 0.5) % 48
    hour, quarter = divmod(quarters, 4)
    this, following = _HOURS[hour], _HOURS[(hour + 1) % 12]
    return (f"{this} o'clock", f"quarter past {this}", f"half past {this}", f"quarter to {following}")[quarter]


def place_of(fastener: Fastener, position: int) -> str:
    """Where a position of a card's set lies, as one says it: the card's own name for it, else the clock place.

    Empty where neither is known: rows, a set as drawn, or a start mark that is no hour (its first position
    is then named by the mark: "the dowel").
    """
    if position <= len(fastener.places):
        return fastener.places[position - 1]
    order = fastener.order
    if order is None or order.pattern not in ("across", "round") or order.numbering != "clockwise":
        return ""
    if order.start is None:
        return clock_place(position, fastener.count)
    hour = _hour_in(order.start)
    if hour is None:
        return order.start if position == 1 else ""
    return clock_place(position, fastener.count, hour)


def _hour_in(start: str) -> int | None:
    words = start.casefold().replace("’", "'")
    if "o'clock" not in words:
        return None
    for word in words.split():
        if word in _HOURS:
            return _HOURS.index(word) or 12
        if word.isdigit() and 1 <= int(word) <= 12:
            return int(word)
    return None
