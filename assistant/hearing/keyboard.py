"""The keyboard beside the microphone: any key as a pedal, and typed lines, which always work.

A USB foot pedal is a keyboard. With attention by pedal each key is a press; otherwise a line is a typed request.
"""

from __future__ import annotations

import atexit
import os
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import IO

_LOOK_S = 0.1


class Keyboard:
    """Reads in a thread of its own; `presses` and `lines` give what came since they were asked last."""

    def __init__(self, stream: IO[str] | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        """`stream` is standard input by default; where it is no terminal only lines are read."""
        self._stream = stream or sys.stdin
        self._clock = clock
        self._presses: deque[float] = deque()
        self._lines: deque[str] = deque()
        self._wants_keys = False
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._read, name="keyboard", daemon=True)
        self._thread.start()
        atexit.register(self.close)  # whatever ends the run, the terminal is left as it was

    def by_pedal(self, wants_keys: bool) -> None:
        """From now on each key is a press (True), or lines are read (False)."""
        self._wants_keys = wants_keys

    def presses(self) -> list[float]:
        """When keys were pressed, on the clock."""
        return [self._presses.popleft() for _ in range(len(self._presses))]

    def lines(self) -> list[str]:
        """Lines typed, without blank ones."""
        return [self._lines.popleft() for _ in range(len(self._lines))]

    def close(self) -> None:
        """Leaves the terminal as it was."""
        atexit.unregister(self.close)
        self._closed.set()
        self._thread.join(20 * _LOOK_S)

    def _read(self) -> None:
        if sys.platform == "win32":
            self._read_windows()
            return
        import select

        try:
            number = self._stream.fileno()
        except (OSError, ValueError):
            return
        line = b""
        with ExitStack() as stack:
            keys_now = False
            while not self._closed.is_set():
                if self._wants_keys is not keys_now:
                    stack.close()
                    keys_now = self._wants_keys
                    if keys_now:
                        stack.enter_context(_key_by_key(number))
                if not select.select([number], [], [], _LOOK_S)[0]:
                    continue
                typed = os.read(number, 1024)
                if not typed:
                    return
                if keys_now:
                    self._presses.append(self._clock())
                    continue
                *whole, line = (line + typed).split(b"\n")
                for text in whole:
                    self._take_line(text.decode(errors="replace"))

    def _take_line(self, text: str) -> None:
        if text.strip():
            self._lines.append(text.strip())

    def _read_windows(self) -> None:
        if sys.platform != "win32":
            return
        import msvcrt

        line = ""
        while not self._closed.wait(_LOOK_S):
            while msvcrt.kbhit():
                key = msvcrt.getwche()
                if self._wants_keys:
                    self._presses.append(self._clock())
                elif key in "\r\n":
                    self._take_line(line)
                    line = ""
                else:
                    line += key


@contextmanager
def _key_by_key(number: int) -> Iterator[None]:
    """The terminal gives each key at once, unshown; as before afterwards. Does nothing where it is no terminal."""
    import termios
    import tty

    if not os.isatty(number):
        yield
        return
    before = termios.tcgetattr(number)
    tty.setcbreak(number)
    quiet = termios.tcgetattr(number)
    quiet[3] &= ~termios.ECHO
    termios.tcsetattr(number, termios.TCSANOW, quiet)
    try:
        yield
    finally:
        termios.tcsetattr(number, termios.TCSADRAIN, before)
