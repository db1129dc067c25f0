"""What can go wrong in the ear, said to the person: what is wrong, where, what to do."""

from assistant.errors import BayError


class HearingError(BayError):
    """Any trouble in the ear; the message is one line for the person."""


class SoundFileError(HearingError):
    """A sound file that is missing, unreadable, not sound, empty, cut off, or silent."""


class ModelError(HearingError):
    """A recogniser's model that is missing, damaged, or not a model."""
