"""Speaks through the espeak-ng library of espeakng-loader, in a process of its own.

A process of its own because the library keeps one global voice and one global callback, which pyttsx3
claims as well wherever both run together.

Reads one JSON object a line (`text`, `voice`, `words_per_minute`, `pitch`); answers with the sample rate
and the number of samples on one line, then the samples as little-endian 16-bit.
"""

import ctypes
import json
import os
import sys

import espeakng_loader

RETRIEVAL, SYNCHRONOUS = 1, 2
RATE, PITCH = 1, 3
UTF8 = 1
PHONEME_TAGS_OFF_END_PAUSE = 0x1000


def answer(line: str) -> None:
    """Speaks one text."""
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    rate = library.espeak_Initialize(RETRIEVAL, 200, espeakng_loader.get_data_path().encode(), 0)
    sound = bytearray()

    @ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)
    def collect(samples, count, _events):  # type: ignore[no-untyped-def]
        if samples and count > 0:
            sound.extend(ctypes.string_at(samples, count * 2))
        return 0

    library.espeak_SetSynthCallback(collect)
    wanted = json.loads(line)
    if library.espeak_SetVoiceByName(wanted["voice"].encode()) != 0:
        print(0, 0, flush=True)
        return
    library.espeak_SetParameter(RATE, int(wanted["words_per_minute"]), 0)
    library.espeak_SetParameter(PITCH, int(wanted["pitch"]), 0)
    text = wanted["text"].encode() + b"\0"
    library.espeak_Synth(text, len(text), 0, 1, 0, UTF8, None, None)
    library.espeak_Synchronize()
    sys.stdout.write(f"{rate} {len(sound) // 2}\n")
    sys.stdout.flush()
    sys.stdout.buffer.write(bytes(sound))
    sys.stdout.buffer.flush()


def serve() -> None:
    """Answers until the input ends.

    The library goes on from where its last sound ended. Each text is spoken by a child that has spoken nothing yet,
    so that the same words always sound the same, whatever was spoken before.
    """
    for line in sys.stdin:
        if not hasattr(os, "fork"):
            answer(line)
            continue
        child = os.fork()
        if child == 0:
            answer(line)
            os._exit(0)
        os.waitpid(child, 0)


if __name__ == "__main__":
    serve()
