"""How a step reads aloud: the card's verb and the thing's name, nothing that was not said."""

from __future__ import annotations

from .story import Deed, Telling
from .thing import Thing

_SAY = {
    "loosen": "Loosen {the}.",
    "take_out": "Take out {the}.",
    "start": "Start {the} by hand.",
    "snug": "Screw {the} in by hand to the stop.",
    "tighten": "Tighten {the}.",
    "remove": "Take off {the}.",
    "fit": "Fit {the}.",
    "disconnect": "Disconnect {the}.",
    "connect": "Connect {the}.",
    "drain": "Drain {the}.",
    "fill": "Fill in {the}.",
    "cover": "Put on {the}.",
    "uncover": "Take away {the}.",
    "mark": "Make {the}.",
    "line_up": "Line up {the}.",
    "support": "Put {the} in place.",
    "release": "Take away {the}.",
    "measure": "Measure {the}.",
    "inspect": "Inspect {the}.",
    "apply": "Apply {the}.",
    "clean": "Clean {the}.",
}
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def in_words(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def sentence_of(step: Telling) -> str:
    """What is read aloud for the step."""
    if all(deed.verb in ("move", "check") for deed in step.deeds):
        return _as_said(step.words)
    return " ".join(_one(deed) for deed in step.deeds if deed.verb not in ("move", "check"))


def _one(deed: Deed) -> str:
    thing = deed.thing
    assert thing is not None
    return _SAY[deed.verb].format(
        the=_the(deed, thing)
        + (
            f" {deed.to}"
            if deed.to and deed.verb in ("apply", "mark", "cover", "support")
            else f" to {deed.to}"
            if deed.to
            else ""
        )
    )


def _the(deed: Deed, thing: Thing) -> str:
    if thing.kind in ("consumable", "fluid"):
        return thing.name
    if deed.all_but:
        return f"all but {in_words(deed.all_but)} of the {thing.name}"
    if deed.places:
        return f"the {' and '.join(deed.places)} {'one' if deed.count == 1 else 'ones'} of the {thing.name}"
    if deed.rest:
        return f"the last of the {thing.name}" if thing.plural else f"the {thing.name}"
    if deed.count:
        return f"{in_words(deed.count)} of the {thing.name}"
    if thing.count is not None and thing.count > 1:
        return f"the {in_words(thing.count)} {thing.name}"
    return f"the {thing.name}"


def _as_said(words: str) -> str:
    text = words.strip(" ,.").removesuffix(" and").strip(" ,")
    for opening in (
        "and ",
        "so ",
        "then ",
        "now ",
        "oh ",
        "but ",
        "you ",
        "i ",
        "we ",
        "have to ",
        "need to ",
        "want to ",
        "can ",
    ):
        if text.lower().startswith(opening):
            text = text[len(opening) :].lstrip(" ,")
    return (text[:1].upper() + text[1:] if text else "As said") + "."
