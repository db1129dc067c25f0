"""Time worked: by section, with pauses and the times when the tool was off taken out."""

from __future__ import annotations

from datetime import datetime

from assistant.job.memory import State


def worked_by_section(state: State, now: datetime) -> dict[str, float]:
    """Section id to seconds worked up to `now`; "" is the time before the first step. Sections untouched are out."""
    worked = dict(state.clock.worked)
    last = state.clock.last
    if last is not None and not (state.paused or state.finished or state.handed_over):
        place = state.place
        section = place.section.id if place else ""
        worked[section] = worked.get(section, 0.0) + max(0.0, (now - last).total_seconds())
    return worked


def worked_s(state: State, now: datetime) -> float:
    """Seconds worked in all up to `now`."""
    return sum(worked_by_section(state, now).values())
