"""Which engine reads: the one asked for, or the one that fits what is installed."""

from collections.abc import Callable, Iterable
from typing import Literal

from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.errors import ModelError
from assistant.hearing.models import find, installed
from assistant.hearing.recogniser import Recogniser

Engine = Literal["auto", "builtin", "vosk"]
ENGINES: tuple[Engine, ...] = ("auto", "builtin", "vosk")
ENGLISH = "en"
MOST_PHRASES = 10_000


def choose(
    engine: str = "auto",
    *,
    model: str = "",
    language: str = ENGLISH,
    phrases: Callable[[int], Iterable[str]] | None = None,
    threads: int = 2,
) -> Recogniser:
    """The engine asked for, ready to read; raises ModelError where it cannot.

    `auto` is vosk where a `model` is named (folder, name or language) or the language is not English, else the
    builtin engine. `phrases` gives at most so many phrases of the grammar; vosk needs them.
    """
    if engine not in ENGINES:
        raise ModelError(f"there is no engine {engine!r}; there are {', '.join(ENGINES)}")
    if engine == "builtin" or (engine == "auto" and not model and language.lower().startswith(ENGLISH)):
        return BuiltinRecogniser(threads=threads)
    if phrases is None:
        raise ModelError("the vosk engine needs the phrases of a grammar; use the builtin engine for this")
    wanted = model or language
    if not model and not any(not each.fault for each in installed()):
        raise ModelError("no vosk model is installed; add one with: bay model add FOLDER")
    # The library loads slowly and is not needed for the builtin engine.
    from assistant.hearing.vosk_engine import VoskRecogniser

    return VoskRecogniser(find(wanted), phrases(MOST_PHRASES))
