"""The terminal of a replay: keys one at a time, lines with their time in front."""

from __future__ import annotations

import os
import sys
import textwrap
import time
from contextlib import AbstractContextManager
from datetime import timedelta, tzinfo
from types import TracebackType
from typing import Any

from rich.console import Console
from rich.text import Text

from assistant.logbook.hours import clock_says
from assistant.logbook.replay import Line

_NAMES = {"\x1b[A": "up", "\x1b[B": "down", "\x1b[C": "right", "\x1b[D": "left", "\x1bOA": "up", "\x1bOB": "down",
          "\x1bOC": "right", "\x1bOD": "left", "\x1b": "q", "\x03": "q", "+": "up", "-": "down", "\r": "right",
          "\n": "right"}  # fmt: skip
STYLES = {"heard": "bold", "reply": "cyan", "spoken": "cyan", "torque": "green", "reading": "green", "note": "yellow",
          "override": "bold red"}  # fmt: skip
MARKS = {"torque": "⟳", "reading": "↔", "note": "✎", "override": "!", "step": "›", "deed": "·", "other": "·"}
"""Before what was written down, so that its sort does not hang on colour."""


_SET_IN = 20
"""Columns before the words: the time, and who spoke."""


class Terminal(AbstractContextManager["Terminal"]):
    """Screen and keys of a replay on a real terminal; while it is open, keys come without Return."""

    def __init__(self, console: Console, zone: tzinfo | None = None) -> None:
        self._console, self._zone = console, zone
        self._before: Any = None

    def __enter__(self) -> Terminal:
        if os.name == "posix" and sys.stdin.isatty():
            import termios
            import tty

            self._before = termios.tcgetattr(sys.stdin)
            tty.setcbreak(sys.stdin)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._restore()

    def _restore(self) -> None:
        if self._before is not None:
            import termios

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self._before)

    def line(self, line: Line) -> None:
        self._console.print(as_text(line, self._zone, self._console.width))

    def remark(self, text: str) -> None:
        self._console.print(Text(f"        [{text}]", style="dim"))

    def ask(self, prompt: str) -> str:
        self._restore()
        try:
            return self._console.input(prompt)
        except (EOFError, KeyboardInterrupt):
            return ""
        finally:
            if self._before is not None:
                self.__enter__()

    def key(self, wait_s: float) -> str:
        """The next key by name, or "" after `wait_s` seconds."""
        if os.name != "posix":
            return _windows_key(wait_s)
        import select

        if not select.select([sys.stdin], [], [], wait_s)[0]:
            return ""
        pressed = os.read(sys.stdin.fileno(), 16).decode(errors="ignore")
        return _NAMES.get(pressed, pressed[:1])


def _windows_key(wait_s: float) -> str:
    import msvcrt

    kbhit: Any = getattr(msvcrt, "kbhit", None)
    getwch: Any = getattr(msvcrt, "getwch", None)
    end = time.monotonic() + wait_s
    while time.monotonic() <= end:
        if kbhit():
            pressed = getwch()
            if pressed in ("\x00", "\xe0"):
                return {"H": "up", "P": "down", "M": "right", "K": "left"}.get(getwch(), "")
            return str(_NAMES.get(pressed, pressed))
        time.sleep(0.02)
    return ""


def as_text(line: Line, zone: tzinfo | None = None, width: int = 0) -> Text:
    """The line as it is shown: time, who, words; what was written down is set in with a mark. Broken at `width`
    columns, words under words; 0: not broken."""
    room = width - _SET_IN
    words = textwrap.wrap(line.text, room) if room >= 20 else []
    told = f"\n{'':>{_SET_IN}}".join(words) or line.text
    text = Text(f"{line.at.astimezone(zone):%H:%M:%S}  ", style="dim")
    if line.gap_s >= 60:
        local = line.at.astimezone(zone)
        other_day = (line.at - timedelta(seconds=line.gap_s)).astimezone(zone).date() != local.date()
        on = f", {local.day} {local:%B %Y}" if other_day else ""
        text = Text(f"{'':>8}  ({clock_says(line.gap_s)} later{on})\n", style="dim") + text
    style = STYLES.get(line.sort, "")
    if line.who:
        text.append(f"{line.who:>8}  ", style="bold cyan" if line.who == "bay" else "bold")
        aside = {"ignore": "  (not meant for it)", "again": "  (asked again)"}.get(line.decision, "")
        text.append(told + aside, style="dim" if line.decision == "ignore" else style)
    else:
        text.append(f"{MARKS.get(line.sort, '·'):>8}  ", style=style)
        text.append(told, style=style or "dim")
    return text
