"""Readings: echoed, converted, judged, and what follows from them."""

from __future__ import annotations

from decimal import Decimal

from assistant.card.model import Measure
from assistant.dialogue import finishing
from assistant.dialogue.named import ask_which, here, resolve
from assistant.dialogue.needs import ask_decision, ask_measure, next_reading
from assistant.dialogue.pending import pack
from assistant.dialogue.steps import complete, sources_of, wake_from_pause
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital, say
from assistant.fastening.units import UnitError, convert, figures, measures_the_same, plain, shown_in
from assistant.grammar.request import Quantity, Request
from assistant.job.errors import Illegal
from assistant.job.events import Decided, Measured
from assistant.job.memory import State
from assistant.measuring.derived import Missing, Worked, work_out
from assistant.measuring.limits import MeasuringError, judge_reading
from assistant.measuring.wear import wear_of
from assistant.voice.wording import say_unit, show_amount, show_quantity, show_range

FAR_OUT = Decimal(2)
"""Widths of the tolerance, beyond its ends: wear and bad setting go that far, hardly farther."""
FAR_OUT_SHARE = Decimal("0.1")
"""Of the size itself, for close tolerances: a worn bore of 15 mm is not one of 28."""
FAR_OVER = Decimal(3)
"""Times an upper limit that stands alone: a slipped point or a wrong unit makes ten or 25 times."""
FAR_BELOW = Decimal(2)
"""Times below a lower limit that stands alone: half of the least thickness is past use, less than half a slip."""
TOO_LARGE = Decimal(100)
"""A reading this many times its upper limit was misheard or mistyped: no gauge for the one reads the other."""
TOO_SMALL = Decimal(10)
"""As much below its lower limit, or off its nominal size."""


def measured(view: View, turn: Turn, request: Request) -> Turn:
    """ "Runout four thousandths": the reading that was named, or the one that this step takes."""
    thing, asked = measure_of(view, turn, request)
    if not thing:
        return asked or turn
    value = request.slots.get("value")
    if not isinstance(value, Quantity):
        return ask_measure(turn, thing)
    question = turn.standing
    then = after = ""
    if question is not None and question.name == "measure-value" and question.about.get("measure") == thing:
        then, after = question.about.get("then", ""), question.about.get("for", "")
    if question is not None and question.name == "item" and question.about["item"] == f"undecided:{thing}":
        then = finishing.WALK
    return log_reading(turn, thing, value, then, after)


def measure_of(view: View, turn: Turn, request: Request, *, to_log: bool = True) -> tuple[str, Turn | None]:
    """The measure meant; without a name, the one that the step takes. A question may be about the last reading."""
    thing, asked = resolve(view, turn, request, "measure", "measure")
    if thing or asked is not None:
        return thing, asked
    there = [m for m in here(turn.state, "measure") if m in turn.state.the_card.measures]
    open_ = [m for m in there if len(turn.state.readings.get(m, ())) < turn.state.plan.measure(m).readings]
    if len(open_ or there) == 1:
        return (open_ or there)[0], None
    if there:
        return "", ask_which(turn, request, "measure", open_ or there)
    if turn.state.readings and not to_log:
        return max(turn.state.readings, key=lambda m: max(r.seq for r in turn.state.readings[m])), None
    return "", turn.say("no-measure-here")


def log_reading(turn: Turn, thing: str, value: Quantity, then: str = "", wanted_for: str = "") -> Turn:
    """Judges one reading and logs it, then what follows: the next reading, a derived one, a decision."""
    state = turn.state
    measure = state.plan.measure(thing)
    name = capital(measure.name)
    unit = value.unit or measure.unit
    try:
        fits = measures_the_same(unit, measure.unit)
        inside_unit = convert(value.value, unit, measure.unit) if fits else value.value
    except UnitError:
        fits = False
    if not fits:
        return turn.say("measure-wrong-unit", measure=name, unit=measure.unit, said=unit)
    shown = show_quantity(value.value, unit)
    if _absurd(measure, inside_unit):
        turn = turn.say("measure-absurd", measure=name, value=shown)
        about = {"measure": thing, "then": then, **({"for": wanted_for} if wanted_for else {})}
        return turn.ask("measure-value", **about)
    if not is_plausible(measure, inside_unit) and not turn.by_digits:
        packed = pack(Request("measured", {"measure": thing, "value": Quantity(value.value, unit, value.said)}))
        turn = turn.say("measure-far-out", measure=name, value=shown, limit=limit_in_words(measure))
        if turn.standing is None and (then or wanted_for):
            turn = turn.ask("measure-value", measure=thing, then=then, **({"for": wanted_for} if wanted_for else {}))
        return turn.ask("digits", request=packed, slot="value", about=name)
    judged = judge_reading(measure, value.value, unit).verdict
    number = next_reading(state, thing)
    try:
        turn = wake_from_pause(turn).do(Measured(thing, value.value, unit, judged, number))
    except Illegal as no:
        return turn.say("not-recorded", reason=no.reason)
    words = verdict_in_words(measure, judged)
    if measure.readings > 1 and judged in ("inside", "no-limit"):
        turn = turn.say("measured-of", measure=name, reading=number, of=measure.readings, value=shown)
    elif unit != measure.unit:
        converted = show_quantity(shown_in(value.value, unit, measure.unit), measure.unit)
        turn = turn.say("measured-converted", measure=name, value=shown, converted=converted, verdict=words)
    else:
        turn = turn.say("measured", measure=name, value=shown, verdict=words)
    if not value.unit and unit != "count" and number == 1:
        turn = turn.say("unit-assumed", unit=say_unit(unit))
    turn = turn.settle()
    turn = _worn(turn, measure, value.value, unit)
    if judged == "outside" and measure.out is None:
        turn = turn.say("outside-stays-open")
    return _what_follows(turn, thing, then, wanted_for)


def _worn(turn: Turn, measure: Measure, value: Decimal, unit: str) -> Turn:
    """How much of the wear is used, for those who want it in full."""
    if turn.settings.verbosity != "full":
        return turn
    try:
        worn = wear_of(measure, value, unit)
    except MeasuringError:
        return turn
    return turn.say("wear", percent=f"{worn.used_percent:.0f} %") if worn is not None else turn


def _what_follows(turn: Turn, thing: str, then: str, wanted_for: str) -> Turn:
    state = turn.state
    taken, measure = state.readings.get(thing, ()), state.plan.measure(thing)
    if len(taken) < measure.readings:
        return ask_measure(turn, thing, then)
    if measure.out is not None and thing not in state.decisions and any(r.verdict == "outside" for r in taken):
        return ask_decision(turn, thing, then)
    for derived in _derived_of(state, thing):
        turn = log_derived(turn, derived, then)
        if turn.question is not None and turn.question.question == "decision":
            return turn
    if wanted_for and wanted_for not in turn.state.readings:
        return ask_measure(turn, wanted_for, then)
    return _onward(turn, then, thing)


def _onward(turn: Turn, then: str, thing: str) -> Turn:
    """To what waited for the reading: the step that is to be completed, or the list of open items."""
    if then == finishing.WALK:
        return finishing.walk_on(turn, f"undecided:{thing}")
    return complete(turn) if then == "done" else turn


def _derived_of(state: State, thing: str) -> list[str]:
    """Derived measures, direct or over others, that rest on this one and can be worked out now."""
    found: list[str] = []
    measures = state.the_card.measures
    for derived in measures:
        if state.plan.is_there(derived, state.facts) and thing in sources_of(state, derived):
            worked = worked_out(state, derived)
            if isinstance(worked, Worked):
                found.append(derived)
    return sorted(found, key=lambda d: len(sources_of(state, d)))


def worked_out(state: State, derived: str) -> Worked | Missing | None:
    """The derived reading as far as it can be worked out; None where the card's measures do not allow it."""
    taken = {m: [(r.value, r.unit) for r in readings] for m, readings in state.readings.items()}
    try:
        return work_out(derived, state.the_card.measures, taken)
    except (MeasuringError, UnitError):
        return None


def log_derived(turn: Turn, derived: str, then: str = "") -> Turn:
    """A derived reading, judged and logged like any other."""
    measure = turn.state.plan.measure(derived)
    worked = worked_out(turn.state, derived)
    if not isinstance(worked, Worked):
        return turn
    value = _as_measured(measure, worked.value)
    turn = turn.do(Measured(derived, value, worked.unit, worked.verdict.verdict))
    turn = turn.say(
        "measured", measure=capital(measure.name), value=show_quantity(value, worked.unit),
        verdict=verdict_in_words(measure, worked.verdict.verdict),
    )  # fmt: skip
    if worked.verdict.verdict != "outside":
        return turn
    return turn.say("outside-stays-open") if measure.out is None else ask_decision(turn, derived, then)


def _as_measured(measure: Measure, value: Decimal) -> Decimal:
    """No more figures than the instrument gives."""
    if measure.resolution is None:
        return plain(value.quantize(Decimal("0.001")))
    return plain(value.quantize(measure.resolution))


def decide(turn: Turn, thing: str, option: str, then: str = "") -> Turn:
    """The decision after a reading out of its limits."""
    measure = turn.state.plan.measure(thing)
    out = measure.out
    if out is None:
        return turn.settle()
    turn = turn.do(Decided(thing, option)).settle()
    turn = turn.say("decided", measure=capital(measure.name), option=out.options[option].say)
    return _onward(turn, then, thing)


def limit(view: View, turn: Turn, request: Request) -> Turn:
    thing, asked = measure_of(view, turn, request, to_log=False)
    if not thing:
        return asked or turn
    measure = turn.state.plan.measure(thing)
    if measure.limits is None:
        return turn.say("limit-none", measure=capital(measure.name))
    turn = turn.say("limit", measure=capital(measure.name), limit=limit_in_words(measure, digits=True))
    taken = turn.state.readings.get(thing, ())
    if not taken:
        return turn
    words = "; ".join(f"{show_quantity(r.value, r.unit)}, {bit(r.verdict)}" for r in taken)
    return turn.say("limit-taken", readings=words)


def readings(view: View, turn: Turn, request: Request) -> Turn:
    """The readings of one measure; without a name, of all."""
    state = turn.state
    thing, asked = resolve(view, turn, request, "measure", "measure")
    if asked is not None:
        return asked
    things = [thing] if thing else list(state.readings)
    if not things:
        return turn.say("readings-none", measure="Readings")
    lines = []
    for each in things:
        measure = state.plan.measure(each)
        taken = state.readings.get(each, ())
        if not taken:
            lines.append(say("readings-none", measure=capital(measure.name)))
            continue
        words = [f"{show_quantity(r.value, r.unit)}, {bit(r.verdict)}" for r in taken]
        lines.append(say("readings", measure=capital(measure.name), readings="; ".join(words)))
    rest = lines[READINGS_AT_ONCE:]
    turn = turn.line(" ".join(lines[:READINGS_AT_ONCE]))
    if not rest:
        return turn
    parts = tuple(" ".join(rest[n : n + READINGS_AT_ONCE]) for n in range(0, len(rest), READINGS_AT_ONCE))
    return turn.say("more-to-come", n=len(rest)).going_on(parts)


READINGS_AT_ONCE = 3
"""Measures told in one answer; "more" goes on with the others."""


def verdict_in_words(measure: Measure, judged: str) -> str:
    return say(f"verdict-{judged}", limit=limit_in_words(measure))


def limit_in_words(measure: Measure, digits: bool = False) -> str:
    """ "at most 0.15 mm", "28.4 mm or more", "9 to 11 mm"."""
    show = show_quantity if digits else show_amount
    limits = measure.limits
    if limits is None:
        return ""
    if limits.low is None and limits.high is not None:
        return bit("at-most", high=show(limits.high, measure.unit))
    if limits.high is None and limits.low is not None:
        return bit("at-least", low=show(limits.low, measure.unit))
    if limits.low is None or limits.high is None:
        return ""
    if digits:
        return show_range(limits.low, limits.high, measure.unit)
    return bit("between", low=figures(limits.low), high=show(limits.high, measure.unit))


def is_plausible(measure: Measure, value: Decimal) -> bool:
    """Whether a worn or badly set part could give such a reading, in the measure's unit; by common practice.

    What is merely out of its limit is plausible: that is what is measured for. Asked again, digit by digit, is what
    lies so far out that a slip of the tongue, of the point or of the unit is likelier than such a part.
    """
    limits = measure.limits
    if limits is None or (limits.low is None and limits.high is None):
        return True
    low, high, nominal = limits.low, limits.high, measure.nominal
    if low is not None and high is not None:
        reach = max((high - low) * FAR_OUT, abs(high) * FAR_OUT_SHARE)
        return low - reach <= value <= high + reach
    if high is not None:
        floor = min(Decimal(0), high) if nominal is None else nominal - max(high - nominal, nominal * FAR_OUT_SHARE)
        return high <= 0 or (value <= high * FAR_OVER and (value >= floor or nominal is None))
    if low is None or low <= 0:
        return True
    most = nominal + max((nominal - low), nominal * FAR_OUT_SHARE) if nominal is not None else low * TOO_SMALL
    return low / FAR_BELOW <= value <= most


def _absurd(measure: Measure, value: Decimal) -> bool:
    """Beyond anything that an instrument for this limit could show."""
    limits = measure.limits
    if measure.nominal and not abs(measure.nominal) / TOO_SMALL < abs(value) < abs(measure.nominal) * TOO_SMALL:
        return True
    if limits is None:
        return False
    if limits.low is not None and limits.low > 0 and value < limits.low / TOO_SMALL:
        return True
    return limits.high is not None and limits.high > 0 and value > limits.high * TOO_LARGE
