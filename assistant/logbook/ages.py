"""How old is old: "90d", "12w", "18m", "2y", or a day by its date."""

from __future__ import annotations

import calendar
import re
from datetime import datetime, timedelta

from assistant.logbook.errors import LogbookError


def moment_before(age: str, now: datetime) -> datetime:
    """The moment so long before `now` (aware); a date means its first minute, in the zone of `now`.

    Raises LogbookError for what is neither, and for a moment that has not come yet.
    """
    word = age.strip().lower()
    match = re.fullmatch(r"(\d{1,5})\s*(h|d|w|m|y)[a-z]*", word)
    if match:
        count, unit = int(match[1]), match[2]
        try:
            if unit in "my":
                return _months_before(now, count * (12 if unit == "y" else 1))
            return now - timedelta(hours=count * {"h": 1, "d": 24, "w": 168}[unit])
        except (OverflowError, ValueError):
            raise LogbookError(f"{age!r} is longer ago than any log.") from None
    try:
        day = datetime.fromisoformat(word)
    except ValueError:
        raise LogbookError(f"{age!r} is no age: write 90d, 12w, 18m, 2y, or a day like 2026-03-01.") from None
    moment = day if day.tzinfo else day.replace(tzinfo=now.tzinfo)
    if moment > now:
        raise LogbookError(f"{age} has not come yet.")
    return moment


def _months_before(now: datetime, months: int) -> datetime:
    """The same day some months ago, or the last of that month."""
    years, month = divmod(now.month - 1 - months, 12)
    year, month = now.year + years, month + 1
    return now.replace(year=year, month=month, day=min(now.day, calendar.monthrange(year, month)[1]))
