"""What can go wrong in the job room; one family."""


class JobError(Exception):
    """Base of the family; the message is a sentence for the person."""


class Illegal(JobError):  # noqa: N818 - reads as a fact at the call
    """An event that cannot happen in this state; `reason` says why, in the words of the reply."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class UnreadableEvent(JobError):  # noqa: N818
    """A stored event that this version cannot read: an unknown kind, or a field that is missing or malformed."""
