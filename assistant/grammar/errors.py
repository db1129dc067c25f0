"""What goes wrong with a grammar, said to the person who writes it."""

from __future__ import annotations

from assistant.errors import BayError


class GrammarError(BayError):
    """A fault in a grammar file or in a card's names: where, what, and how to mend it."""

    def __init__(self, problem: str, mend: str, path: str = "", line: int = 0, column: int = 0) -> None:
        self.problem = problem
        self.mend = mend
        self.path = path
        self.line = line
        """1-based; 0 where the fault has no place in a file."""
        self.column = column
        where = f"{path}:{line}:{column}: " if path and line else f"{path}: " if path else ""
        super().__init__(f"{where}{problem}; {mend}")
