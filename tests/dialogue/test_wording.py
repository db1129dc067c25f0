"""The wording: every request has an answer, in few words, and speech never says a figure that the text lacks."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.dialogue import respond as respond_module
from assistant.dialogue.respond import _HANDLERS
from assistant.dialogue.wording import VERBOSITIES, fill, say
from assistant.dialogue.wording.english import (
    BITS,
    HELP,
    ITEM_COUNTS,
    ITEMS,
    TEMPLATES,
    duration,
    exact_duration,
    listed,
)
from assistant.grammar.request import REQUESTS, Request
from assistant.job.open_items import KINDS
from assistant.job.talk_rules import VERDICTS
from assistant.voice.wording import speakable
from tests.dialogue.talk import Talk, nm


def test_there_is_an_answer_to_every_request() -> None:
    assert set(_HANDLERS) == set(REQUESTS)


@pytest.mark.parametrize("name", sorted(REQUESTS))
@pytest.mark.parametrize("where", ["", "lock", "pulley-on"])
def test_no_request_is_left_without_an_answer(name: str, where: str) -> None:
    talk = Talk() if not where else Talk().to(where)
    answer = talk.take(Request(name, {}, name))
    assert answer or name == "stop"
    assert "{" not in answer
    assert ".." not in answer
    assert "  " not in answer


def test_every_kind_of_open_item_has_its_words() -> None:
    assert set(ITEMS) == set(ITEM_COUNTS) == set(KINDS)


def test_templates_of_three_lengths_have_all_three() -> None:
    for key, template in TEMPLATES.items():
        if isinstance(template, dict):
            assert set(template) == set(VERBOSITIES), key


def test_help_says_how_to_answer_what_is_asked() -> None:
    talk = Talk().to("pulley-on")
    talk("done")
    assert talk("help") == HELP["torque-value"]
    assert talk("more").startswith("Of any fastener")


PLAIN = ("done", "skipped", "noted", "timer", "fact-set", "resumed", "undone", "closed", "torqued", "person")


@pytest.mark.parametrize("key", PLAIN)
@pytest.mark.parametrize("verbosity", ["terse", "normal"])
def test_a_plain_confirmation_has_at_most_a_dozen_words(key: str, verbosity: str) -> None:
    template = TEMPLATES[key]
    names = set(re.findall(r"\{(\w+)", template if isinstance(template, str) else template[verbosity]))
    values = {"value": "65 N·m, 6 5", "fastener": "Flywheel bolts", "what": "step 12 done"}
    text = say(key, verbosity, **{name: values.get(name, "12") for name in names})
    assert len(text.split()) <= 12


def test_terse_is_shorter_and_full_is_longer() -> None:
    lengths = {}
    for verbosity in VERBOSITIES:
        talk = Talk().to("belt-off")
        talk(verbosity)
        lengths[verbosity] = len(talk("done"))
    assert lengths["terse"] < lengths["normal"] < lengths["full"]


def test_the_way_of_speaking_stays_until_it_is_changed() -> None:
    talk = Talk().to("belt-off")
    talk("terse")
    assert talk("done").startswith("Done. 4:")
    talk("normal")
    assert talk("done").startswith("4 done.")


def test_the_same_question_gives_the_same_answer() -> None:
    talk = Talk().to("pulley-on")
    for name in ("where", "open", "left", "how", "why", "caution", "tools", "parts", "which-tool", "help", "repeat"):
        assert talk(name) == talk(name), name


_FIGURES = re.compile(r"\d+(?:\.\d+)?")


def test_speech_says_no_figure_that_the_text_does_not_show() -> None:
    talk = Talk().to("pulley-on")
    for text in (
        talk("torque"), talk("passes"), talk("torqued", value=nm(50)), talk("size", fastener="rear-motor-bolts"),
        talk("left"), talk("needed"), talk("where"),
    ):  # fmt: skip
        spoken = speakable(text)
        assert not _FIGURES.search(spoken), spoken
        assert talk.outcome.reply.spoken == speakable(talk.outcome.reply.text)


def test_more_goes_on_with_a_long_answer() -> None:
    talk = Talk().begin()
    assert talk("how") == "Turn the isolator. Pull the plug."
    assert talk("more") == "Hang the lock on it. Try the start button."
    assert talk("more") == "That is all."


def test_what_is_that_is_answered_in_two_sentences() -> None:
    talk = Talk().begin()
    assert talk("what-is", thing="guard") == "Belt guard: The mesh over the belts. It keeps fingers out."
    assert talk("more") == "It is yellow."
    assert talk("what-is", thing="hoist") == "Chain hoist: it carries the motor."
    assert talk("what-is", thing="gizmo") == "Gizmo: not on this card."


def test_what_to_do_when_it_does_not_come_off() -> None:
    talk = Talk().to("guard-off")
    assert talk("stuck") == "A screw is tight: Use penetrating oil. Never drill it."
    assert Talk().begin()("stuck") == "The card has nothing on that. Stop and look: do not force it."


def test_numbers_with_their_nouns() -> None:
    assert fill("{n|step|steps} left", n=1) == "1 step left"
    assert fill("{n|step|steps} left", n=3) == "3 steps left"
    assert fill("{words}.", words="Is it dead?") == "Is it dead?"


def test_lists_and_times_in_words() -> None:
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"], "or") == "a, b or c"
    assert [duration(s) for s in (40, 61, 3600, 11400)] == ["40 s", "1 min", "1 h", "3 h 10 min"]
    assert [exact_duration(s) for s in (59, 95, 600)] == ["59 s", "1 min 35 s", "10 min"]


ROOM = Path(respond_module.__file__).parent


SOURCES = [path.read_text("utf-8") for path in ROOM.rglob("*.py") if path.parent.name != "english"]


def test_every_key_that_is_asked_for_is_in_the_tables() -> None:
    for text in SOURCES:
        assert set(re.findall(r'\bsay\(\s*"([a-z-]+)"', text)) <= set(TEMPLATES)
        assert set(re.findall(r'\bbit\(\s*"([a-z-]+)"', text)) <= set(BITS)


def test_no_template_is_left_that_nobody_says() -> None:
    said = {word for text in SOURCES for word in re.findall(r"[\"']([a-z][a-z-]*)[\"']", text)}
    made_up = (*REQUESTS, *VERDICTS, "what-", "who-", "verdict-", "attention-", "hand-over-", "about-", "note-")
    unused = [key for key in (*TEMPLATES, *BITS) if key not in said and not key.startswith(made_up)]
    assert unused == []
