"""What technicians say, and what they mean by it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.grammar.load import CardGrammar
from assistant.grammar.request import Quantity

FLYWHEEL = {"fastener": "flywheel-bolts"}
BOTH_BELLHOUSING = {"fastener": "lower-bellhousing-bolts|upper-bellhousing-bolts"}


def q(value: str, unit: str = "") -> tuple[Decimal, str]:
    return Decimal(value), unit


SAYINGS: list[tuple[str, str, dict[str, object]]] = [
    # moving
    ("begin", "begin", {}),
    ("Let's start.", "begin", {}),
    ("next", "next", {}),
    ("What's the next step?", "next", {}),
    ("carry on please", "next", {}),
    ("done", "done", {}),
    ("that's done", "done", {}),
    ("Okay, step done.", "done", {}),
    ("go back", "back", {}),
    ("go to step fourteen", "go-to", {"step": 14}),
    ("go to step 14", "go-to", {"step": 14}),
    ("go to putting back", "go-to", {"step": "fit-the-gearbox"}),
    ("read the step again", "repeat", {}),
    ("skip this", "skip", {}),
    ("skip this, no ramp", "skip", {"reason": "no ramp"}),
    ("Skip this step because the Seal is new.", "skip", {"reason": "the Seal is new."}),
    ("where am I", "where", {}),
    ("what's left", "left", {}),
    ("what is still open", "open", {}),
    ("have I forgotten anything", "open", {}),
    ("finish the job", "finish", {}),
    ("hand over", "hand-over", {}),
    # depth
    ("any cautions", "caution", {}),
    ("how do I do that", "how", {}),
    ("why", "why", {}),
    ("tell me more", "more", {}),
    ("it won't come off", "stuck", {}),
    ("the gearbox is stuck", "stuck", {}),
    ("which tool", "which-tool", {}),
    ("what size socket do I need for the flywheel bolts", "size", FLYWHEEL),
    ("what is that", "what-is", {}),
    ("what's the left bracket", "what-is", {"thing": "left-bracket"}),
    ("what do I need for the next section", "needed", {"section": "next"}),
    ("tools for putting back", "needed", {"section": "in"}),
    ("parts list", "parts", {}),
    ("list the tools", "tools", {}),
    # fasteners
    ("what's the torque on the flywheel bolts", "torque", FLYWHEEL),
    ("What is the torque for the fly wheel bolts?", "torque", FLYWHEEL),
    ("whats the torque of the flywheel bolt", "torque", FLYWHEEL),
    ("flywheel bolts torque", "torque", FLYWHEEL),
    ("how tight are the flywheel bolts", "torque", FLYWHEEL),
    ("torque on the flywheel", "torque", FLYWHEEL),
    ("torque for the bolts on the flywheel", "torque", FLYWHEEL),
    ("what do the flywheel bolts go to in foot pounds", "torque", {**FLYWHEEL, "in-unit": "lbf·ft"}),
    ("in foot pounds", "torque", {"in-unit": "lbf·ft"}),
    ("torque", "torque", {}),
    ("torque on the top bolts", "torque", {"fastener": "upper-bellhousing-bolts"}),
    ("torque on the bellhousing bolts", "torque", BOTH_BELLHOUSING),
    ("bell housing bolts torque", "torque", BOTH_BELLHOUSING),
    ("torque on the head bolts", "torque", {"fastener": "?head bolts"}),
    ("cross member to frame bolts torque", "torque", {"fastener": "crossmember-bolts"}),
    ("what order do the flywheel bolts go", "order", FLYWHEEL),
    ("how many passes do the flywheel bolts need", "passes", FLYWHEEL),
    ("how many flywheel bolts are there", "count", FLYWHEEL),
    ("what size are the flywheel bolts", "size", FLYWHEEL),
    ("what goes on the threads", "treatment", {}),
    ("do the flywheel bolts get locker", "treatment", FLYWHEEL),
    ("can I reuse the flywheel bolts", "reuse", FLYWHEEL),
    ("do I need new flywheel bolts", "reuse", FLYWHEEL),
    ("which bolts are at thirty newton metres", "fasteners-at", {"relation": "at", "value": q("30", "N·m")}),
    ("what is over a hundred", "fasteners-at", {"relation": "over", "value": q("100")}),
    ("torqued the flywheel bolts to sixty-five newton metres", "torqued", {**FLYWHEEL, "value": q("65", "N·m")}),
    ("flywheel bolts done at 65", "torqued", {**FLYWHEEL, "value": q("65")}),
    ("Flywheel bolts torqued.", "torqued", FLYWHEEL),
    ("flywheel bolts 65 Nm", "torqued", {**FLYWHEEL, "value": q("65", "N·m")}),
    ("torqued flywheel bolt 3 to one ten foot pounds", "torqued", {**FLYWHEEL, "bolt": 3, "value": q("110", "lbf·ft")}),
    ("bolt 3 done at 65", "torqued", {"bolt": 3, "value": q("65")}),
    ("start the flywheel bolts", "start-fastener", FLYWHEEL),
    ("stop tightening", "stop-fastener", {}),
    ("click", "click", {}),
    ("I'm on a sixty millimetre crowfoot", "adapter", {"length": q("60", "mm")}),
    ("adapter of 60 mm at ninety degrees", "adapter", {"length": q("60", "mm"), "angle": q("90", "deg")}),
    ("adapter off", "no-adapter", {}),
    ("my wrench is 450 millimetres long", "wrench-length", {"length": q("450", "mm")}),
    ("I'm using the big torque wrench", "use-tool", {"tool": "big-wrench"}),
    # measuring
    ("runout four thousandths", "measured", {"measure": "flywheel-runout", "value": q("0.004", "in")}),
    ("flywheel run out is 0.1 mm", "measured", {"measure": "flywheel-runout", "value": q("0.1", "mm")}),
    ("measured disc thickness seven point four", "measured", {"measure": "disc-thickness", "value": q("7.4")}),
    ("the dial says point one three", "measured", {"value": q("0.13")}),
    ("what's the limit for the runout", "limit", {"measure": "flywheel-runout"}),
    ("what did I measure", "readings", {}),
    # notes
    ("note", "note", {}),
    ("take a note", "note", {}),
    ("Note, the Left Bracket is bent.", "note", {"text": "the Left Bracket is bent."}),
    ("note on the left bracket, it is bent", "note", {"thing": "left-bracket", "text": "it is bent"}),
    ("order a new gasket", "part-to-order", {"text": "a new gasket"}),
    ("order the left bracket", "part-to-order", {"thing": "left-bracket"}),
    ("found a fault on the gearbox, casing cracked", "fault-found", {"thing": "gearbox", "text": "casing cracked"}),
    ("the left bracket is cracked", "fault-found", {"thing": "left-bracket", "text": "cracked"}),
    ("continue that note", "continue-note", {}),
    ("end of note", "end-note", {}),
    ("read my notes", "read-notes", {}),
    ("delete that note", "withdraw-note", {}),
    # time
    ("set a timer for ten minutes", "timer", {"duration": q("600", "s")}),
    ("10 minute timer for the sealant", "timer", {"duration": q("600", "s"), "text": "sealant"}),
    ("how long is left on the timer", "timers", {}),
    ("cancel the timer", "cancel-timer", {}),
    ("what time is it", "time", {}),
    ("how long have I worked on this", "time-worked", {}),
    ("pause", "pause", {}),
    ("I'm back", "resume", {}),
    # putting right and answering
    ("undo", "undo", {}),
    ("scratch that", "undo", {}),
    ("yes", "yes", {}),
    ("Yep.", "yes", {}),
    ("no", "no", {}),
    ("not yet", "no", {}),
    ("cancel", "cancel", {}),
    ("1-1-0", "digits", {"value": q("110")}),
    ("zero point one three", "digits", {"value": q("0.13")}),
    ("hydraulics", "answer", {"option": "hydraulic"}),
    ("it's a cable", "answer", {"option": "cable"}),
    ("override", "override", {}),
    ("go on anyway because the jack holds it", "override", {"reason": "the jack holds it"}),
    ("accept the left bracket because it is on order", "accept", {"item": "left-bracket", "reason": "it is on order"}),
    ("the left bracket is back on", "close", {"item": "left-bracket"}),
    # people and voice
    ("this is Mara", "person", {"name": "Mara"}),
    ("Jonas here", "person", {"name": "Jonas"}),
    ("this is amina", "person", {"name": "Amina"}),
    ("my name is Ada", "person", {"name": "Ada"}),
    ("who am I", "who", {}),
    ("stop", "stop", {}),
    ("say again", "again", {}),
    ("louder", "louder", {}),
    ("quieter", "quieter", {}),
    ("faster", "faster", {}),
    ("slower please", "slower", {}),
    ("be brief", "terse", {}),
    ("normal answers", "normal", {}),
    ("full answers", "full", {}),
    ("sounds on", "sounds-on", {}),
    ("beeps off", "sounds-off", {}),
    ("go to sleep", "sleep", {}),
    ("wake up", "wake", {}),
    ("listen for your name", "attention", {"mode": "name"}),
    ("what can I say", "help", {}),
    ("can you hear me", "can-hear", {}),
]  # fmt: skip


@pytest.mark.parametrize(("words", "name", "slots"), SAYINGS, ids=[saying[0] for saying in SAYINGS])
def test_saying(grammar: CardGrammar, words: str, name: str, slots: dict[str, object]) -> None:
    request = grammar.parse(words)
    assert request is not None
    read = {
        slot: (value.value, value.unit) if isinstance(value, Quantity) else value
        for slot, value in request.slots.items()
    }
    assert (request.name, read) == (name, slots)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "hello there my friend",
        "the weather is nice today",
        "what's the torque on the",
        "what's the torque on the moon",
        "torqued the flywheel bolts to sixty-five banana",
        "torqued the flywheel bolts to two ten thousandths",
        "next next",
        "torqued the flywheel bolts to -65",
        "torqued the flywheel bolts to 6+5",
        "torqued the flywheel bolts to 6 + 5 Nm",
        "torqued the flywheel bolts to 6:5",
        "torqued the flywheel bolts to 65-70",
        "torqued the flywheel bolts to 65 ± 5",
        "torqued the flywheel bolts to 6*5",
        "torqued the flywheel bolts to 65,5",
        "torqued the flywheel bolts to 6,5",
        "torqued the flywheel bolts to 6.5.0",
        "this is rubbish",
        "it's the gearbox",
        "I'm nearly there",
        "yes no",
        "measured runout five mil",
        "skipper",
    ],
)
def test_what_is_no_phrase_means_nothing(grammar: CardGrammar, words: str) -> None:
    assert grammar.parse(words) is None


def test_the_attention_name_may_come_first(grammar: CardGrammar) -> None:
    for words in ("Otto, next", "hey Otto what's the torque on the flywheel bolts", "okay Otto, stop"):
        assert grammar.parse(words) is not None
        assert grammar.parse(words, named=True) is not None


def test_with_the_name_required_nothing_else_is_heard(grammar: CardGrammar) -> None:
    for words in ("next", "stop", "what's the torque on the flywheel bolts"):
        assert grammar.parse(words, named=True) is None


def test_free_words_keep_their_first_and_last_word(grammar: CardGrammar) -> None:
    live = frozenset({"reason", "stop"})
    for words in ("and the bolt is bent now", "please order one", "okay then", "stop it leaking at the rear please"):
        request = grammar.parse(words, live)
        assert request is not None
        assert (request.name, request.slots) == ("reason", {"text": words})
    stop = grammar.parse("stop", live)
    assert stop is not None
    assert stop.name == "stop"


def test_a_shorter_form_never_takes_the_place_of_a_full_name() -> None:
    from tests.grammar.conftest import card_with

    card = card_with(
        {
            "mount-bolts": {"name": "mount bolts", "count": 2},
            "engine-mount-bolts": {"name": "engine mount bolts", "count": 2},
        }
    )
    request = CardGrammar(card).parse("torque on the mount bolts")
    assert request is not None
    assert request.slots == {"fastener": "mount-bolts"}


def test_a_name_is_never_cut_short_to_a_word_that_numbers_hold(grammar: CardGrammar) -> None:
    """ "Point five" must stay a half, though the bite point is measured on this card."""
    request = grammar.parse("point five", frozenset({"digits", "measured"}))
    assert request is not None
    assert (request.name, request.slots["value"].value) == ("digits", Decimal("0.5"))  # type: ignore[union-attr]


def test_two_things_of_one_name_are_both_named() -> None:
    from tests.grammar.conftest import card_with

    card = card_with(
        {
            "a-bolts": {"name": "cover bolts", "count": 2},
            "b-bolts": {"name": "lid bolts", "count": 2, "aka": ["cover bolts"]},
        }
    )
    request = CardGrammar(card).parse("cover bolts torque")
    assert request is not None
    assert request.slots == {"fastener": "a-bolts|b-bolts"}
