"""The commands: parse options, call, print. No logic, and nothing heavy is loaded before it is needed."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from assistant.errors import said_plainly
from assistant.settings import Held
from assistant.settings_flags import takes_settings

if TYPE_CHECKING:
    from assistant.grammar.load import CardGrammar
    from assistant.hearing.capture import Microphone
    from assistant.hearing.ear import Listening
    from assistant.hearing.recogniser import Recogniser
    from assistant.live import Line
    from assistant.logbook.store import Logbook
    from assistant.session import Opening, Session

app = typer.Typer(
    name="bay",
    help="A hands-free colleague for the repair bay: keeps the place in a job card, answers, remembers, writes down.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
AsJson = Annotated[bool, typer.Option("--json", help="For programs: one JSON object a line.")]
Typed = Annotated[bool, typer.Option("--typed", help="Requests come as lines on standard input, replies go out.")]
Audio = Annotated[Path | None, typer.Option("--audio", help="Requests come from a sound file: WAV or FLAC.")]


# -- working ---------------------------------------------------------------------


@app.command()
@takes_settings("ear", "voice", "log", "work")
def work(
    card: Annotated[str, typer.Argument(help="A card's file, or the name of a shipped one.")],
    held: Held,
    typed: Typed = False,
    audio: Audio = None,
    vehicle: Annotated[str, typer.Option(help="Which vehicle: plate or order number.")] = "",
    as_json: AsJson = False,
) -> None:
    """Begin a job by a card: by microphone, or typed, or from a recording."""
    from assistant.card.load import find_card
    from assistant.session import begin
    from assistant.work import clock_utc

    read = find_card(card)
    recording = _recording(audio)
    microphone = None if typed or recording is not None else _microphone(held)
    with _logbook(held) as logbook:
        opening = begin(
            read, logbook, clock_utc(), vehicle=vehicle, person=held.person,
            name=_attention_name(held), settings=_manner_of_talk(held),
        )  # fmt: skip
        _run(opening, held, recording, microphone, as_json)


@app.command()
@takes_settings("ear", "voice", "log", "work")
def resume(
    held: Held,
    job: Annotated[
        str | None, typer.Argument(help="Name or number of a job. Without: the last unfinished one.")
    ] = None,
    typed: Typed = False,
    audio: Audio = None,
    as_json: AsJson = False,
) -> None:
    """Go on with a job where it was left, after lunch or after a power cut."""
    from assistant.card.load import card_today
    from assistant.session import resume as go_on
    from assistant.work import clock_utc

    recording = _recording(audio)
    microphone = None if typed or recording is not None else _microphone(held)
    with _logbook(held) as logbook:
        opening = go_on(
            job, logbook, clock_utc(), person=held.person, name=_attention_name(held),
            settings=_manner_of_talk(held), card_now=card_today,
        )  # fmt: skip
        _run(opening, held, recording, microphone, as_json)


@app.command()
@takes_settings("ear", "voice", "log")
def demo(
    held: Held,
    home: Annotated[
        Path | None,
        typer.Option(
            "--log-in", help="Folder for the demo's log.", show_default="a fresh folder under the temporary one"
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """The recorded job: a technician's first hour, heard by the real recogniser."""
    import tempfile
    from datetime import UTC, datetime

    from assistant.card.load import find_card
    from assistant.demo import recorded_job, sound_of
    from assistant.logbook.store import Logbook
    from assistant.session import begin
    from assistant.work import recorded

    job = recorded_job()
    folder = home or Path(tempfile.mkdtemp(prefix="bay-demo-"))
    with Logbook.open(folder, keep_clips=held.settings.log.clips) as logbook:
        began = datetime.now(UTC)
        opening = begin(find_card(job.card), logbook, began, vehicle=job.vehicle)
        recognise = _recogniser(held, opening.session.grammar.phrases)
        show = _shower(as_json)
        _greet(opening, as_json)
        try:
            recorded(opening.session, sound_of(job), recognise, held.settings, show, began)
        finally:
            opening.session.close()
        _sum_up(opening.session, logbook, folder, as_json)


def _run(opening: Opening, held: Held, recording: Any, microphone: Microphone | None, as_json: bool) -> None:
    try:
        if microphone is not None:
            _run_live(opening, held, microphone, as_json)
        elif recording is not None:
            _run_recorded(opening, held, recording, as_json)
        else:
            _run_typed(opening, as_json)
    finally:
        opening.session.close()


def _run_typed(opening: Opening, as_json: bool) -> None:
    from assistant.work import event_as_json, typed

    at_terminal = sys.stdin.isatty() and not as_json
    if as_json:
        events = [event_as_json(event) for event in opening.session.written]
        first = {"typed": "", "request": "", "slots": {}, "reply": opening.reply.text, "events": events}
        print(json.dumps(first, ensure_ascii=False), flush=True)
    else:
        print(" ".join(opening.reply.text.split()), flush=True)
    for exchange in typed(opening.session, _lines(at_terminal)):
        print(json.dumps(exchange.as_json(), ensure_ascii=False) if as_json else exchange.reply, flush=True)


def _lines(at_terminal: bool) -> Iterator[str]:
    while True:
        if at_terminal:
            print("> ", end="", flush=True)
        line = sys.stdin.buffer.readline(100_000)
        if not line:
            return
        yield line.decode("utf-8", "replace")


def _run_recorded(opening: Opening, held: Held, recording: Any, as_json: bool) -> None:
    from datetime import UTC, datetime

    from assistant.work import recorded, sound_of

    recognise = _recogniser(held, opening.session.grammar.phrases)
    for remark in recording.remarks:
        print(f"{recording.path}: {remark}", file=sys.stderr)
    _greet(opening, as_json)
    recorded(
        opening.session, sound_of(recording), recognise, held.settings, _shower(as_json), datetime.now(UTC)
    )  # fmt: skip


def _run_live(opening: Opening, held: Held, microphone: Microphone, as_json: bool) -> None:
    from assistant.hearing.ear import Ear
    from assistant.hearing.keyboard import Keyboard
    from assistant.live import Line, Shown, now_utc, run_live
    from assistant.settings import keep
    from assistant.voice.talk import open_voice

    settings = held.settings
    show = _shower(as_json)
    recognise = _recogniser(held, opening.session.grammar.phrases)
    recognise.warm_up(opening.session.live().acceptor)
    voice, missing = open_voice(settings.manner, settings.voice.loudspeaker, settings.voice.loudspeaker_rate)
    if missing:
        show(Line(Shown.TROUBLE, missing, now_utc()))
    _greet(opening, as_json)
    voice.say(opening.reply)

    def kept(option: str, value: object) -> None:
        keep(held.folder, opening.session.conversation.state.person, option, value)

    try:
        run_live(
            opening.session, Ear(recognise), microphone, voice, settings.ear, settings.voice,
            keys=Keyboard(), show=show,
            keep=kept,
        )  # fmt: skip
    except KeyboardInterrupt:
        print(f"\nLeft. Go on with: bay resume {opening.session.writer.name}")
    finally:
        microphone.close()
        voice.close(10.0)


# -- looking at jobs ---------------------------------------------------------------


def _logbook_commands() -> None:
    from assistant.logbook import commands

    app.command()(commands.jobs)
    app.add_typer(commands.log_app, name="log")
    app.command()(commands.replay)
    app.command()(commands.report)


# -- cards, hearing, calculating -----------------------------------------------------


@app.command()
def check(
    cards: Annotated[list[str], typer.Argument(help="Card files, or names of shipped cards.")],
    as_json: AsJson = False,
) -> None:
    """Prove a card before anyone works by it, for every combination of its facts."""
    from assistant.card.check_command import check_command

    raise typer.Exit(check_command(cards, as_json))


@app.command()
@takes_settings("ear")
def hear(
    files: Annotated[list[Path], typer.Argument(help="Sound files: WAV or FLAC, any rate.")],
    held: Held,
    card: Annotated[str, typer.Option(help="The card whose phrases may be said.")] = "gearbox-and-clutch",
    at: Annotated[str, typer.Option("--at", help="As at this step of the card: its number or id.")] = "",
    grammar: Annotated[Path | None, typer.Option(help="Instead of a card: any JSGF file.")] = None,
    as_json: AsJson = False,
) -> None:
    """What would have been understood of a recording, and why."""
    from assistant.card.load import find_card
    from assistant.grammar.file import FileGrammar
    from assistant.hearing.command import hear_files, live_at

    spoken = FileGrammar(grammar) if grammar else _grammar(card, held)()
    live = None if grammar else live_at(find_card(card).card, at or None)
    faulty = False
    for result in hear_files(files, spoken, _recogniser(held, spoken.phrases), live):
        faulty = faulty or bool(result.fault)
        if as_json:
            print(json.dumps(result.as_json(), ensure_ascii=False), flush=True)
        else:
            print(result.as_line(), file=sys.stderr if result.fault else sys.stdout, flush=True)
    if faulty:
        raise typer.Exit(2)


def _draft_command() -> None:
    from assistant.card.draft.commands import draft

    app.command()(draft)


def _board_command() -> None:
    from assistant.board.commands import board

    app.command()(board)


def _bench_commands() -> None:
    from assistant.fastening.commands import commands

    for name, command in commands.items():
        app.command(name)(command)


# -- this machine ----------------------------------------------------------------------


@app.command()
@takes_settings("ear", "voice", "log")
def doctor(
    held: Held,
    card: Annotated[str, typer.Option(help="The card whose phrases are tried by ear.")] = "gearbox-and-clutch",
    quick: Annotated[bool, typer.Option("--quick", help="Only look; nothing is to be said or heard.")] = False,
    voices: Annotated[bool, typer.Option("--voices", help="List the voices that can be set, and end.")] = False,
    as_json: AsJson = False,
) -> None:
    """Microphone, level and noise, loudspeaker, engine, disk: what is wrong, and how to mend it."""
    from assistant.doctor import command
    from assistant.logbook.store import home

    if voices:
        for voice in command.voices():
            print(voice)
        return
    grammar = _grammar(card, held)
    folder = Path(held.settings.log.home) if held.settings.log.home else None
    code = command.doctor(
        held,
        home(folder),
        recogniser=lambda: _recogniser(held, grammar().phrases),
        listening=lambda: _everything(grammar()),
        phrases=_short_phrases(grammar()) if held.settings.ear.name else (),
        try_sound=not quick,
        as_object=as_json,
    )
    raise typer.Exit(code)


@app.command()
@takes_settings()
def settings(
    held: Held,
    keep: Annotated[
        list[str] | None, typer.Option("--keep", help="Write an option into the file: voice.volume=7. May be repeated.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Every option: what holds, and where it comes from."""
    from assistant.settings import keep as write

    if keep:
        for entry in keep:
            option, _, value = entry.partition("=")
            print(write(held.folder, held.person, option.strip(), value.strip()))
        return
    from assistant.screen import show_settings

    show_settings(held, as_json)


model_app = typer.Typer(
    help="Vosk models, for other languages: which there are, adding one, fetching one.", no_args_is_help=True
)
app.add_typer(model_app, name="model")


@model_app.command("list")
def model_list(as_json: AsJson = False) -> None:
    """The models on this machine."""
    from assistant.hearing.models import installed
    from assistant.screen import show_models

    show_models(installed(), as_json)


@model_app.command("add")
def model_add(folder: Annotated[Path, typer.Argument(help="Folder of an unpacked vosk model.")]) -> None:
    """Copy a model from a folder into the store."""
    from assistant.hearing.models import add

    model = add(folder)
    print(f"{model.name} is in {model.folder}. Use it with: --engine vosk --model {model.name}")


@model_app.command("fetch")
def model_fetch(language: Annotated[str, typer.Argument(help="Language code: en-us, de, ko.")]) -> None:
    """Download the small model of a language, by vosk's own download."""
    from assistant.hearing.models import fetch

    model = fetch(language)
    print(f"{model.name} is in {model.folder}. Use it with: --engine vosk --model {model.name}")


# -- joining -------------------------------------------------------------------------


@contextmanager
def _logbook(held: Held) -> Iterator[Logbook]:
    from assistant.logbook.store import Logbook, home

    folder = Path(held.settings.log.home) if held.settings.log.home else None
    with Logbook.open(home(folder), keep_clips=held.settings.log.clips) as logbook:
        yield logbook


def _recogniser(held: Held, phrases: Callable[[int], Iterable[Any]]) -> Recogniser:
    """The engine that is set; `phrases` gives those of the grammar, for an engine that needs a list."""
    from assistant.hearing.engines import choose

    ear = held.settings.ear
    return choose(
        ear.engine, model=ear.model, threads=ear.threads,
        phrases=lambda most: [getattr(phrase, "text", phrase) for phrase in phrases(most)],
    )  # fmt: skip


def _grammar(card: str, held: Held) -> Callable[[], CardGrammar]:
    """The grammar of a card, made when it is first asked for."""
    made: list[CardGrammar] = []

    def grammar() -> CardGrammar:
        if not made:
            from assistant.card.load import find_card
            from assistant.grammar.load import CardGrammar

            made.append(CardGrammar(find_card(card).card, attention_name=held.settings.ear.name))
        return made[0]

    return grammar


def _everything(grammar: CardGrammar) -> Listening:
    from assistant.hearing.ear import Listening

    return Listening(grammar.acceptor(), grammar.parse, grammar.may_go_on)


def _short_phrases(grammar: CardGrammar) -> tuple[str, ...]:
    """What a name must not sound like."""
    return tuple(phrase.text for phrase in grammar.phrases(2000) if len(phrase.text.split()) < 4)


def _microphone(held: Held) -> Microphone:
    """Opened before anything is written: no job is begun that nobody can work."""
    from assistant.hearing.capture import DeviceSource, Microphone

    ear = held.settings.ear
    microphone = Microphone(DeviceSource(ear.microphone, ear.microphone_rate or None))
    microphone.open()
    return microphone


def _recording(audio: Path | None) -> Any:
    if audio is None:
        return None
    from assistant.hearing.files import inspected

    return inspected(audio)


def _attention_name(held: Held) -> str:
    return held.settings.ear.name


def _manner_of_talk(held: Held) -> Any:
    from assistant.dialogue.view import Settings

    return Settings(verbosity=held.settings.voice.verbosity)


def _greet(opening: Opening, as_json: bool) -> None:
    from assistant.live import Line, Shown, now_utc

    _shower(as_json)(Line(Shown.REPLY, opening.reply.text, now_utc()))


def _shower(as_json: bool) -> Callable[[Line], None]:
    from assistant.screen import Conversation, json_line

    return json_line if as_json else Conversation().show


def _sum_up(session: Session, logbook: Logbook, folder: Path, as_json: bool) -> None:
    from assistant.screen import sum_up
    from assistant.work import ending

    end = ending(session, logbook, folder)
    if as_json:
        print(json.dumps(end.as_json(), ensure_ascii=False))
    else:
        sum_up(end)


_logbook_commands()
_board_command()
_draft_command()
_bench_commands()


def main() -> None:
    """The command `bay`. A person's mistake is one line and exit code 2, never a traceback."""
    if os.environ.get("BAY_TRACEBACK"):
        app()
        return
    said_plainly(app)


if __name__ == "__main__":
    main()
