"""What a person is told when a narration cannot be drafted."""

from assistant.errors import BayError


class DraftError(BayError):
    """A narration that holds nothing to draft from, or cannot be read; the message says what, where and what to do."""
