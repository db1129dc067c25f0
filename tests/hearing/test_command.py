"""`bay hear`: sound files through the real ear and a real grammar, each utterance one JSON object."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.card.load import find_card
from assistant.card.model import Card
from assistant.grammar.file import FileGrammar
from assistant.grammar.load import CardGrammar
from assistant.hearing.command import UnknownStepError, hear_files, live_at
from assistant.hearing.heard import SAMPLE_RATE
from tests.hearing.conftest import CLEAR, Shop
from tests.sound import noises, voices

KEYS = ["file", "heard", "free", "request", "slots", "score", "margin", "decision", "ms"]


@pytest.fixture(scope="module")
def grammar() -> CardGrammar:
    return CardGrammar(find_card("gearbox-and-clutch").card)


def recorded(path: Path, *phrases: str) -> Path:
    parts = [noises.quiet(0.6, 1)]
    for phrase in phrases:
        parts += [voices.speak(phrase, CLEAR), noises.quiet(1.6, 2)]
    soundfile.write(path, np.concatenate(parts), SAMPLE_RATE)
    return path


def test_a_torque_said_to_a_card_comes_out_as_request_and_quantity(
    shop: Shop, grammar: CardGrammar, tmp_path: Path
) -> None:
    file = recorded(tmp_path / "torque.wav", "torqued the flywheel bolts to sixty two newton metres")
    (line,) = (found.as_json() for found in hear_files([file], grammar, shop.recogniser, live_at(card(), None)))
    assert list(line)[: len(KEYS)] == KEYS
    assert line["request"] == "torqued"
    assert line["slots"]["fastener"] == "flywheel-bolts"
    assert line["slots"]["value"]["value"] == "62"
    assert line["slots"]["value"]["unit"] == "N·m"
    assert line["decision"] in ("act", "confirm")
    json.dumps(line)


def card() -> Card:
    return find_card("gearbox-and-clutch").card


def test_every_utterance_of_a_file_is_a_line_of_its_own(shop: Shop, grammar: CardGrammar, tmp_path: Path) -> None:
    file = recorded(tmp_path / "two.wav", "what is left", "how many flywheel bolts")
    found = [each.as_json() for each in hear_files([file], grammar, shop.recogniser, live_at(card(), None))]
    assert [each["request"] for each in found] == ["left", "count"]
    assert found[0]["to_s"] < found[1]["from_s"]


def test_a_file_that_cannot_be_heard_does_not_stop_the_others(shop: Shop, grammar: CardGrammar, tmp_path: Path) -> None:
    good = recorded(tmp_path / "good.wav", "next step")
    found = list(hear_files([tmp_path / "missing.wav", good], grammar, shop.recogniser, live_at(card(), None)))
    assert found[0].fault == f"there is no file {tmp_path / 'missing.wav'}"
    assert found[0].as_json() == {"file": str(tmp_path / "missing.wav"), "error": found[0].fault}
    assert found[1].as_json()["request"] == "next"


def test_a_file_without_speech_says_so(shop: Shop, grammar: CardGrammar, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "wrench.wav", noises.noise("impact wrench", 3, seed=5), SAMPLE_RATE)
    (found,) = hear_files([tmp_path / "wrench.wav"], grammar, shop.recogniser, live_at(card(), None))
    assert found.as_line().endswith("nobody speaks")
    assert found.as_json()["decision"] == "ignore"


def test_any_grammar_file_will_do(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "lift.gram").write_text(
        "#JSGF V1.0;\ngrammar lift;\npublic <move> = (raise {up} | lower {down}) the lift [slowly {slow}];\n"
    )
    file = recorded(tmp_path / "lift.wav", "lower the lift slowly")
    (found,) = hear_files([file], FileGrammar(tmp_path / "lift.gram"), shop.recogniser)
    line = found.as_json()
    assert line["heard"] == "lower the lift slowly"
    assert line["request"] == "move"
    assert line["slots"] == {"tags": "down slow"}


def test_a_step_that_the_card_does_not_have_is_named() -> None:
    with pytest.raises(UnknownStepError, match="has no step 'no-such-step'"):
        live_at(card(), "no-such-step")
    assert "torqued" in live_at(card(), "1")


def test_the_line_for_a_person_tells_what_and_why(shop: Shop, grammar: CardGrammar, tmp_path: Path) -> None:
    file = recorded(tmp_path / "open.wav", "what is open")
    (found,) = hear_files([file], grammar, shop.recogniser, live_at(card(), None))
    line = found.as_line()
    assert "act: 'what is open' (open)" in line
    assert "contrast" in line
