"""One thing that the check found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning"]

CODES: dict[str, str] = {
    # error: the card cannot be worked as it stands
    "left-open": "something is opened and not closed before the end",
    "not-there": "something is fitted, undone or used that is not there then",
    "still-held": "a part comes off while something still holds it",
    "in-the-way": "something is worked on while another part hides or covers it",
    "part-missing": "a fastener or connection is fitted to a part that is off",
    "unsupported": "the last fastener of a part comes out, or the part moves, with nothing under it",
    "released-early": "a support goes away while what it carries is not fastened",
    "overloaded": "a support carries more than it may",
    "heavy-lift": "a lift over the limit has neither support nor enough people",
    "hold-without-support": "a hold asks about a support that is not in place then",
    "no-torque": "a fastener is tightened and has no value",
    "passes": "passes that do not lead to the value",
    "dead-step": "a step that never applies",
    "dead-action": "an action that never applies",
    "wrong-vehicle": "a step works on a thing that this vehicle does not have",
    "decided-too-late": "a step depends on a decision that comes after it",
    "wrench-range": "a torque wrench cannot set the value",
    "said-otherwise": "a text states another torque than the fastener has",
    "not-sayable": "a name that the grammar cannot take",
    "one-phrase-two-things": "one phrase of the grammar asks for two things",
    # warning: a person must look
    "sounds-alike": "two names that are one swallowed sound apart",
    "torque-implausible": "a preload outside 30 to 90 % of proof load",
    "torque-unchecked": "a torque that cannot be held against its thread",
    "instrument-coarse": "an instrument too coarse for the limits",
    "unit-differs": "units that do not go together",
    "never-used": "something that no step uses",
    "never-asked-for": "a fact on which nothing depends",
    "never-measured": "a measure that is never taken",
    "accepted-in-vain": "a warning is accepted that is not there",
    "unsettled": "a draft's open question",
    "not-proved": "too many combinations of facts: not all were searched",
}
"""Code of a finding to what it means."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """Findings sort by place in the file."""

    file: str
    line: int
    column: int
    code: str
    """A key of CODES."""
    severity: Severity
    message: str
    mend: str
    about: str = ""
    """Id of the thing, fact or step; empty for the card as a whole."""
    facts: tuple[tuple[str, str], ...] = ()
    """A combination of facts under which it happens, only those that matter; empty where it always does.
    The option of a decision that was not taken is "undecided"."""
