"""The steps in their sections, one verb a step."""

from __future__ import annotations

from .story import Telling


def single(step: Telling) -> list[Telling]:
    """One step for each verb: "slide the flange on, then the washer, then the nut" is three."""
    if len({deed.verb for deed in step.deeds}) < 2:
        return [step]
    parts: list[Telling] = []
    for deed in step.deeds:
        if parts and parts[-1].deeds[-1].verb == deed.verb:
            parts[-1].deeds.append(deed)
            continue
        parts.append(Telling([deed], step.said, words=step.words, when=step.when, tools=list(step.tools)))
    parts[0].cautions = step.cautions
    last = parts[-1]
    last.how, last.troubles, last.check, last.why, last.unsure = (
        step.how,
        step.troubles,
        step.check,
        step.why,
        step.unsure,
    )
    return parts


def sections(steps: list[Telling]) -> None:
    """Out, inspect, back in: the cut that leaves the fewest openings behind it and closings before it."""
    opens = [
        sum(deed.verb in ("take_out", "remove", "disconnect", "drain", "loosen") for deed in step.deeds)
        for step in steps
    ]
    closes = [
        sum(deed.verb in ("fit", "connect", "fill", "line_up", "tighten", "start", "snug") for deed in step.deeds)
        for step in steps
    ]
    wrong = sum(opens)
    best, start = wrong, 0
    for number in range(len(steps)):
        wrong += closes[number] - opens[number]
        if wrong < best:
            best, start = wrong, number + 1
    while start and start < len(steps) and not closes[start]:
        start += 1
    looks = ("inspect", "measure", "clean", "check", "apply", "move")
    first_look = start
    while first_look and steps[first_look - 1].deeds[0].verb in looks:
        first_look -= 1
    while first_look < start and steps[first_look].deeds[0].verb == "move":
        first_look += 1
    if not any(deed.verb in ("inspect", "measure", "check") for step in steps[first_look:start] for deed in step.deeds):
        first_look = start
    for number, step in enumerate(steps):
        step.section = "out" if number < first_look else "inspect" if number < start else "back-in"
