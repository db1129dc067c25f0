"""A narration from a file of text: WebVTT, SRT, text with a time before each passage, plain text."""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import webvtt

from .errors import DraftError
from .lexicon import lexicon
from .narration import Narration, Passage, Skipped

LARGEST_BYTES = 20_000_000
_SOUND = frozenset({".wav", ".flac", ".ogg", ".oga", ".mp3", ".aiff", ".aif"})
_TIMING = re.compile(r"-->")
_TIME_FIRST = re.compile(
    r"^\s*[\[(]?\s*(?:(?P<h>\d{1,2}):)?(?P<m>\d{1,3}):(?P<s>\d{2})(?:[.,](?P<f>\d{1,3}))?\s*[\])]?\s*[-–:]?\s+(?P<words>\S.*)$"
)
_TIME_ALONE = re.compile(
    r"^\s*[\[(]?\s*(?:(?P<h>\d{1,2}):)?(?P<m>\d{1,3}):(?P<s>\d{2})(?:[.,](?P<f>\d{1,3}))?\s*[\])]?\s*:?\s*$"
)
_STAMPS = re.compile(r"<[\d:.]+>")
_TAGS = re.compile(r"</?[a-zA-Z][^>]*>|\{\\?[^}]*\}")
_SPEAKER = re.compile(r"^(?P<name>[A-Z][a-z]+(?: [A-Z][a-z]+)?):\s+(?P<words>\S.*)$", re.DOTALL)
_SPACE = re.compile(r"\s+")


def is_sound(path: Path) -> bool:
    return path.suffix.lower() in _SOUND


def read_text_file(path: Path) -> Narration:
    """Any of the text forms, told apart by what stands in the file. Raises DraftError."""
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise DraftError(
            f"{path}: cannot be read ({error.strerror}). Check the name and that you may open it."
        ) from None
    if len(raw) > LARGEST_BYTES:
        raise DraftError(
            f"{path.name}: {len(raw) / 1e6:.0f} MB of text is more than one job. Cut it into one file a job."
        )
    return narration_of(_decoded(raw, path.name), path.name)


def _decoded(raw: bytes, name: str) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = raw.decode("utf-16", "replace")
    else:
        text = raw.decode("utf-8-sig", "replace")
    controls = sum(text.count(chr(code)) for code in (*range(9), *range(14, 27)))
    if controls > len(text) / 100:
        raise DraftError(f"{name}: this is not text. Give WebVTT, SRT or plain text, or sound as WAV or FLAC.")
    lost = text.count("\ufffd")
    if lost > sum(letter > "\x7f" for letter in text) - lost:  # more letters beyond ASCII lost than read: not UTF-8
        text = raw.decode("cp1252", "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def narration_of(text: str, name: str) -> Narration:
    """The text of a file as passages. Raises DraftError where there is no word in it."""
    if text.lstrip().startswith("WEBVTT"):
        read = _cues(text, name, "WebVTT")
    elif len(_TIMING.findall(text)) >= 1:
        read = _cues(text, name, "SRT")
    else:
        read = _lines(text, name)
    if not read.passages:
        lost = (
            f" {len(read.skipped)} pieces could not be read, the first at {read.skipped[0].where}."
            if read.skipped
            else ""
        )
        raise DraftError(
            f"{name}: there is no talk in this file.{lost} Give a narration, or check that the right file was named."
        )
    return read


def _cues(text: str, name: str, kind: str) -> Narration:
    """Block by block, so that one damaged cue costs no more than itself."""
    passages: list[Passage] = []
    skipped: list[Skipped] = []
    by_line = _unpunctuated(
        "\n".join(row for row in text.split("\n") if "-->" not in row and not row.strip().isdigit())
    )
    for line, block in _blocks(text):
        first = block.split("\n", 1)[0]
        if first.startswith(("WEBVTT", "NOTE", "STYLE", "REGION")) and "-->" not in block:
            continue
        found = _one_cue(block, kind)
        if isinstance(found, str):
            skipped.append(Skipped(f"line {line}", _short(block), found))
            continue
        passages.extend(_turns(found, line, by_line))
    return Narration(name, kind, tuple(passages), tuple(skipped))


def _unpunctuated(text: str) -> bool:
    """Machine-made captions often have no full stops: then a line is the best end of a sentence there is."""
    words = len(text.split())
    return words > 12 and len(re.findall(r"[.!?](?:\s|$)", text)) < words / 60


def _blocks(text: str) -> Iterator[tuple[int, str]]:
    held: list[str] = []
    start = 1
    for number, line in enumerate((*text.split("\n"), ""), start=1):
        if line.strip():
            if "-->" in line and any("-->" in one for one in held):  # a blank line is missing
                numbered = held[-1].strip().isdigit()
                yield start, "\n".join(held[:-1] if numbered else held)
                held, start = held[-1:] if numbered else [], number
            if not held:
                start = number
            held.append(line)
        elif held:
            yield start, "\n".join(held)
            held = []


def _one_cue(block: str, kind: str) -> webvtt.Caption | str:
    """The block read by the library, or why it cannot be."""
    lines = block.split("\n")
    timing = [here for here, line in enumerate(lines) if "-->" in line]
    if not timing:
        return "no times above these words"
    body = "\n".join(lines[timing[0] :])
    if kind == "SRT":
        body = "1\n" + body
    source = f"WEBVTT\n\n{body}\n" if kind == "WebVTT" else f"{body}\n"
    try:
        read = webvtt.from_buffer(io.StringIO(source), format="vtt" if kind == "WebVTT" else "srt")
        captions = list(read.captions) if isinstance(read, webvtt.WebVTT) else list(read)
    except (webvtt.errors.MalformedFileError, webvtt.errors.MalformedCaptionError, ValueError, IndexError):
        captions = []
    if not captions:
        return "the times cannot be read" if len(lines) > timing[0] + 1 else "times without words"
    if not captions[0].text.strip():
        return "times without words"
    return captions[0]


def _turns(caption: webvtt.Caption, line: int, by_line: bool) -> Iterator[Passage]:
    """One passage a speaker's turn: a dash at the start of a line, or a name, opens one. With `by_line`, one a line."""
    start, end = float(caption.start_in_seconds), float(caption.end_in_seconds)
    start += _milliseconds(caption.start)
    end += _milliseconds(caption.end)
    turns: list[str] = []
    dashed = caption.raw_text.lstrip().startswith(("-", "–"))
    for row in caption.raw_text.split("\n"):
        opens = row.lstrip().startswith(("-", "–"))
        if not turns or (dashed and opens) or by_line:
            turns.append(row)
        else:
            turns[-1] += f" {row}"
    for turn in turns:
        said = _clean(turn)
        speaker = caption.voice or ""
        if not speaker:
            speaker, said = _spoken_by(said)
        if said:
            yield Passage(said, start, end, speaker, line, unpunctuated=by_line)


_HEADINGS = frozenset(
    {
        *("caution", "warning", "danger", "note", "notes", "step", "steps", "first", "next", "then", "tools", "parts"),
        *("material", "materials", "removal", "fitting", "inspection", "job", "title", "values"),
    }
)


def _spoken_by(said: str) -> tuple[str, str]:
    """ "Rowe: pull the shaft" by its speaker; "Torque: 65 N·m" is no speaker."""
    named = _SPEAKER.match(said)
    if named is None:
        return "", said
    words = named["name"].lower().split()
    if any(word in _HEADINGS or word in lexicon().nouns or word in lexicon().verbs for word in words):
        return "", said
    return named["name"], named["words"]


def _milliseconds(stamp: str) -> float:
    """What the library's whole seconds leave out."""
    tail = stamp.replace(",", ".").rpartition(".")[2]
    return float(f"0.{tail}") if tail.isdigit() and "." in stamp.replace(",", ".") else 0.0


def _clean(words: str) -> str:
    return _SPACE.sub(" ", _TAGS.sub("", _STAMPS.sub(" ", words))).strip()


def _lines(text: str, name: str) -> Narration:
    """Text with a time before each passage where most paragraphs have one; plain otherwise."""
    rows = text.split("\n")
    timed = sum(1 for row in rows if _TIME_FIRST.match(row) or _TIME_ALONE.match(row))
    is_timed = timed >= 1 and (_TIME_FIRST.match(next((row for row in rows if row.strip()), "")) or timed >= 2)
    by_line = _unpunctuated(text) and _one_thought_a_line([row.strip() for row in rows if row.strip()])
    passages: list[Passage] = []
    start_s: float | None = None
    speaker = ""
    fresh = True
    """A paragraph or a turn begins with the next row."""
    for number, row in enumerate(rows, start=1):
        match = (_TIME_FIRST.match(row) or _TIME_ALONE.match(row)) if is_timed else None
        said = row
        if match is not None:
            start_s = (
                int(match["h"] or 0) * 3600 + int(match["m"]) * 60 + int(match["s"]) + float(f"0.{match['f'] or 0}")
            )
            said, fresh = match.groupdict().get("words") or "", True
        said = _clean(said)
        if not said:
            fresh = fresh or match is None
            continue
        if fresh:
            speaker, said = _spoken_by(said)
        if any(letter.isalnum() for letter in said):
            passages.append(Passage(said, start_s, None, speaker, number, opens=fresh, unpunctuated=by_line))
            fresh = False
    return Narration(name, "timed text" if is_timed else "plain text", tuple(passages))


def _one_thought_a_line(rows: list[str]) -> bool:
    """Whether lines end where a thought ends, and not where the page does: the next word would have had room."""
    if len(rows) < 4:
        return False
    widest = max(map(len, rows))
    roomy = sum(len(row) + 1 + len(after.split()[0]) <= widest for row, after in itertools.pairwise(rows))
    return roomy >= 0.6 * (len(rows) - 1)


def _short(block: str) -> str:
    flat = _SPACE.sub(" ", block).strip()
    return flat if len(flat) <= 80 else f"{flat[:77]}..."
