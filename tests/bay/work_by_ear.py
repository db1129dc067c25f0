"""Works a card by microphone and loudspeaker, as a process: `python -m tests.bay.work_by_ear CARD HOME [flags]`.

One JSON object a line goes to standard output: what is heard, ignored, answered, wrong; {"what": "ready"} when the
microphone is open; "speaking" and "silent" when the loudspeaker begins and ends. SIGTERM ends it.
"""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

from assistant import live
from assistant.card.load import read_card
from assistant.devices import DeviceError
from assistant.dialogue.view import Settings as TalkSettings
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.capture import DeviceSource, Microphone
from assistant.hearing.ear import Ear
from assistant.live import Line, run_live
from assistant.logbook.store import Logbook
from assistant.session import begin
from assistant.settings import EarSettings, VoiceSettings
from assistant.voice import play
from assistant.voice.manner import Manner
from assistant.voice.play import Player
from assistant.voice.talk import open_voice

_one_at_a_time = threading.Lock()


def _tell(**line: object) -> None:
    with _one_at_a_time:
        print(json.dumps(line, ensure_ascii=False), flush=True)


def _show(line: Line) -> None:
    _tell(what=str(line.what), text=line.text, why=line.why)


def _watch(player: Player) -> None:
    """Tells when the loudspeaker begins and ends; a person hears that."""
    was = False
    while True:
        if player.is_speaking is not was:
            was = not was
            _tell(what="speaking" if was else "silent", text="")
        time.sleep(0.02)


def _cut_as_before() -> None:
    """Two frames of speech, blocks of 20 ms, and a buffer of 100 ms that sounds on."""
    live.HUSHES_AT_MOST = 0
    play.BLOCK_S, play.LATENCY_S = 0.02, (0.1, 0.1)
    for name, instead in (("drops_s", 0.0), ("cut", lambda self: None)):
        setattr(play.DeviceOutput, name, instead)


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("card", type=Path)
    parser.add_argument("home", type=Path)
    parser.add_argument("--headset", action="store_true")
    parser.add_argument("--microphone", default="")
    parser.add_argument("--attention", default="open")
    parser.add_argument("--name", default="")
    parser.add_argument("--window", type=float, default=8.0)
    parser.add_argument("--speed", type=int, default=260)
    parser.add_argument("--verbosity", default="terse")
    parser.add_argument("--as-before", action="store_true", help="for the benchmark: stops only when speech is sure")
    given = parser.parse_args()
    if given.as_before:
        _cut_as_before()
    ear_settings = EarSettings(headset=given.headset, attention=given.attention, name=given.name, window_s=given.window)
    voice_settings = VoiceSettings(speed=given.speed, volume=10, verbosity=given.verbosity)
    manner = Manner(volume=10, speed_wpm=given.speed, verbosity=given.verbosity)
    recogniser = BuiltinRecogniser(threads=1)
    microphone = Microphone(DeviceSource(given.microphone))
    signal.signal(signal.SIGTERM, lambda *_: microphone.close())
    logbook = Logbook.open(given.home)
    opening = begin(
        read_card(given.card),
        logbook,
        datetime.now(UTC),
        name=given.name,
        settings=TalkSettings(verbosity=given.verbosity),
    )
    voice, missing = open_voice(manner)
    threading.Thread(target=_watch, args=(voice.player,), daemon=True).start()
    if missing:
        _tell(what="missing", text=missing)
    try:
        microphone.open()
        _tell(what="ready", text="")
        run_live(opening.session, Ear(recogniser), microphone, voice, ear_settings, voice_settings, show=_show)
    except DeviceError as trouble:
        _tell(what="refused", text=str(trouble))
        return 2
    finally:
        voice.close(wait_s=15)
        opening.session.close()
        logbook.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
