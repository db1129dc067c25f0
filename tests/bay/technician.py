"""Somebody who works by ear: speaks into the microphone of a sound server, waits for what comes back."""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

import numpy as np

from assistant.hearing.heard import SAMPLE_RATE
from tests.bay.sound_server import SoundServer
from tests.sound.voices import speak

VOICE = "flite:slt"
VOICES = (VOICE, "espeak:en-us+m7", "espeak:en-us+f2")
PATIENCE_S = 30.0
"""A generous bound for one answer on a busy machine; reached only where none comes at all."""
Line = dict[str, str]


class Technician:
    """Runs the card in a process of its own and talks to it."""

    def __init__(self, server: SoundServer, card: Path, home: Path, *flags: str, by_command: bool = False) -> None:
        """`by_command` runs `bay work` itself; it says nothing of the loudspeaker, so `until_silent` cannot be used."""
        self._server = server
        begin = ["tests.bay.work_by_ear", str(card), str(home)]
        if by_command:
            begin = ["assistant.cli", "work", str(card), "--json", "--home", str(home)]
        self.lines: list[Line] = []
        self.spoken = 0
        """How often something was said into the microphone."""
        self._fresh: queue.Queue[Line] = queue.Queue()
        environment = {**os.environ, **server.environment, "OMP_NUM_THREADS": "1", "PYTHONFAULTHANDLER": "1"}
        self._process = subprocess.Popen(
            [sys.executable, "-m", *begin, *flags],
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[2],
        )
        threading.Thread(target=self._read, daemon=True).start()

    def say(self, words: str, voice: str = VOICE, level: float = 0.5) -> None:
        """Speaks into the microphone and returns when it is said."""
        self.spoken += 1
        sound = speak(words, voice) * (level / 0.5)
        silence = np.zeros(SAMPLE_RATE // 5, np.float32)
        player = self._server.speak(np.concatenate([silence, sound, silence]).astype(np.float32), SAMPLE_RATE)
        player.wait(PATIENCE_S)

    def ask(self, words: str, what: str = "reply") -> Line:
        """Says something and waits for what comes of it; then until the answer has been spoken.

        What is not understood is said again, in another voice each time, as a person would; at most three times.
        """
        for voice in VOICES if what == "reply" else VOICES[:1]:
            self.say(words, voice)
            answer = self._next(lambda line: line["what"] in (what, "ignored"), PATIENCE_S / 2)
            if answer is None:
                continue
            if answer["what"] == "reply":
                self.until_silent()
            if answer["what"] == what and not answer["text"].startswith("Say again"):
                return answer
        raise AssertionError(f"said in {len(VOICES)} voices and never understood: {words!r}; came: {self.lines}")

    def next_reply(self, within_s: float) -> str:
        """The text of the next reply; empty where none comes in that time."""
        end = time.monotonic() + within_s
        while time.monotonic() < end:
            try:
                line = self._fresh.get(timeout=0.2)
            except queue.Empty:
                continue
            if line["what"] == "reply":
                return line["text"]
        return ""

    def until_silent(self) -> None:
        """Until the loudspeaker is done, and the room after it."""
        self.wait(lambda line: line["what"] == "silent", "end of the answer")
        time.sleep(0.6)

    def _next(self, wanted: Callable[[Line], bool], seconds: float) -> Line | None:
        """The next line that is wanted; None where none comes in that time, or the run has ended."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                line = self._fresh.get(timeout=0.2)
            except queue.Empty:
                if self._process.poll() is not None:
                    return None
                continue
            if wanted(line):
                return line
        return None

    def wait(self, wanted: Callable[[Line], bool], what: str) -> Line:
        """The next line that is wanted; fails with all that came where none does."""
        line = self._next(wanted, PATIENCE_S)
        if line is not None:
            return line
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGABRT)  # the fault handler tells where it stands
            self._process.wait(10)
        stderr = self._process.stderr.read() if self._process.stderr else ""
        raise AssertionError(f"no {what}; came: {self.lines}\n{stderr}")

    def ready(self) -> None:
        self.wait(lambda line: line["what"] == "ready", "microphone")

    def close(self) -> int:
        """Ends the run as a shutdown would; its exit code."""
        self._process.terminate()
        try:
            return self._process.wait(20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            return self._process.wait(5)

    def complaints(self) -> str:
        """What the run wrote to standard error; to be asked once it has ended."""
        return self._process.stderr.read() if self._process.stderr else ""

    def wait_for_end(self) -> int:
        return self._process.wait(PATIENCE_S)

    def __enter__(self) -> Technician:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for text in self._process.stdout:
            line = json.loads(text)
            self.lines.append(line)
            self._fresh.put(line)
