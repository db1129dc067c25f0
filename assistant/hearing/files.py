"""Sound files: any rate, any number of channels, WAV, FLAC or what else libsndfile reads -> frames at 16 kHz.

`inspected` looks a file over once and says in one line what is wrong with it; `frames` then streams it, so that
half an hour takes no more memory than a second.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from assistant.hearing.errors import SoundFileError
from assistant.hearing.frames import FRAME, FRAME_S, Frames
from assistant.hearing.heard import SAMPLE_RATE, Samples

BLOCK = 65_536
"""Samples a channel read at a time."""
SILENT_DB = -75.0
"""dB re full scale; a peak below this is silence."""
QUIET_DB = -30.0
"""dB re full scale; a peak below this is turned up to USUAL_DB."""
USUAL_DB = -6.0
CLIPPED_AT = 0.999
"""Of the file's own peak, where that peak is at full scale."""
CLIPPED_SHARE = 1e-3
"""Share of samples at the peak from which the sound counts as clipped."""
DC_SHARE = 0.02
"""Of full scale; a larger constant part is worth a remark. Any is removed."""
SHORTEST_S = 0.05
"""Seconds; less is not an utterance."""
LOWEST_RATE, HIGHEST_RATE = 4_000, 384_000


@dataclass(frozen=True, slots=True)
class Recording:
    """What a look over a sound file found."""

    path: Path
    seconds: float
    rate: int
    """Hz, of the file."""
    channels: int
    peak_db: float
    """dB re full scale after the constant part is taken off."""
    offset: float
    """Constant part (DC), of full scale."""
    gain: float
    """Factor that `frames` applies: above 1 for a quiet file."""
    remarks: tuple[str, ...]
    """What a person should know about the sound, one sentence each: quiet, clipped, offset, telephone band."""


def inspected(path: Path) -> Recording:
    """Looks the whole file over; raises SoundFileError in one line for what cannot be heard."""
    _there(path)
    total = count = clipped = 0.0
    low, high = np.inf, -np.inf
    try:
        with soundfile.SoundFile(path) as file:
            rate, channels = file.samplerate, file.channels
            promised = file.frames
            for block in file.blocks(BLOCK, dtype="float32", always_2d=True):
                _numbers(path, block)
                mono = block.mean(axis=1)
                total += float(mono.sum(dtype=np.float64))
                clipped += float((np.abs(block).max(axis=1) >= CLIPPED_AT).sum())
                low, high = min(low, float(mono.min())), max(high, float(mono.max()))
                count += len(mono)
    except soundfile.LibsndfileError as error:
        raise SoundFileError(
            f"{path} is not a sound file that can be read ({error.error_string.rstrip('.')})"
        ) from error
    if not count:
        raise SoundFileError(f"{path} holds no sound: it has a header and nothing after it")
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise SoundFileError(f"{path} says it was recorded at {rate} Hz; speech needs 8000 Hz or more")
    _whole(path, rate, channels, int(count), promised)
    offset = total / count
    peak = max(high - offset, offset - low)
    peak_db = 20 * np.log10(max(peak, 1e-9))
    seconds = count / rate
    if peak_db < SILENT_DB:
        raise SoundFileError(f"{path} is silent: {seconds:.1f} s without any sound; check the microphone")
    if seconds < SHORTEST_S:
        raise SoundFileError(f"{path} is only {seconds * 1000:.0f} ms long; too short to hold a word")
    remarks = []
    if peak_db < QUIET_DB:
        remarks.append(f"very quiet (peak {peak_db:.0f} dB under full scale), turned up")
    if clipped / count > CLIPPED_SHARE:
        remarks.append(f"clipped: {100 * clipped / count:.1f} % of it is at full scale; turn the microphone down")
    if abs(offset) > DC_SHARE:
        remarks.append(f"a constant offset of {100 * offset:.0f} % of full scale was taken off")
    if rate < SAMPLE_RATE:
        remarks.append(f"recorded at {rate} Hz: telephone quality")
    gain = 10 ** ((USUAL_DB - peak_db) / 20) if peak_db < QUIET_DB else 1.0
    return Recording(path, seconds, rate, channels, float(peak_db), offset, gain, tuple(remarks))


def frames(recording: Recording) -> Iterator[Frames]:
    """The file's sound as a microphone would have given it: mono, 16 kHz, frame by frame, to its end."""
    left = np.zeros(0, dtype=np.float32)
    given = 0
    for block in _resampled(recording):
        left = np.concatenate([left, block])
        whole = len(left) // FRAME
        for number in range(whole):
            yield Frames(left[number * FRAME : (number + 1) * FRAME], given * FRAME_S, given * FRAME_S)
            given += 1
        left = left[whole * FRAME :]
    if len(left):
        yield Frames(np.pad(left, (0, FRAME - len(left))), given * FRAME_S, given * FRAME_S)


def samples(recording: Recording) -> Samples:
    """The file's whole sound, mono, 16 kHz."""
    return np.concatenate(list(_resampled(recording)))


def as_frames(sound: Samples) -> Iterator[Frames]:
    """Sound in memory as frames; the last one is filled up with silence."""
    for number, place in enumerate(range(0, len(sound), FRAME)):
        frame = sound[place : place + FRAME]
        yield Frames(np.pad(frame, (0, FRAME - len(frame))), number * FRAME_S, number * FRAME_S)


def _resampled(recording: Recording) -> Iterator[Samples]:
    resample = soxr.ResampleStream(recording.rate, SAMPLE_RATE, 1, dtype="float32")
    with soundfile.SoundFile(recording.path) as file:
        for block in file.blocks(BLOCK, dtype="float32", always_2d=True):
            # a broken file need not read the same twice: libsndfile gives what lay in memory
            _numbers(recording.path, block)
            mono = (block.mean(axis=1) - np.float32(recording.offset)) * np.float32(recording.gain)
            yield _limited(resample.resample_chunk(_limited(mono)))
        yield _limited(resample.resample_chunk(np.zeros(0, dtype=np.float32), last=True))


def _numbers(path: Path, block: npt.NDArray[np.float32]) -> None:
    if not np.isfinite(block).all():
        raise SoundFileError(f"{path} holds values that are no sound (not numbers); record it again")


def _limited(block: npt.NDArray[np.float32]) -> Samples:
    return np.clip(block, -1.0, 1.0)


def _there(path: Path) -> None:
    if not path.exists():
        raise SoundFileError(f"there is no file {path}")
    if path.is_dir():
        raise SoundFileError(f"{path} is a folder; name the sound files in it")
    try:
        with path.open("rb") as file:
            first = file.read(1)
    except OSError as error:
        raise SoundFileError(f"cannot read {path}: {error.strerror or error}") from error
    if not first:
        raise SoundFileError(f"{path} is empty (0 bytes)")


def _whole(path: Path, rate: int, channels: int, count: int, promised: int) -> None:
    """Raises where the file says that it holds more than it does: half a number must not be heard as a whole one."""
    claimed = _claimed_by_wav(path, channels)
    wanted = promised if claimed is None else max(promised, claimed)
    if count < wanted and (wanted - count) / rate > 0.01:
        raise SoundFileError(
            f"{path} is cut off: {wanted / rate:.1f} s by its header, {count / rate:.1f} s are there; copy it again"
        )


def _claimed_by_wav(path: Path, channels: int) -> int | None:
    """Samples a channel that a WAV header claims; None for other files and for headers that leave it open."""
    with path.open("rb") as file:
        if file.read(4) != b"RIFF":
            return None
        file.read(8)
        bytes_a_sample = 0
        while len(header := file.read(8)) == 8:
            name, size = struct.unpack("<4sI", header)
            if name == b"fmt ":
                bytes_a_sample = struct.unpack("<H", file.read(16)[12:14])[0]
                file.seek(size - 16 + size % 2, 1)
            elif name == b"data":
                # Programs that write to a pipe do not know the length and put one of these.
                unknown = size == 0 or size >= 0x7FFFF000
                return None if unknown or not bytes_a_sample else size // bytes_a_sample
            else:
                file.seek(size + size % 2, 1)
    return None
