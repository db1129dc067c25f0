"""Going on in spite of what is missing: with a reason, after a yes, and in the report."""

from __future__ import annotations

from assistant.dialogue.view import Turn
from assistant.dialogue.wording import say
from assistant.grammar.request import Request


def override(turn: Turn, step: str, what: str, request: Request) -> Turn:
    """An override needs a reason and a yes."""
    reason = str(request.slots.get("reason", "")).strip()
    named = say(f"what-{what}")
    if not reason:
        return turn.say("ask-override-reason", what=named).ask("override-reason", step=step, what=what)
    turn = turn.say("ask-override", what=named, reason=reason)
    return turn.ask("override-confirm", step=step, what=what, reason=reason)
