"""What can go wrong on the way to the loudspeaker; every message says what to do."""

from assistant.errors import BayError


class VoiceError(BayError):
    """Base of all troubles of the voice. None of them stops a job: the text goes on."""


class NoVoice(VoiceError):
    """Text cannot be turned into sound."""


class NoLoudspeaker(VoiceError):
    """Sound cannot be played."""
