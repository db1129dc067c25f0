"""Cards from files: read_card, load_card, find_card. Every fault is told with file, line, column and mend."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from assistant.paths import shipped

from .fault import CardError, Fault
from .misfit import faults_of
from .model import Card
from .nearest import did_you_mean
from .references import faults_between
from .written import LARGEST_BYTES, Written, read_written


@dataclass(frozen=True, slots=True)
class ReadCard:
    """A card together with what it was read from."""

    card: Card
    file: str
    """As it was named."""
    text: str
    sha256: str
    """Of the file's bytes, hex."""
    written: Written
    """Line and column of each entry."""


def load_card(path: str | Path) -> Card:
    """The card in a file. Raises CardError."""
    return read_card(path).card


def load_card_text(text: str, name: str = "card") -> Card:
    """The card in a text; `name` stands for the file in faults. Raises CardError."""
    return read_card_text(text, name).card


def read_card(path: str | Path) -> ReadCard:
    """The card in a file with its lines and the SHA-256 of its bytes. Raises CardError."""
    raw = _bytes_of(Path(path))
    return _read(_text_of(raw, str(path)), str(path), hashlib.sha256(raw).hexdigest())


def read_card_text(text: str, name: str = "card") -> ReadCard:
    """The card in a text with its lines. Raises CardError."""
    return _read(text, name, hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest())


def find_card(name_or_path: str | Path) -> ReadCard:
    """The card in a file, or a shipped card by its name ("wheel-end"). Raises CardError."""
    path = Path(name_or_path)
    if path.exists() or path.suffix or len(path.parts) > 1:
        return read_card(path)
    known = shipped_cards()
    if str(name_or_path) in known:
        return read_card(known[str(name_or_path)])
    mend = did_you_mean(str(name_or_path), known, f"Shipped cards: {', '.join(known)}.")
    raise CardError((Fault(0, 0, "There is no such file and no shipped card of that name.", mend, str(name_or_path)),))


def shipped_cards() -> dict[str, Path]:
    """Name to file of each card that comes with the tool, by name."""
    return {path.stem: path for path in sorted(shipped("procedures").glob("*.yaml"))}


def own_file(read: ReadCard) -> str:
    """Absolute path of a card of the shop's own; empty for a shipped one, and for a card of no file."""
    path = Path(read.file).absolute()
    if path.resolve() in {shipped.resolve() for shipped in shipped_cards().values()} or not path.is_file():
        return ""
    try:
        str(path).encode("utf-8")
    except UnicodeEncodeError:  # a name that no text holds
        return ""
    return str(path)


def card_today(name: str, own: str) -> ReadCard | None:
    """A card as it lies on the disk now, by its file, or where it has none by its name among the shipped ones.

    None: it is not there any more. Raises CardError where what lies there is no card.
    """
    there = Path(own) if own else shipped_cards().get(name)
    return read_card(there) if there is not None and there.is_file() else None


def _bytes_of(path: Path) -> bytes:
    def stop(what: str, mend: str) -> CardError:
        return CardError((Fault(0, 0, what, mend, str(path)),))

    too_large = f"The file is larger than {LARGEST_BYTES // 1000} kB; no card is."
    try:
        if path.is_dir():
            raise stop("This is a folder.", "Name a card file in it.")
        if path.exists() and not path.is_file():
            raise stop("This is not a regular file.", "Name a card file.")
        if path.stat().st_size > LARGEST_BYTES:
            raise stop(too_large, "Check that it is the right file.")
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        beside = [p.name for p in path.parent.glob("*.yaml")] if path.parent.is_dir() else []
        raise stop("There is no such file.", did_you_mean(path.name, beside, "Check the name.")) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise stop(f"The file cannot be read: {reason}.", "Check its name and who may read it.") from None
    if len(raw) > LARGEST_BYTES:
        raise stop(too_large, "Check that it is the right file.")
    return raw


def _text_of(raw: bytes, file: str) -> str:
    mend = "Save the card as UTF-8."
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise CardError((Fault(1, 1, "The file is written in UTF-16.", mend, file),))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # A byte-order mark, if any, is not counted in `start`; it stands in the first line only.
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        what = f"The byte 0x{raw[error.start]:02X} here is not UTF-8; the file seems to be in an older encoding."
        raise CardError((Fault(line, column, what, mend, file),)) from None
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        raise CardError((Fault(line, 0, "The file has null bytes; it is not a text.", "Name a card file.", file),))
    return text


def _read(text: str, file: str, sha256: str) -> ReadCard:
    if len(text) > LARGEST_BYTES:
        what = f"The text is larger than {LARGEST_BYTES // 1000} kB; no card is."
        raise CardError((Fault(0, 0, what, "Check that it is the right file.", file),))
    written = read_written(text, file)
    try:
        card = Card.model_validate(written.values)
    except ValidationError as error:
        raise CardError(faults_of(error, written, file)) from None
    if faults := faults_between(card, written, file):
        raise CardError(faults)
    return ReadCard(card, file, text, sha256, written)
