"""What the ear listens for now, worked out from the state: a question narrows it, the step makes its names likely."""

from __future__ import annotations

from assistant.dialogue.pending import unpack
from assistant.grammar.live import ALWAYS, QUESTIONS, Ask, Live, Pending, live_for, offered
from assistant.grammar.request import REQUESTS
from assistant.job.memory import State
from assistant.job.records import Question

_BEFORE_STEP = frozenset(("yes", "no", "override", "skip", "next", "back", "go-to", "person"))
_ASKED_MEANWHILE = (ALWAYS | QUESTIONS | {"no"}) - {
    "note", "stuck", "reuse", "parts", "tools", "treatment", "which-way",
}  # fmt: skip
"""While a reason is awaited: who asks for the torque then gives no reason. What is left out has phrases that are good
reasons ("it's seized", "new bolts")."""
_GONE_ON = frozenset((
    "stop-fastener", "start-fastener", "click", "done", "next", "back", "go-to", "finish", "hand-over", "begin",
    "resume",
))  # fmt: skip
"""Whoever says one of these while a reason is awaited gives none: it is taken for what it says."""
_EXTRA: dict[str, frozenset[str]] = {
    "skip-reason": _ASKED_MEANWHILE | _GONE_ON,
    "override-reason": _ASKED_MEANWHILE | _GONE_ON,
    "accept-reason": _ASKED_MEANWHILE | _GONE_ON,
    "hold": _BEFORE_STEP | {"hand-over", "finish"},
    "support": _BEFORE_STEP | {"close"},
    "lift": _BEFORE_STEP,
    "check": frozenset(("override", "back", "measured", "torqued", "part-to-order", "fault-found")),
    "angle": frozenset(("digits", "done", "torqued")),
    "fact": frozenset(("answer", "yes", "no", "back")),
    "torque-value": frozenset((
        "torqued", "start-fastener", "begin", "override", "skip", "adapter", "no-adapter", "wrench-length", "use-tool",
        "torque", "order", "passes", "open", "where",
    )),
    "measure-value": frozenset(("override", "skip", "readings", "what-is", "use-tool", "torque", "where")),
    "outside-torque": frozenset(("torqued", "reason", "accept", "override", "skip")) | _ASKED_MEANWHILE | _GONE_ON,
    "bolts-value": frozenset(("digits", "torqued")),
    "decision": frozenset(("yes", "no", "measured", "readings", "limit")),
    "item": frozenset((
        "yes", "no", "close", "accept", "digits", "torqued", "done", "next", "open", "answer", "measured", "finish",
        "hand-over",
    )),
    "finish-confirm": frozenset(("open",)),
    "timer-length": frozenset(("timer",)),
    "person-name": frozenset(("person", "reason")),
    "who-confirms": _ASKED_MEANWHILE | _GONE_ON | {"override", "skip"},
    "wrench-length": frozenset(("wrench-length", "no-adapter")),
    "confirm": frozenset(),
}  # fmt: skip
"""Beside what the sort of question allows: what answers this one, or rightly interrupts it."""
_PENDING: dict[str, Pending] = {
    "hold": Pending.YES_NO, "support": Pending.YES_NO, "lift": Pending.YES_NO, "check": Pending.YES_NO,
    "angle": Pending.YES_NO, "skip-confirm": Pending.YES_NO, "override-confirm": Pending.YES_NO,
    "confirm": Pending.YES_NO, "bolts-value": Pending.YES_NO, "keep-outside": Pending.YES_NO,
    "accept-confirm": Pending.YES_NO, "finish-confirm": Pending.YES_NO, "item": Pending.YES_NO,
    "torque-value": Pending.NUMBER, "measure-value": Pending.NUMBER, "outside-torque": Pending.NUMBER,
    "timer-length": Pending.NUMBER, "wrench-length": Pending.NUMBER, "digits": Pending.DIGITS,
    "fact": Pending.OPTIONS, "which": Pending.OPTIONS, "decision": Pending.OPTIONS,
    "skip-reason": Pending.WORDS, "override-reason": Pending.WORDS, "accept-reason": Pending.WORDS,
    "person-name": Pending.WORDS, "who-confirms": Pending.WORDS, "note-text": Pending.NOTE,
}  # fmt: skip


TYPED: Live = frozenset(REQUESTS) - {"reason"}
"""What a typed line is tried against when it fits nothing that is live: all but free words."""


def listening(state: State, asleep: bool = False) -> tuple[Ask, Live]:
    """The moment as the grammar knows it, and the requests that are live in it."""
    question = state.question
    pending = _PENDING.get(question.name, Pending.NOTHING) if question is not None else Pending.NOTHING
    options = _options(state)
    ask = Ask(
        pending=Pending.ASLEEP if asleep else pending,
        options=options,
        begun=bool(state.at),
        paused=state.paused,
        bolting=bool(state.bolting),
        timing=bool(state.timers),
        about=about(state),
    )
    live = live_for(ask)
    if asleep or question is None:
        return ask, live
    live |= _EXTRA.get(question.name, frozenset())
    if question.name == "confirm":
        live |= _said_again(question)
    if options and pending is not Pending.OPTIONS:
        live |= offered(options)
    if pending in (Pending.YES_NO, Pending.OPTIONS):
        live |= ALWAYS | QUESTIONS
    return ask, live


def _said_again(question: Question) -> frozenset[str]:
    """ "Did you say: begin?" is often answered by saying it again, or putting it right: "begin", "torqued forty"."""
    return frozenset((unpack(question.about["request"]).name,)) - {"yes", "no", "answer", "digits", "reason"}


def _options(state: State) -> tuple[str, ...]:
    """Ids that the question offers, in the order in which they were said."""
    question = state.question
    if question is None:
        return ()
    match question.name:
        case "fact":
            return tuple(state.the_card.facts[question.about["fact"]].options)
        case "which":
            return tuple(question.about["options"].split())
        case "decision":
            out = state.plan.measure(question.about["measure"]).out
            return tuple(out.options) if out else ()
        case "item" if question.about["item"].startswith("undecided:"):
            out = state.plan.measure(question.about["item"].partition(":")[2]).out
            return tuple(out.options) if out else ()
    return ()


def about(state: State) -> frozenset[str]:
    """Ids of what the moment is about: the things of the step, of the question, and the set being tightened."""
    found = {state.bolting} if state.bolting else set()
    question = state.question
    step = state.at
    if question is not None:
        found |= {question.about.get(slot, "") for slot in ("fastener", "measure", "thing")}
        step = question.about.get("step", "") or step
        if "request" in question.about:
            asked = unpack(question.about["request"]) if question.name != "confirm" else None
            found |= {str(v) for v in asked.slots.values() if isinstance(v, str)} if asked else set()
    if step in state.plan.by_id:
        found |= {deed.thing for deed in state.plan.deeds(step, state.facts)}
        found |= set(state.plan.by_id[step].step.tools)
    return frozenset(found - {""})
