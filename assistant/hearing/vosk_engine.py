"""The vosk engine: any installed vosk model, for languages that the builtin engine does not speak.

Two recognisers hear the same sound, one that knows only the grammar's phrases and one that knows the whole
language. The grammar's own confidence reads 1.0 on unrelated talk, and some models have no word for "anything
else"; what tells talk from commands is how much worse the grammar explains the sound than the language does,
for each second of it. The grammar recogniser also strings phrases together: what is not one whole phrase counts
for nothing.
"""

import json
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import vosk

from assistant.grammar.acceptor import Acceptor
from assistant.hearing.errors import ModelError
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Reading, Samples, Utterance
from assistant.hearing.models import usable
from assistant.hearing.recogniser import Reads

MOST_PHRASES = 20_000
PAD_S = 0.3
"""Seconds of near-silence around the sound: the model wants to settle first."""
ALTERNATIVES = 4


@dataclass(frozen=True, slots=True)
class VoskThresholds:
    """Grammar's log-likelihood less the free recogniser's, for each second of speech.

    Set on synthesised Korean (four espeak-ng voices, two speeds): commands read right lay above -22, the median
    at 0; other people's talk never gave one whole phrase, and lay below -3.5 even where single words fitted.
    """

    act: float = -3.0
    confirm: float = -10.0
    again: float = -22.0
    margin: float = 0.3
    """Log-likelihood in sum by which the best phrase must lead the next to be acted on."""


@dataclass(frozen=True, slots=True)
class MissingWords:
    """A phrase that the model cannot hear, since it does not know all its words."""

    phrase: str
    words: tuple[str, ...]
    """Those that the model does not know."""


class VoskRecogniser:
    """Reads any language of which a vosk model is installed."""

    name = "vosk"

    def __init__(
        self,
        folder: Path,
        phrases: Iterable[str],
        *,
        thresholds: VoskThresholds | None = None,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        """Loads the model in `folder`; raises ModelError where it is none.

        vosk takes a list of `phrases`, most useful first, not a grammar: what is live at the moment is then sorted
        out by the reading of the text. `clock`, seconds, only measures.
        """
        vosk.SetLogLevel(-2)
        try:
            self._model = vosk.Model(str(usable(folder)))
        except ModelError:
            raise
        except Exception as error:  # the library raises nothing more exact
            raise ModelError(f"the vosk library cannot open the model {folder}; it may be damaged") from error
        self._thresholds = thresholds or VoskThresholds()
        self._clock = clock
        heard = list(islice(phrases, MOST_PHRASES))
        self.deaf_to = self.missing_words(heard)
        """Phrases that this model cannot hear."""
        deaf = {missing.phrase for missing in self.deaf_to}
        listed = [phrase for phrase in heard if phrase not in deaf]
        self._listed = json.dumps(listed, ensure_ascii=False) if listed else ""  # the library reads no \u escapes

    def missing_words(self, phrases: Iterable[str]) -> tuple[MissingWords, ...]:
        """Phrases with words that the model does not know; the library would drop those words unsaid."""
        known: dict[str, bool] = {}

        def unknown(word: str) -> bool:
            if word not in known:
                known[word] = self._model.vosk_model_find_word(word) >= 0
            return not known[word]

        found = []
        for phrase in phrases:
            words = tuple(dict.fromkeys(filter(unknown, phrase.split())))
            if words:
                found.append(MissingWords(phrase, words))
        return tuple(found)

    def warm_up(self, acceptor: Acceptor) -> None:
        """Nothing to do: the library has its graph from the start."""

    def hear(self, utterance: Utterance, acceptor: Acceptor, reads: Reads) -> Heard:
        """Reads one utterance by grammar and freely, and holds the two against each other."""
        began = self._clock()
        pcm = _as_pcm(utterance.samples)
        free = self._alternatives(vosk.KaldiRecognizer(self._model, SAMPLE_RATE), pcm)[0]
        heard = Heard(
            free=free["text"],
            best=None,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            clip=utterance.samples,
        )
        if self._listed:
            inside = self._alternatives(vosk.KaldiRecognizer(self._model, SAMPLE_RATE, self._listed), pcm)
            heard = self._judged(heard, inside, free["confidence"], len(utterance.samples) / SAMPLE_RATE, reads)
        return replace(heard, ms=(self._clock() - began) * 1000)

    def _alternatives(self, recogniser: Any, pcm: bytes) -> list[dict[str, Any]]:
        recogniser.SetMaxAlternatives(ALTERNATIVES)
        recogniser.AcceptWaveform(pcm)
        found: list[dict[str, Any]] = json.loads(recogniser.FinalResult())["alternatives"]
        return found

    def _judged(self, heard: Heard, inside: list[dict[str, Any]], free: float, seconds: float, reads: Reads) -> Heard:
        readings: dict[object, tuple[Reading, float]] = {}
        for alternative in inside:
            request = reads(alternative["text"]) if alternative["text"] else None
            if request is not None:
                contrast = (alternative["confidence"] - free) / max(seconds, 0.3)
                key = (request.name, tuple(sorted((name, str(value)) for name, value in request.slots.items())))
                reading = Reading(alternative["text"], request, contrast)
                readings.setdefault(key, (reading, alternative["confidence"]))
        if not readings:
            return heard
        (best, likelihood), *rest = readings.values()
        first = inside[0]
        # Where the best string of words is no whole phrase, the phrase behind it was not what was said.
        contrast = best.score - max(first["confidence"] - likelihood, 0.0) / max(seconds, 0.3)
        margin = likelihood - rest[0][1] if rest else float("inf")
        return replace(
            heard,
            best=best,
            others=tuple(reading for reading, _ in rest),
            contrast=contrast,
            margin=margin,
            decision=self._decided(contrast, margin, first["text"] == best.words),
        )

    def _decided(self, contrast: float, margin: float, whole: bool) -> Decision:
        limits = self._thresholds
        if contrast < limits.again or not whole:
            return Decision.IGNORE
        if contrast < limits.confirm:
            return Decision.AGAIN
        return Decision.CONFIRM if contrast < limits.act or margin < limits.margin else Decision.ACT


def _as_pcm(samples: Samples) -> bytes:
    hiss = np.random.default_rng(0).standard_normal(int(PAD_S * SAMPLE_RATE)).astype(np.float32) * 1e-4
    padded = np.concatenate([hiss, samples, hiss])
    return bytes((np.clip(padded, -1, 1) * 32767).astype("<i2").tobytes())
