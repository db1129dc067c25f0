"""An answer written into the draft's YAML, with who said it and when."""

from __future__ import annotations

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from .answer import Answer, Place
from .card_text import slug
from .in_the_draft import entry_of, kind_of_entry, steps_of
from .questions import BACK_VERB, OUT_VERB, TABLES, Question


def _unmark(entry: CommentedMap | None, mark: str) -> None:
    """Takes one `unsure` mark away, and the list with its last."""
    if entry is None or mark not in (entry.get("unsure") or []):
        return
    entry["unsure"].remove(mark)
    if not entry["unsure"]:
        del entry["unsure"]


def _noted(entry: CommentedMap, key: str, note: str) -> None:
    entry.yaml_add_eol_comment(note.replace("\n", " "), key)


def write_count(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    entry = entry_of(card, question.about)
    assert entry is not None
    entry["count"] = answer.value
    _noted(entry, "count", note)
    _unmark(entry, question.mark)


def write_torque(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    entry = entry_of(card, question.about)
    assert entry is not None
    _set_torque(entry, str(answer.value), note)
    for mark in [mark for mark in entry.get("unsure") or [] if "torque" in mark]:
        _unmark(entry, mark)
    for step in steps_of(card):
        if any(action.get("tighten") == question.about for action in step.get("does") or []):
            _unmark(step, "no torque was said")


def _set_torque(entry: CommentedMap, line: str, note: str) -> None:
    if "torque" in entry:
        entry["torque"] = line
    else:
        keys = list(entry)
        before = [
            key for key in ("name", "kind", "count", "thread", "grade", "head", "length_mm", "joins") if key in keys
        ]
        entry.insert(len(before), "torque", line)
    entry["source"] = note
    entry.pop("passes", None)


def write_owner(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    if answer.value is not True:
        id_, line = answer.value
        _set_torque(card["fasteners"][id_], line, note)
        for step in steps_of(card):
            if any(action.get("tighten") == id_ for action in step.get("does") or []):
                _unmark(step, "no torque was said")
    _unmark(card, question.mark)


def write_settled(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    entry = card if question.about == "card" else entry_of(card, question.about)
    if entry is None or answer.value is False:
        return
    if isinstance(answer.value, int) and answer.value is not True:
        write_count(card, question, answer, note)
        return
    if isinstance(answer.value, str):
        write_torque(card, question, answer, note)
        return
    _unmark(entry, question.mark)
    key = "unsure" if "unsure" in entry else "say" if "say" in entry else "name" if "name" in entry else "revision"
    if key != "unsure":
        _noted(entry, key, f"settled ({question.mark[:80]}): {note}")


def write_words(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    card[question.about] = str(answer.value)
    _noted(card, question.about, note)
    if question.about == "title" or "unknown" not in (card["vehicle"], card["maker"]):
        _unmark(
            card, "the title was not said" if question.about == "title" else "the vehicle and its maker were not said"
        )


def write_back(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    entry, place = entry_of(card, question.about), answer.value
    assert entry is not None
    assert isinstance(place, Place)
    if place.kind == "stays-off":
        entry["consumed"] = True
        _noted(entry, "consumed", note)
        return
    kind = kind_of_entry(card, question.about)
    verb = BACK_VERB[kind]
    if kind == "fastener" and entry.get("torque") == "snug by hand":
        verb = "snug"
    _put_step(card, verb, question.about, str(entry["name"]), place, note, section="back-in")


def write_out(card: CommentedMap, question: Question, answer: Answer, note: str) -> None:
    entry, place = entry_of(card, question.about), answer.value
    assert entry is not None
    assert isinstance(place, Place)
    if place.kind == "new":
        entry["new"] = True
        _noted(entry, "new", note)
        return
    _put_step(
        card,
        OUT_VERB[kind_of_entry(card, question.about)],
        question.about,
        str(entry["name"]),
        place,
        note,
        section="out",
    )


_SAYS = {
    "tighten": "Tighten the {}.",
    "snug": "Screw the {} in by hand to the stop.",
    "fit": "Fit the {}.",
    "connect": "Connect the {}.",
    "uncover": "Take away the {}.",
    "release": "Take away the {}.",
    "fill": "Fill in {}.",
    "line-up": "Line up the {}.",
    "take-out": "Take out the {}.",
    "remove": "Take off the {}.",
    "disconnect": "Disconnect the {}.",
    "cover": "Put on the {}.",
    "support": "Put the {} in place.",
    "drain": "Drain {}.",
    "mark": "Make the {}.",
}


def _put_step(card: CommentedMap, verb: str, id_: str, name: str, place: Place, note: str, section: str) -> None:
    taken = {str(step["id"]) for step in steps_of(card)} | {
        str(thing) for table in TABLES.values() for thing in card.get(table) or {}
    }
    step_id, number = slug(f"{verb} {name}")[:50], 2
    while step_id in taken:
        step_id, number = f"{slug(f'{verb} {name}')[:46]}-{number}", number + 1
    step = CommentedMap(id=step_id, say=_SAYS[verb].format(name))
    action = CommentedMap({verb: id_})
    action.fa.set_flow_style()
    step["does"] = CommentedSeq([action])
    _noted(step, "say", note)
    if place.kind in ("after", "before"):
        for part in card["sections"]:
            for at, other in enumerate(part["steps"]):
                if other["id"] == place.step:
                    part["steps"].insert(at + (1 if place.kind == "after" else 0), step)
                    return
    part = next(
        (one for one in card["sections"] if one["id"] == section),
        card["sections"][-1] if section == "back-in" else card["sections"][0],
    )
    part["steps"].insert(0 if place.kind == "first" else len(part["steps"]), step)
