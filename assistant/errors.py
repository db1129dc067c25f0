"""What all rooms' errors have in common: their text is for the person, as it stands."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable


class BayError(Exception):
    """Base of each room's errors. The text says what is wrong, where, and what to do; one line is best."""


def said_plainly(command: Callable[[], object]) -> None:
    """Runs a command; a BayError becomes its text on standard error and exit code 2."""
    try:
        command()
    except BayError as fault:
        print(str(fault), file=sys.stderr)
        raise SystemExit(2) from None
    except BrokenPipeError:
        # Whoever read us has left: there is nobody to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None
