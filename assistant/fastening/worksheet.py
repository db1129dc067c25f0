"""The bench calculations as worksheets: formula, numbers put in, result, caution. Pure; the commands print them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Context, Decimal

from assistant.card.model import Torque
from assistant.voice.wording import say_quantity, say_torque, show_quantity, show_torque

from .adapter import adapter_setting
from .order import Pattern, TighteningOrder, clock_place, order_for
from .preload import LEAST_SHARE, MOST_SHARE, kilonewtons, plausibility, treatment_named, turn_estimate
from .strength import GradeError, grade_named
from .threads import Thread, ThreadError, thread_named
from .units import DIMENSIONS, TORQUE_UNITS, FasteningError, UnitError, convert, figures, plain, quantity_of, shown_in

MAKERS_WORD = "The maker's service information decides; this is only arithmetic."
MOST_TORQUE = Decimal(1_000_000)
"""In any unit: beyond it lies a slip."""
_SIX = Context(prec=6)
"""Figures of a worked-out number before it is rounded for people."""


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One calculation, ready to be printed or given out as JSON."""

    title: str
    lines: tuple[tuple[str, str], ...]
    """Label and value, in reading order; the result among them."""
    formula: str
    numbers: str
    """The formula with the numbers put in."""
    caution: str = ""
    facts: dict[str, object] = field(default_factory=dict)
    """The same for programs: numbers as strings, exact."""


def torque_read(text: str) -> tuple[Decimal, str]:
    """A torque as typed. Raises UnitError where it is none."""
    value, unit = quantity_of(text)
    if DIMENSIONS[unit] != "torque":
        hint = (
            " Write foot-pounds as lbf-ft." if unit in ("lb", "lbf", "ft") else " Write it like 65 N·m or 110 lbf-ft."
        )
        raise UnitError(f"{figures(value)} {unit} is a {DIMENSIONS[unit]}, not a torque.{hint}")
    if value <= 0:
        raise UnitError(f"{figures(value)} {unit}: a torque is more than nothing.")
    if value > MOST_TORQUE or len(value.as_tuple().digits) > 12:
        raise UnitError(f"{text.strip()}: no bolt is tightened to that. Look at the number again.")
    return value, unit


def torque_sheet(text: str) -> Worksheet:
    """A torque in all units, each with its digits and as spoken."""
    value, unit = torque_read(text)
    shown = {other: shown_in(value, unit, other) for other in TORQUE_UNITS}
    lines = [(other, f'{show_quantity(v, other)}   "{say_quantity(v, other)}"') for other, v in shown.items()]
    others = [other for other in TORQUE_UNITS if other != unit]
    factors = {other: figures(shown_in(Decimal("1.000000"), unit, other)) for other in others}
    exact = {other: figures(convert(value, unit, other)) for other in TORQUE_UNITS}
    formula = "; ".join(f"1 {unit} = {factor} {other}" for other, factor in factors.items())
    numbers = "; ".join(
        f"{figures(value)} × {factor} = {figures(plain(_SIX.plus(convert(value, unit, other))))} {other}"
        for other, factor in factors.items()
    )
    facts: dict[str, object] = {
        "given": {"value": figures(value), "unit": unit},
        "exact": exact,
        "shown": {other: figures(v) for other, v in shown.items()},
        "spoken": {other: say_quantity(v, other) for other, v in shown.items()},
    }
    return Worksheet(
        f"{figures(value)} {unit}", tuple(lines), f"{formula} (NIST SP 811)", numbers,
        "Set the wrench in the unit of the source; what is converted is rounded.", facts,
    )  # fmt: skip


def order_sheet(
    n: int, pattern: Pattern = "across", rows: Sequence[int] | None = None
) -> tuple[Worksheet, TighteningOrder]:
    """A tightening order by number and, on a circle, by clock place."""
    order = order_for(n, pattern, rows)
    groups = "  →  ".join(" ".join(map(str, group)) for group in order.groups)
    lines = [("order", groups), ("loosen", " ".join(map(str, order.loosening)))]
    places = {position: clock_place(position, n) for position in order.sequence} if not order.rows else {}
    if places and all(places.values()):
        lines += [(f"{turn:>3}. bolt {position}", places[position]) for turn, position in enumerate(order.sequence, 1)]
    formula = {
        "across": "cross pattern of ASME PCC-1 (from memory), continued by the same rule to any number",
        "round": "once round the circle",
        "middle-out": "from the middle outwards, sides in turn",
        "as-listed": "as listed",
    }[order.pattern]
    caution = f"Come up in passes: snug, 30 %, 70 %, 100 % across, then 100 % round. {MAKERS_WORD}"
    facts: dict[str, object] = {
        "count": n, "pattern": order.pattern, "sequence": list(order.sequence),
        "groups": [list(group) for group in order.groups],
        "places": {str(position): place for position, place in places.items()},
    }  # fmt: skip
    return Worksheet(f"{n} fasteners, {order.pattern}", tuple(lines), formula, f"n = {n}", caution, facts), order


def length_mm(text: str) -> Decimal:
    """A length as typed, in millimetres; a bare number is millimetres. Raises UnitError."""
    bare = text.strip()
    value, unit = quantity_of(f"{bare} mm" if bare.replace(".", "", 1).isdigit() else bare)
    return convert(value, unit, "mm")


def adapter_sheet(torque: str, wrench: str, adapter: str, angle_deg: Decimal = Decimal(0)) -> Worksheet:
    """The wrench setting with an adapter."""
    value, unit = torque_read(torque)
    target = Torque.model_validate({"value": value, "unit": unit})
    found = adapter_setting(target, length_mm(wrench), length_mm(adapter), angle_deg)
    lines = (
        ("at the bolt", show_torque(target)),
        ("set", f'{show_torque(found.setting)}   "{say_torque(found.setting)}"'),
        ("factor", figures(found.factor.quantize(Decimal("0.0001")))),
    )
    setting = found.setting.value or Decimal(0)
    facts: dict[str, object] = {
        "target": {"value": figures(value), "unit": unit}, "setting": {"value": figures(setting), "unit": unit},
        "factor": figures(found.factor), "wrench_mm": figures(length_mm(wrench)),
        "adapter_mm": figures(length_mm(adapter)), "angle_deg": figures(angle_deg), "spoken": say_torque(found.setting),
    }  # fmt: skip
    return Worksheet(
        "Wrench with adapter", lines, found.formula, found.numbers, f"{found.caution} {MAKERS_WORD}", facts
    )


def preload_words(words: Sequence[str]) -> tuple[Thread, str, Decimal, str, str]:
    """ "M12x1.75 10.9 95 N·m oiled", quoted or not: thread, grade, torque, unit, treatment.

    Raises FasteningError saying which of them is missing or not understood.
    """
    said = " ".join(words).split()
    for at in range(1, len(said)):
        for size in (2, 3, 1):
            words_here = " ".join(said[at : at + size])
            try:
                if DIMENSIONS[quantity_of(words_here)[1]] != "torque":
                    continue
            except UnitError:
                continue
            value, unit = torque_read(words_here)
            thread, grade = _thread_and_grade(said[:at])
            return thread, grade, value, unit, treatment_named(" ".join(said[at + size :]))
    raise UnitError("no torque in it: write thread, class, torque and treatment like M12x1.75 10.9 95 N·m oiled.")


def _thread_and_grade(said: Sequence[str]) -> tuple[Thread, str]:
    wrong: FasteningError = ThreadError("no thread in it: begin with the thread, like M12x1.75 or 1/2-13 UNC.")
    for cut in range(len(said) - 1, 0, -1):
        try:
            thread = thread_named(" ".join(said[:cut]))
        except ThreadError as not_a_thread:
            if cut == 1:
                wrong = not_a_thread
            continue
        return thread, grade_named(" ".join(said[cut:]))
    if len(said) == 1:
        raise GradeError(f"no class or grade after {thread_named(said[0]).designation}: add one, like 8.8 or grade 5.")
    raise wrong


def preload_sheet(words: Sequence[str], angle_deg: Decimal | None = None, grip: str | None = None) -> Worksheet:
    """What a torque does to a bolt, and whether it can be meant."""
    thread, grade, value, unit, treatment = preload_words(words)
    if angle_deg is not None and not 0 < angle_deg <= 720:
        raise FasteningError(f"A turn of {figures(angle_deg)}°: give more than 0 and at most 720.")
    torque = Torque.model_validate({"value": value, "unit": unit, "angle_deg": angle_deg})
    found = plausibility(torque, thread, grade, treatment)
    strength, percent = found.strength, figures(found.share.quantize(Decimal(1)))
    verdict = {
        "plausible": f"plausible: {percent} % of proof load",
        "low": f"low: {percent} % of proof load, less than {LEAST_SHARE} %",
        "high": f"high: {percent} % of proof load, more than {MOST_SHARE} %",
    }[found.verdict]
    if found.other_unit:
        verdict += f". Was {figures(value)} {found.other_unit} meant?"
    lines = [
        ("bolt", f"{thread.designation}, {strength.grade}, {treatment}"),
        ("torque", show_torque(torque)),
        ("nut factor K", f"{figures(found.k.k)} ({found.k.source})"),
        ("preload", f"{kilonewtons(found.preload_n)} kN"),
        ("proof load", f"{kilonewtons(strength.proof_load_n)} kN ({strength.source})"),
        ("ultimate load", f"{kilonewtons(strength.ultimate_load_n)} kN"),
        ("verdict", verdict),
    ]
    if angle_deg is not None:
        turn = turn_estimate(thread, angle_deg, length_mm(grip) if grip else None)
        bound = "" if turn.added_at_most_n is None else f", at most {kilonewtons(turn.added_at_most_n)} kN more"
        lines.append(
            ("turn", f"{figures(turn.travel_mm.quantize(Decimal('0.001')))} mm of travel{bound}. {turn.remark}")
        )
    caution = "One bolt may have a quarter more or less than the next. "
    if found.verdict == "high":
        caution += "Near proof load a bolt may take a set or break: do not go there. "
    elif treatment in ("dry", "as-supplied"):
        caution += "The same torque on an oiled thread overloads it by a third. "
    facts: dict[str, object] = {
        "thread": thread.designation, "grade": strength.grade, "treatment": treatment, "k": figures(found.k.k),
        "torque": {"value": figures(value), "unit": unit}, "stress_area_mm2": figures(thread.stress_area_mm2),
        "preload_n": figures(found.preload_n.quantize(Decimal(1))),
        "proof_load_n": figures(strength.proof_load_n.quantize(Decimal(1))),
        "ultimate_load_n": figures(strength.ultimate_load_n.quantize(Decimal(1))),
        "share_percent": figures(found.share.quantize(Decimal("0.1"))), "verdict": found.verdict,
        "other_unit": found.other_unit, "remark": found.remark,
    }  # fmt: skip
    remark = f" ({found.remark})" if found.remark else ""
    return Worksheet(
        f"{thread.designation} {strength.grade}", tuple(lines), found.formula, found.numbers + remark,
        caution + MAKERS_WORD, facts,
    )  # fmt: skip
