"""Vosk models on this machine: which there are, adding one from a folder, fetching one by language.

A model is a folder. What must be in it, in the order in which the library looks for it, is in PARTS; older
models keep the same files in one flat folder.
"""

import os
import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from assistant.hearing.errors import ModelError

PARTS = (
    ("the acoustic model", ("am/final.mdl", "final.mdl")),
    ("the feature settings", ("conf/mfcc.conf", "mfcc.conf")),
    ("the decoding graph", ("graph/HCLr.fst", "HCLr.fst", "graph/HCLG.fst", "HCLG.fst")),
    ("the word boundaries", ("graph/phones/word_boundary.int", "word_boundary.int")),
)
"""What a model cannot do without: in words, and where it may lie."""
LANGUAGE_MODEL = ("graph/Gr.fst", "Gr.fst")
FIXED_GRAPH = ("graph/HCLG.fst", "HCLG.fst")
_NAME = re.compile(r"vosk-model(?:-small)?-(?P<language>[a-z]{2,3}(?:-[a-z]{2})?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class InstalledModel:
    """A vosk model on this machine."""

    name: str
    """Name of its folder, as `bay model` and the settings take it."""
    folder: Path
    language: str
    """Language code of the name ("ko", "en-us"); empty where the name tells none."""
    megabytes: float
    fault: str
    """Why it cannot be used; empty where it can."""


def store() -> Path:
    """Folder that `add` copies into and `fetch` downloads to."""
    return user_data_path("bay-assistant") / "models"


def places() -> tuple[Path, ...]:
    """Folders in which models are looked for, ours first, then those of the vosk library itself."""
    named = os.environ.get("VOSK_MODEL_PATH")
    found = [store(), *([Path(named)] if named else []), Path("/usr/share/vosk"), Path.home() / ".cache" / "vosk"]
    return tuple(found)


def installed(where: tuple[Path, ...] | None = None) -> tuple[InstalledModel, ...]:
    """All models found, each once, by name."""
    found: dict[str, InstalledModel] = {}
    for place in where if where is not None else places():
        if not place.is_dir():
            continue
        for folder in sorted(place.iterdir()):
            if folder.is_dir() and folder.name not in found and (not fault_of(folder) or _NAME.match(folder.name)):
                found[folder.name] = _described(folder)
    return tuple(found.values())


def fault_of(folder: Path) -> str:
    """What keeps a folder from being a usable model, in words; empty for a usable one."""
    if not folder.is_dir():
        return f"{folder} is no folder" if folder.exists() else f"there is no folder {folder}"
    missing = [f"{what} ({places[0]})" for what, places in PARTS if not any((folder / p).is_file() for p in places)]
    if missing:
        inner = [child for child in sorted(folder.iterdir()) if child.is_dir() and not _lacks(child)]
        hint = f"; the model is in {inner[0]}" if inner else ""
        return f"{folder} is no vosk model: it lacks {', '.join(missing)}{hint}"
    if any((folder / place).is_file() for place in FIXED_GRAPH):
        return f"{folder} has a fixed decoding graph (HCLG.fst), which takes no grammar; use the small model"
    if not any((folder / place).is_file() for place in LANGUAGE_MODEL):
        return f"{folder} is no vosk model: it lacks the language model ({LANGUAGE_MODEL[0]})"
    return ""


def find(name: str, where: tuple[Path, ...] | None = None) -> Path:
    """Folder of a model given by folder, by name, or by language; raises ModelError."""
    as_folder = Path(name).expanduser()
    if as_folder.is_dir():
        return usable(as_folder)
    models = [model for model in installed(where) if not model.fault]
    for model in models:
        if model.name == name:
            return model.folder
    for model in models:
        if model.language == name.lower() or model.language.split("-")[0] == name.lower():
            return model.folder
    there = ", ".join(model.name for model in models) or "none"
    raise ModelError(f"no vosk model {name!r} here (installed: {there}); add one with: bay model add FOLDER")


def usable(folder: Path) -> Path:
    """The folder, if it holds a usable model; raises ModelError that says what is missing."""
    fault = fault_of(folder)
    if fault:
        raise ModelError(fault)
    return folder


def add(folder: Path, into: Path | None = None) -> InstalledModel:
    """Copies a model folder to where models are kept. Whole or not at all."""
    usable(folder)
    target_place = into or store()
    target = target_place / folder.resolve().name
    if target.exists():
        raise ModelError(f"a model {target.name} is already there ({target}); remove it first")
    partial = target_place / f".{target.name}.partial"
    try:
        target_place.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(partial, ignore_errors=True)
        shutil.copytree(folder, partial)
        partial.rename(target)
    except OSError as error:
        shutil.rmtree(partial, ignore_errors=True)
        raise ModelError(f"cannot copy the model to {target_place}: {error.strerror or error}") from error
    return _described(target)


Fetch = Callable[[str, Path], Path]
"""Language and folder to download to -> folder of the model."""


def fetch(language: str, into: Path | None = None, download: Fetch | None = None) -> InstalledModel:
    """Downloads the small model of a language by the vosk library's own download; raises ModelError offline."""
    target = into or store()
    for model in installed((target,)):
        if not model.fault and model.language.split("-")[0] == language.lower().split("-")[0]:
            return model
    try:
        target.mkdir(parents=True, exist_ok=True)
        folder = (download or _by_vosk)(language, target)
    except SystemExit as error:
        raise ModelError(f"vosk offers no small model for the language {language!r}") from error
    except OSError as error:
        # requests' and urllib's errors are all OSErrors: no network, no name, no answer.
        raise ModelError(
            f"cannot fetch a model for {language!r}: no connection to the model server; on a machine with a network, "
            "download it and bring it here with: bay model add FOLDER"
        ) from error
    except ValueError as error:
        raise ModelError(f"cannot fetch a model for {language!r}: the model server's answer makes no sense") from error
    return _described(usable(folder))


def _by_vosk(language: str, into: Path) -> Path:
    import requests
    import vosk

    listed = requests.get(vosk.MODEL_LIST_URL, timeout=10).json()
    fitting = [
        model["name"]
        for model in listed
        if model["lang"] == language and model["type"] == "small" and model["obsolete"] == "false"
    ]
    if not fitting:
        raise SystemExit(1)
    # The library's own download reads only paths from a model that it has opened; it needs none of that.
    downloader = vosk.Model.__new__(vosk.Model)
    downloader._handle = vosk._ffi.NULL
    downloader.download_model(into / fitting[0])
    return into / str(fitting[0])


def _lacks(folder: Path) -> bool:
    return any(not any((folder / place).is_file() for place in where) for _, where in PARTS)


def _described(folder: Path) -> InstalledModel:
    named = _NAME.match(folder.name)
    size = sum(file.stat().st_size for file in folder.rglob("*") if file.is_file())
    language = named["language"].lower() if named else ""
    return InstalledModel(folder.name, folder, language, size / 1e6, fault_of(folder))
