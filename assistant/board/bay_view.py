"""What the bay's screen shows of one job at one moment. Pure: made of the state, the job's summary and the time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from assistant.board.drawing import drawing
from assistant.board.fit import size_of_step
from assistant.card.model import Fastener, Measure
from assistant.job.events import Answered, ClipsForgotten, Event, Said
from assistant.job.holds import lacking, wanting
from assistant.job.memory import State
from assistant.job.open_items import OpenItem, open_items
from assistant.job.passes import turns_of
from assistant.job.plan import Place
from assistant.logbook.hours import clock_says
from assistant.logbook.says import KIND_SAYS, figure, torque_says
from assistant.logbook.store import JobSummary
from assistant.logbook.tell import follow_ups

QUIET_S = 600.0
"""After so long without a word or deed the board says that the job has gone quiet, seconds."""
OPEN_SHOWN = 5
"""Open items listed; the rest is a number."""
SURE = ((-0.5, 4, "clear"), (-1.2, 3, "fairly clear"), (-2.0, 2, "just clear enough"))
"""Mean natural-log probability a token from which so many of four marks are shown, and in words."""


@dataclass(frozen=True, slots=True)
class Due:
    """What the step asks for that has a value: a set of fasteners, or a measure."""

    name: str
    size: str
    """ "8 × M12x1.5, 10.9 · 16 mm hex"; empty where the card gives none."""
    value: str
    """ "60 N·m + 60°", "at most 0.15 mm"; bolt by bolt, what this pass asks for; empty where there is none."""
    end: str
    """What the set comes to in the end, where this pass asks for something else; empty otherwise."""
    verb: str
    """ "tighten", "loosen", "measure" ..."""
    bolt: int | None
    """The bolt that is due, bolt by bolt; None where they are not gone through one by one."""
    note: str
    """Where it stands: "pass 2 of 3, 30 %", "6 out", "at its value"."""
    drawing: str
    """SVG of the order, with the bolt that is due; empty where the set has none."""
    start: str
    """Where number 1 is; empty where the card does not say."""


@dataclass(frozen=True, slots=True)
class HeardLine:
    """The last thing said, and how sure the ear was."""

    words: str
    marks: int
    """0 to 4."""
    says: str
    """The same in words."""
    reply: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class TimerLine:
    label: str
    ends: datetime


@dataclass(frozen=True, slots=True)
class BayView:
    job: JobSummary
    phase: str
    """not begun | working | paused | handed over | left open | closed"""
    quiet: str
    """Why nothing comes: empty while something does."""
    section: str
    number: int | None
    last_number: int
    says: str
    """The step, as it is read aloud."""
    size: int
    """How large its letters are: index into fit.SIZES."""
    next_number: int | None
    next_says: str
    cautions: tuple[str, ...]
    hold: str
    """A question that keeps the step from beginning or from being done; empty where none does."""
    due: tuple[Due, ...]
    beside: bool
    """Whether a value, a bolt or an order stands beside the step; a name alone stands under it."""
    open: tuple[str, ...]
    open_count: int
    heard: HeardLine | None
    timers: tuple[TimerLine, ...]
    done: int
    steps: int
    worked: str
    later: tuple[tuple[str, str], ...]
    """Once the job is closed: what is due after it, and when."""


def bay_view(job: JobSummary, state: State, recent: Sequence[Event], now: datetime, *, held: bool) -> BayView:
    """`recent`: the job's last events, oldest first, enough to hold the last utterance. `held`: whether a running
    assistant has the job."""
    place = state.place
    path = state.path
    ahead = next((p for p in path if p.step.id not in state.steps and (not place or p is not place)), None)
    cautions, hold = _cautions(state, place), _hold(state, place, ahead)
    due = tuple(_due(state, place)) if place and not state.finished else ()
    quiet = _quiet(job, state, now, held)
    says = place.step.say if place else ahead.step.say if ahead else ""
    after = ahead.step.say if ahead and place else ""
    waiting = [item for item in open_items(state) if item.kind != "steps-left"]
    finished = state.finished
    beside = any(d.value or d.drawing or d.bolt is not None for d in due)
    return BayView(
        job=job,
        phase=_phase(state, held),
        quiet=quiet,
        section=place.section.name if place else "",
        number=place.number if place else None,
        last_number=len(state.plan.places),
        says="" if finished else says,
        size=size_of_step(
            says,
            cautions,
            "" if finished else hold,
            after,
            quiet=bool(quiet),
            beside=beside,
            under=0 if beside else len(due),
        ),
        next_number=ahead.number if ahead and not finished else None,
        next_says=ahead.step.say if ahead and not finished else "",
        cautions=cautions,
        hold="" if finished else hold,
        due=due,
        beside=beside,
        open=tuple(f"{item.name}: {_open_says(item)}" for item in waiting[:OPEN_SHOWN]),
        open_count=len(waiting),
        heard=_heard(recent),
        timers=tuple(TimerLine(t.label, t.ends) for t in sorted(state.timers.values(), key=lambda t: t.ends)),
        done=sum(p.step.id in state.steps for p in path),
        steps=len(path),
        worked=clock_says(sum(state.clock.worked.values())),
        later=tuple((f.says, f.due) for f in follow_ups(state, job.last_at)) if finished else (),
    )


def _phase(state: State, held: bool) -> str:
    if state.finished:
        return "closed"
    if state.handed_over:
        return "handed over"
    if state.paused:
        return "paused"
    if not held:
        return "left open"
    return "working" if state.at else "not begun"


def _quiet(job: JobSummary, state: State, now: datetime, held: bool) -> str:
    since = (now - job.last_at).total_seconds()
    if state.finished or since < 0:
        return ""
    if not held:
        return f"The assistant is not running. Last word {_age(since)} ago."
    if since >= QUIET_S and not state.paused:
        return f"Quiet for {clock_says(since)}."
    return ""


def _age(seconds: float) -> str:
    return f"{int(seconds // 86400)} days" if seconds >= 48 * 3600 else clock_says(seconds)


def _cautions(state: State, place: Place | None) -> tuple[str, ...]:
    if state.finished:
        return ()
    if place is None:
        return tuple(state.the_card.cautions)
    own = list(place.step.cautions)
    for deed in state.plan.deeds(place.step.id, state.facts):
        fastener = state.the_card.fasteners.get(deed.thing)
        connection = state.the_card.connections.get(deed.thing)
        own += [c for c in (fastener and fastener.caution, connection and connection.caution) if c]
    return tuple(dict.fromkeys(own))


def _hold(state: State, place: Place | None, ahead: Place | None) -> str:
    if place is not None and place.step.id not in state.steps:
        missing = wanting(state, place.step.id)
        return missing[0].says if len(missing) == 1 and missing[0].what == "check" else ""
    if ahead is not None:
        missing = lacking(state, ahead.step.id)
        return missing[0].says if missing else ""
    return ""


def _due(state: State, place: Place) -> Iterable[Due]:
    """The fasteners and measures of the step: first the set that is being worked through, then what is not done."""
    deeds = state.plan.deeds(place.step.id, state.facts)
    lines: dict[str, Due] = {}
    for deed in deeds:
        if deed.thing in state.the_card.fasteners:
            before = lines.get(deed.thing)
            if before is None or deed.verb == "tighten":
                lines[deed.thing] = _fastener(state, deed.thing, deed.verb)
        elif deed.verb == "measure":
            lines[deed.thing] = _measure(state, deed.thing)
    if state.bolting and state.bolting not in lines:
        lines[state.bolting] = _fastener(state, state.bolting, "tighten")
    order = sorted(lines, key=lambda thing: (thing != state.bolting, lines[thing].verb not in ("tighten", "measure")))
    return [lines[thing] for thing in order[:4]]


def _fastener(state: State, thing: str, verb: str) -> Due:
    fastener = state.plan.fastener(thing)
    size = [f"{fastener.count} × {fastener.thread or fastener.kind}"]
    size[0] += f", {fastener.grade}" if fastener.grade else ""
    if fastener.head:
        size.append(fastener.head)
    if fastener.left_hand:
        size.append("LEFT-HAND thread")
    tighten = verb == "tighten"
    value = torque_says(fastener.torque) if tighten and fastener.torque else ""
    shows_order = tighten and fastener.count > 1 and (fastener.order is not None or state.bolting == thing)
    due, done, note, now = _standing(state, thing, verb, fastener)
    return Due(
        name=fastener.name,
        # bolt by bolt the socket is on the wrench already: the room goes to the order
        size=" · ".join(size[1:] if state.bolting == thing and size[1:] else size),
        value=now or value,
        end=value if now and now != value else "",
        verb=_VERBS.get(verb, verb.replace("_", " ")),
        bolt=due if state.bolting == thing else None,
        note=note,
        drawing=drawing(fastener, due, done) if shows_order else "",
        start=fastener.order.start if fastener.order and fastener.order.start else "",
    )


_VERBS = {"start": "start by hand", "snug": "snug by hand"}


def _standing(state: State, thing: str, verb: str, fastener: Fastener) -> tuple[int | None, frozenset[int], str, str]:
    """Which bolt is due, which are behind us in this pass, where the set stands, in words, and, bolt by bolt, what
    this pass asks for: the wrench is set to that, and it must be the number that is seen from afar."""
    it = state.fastener(thing)
    if verb == "tighten":
        turns = turns_of(fastener)
        gone = len(it.bolts)
        if it.reached:
            return None, frozenset(range(1, it.count + 1)), "at its value", ""
        if state.bolting == thing and gone < len(turns):
            now, position = turns[gone]
            done = frozenset(p for n, p in it.bolts if n == now.number)
            asked = torque_says(now.target) if now.target is not None else now.label
            part = f", {now.label}" if now.label not in asked else ""
            return position, done, f"pass {now.number} of {turns[-1][0].number}{part}", asked
        first = turns[0][1] if turns else None
        return first, it.at_value, f"{len(it.at_value)} of {it.count} at their value" if it.at_value else "", ""
    where = [f"{n} {word}" for n, word in ((it.out, "out"), (it.loose, "loose"), (it.started, "started")) if n]
    return None, frozenset(), ", ".join(where), ""


def _measure(state: State, thing: str) -> Due:
    measure = state.plan.measure(thing)
    got = state.readings.get(thing, ())
    readings = ", ".join(figure(r.value) for r in got)
    worst = next((v for v in ("outside", "too-close") if any(r.verdict == v for r in got)), "")
    told = {"outside": " - OUTSIDE", "too-close": " - too close to tell"}.get(worst, "")
    many = f"{len(got)} of {measure.readings} read: {readings}{told}" if got else ""
    size = f"{measure.readings} readings" if measure.readings > 1 else ""
    return Due(measure.name, size, limit_says(measure), "", "measure", None, many, "", "")


def limit_says(measure: Measure) -> str:
    low: Decimal | None = measure.limits.low if measure.limits else None
    high: Decimal | None = measure.limits.high if measure.limits else None
    if low is not None and high is not None:
        return f"{figure(low)} to {figure(high)} {measure.unit}"
    if high is not None:
        return f"at most {figure(high)} {measure.unit}"
    return f"at least {figure(low)} {measure.unit}" if low is not None else ""


_SHORT = {"part-off": "off", "fastener-loose": "not tight", "cover-in": "still in", "support-in-place": "in place"}
"""Shorter than in the report: the name is what counts from afar."""


def _open_says(item: OpenItem) -> str:
    says = _SHORT.get(item.kind) or KIND_SAYS.get(item.kind, item.kind.replace("-", " "))
    return f"{item.count} {says}" if item.count is not None else says


def _heard(recent: Sequence[Event]) -> HeardLine | None:
    said = next((e for e in reversed(recent) if isinstance(e.body, Said)), None)
    own = next((e for e in reversed(recent) if isinstance(e.body, Answered)), None)
    if said is None or not isinstance(said.body, Said):
        return None
    body = said.body
    marks, says = sureness(body)
    reply, at = body.reply, said.at
    if own is not None and own.seq > said.seq and isinstance(own.body, Answered):
        reply, at = own.body.reply, own.at
    return HeardLine(body.heard or body.free, marks, says, reply, said.person, at)


def sureness(body: Said) -> tuple[int, str]:
    """Marks out of four, and the same in words."""
    match body.decision:
        case "typed":
            return 4, "typed"
        case "ignore":
            return 0, "not meant for the assistant"
        case "again":
            return 1, "not understood, asked again"
    words = next(((n, says) for least, n, says in SURE if body.score is not None and body.score >= least), None)
    marks, says = words or (1, "doubtful")
    return (marks, f"{says}, asked to confirm") if body.decision == "confirm" else (marks, says)


def is_of_the_job(event: Event) -> bool:
    """False for what retention wrote: it is no sign of life."""
    return not isinstance(event.body, ClipsForgotten)
