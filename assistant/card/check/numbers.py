"""Do the numbers of a card make sense: torque against bolt, passes, wrenches, instruments, units."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from assistant.card.model import Fastener, Measure, Tool, Torque
from assistant.card.written import Path
from assistant.fastening.preload import LEAST_SHARE, MOST_SHARE, fastener_plausibility
from assistant.fastening.units import FasteningError, convert, figures, measures_the_same, unit_named

from .finding import Finding
from .happenings import Row

COARSEST_SHARE = 4
"""An instrument resolves at least a quarter of the span of the limits (common practice; a tenth is better)."""


def number_findings(row: Row) -> Iterator[Finding]:
    for fastener_id, fastener in row.card.fasteners.items():
        path: Path = ("fasteners", fastener_id)
        yield from _has_torque(row, fastener_id, fastener, path)
        yield from _plausible(row, fastener, path)
        yield from _passes(row, fastener, path)
        if fastener.tool is not None:
            yield from _within_wrench(row, fastener, row.card.tools[fastener.tool], path)
    for measure_id, measure in row.card.measures.items():
        yield from _instrument(row, measure, ("measures", measure_id))
    for tool_id, tool in row.card.tools.items():
        yield from _tool_unit(row, tool, ("tools", tool_id))


def _has_torque(row: Row, fastener_id: str, fastener: Fastener, path: Path) -> Iterator[Finding]:
    tightened = [h for h in row.happenings[fastener_id] if h.verb == "tighten"]
    if tightened and fastener.torque is None:
        message = f"Step {tightened[0].number} tightens the {fastener.name}, which have no torque."
        yield row.finding(path, "no-torque", message, 'Give `torque`, if only "snug by hand".')


def _plausible(row: Row, fastener: Fastener, path: Path) -> Iterator[Finding]:
    try:
        judged = fastener_plausibility(fastener)
    except FasteningError as error:
        where = (*path, "thread" if fastener.thread and "thread" in type(error).__name__.lower() else "grade")
        message = f"{fastener.name}: {_sentence(error)}"
        yield row.finding(where, "torque-unchecked", message, "Mend thread or class.", severity="warning")
        return
    if judged is None or judged.verdict == "plausible":
        return
    torque = fastener.torque
    assert torque is not None
    side = f"under {LEAST_SHARE}" if judged.verdict == "low" else f"over {MOST_SHARE}"
    treatment = fastener.treatment.kind if fastener.treatment else "dry"
    message = (
        f"{fastener.name}: {_shown(torque)} on {judged.thread.designation} {judged.strength.grade}, {treatment}, "
        f"gives a preload {side} % of proof load. {judged.numbers}."
    )
    mend = f"Was {_shown(torque.model_copy(update={'unit': judged.other_unit}))} meant?" if judged.other_unit else ""
    mend = mend or "Look up the value again, with thread, class and treatment."
    yield row.finding((*path, "torque"), "torque-implausible", message, mend, severity="warning")


def _shown(torque: Torque) -> str:
    if torque.value is not None:
        number = figures(torque.value)
    else:
        number = f"{figures(torque.low or Decimal(0))} to {figures(torque.high or Decimal(0))}"
    return f"{number} {torque.unit}"


def _sentence(error: Exception) -> str:
    text = str(error)
    return text[:1].upper() + text[1:]


def _passes(row: Row, fastener: Fastener, path: Path) -> Iterator[Finding]:
    torque, passes = fastener.torque, fastener.passes
    last = Decimal(0)
    for n, one in enumerate(passes):
        here: Path = (*path, "passes", n)
        if one.torque is not None and torque is not None and one.torque.unit != torque.unit and not one.torque.by_hand:
            message = f"{fastener.name}: pass {n + 1} is in {one.torque.unit}, the torque in {torque.unit}."
            yield row.finding(here, "unit-differs", message, "State both in the unit of the source.")
            continue
        share = _share(one.share, one.torque, torque)
        if share is None:
            continue
        if share > 100 or share < last:
            wrong = "more than the torque" if share > 100 else "less than the pass before"
            message = f"{fastener.name}: pass {n + 1} is {wrong}."
            yield row.finding(here, "passes", message, "Passes rise to the torque and no further.")
        last = max(last, share)
    if passes and torque is not None and not torque.by_hand:
        if last != 100:
            message = f"{fastener.name}: the passes end at {figures(_short(last))} % of the torque."
            yield row.finding((*path, "passes"), "passes", message, "Add the last pass: `share: 100`.")
        turn = [one.angle_deg for one in passes if one.angle_deg is not None and one.until is None]
        if turn and sum(turn) != (torque.angle_deg or 0):
            total, wanted = figures(sum(turn, start=Decimal(0))), figures(torque.angle_deg or Decimal(0))
            message = f"{fastener.name}: the passes turn {total} degrees, the torque says {wanted}."
            yield row.finding((*path, "passes"), "passes", message, "Make them agree.")


def _share(share: Decimal | None, own: Torque | None, final: Torque | None) -> Decimal | None:
    """Of the final torque, per cent; None where a pass has no number."""
    if share is not None:
        return share
    if own is None or own.by_hand or final is None or final.by_hand:
        return None
    reached, wanted = own.value or own.high, final.value or final.high
    return None if reached is None or wanted is None else reached / wanted * 100


def _within_wrench(row: Row, fastener: Fastener, tool: Tool, path: Path) -> Iterator[Finding]:
    torque = fastener.torque
    if torque is None or torque.by_hand or tool.kind != "torque-wrench" or tool.unit is None:
        return
    try:
        ends = [convert(n, torque.unit, tool.unit) for n in (torque.value, torque.low, torque.high) if n is not None]
    except FasteningError:
        return  # told at the tool
    low, high = tool.low or Decimal(0), tool.high
    if min(ends) < low or (high is not None and max(ends) > high):
        scale = f"{figures(low)} to {figures(high)}" if high is not None else f"from {figures(low)}"
        message = f"{fastener.name}: {_shown(torque)} lies outside the {tool.name}, {scale} {tool.unit}."
        yield row.finding((*path, "tool"), "wrench-range", message, "Name a wrench that reaches it.")
        return
    for n, one in enumerate(fastener.passes):
        share = _share(one.share, one.torque, torque)
        wanted = [end * share / 100 for end in ends] if share is not None else []
        if wanted and max(wanted) < low:
            what = f"pass {n + 1} is {figures(_short(max(wanted)))} {tool.unit}"
            message = f"{fastener.name}: {what}, under what the {tool.name} reads, {figures(low)} {tool.unit}."
            mend = "Begin higher, or name a wrench that reaches from the first pass to the last."
            yield row.finding((*path, "passes", n), "wrench-range", message, mend, severity="warning")


def _short(number: Decimal) -> Decimal:
    """To one decimal place: enough to see where a number lies."""
    return number.quantize(Decimal("0.1")).normalize()


def _instrument(row: Row, measure: Measure, path: Path) -> Iterator[Finding]:
    limits, resolution = measure.limits, measure.resolution
    tool = row.card.tools[measure.tool] if measure.tool is not None else None
    if limits is not None and resolution is not None:
        ends = [end for end in (limits.low, limits.high) if end is not None]
        span = ends[1] - ends[0] if len(ends) == 2 else abs(ends[0])
        if resolution * COARSEST_SHARE > span > 0:
            message = f"{measure.name}: {figures(resolution)} {measure.unit} cannot settle limits {figures(span)} wide."
            mend = "Use an instrument with a resolution of a quarter of that or finer."
            yield row.finding((*path, "resolution"), "instrument-coarse", message, mend, severity="warning")
    if tool is None or tool.unit is None:
        return
    try:
        if not measures_the_same(tool.unit, measure.unit):
            message = f"{measure.name} is in {measure.unit}, the {tool.name} reads {tool.unit}."
            yield row.finding((*path, "tool"), "unit-differs", message, "Name an instrument of that kind.")
            return
        coarse = tool.resolution
        if coarse is not None and resolution is not None and convert(coarse, tool.unit, measure.unit) > resolution:
            message = f"{measure.name}: the {tool.name} resolves no better than {figures(coarse)} {tool.unit}."
            mend = "Name a finer instrument, or give its resolution."
            yield row.finding((*path, "tool"), "instrument-coarse", message, mend, severity="warning")
    except FasteningError:
        return  # told at the tool


def _tool_unit(row: Row, tool: Tool, path: Path) -> Iterator[Finding]:
    if tool.unit is None:
        return
    try:
        unit_named(tool.unit)
    except FasteningError as error:
        message = f"{tool.name}: {_sentence(error)}"
        yield row.finding((*path, "unit"), "unit-differs", message, "Mend the unit.", severity="warning")
