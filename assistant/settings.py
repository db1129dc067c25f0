"""What may be set, what holds, and where it comes from.

One TOML file for the shop and one for each person; what stands nearer to the person wins:
default < shop's file < person's file < environment < command line. An option is `table.key`: "voice.volume".
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Literal

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from rapidfuzz.process import extractOne

from assistant.errors import BayError
from assistant.voice.manner import SPEEDS_WPM, VOLUMES, Manner
from assistant.voice.speak import DEFAULT_SPEED_WPM, DEFAULT_VOICE, SPEED_WPM


class SettingsError(BayError):
    """A setting that cannot hold: says where it stands and how to mend it."""


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class EarSettings(_Table):
    engine: Literal["auto", "builtin", "vosk"] = Field(
        "auto", description="recogniser: builtin, vosk, or auto (vosk where a model is named)"
    )
    model: str = Field("", description="folder or name of the vosk model")
    microphone: str = Field("", description="microphone: number, name or part of it; empty for the system's own")
    microphone_rate: int = Field(0, ge=0, le=384_000, description="rate in Hz to open it at; 0 for its native rate")
    attention: Literal["open", "name", "pedal"] = Field("open", description="how it is spoken to: open, name or pedal")
    name: str = Field("", max_length=40, description="the name it answers to with attention by name")
    window_s: float = Field(8.0, ge=2, le=120, description="seconds in which name or pedal are not needed again")
    note_pause_s: float = Field(6.0, ge=2, le=60, description="seconds of silence that end a note")
    headset: bool = Field(False, description="sound goes to a headset: it may be talked over")
    threads: int = Field(2, ge=1, le=32, description="processor threads for reading")


class VoiceSettings(_Table):
    loudspeaker: str = Field("", description="loudspeaker: number, name or part of it; empty for the system's own")
    loudspeaker_rate: int = Field(0, ge=0, le=384_000, description="rate in Hz to open it at; 0 for its native rate")
    voice: str = Field(DEFAULT_VOICE, min_length=1, description="espeak voice, as en-us, en-gb-x-rp, en-us+f3")
    volume: int = Field(8, ge=VOLUMES[0], le=VOLUMES[-1], description="1 to 10, in steps of 3 dB")
    speed: int = Field(
        DEFAULT_SPEED_WPM,
        ge=SPEED_WPM[0],
        le=SPEED_WPM[1],
        description=f"words a minute; faster and slower step through {SPEEDS_WPM[0]} to {SPEEDS_WPM[-1]}",
    )
    verbosity: Literal["terse", "normal", "full"] = Field("normal", description="how much is said: terse, normal, full")
    sounds: bool = Field(True, description="small sounds for heard, not understood, waiting, timer")
    echo_s: float = Field(0.3, ge=0, le=3, description="seconds the room and the loudspeaker go on sounding after us")


class LogSettings(_Table):
    home: str = Field("", description="folder of the logbook; empty for the user's data folder")
    clips: bool = Field(True, description="keep the sound of what was said")


class UnitSettings(_Table):
    torque: Literal["", "N·m", "lbf·ft", "lbf·in", "kgf·m"] = Field("", description="spoken beside the card's own unit")
    length: Literal["", "mm", "in"] = Field("", description="spoken beside the card's own unit")


class WorkSettings(_Table):
    cards: str = Field("", description="folder of the shop's own cards")
    person: str = Field("", max_length=60, description="who works here unless somebody says otherwise")


class Settings(_Table):
    """All options, by table."""

    ear: EarSettings = EarSettings()
    voice: VoiceSettings = VoiceSettings()
    log: LogSettings = LogSettings()
    units: UnitSettings = UnitSettings()
    work: WorkSettings = WorkSettings()

    @property
    def manner(self) -> Manner:
        """How the voice speaks."""
        v = self.voice
        return Manner(v.volume, v.speed, v.sounds, v.verbosity, v.voice)


class Layer(StrEnum):
    """Where a value comes from, farthest from the person first."""

    DEFAULT = "default"
    SHOP = "shop"
    PERSON = "person"
    ENVIRONMENT = "environment"
    COMMAND_LINE = "command line"


@dataclass(frozen=True, slots=True)
class Origin:
    layer: Layer
    where: str = ""
    """File and line, name of the variable, or flag; empty for a default."""


@dataclass(frozen=True, slots=True)
class Held:
    """The settings that hold, and why."""

    settings: Settings
    origins: Mapping[str, Origin]
    """Option to origin; an option without one has its default."""
    person: str
    """Whose settings these are; empty for nobody's in particular."""
    folder: Path
    """Where the files lie."""

    def origin(self, option: str) -> Origin:
        return self.origins.get(option, Origin(Layer.DEFAULT))


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that may be set."""

    name: str
    """`table.key`."""
    meaning: str
    default: object
    annotation: Any

    @property
    def variable(self) -> str:
        """The environment variable that sets it."""
        return f"BAY_{self.name.replace('.', '_').upper()}"


def options() -> Iterator[Option]:
    """Every option, in the order of the tables."""
    for table, field in Settings.model_fields.items():
        model = field.annotation
        assert isinstance(model, type)
        assert issubclass(model, BaseModel)
        for key, inner in model.model_fields.items():
            yield Option(f"{table}.{key}", inner.description or "", inner.default, inner.annotation)


OPTIONS: Mapping[str, Option] = {option.name: option for option in options()}
_OLD_FRIENDS = {"BAY_HOME": "log.home", "BAY_PERSON": "work.person"}
"""Variables with a short name of their own."""


def config_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """Where the files lie: BAY_CONFIG, else the user's configuration folder."""
    named = environ.get("BAY_CONFIG")
    return Path(named) if named else platformdirs.user_config_path("bay", appauthor=False)


def shop_file(folder: Path) -> Path:
    return folder / "shop.toml"


def person_file(folder: Path, person: str) -> Path:
    """The file of one person; names that differ in capitals and blanks only share it."""
    plain = re.sub(r"[^\w-]+", "-", person.strip().casefold()).strip("-")
    return folder / "people" / f"{plain or 'nobody'}.toml"


def load(
    command_line: Mapping[str, object] | None = None,
    person: str = "",
    environ: Mapping[str, str] = os.environ,
    folder: Path | None = None,
) -> Held:
    """What holds for `person` (else for whom the other layers name). Raises SettingsError.

    `command_line` maps options to values; None there means that the flag was not given.
    """
    where = folder or config_folder(environ)
    layers = [_from_file(shop_file(where), Layer.SHOP)]
    over = [_from_environment(environ), _from_command_line(command_line or {})]
    who = person
    for layer in (*layers, *over):
        if not person and "work.person" in layer:
            who = str(layer["work.person"][0])
    if who:
        layers.append(_from_file(person_file(where, who), Layer.PERSON))
    values: dict[str, dict[str, object]] = {}
    origins: dict[str, Origin] = {}
    for layer in (*layers, *over):
        for option, (value, origin) in layer.items():
            table, key = option.split(".")
            values.setdefault(table, {})[key] = checked(option, value, origin)
            origins[option] = origin
    return Held(Settings.model_validate(values), origins, who, where)


def checked(option: str, value: object, origin: Origin) -> object:
    """The value as the option's type. Raises SettingsError that says where it stands and what may stand there."""
    at = f"{origin.where}: " if origin.where else ""
    if option not in OPTIONS:
        near = extractOne(option, list(OPTIONS), score_cutoff=60)
        mend = f"did you mean {near[0]}?" if near else "`bay settings` lists all options."
        raise SettingsError(f"{at}there is no option {option}; {mend}")
    table, key = option.split(".")
    model = Settings.model_fields[table].annotation
    assert isinstance(model, type)
    assert issubclass(model, BaseModel)
    try:
        return getattr(model.model_validate({key: value}), key)
    except ValidationError as error:
        fault = error.errors()[0]["msg"].removeprefix("Input should be ").removeprefix("Value error, ")
        raise SettingsError(
            f"{at}{option} cannot be {value!r}: it should be {fault} ({OPTIONS[option].meaning})."
        ) from None


_Layered = dict[str, tuple[object, Origin]]


def _from_file(path: Path, layer: Layer) -> _Layered:
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(f"{path}: cannot be read ({error}). Mend or remove the file.") from error
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"at line (\d+)", str(error))
        at = f"{path}:{line[1]}" if line else str(path)
        raise SettingsError(
            f'{at}: is not TOML ({error}). Write a line as: volume = 7, or: voice = "en-us".'
        ) from error
    found: _Layered = {}
    for table, values in tables.items():
        if not isinstance(values, dict):
            raise SettingsError(
                f"{path}:{_line_of(text, '', table)}: {table} stands outside a table. Put it under one of "
                f"{', '.join(f'[{name}]' for name in Settings.model_fields)}."
            )
        for key, value in values.items():
            found[f"{table}.{key}"] = (value, Origin(layer, f"{path}:{_line_of(text, table, key)}"))
    return found


def _from_environment(environ: Mapping[str, str]) -> _Layered:
    variables = {option.variable: option.name for option in OPTIONS.values()} | _OLD_FRIENDS
    return {
        option: (environ[variable], Origin(Layer.ENVIRONMENT, variable))
        for variable, option in variables.items()
        if environ.get(variable)
    }


def _from_command_line(given: Mapping[str, object]) -> _Layered:
    return {
        option: (value, Origin(Layer.COMMAND_LINE, flag_of(option)))
        for option, value in given.items()
        if value is not None
    }


def flag_of(option: str) -> str:
    """The flag of an option on the command line: "voice.volume" -> "--volume"."""
    _, _, key = option.partition(".")
    return "--" + _FLAGS.get(option, key).replace("_", "-")


_FLAGS = {"log.home": "home", "units.torque": "torque_unit", "units.length": "length_unit", "ear.window_s": "window",
          "ear.note_pause_s": "note_pause", "voice.echo_s": "echo"}  # fmt: skip


def _line_of(text: str, table: str, key: str) -> int:
    """Line, from 1, at which a key of a table stands; the table's own where the key is written another way."""
    now, fallback = "", 1
    for number, line in enumerate(_lines(text), 1):
        header = re.match(r"\s*\[\s*([\w.\"-]+)\s*\]", line)
        if header:
            now = header[1].strip('"')
            fallback = number if now == table else fallback
        elif now == table and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", line):
            return number
    return fallback


def keep(folder: Path, person: str, option: str, value: object) -> Path:
    """Writes one option into the person's file (the shop's where there is no person), leaving all else as it stands.

    The file is replaced whole, so that a power cut leaves the old one. Raises SettingsError.
    """
    path = person_file(folder, person) if person else shop_file(folder)
    good = checked(option, value, Origin(Layer.PERSON, str(path)))
    _from_file(path, Layer.PERSON)  # a file with a fault is told, never overwritten
    try:
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(".new")
        fresh.write_text(with_value(old, option, good), encoding="utf-8")
        fresh.replace(path)
    except OSError as error:
        raise SettingsError(f"{path}: cannot be written ({error}). {option} holds for this run only.") from error
    return path


def with_value(text: str, option: str, value: object) -> str:
    """TOML text in which `option` has `value`; comments, order and all other lines stay."""
    table, key = option.split(".")
    line = f"{key} = {_toml(value)}"
    lines, now, end_of_table = _lines(text), "", None
    for number, old in enumerate(lines):
        header = re.match(r"\s*\[\s*([\w.\"-]+)\s*\]", old)
        if header:
            now = header[1].strip('"')
        if now == table:
            if not header and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", old):
                return "\n".join([*lines[:number], line, *lines[number + 1 :]]) + "\n"
            if old.strip():
                end_of_table = number
    if end_of_table is not None:
        return "\n".join([*lines[: end_of_table + 1], line, *lines[end_of_table + 1 :]]) + "\n"
    return "\n".join([*lines, *([""] if lines else []), f"[{table}]", line]) + "\n"


def _lines(text: str) -> list[str]:
    """As TOML has them: Python also ends a line at U+0085 and the like, which may stand within a value."""
    lines = text.replace("\r\n", "\n").split("\n")
    return lines if lines[-1] else lines[:-1]


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)
    plain = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return '"' + re.sub(r"[\x00-\x1f\x7f]", lambda c: f"\\u{ord(c[0]):04x}", plain) + '"'
