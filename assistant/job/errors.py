"""What can go wrong in the job room; one family."""

from assistant.errors import BayError


class JobError(BayError):
    """Base of the family; the message is a sentence for the person."""


class Illegal(JobError):
    """An event that cannot happen in this state; `reason` says why, in the words of the reply."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class UnreadableEvent(JobError):
    """A stored event that this version cannot read: an unknown kind, or a field that is missing or malformed."""
