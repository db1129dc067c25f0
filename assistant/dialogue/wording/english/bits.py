"""The small words of English: kinds of things, verbs as things done, parts of sentences, lists and times."""

from __future__ import annotations

ITEMS: dict[str, str] = {
    "part-off": "{name} off",
    "fastener-out": "{name}, {n} out",
    "fastener-loose": "{name}, {n} not tight",
    "not-at-value": "{name} not at value",
    "connection-open": "{name} disconnected",
    "fluid-out": "{name} drained",
    "cover-in": "{name} still in",
    "not-lined-up": "{name} not lined up",
    "support-in-place": "{name} in place",
    "steps-left": "{name}, {n|step|steps} not done",
    "undecided": "{name} out of limit, not decided",
    "not-measured": "{name} not measured",
    "outside-value": "{name} kept outside its value",
    "too-close": "{name} too close to its limit",
    "skipped-step": "{name} skipped",
}
"""An open item in a list."""

ITEM_COUNTS: dict[str, str] = {
    "part-off": "{n|part|parts} off",
    "fastener-out": "{n|set|sets} of fasteners out",
    "fastener-loose": "{n|set|sets} not tight",
    "not-at-value": "{n|set|sets} not at value",
    "connection-open": "{n|connection|connections} open",
    "fluid-out": "{n|fluid|fluids} drained",
    "cover-in": "{n|cover|covers} in",
    "not-lined-up": "{n|mark|marks} not lined up",
    "support-in-place": "{n|support|supports} in place",
    "steps-left": "{n|section|sections} not done",
    "undecided": "{n|reading|readings} undecided",
    "not-measured": "{n|reading|readings} missing",
    "outside-value": "{n|value|values} kept outside",
    "too-close": "{n|reading|readings} too close",
    "skipped-step": "{n|step|steps} skipped",
}
"""Open items counted by kind."""

PAST: dict[str, str] = {
    "loosen": "loosened", "take_out": "taken out", "start": "started", "snug": "snug", "tighten": "tightened",
    "remove": "off", "fit": "fitted", "disconnect": "disconnected", "connect": "connected", "drain": "drained",
    "fill": "filled", "cover": "covered", "uncover": "uncovered", "mark": "marked", "line_up": "lined up",
    "support": "in place", "release": "released", "measure": "measured", "inspect": "inspected", "apply": "applied",
}  # fmt: skip
"""A verb of the card as a thing done."""

TREATMENTS: dict[str, str] = {
    "dry": "dry", "oil": "oiled", "locker-low": "low-strength thread locker",
    "locker-medium": "medium-strength thread locker", "locker-high": "high-strength thread locker",
    "anti-seize": "anti-seize", "sealant": "thread sealant", "grease": "greased", "as-supplied": "as supplied",
}  # fmt: skip

HELP: dict[str, str] = {
    "start": "Say: begin; what tools; what parts; this is, and your name.",
    "step": "Say: done; next; repeat; back; how; why; caution; which tool; skip, and a reason.",
    "bolts": "Say: done or click for each bolt; back for one back; repeat; stop the bolts.",
    "fastener": "Of any fastener: torque, order, passes, how many, what size, what goes on the threads.",
    "record": "To log: torqued, the fastener and the value; measured, the reading and the value; take a note.",
    "job": "And: where am I; what is left; what is open; undo; pause; set a timer; hand over; finish.",
    "question": "Say: yes or no; repeat; cancel.",
    "fact": "Say one of the answers; why; repeat.",
    "which": "Say which one, or cancel.",
    "decision": "Say one of the choices, or cancel.",
    "torque-value": "Say the value; bolt by bolt; override, and a reason; cancel.",
    "measure-value": "Say the reading; override, and a reason; cancel.",
    "outside-torque": "Say the value again, or a reason to keep it; cancel.",
    "digits": "Say the number digit by digit, or cancel.",
    "skip-reason": "Say the reason in your own words, or cancel.",
    "override-reason": "Say the reason in your own words, or cancel.",
    "accept-reason": "Say the reason in your own words, or cancel.",
    "note-text": "Say the note in your own words; end note.",
    "item": "Say: closed; accept, and a reason; cancel.",
    "hold": "Say: yes; no; why; override, and a reason.",
    "support": "Say: yes, it is in place; no; override, and a reason.",
    "who-confirms": "Say the name; no; override, and a reason; cancel.",
    "lift": "Say: yes; no; override, and a reason.",
}
"""What can be said: first what answers the question, or what the moment is about."""

REUSE: dict[str, str] = {"again": "may be used again", "new": "new each time", "check": "use again, new if"}

PASS_UNTIL: dict[str, str] = {
    "snug": "in order until snug",
    "seated": "in order until seated",
    "touching": "in order until it touches",
}

RELATIONS: dict[str, str] = {"at": "At", "over": "Over", "under": "Under"}


def listed(words: list[str], last: str = "and") -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def exact_duration(seconds: float) -> str:
    """As `duration`, with the seconds below ten minutes: "9 min 20 s"."""
    minutes, rest = divmod(int(seconds), 60)
    if not 0 < minutes < 10 or not rest:
        return duration(seconds)
    return f"{minutes} min {rest} s"


def duration(seconds: float) -> str:
    """ "40 s", "12 min", "3 h 10 min"."""
    whole = int(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes = whole // 60
    hours, minutes = divmod(minutes, 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


BITS: dict[str, str] = {
    # of a fastener
    "out-now": "{words}, {n} out",
    "not-counted": "not counted on this card",
    "class": "class {grade}",
    "long": "{length} long",
    "left-hand": "left-hand thread",
    "clean-first": "clean the threads first",
    "starts-at": "{order}. Number 1 is at {start}",
    "in-pass": "{number}, {target}",
    "turn-until": "{angle} at a time, {until}",
    "turn-further": "{angle}, further",
    "by-hand": "snug by hand",
    "once-round": "{target}, once round",
    "off-the-card": "{n} off",
    "through": "through the {parts}",
    "head-for": "{head} for the {fastener}",
    "new-ones": "{n} new {fastener}",
    # of a part or a support
    "part-number": "part number {number}",
    "new-goes-in": "a new one goes in",
    "new-part": "new {part}",
    "carries": "it carries the {parts}",
    "vehicle": "vehicle",
    "never": "Never {words}",
    # lists
    "tools": "Tools: {first}",
    "parts": "Parts: {first}",
    "headed": "{head}: {first}",
    "and-more": "{items}; {n} more",
    "and-in-doubt": ", {n} in doubt",
    # of a reading
    "inside": "inside",
    "outside": "out of limit",
    "too-close": "too close to call",
    "no-limit": "no limit",
    "at-most": "at most {high}",
    "at-least": "at least {low}",
    "between": "{low} to {high}",
    # of a torque
    "under": "under",
    "over": "over",
    "was-it": "Was it {value}?",
    "and-angle": "{value}, and {angle}",
    # of an adapter, as logged
    "adapter-at": "{length} at {angle}",
    "adapter-wrench": "{adapter}, wrench {length}",
    "adapter-set": "{adapter}, set {setting}",
    "at-angle": "at {angle}",
    # of notes, timers, people
    "notes-first": "{n|note|notes}. {first}",
    "note-step": "step {number}",
    "note-part-to-order": "to order",
    "note-fault": "fault",
    "time-left": "{time} left",
    "time-left-for": "{time} left for {label}",
    "before": "Before: {people}.",
    "next-step": "step {number}, {say}",
    "next-finish": "finish.",
    # what a doubtful number is about
    "about-go-to": "Step",
    "about-timer": "Timer",
    "about-number": "The number",
    # what was undone
    "undone-step": "step {number} done",
    "undone-skip": "step {number} skipped",
    "undone-torque": "{fastener} at {value}",
    "undone-bolt-torque": "{fastener} number {bolt} at {value}",
    "undone-reading": "{measure} {value}",
    "undone-decision": "the decision on {measure}",
    "undone-note": "the note, {text}",
    "undone-override": "the override at step {number}",
    "undone-bolt": "{fastener}, number {bolt}",
    "undone-bolts": "{fastener} bolt by bolt",
    "undone-action": "{thing} {done}",
    "undone-yes": "the yes at step {number}",
    "undone-timer": "the timer",
    "undone-adapter": "the adapter",
    "undone-accepted": "{thing} accepted",
    "undone-closed": "{thing} closed",
    "undone-finish": "finishing",
}
"""Parts of sentences."""

DIRECTIONS: dict[str, frozenset[str]] = {
    "this": frozenset(("this", "here", "this section")),
    "next": frozenset(("next", "the next", "next section")),
}
"""What people say for the section that they are in, and for the one after it."""

ALL_OF_THEM = frozenset(("all", "everything"))
