"""What the doctor finds, as values; and the verdict over all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    GOOD = "good"
    POOR = "poor"
    """Works, but worse than it could."""
    BAD = "bad"
    """Does not work."""
    UNKNOWN = "unknown"
    """Could not be tried."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at."""

    name: str
    """What was looked at: "microphone", "engine", ..."""
    state: State
    says: str
    """One sentence."""
    mend: str = ""
    """What to do, or the exact command; empty where nothing need be done."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to "can I work with it?"."""

    state: State
    says: str


def verdict(findings: Sequence[Finding]) -> Verdict:
    """Plain, from the worst finding; without a microphone or loudspeaker one can still type and read."""
    bad = [finding.name for finding in findings if finding.state is State.BAD]
    poor = [finding.name for finding in findings if finding.state is State.POOR]
    unknown = [finding.name for finding in findings if finding.state is State.UNKNOWN]
    if bad:
        by_hand = set(bad) <= SOUND
        still = " Until then --typed and --audio work." if by_hand else ""
        return Verdict(State.BAD, f"Not ready for work by voice: {_listed(bad)}.{still}")
    if poor:
        return Verdict(State.POOR, f"Ready, but look at: {_listed(poor)}.")
    if unknown:
        return Verdict(State.UNKNOWN, f"Ready as far as could be tried; not tried: {_listed(unknown)}.")
    return Verdict(State.GOOD, "Ready for work by voice.")


SOUND = frozenset(
    ("sound system", "microphone", "loudspeaker", "permission", "level", "understood", "heard back", "voice")
)
"""Findings without which one can still type."""


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def as_json(findings: Sequence[Finding]) -> dict[str, object]:
    """For `--json`: the findings in order, and the verdict."""
    end = verdict(findings)
    return {
        "verdict": {"state": str(end.state), "says": end.says},
        "findings": [
            {"name": finding.name, "state": str(finding.state), "says": finding.says, "mend": finding.mend}
            for finding in findings
        ],
    }
