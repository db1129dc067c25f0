"""What the terminal shows of a job being worked: the conversation as it goes, and the sum at its end."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.live import Line, Shown
from assistant.settings import OPTIONS, Held
from assistant.work import Ending, line_as_json

if TYPE_CHECKING:
    from assistant.hearing.models import InstalledModel

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


def _table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for column in columns:
        table.add_column(column, overflow="fold")
    return table


def show_settings(held: Held, as_json: bool) -> None:
    """Every option with its value and origin."""
    rows = []
    for name in OPTIONS:
        table, key = name.split(".")
        origin = held.origin(name)
        rows.append((name, getattr(getattr(held.settings, table), key), origin.layer.value, origin.where))
    if as_json:
        for name, value, layer, where in rows:
            print(json.dumps({"option": name, "value": value, "from": layer, "where": where}, ensure_ascii=False))
        return
    shown = _table("Option", "Value", "From", "Meaning")
    for name, value, layer, where in rows:
        shown.add_row(name, Text(str(value)), Text(f"{layer} {where}".strip()), Text(OPTIONS[name].meaning))
    console = Console(highlight=False)
    console.print(shown)
    console.print(Text(f"Files: {held.folder}", "dim"))


def show_models(models: Sequence[InstalledModel], as_json: bool) -> None:
    """The vosk models found."""
    if as_json:
        for model in models:
            entry = {"name": model.name, "language": model.language, "folder": str(model.folder)}
            print(json.dumps({**entry, "megabytes": round(model.megabytes, 1), "fault": model.fault}))
        return
    if not models:
        print(
            "No vosk model here. Add one with `bay model add FOLDER`. English needs none: the builtin engine hears it."
        )
        return
    shown = _table("Model", "Language", "MB", "State")
    for model in models:
        shown.add_row(model.name, model.language, f"{model.megabytes:.0f}", Text(model.fault or "usable"))
    Console(highlight=False).print(shown)
