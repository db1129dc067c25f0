"""What can keep the board from being served."""

from __future__ import annotations

from assistant.errors import BayError


class BoardError(BayError):
    """Base of this room's errors; the text is for the person."""


class NoPort(BoardError):
    """The port, and those after it, are taken."""


class NoNetwork(BoardError):
    """This machine has no address that the shop's network could reach."""
