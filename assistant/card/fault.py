"""What is wrong in a card file, where, and how to mend it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.errors import BayError

SHOWN = 40
"""Faults listed in one message; a card with more is mended in rounds."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing that keeps a card from being read."""

    line: int
    """1-based; 0 where the fault is of the whole file."""
    column: int
    """1-based; 0 where the fault is of the whole line."""
    what: str
    mend: str
    file: str = ""

    def __str__(self) -> str:
        where = ":".join([self.file, *(str(n) for n in (self.line, self.column) if n)])
        return f"{where}: {self.what} {self.mend}".rstrip()


class CardError(BayError):
    """A card that cannot be read. `faults` says why, in the order of the file; there is at least one."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        lines = [str(fault) for fault in faults[:SHOWN]]
        if len(faults) > SHOWN:
            lines.append(f"... and {len(faults) - SHOWN} more.")
        super().__init__("\n".join(lines))


class RuleBroken(ValueError):
    """A rule of the card language that one entry breaks by itself; the reader adds file and line."""

    def __init__(self, what: str, mend: str) -> None:
        self.what, self.mend = what, mend
        super().__init__(f"{what} {mend}")
