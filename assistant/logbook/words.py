"""One event in one line of plain words: for the log, the replay and the timeline."""

from __future__ import annotations

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


def sort_of(body: Body) -> str:
    """heard | spoken | torque | reading | note | override | step | deed | other: what a filter chooses by."""
    match body:
        case e.Said():
            return "heard"
        case e.Answered():
            return "spoken"
        case e.Torqued() | e.BoltDone():
            return "torque"
        case e.Measured() | e.Decided():
            return "reading"
        case e.Noted():
            return "note"
        case e.Overridden() | e.StepSkipped() | e.ItemAccepted() | e.FinishRefused():
            return "override"
        case e.StepStarted() | e.StepDone():
            return "step"
        case e.ActionDone():
            return "deed"
        case _:
            return "other"


_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]+")


def printable(text: str) -> str:
    """One line with nothing in it that would steer a terminal or turn the writing round."""
    return _CONTROLS.sub(" ", text)


def in_words(event: Event, name: Names) -> str:
    """Empty for what says nothing by itself (an open question's bookkeeping)."""
    return printable(_in_words(event, name))


def _in_words(event: Event, name: Names) -> str:
    body = event.body
    match body:
        case e.JobStarted():
            return f"job begun: {body.title}, revision {body.revision}" + (f", {body.vehicle}" if body.vehicle else "")
        case e.Said():
            return body.heard or body.free or "(nothing understood)"
        case e.Answered():
            return body.reply
        case e.StepStarted():
            return f"{name(body.step)} begun"
        case e.StepDone():
            return f"{name(body.step)} done"
        case e.StepSkipped():
            return f"{name(body.step)} skipped: {body.reason}"
        case e.Confirmed():
            return f"{name(body.step)}: {body.what} confirmed" + (f" by {body.by}" if body.by else "")
        case e.Overridden():
            return f"{name(body.step)}: {body.what} overridden: {body.reason}"
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
        case e.BoltDone():
            return f"{name(body.fastener)}: no. {body.position}, pass {body.pass_no}"
        case e.BoltsStarted():
            return f"{name(body.fastener)}: bolt by bolt"
        case e.BoltsStopped():
            return f"{name(body.fastener)}: bolt by bolt ended"
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
        case e.Finished():
            return "job closed"
        case e.Withdrawn():
            return f"taken back: entry {', '.join(map(str, body.seqs))}"
        case e.PersonChanged():
            return f"{body.name} speaks now"
        case e.HandedOver():
            return f"handed over: {body.summary}"
        case e.Paused():
            return "pause"
        case e.Resumed():
            return "work goes on"
        case e.Reopened():
            return "taken up again"
        case e.TimerSet():
            label = f": {body.label}" if body.label else ""
            return f"timer, {body.seconds} s{label}"
        case e.TimerEnded():
            return "timer rang" if body.how == "rang" else "timer cancelled"
        case e.ToolChosen():
            return f"tool in hand: {name(body.tool)}"
        case e.AdapterSet():
            return f"adapter {figure(body.length_mm)} mm" if body.length_mm is not None else "no adapter"
        case e.ClipsForgotten():
            return f"{len(body.clips)} sound clip(s) removed: {body.why}"
        case _:
            return ""


def _item(item: str, name: Names) -> str:
    kind, _, thing = item.partition(":")
    return f"{name(thing)} ({kind.replace('-', ' ')})"
