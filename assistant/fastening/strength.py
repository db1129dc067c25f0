"""How strong a bolt is: property classes of EN ISO 898-1, grades of SAE J429, from memory where not in the tests.

Proof stress is what a bolt carries without taking a set; preload is counted as a share of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from .threads import MM_PER_INCH, Thread
from .units import FasteningError

_KSI = Decimal("6.894757293168361")
"""MPa in a thousand pounds per square inch (NIST SP 811)."""


class GradeError(FasteningError):
    """A class or grade that is not known, or not made in that size."""


@dataclass(frozen=True, slots=True)
class Strength:
    """What a bolt of one thread and class carries."""

    grade: str
    proof_mpa: Decimal
    ultimate_mpa: Decimal
    proof_load_n: Decimal
    """Newtons: proof stress times nominal stress area."""
    ultimate_load_n: Decimal
    """Newtons: the least tensile load at which it may break."""
    source: str


@dataclass(frozen=True, slots=True)
class _Row:
    up_to_mm: Decimal
    """Largest diameter to which the row holds."""
    proof_mpa: Decimal
    ultimate_mpa: Decimal


def _mpa(rows: str) -> tuple[_Row, ...]:
    """ "16:580:800 64:600:830": up to mm, proof, ultimate, in MPa."""
    return tuple(_Row(*map(Decimal, row.split(":"))) for row in rows.split())


def _ksi(rows: str) -> tuple[_Row, ...]:
    """The same in inches and ksi."""
    return tuple(
        _Row(Decimal(up_to) * MM_PER_INCH, Decimal(proof) * _KSI, Decimal(ultimate) * _KSI)
        for up_to, proof, ultimate in (row.split(":") for row in rows.split())
    )


_ISO = "EN ISO 898-1; proof stress from memory"
_SAE = "SAE J429, from memory"
_GRADES: dict[str, tuple[tuple[_Row, ...], str]] = {
    "4.6": (_mpa("64:225:400"), _ISO),
    "5.8": (_mpa("64:380:520"), _ISO),
    "8.8": (_mpa("16:580:800 64:600:830"), _ISO),
    "10.9": (_mpa("64:830:1040"), _ISO),
    "12.9": (_mpa("64:970:1220"), _ISO),
    "grade 2": (_ksi("0.75:55:74 1.5:33:60"), _SAE),
    "grade 5": (_ksi("1:85:120 1.5:74:105"), _SAE),
    "grade 8": (_ksi("1.5:120:150"), _SAE),
    "stainless": (_mpa("24:450:700"), "taken for A2-70 of ISO 3506-1 (0.2 % proof stress), from memory"),
}
GRADES = tuple(_GRADES)


def grade_named(spelling: str) -> str:
    """ "8.8", "class 10.9", "grade 5", "Gr 8", "SAE 5" in the card's spelling. Raises GradeError."""
    text = spelling.casefold().strip()
    for lead in ("property class", "class", "iso"):
        text = text.removeprefix(lead).strip()
    for lead in ("sae grade", "grade", "gr.", "gr", "sae"):
        if text.startswith(lead):
            text = "grade " + text.removeprefix(lead).strip()
            break
    text = {"2": "grade 2", "5": "grade 5", "8": "grade 8", "a2-70": "stainless"}.get(text, text)
    if text not in _GRADES:
        raise GradeError(f"no such class or grade: {spelling.strip()!r}. Known are {', '.join(GRADES)}.")
    return text


def strength_of(thread: Thread, grade: str) -> Strength:
    """Stresses and loads of a bolt. Raises GradeError for sizes that the grade is not made in."""
    name = grade_named(grade)
    rows, source = _GRADES[name]
    row = next((row for row in rows if thread.diameter_mm <= row.up_to_mm), None)
    if row is None:
        raise GradeError(f"{name} is not made in {thread.designation}, by what is known here.")
    area = thread.stress_area_mm2
    return Strength(name, row.proof_mpa, row.ultimate_mpa, row.proof_mpa * area, row.ultimate_mpa * area, source)
