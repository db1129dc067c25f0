"""Narrations from sound: how well they are read, what of them reaches the draft, and how fast.

    python -m tests.benchmarks.draft_sound [VOICE ...]

Two narrations spoken by synthesised voices (tests/sound/voices.py; held-out ones unless others are named), read with
and without the leaning towards the trade's words. Word errors are insertions, deletions and swaps by the words said.
Timing is that of this machine at this moment: other work on it makes it slower.
"""

from __future__ import annotations

import re
import sys
import tempfile
import time
from pathlib import Path

import soundfile
from rapidfuzz.distance import Levenshtein
from rich.console import Console
from rich.table import Table

from assistant.card.draft.drafting import draft_of
from assistant.card.draft.errors import DraftError
from assistant.card.draft.narration import Narration, Passage
from assistant.card.draft.sound import stretches
from assistant.card.draft.trade_ear import HELP, trade_reading
from assistant.hearing.files import frames, inspected
from assistant.hearing.speech_model import SpeechModel
from tests.draft.gold import HERE, load_gold, score
from tests.draft.spoken import spoken
from tests.sound.voices import HELD_OUT, missing

NARRATIONS = (HERE / "narrations" / "feed-pump.gold.yaml", HERE / "blind" / "shop-compressor-valve-plate.gold.yaml")


def main() -> None:
    console = Console(width=150)
    model = SpeechModel()
    table = Table(title="Narrations from sound")
    for column in (
        "voice",
        "reading",
        "word errors",
        "actions found",
        "values right",
        "values there",
        "times real time",
    ):
        table.add_column(column, justify="left" if column in ("voice", "reading") else "right")
    for voice in sys.argv[1:] or HELD_OUT:
        if missing(voice):
            console.print(f"{voice}: {missing(voice)}")
            continue
        for name, help_nats in (("plain", 0.0), ("leaning", HELP)):
            table.add_row(voice, name, *_measured(voice, help_nats, model))
    console.print(table)


def _measured(voice: str, help_nats: float, model: SpeechModel) -> list[str]:
    wrong = said = found = wanted = right = drafted = there = values = 0
    seconds = took = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for number, path in enumerate(NARRATIONS):
            gold = load_gold(path)
            text = gold.path.read_text("utf-8")
            file = spoken(text, voice, Path(folder) / f"{number}.wav")
            began = time.perf_counter()
            passages = []
            for utterance in stretches(frames(inspected(file))):
                words, _ = trade_reading(model, utterance, help_nats)
                passages.append(Passage(words, utterance.start_s, utterance.end_s))
            took += time.perf_counter() - began
            seconds += soundfile.info(file).duration
            mine, theirs = _words(" ".join(one.words for one in passages)), _words(text)
            wrong, said = wrong + Levenshtein.distance(mine, theirs), said + len(theirs)
            try:
                held = score(gold, draft_of(Narration(file.name, "sound", tuple(passages))).understanding)
            except DraftError:
                continue
            found, wanted = found + held.actions_found, wanted + held.actions_gold
            right, drafted = right + held.values_said, drafted + held.values_drafted
            there, values = there + held.values_said, values + held.values_gold
    return [
        f"{100 * wrong / said:.0f} %",
        f"{found}/{wanted}",
        f"{right}/{drafted}",
        f"{there}/{values}",
        f"{seconds / took:.0f}",
    ]


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+", text.lower())


if __name__ == "__main__":
    main()
