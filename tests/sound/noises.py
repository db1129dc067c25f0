"""Shop noise made from nothing, and speech laid over it at a stated level.

`noise("impact wrench", 5, seed=1)`, `mix(speech, noise, snr_db=10)`, `room(speech)`, `headset(speech)`.
All deterministic for a seed, mono float32 at 16 kHz.

Speech level is the *active* level in the manner of ITU-T P.56 method B (from memory): an envelope of two
30 ms exponential averages in a row, a hang-over of 0.2 s, and the threshold 15.9 dB under the level of what
counts as active. Noise level is its plain mean power over the whole stretch: an impact wrench that fires
half of the time is thus louder while it fires than the stated figure says.
"""

import zlib
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from assistant.hearing.heard import SAMPLE_RATE, Samples

Array = npt.NDArray[np.float64]
Random = np.random.Generator

MARGIN_DB = 15.9
HANG_OVER_S = 0.2


def active_level(speech: Samples) -> float:
    """Active speech level, dB relative to full scale; the silence between words does not count."""
    power = np.square(speech.astype(np.float64))
    total = power.sum()
    if total <= 0:
        return -np.inf
    envelope = _smooth(_smooth(np.abs(speech.astype(np.float64)), 0.03), 0.03)
    hang = int(HANG_OVER_S * SAMPLE_RATE)

    def level_above(threshold_db: float) -> float:
        over = np.flatnonzero(envelope >= 10 ** (threshold_db / 20))
        active = np.zeros(len(power) + hang + 1)
        active[over] += 1
        active[over + hang] -= 1
        return float(10 * np.log10(total / max(int((np.cumsum(active)[: len(power)] > 0).sum()), 1)))

    # The higher the threshold, the less counts as active, the smaller the margin: halve to where it is MARGIN_DB.
    low, high = -100.0, 20 * np.log10(envelope.max())
    for _ in range(12):
        middle = (low + high) / 2
        if level_above(middle) - middle > MARGIN_DB:
            low = middle
        else:
            high = middle
    return level_above(high)


def mix(speech: Samples, noise: Samples, snr_db: float, level_db: float = -26.0) -> Samples:
    """Speech at `level_db` active level (dB re full scale) with the noise `snr_db` below it, as long as the noise.

    The speech lies in the middle of the noise; noise shorter than the speech is repeated. Never clips: the
    whole is turned down where it would.
    """
    if len(noise) < len(speech):
        noise = np.tile(noise, -(-len(speech) // len(noise)))[: len(speech)]
    spoken = speech * 10 ** ((level_db - active_level(speech)) / 20)
    loudness = 10 * np.log10(np.mean(np.square(noise.astype(np.float64))) + 1e-20)
    mixed = noise.astype(np.float64) * 10 ** ((level_db - snr_db - loudness) / 20)
    start = (len(noise) - len(speech)) // 2
    mixed[start : start + len(spoken)] += spoken
    peak = np.abs(mixed).max()
    return (mixed * min(1.0, 0.99 / peak)).astype(np.float32)


def quiet(seconds: float, seed: int = 0, level_db: float = -70.0) -> Samples:
    """The hiss of a microphone in a silent room; a stream is never all zeros."""
    random = np.random.default_rng(seed)
    return (random.standard_normal(int(seconds * SAMPLE_RATE)) * 10 ** (level_db / 20)).astype(np.float32)


def room(speech: Samples, seed: int = 0, reverberation_s: float = 0.35) -> Samples:
    """The speech in a small workshop: a direct path, a few early reflections, a decaying tail (RT60 given)."""
    random = np.random.default_rng(seed)
    length = int(reverberation_s * SAMPLE_RATE)
    time = np.arange(length) / SAMPLE_RATE
    tail = random.standard_normal(length) * 10 ** (-3 * time / reverberation_s)
    response = 0.05 * tail
    response[: int(0.004 * SAMPLE_RATE)] = 0
    for _ in range(6):
        response[random.integers(int(0.004 * SAMPLE_RATE), int(0.04 * SAMPLE_RATE))] += random.uniform(-0.4, 0.4)
    response[0] = 1.0
    echoed = _convolve(speech.astype(np.float64), response)
    return (echoed * (np.abs(speech).max() / np.abs(echoed).max())).astype(np.float32)


def headset(speech: Samples) -> Samples:
    """The speech through a narrow-band radio headset: 300 to 3400 Hz."""
    return _band(speech.astype(np.float64), 300, 3400).astype(np.float32)


def noise(kind: str, seconds: float, seed: int = 0) -> Samples:
    """Shop noise of one kind (a key of KINDS), peak at half of full scale."""
    if kind not in KINDS:
        raise ValueError(f"no noise {kind!r}; there are {', '.join(KINDS)}")
    random = np.random.default_rng([seed, zlib.crc32(kind.encode())])
    sound = KINDS[kind](int(seconds * SAMPLE_RATE), random)
    return (sound * (0.5 / np.abs(sound).max())).astype(np.float32)


def _impact_wrench(count: int, random: Random) -> Array:
    """Bursts of 0.6 to 1.5 s at 20 to 28 blows a second, ringing steel, over an air motor's whine."""
    sound = 0.01 * random.standard_normal(count)
    at = int(random.uniform(0, 0.5) * SAMPLE_RATE)
    while at < count:
        length = int(random.uniform(0.6, 1.5) * SAMPLE_RATE)
        blows_hz = random.uniform(20, 28)
        burst = np.zeros(length)
        blow = _ring(random, (900, 5200), 7, 0.02)
        for start in np.arange(0, length - 1, SAMPLE_RATE / blows_hz):
            begin = int(start + random.uniform(-30, 30))
            if not 0 <= begin < length:
                continue
            piece = blow[: length - begin] * random.uniform(0.7, 1.0)
            burst[begin : begin + len(piece)] += piece
        time = np.arange(length) / SAMPLE_RATE
        burst += 0.12 * np.sin(2 * np.pi * random.uniform(380, 520) * time + 3 * np.sin(2 * np.pi * 6 * time))
        burst += 0.15 * _band(random.standard_normal(length), 1500, 7000)
        room_left = min(length, count - at)
        sound[at : at + room_left] += burst[:room_left]
        at += length + int(random.uniform(0.3, 1.4) * SAMPLE_RATE)
    return sound


def _compressor(count: int, random: Random) -> Array:
    """A two-cylinder compressor: mains hum and its multiples, puffs, a belt."""
    time = np.arange(count) / SAMPLE_RATE
    turn_hz = random.uniform(14, 18)
    sound = np.zeros(count)
    for multiple in range(1, 9):
        sound += np.sin(2 * np.pi * 50 * multiple * time + random.uniform(0, 6.3)) / multiple
    puff = (0.5 + 0.5 * np.sin(2 * np.pi * 2 * turn_hz * time)) ** 4
    sound += 2.5 * puff * _band(random.standard_normal(count), 60, 900)
    return sound + 0.3 * _band(random.standard_normal(count), 400, 3000)


def _air_hiss(count: int, random: Random) -> Array:
    """A leaking coupling: high, steady, with slow swings."""
    time = np.arange(count) / SAMPLE_RATE
    swing = 1 + 0.3 * np.sin(2 * np.pi * random.uniform(0.2, 0.8) * time + random.uniform(0, 6))
    return swing * (_band(random.standard_normal(count), 2000, 7800) + 0.4 * random.standard_normal(count))


def _grinder(count: int, random: Random) -> Array:
    """An angle grinder: gear whine that sags under load, grit against steel."""
    time = np.arange(count) / SAMPLE_RATE
    load = np.clip(_smooth(random.standard_normal(count), 0.3) * 40, -1, 1)
    whine_hz = random.uniform(480, 620) * (1 - 0.12 * load)
    phase = 2 * np.pi * np.cumsum(whine_hz) / SAMPLE_RATE
    whine = sum(np.sin(k * phase + random.uniform(0, 6)) / k for k in (1, 2, 3, 5, 8))
    grit = _band(random.standard_normal(count), 1800, 7800) * (0.6 + 0.5 * np.abs(load))
    return np.asarray(0.6 * whine + 1.6 * grit + 0.1 * np.sin(2 * np.pi * 100 * time))


def _hammering(count: int, random: Random) -> Array:
    """Single blows on steel, one to three a second, each ringing on."""
    sound = 0.004 * random.standard_normal(count)
    at = int(random.uniform(0, 0.4) * SAMPLE_RATE)
    while at < count:
        blow = _ring(random, (500, 6500), 10, 0.09) * random.uniform(0.6, 1.0)
        piece = blow[: count - at]
        sound[at : at + len(piece)] += piece
        at += int(random.uniform(0.3, 1.0) * SAMPLE_RATE)
    return sound


def _shop(count: int, random: Random) -> Array:
    """All of it at once: compressor and hiss under wrench bursts and a hammer."""
    parts = ((_compressor, 0.5), (_air_hiss, 0.3), (_impact_wrench, 0.8), (_hammering, 0.5))
    return np.asarray(sum(weight * _unit(make(count, random)) for make, weight in parts))


KINDS: dict[str, Callable[[int, Random], Array]] = {
    "impact wrench": _impact_wrench,
    "compressor": _compressor,
    "air hiss": _air_hiss,
    "grinder": _grinder,
    "hammering": _hammering,
    "shop": _shop,
}
"""Every kind of noise by name. Radio talk needs a voice: see `radio`."""


def radio(speech: Samples, seed: int = 0) -> Samples:
    """Speech as a small radio across the bay gives it: narrow, compressed, in the room's echo."""
    narrow = _band(speech.astype(np.float64), 250, 4500)
    squeezed = np.tanh(4 * narrow / (np.abs(narrow).max() + 1e-9))
    return room((0.4 * squeezed).astype(np.float32), seed, reverberation_s=0.5)


def _unit(sound: Array) -> Array:
    return np.asarray(sound / (np.sqrt(np.mean(np.square(sound))) + 1e-12))


def _ring(random: Random, band_hz: tuple[float, float], modes: int, decay_s: float) -> Array:
    time = np.arange(int(8 * decay_s * SAMPLE_RATE)) / SAMPLE_RATE
    sound = 0.5 * random.standard_normal(len(time)) * np.exp(-time / 0.002)
    for _ in range(modes):
        tone = np.sin(2 * np.pi * random.uniform(*band_hz) * time + random.uniform(0, 6.3))
        sound += random.uniform(0.2, 1.0) * tone * np.exp(-time / (decay_s * random.uniform(0.4, 1.4)))
    return sound


def _smooth(sound: Array, seconds: float) -> Array:
    """One-pole average with the time constant given."""
    length = int(6 * seconds * SAMPLE_RATE)
    kernel = np.exp(-np.arange(length) / (seconds * SAMPLE_RATE))
    return _convolve(sound, kernel / kernel.sum())


def _convolve(sound: Array, response: Array) -> Array:
    size = 1 << (len(sound) + len(response) - 2).bit_length()
    spectrum = np.fft.rfft(sound, size) * np.fft.rfft(response, size)
    return np.fft.irfft(spectrum, size)[: len(sound)]


def _band(sound: Array, low_hz: float, high_hz: float) -> Array:
    """Band-pass with soft shoulders, in the frequency domain."""
    size = 1 << max(len(sound) - 1, 1).bit_length()
    frequency = np.fft.rfftfreq(size, 1 / SAMPLE_RATE)
    with np.errstate(divide="ignore", over="ignore"):
        gain = 1 / np.sqrt(1 + (frequency / high_hz) ** 12) / np.sqrt(1 + (low_hz / np.maximum(frequency, 1e-3)) ** 12)
    return np.fft.irfft(np.fft.rfft(sound, size) * gain, size)[: len(sound)]
