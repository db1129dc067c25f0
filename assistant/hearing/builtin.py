"""The builtin English engine: the model of `speech_model` searched inside the grammar by `beam`."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from pathlib import Path

import numpy as np

from assistant.grammar.acceptor import Acceptor
from assistant.grammar.request import Request
from assistant.hearing.beam import Effort, Findings, Sum, Text, listened, search
from assistant.hearing.decide import (
    ASKED_IF_DICTATED,
    THRESHOLDS,
    Evidence,
    Thresholds,
    decide,
    letters_missing,
    likeness,
)
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
SILENCE_AROUND_S = 0.2
"""Of silence before and after every utterance: the model was taught on sentences, not on words cut close. One phrase
in twenty more is read right with it (held-in voices, all noises).
"""
UNHEARD_S = 0.5
"""Of silence: what the model writes for that, it writes with nothing to hear."""
LEFT_OUT_COST = 0.8
"""Nats a piece for a phrase that is shorter than the free reading by all of it, beyond MAY_BE_MISSING."""
MAY_BE_MISSING = 0.2
"""Share of the letters; spellings differ by as much."""
WALKS_KEPT = 4
"""Families of grammars (cards) whose walks are kept."""


@dataclass(frozen=True, slots=True)
class _Found:
    """A text and what it asks for."""

    reading: Reading
    text: Text
    missing: float
    """Share of the free reading's letters that it is too short by."""

    @property
    def standing(self) -> float:
        """What readings compete by, nats a piece: the sound's evidence and the grammar's weight. Free words fit all
        sound: what takes them must fit the better where it is grammar. A phrase that leaves out what else was said
        ("torque the bolts", the value left off) must fit the better too.
        """
        weight = self.reading.request.weight / (len(self.text.pieces) + 1)
        cost = FREE_WORDS_COST if self.text.is_free else LEFT_OUT_COST * max(0.0, self.missing - MAY_BE_MISSING)
        return self.text.rank + weight - cost

    def lead(self, other: "_Found") -> float:
        """By how much this one is likelier, nats in sum, by its sound alone and by its standing, whichever is less;
        means are compared, since figures and words differ in length.
        """
        length = min(len(self.text.pieces), len(other.text.pieces)) + 1
        return min(self.text.score - other.text.score, self.standing - other.standing) * length


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
        hiss = np.random.default_rng(0).standard_normal(int(UNHEARD_S * SAMPLE_RATE)) * 1e-3
        self._unheard = listened(self.model, hiss.astype(np.float32))

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
        search(self.model, listened(self.model, fitted(hiss)), self._unheard, walk, start, self._effort)

    def hear(self, utterance: Utterance, acceptor: Acceptor, reads: Reads) -> Heard:
        """Reads one utterance inside the grammar; the numbers in it are held against what they sound like."""
        began = self._clock()
        walk = self.walk(acceptor)
        start = walk.start(acceptor)
        findings = self._searched(fitted(utterance.samples), walk, start)
        texts = [*findings.inside, *self._rivals(findings, walk, start)]
        free = self.model.tokens.text(findings.free.pieces)
        readings = self._readings(texts, free, walk, start, reads)
        heard = Heard(
            free=free,
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
        findings = search(self.model, sound, self._unheard, walk, start, self._effort)
        if self._is_good(findings) or len(samples) > SECOND_LOOK_S * SAMPLE_RATE:
            return findings
        return search(self.model, sound, self._unheard, walk, start, self._second_effort)

    def _is_good(self, findings: Findings) -> bool:
        """True where the best text has the support of the sound and leaves nothing out that was said."""
        if not findings.inside or findings.inside[0].rank < self._thresholds.second_look:
            return False
        spelled = self.model.tokens.text
        best, free = spelled(findings.inside[0].pieces), spelled(findings.free.pieces)
        return letters_missing(free, best) <= MAY_BE_MISSING

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
        heard = self.model.score(findings.sound, wanted)
        unheard = self.model.score(self._unheard.sound, wanted)
        rivals = []
        for pieces, with_sound, without in zip(wanted, heard, unheard, strict=True):
            whole = Sum(float(with_sound.sum()), float(without.sum()))
            rivals.append(Text(pieces, whole, whole, len(pieces) + 1))
        return rivals

    def _readings(self, texts: list[Text], free: str, walk: Walk, start: Places, reads: Reads) -> list[_Found]:
        """Best text of each different request, best first."""
        candidates = []
        for text in texts:
            words = walk.written(start, self.model.tokens.text(text.pieces))
            request = reads(words)
            if request is not None:
                candidates.append(_Found(Reading(words, request, text.score), text, letters_missing(free, words)))
        found: dict[object, _Found] = {}
        for candidate in sorted(candidates, key=lambda each: each.standing, reverse=True):
            # Free words differ by a comma; what was asked for does not.
            request = candidate.reading.request
            found.setdefault(request.name if candidate.text.is_free else _asked(request), candidate)
        return list(found.values())

    def _begun(self, heard: Heard, words: str, findings: Findings) -> Heard:
        """The same where what was said only begins a phrase; unchanged where even that was not meant for us."""
        begun = findings.hanging
        if begun is None:
            return heard
        contrast = begun.score - findings.free.score
        evidence = Evidence(begun.score, contrast, begun.rank, likeness(heard.free, words), 0.0)
        if decide(evidence, self._thresholds) is Decision.IGNORE:
            return heard
        return replace(heard, unfinished=words, decision=Decision.AGAIN)

    def _in_doubt(self, best: _Found, other: _Found) -> Iterator[str]:
        """Slots whose number the other reading makes doubtful."""
        lead = best.lead(other)
        for slot, mine, yours in _numbers_apart(best.reading.request, other.reading.request):
            limits = self._thresholds
            if lead < (limits.doubt_alike if _sound_alike(mine, yours) else limits.doubt):
                yield slot

    def _judged(self, heard: Heard, readings: list[_Found], free: Text) -> Heard:
        best, others = readings[0], readings[1:]
        text = best.text
        score = min(text.score, text.head_score)
        evidence = Evidence(
            score=score,
            contrast=score - free.score,
            support=text.rank,
            likeness=likeness(heard.free, best.reading.words),
            lead=best.lead(others[0]) if others else float("inf"),
        )
        decision = decide(evidence, self._thresholds)
        if decision is Decision.ACT and text.is_free and best.reading.request.name in ASKED_IF_DICTATED:
            decision = Decision.CONFIRM
        return replace(
            heard,
            best=best.reading,
            others=tuple(other.reading for other in others[:5]),
            contrast=evidence.contrast,
            margin=text.score - others[0].text.score if others else float("inf"),
            doubtful=tuple(dict.fromkeys(slot for other in others for slot in self._in_doubt(best, other))),
            decision=decision,
        )


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


def _only_begun(findings: Findings, readings: list[_Found]) -> bool:
    """True where the beginning of a phrase fits the sound clearly better than any whole phrase."""
    if findings.hanging is None:
        return False
    return not readings or readings[0].text.rank < findings.hanging.rank - UNFINISHED_BETTER


def fitted(samples: Samples, around_s: float = SILENCE_AROUND_S) -> Samples:
    """The samples as the model wants them: long enough, not too long, at an even loudness, silence around them."""
    samples = samples[: int(LONGEST_S * SAMPLE_RATE)]
    short = int(LEAST_S * SAMPLE_RATE) - len(samples)
    if short > 0:
        samples = np.pad(samples, (short // 2, short - short // 2))
    peak = float(np.abs(samples).max())
    even = samples if peak == 0 else np.asarray(samples * (0.5 / peak), dtype=np.float32)
    return np.pad(even, int(around_s * SAMPLE_RATE))


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
