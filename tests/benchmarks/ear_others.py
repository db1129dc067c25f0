"""Two plainer ways to hear a command, on the same sound: what the ear is measured against."""

import re
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from rapidfuzz import fuzz, process

from assistant.card.model import Card
from assistant.grammar.load import CardGrammar
from assistant.grammar.request import Request
from assistant.hearing.builtin import fitted
from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.hearing.speech_model import SpeechModel
from assistant.hearing.tokens import END
from tests.benchmarks import sayings
from tests.benchmarks.corpus import Spoken, alternatives, in_words, live

Same = Callable[[Request, Request], bool]
AROUND_S = 0.25


def dictated(model: SpeechModel, samples: Samples) -> str:
    """The model's own best text."""
    sound, chances, caches = model.listen(fitted(samples))
    pieces: list[int] = []
    for _ in range(12 + 7 * len(samples) // SAMPLE_RATE):
        piece = int(chances[0].argmax())
        if piece == END:
            break
        pieces.append(piece)
        chances, caches = model.onward(sound, caches, [piece])
    return model.tokens.text(pieces)


def nearest_phrase(
    spoken: list[Spoken], phrases: Mapping[str, Request], model: SpeechModel, same: Same
) -> dict[str, Any]:
    """The same model by free dictation, then the phrase nearest by letters."""
    right, took = 0, []
    texts = list(phrases)
    for piece in spoken:
        began = time.perf_counter()
        said = re.sub(r"[^a-z0-9' ]", "", dictated(model, _cut(piece)).lower().replace("-", " "))
        found = process.extractOne(said, texts, scorer=fuzz.ratio)
        took.append(time.perf_counter() - began)
        right += bool(found) and same(piece.saying.wanted, phrases[found[0]])
    return {"right": right / max(len(spoken), 1), "ms": 1000 * float(np.median(took)) if took else 0.0}


def pocketsphinx_jsgf(spoken: list[Spoken], card: Card, grammar: CardGrammar, same: Same) -> dict[str, Any]:
    """A GMM recogniser with JSGF: the benchmark's own sayings as rules.

    Our grammar files are too wide for it (its graph would not fit in memory), so it gets the narrower task: it
    knows every form of saying that is in the test, and only those.
    """
    try:
        from pocketsphinx import Decoder, get_model_path
    except ImportError:
        return {"right": float("nan"), "ms": float("nan"), "note": "pocketsphinx is not installed"}
    dictionary = Path(get_model_path("en-us/cmudict-en-us.dict"))
    known = {line.split()[0] for line in dictionary.read_text().splitlines() if line}
    rules, lost = _rules(card, known)
    with tempfile.NamedTemporaryFile("w", suffix=".gram") as file:
        file.write("#JSGF V1.0;\ngrammar bay;\n" + rules)
        file.flush()
        decoder = Decoder(jsgf=file.name, samprate=SAMPLE_RATE, loglevel="FATAL")
    right, took = 0, []
    for piece in spoken:
        pcm = (np.clip(_cut(piece), -1, 1) * 32767).astype("<i2").tobytes()
        began = time.perf_counter()
        decoder.start_utt()
        decoder.process_raw(pcm, full_utt=True)
        decoder.end_utt()
        took.append(time.perf_counter() - began)
        found = decoder.hyp()
        request = grammar.parse(found.hypstr, live(piece.saying.state)) if found else None
        right += request is not None and same(piece.saying.wanted, request)
    return {
        "right": right / max(len(spoken), 1),
        "ms": 1000 * float(np.median(took)) if took else 0.0,
        "names that its dictionary lacks": lost,
    }


def _rules(card: Card, known: set[str]) -> tuple[str, list[str]]:
    """JSGF of the benchmark's templates and the card's names, and the names with words that are not `known`."""
    teens = [in_words(number) for number in range(1, 20)]
    tens = [in_words(number) for number in range(20, 100, 10)]
    names = {
        "fastener": [name for each in card.fasteners.values() for name in (each.name, *each.aka)],
        "measure": [name for each in card.measures.values() for name in (each.name, *each.aka)],
        "part": [each.name for each in card.parts.values()],
        "tool": [each.name for each in card.tools.values()],
        "words": list(sayings.WORDS),
    }
    lost = [name for each in names.values() for name in each if not set(name.split()) <= known]
    figures = "(zero | " + " | ".join(in_words(number) for number in range(1, 10)) + ")"
    rules = [f"<below> = {' | '.join(teens)} | ({' | '.join(tens)}) [{' | '.join(teens[:9])}];"]
    rules += ["<number> = [one hundred] <below> | one hundred;", f"<figures> = {figures} {figures} [{figures}];"]
    rules += ["<spoken> = <number>;", "<position> = <below>;", "<torque> = <number> (newton metres | foot pounds);"]
    rules += [f"<length> = (<number> | point {figures} {figures}) millimetres;"]
    for slot, each in names.items():
        rules.append(f"<{slot}> = {' | '.join(name for name in each if name not in lost)};")
    templates = alternatives("\n".join((sayings.COMMANDS, sayings.YES_NO, sayings.FIGURES)))
    usable = [each for each in templates if set(re.sub(r"\{\w+\}", "", each).split()) <= known]
    rules.append("public <said> = " + "\n | ".join(re.sub(r"\{(\w+)\}", r"<\1>", each) for each in usable) + ";")
    return "\n".join(rules), lost


def _cut(piece: Spoken) -> Samples:
    """The utterance as an endpointer would cut it."""
    begin, end = piece.speech_s
    return piece.samples[max(int((begin - AROUND_S) * SAMPLE_RATE), 0) : int((end + AROUND_S) * SAMPLE_RATE)]
