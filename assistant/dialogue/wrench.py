"""What the torque is applied with: adapter, wrench, tool; and the setting that follows."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from assistant.card.model import Tool
from assistant.dialogue.named import here, resolve
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital
from assistant.fastening.adapter import AdapterError, adapter_setting, in_tool_range
from assistant.fastening.tool_due import CalibrationError, calibration_due
from assistant.fastening.units import UnitError, convert
from assistant.grammar.request import Quantity, Request
from assistant.job.errors import Illegal
from assistant.job.events import AdapterSet, ToolChosen
from assistant.job.memory import State
from assistant.voice.wording import show_amount, show_torque


def setting_for(state: State, fastener: str) -> str:
    """The wrench setting with the adapter in use, as shown; empty where none is needed or can be worked out."""
    wrench, torque = state.wrench, state.plan.fastener(fastener).torque
    if wrench.adapter_mm is None or wrench.wrench_mm is None or torque is None:
        return ""
    try:
        corrected = adapter_setting(torque, wrench.wrench_mm, wrench.adapter_mm, wrench.angle_deg)
    except AdapterError:
        return ""
    return show_torque(corrected.setting)


def adapter_in_words(state: State, fastener: str) -> str:
    """For the log: the adapter, the wrench and the setting that they led to; empty without an adapter."""
    wrench = state.wrench
    if wrench.adapter_mm is None:
        return ""
    words = bit("adapter-at", length=show_amount(wrench.adapter_mm, "mm"), angle=show_amount(wrench.angle_deg, "deg"))
    if wrench.wrench_mm is not None:
        words = bit("adapter-wrench", adapter=words, length=show_amount(wrench.wrench_mm, "mm"))
    setting = setting_for(state, fastener)
    return bit("adapter-set", adapter=words, setting=setting) if setting else words


def adapter(view: View, turn: Turn, request: Request) -> Turn:
    """ "I'm on a sixty millimetre crowfoot": every setting from now on is corrected."""
    length = _millimetres(request.slots.get("length"))
    if length is None:
        return turn.say("adapter-how-long")
    angle = _degrees(request.slots.get("angle"))
    try:
        turn = turn.do(AdapterSet(length, angle))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    at = f" {bit('at-angle', angle=show_amount(angle, 'deg'))}" if angle else ""
    turn = turn.say("adapter", length=show_amount(length, "mm"), angle=at, setting="")
    if turn.state.wrench.wrench_mm is None:
        return turn.say("ask-wrench-length").ask("wrench-length")
    return _settings_here(turn)


def no_adapter(view: View, turn: Turn, request: Request) -> Turn:
    return turn.do(AdapterSet(None)).say("no-adapter")


def wrench_length(view: View, turn: Turn, request: Request) -> Turn:
    length = _millimetres(request.slots.get("length"))
    if length is None:
        return turn.say("ask-wrench-length").ask("wrench-length")
    wrench = turn.state.wrench
    try:
        turn = turn.do(AdapterSet(wrench.adapter_mm, wrench.angle_deg, length))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    turn = turn.say("wrench-length", length=show_amount(length, "mm"), setting="")
    return _settings_here(turn)


def _settings_here(turn: Turn) -> Turn:
    """The corrected setting of what this step tightens: both, the torque and the setting."""
    for fastener in here(turn.state, "fastener"):
        setting = setting_for(turn.state, fastener)
        torque = turn.state.plan.fastener(fastener).torque
        if setting and torque is not None:
            turn = turn.say(
                "adapter-setting", fastener=capital(turn.state.plan.name_of(fastener)), torque=show_torque(torque),
                setting=setting,
            )  # fmt: skip
    return turn


def use_tool(view: View, turn: Turn, request: Request) -> Turn:
    """Which torque wrench is in hand: said once, logged with each torque."""
    tool, asked = resolve(view, turn, request, "tool", "tool")
    if not tool:
        return asked or turn.say("no-such-tool", words="That")
    it = view.card.tools[tool]
    uses = sum(1 for record in turn.state.torques if record.tool == tool)
    turn = turn.do(ToolChosen(tool)).say("tool", tool=capital(it.name), warning="")
    return turn.line(_due(it, turn.now, uses)).line(_out_of_reach(turn.state, it))


def _due(tool: Tool, now: datetime, uses: int) -> str:
    """A torque wrench that is due, or soon due, for calibration (ISO 6789)."""
    if tool.kind != "torque-wrench":
        return ""
    try:
        due = calibration_due(tool, now.date(), uses)
    except CalibrationError:
        return ""
    return due.reason if due.state in ("due", "soon") else ""


def _out_of_reach(state: State, tool: Tool) -> str:
    """Said where this step tightens something that the wrench cannot set."""
    if tool.kind != "torque-wrench":
        return ""
    for fastener in here(state, "fastener"):
        torque = state.plan.fastener(fastener).torque
        if torque is None or torque.by_hand:
            continue
        try:
            fit = in_tool_range(torque, tool)
        except UnitError:
            continue
        if not fit.fits:
            return f"{capital(state.plan.name_of(fastener))}: {fit.reason}"
    return ""


def _millimetres(value: object) -> Decimal | None:
    """A length as said, in millimetres; a bare number is millimetres."""
    if isinstance(value, Quantity):
        try:
            return convert(value.value, value.unit or "mm", "mm")
        except UnitError:
            return None
    return Decimal(value) if isinstance(value, int) else None


def _degrees(value: object) -> Decimal:
    if isinstance(value, Quantity):
        return value.value
    return Decimal(value) if isinstance(value, int) else Decimal(0)
