"""The pedal is a keyboard: any key, at once and unshown; and typed lines beside the microphone."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Iterator

import pytest

from assistant.hearing.keyboard import Keyboard

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a pseudo-terminal is a thing of Unix")


class Terminal:
    """A pseudo-terminal: what a person types on it, and what it shows."""

    def __init__(self) -> None:
        self.person, inside = os.openpty()
        self.stream = os.fdopen(inside)

    def type(self, text: str) -> None:
        os.write(self.person, text.encode())

    def settings(self) -> list[object]:
        import termios

        return termios.tcgetattr(self.stream.fileno())[:4]

    def close(self) -> None:
        self.stream.close()
        os.close(self.person)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    terminal = Terminal()
    yield terminal
    terminal.close()


def _eventually(ask: object, want: int) -> list[object]:
    """What comes within a generous while; the thread looks ten times a second."""
    found: list[object] = []
    for _ in range(200):
        found += ask()  # type: ignore[operator]
        if len(found) >= want:
            break
        time.sleep(0.02)
    return found


def test_a_line_is_a_typed_request_and_a_blank_one_is_nothing(terminal: Terminal) -> None:
    keyboard = Keyboard(terminal.stream)
    terminal.type("what is next\n\n  torque of the cover bolts \n")
    assert _eventually(keyboard.lines, 2) == ["what is next", "torque of the cover bolts"]
    assert keyboard.presses() == []
    keyboard.close()


def test_by_pedal_any_key_counts_without_enter_and_the_terminal_is_left_as_it_was(terminal: Terminal) -> None:
    before = terminal.settings()
    keyboard = Keyboard(terminal.stream, clock=lambda: 42.0)
    keyboard.by_pedal(True)
    for _ in range(200):
        if terminal.settings() != before:
            break
        time.sleep(0.02)
    terminal.type("b")
    assert _eventually(keyboard.presses, 1) == [42.0]
    assert keyboard.lines() == []
    keyboard.close()
    assert terminal.settings() == before


def test_back_from_the_pedal_lines_are_read_again(terminal: Terminal) -> None:
    before = terminal.settings()
    keyboard = Keyboard(terminal.stream)
    keyboard.by_pedal(True)
    while terminal.settings() == before:
        time.sleep(0.02)
    keyboard.by_pedal(False)
    while terminal.settings() != before:
        time.sleep(0.02)
    terminal.type("what is left\n")
    assert _eventually(keyboard.lines, 1) == ["what is left"]
    keyboard.close()


def test_where_there_is_no_standard_input_nothing_comes_and_nothing_breaks() -> None:
    keyboard = Keyboard(io.StringIO())
    assert keyboard.lines() == []
    keyboard.by_pedal(True)
    assert keyboard.presses() == []
    keyboard.close()
