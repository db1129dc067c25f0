"""Where the shipped grammars, cards and recordings lie: beside the package in a checkout, inside it in a wheel."""

from pathlib import Path

_HERE = Path(__file__).resolve().parent


def shipped(name: str) -> Path:
    """Folder of shipped files: `grammars`, `procedures` or `audio_fixtures`."""
    inside = _HERE / "shipped" / name
    return inside if inside.is_dir() else _HERE.parent / name
