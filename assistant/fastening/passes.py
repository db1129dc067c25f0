"""In which passes a set is brought to its torque, and to how much in each.

A card may give its own passes. Where it gives none, a set tightened across follows ASME PCC-1 (from memory):
snug, 20 to 30 %, 50 to 70 %, 100 % across, then 100 % once round the circle, for each bolt loosens its neighbours.
Any other set is taken to its value in one pass.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from typing import Literal

from assistant.card.model import Fastener, Pass, Torque

from .order import order_of
from .units import FasteningError

SHARES = (Decimal(30), Decimal(70), Decimal(100))
"""Per cent of the final torque in the passes across."""
FEWEST_ACROSS = 4
"""Below this there is no across to speak of: one pass."""


class PassError(FasteningError):
    """A pass that asks for a share of a torque that is not there."""


@dataclass(frozen=True, slots=True)
class TighteningPass:
    """One round over a set."""

    number: int
    """1, 2, 3 ..."""
    label: str
    """As one says it: "snug", "30 %", "100 %, round", "90° more"."""
    sequence: tuple[int, ...]
    """Positions in the order of this pass."""
    target: Torque | None = None
    """What to set, in the unit of the source; None where no torque is set (snug, or a turn)."""
    share: Decimal | None = None
    """Of the final torque, per cent."""
    angle_deg: Decimal | None = None
    """Turn of each, degrees."""
    until: str | None = None
    """With angle_deg: again and again, in order, until snug, seated or touching."""
    is_final: bool = False
    """True from the pass on that reaches the card's value."""


def passes_of(fastener: Fastener) -> tuple[TighteningPass, ...]:
    """The passes of a set, at least one. No pass asks for more than the final torque.

    A share is rounded down to what a wrench can be set to: whole units from a final torque of 20, tenths below.
    Of a range the shares are of its lower end. Raises PassError where a pass needs a torque that the card lacks.
    """
    across, around = order_of(fastener).sequence, tuple(range(1, fastener.count + 1))
    torque = fastener.torque
    made: list[TighteningPass] = []
    for given in fastener.passes or _usual(fastener):
        sequence = around if given.pattern == "round" else across
        round_mark = ", round" if given.pattern == "round" and sequence != across else ""
        number = len(made) + 1
        if given.share is not None:
            if torque is None or torque.by_hand:
                raise PassError(f"{fastener.name}: a pass of {given.share} % needs a torque, and the card gives none.")
            part, whole = _share_of(torque, given.share), given.share == 100
            made.append(
                TighteningPass(number, f"{given.share:f} %{round_mark}", sequence, part, given.share, is_final=whole)
            )
        elif given.torque is not None:
            label = "snug" if given.torque.by_hand else f"{_figure(given.torque)} {given.torque.unit}{round_mark}"
            target = None if given.torque.by_hand else given.torque
            made.append(TighteningPass(number, label, sequence, target, is_final=_reaches(given.torque, torque)))
        else:
            until = f" at a time until {given.until}" if given.until else " more"
            label = f"{given.angle_deg:f}°{until}{round_mark}"
            made.append(
                TighteningPass(number, label, sequence, angle_deg=given.angle_deg, until=given.until,
                               is_final=given.until is None)
            )  # fmt: skip
    if torque is not None and torque.angle_deg and not any(p.angle_deg and not p.until for p in made):
        made.append(
            TighteningPass(
                len(made) + 1, f"{torque.angle_deg:f}° more", across, angle_deg=torque.angle_deg, is_final=True
            )
        )
    if torque is not None and not torque.by_hand and not any(p.is_final for p in made):
        made.append(
            TighteningPass(len(made) + 1, "100 %", across, _share_of(torque, Decimal(100)), Decimal(100), is_final=True)
        )
    return tuple(made)


def _usual(fastener: Fastener) -> list[Pass]:
    """The passes of a card that gives none."""
    torque = fastener.torque
    snug = Pass(torque=Torque(by_hand=True))
    if torque is None or torque.by_hand:
        return [snug]
    is_across = fastener.order is not None and fastener.order.pattern == "across"
    if not is_across or fastener.count < FEWEST_ACROSS:
        return [Pass(share=Decimal(100))]
    if torque.angle_deg:
        # the turn does the work, and nothing may be turned after it
        return [snug, Pass(share=Decimal(100))]
    return [snug, *(Pass(share=share) for share in SHARES), Pass(share=Decimal(100), pattern="round")]


def _share_of(torque: Torque, share: Decimal) -> Torque:
    """The torque to set for a share of the final one; at 100 % the final itself, without its angle."""
    if share == 100:
        return torque.model_copy(update={"angle_deg": None})
    final = torque.value if torque.low is None else torque.low
    if final is None:
        raise PassError("A share needs a torque with a value.")
    place = Decimal(1) if final >= 20 else Decimal("0.1")
    part = (final * share / 100).quantize(place, rounding=ROUND_DOWN)
    # a share too small for the place is still not nothing
    return Torque(value=part or final * share / 100, unit=torque.unit)


def _reaches(one: Torque, final: Torque | None) -> bool:
    """True where a pass with its own torque is already the card's value."""
    if final is None:
        return not one.by_hand
    return (one.value, one.low, one.high, one.unit) == (final.value, final.low, final.high, final.unit)


def _figure(torque: Torque) -> str:
    if torque.value is not None:
        return f"{torque.value:f}"
    return f"{torque.low:f} to {torque.high:f}" if torque.low is not None and torque.high is not None else ""


PassKind = Literal["snug", "torque", "turn"]


def kind_of(one: TighteningPass) -> PassKind:
    """What is done in a pass: in by hand, to a torque, or a turn."""
    if one.angle_deg is not None:
        return "turn"
    return "torque" if one.target is not None else "snug"
