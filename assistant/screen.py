"""What the terminal shows of a job being worked: the conversation as it goes, and the sum at its end."""

from __future__ import annotations

import sys

from rich.console import Console
from rich.text import Text

from assistant.live import Line, Shown
from assistant.work import Ending, line_as_json

_STYLES = {
    Shown.HEARD: ("you", "bold"),
    Shown.IGNORED: ("···", "dim"),
    Shown.REPLY: ("bay", "cyan"),
    Shown.TROUBLE: ("!", "yellow"),
}
"""The words in the margin say it too; colour is never the only sign."""


class Conversation:
    """One line a turn: time, who, words."""

    def __init__(self, console: Console | None = None) -> None:
        self._console = console or Console(highlight=False, soft_wrap=True)

    def show(self, line: Line) -> None:
        who, style = _STYLES[line.what]
        words = line.text or "(noise)"
        if line.what is Shown.IGNORED:
            words = f"not for us: {words}"
        self._console.print(Text.assemble((f"{line.at.astimezone():%H:%M:%S}  {who:>3}  ", "dim"), (words, style)))


def json_line(line: Line) -> None:
    print(line_as_json(line), flush=True)


def sum_up(end: Ending) -> None:
    """The sum of a job, for people."""
    console = Console(highlight=False, soft_wrap=True)
    for title, lines in end.parts:
        console.print(Text(f"\n{title}", "bold"))
        for line in lines or ("nothing",):
            console.print(Text(f"  {line}"))
    console.print(Text("\nThe log", "bold"))
    for line in end.log:
        console.print(Text(f"  {line}"))
    sys.stdout.flush()
