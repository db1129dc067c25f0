"""Logging torque: a set or one bolt of it, judged against the card."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.card.model import Torque
from assistant.dialogue import finishing
from assistant.dialogue.named import fastener_of
from assistant.dialogue.needs import ask_torque
from assistant.dialogue.pending import pack
from assistant.dialogue.steps import complete, wake_from_pause
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital
from assistant.dialogue.wrench import adapter_in_words
from assistant.fastening.judge import judge_torque
from assistant.fastening.units import TORQUE_UNITS
from assistant.grammar.request import Quantity, Request, SlotValue
from assistant.job.errors import Illegal
from assistant.job.events import BoltsStopped, Torqued
from assistant.job.fastener_rules import MOST_BELIEVABLE
from assistant.voice.wording import say_unit, show_quantity, show_torque


@dataclass(frozen=True, slots=True)
class Stated:
    """A torque as a person states it."""

    fastener: str
    value: Decimal
    unit: str
    """Canonical; empty where none was said."""
    bolt: int | None = None
    then: str = ""
    """`done` where the step is to be completed after it."""
    angle_deg: Decimal | None = None
    reason: str = ""
    """Why it is kept though it is outside the card's."""

    def about(self) -> dict[str, str]:
        """As a question keeps it."""
        return {
            "fastener": self.fastener, "value": str(self.value), "unit": self.unit, "bolt": str(self.bolt or ""),
            "then": self.then, "angle": str(self.angle_deg or ""), "reason": self.reason,
        }  # fmt: skip

    @classmethod
    def of(cls, about: dict[str, str]) -> Stated:
        bolt, angle = about.get("bolt"), about.get("angle")
        return cls(
            about["fastener"], Decimal(about["value"]), about.get("unit", ""), int(bolt) if bolt else None,
            about.get("then", ""), Decimal(angle) if angle else None, about.get("reason", ""),
        )  # fmt: skip


def torqued(view: View, turn: Turn, request: Request) -> Turn:
    """ "Torqued the flywheel bolts to sixty-five newton metres"."""
    thing, asked = fastener_of(view, turn, request, to_log=True)
    if not thing:
        return asked or turn
    value = request.slots.get("value")
    bolt = request.slots.get("bolt")
    question = turn.standing
    waited = question is not None and question.name in ("torque-value", "outside-torque", "angle", "bolts-value")
    then = question.about.get("then", "") if waited and question and question.about.get("fastener") == thing else ""
    if not isinstance(value, Quantity):
        wanted = turn.state.plan.fastener(thing).torque
        if wanted is not None and wanted.by_hand:
            return turn.say("torque-by-hand", fastener=capital(turn.state.plan.name_of(thing)))
        return ask_torque(turn, thing, then)
    angle = request.slots.get("angle")
    angle_deg = angle.value if isinstance(angle, Quantity) else None
    number = bolt if isinstance(bolt, int) else None
    return log_torque(turn, Stated(thing, value.value, value.unit, number, then, angle_deg))


def log_torque(turn: Turn, stated: Stated) -> Turn:
    """Judges the value and logs it; outside the card's it is logged only with a reason."""
    plan = turn.state.plan
    fastener = plan.fastener(stated.fastener)
    wanted = fastener.torque
    name = capital(fastener.name)
    turn = turn.about(stated.fastener)
    if not turn.state.at:
        return turn.not_begun()
    if wanted is not None and wanted.by_hand:
        return turn.settle().say("torque-by-hand", fastener=name)
    unit = stated.unit or (wanted.unit if wanted else "")
    if unit not in TORQUE_UNITS:
        turn = turn.say("torque-wrong-unit", unit=unit) if unit else turn.say("torque-needs-unit")
        return turn.ask("torque-value", fastener=stated.fastener, then=stated.then)
    illegal = _trial(turn, stated, unit)
    if illegal:
        return turn.drop().say("not-recorded", reason=illegal)
    shown = show_quantity(stated.value, unit)
    judged = judge_torque(stated.value, unit, wanted, stated.angle_deg)
    if not 0 < stated.value <= MOST_BELIEVABLE[unit] or judged.verdict == "impossible":
        turn = turn.say("torque-absurd", fastener=name, value=shown, card=_card_says(turn, stated.fastener))
        return turn.ask("torque-value", fastener=stated.fastener, then=stated.then)
    outside = judged.verdict in ("below", "above")
    if outside and not stated.reason and not turn.by_digits and _far_out(stated.value, unit, wanted):
        value = Quantity(stated.value, unit, str(stated.value))
        slots: dict[str, SlotValue] = {"fastener": stated.fastener, "value": value}
        if stated.bolt is not None:
            slots["bolt"] = stated.bolt
        if stated.angle_deg is not None:
            slots["angle"] = Quantity(stated.angle_deg, "deg")
        turn = turn.say("torque-far-out", fastener=name, value=shown, card=_card_says(turn, stated.fastener))
        if turn.standing is None and stated.then:
            turn = turn.ask("torque-value", fastener=stated.fastener, then=stated.then)
        return turn.ask("digits", request=pack(Request("torqued", slots)), slot="value", about=name)
    if outside and not stated.reason and wanted is not None:
        side = bit("under") if judged.verdict == "below" else bit("over")
        other = bit("was-it", value=show_quantity(stated.value, judged.other_unit)) if judged.other_unit else ""
        turn = turn.say("torque-outside", fastener=name, value=shown, side=side, card=show_torque(wanted), other=other)
        return turn.ask("outside-torque", **replace(stated, unit=unit).about())
    if judged.angle_missing is not None and not stated.reason:
        angle = show_quantity(judged.angle_missing, "deg")
        turn = turn.say("torque-then-angle", fastener=name, value=shown, angle=angle)
        return turn.ask("angle", **replace(stated, unit=unit).about())
    turn = wake_from_pause(turn).do(_event(turn, stated, unit, outside))
    turn = _logged_in_words(turn, stated, unit, outside)
    if turn.state.bolting == stated.fastener and stated.bolt is None:
        turn = turn.do(BoltsStopped(stated.fastener))
    turn = turn.settle()
    if stated.then == finishing.WALK:
        return finishing.walk_on(turn, f"not-at-value:{stated.fastener}")
    return complete(turn) if stated.then == "done" and stated.bolt is None else turn


LEAST_BELIEVED = Decimal("0.4")
MOST_BELIEVED = Decimal(2)
"""Times the card's value: beyond these a torque is asked for digit by digit before it is talked about."""


def _far_out(value: Decimal, unit: str, wanted: Torque | None) -> bool:
    """True of a value that a tightened set hardly has. A first pass may be left at half, and no further; a setting
    read in the next unit is a third out and asked about by name: beyond that, a slip is likelier."""
    if wanted is None or wanted.by_hand:
        return False
    judged = judge_torque(value, unit, wanted)
    if judged.other_unit or judged.value is None or judged.low is None or judged.high is None:
        return False
    return judged.value < judged.low * LEAST_BELIEVED or judged.value > judged.high * MOST_BELIEVED


def _event(turn: Turn, stated: Stated, unit: str, outside: bool) -> Torqued:
    return Torqued(
        stated.fastener, stated.value, unit, turn.state.wrench.tool, stated.bolt,
        "outside" if outside else "inside", stated.reason if outside else "",
        adapter_in_words(turn.state, stated.fastener), stated.angle_deg,
    )  # fmt: skip


def _trial(turn: Turn, stated: Stated, unit: str) -> str:
    """Why this cannot be logged now whatever its value: parts that are off, a bolt that is not there."""
    sound = replace(stated, value=Decimal(1))
    try:
        wake_from_pause(turn).do(_event(turn, sound, unit, False))
    except Illegal as no:
        return no.reason
    return ""


def _logged_in_words(turn: Turn, stated: Stated, unit: str, outside: bool) -> Turn:
    fastener = turn.state.plan.fastener(stated.fastener)
    name, shown = capital(fastener.name), show_quantity(stated.value, unit)
    if stated.angle_deg is not None:
        shown = bit("and-angle", value=shown, angle=show_quantity(stated.angle_deg, "deg"))
    if outside:
        turn = turn.say(
            "torqued-outside-kept", fastener=name, value=shown, card=_card_says(turn, stated.fastener),
            reason=stated.reason,
        )  # fmt: skip
    elif stated.bolt is not None:
        turn = turn.say("torqued-bolt", fastener=name, bolt=stated.bolt, value=shown)
    elif fastener.torque is None:
        turn = turn.say("torque-no-value", fastener=name, value=shown)
    else:
        turn = turn.say("torqued", fastener=name, value=shown)
    return turn if stated.unit else turn.say("unit-assumed", unit=say_unit(unit))


def _card_says(turn: Turn, fastener: str) -> str:
    torque = turn.state.plan.fastener(fastener).torque
    return show_torque(torque) if torque is not None else "no value"


def turned(turn: Turn, stated: Stated, angle_deg: Decimal | None) -> Turn:
    """The further turn was made: by the card's angle, or by the one that was said."""
    torque = turn.state.plan.fastener(stated.fastener).torque
    angle = angle_deg if angle_deg is not None else (torque.angle_deg if torque else None)
    return log_torque(turn, replace(stated, angle_deg=angle))


def ask_keep(turn: Turn, stated: Stated) -> Turn:
    """A value outside the card's, with its reason: asks once more."""
    shown = show_quantity(stated.value, stated.unit)
    name = turn.state.plan.name_of(stated.fastener)
    turn = turn.say("keep-outside", fastener=name, value=shown, reason=stated.reason)
    return turn.ask("keep-outside", **stated.about())
