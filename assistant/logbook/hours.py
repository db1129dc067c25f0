"""How long was worked at what, from the events' times. Pauses, and times when the tool was off, are out."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.job.events import ClipsForgotten, Event, Finished, HandedOver, Paused, Reopened, Resumed, StepStarted


def step_seconds(events: Iterable[Event]) -> dict[str, float]:
    """Step id to seconds; what came before the first step is under "".

    The time between two events belongs to the step that was the present one after the first of them. A clock that
    was set back adds nothing.
    """
    spent: dict[str, float] = {}
    last, step, working = None, "", True
    for event in events:
        if isinstance(event.body, ClipsForgotten):
            continue
        if last is not None and working and not isinstance(event.body, Reopened):
            seconds = (event.at - last).total_seconds()
            if seconds > 0:
                spent[step] = spent.get(step, 0.0) + seconds
        match event.body:
            case Paused() | HandedOver() | Finished():
                working = False
            case Resumed() | StepStarted():
                working = True
        step = event.body.step if isinstance(event.body, StepStarted) else (event.step or step)
        last = event.at if last is None else max(event.at, last)
    return spent


def clock_says(seconds: float) -> str:
    """ "1 h 05 min", "12 min", "40 s"."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes = round(whole / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
