"""The commands of the logbook: bay log, bay jobs, bay replay, bay report. Each opens the store, calls, prints.

`log_app` is a typer application; `jobs`, `replay` and `report` are plain functions with typer annotations.
A user's mistake is one line on standard error and exit code 2.
"""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, ParamSpec, TypeVar

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.errors import BayError
from assistant.job import codec
from assistant.job.events import kind_of
from assistant.job.plan import Plan
from assistant.logbook.ages import moment_before
from assistant.logbook.copy import copy as copy_store
from assistant.logbook.errors import LogbookError
from assistant.logbook.forget import forget as forget_clips
from assistant.logbook.people import export_person
from assistant.logbook.replay import Keys, Line, lines_of
from assistant.logbook.replay import replay as tell_again
from assistant.logbook.report import FORMATS, SCHEMA, write_report
from assistant.logbook.rows import written_at
from assistant.logbook.search import search as search_words
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.tell import card_of
from assistant.logbook.verify import verify as prove
from assistant.logbook.words import Names, in_words, printable, sort_of

P = ParamSpec("P")
R = TypeVar("R")

Job = Annotated[
    str | None, typer.Argument(help="Name of a job, its number, or how its name begins. Without: the last one.")
]
Home = Annotated[
    Path | None,
    typer.Option("--home", envvar="BAY_HOME", help="Folder of the logbook.", show_default="the user's data folder"),
]


def plainly(command: Callable[P, R]) -> Callable[P, R]:
    """A command whose errors are told in their own words, with exit code 2."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except BayError as fault:
            typer.echo(str(fault), err=True)
            raise typer.Exit(2) from None
        except BrokenPipeError:
            sys.stderr.close()
            raise typer.Exit(0) from None

    return run


class _JobOrCommand(typer.core.TyperGroup):
    """`bay log JOB` beside `bay log verify`: what is no command of its own is a job to show."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        first = next((a for a in args if not a.startswith("-")), None)
        if first not in self.commands and not {"--help", "-h"} & set(args[:1]):
            args = ["show", *args]
        return super().parse_args(ctx, args)


log_app = typer.Typer(
    cls=_JobOrCommand,
    help="The log of a job, whole: what was said, answered, done. Also proves, copies, searches and clears it.",
    no_args_is_help=False,
)


def names_of(logbook: Logbook, job: JobSummary) -> Names:
    """Ids of steps and things in words, from the card that the job keeps; the ids themselves where it has none."""
    try:
        plan = Plan(card_of(logbook, job))
    except LogbookError:
        return lambda thing: thing.replace("-", " ")
    return lambda thing: f"step {plan.by_id[thing].number}" if thing in plan.by_id else plan.name_of(thing)


@log_app.command("show", hidden=True)
@plainly
def show(
    job: Job = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line, each with its hash.")] = False,
    home: Home = None,
) -> None:
    """Prints every entry of a job's log in order."""
    with Logbook.open(home, read_only=True) as logbook:
        summary = logbook.find_job(job)
        if as_json:
            for event, digest in logbook.hashed(summary):
                line = {
                    "job": summary.name,
                    "seq": event.seq,
                    "at": written_at(event.at),
                    "person": event.person,
                    "step": event.step,
                    "kind": kind_of(event.body),
                    "group": event.group,
                    "body": codec.to_json(event.body),
                    "hash": digest,
                }
                typer.echo(json.dumps(line, ensure_ascii=False))
            return
        name = names_of(logbook, summary)
        typer.echo(printable(f"{summary.name}  {summary.title}, revision {summary.revision}  {summary.vehicle}"))
        for event in logbook.each_event(summary):
            words = in_words(event, name)
            if not words:
                continue
            who = printable(event.person) if sort_of(event.body) == "heard" else ""
            typer.echo(f"{event.seq:>5}  {event.at.astimezone():%Y-%m-%d %H:%M:%S}  {who:>8}  {words}")
            reply = getattr(event.body, "reply", "") if sort_of(event.body) == "heard" else ""
            if reply:
                typer.echo(f"{'':>28}{'bay':>8}  {printable(reply)}")


@log_app.command()
@plainly
def verify(
    job: Job = None,
    holds: Annotated[str, typer.Option(help="A hash from a printed report that the log must contain.")] = "",
    sound: Annotated[bool, typer.Option(help="Also read every sound clip.")] = True,
    home: Home = None,
) -> None:
    """Proves the log: finds any change, gap or cut and says where. Exit code 1 where it finds one."""
    if holds and (len(holds) < 8 or not set(holds.lower()) <= set("0123456789abcdef")):
        raise LogbookError("--holds takes at least the first 8 figures of a hash: 0 to 9, a to f.")
    with Logbook.open(home, read_only=True) as logbook:
        proof = prove(logbook, logbook.find_job(job).name if job else None, holds=holds, sound=sound)
    for fault in proof.faults:
        typer.echo(f"FAULT  {fault}")
    for remark in proof.remarks:
        typer.echo(f"note   {remark}")
    gone = f", {proof.forgotten} removed by retention" if proof.forgotten else ""
    typer.echo(f"{proof.jobs} job(s), {proof.events} entries, {proof.clips} sound clip(s) whole{gone}")
    if proof.whole:
        typer.echo("Whole: every entry follows from the one before, and nothing is missing.")
        for name, digest in proof.last[:1] if job else ():
            typer.echo(f"Last hash of {name}: {digest}")
        return
    typer.echo(f"NOT whole: {len(proof.faults)} fault(s).")
    raise typer.Exit(1)


@log_app.command("copy")
@plainly
def copy(
    file: Annotated[
        Path, typer.Argument(help="By its ending: .zip all in one file, .sqlite3 the database alone, else a folder.")
    ],
    home: Home = None,
) -> None:
    """Copies the whole log while work goes on."""
    with Logbook.open(home, read_only=True) as logbook:
        typer.echo(f"Copied to {copy_store(logbook, file)}")


@log_app.command()
@plainly
def forget(
    older_than: Annotated[str, typer.Option("--older-than", help="An age (90d, 12w, 18m, 2y) or a day (2026-03-01).")],
    person: Annotated[str | None, typer.Option(help="Only this person's clips.")] = None,
    home: Home = None,
) -> None:
    """Removes old sound clips. What was said stays as text, with the clip's hash; the log itself says what went."""
    now = datetime.now().astimezone()
    with Logbook.open(home) as logbook:
        gone = forget_clips(logbook, moment_before(older_than, now), now, person=person)
    typer.echo(f"{gone.clips} sound clip(s) of {gone.jobs} job(s) removed, {gone.octets / 1e6:.1f} MB freed.")
    if gone.held:
        typer.echo(f"Passed over, being worked now: {', '.join(gone.held)}. Ask again when they are closed.")


@log_app.command("export")
@plainly
def export(
    person: Annotated[str, typer.Argument(help="Whose words.")],
    file: Annotated[Path, typer.Argument(help="A zip to write.")],
    home: Home = None,
) -> None:
    """Writes all that one person said, with the sound, for that person."""
    with Logbook.open(home, read_only=True) as logbook:
        made = export_person(logbook, person, file)
    gone = f" ({made.clips_gone} no longer kept)" if made.clips_gone else ""
    typer.echo(f"{made.events} entries of {made.jobs} job(s), {made.clips} sound clip(s){gone}: {made.file}")


@log_app.command("search")
@plainly
def search(
    words: Annotated[list[str], typer.Argument(help="All of them must be there; a phrase in quotes.")],
    limit: Annotated[int, typer.Option(min=1, max=10_000)] = 20,
    home: Home = None,
) -> None:
    """Finds words in everything that was said, answered and noted, newest first."""
    with Logbook.open(home, read_only=True) as logbook:
        query = " ".join(f'"{w}"' if " " in w else w for w in words)
        hits = search_words(logbook, query, limit=limit)
    for hit in hits:
        text = " | ".join(hit.text.splitlines())
        where = f"{hit.job}  {hit.event.seq:>5}  {hit.event.at.astimezone():%H:%M}"
        typer.echo(printable(f"{where}  {hit.event.person:>8}  {text}"))
    if not hits:
        typer.echo("Nothing found.")


@plainly
def jobs(
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    home: Home = None,
) -> None:
    """Lists the jobs, the one last worked at first."""
    with Logbook.open(home, read_only=True) as logbook:
        rows = [(job, logbook.holder(job.name)) for job in logbook.jobs()]
    if as_json:
        for job, holder in rows:
            typer.echo(json.dumps(_as_json(job) | {"held_by": str(holder) if holder else None}, ensure_ascii=False))
        return
    if not rows:
        typer.echo("No jobs yet: start one with `bay work CARD`.")
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    # in a narrow window the card's title is broken, never a name to type or a time
    for column, least in (
        ("No.", 3), ("Job", 13), ("Vehicle", 7), ("Card", 8), ("Stands", 12), ("Last entry", 16), ("Who", 4),
    ):  # fmt: skip
        table.add_column(column, min_width=least, overflow="fold")
    for job, holder in rows:
        stands = "closed" if job.finished else "being worked" if holder else "open"
        style = "green" if holder else "dim" if job.finished else "yellow"
        last = f"{job.last_at.astimezone():%Y-%m-%d %H:%M}"
        who = printable(", ".join(job.people))
        # Text, not markup: names and titles are anybody's words
        table.add_row(
            str(job.number),
            job.name,
            Text(printable(job.vehicle)),
            Text(printable(job.title)),
            Text(stands, style),
            last,
            Text(who),
        )
    Console().print(table)


def _as_json(job: JobSummary) -> dict[str, Any]:
    return {
        "number": job.number,
        "name": job.name,
        "card": job.card,
        "revision": job.revision,
        "title": job.title,
        "vehicle": job.vehicle,
        "started": written_at(job.started),
        "last_at": written_at(job.last_at),
        "step": job.step,
        "people": list(job.people),
        "events": job.events,
        "finished": job.finished,
        "last_hash": job.last_hash,
    }


@plainly
def replay(
    job: Job = None,
    speed: Annotated[float, typer.Option(help="1 as it was, 4 four times as fast; 0 all at once.", min=0)] = 4.0,
    from_step: Annotated[str, typer.Option("--from", help="A step's number or id.")] = "",
    notes: Annotated[bool, typer.Option("--notes", help="Only notes.")] = False,
    torques: Annotated[bool, typer.Option("--torques", help="Only torques and readings.")] = False,
    overrides: Annotated[
        bool, typer.Option("--overrides", help="Only what was skipped, overridden, accepted.")
    ] = False,
    everything: Annotated[bool, typer.Option("--all", help="Each step and deed as well.")] = False,
    voice: Annotated[bool, typer.Option("--voice", help="Play the clips and speak the replies.")] = False,
    speaker: Annotated[str, typer.Option(help="Loudspeaker, by number or name.")] = "",
    home: Home = None,
) -> None:
    """Tells a job again, with its times. Space holds, arrows step and change the speed, / searches, q ends."""
    only = {
        sort
        for asked, sorts in ((notes, ("note",)), (torques, ("torque", "reading")), (overrides, ("override",)))
        if asked
        for sort in sorts
    }
    with Logbook.open(home, read_only=True) as logbook:
        summary = logbook.find_job(job)
        step = _step_id(logbook, summary, from_step)
        lines = lines_of(
            logbook.each_event(summary), names_of(logbook, summary), only=only, from_step=step, everything=everything
        )
        if not lines:
            typer.echo("Nothing of that kind in this job.")
            return
        typer.echo(printable(f"{summary.name}  {summary.title}  {summary.vehicle}"))
        _tell(logbook, lines, speed, voice, speaker)


def _step_id(logbook: Logbook, job: JobSummary, asked: str) -> str:
    """A step by its number or id, as the job's own card has it."""
    if not asked:
        return ""
    plan = Plan(card_of(logbook, job))
    found = [p for p in plan.places if asked in (str(p.number), p.step.id)]
    if not found:
        raise LogbookError(f"This card has no step {asked!r}: it has 1 to {len(plan.places)}.")
    return found[0].step.id


def _tell(logbook: Logbook, lines: list[Line], speed: float, voice: bool, speaker: str) -> None:
    from assistant.logbook.terminal import Terminal

    console = Console(highlight=False)
    live = sys.stdin.isatty() and sys.stdout.isatty()
    with Terminal(console) as terminal:
        keys: Keys = terminal.key if live and speed > 0 else lambda wait_s: ""
        if not voice:
            tell_again(lines, terminal, keys, speed=speed or 1.0)
            return
        from assistant.devices import DeviceError
        from assistant.logbook.aloud import Loudspeaker
        from assistant.voice.errors import VoiceError
        from assistant.voice.play import DeviceOutput, Player

        try:
            player = Player(DeviceOutput(speaker))
        except (VoiceError, DeviceError) as fault:
            typer.echo(f"{fault}\nThe replay goes on without sound.", err=True)
            tell_again(lines, terminal, keys, speed=speed or 1.0)
            return
        try:
            aloud = Loudspeaker(logbook, player)
            tell_again(lines, terminal, keys, speed=speed or 1.0, aloud=aloud)
            if aloud.lacks:
                typer.echo(f"{aloud.lacks} sound clip(s) are no longer kept.")
        finally:
            player.close()


@plainly
def report(
    job: Job = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="File to write; its ending says how: .html .pdf .csv .json", show_default="JOB.html"),
    ] = None,
    kind: Annotated[str, typer.Option("--format", help="html, pdf, csv or json, where no file is named.")] = "html",
    paper: Annotated[str, typer.Option(help="For PDF: a4 or letter.")] = "a4",
    sound: Annotated[bool, typer.Option("--sound", help="HTML: put the sound clips into the file.")] = False,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print the JSON Schema of the JSON report, and end.")
    ] = False,
    home: Home = None,
) -> None:
    """Writes the report of a job: for the foreman, and to print for the customer."""
    if schema:
        typer.echo(SCHEMA.read_text(encoding="utf-8"), nl=False)
        return
    if kind not in FORMATS:
        raise LogbookError(f"No such format: {kind}. There are {', '.join(FORMATS)}.")
    with Logbook.open(home, read_only=True) as logbook:
        summary = logbook.find_job(job)
        target = to or Path(f"{summary.name}.{kind}")
        made = write_report(logbook, summary, target, paper=paper, sound=sound)
        if len(made) > 1:
            typer.echo(f"A CSV file holds one table: {target.name} became {len(made)} files.", err=True)
        for path in made:
            typer.echo(str(path))


__all__ = ["jobs", "log_app", "names_of", "replay", "report"]
