"""Sound of a replay: plays clips and speaks replies on the loudspeaker."""

from __future__ import annotations

from assistant.hearing.heard import SAMPLE_RATE
from assistant.logbook import clips
from assistant.logbook.errors import LogbookError
from assistant.logbook.store import Logbook
from assistant.voice.play import Player
from assistant.voice.speak import Espeak, Speech
from assistant.voice.wording import speakable


class Loudspeaker:
    """A replay's `Aloud` on a Player. What cannot be sounded is passed over; `lacks` counts it."""

    def __init__(self, logbook: Logbook, player: Player) -> None:
        self._logbook, self._player = logbook, player
        self._speaker = Espeak()
        self.lacks = 0

    def clip(self, sha256: str) -> None:
        try:
            samples = clips.samples(self._logbook.clip(sha256))
        except LogbookError:
            self.lacks += 1
            return
        self._say(Speech(samples, SAMPLE_RATE))

    def speak(self, text: str) -> None:
        self._say(self._speaker.render(speakable(text)))

    def _say(self, speech: Speech) -> None:
        self._player.say(speech)
        self._player.wait_until_said(speech.seconds + 2.0)
