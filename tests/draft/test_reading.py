"""Narrations from files: the readable part is read, the rest is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.card.draft.errors import DraftError
from assistant.card.draft.reading import narration_of, read_text_file
from assistant.card.draft.words import sentences

VTT = """WEBVTT

NOTE a remark

1
00:01.000 --> 00:04.500
<v Oakes>Take out the four
flange bolts.

00:00:05.000 --> 00:00:07.000 align:start
<v Rowe>Pull the <i>shaft</i>.
"""


def test_webvtt_gives_words_times_and_speakers() -> None:
    read = narration_of(VTT, "a.vtt")
    assert read.kind == "WebVTT"
    assert [(p.words, p.start_s, p.end_s, p.speaker) for p in read.passages] == [
        ("Take out the four flange bolts.", 1.0, 4.5, "Oakes"),
        ("Pull the shaft.", 5.0, 7.0, "Rowe"),
    ]


def test_srt_turns_of_two_speakers_are_told_apart() -> None:
    read = narration_of("1\n00:00:01,200 --> 00:00:04,000\n- How many?\n- Six.\n\n", "a.srt")
    assert (read.kind, [p.words for p in read.passages]) == ("SRT", ["- How many?", "- Six."])
    assert read.passages[0].start_s == 1.2


@pytest.mark.parametrize("stamp", ["[00:12] ", "0:12 ", "00:00:12 ", "(0:12) ", "00:12\n"])
def test_a_time_before_each_passage(stamp: str) -> None:
    read = narration_of(f"{stamp}Drain the oil.\nAll of it.\n\n[01:00] Fit the plug.\n", "a.txt")
    assert read.kind == "timed text"
    assert [(p.words, p.start_s) for p in read.passages] == [
        ("Drain the oil.", 12.0),
        ("All of it.", 12.0),
        ("Fit the plug.", 60.0),
    ]


def test_plain_text_keeps_its_lines_and_a_sentence_may_run_over_them() -> None:
    read = narration_of("Take out the\nfour bolts. Pull\nthe shaft.", "a.txt")
    assert [(s.words, s.line) for s in sentences(read.passages)] == [
        ("Take out the four bolts.", 1),
        ("Pull the shaft.", 2),
    ]


def test_a_sentence_runs_over_captions_and_keeps_the_time_of_its_start() -> None:
    text = "WEBVTT\n\n00:01.000 --> 00:02.000\nTake out the\n\n00:02.000 --> 00:03.000\nfour bolts.\n"
    assert [(s.words, s.at_s) for s in sentences(narration_of(text, "a.vtt").passages)] == [
        ("Take out the four bolts.", 1.0)
    ]


def test_a_damaged_cue_costs_itself_only() -> None:
    read = narration_of(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nTake out the bolts.\n\n00:0x.000 --> 00:09.000\nPull the shaft.\n\n"
        "words without a time\n\n00:10.000 --> 00:12.000\n\n00:13.000 --> 00:15.000\nFit the shaft.\n"
        "00:16.000 --> 00:18.000\nFit the bolts.\n",
        "a.vtt",
    )
    assert [p.words for p in read.passages] == ["Take out the bolts.", "Fit the shaft.", "Fit the bolts."]
    assert [(s.where, s.why) for s in read.skipped] == [
        ("line 6", "the times cannot be read"),
        ("line 9", "no times above these words"),
        ("line 11", "times without words"),
    ]


@pytest.mark.parametrize("text", ["", "  \n\n ", "WEBVTT\n\n", "...\n---\n"])
def test_a_file_without_talk_is_said_in_one_line(text: str) -> None:
    with pytest.raises(DraftError, match="no talk in this file") as told:
        narration_of(text, "a.txt")
    assert "\n" not in str(told.value)


def test_captions_without_full_stops_end_their_sentences_with_the_line() -> None:
    lines = [
        "take out the two bolts",
        "pull the bracket off",
        "measure the thickness of",
        "the pads then put them back",
    ]
    text = "WEBVTT\n\n" + "".join(f"00:0{n}.000 --> 00:0{n}.900\n{line}\n\n" for n, line in enumerate(lines))
    assert [s.words for s in sentences(narration_of(text + "\n", "a.vtt").passages)] == [
        "take out the two bolts",
        "pull the bracket off",
        "measure the thickness of the pads then put them back",
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_usual_encoding_is_read(tmp_path: Path, encoding: str) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes("Torque: 65 N·m ± 5. Über all bolts.".encode(encoding))
    assert "65 N·m ± 5" in read_text_file(file).passages[0].words


def test_a_picture_is_no_narration(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(bytes(range(256)) * 20)
    with pytest.raises(DraftError, match="this is not text"):
        read_text_file(file)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(DraftError, match=r"gone\.txt: cannot be read"):
        read_text_file(tmp_path / "gone.txt")


def test_nobody_says_a_thousand_words_in_one_breath() -> None:
    narration = narration_of("take the bolts out and pull the flange and " * 300, "talk.txt")
    assert max(len(one.tokens) for one in sentences(narration.passages)) <= 250


def test_a_line_for_each_thought_is_read_as_one_sentence_each() -> None:
    lines = (
        "i took the two bolts out\nthen the cover came off\nnew gasket on it\ncover back on and the bolts in by hand\n"
    )
    assert len(list(sentences(narration_of(lines * 2, "talk.txt").passages))) == 8


def test_a_unit_said_after_a_stop_belongs_to_the_number_before_it() -> None:
    narration = narration_of("Then the nuts, and they're twenty-five. Newton metres. Pipe back in.", "talk.txt")
    assert len(list(sentences(narration.passages))) == 2
