"""Sound files of every kind are understood, or refused in one clear line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from assistant.hearing.ear import Ear, Listening
from assistant.hearing.errors import SoundFileError
from assistant.hearing.files import frames, inspected, samples
from assistant.hearing.frames import FRAME
from assistant.hearing.heard import SAMPLE_RATE, Samples
from tests.hearing.conftest import CLEAR, Shop
from tests.sound import noises, voices

PHRASE = "what is the torque for the flywheel bolts"


@pytest.fixture(scope="module")
def speech() -> Samples:
    return np.concatenate([noises.quiet(0.6, 1), voices.speak(PHRASE, CLEAR), noises.quiet(0.8, 2)])


def heard_in(shop: Shop, path: Path) -> list[str]:
    ear = Ear(shop.recogniser)
    listening = Listening(shop.acceptor, shop.reads)
    return [heard.best.words for heard in ear.listen(frames(inspected(path)), lambda: listening) if heard.best]


def test_48_khz_stereo_flac_is_understood(shop: Shop, speech: Samples, tmp_path: Path) -> None:
    wide = soxr.resample(speech, SAMPLE_RATE, 48_000)
    soundfile.write(tmp_path / "stereo.flac", np.stack([wide, 0.7 * wide], axis=1), 48_000)
    assert heard_in(shop, tmp_path / "stereo.flac") == [PHRASE]


def test_8_khz_telephone_sound_is_understood_and_remarked_on(shop: Shop, speech: Samples, tmp_path: Path) -> None:
    narrow = soxr.resample(noises.headset(speech), SAMPLE_RATE, 8_000)
    soundfile.write(tmp_path / "phone.wav", narrow, 8_000, subtype="ULAW")
    assert heard_in(shop, tmp_path / "phone.wav") == [PHRASE]
    assert "telephone" in inspected(tmp_path / "phone.wav").remarks[0]


def test_a_constant_offset_is_taken_off(shop: Shop, speech: Samples, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "offset.wav", 0.5 * speech + 0.3, SAMPLE_RATE)
    recording = inspected(tmp_path / "offset.wav")
    assert abs(float(samples(recording).mean())) < 1e-3
    assert "offset" in recording.remarks[0]
    assert heard_in(shop, tmp_path / "offset.wav") == [PHRASE]


def test_a_very_quiet_file_is_turned_up(shop: Shop, speech: Samples, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "quiet.wav", speech * 0.01, SAMPLE_RATE)
    assert "very quiet" in inspected(tmp_path / "quiet.wav").remarks[0]
    assert heard_in(shop, tmp_path / "quiet.wav") == [PHRASE]


def test_clipped_sound_is_remarked_on_and_still_read(shop: Shop, speech: Samples, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "clipped.wav", np.clip(speech * 8, -1, 1), SAMPLE_RATE)
    assert any("clipped" in remark for remark in inspected(tmp_path / "clipped.wav").remarks)
    assert heard_in(shop, tmp_path / "clipped.wav") == [PHRASE]


def test_half_an_hour_is_streamed_frame_by_frame(tmp_path: Path) -> None:
    with soundfile.SoundFile(tmp_path / "long.flac", "w", SAMPLE_RATE, 1) as file:
        minute = noises.quiet(60, 5, level_db=-40)
        for _ in range(30):
            file.write(minute)
    recording = inspected(tmp_path / "long.flac")
    assert recording.seconds == pytest.approx(1800)
    count = 0
    for frame in frames(recording):
        assert len(frame.samples) == FRAME
        count += 1
    assert count == 1800 * SAMPLE_RATE // FRAME


def write_truncated(path: Path, speech: Samples) -> None:
    soundfile.write(path, speech, SAMPLE_RATE)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


@pytest.mark.parametrize("name", ["cut.wav", "cut.flac"])
def test_a_file_that_was_cut_off_is_refused(speech: Samples, tmp_path: Path, name: str) -> None:
    # Half a number must never be heard as a whole one.
    write_truncated(tmp_path / name, speech)
    with pytest.raises(SoundFileError) as refused:
        list(frames(inspected(tmp_path / name)))
    assert name in str(refused.value)
    assert "\n" not in str(refused.value)


def test_what_cannot_be_heard_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").write_bytes(b"")
    (tmp_path / "letter.wav").write_text("Dear Sir, this is no sound.\n" * 50)
    soundfile.write(tmp_path / "silent.wav", np.zeros(SAMPLE_RATE), SAMPLE_RATE)
    soundfile.write(tmp_path / "header.wav", np.zeros(0), SAMPLE_RATE)
    soundfile.write(tmp_path / "click.wav", np.full(300, 0.5), SAMPLE_RATE)
    wanted = {
        "missing.wav": "there is no file",
        "empty.wav": "is empty",
        "letter.wav": "is not a sound file",
        "silent.wav": "is silent",
        "header.wav": "holds no sound",
        ".": "is a folder",
    }
    for name, reason in wanted.items():
        with pytest.raises(SoundFileError, match=reason) as refused:
            inspected(tmp_path / name)
        assert "\n" not in str(refused.value)


def test_values_that_are_no_numbers_are_refused(tmp_path: Path) -> None:
    sound = np.zeros(SAMPLE_RATE, dtype=np.float32)
    sound[100:200] = np.nan
    soundfile.write(tmp_path / "nan.wav", sound, SAMPLE_RATE, subtype="FLOAT")
    with pytest.raises(SoundFileError, match="not numbers"):
        inspected(tmp_path / "nan.wav")
