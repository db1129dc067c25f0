"""Torque tools: recalibrate after 12 months or 5,000 uses, whichever comes first (ISO 6789, from memory)."""

from datetime import date

import pytest

from assistant.card.model import Tool
from assistant.fastening.tool_due import CalibrationError, calibration_due


def wrench(calibrated: str | None, uses: int | None = None) -> Tool:
    return Tool(name="torque wrench", kind="torque-wrench", calibrated=calibrated, uses_since=uses)


@pytest.mark.parametrize(
    ("calibrated", "uses", "today", "state"),
    [
        ("2026-03-01", None, date(2026, 6, 1), "in date"),
        ("2026-03-01", None, date(2027, 2, 28), "soon"),
        ("2026-03-01", None, date(2027, 3, 1), "due"),
        ("2026-03-01", 5000, date(2026, 3, 2), "due"),
        ("2026-03-01", 4999, date(2026, 3, 2), "soon"),
        ("2026-03-01", 100, date(2026, 3, 2), "in date"),
        ("2024-02-29", None, date(2025, 2, 28), "due"),
        (None, 10, date(2026, 3, 2), "unknown"),
        (None, 6000, date(2026, 3, 2), "due"),
    ],
)
def test_by_date_or_by_count_whichever_comes_first(
    calibrated: str | None, uses: int | None, today: date, state: str
) -> None:
    assert calibration_due(wrench(calibrated, uses), today).state == state


def test_uses_in_this_job_count() -> None:
    assert calibration_due(wrench("2026-03-01", 4990), date(2026, 3, 2), uses_here=10).state == "due"


def test_a_date_that_is_none() -> None:
    with pytest.raises(CalibrationError, match="torque wrench: '2026-13-45' is no date"):
        calibration_due(wrench("2026-13-45"), date(2026, 3, 2))
