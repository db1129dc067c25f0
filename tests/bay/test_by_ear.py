"""From a real sound device to a real sound device: a technician who speaks, and what comes out of the loudspeaker.

PulseAudio with two null sinks stands for microphone and loudspeaker; the rest is what a bay runs. The words that come
out are known by matching the recording with the reply as our voice renders it.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soxr

from assistant.hearing.heard import SAMPLE_RATE, Samples
from assistant.job.events import Answered, Finished, Said, Torqued
from assistant.logbook.store import Logbook
from assistant.voice.speak import Espeak
from assistant.voice.wording import speakable
from tests.bay import sound_server
from tests.bay.listening import says
from tests.bay.sound_server import RATE, SoundServer
from tests.bay.technician import Technician
from tests.conftest import Needs
from tests.sound.voices import missing as missing_voice

pytestmark = pytest.mark.sound_server

CARD = Path(__file__).with_name("cover.yaml")
SPEED_WPM = 260


@pytest.fixture
def server(needs: Needs) -> Iterator[SoundServer]:
    lacks = sound_server.missing()
    needs(not lacks, f"a sound server (Debian: {lacks})")
    lacks = missing_voice("flite:slt")
    needs(not lacks, lacks or "flite")
    with SoundServer() as running:
        yield running


def _at_ear_rate(sound: Samples) -> Samples:
    return np.asarray(soxr.resample(sound, RATE, SAMPLE_RATE), np.float32)


def _says(recording: Samples, text: str) -> bool:
    """Whether the loudspeaker said `text`."""
    return says(recording, Espeak().render(speakable(text), SPEED_WPM))


def _loud_s(recording: Samples) -> float:
    """Seconds in which anything sounded, by tenths of a second."""
    tenth = RATE // 10
    whole = recording[: len(recording) // tenth * tenth].reshape(-1, tenth)
    return int(np.sum(np.abs(whole).max(axis=1) > 0.003)) / 10


def _said(home: Path) -> list[tuple[str, str]]:
    """Request and decision of everything that was heard, in order."""
    with Logbook.open(home, read_only=True) as logbook:
        events = logbook.events(logbook.find_job().name)
    return [(event.body.request, event.body.decision) for event in events if isinstance(event.body, Said)]


def test_a_card_is_worked_from_first_step_to_finish_by_sound_alone(server: SoundServer, tmp_path: Path) -> None:
    replies: list[str] = []
    with server.record_loudspeaker() as recorded, Technician(server, CARD, tmp_path) as technician:
        technician.ready()
        replies.append(technician.ask("start the job")["text"])
        radio = technician.ask("and now the weather for the north and the islands", "ignored")
        assert radio["why"] == "the ear takes it for other talk"
        for words in (
            "what is the torque of the cover bolts",
            "done",
            "done",
            "done",
            "torqued the cover bolts to twenty-five newton meters",
            "finish the job",
        ):
            replies.append(technician.ask(words)["text"])
        technician.say("yes", "espeak:en-us+m3")
        assert technician.wait_for_end() == 0
    assert replies[1] == "Cover bolts: 25 N·m, 2 5."
    recording = _at_ear_rate(recorded[0])
    assert [text for text in replies if not _says(recording, text)] == []
    never_said = ("Cover bolts: 52 N·m, 5 2.", "Cover bolts: 26 N·m, 2 6.", "Cover bolts: 15 N·m, 1 5.")
    assert [text for text in never_said if _says(recording, text)] == []

    said = _said(tmp_path)
    assert [request for request, decision in said if decision == "act"] == [
        "begin", "torque", "done", "done", "done", "torqued", "finish", "yes",
    ]  # fmt: skip
    others = [decision for request, decision in said if decision != "act"]
    assert "ignore" in others
    assert set(others) <= {"ignore", "again"}
    with Logbook.open(tmp_path, read_only=True) as logbook:
        bodies = [event.body for event in logbook.events(logbook.find_job().name)]
        clips = [body.clip for body in bodies if isinstance(body, Said)]
        assert all(clips)
        assert len(logbook.clip(clips[0])) > 1000
    torqued = [body for body in bodies if isinstance(body, Torqued)]
    assert [(body.fastener, str(body.value), body.unit) for body in torqued] == [("cover-bolts", "25", "N·m")]
    assert isinstance(bodies[-1], Finished)


def test_its_own_voice_in_the_microphone_never_makes_it_act(server: SoundServer, tmp_path: Path) -> None:
    """The loudspeaker plays straight into the microphone. Half duplex hears nothing of it; the same room with the
    headset setting, which does not close the ear, shows that there was something to hear."""
    with server.echo(), Technician(server, CARD, tmp_path / "loudspeaker") as technician:
        technician.ready()
        technician.ask("start the job")
        technician.ask("what is the torque of the cover bolts")
        technician.ask("done")
    assert len(_said(tmp_path / "loudspeaker")) == technician.spoken, "what the technician said, and nothing else"

    with server.echo(), Technician(server, CARD, tmp_path / "headset", "--headset") as technician:
        technician.ready()
        for words in ("start the job", "where am I", "what is the torque of the cover bolts", "where am I"):
            technician.say(words)
            time.sleep(4)  # the answer, and what comes of its echo
        assert technician.close() == 0
    heard = sum(line["what"] in ("ignored", "heard") for line in technician.lines)
    assert heard > technician.spoken, "it heard itself"


def test_with_a_headset_it_is_talked_over_and_stops(server: SoundServer, tmp_path: Path) -> None:
    with (
        server.record_loudspeaker() as recorded,
        Technician(server, CARD, tmp_path, "--headset", "--verbosity", "full", "--speed", "150") as technician,
    ):
        technician.ready()
        technician.ask("start the job")
        technician.say("where am I")
        cut = technician.wait(lambda line: line["what"] == "reply", "answer")["text"]
        technician.wait(lambda line: line["what"] == "speaking", "voice")
        technician.say("stop talking")
        technician.until_silent()
        technician.ask("done")
    whole_s = Espeak().render(speakable(cut), 150).seconds
    requests = [request for request, decision in _said(tmp_path) if decision == "act"]
    assert requests == ["begin", "where", "stop", "done"]
    spoken = {"begin": 0.0}
    with Logbook.open(tmp_path, read_only=True) as logbook:
        for event in logbook.events(logbook.find_job().name):
            if isinstance(event.body, Said) and event.body.reply:
                spoken[event.body.request] = Espeak().render(speakable(event.body.reply), 150).seconds
    assert whole_s > 3, "long enough to be cut"
    assert _loud_s(recorded[0]) < sum(spoken.values()) - 0.5 * whole_s


def test_a_pulled_plug_is_said_aloud_and_the_microphone_comes_back_by_itself(
    server: SoundServer, tmp_path: Path
) -> None:
    with server.record_loudspeaker() as recorded, Technician(server, CARD, tmp_path) as technician:
        technician.ready()
        technician.ask("start the job")
        server.pull_out_microphone()
        lost = technician.wait(lambda line: line["what"] == "trouble", "word of it")
        technician.until_silent()
        server.plug_in_microphone()
        back = technician.wait(lambda line: line["what"] == "trouble", "word of its return")
        technician.until_silent()
        technician.ask("what is the torque of the cover bolts")
    assert technician.complaints() == "", "no lines of a library's source code on the screen"
    assert "gives no sound any more" in lost["text"]
    assert back["text"].startswith("The microphone is back.")
    recording = _at_ear_rate(recorded[0])
    assert _says(recording, lost["text"])
    assert _says(recording, back["text"])
    assert [request for request, decision in _said(tmp_path) if decision == "act"] == ["begin", "torque"]
    with Logbook.open(tmp_path, read_only=True) as logbook:
        told = [event.body for event in logbook.events(logbook.find_job().name) if isinstance(event.body, Answered)]
    assert {"microphone lost", "microphone back"} <= {body.about for body in told}


def test_a_loudspeaker_that_goes_leaves_the_ear_at_work_and_is_used_again(server: SoundServer, tmp_path: Path) -> None:
    with Technician(server, CARD, tmp_path) as technician:
        technician.ready()
        technician.ask("start the job")
        server.pull_out_loudspeaker()
        gone = technician.wait(lambda line: line["what"] == "trouble", "word of it")
        assert "text goes on" in gone["text"]
        technician.say("what is the torque of the cover bolts")
        answer = technician.wait(lambda line: line["what"] == "reply", "answer")
        assert answer["text"] == "Cover bolts: 25 N·m, 2 5."
        server.plug_in_loudspeaker()
        technician.wait(lambda line: line["text"] == "The loudspeaker is back.", "return")
        technician.until_silent()
        with server.record_loudspeaker() as recorded:
            reply = technician.ask("done")["text"]
    assert _says(_at_ear_rate(recorded[0]), reply)


def test_a_microphone_is_taken_by_its_name(server: SoundServer, tmp_path: Path) -> None:
    with Technician(server, CARD, tmp_path, "--microphone", "Headset") as technician:
        technician.ready()
        assert technician.ask("start the job")["text"].startswith("Off.")


def test_the_command_itself_works_a_card_by_sound(server: SoundServer, tmp_path: Path) -> None:
    """`bay work CARD --headset`, as the README has it: the greeting is talked over, the answer comes by loudspeaker."""
    flags = ("--headset", "--speed", str(SPEED_WPM), "--volume", "10", "--verbosity", "terse")
    with (
        server.record_loudspeaker() as recorded,
        Technician(server, CARD, tmp_path, *flags, by_command=True) as technician,
    ):
        greeting = technician.wait(lambda line: line["what"] == "reply", "greeting")["text"]
        assert "Do not use it on a real vehicle" in greeting
        first = _asked_until_answered(technician, "start the job")
        assert first.startswith("Off.")
        time.sleep(Espeak().render(speakable(first), SPEED_WPM).seconds + 1)
        answer = _asked_until_answered(technician, "what is the torque of the cover bolts")
        time.sleep(Espeak().render(speakable(answer), SPEED_WPM).seconds + 2)
    assert answer == "Cover bolts: 25 N·m, 2 5."
    assert _says(_at_ear_rate(recorded[0]), answer)


def _asked_until_answered(technician: Technician, words: str) -> str:
    """The microphone may not be open yet when the first words are said."""
    for _ in range(4):
        technician.say(words)
        reply = technician.next_reply(within_s=8)
        if reply:
            return reply
    raise AssertionError(f"no answer to {words!r}; came: {technician.lines}")


@pytest.mark.parametrize(
    ("flags", "says"),
    [(("--microphone", "gooseneck"), "No microphone is called 'gooseneck'. There are:")],
)
def test_a_microphone_that_is_not_there_is_told_in_one_sentence(
    flags: tuple[str, ...], says: str, server: SoundServer, tmp_path: Path
) -> None:
    with Technician(server, CARD, tmp_path, *flags) as technician:
        refused = technician.wait(lambda line: line["what"] == "refused", "refusal")
        assert says in refused["text"]
        assert technician.wait_for_end() == 2
