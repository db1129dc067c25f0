"""Threads and strengths against EN ISO 898-1, ISO 261/262, ASME B1.1 and SAE J429."""

import contextlib
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.fastening.strength import GRADES, GradeError, grade_named, strength_of
from assistant.fastening.threads import METRIC_COARSE, METRIC_FINE, UNC, UNF, ThreadError, thread_named
from assistant.fastening.units import convert

D = Decimal

# EN ISO 898-1: nominal stress area, mm²; minimum ultimate tensile load, N, for 8.8, 10.9, 12.9
EN_ISO_898_1 = {
    "M5": ("14.2", 11_350, 14_800, 17_300),
    "M6": ("20.1", 16_100, 20_900, 24_500),
    "M8": ("36.6", 29_200, 38_100, 44_600),
    "M10": ("58.0", 46_400, 60_300, 70_800),
    "M12": ("84.3", 67_400, 87_700, 103_000),
    "M14": ("115", 92_000, 120_000, 140_000),
    "M16": ("157", 125_000, 163_000, 192_000),
    "M18": ("192", 159_000, 200_000, 234_000),
    "M20": ("245", 203_000, 255_000, 299_000),
    "M24": ("353", 293_000, 367_000, 431_000),
}


@pytest.mark.parametrize("name", EN_ISO_898_1)
def test_stress_areas_are_those_of_en_iso_898_1(name: str) -> None:
    assert thread_named(name).stress_area_mm2 == D(EN_ISO_898_1[name][0])


@pytest.mark.parametrize("name", EN_ISO_898_1)
@pytest.mark.parametrize(("grade", "column"), [("8.8", 1), ("10.9", 2), ("12.9", 3)])
def test_ultimate_loads_are_those_of_en_iso_898_1(name: str, grade: str, column: int) -> None:
    """To the rounding of the standard, which is within half of one per cent."""
    printed = EN_ISO_898_1[name][column]
    assert float(strength_of(thread_named(name), grade).ultimate_load_n) == pytest.approx(printed, rel=0.005)


# EN ISO 898-1, proof loads, N; from memory
@pytest.mark.parametrize(
    ("name", "grade", "load"),
    [("M8", "8.8", 21_200), ("M10", "8.8", 33_700), ("M12", "8.8", 48_900), ("M16", "8.8", 91_000),
     ("M20", "8.8", 147_000), ("M8", "10.9", 30_400), ("M10", "10.9", 48_100),
     ("M12", "10.9", 70_000), ("M12", "12.9", 81_800)],
)  # fmt: skip
def test_proof_loads_of_metric_bolts(name: str, grade: str, load: int) -> None:
    assert float(strength_of(thread_named(name), grade).proof_load_n) == pytest.approx(load, rel=0.005)


# SAE J429, proof loads, lbf, coarse threads; from memory
SAE_J429 = [
    ("1/4-20 UNC", 2_700, 3_800),
    ("5/16-18 UNC", 4_450, 6_300),
    ("3/8-16 UNC", 6_600, 9_300),
    ("7/16-14 UNC", 9_050, 12_800),
    ("1/2-13 UNC", 12_100, 17_000),
    ("5/8-11 UNC", 19_200, 27_100),
    ("3/4-10 UNC", 28_400, 40_100),
]


@pytest.mark.parametrize(("name", "five", "eight"), SAE_J429)
def test_proof_loads_are_those_of_sae_j429(name: str, five: int, eight: int) -> None:
    for grade, printed in (("grade 5", five), ("grade 8", eight)):
        pounds = convert(strength_of(thread_named(name), grade).proof_load_n, "N", "lbf")
        assert float(pounds) == pytest.approx(printed, rel=0.005)


# ASME B1.1 tensile stress areas, in²; from memory
@pytest.mark.parametrize(
    ("name", "area"),
    [("1/4-20 UNC", ".0318"), ("1/4-28 UNF", ".0364"), ("3/8-16 UNC", ".0775"), ("3/8-24 UNF", ".0878"),
     ("1/2-13 UNC", ".1419"), ("1/2-20 UNF", ".1599"), ("3/4-10 UNC", ".334"), ("1-8 UNC", ".606")],
)  # fmt: skip
def test_stress_areas_of_unified_threads(name: str, area: str) -> None:
    assert float(thread_named(name).stress_area_mm2) / 645.16 == pytest.approx(float(area), rel=0.006)


# ISO 261, coarse pitches; ISO 262, selected fine pitches
@pytest.mark.parametrize(
    ("size", "coarse", "fine"),
    [("M6", "1", []), ("M8", "1.25", ["1"]), ("M10", "1.5", ["1.25", "1"]), ("M12", "1.75", ["1.5", "1.25"]),
     ("M14", "2", ["1.5"]), ("M16", "2", ["1.5"]), ("M18", "2.5", ["2", "1.5"]), ("M20", "2.5", ["2", "1.5"]),
     ("M24", "3", ["2"]), ("M27", "3", ["2"]), ("M30", "3.5", ["2"]), ("M36", "4", ["3"]), ("M64", "6", ["4"])],
)  # fmt: skip
def test_pitches_are_those_of_iso_261_and_262(size: str, coarse: str, fine: list[str]) -> None:
    thread = thread_named(size)
    assert (thread.pitch_mm, thread.series) == (D(coarse), "coarse")
    for pitch in fine:
        assert thread_named(f"{size}x{pitch}").series == "fine"


@pytest.mark.parametrize(
    ("written", "designation"),
    [
        ("M12x1.75", "M12x1.75"),
        ("m12 × 1.5", "M12x1.5"),
        ("M10", "M10x1.5"),
        ("M10X1.25-6g", "M10x1.25"),
        ("M10 x 1 LH", "M10x1"),
        ("1/2-13 UNC", "1/2-13 UNC"),
        ("1/2-13", "1/2-13 UNC"),
        ("1/2 - 20", "1/2-20 UNF"),
        ('1/2"-13 UNC-2A', "1/2-13 UNC"),
        ("#10-24", "#10-24 UNC"),
        ("1 1/8-7 UNC", "1 1/8-7 UNC"),
        ("1-1/8-7 UNC", "1 1/8-7 UNC"),
        ("1-8 unc", "1-8 UNC"),
    ],
)
def test_designations_are_read_as_they_are_written(written: str, designation: str) -> None:
    thread = thread_named(written)
    assert thread.designation == designation
    assert thread.left_hand == ("LH" in written)
    assert thread_named(thread.designation).pitch_mm == thread.pitch_mm


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("M11", "M11 is no ISO metric size; near it are M10 and M12"),
        ("M10x2", "M10 has no pitch of 2 mm; it has 1.5, 1.25, 1"),
        ("M10x0", "no pitch of 0"),
        ("1/2-14", "1/2 has no 14 threads an inch by the book; it has 1/2-13 UNC and 1/2-20 UNF"),
        ("1/2-13 UNF", "is not UNF"),
        ("5/13-12", "no unified size"),
        ("1/0-12", "not a size"),
        ("bolt", "not a thread: 'bolt'"),
        ("", "not a thread"),
    ],
)
def test_threads_that_are_none_are_refused_with_what_there_is(written: str, says: str) -> None:
    with pytest.raises(ThreadError) as refused:
        thread_named(written)
    assert says in str(refused.value)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(written: str) -> None:
    with contextlib.suppress(ThreadError):
        assert thread_named(written).stress_area_mm2 > 0


@given(st.sampled_from(sorted(METRIC_COARSE)))
def test_the_stress_area_lies_between_core_and_shank(diameter: Decimal) -> None:
    """Between the core (d3 = d - 1.2269 P, ISO 724) and the nominal diameter."""
    import math

    thread = thread_named(f"M{diameter:f}")
    core = math.pi / 4 * float(diameter - D("1.2269") * thread.pitch_mm) ** 2
    assert core * 0.99 < float(thread.stress_area_mm2) < math.pi / 4 * float(diameter) ** 2


def test_a_finer_thread_has_the_larger_stress_area() -> None:
    for diameter, pitches in METRIC_FINE.items():
        coarse = thread_named(f"M{diameter:f}").stress_area_mm2
        assert all(thread_named(f"M{diameter:f}x{p:f}").stress_area_mm2 > coarse for p in pitches)


def test_every_unified_size_is_read_back() -> None:
    for series, table in (("coarse", UNC), ("fine", UNF)):
        for size, count in table.items():
            thread = thread_named(f"{size}-{count:f}")
            assert (thread.series, thread.threads_per_inch) == (series, count)
            assert float(thread.diameter_mm) == pytest.approx(float(size) * 25.4)
            assert thread_named(thread.designation) == thread


@pytest.mark.parametrize(
    ("written", "grade"),
    [("8.8", "8.8"), ("class 10.9", "10.9"), ("Gr 8", "grade 8"), ("SAE grade 5", "grade 5"), ("5", "grade 5")],
)
def test_grades_as_written(written: str, grade: str) -> None:
    assert grade_named(written) == grade


def test_unknown_grades_and_sizes_out_of_range() -> None:
    with pytest.raises(GradeError, match=r"no such class or grade: '9\.9'"):
        grade_named("9.9")
    with pytest.raises(GradeError, match="grade 8 is not made in"):
        strength_of(thread_named("2-4.5 UNC"), "grade 8")


@given(st.sampled_from(GRADES), st.sampled_from([8, 10, 12, 16, 20, 24]))
def test_proof_is_below_ultimate(grade: str, size: int) -> None:
    strength = strength_of(thread_named(f"M{size}"), grade)
    assert 0 < strength.proof_load_n < strength.ultimate_load_n
