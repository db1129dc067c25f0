"""Text to sound: pyttsx3's espeak driver over the library and data that the espeakng-loader wheel carries.

Two things are done otherwise than pyttsx3 does them, both for a reason that was measured:

* pyttsx3 looks for a system's espeak. The wheel's library is handed to it instead, so that no system package is
  needed and the library always fits the data beside it.
* pyttsx3 opens espeak in its asynchronous mode and `save_to_file` then returns before the sound is there: for a
  text of two and a half minutes the file did not exist yet; it also prints to standard output. Here espeak runs in
  its synchronous mode and writes to memory through pyttsx3's own binding: the call returns when the sound is whole.
"""

from __future__ import annotations

import ctypes
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from assistant.voice.errors import NoVoice

DEFAULT_VOICE = "en-us"
DEFAULT_SPEED_WPM = 165
SPEED_WPM = (80, 400)
"""Words a minute that espeak renders intelligibly; outside it is clamped."""

_DO_NOT_EXIT = 0x8000
"""espeakINITIALIZE_DONT_EXIT: without it a missing data folder ends the whole run."""


@dataclass(frozen=True, slots=True)
class Speech:
    """One rendered text."""

    samples: npt.NDArray[np.float32]
    """Mono, full scale -1 to 1."""
    rate: int
    """Hz."""
    sentences: tuple[int, ...] = (0,)
    """Sample index at which each sentence begins, ascending; where to take up again after an interruption."""

    @property
    def seconds(self) -> float:
        return len(self.samples) / self.rate


class Speaker(Protocol):
    """Whatever turns text into sound."""

    def render(self, text: str, speed_wpm: int = DEFAULT_SPEED_WPM, voice: str = DEFAULT_VOICE) -> Speech:
        """The text as sound. Raises NoVoice where the voice does not exist."""
        ...


class Espeak:
    """The speaker. One espeak serves the whole process; calls from several threads wait for each other."""

    _lock = threading.Lock()
    _binding: ModuleType | None = None
    _rate = 0

    def __init__(self) -> None:
        """Raises NoVoice, saying how to mend it, where the library or its data is missing."""
        with Espeak._lock:
            if Espeak._binding is None:
                Espeak._binding, Espeak._rate = _open()

    def voices(self) -> list[str]:
        """Names that `render` takes, sorted: "en-us", "en-gb", ... Each also with a variant, as "en-us+f3"."""
        driver = _driver()
        return sorted({voice.id.rpartition("/")[2] for voice in driver.getProperty("voices")})

    def render(self, text: str, speed_wpm: int = DEFAULT_SPEED_WPM, voice: str = DEFAULT_VOICE) -> Speech:
        """About 1 ms a sentence. Raises NoVoice for a voice that espeak does not have."""
        binding = Espeak._binding
        assert binding is not None
        plain = " ".join(text.replace("\0", " ").split())
        if not plain:
            return Speech(np.zeros(0, np.float32), Espeak._rate)
        heard: list[bytes] = []
        sentences: list[int] = []

        def collect(wav: Any, count: int, events: Any) -> int:
            position = 0
            while events and events[position].type != binding.EVENT_LIST_TERMINATED:
                if events[position].type == binding.EVENT_SENTENCE:
                    sentences.append(events[position].audio_position * Espeak._rate // 1000)
                position += 1
            if wav and count > 0:
                heard.append(ctypes.string_at(wav, count * ctypes.sizeof(ctypes.c_short)))
            return 0

        with Espeak._lock:
            driver = _driver()
            try:
                driver.setProperty("voice", voice)
            except ValueError as error:
                raise NoVoice(
                    f"There is no voice called {voice!r}. `bay doctor --voices` lists them; "
                    f"set voice.voice in the settings to one of those."
                ) from error
            driver.setProperty("rate", min(max(speed_wpm, SPEED_WPM[0]), SPEED_WPM[1]))
            binding.SetSynthCallback(collect)
            outcome = binding.Synth(plain.encode(), flags=binding.CHARS_UTF8 | binding.ENDPAUSE)
        if outcome != binding.EE_OK:
            raise NoVoice(
                f"espeak could not speak {plain[:60]!r} (its code {outcome}); the text goes on without sound."
            )
        pcm = np.frombuffer(b"".join(heard), np.int16)
        starts = tuple(sorted({0, *(start for start in sentences if start < len(pcm))}))
        return Speech((pcm / 32768).astype(np.float32), Espeak._rate, starts)


def _driver() -> Any:
    from pyttsx3.drivers.espeak import EspeakDriver

    return EspeakDriver


def _open() -> tuple[ModuleType, int]:
    """pyttsx3's binding over the wheel's library, set up; and its sample rate, Hz."""
    try:
        import espeakng_loader

        library = ctypes.CDLL(espeakng_loader.get_library_path())
        data = espeakng_loader.get_data_path()
    except (ImportError, OSError, RuntimeError) as error:
        raise NoVoice(
            "Nothing can be spoken: the espeak-ng library is missing or does not load "
            f"({error}). Mend it with: pip install --force-reinstall espeakng-loader. The text goes on without sound."
        ) from error
    binding = _bind(library)
    rate = int(binding.Initialize(binding.AUDIO_OUTPUT_SYNCHRONOUS, 0, str(data).encode(), _DO_NOT_EXIT))
    if rate <= 0:
        raise NoVoice(
            f"Nothing can be spoken: espeak-ng found no voices in {data}. "
            "Mend it with: pip install --force-reinstall espeakng-loader. The text goes on without sound."
        )
    driver = _driver()
    driver._moduleInitialized = True  # done above, in the mode that waits
    driver._defaultVoice = "gmw/en"
    return binding, rate


def _bind(library: ctypes.CDLL) -> ModuleType:
    """Imports pyttsx3's binding with `library` answering its search, on every system alike."""
    loader = ctypes.cdll

    def ours(_name: Sequence[str] | str) -> ctypes.CDLL:
        return library

    loader.LoadLibrary = ours  # type: ignore[method-assign, assignment]
    try:
        from pyttsx3.drivers import _espeak
    except ImportError as error:
        raise NoVoice(
            "Nothing can be spoken: pyttsx3 is missing. Mend it with: pip install pyttsx3. "
            "The text goes on without sound."
        ) from error
    finally:
        del loader.LoadLibrary
    if _espeak.dll is not library:
        raise NoVoice("Nothing can be spoken: pyttsx3 was loaded with another espeak before. Start the run afresh.")
    return _espeak  # type: ignore[no-any-return]
