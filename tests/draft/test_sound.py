"""A narration from sound, by the builtin model over stretches of speech."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.card.draft.answers import figures_of
from assistant.card.draft.by_ear import Heard
from assistant.card.draft.drafting import draft_of
from assistant.card.draft.narration import Narration
from assistant.card.draft.sound import read_sound_file
from assistant.hearing.files import as_frames
from assistant.hearing.heard import SAMPLE_RATE
from assistant.hearing.speech_model import SpeechModel
from tests.sound.voices import missing, speak

from .gold import GROUPS, load_gold, score
from .spoken import spoken
from .telling import told

FEED_PUMP = load_gold(GROUPS["written with the rules"] / "feed-pump.gold.yaml")


@pytest.fixture(scope="module")
def model() -> SpeechModel:
    return SpeechModel(threads=1)


@pytest.fixture(scope="module")
def heard(
    tmp_path_factory: pytest.TempPathFactory, model: SpeechModel, needs: Callable[[bool, str], None]
) -> Narration:
    """The feed pump, spoken by flite and read back."""
    needs(not missing("flite:slt"), "flite (Debian: flite)")
    file = spoken(FEED_PUMP.path.read_text("utf-8"), "flite:slt", tmp_path_factory.mktemp("sound") / "feed-pump.flac")
    return read_sound_file(file, model=model)


def test_what_is_heard_has_its_time(heard: Narration) -> None:
    assert heard.kind == "sound"
    starts = [passage.start_s for passage in heard.passages]
    assert all(isinstance(at, float) for at in starts)
    assert starts == sorted(at for at in starts if at is not None)
    assert len(starts) > 10


def test_a_spoken_narration_becomes_a_card_that_loads(heard: Narration) -> None:
    draft = draft_of(heard)
    held = score(FEED_PUMP, draft.understanding)
    assert held.actions_found >= 0.6 * held.actions_gold, (held.missing_actions, [p.words for p in heard.passages])
    misplaced = [value for value in held.wrong_values if not value.startswith("?")]  # ? is a thing of another name
    assert misplaced == []


def test_progress_is_told_to_the_end(tmp_path: Path, model: SpeechModel) -> None:
    file = spoken("Take out the bolts. Lift off the cover.", "espeak:en-us+m3", tmp_path / "a.wav")
    told_so_far: list[tuple[float, float]] = []
    read_sound_file(file, lambda done, total: told_so_far.append((done, total)), model)
    assert told_so_far[-1][0] == told_so_far[-1][1] > 1
    assert [done for done, _ in told_so_far] == sorted(done for done, _ in told_so_far)


@pytest.mark.parametrize("kind", ["silence", "melody"])
def test_a_file_in_which_nobody_speaks_is_said_in_one_line(tmp_path: Path, model: SpeechModel, kind: str) -> None:
    tones = [np.sin(2 * np.pi * hz * np.arange(8000) / SAMPLE_RATE) * 0.3 for hz in (262, 330, 392, 523, 392, 330)]
    sound = np.zeros(3 * SAMPLE_RATE) + 1e-3 if kind == "silence" else np.concatenate(tones)
    soundfile.write(tmp_path / "a.wav", sound.astype(np.float32), SAMPLE_RATE)
    with pytest.raises(Exception, match=r"a\.wav") as refused:  # silence is refused by the ear, a tune by the draft
        draft_of(read_sound_file(tmp_path / "a.wav", model=model))
    assert "\n" not in str(refused.value)


def test_a_heard_number_that_sounds_like_another_is_marked() -> None:
    from assistant.card.draft.heard_numbers import mark_sound_alikes

    draft = told(
        "Take out the four flange bolts. Fit the flange bolts. Tighten the flange bolts to fifty newton metres."
    )
    mark_sound_alikes(draft.things)
    (bolts,) = draft.things
    assert bolts.unsure == ["50 was heard, and 15 sounds the same: listen to it again"]


def test_an_answer_is_taken_by_ear(model: SpeechModel, needs: Callable[[bool, str], None]) -> None:
    needs(not missing("flite:slt"), "flite (Debian: flite)")
    pause = np.zeros(int(1.5 * SAMPLE_RATE), np.float32)
    words = (speak("Sixty five newton metres.", "flite:slt"), speak("Yes, that is right.", "flite:slt"))
    sound = np.concatenate([pause, words[0], pause, words[1], pause])
    said: list[str] = []
    talk = Heard(as_frames(sound), said.append, model)
    first = talk.ask("Which torque?")
    assert first is not None
    assert [(str(figure.value), figure.unit) for figure in figures_of(first)] == [("65", "N·m")]
    assert talk.ask("Right?") is not None
    assert talk.ask("More?") is None
    assert said[0] == "Which torque?"
