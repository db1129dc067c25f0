"""The corpus: sayings for a card, spoken by several voices, in several noises; built on demand, the same for a seed.

    python -m tests.benchmarks.corpus --out corpus/ --count 60 --seed 1

writes WAV files and a manifest (JSON lines), for listening. The benchmark builds the same in memory.

Two splits, `in` and `out`, share neither voices nor sayings (a saying's split is drawn from its template's
hash): thresholds may be set on `in` only. Levels: speech by its active level in the manner of ITU-T P.56, noise
by its mean power (tests/sound/noises.py).
"""

import argparse
import json
import re
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np
import soundfile
from num2words import num2words

from assistant.card.load import load_card
from assistant.card.model import Card, Fastener, Measure
from assistant.grammar.live import Ask, Live, Pending, live_for
from assistant.grammar.load import CardGrammar
from assistant.grammar.request import Request
from assistant.hearing.heard import SAMPLE_RATE, Samples
from tests.benchmarks import sayings
from tests.sound import noises, voices

CARD = Path(__file__).parents[2] / "procedures" / "gearbox-and-clutch.yaml"
CONDITIONS = ("clean", "15 dB", "10 dB", "5 dB", "room", "headset 15 dB")
"""Clean is a quiet microphone; `room` adds the echo of a small workshop at 20 dB; `headset` is 300 to 3400 Hz."""
SPEEDS = (0.9, 1.0, 1.15)
SILENCE_S = 0.5
PENDING = {"work": Ask(), "yes-no": Ask(Pending.YES_NO), "figures": Ask(Pending.DIGITS), "bolting": Ask(bolting=True)}


@dataclass(frozen=True, slots=True)
class Saying:
    """Something said to the assistant, and what it asks for."""

    text: str
    state: str
    """Key of PENDING: what the assistant waits for meanwhile."""
    wanted: Request


@dataclass(frozen=True, slots=True)
class Spoken:
    """A saying as sound."""

    saying: Saying
    voice: str
    speed: float
    condition: str
    noise: str
    """Kind of noise; empty where there is none."""
    samples: Samples
    speech_s: tuple[float, float]
    """Begin and end of the speech in the samples, seconds."""


def loaded() -> tuple[Card, CardGrammar]:
    """The card of the benchmark and its grammar."""
    card = load_card(CARD)
    return card, CardGrammar(card, people=["Mara", "Jonas"], attention_name="Bay")


def live(state: str) -> Live:
    """The rules that are live in a state."""
    return live_for(PENDING[state])


def sayings_for(card: Card, grammar: CardGrammar, split: str, count: int, seed: int) -> tuple[list[Saying], list[str]]:
    """`count` different sayings of a split, every template in turn; and those that the grammar cannot read."""
    random = Random(f"{split}{seed}")
    templates = [(state, template) for state, template in _templates() if split_of(template) == split]
    found: dict[str, Saying] = {}
    unread: list[str] = []
    while len(found) < count:
        random.shuffle(templates)
        before = len(found)
        for state, template in templates:
            text = _filled(template, card, random)
            wanted = grammar.parse(text, live(state))
            if wanted is None:
                unread.append(text)
            elif text not in found and len(found) < count:
                found[text] = Saying(text, state, wanted)
        if len(found) == before and len(unread) > 20 * count:
            break
    return list(found.values()), sorted(set(unread))


def split_of(template: str) -> str:
    """The split of a template: two in five are held in."""
    return "in" if zlib.crc32(template.encode()) % 5 < 2 else "out"


def spoken(
    said: list[Saying], split: str, condition: str, seed: int, chosen: tuple[str, ...] | None = None
) -> Iterator[Spoken]:
    """Each saying by one of the split's voices in turn, in one condition."""
    speakers = voices.available(chosen or (voices.HELD_IN if split == "in" else voices.HELD_OUT))
    kinds = tuple(noises.KINDS)
    for number, saying in enumerate(said):
        voice = speakers[number % len(speakers)]
        speed = SPEEDS[(number // len(speakers)) % len(SPEEDS)]
        # One step further with each round of the voices: every voice meets every noise.
        kind = kinds[(number + number // len(speakers) + seed) % len(kinds)]
        speech = voices.speak(saying.text, voice, speed)
        samples = in_condition(speech, condition, kind, seed + number)
        begin = SILENCE_S
        yield Spoken(
            saying,
            voice,
            speed,
            condition,
            "" if condition == "clean" else kind,
            samples,
            (begin, begin + len(speech) / SAMPLE_RATE),
        )


def in_condition(speech: Samples, condition: str, kind: str, seed: int) -> Samples:
    """Speech with SILENCE_S of the condition's background before and after it."""
    if condition == "room":
        speech = noises.room(speech, seed)
    seconds = len(speech) / SAMPLE_RATE + 2 * SILENCE_S
    if condition == "clean":
        return noises.mix(speech, noises.quiet(seconds, seed), snr_db=50)
    snr_db = 20.0 if condition == "room" else float(re.findall(r"\d+", condition)[0])
    mixed = noises.mix(speech, noises.noise(kind, seconds, seed), snr_db)
    return noises.headset(mixed) if condition.startswith("headset") else mixed


def talk(split: str, minutes: float, seed: int) -> Iterator[tuple[str, Samples]]:
    """Talk not meant for the assistant, a stretch of some sentences at a time: (what it is, sound)."""
    random = Random(f"talk{split}{seed}")
    speakers = voices.available(voices.HELD_IN if split == "in" else voices.HELD_OUT)
    templates = [template for template in alternatives(sayings.TALK) if split_of(template) == split]
    total, number = 0.0, 0
    while total < minutes * 60:
        pieces = []
        voice = random.choice(speakers)
        for _ in range(random.randint(2, 6)):
            text = re.sub(
                r"\{(\w+)\}", lambda slot: random.choice(sayings.TALK_WORDS[slot[1]]), random.choice(templates)
            )
            pieces.append(voices.speak(text, voice, random.choice(SPEEDS)))
            pieces.append(np.zeros(int(random.uniform(0.15, 0.9) * SAMPLE_RATE), dtype=np.float32))
        speech = np.concatenate(pieces)
        kind = random.choice(("radio", "radio", "near", "shop"))
        if kind == "radio":
            speech = noises.radio(speech, seed + number)
        hiss = noises.quiet(len(speech) / SAMPLE_RATE + 1, seed + number)
        if kind == "shop":
            hiss = noises.noise("shop", len(speech) / SAMPLE_RATE + 1, seed + number)
        sound = noises.mix(speech, hiss, 15.0 if kind == "shop" else 45.0, level_db=-30.0)
        total += len(sound) / SAMPLE_RATE
        number += 1
        yield f"{kind}, {voice}", sound


def recordings() -> Iterator[tuple[str, Samples]]:
    """Real people reading and talking: Debian's pocketsphinx-testdata (librivox) and the recordings in the
    moonshine-voice wheel; whatever of them is installed.
    """
    import importlib.util

    import soxr

    places = [Path("/usr/share/pocketsphinx/test/data/librivox")]
    wheel = importlib.util.find_spec("moonshine_voice")
    places += [Path(place) / "assets" for place in (wheel.submodule_search_locations or [])] if wheel else []
    for place in places:
        for file in sorted(place.glob("*.wav")):
            if file.stem in ("success", "error"):
                continue
            sound, rate = soundfile.read(file, dtype="float32", always_2d=True)
            mono = soxr.resample(sound.mean(axis=1), rate, SAMPLE_RATE).astype(np.float32)
            yield file.stem, np.concatenate([noises.quiet(0.5), mono, noises.quiet(1.0)])


def _templates() -> Iterator[tuple[str, str]]:
    for template in alternatives(sayings.COMMANDS):
        yield ("bolting" if "click" in template else "work"), template
    for template in alternatives(sayings.YES_NO):
        yield "yes-no", template
    for template in alternatives(sayings.FIGURES):
        yield "figures", template


def alternatives(text: str) -> list[str]:
    """The sayings of a block of text, parted by bars and lines."""
    return [part.strip() for line in text.splitlines() for part in line.split("|") if part.strip()]


def _filled(template: str, card: Card, random: Random) -> str:
    fillings = {
        "fastener": lambda: random.choice(_names(card.fasteners)),
        "measure": lambda: random.choice(_lengths(card) if "{length}" in template else _names(card.measures)),
        "part": lambda: random.choice([part.name for part in card.parts.values()]),
        "tool": lambda: random.choice([tool.name for tool in card.tools.values()]),
        "number": lambda: in_words(random.choice((2, 3, 5, 7, 8, 10, 12, 14, 15, 16, 18, 20, 30, 40))),
        "position": lambda: in_words(random.randint(1, 12)),
        "torque": lambda: _torque(random),
        "length": lambda: _length(random),
        "figures": lambda: " ".join(in_words(int(figure)) for figure in str(random.randint(10, 180))),
        "spoken": lambda: in_words(random.randint(2, 180)),
        "words": lambda: random.choice(sayings.WORDS),
    }
    return re.sub(r"\{(\w+)\}", lambda slot: fillings[slot[1]](), template)


def in_words(number: int) -> str:
    """A whole number as people say it."""
    return num2words(number).replace("-", " ").replace(",", "").replace(" and ", " ")


def _torque(random: Random) -> str:
    unit, low, high = random.choice((("newton metres", 6, 190), ("newton metres", 6, 190), ("foot pounds", 10, 140)))
    value = random.choice((random.randint(low, high), random.choice((13, 14, 15, 16, 18, 30, 40, 50, 60, 80, 90, 115))))
    return f"{in_words(value)} {unit}"


def _length(random: Random) -> str:
    if random.random() < 0.5:
        return f"point {in_words(random.randint(0, 9))} {in_words(random.randint(1, 9))} millimetres"
    return f"{in_words(random.randint(2, 60))} millimetres"


def _names(kind: Mapping[str, Fastener] | Mapping[str, Measure]) -> list[str]:
    return [name for thing in kind.values() for name in (thing.name, *thing.aka)]


def _lengths(card: Card) -> list[str]:
    """Names of the measures that are read in millimetres."""
    return _names({key: each for key, each in card.measures.items() if each.unit == "mm"})


def main() -> None:
    """Writes a small corpus to listen to."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--out", type=Path, required=True)
    options.add_argument("--count", type=int, default=60, help="sayings a split and condition")
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    card, grammar = loaded()
    chosen.out.mkdir(parents=True, exist_ok=True)
    with (chosen.out / "manifest.jsonl").open("w") as manifest:
        for split in ("in", "out"):
            said, _ = sayings_for(card, grammar, split, chosen.count, chosen.seed)
            for condition in CONDITIONS:
                for number, piece in enumerate(spoken(said, split, condition, chosen.seed)):
                    name = f"{split}-{condition.replace(' ', '-')}-{number:03}.wav"
                    soundfile.write(chosen.out / name, piece.samples, SAMPLE_RATE)
                    line = {"file": name, "words": piece.saying.text, "voice": piece.voice, "noise": piece.noise}
                    manifest.write(json.dumps(line) + "\n")


if __name__ == "__main__":
    main()
