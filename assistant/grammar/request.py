"""What a phrase asks for: the value that leaves the grammar and enters the dialogue.

`REQUESTS` is the whole vocabulary: the grammar files may only name requests that stand here with
these slots, and the dialogue must answer each. A test holds both sides to it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number as it was said, with the unit that was said with it."""

    value: Decimal
    """The number itself; exact, never a float."""
    unit: str = ""
    """Canonical unit name from `fastening.units` ("N·m", "lbf·ft", "mm", "in", ...); empty if none was said."""
    said: str = ""
    """The words, as heard or typed."""


SlotValue = str | int | Quantity


@dataclass(frozen=True, slots=True)
class Request:
    """One thing that a person asks the assistant to do or to answer."""

    name: str
    """A key of REQUESTS."""
    slots: Mapping[str, SlotValue] = field(default_factory=dict)
    """Slot name to value; the slots that REQUESTS allows for this name."""
    words: str = ""
    """The phrase that led here, as the grammar spells it."""
    weight: float = field(default=0.0, compare=False)
    """What the weights of the grammar give this phrase, nats; 0 where it took the likeliest way everywhere."""


# What a slot holds:
#   fastener, measure, thing, tool, item         an id of the card; "a|b" where the name fits several: ask which;
#                                                fastener also "?head bolts": a name of the trade not on this card;
#                                                thing also "?runout": a word of the trade, to be explained
#   option                                       an id that was offered, or an option id of a fact or a decision
#   value, length, angle                         Quantity; its unit is "" where none was said; thousandths are "in"
#   duration                                     Quantity in whole seconds, unit "s"
#   bolt                                         int, from 1
#   step                                         int, the number said; or a step id ("a|b" as above)
#   section                                      "next", "this", or a section id
#   in-unit                                      canonical unit name
#   relation                                     at | over | under
#   text, reason, name                           the person's own words, capitals and marks as written
REQUESTS: Mapping[str, tuple[str, ...]] = {
    # moving through the card
    "begin": (),  # "begin", "start the job"
    "next": (),  # what comes next / read the next step. Does NOT mark the present one done
    "done": (),  # the present step (or bolt) is done
    "back": (),  # one step back (reads it; changes nothing)
    "go-to": ("step",),  # "go to step fourteen"
    "repeat": (),  # read the step again
    "skip": ("reason",),  # reason: free words; asked for when missing
    "where": (),  # where am I
    "left": (),  # what is left, steps and time
    "open": (),  # what is open
    "finish": (),
    "hand-over": (),
    # the step in depth
    "caution": (),
    "how": (),
    "why": (),
    "more": (),
    "stuck": ("fastener",),  # "it does not come off" / "it will not go on"
    "which-tool": (),
    "what-is": ("thing",),  # part, fastener, tool, measure by name; "what is that" without
    "needed": ("section",),  # tools and parts for this or the next section
    "parts": (),
    "tools": (),
    # fasteners
    "torque": ("fastener", "in-unit"),
    "order": ("fastener",),
    "which-bolt": (),  # the one whose turn it is
    "which-way": ("fastener",),  # left-hand thread or not
    "passes": ("fastener",),
    "count": ("fastener",),
    "size": ("fastener",),
    "treatment": ("fastener",),
    "reuse": ("fastener",),
    "fasteners-at": ("value", "relation"),  # relation: at | over | under
    "torqued": ("fastener", "value", "bolt", "angle"),  # "torqued the flywheel bolts to sixty-five newton metres"
    "start-fastener": ("fastener",),  # bolt by bolt
    "stop-fastener": (),
    "click": (),  # the wrench clicked
    "adapter": ("length", "angle"),  # "I'm on a sixty millimetre crowfoot"
    "no-adapter": (),
    "wrench-length": ("length",),
    "use-tool": ("tool",),
    # measuring
    "measured": ("measure", "value"),
    "limit": ("measure",),
    "readings": ("measure",),
    # notes
    "note": ("text", "thing"),  # text: free words after the prefix; empty opens a note
    "part-to-order": ("text", "thing"),
    "fault-found": ("text", "thing"),
    "continue-note": ("text",),
    "end-note": (),
    "read-notes": (),
    "withdraw-note": (),
    # time
    "timer": ("duration", "text"),
    "timers": (),
    "cancel-timer": (),
    "time": (),  # time of day
    "time-worked": (),
    "pause": (),
    "resume": (),
    # putting right and answering
    "undo": (),
    "yes": (),
    "no": (),
    "cancel": (),
    "digits": ("value",),  # a bare number or digits as an answer
    "answer": ("option",),  # an option of a fact, a decision, or a name offered by a question
    "reason": ("text",),  # free words asked for by a question
    "override": ("reason",),
    "accept": ("item", "reason"),  # accept an open item
    "close": ("item",),
    # people and voice
    "person": ("name",),  # "this is Mara"
    "who": (),
    "stop": (),  # stop talking
    "again": (),  # say again
    "louder": (),
    "quieter": (),
    "faster": (),
    "slower": (),
    "terse": (),
    "normal": (),
    "full": (),
    "sounds-on": (),
    "sounds-off": (),
    "sleep": (),
    "wake": (),
    "attention": ("mode",),  # open | name | pedal
    "help": (),  # what can I say
    "can-hear": (),  # "can you hear me"
}
