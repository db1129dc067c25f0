"""A job told for those who were not there: everything the report, the board and the foreman's pages show.

Pure: made of the job's summary, its events and its card. What was taken back is out of it, and counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import TypeVar

from assistant.card.fault import CardError
from assistant.card.load import load_card_text
from assistant.card.model import Card, FollowUp, Measure
from assistant.fastening.units import UnitError, convert
from assistant.job.events import Body, Decided, Event, Finished, Measured, Overridden, StepSkipped, Torqued, Withdrawn
from assistant.job.open_items import OpenItem, accepted_items, open_items
from assistant.job.plan import Plan
from assistant.job.state import State, salvage
from assistant.logbook.account import (
    Account,
    DepartureLine,
    FollowUpLine,
    NoteLine,
    OpenLine,
    ReadingLine,
    SectionLine,
    StepLine,
    TorqueLine,
)
from assistant.logbook.errors import LogbookError
from assistant.logbook.hours import step_seconds
from assistant.logbook.says import KIND_SAYS, calibration, figure, order_says, passes_says, torque_says
from assistant.logbook.store import JobSummary, Logbook

B = TypeVar("B", bound=Body)


def card_of(logbook: Logbook, job: JobSummary) -> Card:
    """The card as it was when the job began. Raises LogbookError."""
    text = logbook.card_text(job.card_sha256)
    try:
        return load_card_text(text.decode("utf-8-sig"), f"{job.card} (as kept by the job)")
    except (CardError, UnicodeDecodeError) as fault:
        line = str(fault).splitlines()[0] if str(fault) else "not a card"
        raise LogbookError(f"The card that job {job.name} keeps cannot be read by this version: {line}") from fault


def account(logbook: Logbook, job: JobSummary) -> Account:
    """The whole job as it stands. Raises LogbookError."""
    return tell(job, logbook.events(job.name), Plan(card_of(logbook, job)))


def tell(job: JobSummary, events: Sequence[Event], plan: Plan) -> Account:
    """The same of events already read."""
    state, misfits = salvage(plan, events)
    return tell_state(job, events, state, tuple((e.seq, why) for e, why in misfits))


def tell_state(job: JobSummary, events: Sequence[Event], state: State, misfits: tuple[tuple[int, str], ...]) -> Account:
    """The same of a state already folded."""
    card, plan = state.the_card, state.plan
    gone = {seq for e in events if isinstance(e.body, Withdrawn) for seq in e.body.seqs}
    stands = [e for e in events if e.seq not in gone]
    worked = step_seconds(events)
    ended = next((e.at for e in reversed(stands) if isinstance(e.body, Finished)), None)
    steps = tuple(_steps(state, worked))
    return Account(
        job=job,
        title=card.title,
        notice=card.notice,
        maker=card.maker,
        about_vehicle=card.vehicle,
        facts=tuple((card.facts[f].ask, _option(card, f, o)) for f, o in state.facts.items() if f in card.facts),
        ended=ended,
        worked_s=sum(worked.values()),
        finished=state.finished,
        paused=state.paused,
        sections=tuple(_sections(state, steps)),
        steps=steps,
        torques=tuple(_torques(stands, plan)),
        readings=tuple(_readings(stands, plan)),
        notes=tuple(
            NoteLine(
                n.text, n.sort, plan.name_of(n.about) if n.about else "", n.by, n.at, _no(plan, n.step), n.seq, n.clips
            )
            for n in state.notes.values()
        ),
        departures=tuple(_departures(stands, plan)),
        open=tuple(_open(i) for i in open_items(state)),
        accepted=tuple(_open(i) for i in accepted_items(state)),
        follow_ups=follow_ups(state, ended),
        cautions=tuple(_cautions(state)),
        taken_back=len(gone),
        misfits=misfits,
    )


def _option(card: Card, fact: str, option: str) -> str:
    known = card.facts[fact].options.get(option)
    return known.say if known else option


def _no(plan: Plan, step: str) -> int | None:
    place = plan.by_id.get(step)
    return place.number if place else None


def _steps(state: State, worked: dict[str, float]) -> Iterable[StepLine]:
    for place in state.path:
        step, left = place.step, state.steps.get(place.step.id)
        how = left.how if left else ("now" if state.at == step.id and not state.finished else "left")
        yield StepLine(
            number=place.number,
            id=step.id,
            section=place.section.name,
            says=step.say,
            how=how,
            by=left.by if left else "",
            at=left.at if left else None,
            worked_s=worked.get(step.id, 0.0),
            usual_s=float(step.minutes) * 60 if step.minutes is not None else None,
            reason=left.reason if left else "",
            cautions=tuple(step.cautions),
        )


def _sections(state: State, steps: tuple[StepLine, ...]) -> Iterable[SectionLine]:
    for section in state.the_card.sections:
        mine = [s for s in steps if s.section == section.name]
        if not mine:
            continue
        usual = [s.usual_s for s in mine if s.usual_s is not None]
        yield SectionLine(
            name=section.name,
            done=sum(s.how == "done" for s in mine),
            skipped=sum(s.how == "skipped" for s in mine),
            steps=len(mine),
            worked_s=sum(s.worked_s for s in mine),
            usual_s=sum(usual) if usual else None,
        )


def _torques(stands: list[Event], plan: Plan) -> Iterable[TorqueLine]:
    for event, body in _of(stands, Torqued):
        fastener = plan.card.fasteners.get(body.fastener)
        tool = plan.card.tools.get(body.tool) or (plan.card.tools.get(fastener.tool or "") if fastener else None)
        yield TorqueLine(
            fastener=plan.name_of(body.fastener),
            thing=body.fastener,
            size=", ".join(p for p in (fastener.thread, fastener.grade) if p) if fastener else "",
            count=fastener.count if fastener else 1,
            bolt=body.bolt,
            value=body.value,
            unit=body.unit,
            limit=torque_says(fastener.torque) if fastener and fastener.torque else "",
            passes=passes_says(fastener) if fastener else "",
            order=order_says(fastener) if fastener else "",
            tool=tool.name if tool else body.tool,
            calibration=calibration(tool, event.at.date()) if tool else "",
            adapter=body.adapter,
            verdict=body.verdict,
            reason=body.reason,
            by=event.person,
            at=event.at,
            step=_no(plan, event.step),
            seq=event.seq,
            angle_deg=body.angle_deg,
        )


def _readings(stands: list[Event], plan: Plan) -> Iterable[ReadingLine]:
    decided = {body.measure: body.option for _, body in _of(stands, Decided)}
    last = {(body.measure, body.reading): event.seq for event, body in _of(stands, Measured)}
    for event, body in _of(stands, Measured):
        measure: Measure | None = plan.card.measures.get(body.measure)
        limits = measure.limits if measure else None
        option = decided.get(body.measure, "")
        if option and measure and measure.out and option in measure.out.options:
            option = measure.out.options[option].say
        sure = measure.uncertainty if measure else None
        if sure is None and measure and measure.resolution is not None:
            sure = measure.resolution / 2
        yield ReadingLine(
            measure=plan.name_of(body.measure),
            thing=body.measure,
            reading=body.reading,
            of=measure.readings if measure else 1,
            value=body.value,
            unit=body.unit,
            low=limits.low if limits else None,
            high=limits.high if limits else None,
            limit_unit=measure.unit if measure else body.unit,
            nominal=measure.nominal if measure else None,
            uncertainty=sure,
            verdict=body.verdict,
            replaced=last[body.measure, body.reading] != event.seq,
            in_limit_unit=_converted(body.value, body.unit, measure.unit if measure else body.unit),
            decision=option if body.verdict in ("outside", "too-close") else "",
            by=event.person,
            at=event.at,
            step=_no(plan, event.step),
            seq=event.seq,
        )


def _converted(value: Decimal, unit: str, wanted: str) -> Decimal:
    try:
        return convert(value, unit, wanted)
    except UnitError:
        return value


def _departures(stands: list[Event], plan: Plan) -> Iterable[DepartureLine]:
    for event in stands:
        match event.body:
            case StepSkipped(step=step, reason=reason):
                what = "skipped"
            case Overridden(step=step, what=what, reason=reason, by=allowed):
                reason = f"{reason}, allowed by {allowed}" if allowed else reason
            case _:
                continue
        place = plan.by_id.get(step)
        says = place.step.say if place else step
        if place and what == "hold" and place.step.hold:
            says = place.step.hold.ask
        yield DepartureLine(_no(plan, step), says, what, reason, event.person, event.at, event.seq)


def _of(events: list[Event], kind: type[B]) -> Iterable[tuple[Event, B]]:
    for event in events:
        if isinstance(event.body, kind):
            yield event, event.body


def _open(item: OpenItem) -> OpenLine:
    says = KIND_SAYS.get(item.kind, item.kind.replace("-", " "))
    if item.count is not None and item.kind != "steps-left":
        says = f"{item.count} {says}"
    elif item.kind == "steps-left":
        says = f"{item.count} step{'s' if item.count != 1 else ''} left"
    return OpenLine(item.id, item.name, says, item.blocks, item.reason)


def follow_ups(state: State, ended: datetime | None) -> tuple[FollowUpLine, ...]:
    """What is due after the job, for this vehicle; with the day where the job has ended."""
    apply_here = (f for f in state.the_card.follow_ups if state.plan.applies(f.when, state.facts))
    return tuple(_follow_up(f, ended) for f in apply_here)


def _follow_up(follow_up: FollowUp, ended: datetime | None) -> FollowUpLine:
    due = []
    if follow_up.after_km is not None:
        due.append(f"after {figure(follow_up.after_km)} km")
    hours = (follow_up.after_hours or Decimal(0)) + (follow_up.after_days or Decimal(0)) * 24
    if hours:
        text = f"after {figure(hours)} hours" if hours < 48 else f"after {figure(hours / 24)} days"
        if ended is not None:
            on = datetime.fromtimestamp(ended.timestamp() + float(hours) * 3600, tz=ended.tzinfo).astimezone()
            text += f" ({on.day} {on:%B %Y}{f', {on:%H:%M}' if hours < 48 else ''})"
        due.append(text)
    return FollowUpLine(follow_up.say, ", or ".join(due))


def _cautions(state: State) -> Iterable[str]:
    """The card's own, then those of the steps that were begun, each once."""
    begun = [p.step for p in state.path if p.step.id in state.read or p.step.id in state.steps]
    told = [*state.the_card.cautions, *(c for step in begun for c in step.cautions)]
    return dict.fromkeys(told)
