"""Everything that is said, in English: one table of templates, and how a list is strung together.

`{name}` is filled in as it is; `{n|step|steps}` becomes "1 step" or "3 steps". A template is one text, or
one for each verbosity. Figures always come in as figures with their unit: the voice makes words of them.
"""

from __future__ import annotations

TEMPLATES: dict[str, str | dict[str, str]] = {
    # beginning
    "welcome": {
        "terse": "{title}. {notice} Say begin.",
        "normal": "{title}, for {vehicle}. {notice} Say begin when you are ready.",
        "full": "{title}, for {vehicle}. {notice} {n|step|steps} on the card. Say begin when you are ready, "
        "and what can I say at any time.",
    },
    "welcome-back": "{title}. We were at step {number} of {total}{person}.",
    "welcome-back-start": "{title}. Not begun yet. Say begin.",
    "welcome-back-finished": "{title} is finished.",
    "pause-was-on": "We were on a break: say resume to go on.",
    "card-caution": "Caution: {caution}",
    "begun-already": "Begun already.",
    "not-begun": "Nothing is begun yet. Say begin.",
    "fact-set": "{answer}, noted.",
    "fact-options": "{ask} Say {options}.",
    "that-is-no-answer": "That is no answer to it.",
    # steps
    "step": {"terse": "{number}: {say}", "normal": "Step {number}: {say}", "full": "Step {number} of {total}: {say}"},
    "section": "{section}.",
    "caution": "Caution: {caution}",
    "no-caution": "No caution for this step.",
    "torque-line": "{fastener}: {torque}.",
    "done": {"terse": "Done.", "normal": "{number} done.", "full": "Step {number} is done."},
    "already-done": "Step {number} is done already.",
    "done-ahead": "Coming: step {number}. {say} Step {now} is not done yet: say done when it is.",
    "last-step": "This is the last step. Say done when it is.",
    "no-step-back": "This is the first step.",
    "no-such-step": "There is no step {number}: the card has {n|step|steps}.",
    "step-not-here": "Step {number} does not apply to this vehicle.",
    "before-not-done": "{n|step before it is|steps before it are} not done.",
    "go-back-to": "Left behind:",
    "all-steps-done": "All steps are done. {open} Say finish.",
    "all-steps-through": "All steps are done or skipped. {open} Say finish.",
    "not-recorded": "Not recorded. {reason}",
    "not-yet": "Not yet. {reason}",
    "in-the-way": "Not recorded. {reason} Put that right, or say override, or skip, and a reason.",
    "not-started": "Not started, then. Say next when it is ready.",
    "held": "Step {number} waits. {ask}",
    "support-missing": "{support}: not in place. In place now?",
    "lift-part": "{part}, {mass}: over {limit}. Is a helper or a jack ready?",
    "lift-people": "This takes {n|person|people}. Is someone with you?",
    "check-open": "Then step {number} is not done. Put it right and say done.",
    "who-second-person": "A second person confirms this: {ask}",
    "who-foreman": "The foreman confirms this: {ask}",
    "section-done": "{section}: done in {time}.",
    "section-through": "{section} is through.",
    "nothing-open": "Nothing is open.",
    "open-count": "{n|item is|items are} open: {summary}.",
    "open-list": "{n|item is|items are} open: {items}.",
    "in-doubt": "in doubt: {item}",
    "all-open-items": "all {n} open items",
    "doubtful-list": "In doubt: {items}.",
    "more-to-come": "{n} more: say more.",
    "no-more": "That is all.",
    # where am I
    "where": "Step {number} of {total}, {section}. {say}{state}",
    "where-done": " It is done.",
    "where-skipped": " It was skipped: {reason}.",
    "left": "{n|step|steps} left, about {time}. In {section}: {m}.",
    "left-none": "No steps are left.",
    # skipping and overriding
    "ask-skip-reason": "Skip step {number}: for what reason?",
    "ask-skip": "Skip step {number}, {reason}?",
    "skipped": "{number} skipped.",
    "not-skipped": "Not skipped.",
    "nothing-to-skip": "There is no step to skip.",
    "ask-override-reason": "Override {what}: for what reason?",
    "ask-override": "Override {what}, {reason}? It will stand in the report.",
    "overridden": "Overridden, in the report.",
    "not-overridden": "Not overridden.",
    "nothing-to-override": "Nothing holds this step: there is nothing to override.",
    "what-hold": "the hold",
    "what-support": "the missing support",
    "what-lift": "the lift",
    "what-torque": "the missing torque",
    "what-measure": "the missing reading",
    "what-check": "the check",
    "what-action": "what cannot be done",
    # fasteners
    "which-of": "Which{what}: {options}?",
    "no-such-fastener": "{words}: not on this card.",
    "no-fastener-here": "Which fastener?",
    "torque": "{fastener}: {torque}.",
    "torque-in": "{fastener}: {torque}; that is {converted}.",
    "torque-none": "{fastener}: no torque on this card.",
    "torque-passes": "In {n|pass|passes}: say passes.",
    "torque-setting": "With the adapter, set the wrench to {setting}.",
    "order": "{fastener}: {order}.",
    "order-none": "{fastener}: no order on this card.",
    "passes": "{fastener}: {passes}.",
    "passes-none": "{fastener}: one pass, to the value.",
    "count": "{fastener}: {count}.",
    "size": "{fastener}: {size}.",
    "size-none": "{fastener}: no size on this card.",
    "treatment": "{fastener}: {treatment}.",
    "treatment-none": "{fastener}: nothing on the threads is asked for.",
    "reuse": "{fastener}: {reuse}.",
    "reuse-none": "{fastener}: the card does not say whether to use it again.",
    "fasteners-at": "{relation} {value}: {fasteners}.",
    "fasteners-at-none": "{relation} {value}: none on this card.",
    "ask-torque-value": {
        "terse": "{fastener}: torqued to what?",
        "normal": "{fastener}: torqued to what? Or say bolt by bolt.",
        "full": "{fastener}: torqued to what? Or say bolt by bolt, and I lead you.",
    },
    "torqued": {
        "terse": "{fastener}: {value}.",
        "normal": "{fastener}: {value}. Logged.",
        "full": "{fastener}: {value}, as the card has it. Logged.",
    },
    "torqued-bolt": "{fastener}, number {bolt}: {value}. Logged.",
    "torqued-outside-kept": "{fastener}: {value}, outside {card}. Kept: {reason}.",
    "unit-assumed": "Taken as {unit}, the card's unit.",
    "torque-outside": "{fastener}: {value} is {side} the card's {card}. {other} "
    "Not logged: say it again, or a reason to keep it.",
    "torque-then-angle": "{fastener}: {value}. And {angle} further, done?",
    "ask-keep-reason": "Keep {value}: for what reason?",
    "torque-absurd": "{fastener}: {value} cannot be right, the card says {card}. Not logged: say it again.",
    "torque-needs-unit": "In which unit? Say it again.",
    "torque-wrong-unit": "{unit} is no unit of torque. Say it again.",
    "torque-no-value": "{fastener}: the card has no value. {value} logged as said.",
    "torque-by-hand": "{fastener}: snug by hand, no value to log.",
    "ask-torque-again": "{fastener}: torqued to what?",
    "keep-outside": "Keep {fastener} at {value}, {reason}?",
    "not-kept": "Not logged.",
    # bolt by bolt
    "bolt-first": "{fastener}, {n|pass|passes}. {pass_name} Number {bolt}{place}.",
    "bolt-pass": "Pass {number}: {target}.",
    "bolt-next": {"terse": "{bolt}{place}.", "normal": "Next {bolt}{place}.", "full": "Next is number {bolt}{place}."},
    "bolt-where": "{fastener}, bolt by bolt: number {bolt}{place}.",
    "bolt-round-done": "Pass {number} done.",
    "bolt-all-done": "{fastener}: all {count} done. All at {value}?",
    "bolt-all-done-plain": "{fastener}: all {count} done.",
    "bolt-stopped": "{fastener}: stopped after {n|bolt|bolts}. Say bolt by bolt to go on.",
    "bolt-not-running": "No set is being worked bolt by bolt.",
    "bolt-back": "Back. Number {bolt}{place}.",
    "bolt-none-back": "This is the first one.",
    # measuring
    "measured": "{measure}: {value}, {verdict}. Logged.",
    "measured-of": "{measure}, {reading} of {of}: {value}.",
    "ask-reading-again": "{measure}, reading {reading} of {of}?",
    "ask-next-reading": "Reading {reading}?",
    "measured-converted": "{measure}: {value}, that is {converted}, {verdict}. Logged.",
    "no-such-measure": "{words}: not measured on this card.",
    "no-measure-here": "Which reading?",
    "ask-measure": "{measure}: what is the reading?",
    "ask-measure-of": "{measure}, {of} readings. The first?",
    "outside-stays-open": "It stays open: put it right and measure again.",
    "limit": "{measure}: {limit}.",
    "limit-taken": "Measured: {readings}.",
    "limit-none": "{measure}: no limit on this card.",
    "readings": "{measure}: {readings}.",
    "readings-none": "{measure}: no reading yet.",
    "verdict-inside": "inside the limit, {limit}",
    "verdict-outside": "out of the limit, {limit}",
    "verdict-too-close": "too close to the limit, {limit}, to call: measure again, or finer",
    "verdict-no-limit": "no limit on the card",
    "ask-decision": "{say} Say {options}.",
    "decided": "{measure}: {option}. Noted.",
    "derived-missing": "{measure} is worked out of others. Missing: {missing}.",
    "measure-wrong-unit": "{measure} is measured in {unit}, not {said}. Say it again.",
    "measure-absurd": "{measure}: {value} cannot be right. Not logged. Say it again.",
    # numbers in doubt
    "ask-digits": "{about}: {first} or {second}? Digit by digit.",
    "ask-digits-bare": "{about}: say the number digit by digit.",
    # notes
    "note-open": "Go ahead.",
    "note-open-about": "Note on the {thing}: go ahead.",
    "noted": "Noted.",
    "noted-about": "Noted, {thing}.",
    "ordered": "On the parts list: {text}.",
    "fault": "Fault noted: {text}.",
    "note-longer": "Added.",
    "no-note": "No notes yet.",
    "notes": "{n|note|notes}. {notes}.",
    "note-withdrawn": "Note taken back: {text}.",
    "nothing-to-continue": "There is no note to go on with.",
    # time
    "timer": "Timer, {time}{label}.",
    "timer-rang": "Time is up{label}.",
    "timers": "{timers}.",
    "timers-none": "No timer runs.",
    "timer-cancelled": "Timer off{label}.",
    "ask-timer": "For how long?",
    "timer-range": "A timer runs from one second to 24 hours.",
    "time": "It is {time}.",
    "worked": "{total} worked: {sections}.",
    "before-first-step": "before the first step",
    "worked-none": "No time worked yet.",
    "paused": "Paused at step {number}. Say resume to go on.",
    "paused-start": "Paused. Say resume to go on.",
    "paused-already": "Paused already. Say resume to go on.",
    "resumed": "Going on after {time}.",
    "not-paused": "Work is not paused.",
    # putting right
    "undone": "Undone: {what}.",
    "nothing-to-undo": "There is nothing to undo.",
    "cannot-undo": "Cannot be undone. {reason}",
    "nothing-asked": "Nothing was asked.",
    "dropped": "Dropped.",
    "say-again": "Say again?",
    "yes-or-no": "Yes or no: {question}",
    "ask-confirm": "Did you say: {words}?",
    "not-that": "Sorry. Say it again.",
    "cannot-now": "Not understood. {help}",
    "did-you-mean": "Not understood. Did you mean: {phrase}?",
    "say-help": "Say: what can I say.",
    # finishing
    "finish-refused": "Not yet. {n|item is|items are} open: {items}.",
    "walk-item": "{item}: {ask}",
    "walk-ask-close": "closed now, or accept with a reason?",
    "walk-ask-torque": "torqued to what, or accept with a reason?",
    "walk-ask-accept": "accept with a reason?",
    "walk-ask-decision": "decide, or accept with a reason?",
    "ask-accept-reason": "Accept {item}: for what reason?",
    "ask-accept": "Accept {item}, {reason}?",
    "accepted": "Accepted.",
    "closed": "{item}: closed.",
    "stays-open": "{item}: stays open.",
    "not-accepted": "Not accepted: it stays open.",
    "no-such-item": "That is not open.",
    "nothing-open-but": "Nothing open{accepted}{skipped}.",
    "ask-finish": "Finish the job?",
    "finish-accepted": ", {n} accepted",
    "finish-skipped": ", {n} in doubt",
    "finished": "Finished. {time} worked. {followups}",
    "follow-up-item": "after {after}, {what}",
    "wear": "{percent} of its wear is used.",
    "follow-up": "Still due: {items}.",
    "not-finished": "Not finished.",
    "finished-already": "The job is finished.",
    "hand-over-not-done": "It is not done yet.",
    "hand-over-done": "It is done.",
    "hand-over-skipped": "It is skipped.",
    "hand-over": "Hand-over. Step {number} of {total}: {say} {state} {open} {doubt} Next: {next}",
    # people and voice
    "person": "Hello {name}. Step {number} next.",
    "person-start": "Hello {name}.",
    "who": "{name} is working. {others}",
    "who-nobody": "Nobody said a name. Say: this is, and the name.",
    "ask-name": "What is the name?",
    "verbosity": {"terse": "Short.", "normal": "Normal.", "full": "In full."},
    "louder": "Louder.",
    "quieter": "Quieter.",
    "faster": "Faster.",
    "slower": "Slower.",
    "sounds-on": "Sounds on.",
    "sounds-off": "Sounds off.",
    "asleep": "Sleeping. Say wake up.",
    "awake": "Awake.",
    "attention-open": "Listening to everything.",
    "attention-name": "Listening for my name.",
    "attention-pedal": "Listening while the pedal is down.",
    "can-hear": "I hear you.",
    "nothing-said": "Nothing was said yet.",
    # the step in depth
    "how-none": "The card does not say more on how.",
    "why-none": "The card does not say why.",
    "stuck": "{sign}: {do} {never}",
    "stuck-none": "The card has nothing on that. Stop and look: do not force it.",
    "what-is": "{name}: {what}",
    "what-is-none": "{name}: the card does not describe it.",
    "no-such-thing": "{words}: not on this card.",
    "what-is-here": "Here: {things}. Ask what one of them is.",
    "tools": "Tools: {tools}.",
    "tools-none": "No tools are named for this.",
    "parts": "Parts: {parts}.",
    "parts-none": "No parts are named for this.",
    "needed": "{section}: {things}.",
    "needed-none": "{section}: nothing special.",
    "help": "{phrases}.",
    # adapter and tool
    "adapter": "Adapter {length}{angle}. {setting}",
    "adapter-setting": "{fastener}: {torque}; set the wrench to {setting}.",
    "ask-wrench-length": "How long is the wrench, grip to drive?",
    "adapter-how-long": "How long is the adapter, centre to centre?",
    "no-adapter": "No adapter. Settings as on the card.",
    "wrench-length": "Wrench {length}. {setting}",
    "tool": "{tool} in use. {warning}",
    "tool-range": "It reaches from {low} to {high}.",
    "no-such-tool": "{words}: not among the card's tools.",
}

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
