"""`bay draft`: reads a narration, writes the draft, shows what is missing, and asks for it."""

from __future__ import annotations

import getpass
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .errors import DraftError

if TYPE_CHECKING:
    from rich.console import Console

    from .narration import Narration
    from .review import Talk


def draft(
    narration: Annotated[
        Path,
        typer.Argument(
            help=(
                "WebVTT, SRT, text (with or without times), sound (WAV, FLAC); with --review also a draft to go "
                "on with."
            )
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", "-o", help="Where the card goes.", show_default="the narration's name with .yaml, in this folder"
        ),
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the review list as a page, too.")] = None,
    review: Annotated[bool, typer.Option("--review", help="Ask the open questions one after another.")] = False,
    by_ear: Annotated[
        bool, typer.Option("--by-ear", help="With --review: questions are spoken, answers heard.")
    ] = False,
    person: Annotated[str, typer.Option("--person", help="Who answers.", show_default="the user of this machine")] = "",
    force: Annotated[bool, typer.Option("--force", help="Write over a card that is there already.")] = False,
) -> None:
    """Make a first card from a narrated walk-through, and show what is missing."""
    from rich.console import Console

    console = Console(highlight=False)
    if narration.suffix.lower() in (".yaml", ".yml"):
        if not review:
            raise DraftError(
                f"{narration}: this is a card already. Go on with it by --review, or check it with `bay check`."
            )
        _ask(narration, out or narration, by_ear, person, console)
        return
    target = out or Path(narration.stem + ".yaml")
    if target.exists() and not force:
        raise DraftError(f"{target} is there already. Name another with --out, or write over it with --force.")
    _draft(narration, target, html, console)
    if review:
        _ask(target, target, by_ear, person, console)


def _draft(path: Path, target: Path, html: Path | None, console: Console) -> None:
    from assistant.card.check_command import check_command

    from .drafting import draft_of
    from .showing import as_html, show

    drafted = draft_of(_read(path, console), str(target))
    _write(target, drafted.text)
    listing = drafted.listing
    steps, values = len(listing.sure) + sum(1 for row in listing.unsure if row.number), len(listing.questions)
    console.print(
        f"[bold]{target}[/bold]: {steps} steps from {len(drafted.narration.passages)} passages; {values} "
        f"open questions."
    )
    show(listing, console)
    if html is not None:
        _write(html, as_html(listing))
        console.print(f"The review list is in {html}.")
    console.print("\nWhat `bay check` says of it:")
    check_command([target], console=console)


def _read(path: Path, console: Console) -> Narration:
    from .drafting import read_narration
    from .reading import is_sound

    if not is_sound(path):
        return read_narration(path)
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    from .sound import read_sound_file

    with Progress(
        TextColumn("listening"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
        console=console,
        transient=True,
    ) as bar:
        task = bar.add_task("listening", total=None)
        return read_sound_file(path, lambda done, total: bar.update(task, completed=done, total=total))


def _ask(source: Path, target: Path, by_ear: bool, person: str, console: Console) -> None:
    from assistant.card.load import load_card_text

    from .review import review

    try:
        text = source.read_text("utf-8")
    except OSError as error:
        raise DraftError(f"{source}: cannot be read ({error.strerror}).") from None
    load_card_text(text, str(source))

    def now() -> datetime:
        return datetime.now().astimezone()

    with _talk(by_ear, console) as talk:
        done = review(text, talk, person or _user(), now, lambda card: _write(target, card))
    console.print(f"{done.settled} settled, {done.left} left. The card is in {target}.")


@contextmanager
def _talk(by_ear: bool, console: Console) -> Iterator[Talk]:
    if not by_ear:
        yield Typed(console)
        return
    from assistant.dialogue.reply import Reply
    from assistant.hearing.capture import DeviceSource, Microphone
    from assistant.settings import load
    from assistant.voice.talk import open_voice

    from .by_ear import Heard

    settings = load({}).settings
    microphone = Microphone(DeviceSource(settings.ear.microphone, settings.ear.microphone_rate or None))
    microphone.open()
    voice, missing = open_voice(settings.manner, settings.voice.loudspeaker, settings.voice.loudspeaker_rate)
    if missing:
        console.print(missing)

    def say(words: str) -> None:
        voice.say(Reply(words))
        voice.player.wait_until_said(30.0)

    try:
        yield Heard(_after_speech(microphone), say, show=lambda words: console.print(words, markup=False))
    finally:
        microphone.close()
        voice.close()


def _after_speech(microphone: Any) -> Iterator[object]:
    """Frames, without those that waited while we spoke ourselves."""
    for event in microphone.listen():
        if microphone.backlog_s < 0.5:
            yield event


class Typed:
    """The terminal as the one who asks."""

    is_heard = False

    def __init__(self, console: Console, read: Callable[[str], str] | None = None) -> None:
        self._console = console
        self._read = read or (lambda prompt: self._console.input(prompt, markup=False))

    def tell(self, words: str) -> None:
        self._console.print(words, markup=False)

    def ask(self, words: str) -> str | None:
        with suppress(EOFError, KeyboardInterrupt):
            return self._read(f"{words}\n> ")
        return None


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "somebody"


def _write(target: Path, text: str) -> None:
    """Whole or not at all: a draft is hours of somebody's talk."""
    beside = target.with_name(f".{target.name}.new")
    try:
        beside.write_text(text, "utf-8")
        beside.replace(target)
    except OSError as error:
        raise DraftError(f"{target}: cannot be written ({error.strerror}). Name another place with --out.") from None
