"""The player, over an output that counts blocks: no clock on the wall, no device."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.devices import NoDevice
from assistant.dialogue.reply import Sound
from assistant.voice.play import BLOCK_S, LATENCY_S, NoOutput, Player, SoundFileOutput, Take
from assistant.voice.playlist import Priority, Samples
from assistant.voice.speak import Espeak, Speech

RATE = 16_000
BLOCK = round(BLOCK_S * RATE)
ALLOWED_S = 0.150


class CountedOutput:
    """Takes a block when told to; what it took sounds `latency_s` later, as with a device that buffers."""

    rate = RATE
    drops_s = 0.0

    def __init__(self) -> None:
        self.take: Take | None = None
        self.blocks: list[Samples] = []
        self.gone = False
        self.opened = 0

    def open(self, take: Take) -> None:
        if self.gone:
            raise NoDevice("This machine has no loudspeaker. Plug one in.")
        self.take = take
        self.opened += 1

    def cut(self) -> None:
        return

    def close(self) -> None:
        self.take = None

    @property
    def is_taking(self) -> bool:
        return self.take is not None and not self.gone

    def run(self, blocks: int) -> Samples:
        assert self.take is not None
        fresh = [self.take(BLOCK, (len(self.blocks) + n) * BLOCK_S) for n in range(blocks)]
        self.blocks += fresh
        return np.concatenate(fresh)


@pytest.fixture(scope="module")
def sentence() -> Speech:
    return Espeak().render("Flywheel bolts, eight of them. Sixty-five newton metres, six five.")


def _loud_blocks(sound: Samples) -> int:
    return int(sum(np.abs(part).max() > 1e-4 for part in sound.reshape(-1, BLOCK)))


@pytest.mark.parametrize("after_blocks", [3, 17, 60, 120])
def test_speech_stops_within_150_ms_wherever_it_is(after_blocks: int, sentence: Speech) -> None:
    output = CountedOutput()
    player = Player(output)
    player.say(sentence, "flywheel bolts")
    output.run(after_blocks)
    assert player.stop() == ("flywheel bolts",)
    after = output.run(50)
    assert _loud_blocks(after) * BLOCK_S + max(LATENCY_S) + BLOCK_S <= ALLOWED_S
    assert not player.is_speaking


def test_a_new_request_may_hold_speech_and_it_goes_on_if_the_talk_was_not_for_us(sentence: Speech) -> None:
    output = CountedOutput()
    player = Player(output)
    player.say(sentence, "flywheel bolts")
    output.run(30)
    player.hold()
    assert _loud_blocks(output.run(50)) * BLOCK_S + max(LATENCY_S) + BLOCK_S <= ALLOWED_S
    assert player.is_speaking
    player.go_on()
    assert _loud_blocks(output.run(50)) > 20


def test_what_the_loudspeaker_drops_when_cut_is_said_again_and_nothing_fades_after_the_silence(
    sentence: Speech,
) -> None:
    output = CountedOutput()
    output.drops_s = 0.1
    player = Player(output)
    player.say(sentence, "flywheel bolts")
    output.run(40)
    before = player.playlist.waiting_s
    player.hold()
    assert not output.run(20).any()
    assert player.playlist.waiting_s == pytest.approx(before + 0.1, abs=0.001)
    player.take_up()
    assert before + 0.1 <= player.playlist.waiting_s < before + 1.1
    player.stop()
    assert not output.run(20).any()


def test_speech_is_resampled_to_the_loudspeaker(sentence: Speech) -> None:
    output = CountedOutput()
    player = Player(output, gain=1.0)
    player.say(sentence)
    assert player.playlist.waiting_s == pytest.approx(sentence.seconds, abs=0.01)


def test_quieter_takes_hold_in_the_midst_of_a_sentence() -> None:
    output = CountedOutput()
    player = Player(output, gain=1.0)
    player.say(Speech(np.full(RATE, 0.5, np.float32), RATE))
    assert output.run(1).max() == pytest.approx(0.5)
    player.set_gain(0.5)
    assert output.run(1).max() == pytest.approx(0.25)


def test_nothing_is_ever_beyond_full_scale() -> None:
    output = CountedOutput()
    player = Player(output, gain=1.0)
    player.say(Speech(np.full(RATE, 1.7, np.float32), RATE))
    assert output.run(2).max() == 1.0


def test_the_ear_is_told_exactly_when_we_sounded(sentence: Speech) -> None:
    output = CountedOutput()
    player = Player(output)
    output.run(round(1 / BLOCK_S))
    player.say(sentence)
    output.run(round(8 / BLOCK_S))
    end = 1.0 + sentence.seconds
    assert not player.sounded_within(0.0, 0.99)
    assert player.sounded_within(1.0, 1.02)
    assert player.sounded_within(end - 0.02, end)
    assert not player.sounded_within(end + 0.05, end + 5)


def test_a_timer_sound_comes_before_the_words_that_wait() -> None:
    output = CountedOutput()
    player = Player(output, gain=1.0)
    player.say(Speech(np.full(RATE, 0.001, np.float32), RATE), "story", Priority.STEP)
    player.sound(Sound.TIMER, Priority.ALERT)
    assert output.run(3).max() > 0.3


def test_a_loudspeaker_that_goes_is_told_once_and_told_again_when_back(sentence: Speech) -> None:
    output = CountedOutput()
    player = Player(output)
    assert player.watch() is None
    output.gone = True
    first = player.watch()
    assert first is not None
    assert "text goes on" in first
    assert "no loudspeaker" in first
    assert player.watch() is None
    assert player.watch() is None
    output.gone = False
    assert player.watch() == "The loudspeaker is back."
    player.say(sentence)
    assert _loud_blocks(output.run(50)) > 20


def test_without_a_loudspeaker_all_counts_as_said(sentence: Speech) -> None:
    player = Player(NoOutput())
    player.say(sentence, "flywheel bolts")
    player.sound(Sound.HEARD)
    assert player.is_silent
    assert not player.is_speaking
    assert player.wait_until_said(0.0)
    assert player.stop() == ()


def test_a_sound_file_stands_for_a_loudspeaker(tmp_path: Path, sentence: Speech) -> None:
    output = SoundFileOutput(tmp_path / "replies.wav", RATE)
    player = Player(output, gain=1.0)
    output.advance(2.0)
    player.say(sentence)
    output.advance(2.0 + sentence.seconds + 1)
    player.close()
    sound, rate = soundfile.read(tmp_path / "replies.wav")
    assert rate == RATE
    assert np.abs(sound[: 2 * RATE]).max() == 0
    assert np.abs(sound[2 * RATE :]).max() > 0.3
    assert len(sound) / RATE == pytest.approx(3.0 + sentence.seconds, abs=BLOCK_S)


def test_a_sound_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    from assistant.voice.errors import NoLoudspeaker

    with pytest.raises(NoLoudspeaker, match=r"nowhere/replies\.wav"):
        Player(SoundFileOutput(tmp_path / "nowhere" / "replies.wav"))
