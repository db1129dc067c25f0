"""What `bay hear` does: sound files -> what would have been understood, and why."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from math import isinf
from pathlib import Path
from typing import Any, Protocol

from assistant.card.model import Card
from assistant.card.nearest import did_you_mean
from assistant.card.plan import all_steps
from assistant.grammar.acceptor import Acceptor
from assistant.grammar.live import Ask, Live, live_for
from assistant.grammar.request import Quantity, Request, SlotValue
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.errors import HearingError, SoundFileError
from assistant.hearing.files import frames, inspected
from assistant.hearing.heard import Decision, Heard
from assistant.hearing.recogniser import Recogniser


class UnknownStepError(HearingError):
    """`--at` names a step that the card does not have."""


class Readable(Protocol):
    """A grammar as far as hearing a file needs it: a card's or a file's."""

    def acceptor(self, live: Live | None = None, named: bool = False) -> Acceptor: ...

    def parse(self, text: str, live: Live | None = None, named: bool = False) -> Request | None: ...

    def may_go_on(self, text: str, live: Live | None = None, named: bool = False) -> bool: ...


@dataclass(frozen=True, slots=True)
class HeardInFile:
    """One utterance of a file; or what is wrong with the file, in `fault`."""

    file: str
    heard: Heard | None = None
    """None where the file could not be heard, or holds no speech."""
    remarks: tuple[str, ...] = ()
    """What is notable about the sound: quiet, clipped, telephone band."""
    fault: str = ""
    """One line; empty where the file was heard."""

    def as_json(self) -> dict[str, Any]:
        """One JSON object: file, heard, free, request, slots, score, margin, decision, ms, and what explains them."""
        if self.fault:
            return {"file": self.file, "error": self.fault}
        heard = self.heard or Heard(free="", best=None)
        best = heard.best
        return {
            "file": self.file,
            "heard": best.words if best else "",
            "free": heard.free,
            "request": best.request.name if best else "",
            "slots": {name: slot_as_json(value) for name, value in best.request.slots.items()} if best else {},
            "score": round(best.score, 3) if best else None,
            "margin": None if isinf(heard.margin) or not best else round(heard.margin, 3),
            "decision": heard.decision.value,
            "ms": round(heard.ms, 1),
            "contrast": round(heard.contrast, 3),
            "doubtful": list(heard.doubtful),
            "unfinished": heard.unfinished,
            "others": [{"heard": other.words, "score": round(other.score, 3)} for other in heard.others],
            "from_s": round(heard.start_s, 2),
            "to_s": round(heard.end_s, 2),
            "remarks": list(self.remarks),
        }

    def as_line(self) -> str:
        """The same in one line for a person."""
        if self.fault:
            return self.fault
        if self.heard is None:
            return f"{self.file}: nobody speaks"
        heard, best = self.heard, self.heard.best
        what = f"{best.words!r} ({best.request.name}{_slots_in_words(best.request)})" if best else "nothing that fits"
        doubt = f", doubtful: {', '.join(heard.doubtful)}" if heard.doubtful else ""
        scores = f"score {best.score:.2f}, contrast {heard.contrast:.2f}, margin {heard.margin:.2f}" if best else ""
        reason = f" [{scores}{doubt}]" if scores else ""
        return f"{self.file} {heard.start_s:.1f} s: {heard.decision.value}: {what}; freely {heard.free!r}{reason}"


def hear_files(
    files: Iterable[Path],
    grammar: Readable,
    recogniser: Recogniser,
    live: Live | None = None,
) -> Iterator[HeardInFile]:
    """Every utterance of every file, in order. A file that cannot be heard gives one entry with its fault."""
    listening = Listening(
        grammar.acceptor(live),
        lambda text: grammar.parse(text, live),
        lambda text: grammar.may_go_on(text, live),
    )
    for file in files:
        try:
            yield from _in_file(file, recogniser, lambda: listening)
        except SoundFileError as error:
            yield HeardInFile(str(file), fault=str(error))


def live_at(card: Card, step: str | None) -> Live:
    """What may be said at a step (its id or number), or at any; raises UnknownStepError."""
    if step is None:
        return live_for(Ask(bolting=True))
    known = {key: each.step.id for each in all_steps(card) for key in (each.step.id, str(each.number))}
    if step not in known:
        hint = did_you_mean(step, [each.step.id for each in all_steps(card)], "step numbers begin at 1")
        raise UnknownStepError(f"the card {card.card} has no step {step!r}; {hint}")
    found = next(each.step for each in all_steps(card) if each.step.id == known[step])
    live = live_for(Ask(bolting=bool(found.does)))
    return live | {"yes", "no"} if found.check or found.hold else live


def slot_as_json(value: SlotValue) -> Any:
    """A slot's value for JSON: a quantity as its number, unit and words."""
    if isinstance(value, Quantity):
        return {"value": str(value.value), "unit": value.unit, "said": value.said}
    return value


def understood(result: HeardInFile) -> bool:
    """True where the file was heard and would have led to something."""
    return result.heard is not None and result.heard.decision in (Decision.ACT, Decision.CONFIRM)


def _in_file(file: Path, recogniser: Recogniser, now: Callable[[], Listening]) -> Iterator[HeardInFile]:
    recording = inspected(file)
    count = 0
    for heard in Ear(recogniser).listen(frames(recording), now):
        count += 1
        yield HeardInFile(str(file), heard, recording.remarks)
    if not count:
        yield HeardInFile(str(file), None, recording.remarks)


def _slots_in_words(request: Request) -> str:
    parts = []
    for name, value in request.slots.items():
        shown = f"{value.value} {value.unit}".strip() if isinstance(value, Quantity) else value
        parts.append(f" {name}={shown}")
    return ",".join(parts)
