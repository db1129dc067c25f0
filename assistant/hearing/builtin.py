"""The builtin English engine: the model of `speech_model` searched inside the grammar by `beam`."""

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from pathlib import Path

import numpy as np

from assistant.grammar.acceptor import Acceptor
from assistant.grammar.request import Request
from assistant.hearing.beam import Effort, Findings, Text, listened, search
from assistant.hearing.decide import THRESHOLDS, Evidence, Thresholds, decide, likeness
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Reading, Samples, Utterance
from assistant.hearing.recogniser import Reads
from assistant.hearing.sound_alikes import exchanged, sounds_like
from assistant.hearing.speech_model import SpeechModel
from assistant.hearing.walk import Places, Walk

LEAST_S = 0.5
"""The model wants some sound around a short word; shorter utterances are padded to this."""
LONGEST_S = 30.0
"""Longer than any phrase: more is cut, since the model's work grows with the square of it."""
UNFINISHED_BETTER = 0.7
"""Nats a piece by which the beginning of a phrase must beat every whole one to count as what was said."""
SECOND_LOOK_S = 6.0
"""Longer sound is talk or a note: neither gains by a wider search."""
FREE_WORDS_COST = 0.8
"""Nats a piece that a reading with free words must lead one without."""
WALKS_KEPT = 4
"""Families of grammars (cards) whose walks are kept."""


class BuiltinRecogniser:
    """Reads English with the model in the moonshine-voice wheel; nothing to download."""

    name = "builtin"

    def __init__(
        self,
        model: SpeechModel | None = None,
        *,
        folder: Path | None = None,
        threads: int = 2,
        effort: Effort | None = None,
        second_effort: Effort | None = None,
        thresholds: Thresholds = THRESHOLDS,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        """`threads` is the most that one reading uses; `clock`, seconds, only measures `Heard.ms`."""
        self.model = model or SpeechModel(folder, threads)
        self._effort = effort or Effort()
        self._second_effort = second_effort or Effort(slots=32, window=20.0, lead=9.0)
        self._thresholds = thresholds
        self._clock = clock
        self._walks: dict[int, tuple[object, Walk]] = {}

    def walk(self, acceptor: Acceptor) -> Walk:
        """The walk of this acceptor's family, kept from one utterance to the next."""
        family = getattr(acceptor, "family", acceptor)
        key = id(family)
        if key not in self._walks:
            if len(self._walks) >= WALKS_KEPT:
                self._walks.pop(next(iter(self._walks)))
            self._walks[key] = (family, Walk(acceptor, self.model.tokens))
        return self._walks[key][1]

    def warm_up(self, acceptor: Acceptor) -> None:
        """Does beforehand what the first utterance of a card would wait for: some tenths of a second."""
        walk = self.walk(acceptor)
        start = walk.start(acceptor)
        walk.onward(start)
        hiss = np.random.default_rng(0).standard_normal(SAMPLE_RATE).astype(np.float32)
        search(self.model, listened(self.model, fitted(hiss)), walk, start, self._effort)

    def hear(self, utterance: Utterance, acceptor: Acceptor, reads: Reads) -> Heard:
        """Reads one utterance inside the grammar; the numbers in it are held against what they sound like."""
        began = self._clock()
        walk = self.walk(acceptor)
        start = walk.start(acceptor)
        findings = self._searched(fitted(utterance.samples), walk, start)
        texts = [*findings.inside, *self._rivals(findings, walk, start)]
        readings = self._readings(texts, walk, start, reads)
        heard = Heard(
            free=self.model.tokens.text(findings.free.pieces),
            best=None,
            start_s=utterance.start_s,
            end_s=utterance.end_s,
            clip=utterance.samples,
        )
        if readings:
            heard = self._judged(heard, readings, findings.free)
        if findings.hanging and _only_begun(findings, readings):
            heard = self._begun(heard, walk.spelled(start, self.model.tokens.text(findings.hanging.pieces)), findings)
        return replace(heard, ms=(self._clock() - began) * 1000)

    def _searched(self, samples: Samples, walk: Walk, start: Places) -> Findings:
        """A narrow search, which finds what was said clearly; and a wide one where it found nothing good."""
        sound = listened(self.model, samples)
        findings = search(self.model, sound, walk, start, self._effort)
        good = findings.inside and findings.inside[0].score - findings.free.score >= self._thresholds.second_look
        if good or len(samples) > SECOND_LOOK_S * SAMPLE_RATE:
            return findings
        return search(self.model, sound, walk, start, self._second_effort)

    def _rivals(self, findings: Findings, walk: Walk, start: Places) -> list[Text]:
        """The best text again with its numbers spelled otherwise and exchanged for what they sound like."""
        if not findings.inside or findings.inside[0].is_free:
            return []
        best = self.model.tokens.text(findings.inside[0].pieces)
        known = {text.pieces for text in findings.inside}
        wanted = []
        for other, _ in exchanged(best):
            pieces = self.model.tokens.encode(other)
            if pieces not in known and walk.may_end(walk.along(start, other)):
                wanted.append(pieces)
        if not wanted:
            return []
        scores = self.model.score(findings.sound, wanted)
        rivals = []
        for pieces, score in zip(wanted, scores, strict=True):
            total = float(score.sum())
            rivals.append(Text(pieces, total, total, len(pieces) + 1))
        return rivals

    def _readings(self, texts: list[Text], walk: Walk, start: Places, reads: Reads) -> list[tuple[Reading, Text]]:
        """Best text of each different request, best first."""
        found: dict[object, tuple[Reading, Text]] = {}
        for text in sorted(texts, key=_rank, reverse=True):
            words = walk.written(start, self.model.tokens.text(text.pieces))
            request = reads(words)
            if request is None:
                continue
            # Free words differ by a comma; what was asked for does not.
            key = request.name if text.is_free else _asked(request)
            if key not in found:
                found[key] = (Reading(words, request, text.score), text)
        return list(found.values())

    def _begun(self, heard: Heard, words: str, findings: Findings) -> Heard:
        """The same where what was said only begins a phrase; unchanged where even that was not meant for us."""
        begun = findings.hanging
        if begun is None:
            return heard
        contrast = begun.score - findings.free.score
        evidence = Evidence(begun.score, contrast, likeness(heard.free, words), 0.0)
        if decide(evidence, self._thresholds) is Decision.IGNORE:
            return heard
        return replace(heard, unfinished=words, decision=Decision.AGAIN)

    def _in_doubt(self, best: Reading, text: Text, other: Reading, its: Text) -> Iterator[str]:
        """Slots whose number the other reading makes doubtful."""
        lead = _sum_apart(text, its)
        for slot, mine, yours in _numbers_apart(best.request, other.request):
            limits = self._thresholds
            if lead < (limits.doubt_alike if _sound_alike(mine, yours) else limits.doubt):
                yield slot

    def _judged(self, heard: Heard, readings: list[tuple[Reading, Text]], free: Text) -> Heard:
        best, text = readings[0]
        others = tuple(reading for reading, _ in readings[1:6])
        contrast = min(text.score, text.head_score) - free.score
        margin = best.score - others[0].score if others else float("inf")
        doubtful = tuple(
            dict.fromkeys(slot for other, its in readings[1:] for slot in self._in_doubt(best, text, other, its))
        )
        evidence = Evidence(
            score=min(text.score, text.head_score),
            contrast=contrast,
            likeness=likeness(heard.free, best.words),
            lead=_sum_apart(text, readings[1][1]) if others else float("inf"),
        )
        return replace(
            heard,
            best=best,
            others=others,
            contrast=contrast,
            margin=margin,
            doubtful=doubtful,
            decision=decide(evidence, self._thresholds),
        )


def _rank(text: Text) -> float:
    """What texts compete by. Free words fit all sound: what takes them must fit the better where it is grammar."""
    return min(text.score, text.head_score) - (FREE_WORDS_COST if text.is_free else 0.0)


def _sum_apart(one: Text, other: Text) -> float:
    """By how much one text is likelier, nats in sum; means are compared, since figures and words differ in length."""
    return (one.score - other.score) * (min(len(one.pieces), len(other.pieces)) + 1)


def _sound_alike(one: object, other: object) -> bool:
    """True where two numbers are taken for each other by ear; for readings with decimals, figure by figure."""
    try:
        mine, yours = Decimal(str(one)), Decimal(str(other))
    except InvalidOperation:
        return False
    if mine == mine.to_integral_value() and yours == yours.to_integral_value():
        return int(yours) in sounds_like(int(mine))
    return mine.as_tuple().exponent == yours.as_tuple().exponent and all(
        a == b or {a, b} == {5, 9} for a, b in zip(mine.as_tuple().digits, yours.as_tuple().digits, strict=False)
    )


def _only_begun(findings: Findings, readings: list[tuple[Reading, Text]]) -> bool:
    """True where the beginning of a phrase fits the sound clearly better than any whole phrase."""
    if findings.hanging is None:
        return False
    return not readings or readings[0][1].score < findings.hanging.score - UNFINISHED_BETTER


def fitted(samples: Samples) -> Samples:
    """The samples as the model wants them: long enough, not too long, at an even loudness."""
    samples = samples[: int(LONGEST_S * SAMPLE_RATE)]
    short = int(LEAST_S * SAMPLE_RATE) - len(samples)
    if short > 0:
        samples = np.pad(samples, (short // 2, short - short // 2))
    peak = float(np.abs(samples).max())
    return samples if peak == 0 else np.asarray(samples * (0.5 / peak), dtype=np.float32)


def _asked(request: Request) -> object:
    """What makes two requests the same: name and slots, not the words."""
    slots = []
    for name, value in sorted(request.slots.items()):
        slots.append((name, getattr(value, "value", value), getattr(value, "unit", "")))
    return request.name, tuple(slots)


def _numbers_apart(one: Request, other: Request) -> list[tuple[str, object, object]]:
    """Slots of two like requests that hold different numbers: name, the one's, the other's."""
    if one.name != other.name or one.slots.keys() != other.slots.keys():
        return []
    apart: list[tuple[str, object, object]] = []
    for name, value in one.slots.items():
        theirs = other.slots[name]
        mine, yours = getattr(value, "value", value), getattr(theirs, "value", theirs)
        if mine != yours and not isinstance(mine, str) and not isinstance(yours, str):
            apart.append((name, mine, yours))
    return apart
