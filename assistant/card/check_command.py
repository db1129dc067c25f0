"""What `bay check CARD...` does: reads cards, proves them, prints what was found for people or as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.markup import escape

from .check.checked import check_card
from .check.finding import CODES, Finding
from .fault import CardError, Fault
from .load import ReadCard, find_card
from .plan import all_steps, asked_facts

SOUND, FOUND, UNREADABLE = 0, 1, 2
"""Exit codes."""


@dataclass(frozen=True, slots=True)
class CheckedCard:
    """One card and what came of it: faults where it could not be read, else findings."""

    file: str
    read: ReadCard | None
    findings: tuple[Finding, ...] = ()
    faults: tuple[Fault, ...] = ()


def check_one(name_or_path: str | Path) -> CheckedCard:
    """Never raises for what is in the file."""
    try:
        read = find_card(name_or_path)
    except CardError as error:
        return CheckedCard(str(name_or_path), None, faults=error.faults)
    return CheckedCard(read.file, read, check_card(read))


def check_command(cards: Sequence[str | Path], as_json: bool = False, console: Console | None = None) -> int:
    """Checks each card, prints, and returns the exit code: 0 sound, 1 with findings, 2 unreadable."""
    console = console or Console(highlight=False, soft_wrap=True)
    checked = [check_one(card) for card in cards]
    if as_json:
        text = json.dumps({"cards": [_as_json(card) for card in checked]}, ensure_ascii=False, indent=2)
        console.print(text, markup=False, highlight=False, soft_wrap=True)
    else:
        for card in checked:
            _print(card, console)
    if any(card.faults for card in checked):
        return UNREADABLE
    return FOUND if any(card.findings for card in checked) else SOUND


def _as_json(checked: CheckedCard) -> dict[str, Any]:
    out: dict[str, Any] = {"file": checked.file, "readable": checked.read is not None}
    if checked.read is not None:
        card = checked.read.card
        out |= {"card": card.card, "revision": card.revision, "sha256": checked.read.sha256}
    out["faults"] = [
        {"line": f.line, "column": f.column, "message": f.what, "mend": f.mend} for f in checked.faults
    ]  # fmt: skip
    out["findings"] = [{**asdict(finding), "facts": dict(finding.facts)} for finding in checked.findings]
    return out


def _print(checked: CheckedCard, console: Console) -> None:
    if checked.read is None:
        console.print(f"[bold]{escape(checked.file)}[/bold]: [red]cannot be read[/red]")
        for fault in checked.faults:
            place = ":".join(str(n) for n in (fault.line, fault.column) if n)
            _entry(console, "red", place, "fault", fault.what, fault.mend, "")
        return
    card, findings = checked.read.card, checked.findings
    steps = sum(1 for _ in all_steps(card))
    about = (
        f"{escape(card.title)}: {steps} steps, {len(card.fasteners)} kinds of fastener, {len(asked_facts(card))} facts"
    )
    console.print(f"[bold]{escape(checked.file)}[/bold]: {about}")
    for finding in findings:
        colour = "red" if finding.severity == "error" else "yellow"
        when = " and ".join(f"{fact} is {option}" for fact, option in finding.facts)
        place = f"{finding.line}:{finding.column}"
        _entry(console, colour, place, finding.code, finding.message, finding.mend, when)
    for accepted in card.accepted:
        console.print(f"  [dim]accepted {accepted.finding} of {accepted.of}: {escape(accepted.because)}[/dim]")
    if not findings:
        proved = "proved for every combination of facts"
        console.print(f"  [green]sound[/green]: {proved}. All that is opened is closed, in an order that can be done.")
        return
    errors = sum(finding.severity == "error" for finding in findings)
    warnings = len(findings) - errors
    console.print(f"  {errors} to mend, {warnings} to look at.")


def _entry(console: Console, colour: str, place: str, code: str, message: str, mend: str, when: str) -> None:
    console.print(f"  [{colour}]{place} {code}[/{colour}] {escape(message)}")
    if when:
        console.print(f"      when {escape(when)}")
    if mend:
        console.print(f"      {escape(mend)}")


def code_help(code: str) -> str:
    """What a code of a finding means."""
    return CODES[code]
