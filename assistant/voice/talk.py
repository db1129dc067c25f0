"""Reply -> sound: the small sound first, then the words, in the person's manner."""

from __future__ import annotations

from dataclasses import replace

from assistant.devices import DeviceError
from assistant.dialogue.reply import Reply, Sound
from assistant.voice.errors import VoiceError
from assistant.voice.manner import Manner
from assistant.voice.play import DeviceOutput, NoOutput, Output, Player
from assistant.voice.playlist import Priority
from assistant.voice.speak import DEFAULT_VOICE, Espeak, Speaker


class Voice:
    """Says replies through a player. Without a speaker the small sounds are all there is."""

    def __init__(self, speaker: Speaker | None, player: Player, manner: Manner) -> None:
        self._speaker = speaker
        self.player = player
        self.manner = manner

    @property
    def manner(self) -> Manner:
        return self._manner

    @manner.setter
    def manner(self, manner: Manner) -> None:
        self._manner = manner
        self.player.set_gain(manner.gain)

    def say(self, reply: Reply, priority: Priority = Priority.ANSWER) -> str | None:
        """Puts the reply in line; returns at once. A sentence for the screen where the words cannot be spoken."""
        if self.manner.sounds and reply.sound is not Sound.NONE:
            self.player.sound(reply.sound, priority)
        words = reply.spoken or reply.text
        if self._speaker is None or not words or self.player.is_silent:
            return None
        try:
            speech = self._speaker.render(words, self.manner.speed_wpm, self.manner.voice)
        except VoiceError as trouble:
            if self.manner.voice == DEFAULT_VOICE:
                self._speaker = None
                return str(trouble)
            # the chosen voice is gone: say it with the one that is always there
            self._manner = replace(self.manner, voice=DEFAULT_VOICE)
            self.say(reply, priority)
            return str(trouble)
        self.player.say(speech, reply.text, priority)
        return None

    def close(self, wait_s: float = 0.0) -> None:
        """Lets what is being said end, for at most `wait_s`, and gives the loudspeaker back."""
        if wait_s:
            self.player.wait_until_said(wait_s)
        self.player.close()


def open_voice(manner: Manner, loudspeaker: str = "", rate: int = 0) -> tuple[Voice, str | None]:
    """The voice on this machine's loudspeaker, and what is missing, in one sentence to be told once (None: nothing).

    Never raises: the run goes on without sound.
    """
    missing = None
    speaker: Speaker | None = None
    try:
        speaker = Espeak()
    except VoiceError as trouble:
        missing = str(trouble)
    output: Output = NoOutput()
    try:
        output = DeviceOutput(loudspeaker, rate or None)
        player = Player(output)
    except (DeviceError, VoiceError) as trouble:
        missing = missing or f"{trouble} The replies are shown, not spoken."
        player = Player(NoOutput())
    return Voice(speaker, player, manner), missing
