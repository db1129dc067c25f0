"""What a torque does to a bolt: preload by T = K x D x F, and whether that is plausible for its strength.

The nut factor K holds friction and much else; it is the weak place of the formula, and one bolt of a set may
have a quarter more or less preload than the next (common practice). So this judges whether a value can be
meant, not how tight a joint is. Between 30 and 90 % of proof load is taken for plausible.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from assistant.card.model import Fastener, Torque

from .strength import Strength, grade_named, strength_of
from .threads import Thread, thread_named
from .units import TORQUE_UNITS, FasteningError, convert, figures, shown_in

LEAST_SHARE, MOST_SHARE = Decimal(30), Decimal(90)
"""Per cent of proof load between which a preload is plausible."""
YOUNG_STEEL_MPA = Decimal(205_000)
"""Elastic modulus of steel (handbook value)."""


class PreloadError(FasteningError):
    """A preload that cannot be worked out; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class NutFactor:
    """K of T = K x D x F, no unit."""

    k: Decimal
    source: str


NUT_FACTORS: MappingProxyType[str, NutFactor] = MappingProxyType(
    {
        "dry": NutFactor(Decimal("0.20"), "handbook value for plain dry steel, from memory"),
        "as-supplied": NutFactor(Decimal("0.20"), "taken as dry; coatings vary, from memory"),
        "oil": NutFactor(Decimal("0.15"), "handbook value, from memory"),
        "grease": NutFactor(Decimal("0.15"), "taken as oiled, from memory"),
        "anti-seize": NutFactor(Decimal("0.13"), "handbook value 0.12 to 0.13, from memory"),
        "locker-low": NutFactor(Decimal("0.17"), "between dry and oiled, from memory: see the maker's sheet"),
        "locker-medium": NutFactor(Decimal("0.17"), "between dry and oiled, from memory: see the maker's sheet"),
        "locker-high": NutFactor(Decimal("0.17"), "between dry and oiled, from memory: see the maker's sheet"),
        "sealant": NutFactor(Decimal("0.17"), "between dry and oiled, from memory: see the maker's sheet"),
    }
)
"""Treatment (as on the card) to nut factor."""
_TREATMENT_WORDS = {
    "oiled": "oil", "lubricated": "oil", "greased": "grease", "antiseize": "anti-seize", "anti seize": "anti-seize",
    "locker": "locker-medium", "thread locker": "locker-medium", "threadlocker": "locker-medium",
    "threadlock": "locker-medium", "sealed": "sealant", "plain": "dry", "plated": "as-supplied", "": "dry",
}  # fmt: skip


def treatment_named(words: str) -> str:
    """ "oiled" -> "oil". Raises PreloadError with what is known."""
    text = " ".join(words.casefold().split())
    name = _TREATMENT_WORDS.get(text, text)
    if name not in NUT_FACTORS:
        raise PreloadError(f"no such thread treatment: {words.strip()!r}. Known are {', '.join(NUT_FACTORS)}.")
    return name


def preload_n(torque_nm: Decimal, thread: Thread, k: Decimal) -> Decimal:
    """Preload in newtons: F = T / (K x D), D the nominal diameter."""
    return torque_nm / (k * thread.diameter_mm / 1000)


def torque_nm_for(preload: Decimal, thread: Thread, k: Decimal) -> Decimal:
    """Torque in N·m for a preload in newtons: T = K x D x F."""
    return k * thread.diameter_mm / 1000 * preload


@dataclass(frozen=True, slots=True)
class Plausibility:
    """Whether a torque can be meant for its bolt."""

    verdict: Literal["plausible", "low", "high"]
    share: Decimal
    """Preload as a share of proof load, per cent; of the upper end where the torque is a range."""
    share_low: Decimal
    """Of the lower end; equal to `share` for a single value."""
    preload_n: Decimal
    """Newtons, at the upper end."""
    strength: Strength
    thread: Thread
    k: NutFactor
    other_unit: str | None
    """The unit in which the same figure would be plausible; None where none or more than one would."""
    formula: str
    numbers: str
    """The formula with the numbers put in."""
    remark: str = ""
    """What it cannot know, or was taken for granted; may be empty."""


def plausibility(torque: Torque, thread: Thread, grade: str, treatment: str = "dry") -> Plausibility:
    """Judge a torque by the preload that it leads to, 30 to 90 % of proof load.

    Of a torque plus angle only "high" is judged: the angle adds what cannot be known from the torque.
    Raises PreloadError for a torque by hand, GradeError, UnitError.
    """
    low, high = torque.low or torque.value, torque.high or torque.value
    if low is None or high is None:
        raise PreloadError("Snug by hand has no torque to judge.")
    strength, k = strength_of(thread, grade), NUT_FACTORS[treatment_named(treatment)]
    low_share, share = (_share(end, torque.unit, thread, strength, k) for end in (low, high))
    verdict = _verdict(low_share, share, judge_low=torque.angle_deg is None)
    others = []
    if verdict != "plausible":
        for unit in TORQUE_UNITS:
            least, most = (_share(end, unit, thread, strength, k) for end in (low, high))
            if unit != torque.unit and _verdict(least, most) == "plausible":
                others.append(unit)
    force = preload_n(convert(high, torque.unit, "N·m"), thread, k.k)
    newton_metres = figures(shown_in(high, torque.unit, "N·m"))
    remarks = []
    if torque.angle_deg is not None:
        remarks.append(f"the further {figures(torque.angle_deg)}° adds preload that torque cannot tell")
    if strength.grade == "stainless":
        remarks.append("stainless taken for A2-70")
    return Plausibility(
        verdict, share, low_share, force, strength, thread, k, others[0] if len(others) == 1 else None,
        "F = T / (K × D), share = F / (proof stress × stress area)",
        f"F = {newton_metres} N·m / ({figures(k.k)} × {figures(thread.diameter_mm)} mm) = {kilonewtons(force)} kN; "
        f"proof load {figures(strength.proof_mpa.quantize(Decimal(1)))} MPa × "
        f"{figures(thread.stress_area_mm2)} mm² = {kilonewtons(strength.proof_load_n)} kN; "
        f"{figures(share.quantize(Decimal(1)))} % of it",
        "; ".join(remarks),
    )  # fmt: skip


def fastener_plausibility(fastener: Fastener) -> Plausibility | None:
    """The same for a fastener of a card; None where there is nothing to judge by: no torque, thread or class, or
    a thread that seals instead of clamping (plug, clamp, union). Raises ThreadError, GradeError."""
    torque = fastener.torque
    if torque is None or torque.by_hand or not fastener.thread or not fastener.grade:
        return None
    if fastener.kind in ("plug", "clamp", "union"):
        return None
    treatment = fastener.treatment.kind if fastener.treatment else "dry"
    return plausibility(torque, thread_named(fastener.thread), grade_named(fastener.grade), treatment)


def _share(value: Decimal, unit: str, thread: Thread, strength: Strength, k: NutFactor) -> Decimal:
    return preload_n(convert(value, unit, "N·m"), thread, k.k) / strength.proof_load_n * 100


def _verdict(low: Decimal, high: Decimal, judge_low: bool = True) -> Literal["plausible", "low", "high"]:
    if high > MOST_SHARE:
        return "high"
    return "low" if judge_low and low < LEAST_SHARE else "plausible"


def kilonewtons(force_n: Decimal) -> str:
    """Three figures at most, in kN."""
    kn = force_n / 1000
    return figures(kn.quantize(Decimal(1) if kn >= 100 else Decimal("0.1")))


@dataclass(frozen=True, slots=True)
class TurnEstimate:
    """What a turn after the torque can add, at the most."""

    travel_mm: Decimal
    """How far the nut moves along the thread."""
    added_at_most_n: Decimal | None
    """Newtons, if the joint did not give at all and the bolt stayed elastic; None where the grip is not known."""
    remark: str


def turn_estimate(thread: Thread, angle_deg: Decimal, grip_mm: Decimal | None = None) -> TurnEstimate:
    """An upper bound only: F <= E x A x (pitch x angle / 360) / grip.

    The parts give way as well and the bolt may yield, as many bolts tightened by angle are meant to; how much of the
    travel becomes stretch cannot be known from angle and thread. So no preload is claimed.
    """
    travel = thread.pitch_mm * angle_deg / 360
    if grip_mm is None or grip_mm <= 0:
        return TurnEstimate(travel, None, "Without the clamped length nothing can be said about the preload.")
    bound = YOUNG_STEEL_MPA * thread.stress_area_mm2 * travel / grip_mm
    return TurnEstimate(travel, bound, "At most: the parts give way too, and the bolt may yield.")


def lubrication_overload(from_treatment: str, to_treatment: str) -> Decimal:
    """By how many per cent the preload rises when a torque meant for one treatment meets another."""
    before, after = (NUT_FACTORS[treatment_named(words)].k for words in (from_treatment, to_treatment))
    return (before / after - 1) * 100
