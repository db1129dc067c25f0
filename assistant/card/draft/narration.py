"""A narration as it was read: passages of words with their times, and what could not be read."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Passage:
    """One stretch of talk."""

    words: str
    """As written or heard; single spaces, no line breaks."""
    start_s: float | None = None
    """Seconds from the start of the recording; None where the text has no times."""
    end_s: float | None = None
    speaker: str = ""
    """Name where the source gives one; empty otherwise."""
    line: int = 0
    """1-based line in the file; 0 for sound."""
    opens: bool = False
    """A paragraph or a turn begins here: no sentence runs on into it."""
    unpunctuated: bool = False
    """One line of captions that have no full stops: it ends a sentence unless it plainly runs on."""


@dataclass(frozen=True, slots=True)
class Skipped:
    """A piece of the source that could not be read."""

    where: str
    """"line 12" or "1:03"."""
    words: str
    """What stands there, shortened."""
    why: str


@dataclass(frozen=True, slots=True)
class Narration:
    source: str
    """File name, without its folder."""
    kind: str
    """WebVTT, SRT, timed text, plain text or sound."""
    passages: tuple[Passage, ...]
    skipped: tuple[Skipped, ...] = ()


def clock(seconds: float | None) -> str:
    """Minutes and seconds as people read them: "1:03", "1:02:45"; empty for None."""
    if seconds is None:
        return ""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{secs:02}" if hours else f"{minutes}:{secs:02}"
