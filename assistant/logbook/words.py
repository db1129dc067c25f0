"""One event in one line of plain words: for the log, the replay and the timeline."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable

from assistant.job import events as e
from assistant.job.events import Body, Event
from assistant.logbook.says import VERDICT_SAYS, figure, torqued_says

Names = Callable[[str], str]
"""Id of a step or thing to its name: "step 14", "flywheel bolts"."""

_DONE = {
    "loosen": "loosened", "take_out": "taken out", "start": "started by hand", "snug": "snug by hand",
    "tighten": "tightened", "remove": "off", "fit": "fitted", "disconnect": "parted", "connect": "joined",
    "drain": "drained", "fill": "filled", "cover": "covered", "uncover": "cover out", "mark": "marked",
    "line_up": "lined up", "support": "in place", "release": "away", "inspect": "looked at", "apply": "put on",
}  # fmt: skip


_SORTS: dict[type[Body], str] = {
    e.Said: "heard",
    e.Answered: "spoken",
    e.Torqued: "torque", e.BoltDone: "torque",
    e.Measured: "reading", e.Decided: "reading",
    e.Noted: "note",
    e.Overridden: "override", e.StepSkipped: "override", e.ItemAccepted: "override", e.FinishRefused: "override",
    e.StepStarted: "step", e.StepDone: "step",
    e.ActionDone: "deed",
}  # fmt: skip

_TOLD: dict[type[Body], str] = {
    e.Answered: "{reply}",
    e.StepStarted: "{step} begun",
    e.StepDone: "{step} done",
    e.StepSkipped: "{step} skipped: {reason}",
    e.BoltsStarted: "{fastener}: bolt by bolt",
    e.BoltDone: "{fastener}: no. {position}, pass {pass_no}",
    e.BoltsStopped: "{fastener}: bolt by bolt ended",
    e.ToolChosen: "tool in hand: {tool}",
    e.PersonChanged: "{name} speaks now",
    e.VerbositySet: "answers from now on: {verbosity}",
    e.HandedOver: "handed over: {summary}",
    e.Paused: "pause",
    e.Resumed: "work goes on",
    e.Reopened: "taken up again",
    e.Finished: "job closed",
}
"""Those that are told by their fields alone; the others are told in `_in_words`."""
_IDS = ("step", "fastener", "tool")
"""Fields that hold an id, and are told by its name."""


def sort_of(body: Body) -> str:
    """heard | spoken | torque | reading | note | override | step | deed | other: what a filter chooses by."""
    return _SORTS.get(type(body), "other")


_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]+")


def printable(text: str) -> str:
    """One line with nothing in it that would steer a terminal or turn the writing round."""
    return _CONTROLS.sub(" ", text)


def in_words(event: Event, name: Names) -> str:
    """Empty for what says nothing by itself (an open question's bookkeeping)."""
    return printable(_in_words(event, name))


def _in_words(event: Event, name: Names) -> str:
    body = event.body
    if template := _TOLD.get(type(body)):
        fields = {f.name: getattr(body, f.name) for f in dataclasses.fields(body)}
        return template.format(**fields | {f: name(fields[f]) for f in _IDS if f in fields})
    match body:
        case e.JobStarted():
            return f"job begun: {body.title}, revision {body.revision}" + (f", {body.vehicle}" if body.vehicle else "")
        case e.Said():
            return body.heard or body.free or "(nothing understood)"
        case e.Confirmed():
            return f"{name(body.step)}: {body.what} confirmed" + (f" by {body.by}" if body.by else "")
        case e.Overridden():
            allowed = f", allowed by {body.by}" if body.by else ""
            return f"{name(body.step)}: {body.what} overridden: {body.reason}{allowed}"
        case e.ActionDone():
            many = f"{body.count} of the " if body.count is not None else ""
            how = f", pass {body.pass_no}" if body.pass_no is not None else ""
            much = f", {figure(body.quantity)} {body.unit}" if body.quantity is not None else ""
            return f"{many}{name(body.thing)}: {_DONE.get(body.verb, body.verb)}{how}{much}"
        case e.Torqued():
            bolt = f" no. {body.bolt}" if body.bolt is not None else ""
            told = (
                "" if body.verdict == "inside" else f", {VERDICT_SAYS.get(body.verdict, body.verdict)}: {body.reason}"
            )
            return f"{name(body.fastener)}{bolt}: {torqued_says(body.value, body.unit, body.angle_deg)}{told}"
        case e.Measured():
            told = VERDICT_SAYS.get(body.verdict, body.verdict)
            return f"{name(body.measure)}: {figure(body.value)} {body.unit}, {told}"
        case e.Decided():
            return f"{name(body.measure)}: decided: {body.option.replace('-', ' ')}"
        case e.Noted():
            sort = {"part-to-order": "part to order: ", "fault": "fault found: "}.get(body.sort, "")
            return f"{sort}{body.text}"
        case e.FactSet():
            return f"{body.fact.replace('-', ' ')}: {body.option.replace('-', ' ')}"
        case e.ItemClosed():
            return f"closed: {_item(body.item, name)}"
        case e.ItemAccepted():
            return f"accepted as it is: {_item(body.item, name)}: {body.reason}"
        case e.FinishRefused():
            return f"not closed: {len(body.items)} open"
        case e.Withdrawn():
            return f"taken back: entry {', '.join(map(str, body.seqs))}"
        case e.TimerSet():
            label = f": {body.label}" if body.label else ""
            return f"timer, {body.seconds} s{label}"
        case e.TimerEnded():
            return "timer rang" if body.how == "rang" else "timer cancelled"
        case e.AdapterSet():
            return f"adapter {figure(body.length_mm)} mm" if body.length_mm is not None else "no adapter"
        case e.ClipsForgotten():
            return f"{len(body.clips)} sound clip(s) removed: {body.why}"
        case _:
            return ""


def _item(item: str, name: Names) -> str:
    kind, _, thing = item.partition(":")
    return f"{name(thing)} ({kind.replace('-', ' ')})"
