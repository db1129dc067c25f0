"""Notes in the person's own words: taken, filed under a thing, gone on with, read back, withdrawn."""

from __future__ import annotations

from assistant.dialogue.fasteners import in_parts
from assistant.dialogue.named import resolve
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit
from assistant.grammar.request import Request
from assistant.job.errors import Illegal
from assistant.job.events import Noted, Withdrawn
from assistant.job.records import NoteRecord

SORTS = {"note": "note", "part-to-order": "part-to-order", "fault-found": "fault"}


def note(view: View, turn: Turn, request: Request) -> Turn:
    """ "Take a note" and the words; without words the next utterance is the note."""
    sort = SORTS[request.name]
    thing, asked = resolve(view, turn, request, "thing", "thing")
    if asked is not None and asked.question is not None:
        return asked
    text = str(request.slots.get("text", "")).strip()
    if asked is not None:
        # what the note is about is not on the card: it stays in the words
        text = f"{request.slots.get('thing', '')} {text}".strip()
    if not text:
        turn = turn.say("note-open-about", thing=turn.state.plan.name_of(thing)) if thing else turn.say("note-open")
        return turn.ask("note-text", sort=sort, thing=thing)
    return take(turn, text, sort, thing)


def take(turn: Turn, text: str, sort: str, thing: str) -> Turn:
    turn = turn.do(Noted(text, sort, thing))
    question = turn.standing
    if question is not None and question.name == "note-text":
        turn = turn.settle()
    if sort == "part-to-order":
        return turn.say("ordered", text=text.rstrip("."))
    if sort == "fault":
        return turn.say("fault", text=text.rstrip("."))
    return turn.say("noted-about", thing=turn.state.plan.name_of(thing)) if thing else turn.say("noted")


def continue_note(view: View, turn: Turn, request: Request) -> Turn:
    """Goes on with the last note."""
    last = _last(turn)
    if last is None:
        return turn.say("nothing-to-continue")
    text = str(request.slots.get("text", "")).strip()
    if not text:
        return turn.say("note-open").ask("note-text", sort=last.sort, thing=last.about, continues=str(last.seq))
    return lengthen(turn, last.seq, text)


def lengthen(turn: Turn, seq: int, text: str) -> Turn:
    turn = turn.do(Noted(text, continues=seq)).say("note-longer")
    question = turn.standing
    return turn.settle() if question is not None and question.name == "note-text" else turn


def end_note(view: View, turn: Turn, request: Request) -> Turn:
    question = turn.standing
    if question is not None and question.name == "note-text":
        return turn.settle().say("dropped")
    return turn.say("noted") if turn.state.notes else turn.say("no-note")


def read_notes(view: View, turn: Turn, request: Request) -> Turn:
    """All notes, the last first."""
    notes = list(turn.state.notes.values())
    if not notes:
        return turn.say("no-note")
    words = [_in_words(turn, note) for note in reversed(notes)]
    return in_parts(turn, [bit("notes-first", n=len(words), first=words[0]), *words[1:]], 3)


def withdraw_note(view: View, turn: Turn, request: Request) -> Turn:
    """Takes the last note back, with all that went on from it."""
    last = _last(turn)
    if last is None:
        return turn.say("no-note")
    try:
        turn = turn.do(Withdrawn((last.seq, *last.parts)))
    except Illegal as no:
        return turn.say("cannot-undo", reason=no.reason)
    return turn.say("note-withdrawn", text=last.text.rstrip("."))


def _last(turn: Turn) -> NoteRecord | None:
    return turn.state.notes[max(turn.state.notes)] if turn.state.notes else None


def _in_words(turn: Turn, note: NoteRecord) -> str:
    place = turn.state.plan.by_id.get(note.step)
    words = [bit("note-step", number=place.number)] if place else []
    words += [bit(f"note-{note.sort}")] if note.sort != "note" else []
    words += [turn.state.plan.name_of(note.about)] if note.about else []
    return ", ".join([*words, note.text.rstrip(".")])
