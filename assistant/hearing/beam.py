"""The search for the best texts that a grammar allows, and beside it the free reading, in the same runs.

A slot of the beam is a history of pieces, not a grammar position: all positions that share their pieces so far
share a slot, or one comma would fill the beam with every word that could follow it; and of histories that differ
in capitals and marks alone only the best is kept. Histories of the same length compete by summed
log-probability; finished texts compete by the mean for each piece, since the plain sum prefers short phrases.

What the model would write with nothing to hear is no evidence for what was said: phrases that it likes anyway
("i'll be back") would win over rare ones ("front propshaft yoke nuts") in any noise. So a share of that, EXPECTED,
is taken off: the model's own language model is subtracted, as is common practice with recognisers of this kind.
"""

from dataclasses import dataclass

import numpy as np

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.hearing.speech_model import Caches, Floats, Sound, SpeechModel
from assistant.hearing.tokens import END
from assistant.hearing.walk import FREE, Places, Walk

PIECES_A_SECOND = 7.0
"""People say no more pieces than this; what writes more is looping."""
PIECES_AT_LEAST = 12
HOPELESS_FROM = 8
"""Pieces after which a search is given up that lies HOPELESS behind the free reading; the first word of a phrase may
cost much and be made up for, eight pieces are not."""
HOPELESS = 2.6
"""Nats a piece."""
UNSUPPORTED = -1.2
"""Nats a piece: the evidence of the sound under which a search is given up, from the same piece on;
a phrase that was said ends far above it."""
EXPECTED = 0.4
"""Share of the log-probability with nothing to hear that is taken off; set on the held-in voices, where 0.3 to 0.5
differ little and 0 finds one phrase in twelve less."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How wide the search is."""

    slots: int = 10
    """Histories kept at each step."""
    window: float = 12.0
    """Nats; a history this far behind the best of its length is dropped."""
    lead: float = 7.0
    """Nats; a history whose sum is this far behind a finished text is dropped."""
    keep: int = 16
    """Finished texts handed back."""


@dataclass(frozen=True, slots=True)
class Sum:
    """Log-probabilities of some pieces, summed, nats."""

    heard: float = 0.0
    """With the sound."""
    unheard: float = 0.0
    """With nothing to hear."""

    @property
    def evidence(self) -> float:
        """What speaks for the pieces because of the sound."""
        return self.heard - EXPECTED * self.unheard

    def plus(self, heard: float, unheard: float) -> "Sum":
        """With one more piece."""
        return Sum(self.heard + heard, self.unheard + unheard)


@dataclass(frozen=True, slots=True)
class Text:
    """One finished text."""

    pieces: tuple[int, ...]
    """Tokens without start and end."""
    sum: "Sum"
    """Over all pieces, the end included."""
    head: "Sum"
    """The same up to where free words begin; equal to `sum` where none do."""
    head_count: int
    """Pieces that `head` sums over, the end included where there are no free words."""

    @property
    def score(self) -> float:
        """Mean log-probability a piece."""
        return self.sum.heard / (len(self.pieces) + 1)

    @property
    def rank(self) -> float:
        """What texts compete by: the mean evidence of the sound a piece, of the whole or of the part that the
        grammar spelled, whichever is less.
        """
        return min(self.sum.evidence / (len(self.pieces) + 1), self.head.evidence / max(self.head_count, 1))

    @property
    def is_free(self) -> bool:
        """True where it ends in free words."""
        return self.head_count <= len(self.pieces)

    @property
    def head_score(self) -> float:
        """Mean log-probability a piece of the part that the grammar spelled."""
        return self.head.heard / max(self.head_count, 1)


@dataclass(frozen=True, slots=True)
class Findings:
    """What one search brought."""

    free: Text
    """The model's own reading, no grammar."""
    inside: tuple[Text, ...]
    """Texts inside the grammar, best first by `score`."""
    hanging: Text | None
    """Best text of whole words that only begins a phrase, ended where the grammar wants more."""
    sound: Sound
    """For scoring further texts against the same sound."""


@dataclass(frozen=True, slots=True)
class _Slot:
    pieces: tuple[int, ...]
    sum: Sum
    places: Places
    head: tuple[Sum, int] | None
    spelled: str = ""
    """The text without capitals and marks: of histories that spell the same, the best is kept."""
    unbound: bool = False

    def ended(self, heard: float, unheard: float) -> Text:
        whole = self.sum.plus(heard, unheard)
        head, head_count = self.head or (whole, len(self.pieces) + 1)
        return Text(self.pieces, whole, head, head_count)


_ANYTHING: Places = frozenset({FREE})


@dataclass(frozen=True, slots=True)
class Listened:
    """A stretch of sound ready to be searched, once or more often."""

    sound: Sound
    chances: Floats
    """Log-probabilities of the first piece."""
    caches: Caches
    longest: int
    """Pieces that a text of this sound can have at most."""


def listened(model: SpeechModel, samples: Samples) -> Listened:
    """The part of the work that every search of one sound shares."""
    longest = PIECES_AT_LEAST + int(PIECES_A_SECOND * len(samples) / SAMPLE_RATE)
    return Listened(*model.listen(samples), longest)


def search(
    model: SpeechModel, heard: Listened, unheard: Listened, walk: Walk, start: Places, effort: Effort
) -> Findings:
    """Free reading and best readings inside the grammar; `unheard` is silence, listened to."""
    chances, caches = heard.chances, heard.caches
    expected, expected_caches = unheard.chances, unheard.caches
    slots = [_Slot((), Sum(), _ANYTHING, (Sum(), 0), unbound=True), _Slot((), Sum(), start, None)]
    rows = np.zeros(2, dtype=np.int64)
    free: Text | None = None
    finished: list[Text] = []
    hanging: Text | None = None
    for _ in range(heard.longest):
        candidates: list[tuple[float, int, _Slot]] = []
        unbound: tuple[int, _Slot] | None = None
        for slot, row in zip(slots, rows, strict=True):
            chance, wont = chances[row], expected[row]
            if slot.unbound:
                piece = int(chance.argmax())
                if piece == END:
                    free = slot.ended(float(chance[END]), float(wont[END]))
                else:
                    unbound = int(row), _onward(slot, piece, chance, wont, slot.places, slot.head, unbound=True)
                continue
            ended = slot.ended(float(chance[END]), float(wont[END]))
            if FREE in slot.places and slot.head:
                # Free words end where the model itself would end them.
                if int(chance.argmax()) == END:
                    finished.append(ended)
            elif walk.may_end(slot.places):
                finished.append(ended)
            elif walk.step(slot.places, " ") and (hanging is None or ended.rank > hanging.rank):
                hanging = ended
            candidates += _continuations(model, slot, int(row), (chance, wont), walk, 2 * effort.slots)
        # While the free reading goes on there is more sound than a short phrase explains: it may not cut off others.
        best = max(finished, key=lambda text: text.rank, default=None) if free else None
        chosen = _best(candidates, best, effort)
        running = unbound[1].sum.heard / len(unbound[1].pieces) if unbound else free.score if free else 0.0
        if _hopeless([slot for _, slot in chosen], finished, running):
            chosen = []
        if unbound:
            chosen.insert(0, unbound)
        if not chosen:
            break
        if not any(not slot.unbound for _, slot in chosen) and free is not None:
            break
        slots = [slot for _, slot in chosen]
        rows = np.arange(len(slots))
        taken, last = [row for row, _ in chosen], [slot.pieces[-1] for slot in slots]
        chances, caches = model.onward(heard.sound, _taken(caches, taken), last)
        expected, expected_caches = model.onward(unheard.sound, _taken(expected_caches, taken), last)
    if free is None:
        free = next(slot for slot in slots if slot.unbound).ended(0.0, 0.0)
    finished.sort(key=lambda text: text.rank, reverse=True)
    return Findings(free, tuple(finished[: effort.keep]), hanging, heard.sound)


def _onward(
    slot: _Slot,
    piece: int,
    chance: Floats,
    wont: Floats,
    places: Places,
    head: tuple[Sum, int] | None,
    spelled: str = "",
    *,
    unbound: bool = False,
) -> _Slot:
    after = slot.sum.plus(float(chance[piece]), float(wont[piece]))
    return _Slot((*slot.pieces, piece), after, places, head, spelled, unbound)


def _hopeless(slots: list[_Slot], finished: list[Text], free_score: float) -> bool:
    """True where nothing inside the grammar can come near the free reading any more: other people's talk."""
    if not slots or len(slots[0].pieces) < HOPELESS_FROM:
        return False
    nearest = max([slot.sum.heard / len(slot.pieces) for slot in slots] + [text.score for text in finished])
    support = max([slot.sum.evidence / len(slot.pieces) for slot in slots] + [text.rank for text in finished])
    return nearest < free_score - HOPELESS or support < UNSUPPORTED


def _continuations(
    model: SpeechModel, slot: _Slot, row: int, chances: tuple[Floats, Floats], walk: Walk, most: int
) -> list[tuple[float, int, _Slot]]:
    chance, wont = chances
    onward = walk.onward(slot.places)
    found: list[_Slot] = []
    if len(onward.pieces):
        evidence = chance[onward.pieces] - EXPECTED * wont[onward.pieces]
        picks = np.argpartition(evidence, -most)[-most:] if len(evidence) > most else range(len(evidence))
        for pick in picks:
            piece = int(onward.pieces[pick])
            bare = slot.spelled + model.tokens.bare[piece]
            found.append(_onward(slot, piece, chance, wont, onward.leads[pick], slot.head, bare))
    if onward.free:
        # Free words are dictated, not searched: the model's own best piece, nothing else.
        allowed = chance if FREE in slot.places else chance + model.tokens.openings
        piece = int(allowed.argmax())
        if piece != END and np.isfinite(allowed[piece]):
            head = slot.head or (slot.sum, len(slot.pieces))
            bare = slot.spelled + ("" if slot.head else "|") + model.tokens.bare[piece]
            found.append(_onward(slot, piece, chance, wont, _ANYTHING, head, bare))
    return [(after.sum.evidence, row, after) for after in found]


def _best(candidates: list[tuple[float, int, _Slot]], best: Text | None, effort: Effort) -> list[tuple[int, _Slot]]:
    candidates.sort(key=lambda candidate: candidate[0], reverse=True)
    floor = candidates[0][0] - effort.window if candidates else 0.0
    if best is not None and candidates:
        floor = max(floor, min(best.sum.evidence - effort.lead, best.rank * len(candidates[0][2].pieces)))
    chosen: list[tuple[int, _Slot]] = []
    spelled: set[str] = set()
    for evidence, row, slot in candidates:
        if evidence < floor or len(chosen) == effort.slots:
            break
        if slot.spelled not in spelled:
            spelled.add(slot.spelled)
            chosen.append((row, slot))
    return chosen


def _taken(caches: Caches, rows: list[int]) -> Caches:
    return tuple(np.take(cache, rows, axis=0) for cache in caches)
