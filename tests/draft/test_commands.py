"""`bay draft` at the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from assistant.card.draft.commands import draft
from assistant.card.draft.errors import DraftError
from assistant.card.load import load_card

app = typer.Typer()
app.command()(draft)
TALK = "Take out the flange bolts and pull the shaft. Fit the shaft and the bolts. Tighten the flange bolts to 65 Nm."


@pytest.fixture
def bay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Runs `bay draft ...` in an empty folder; the output."""
    monkeypatch.chdir(tmp_path)
    Path("talk.txt").write_text(TALK, "utf-8")

    def run(*words: str, typed: str = "") -> str:
        result = CliRunner().invoke(app, list(words), input=typed)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.output

    return run


def test_it_writes_a_card_shows_the_list_and_checks_at_once(bay: Callable[..., str]) -> None:
    out = bay("talk.txt", "--html", "list.html")
    assert str(load_card("talk.yaml").fasteners["flange-bolts"].torque.value) == "65"  # type: ignore[union-attr]
    assert "To look at" in out
    assert "What `bay check` says of it" in out
    assert "unsettled" in out
    assert "<!doctype html>" in Path("list.html").read_text("utf-8")


def test_it_never_writes_over_a_card_unasked(bay: Callable[..., str]) -> None:
    Path("talk.yaml").write_text("mine", "utf-8")
    with pytest.raises(DraftError, match="is there already"):
        bay("talk.txt")
    assert Path("talk.yaml").read_text("utf-8") == "mine"
    bay("talk.txt", "--force")
    load_card("talk.yaml")


def test_review_asks_and_writes(bay: Callable[..., str]) -> None:
    out = bay("talk.txt", "--review", "--person", "Mara", typed="four\nstop\n")
    assert "How many flange bolts?" in out
    assert "1 settled" in out
    assert load_card("talk.yaml").fasteners["flange-bolts"].count == 4
    assert "said by Mara" in Path("talk.yaml").read_text("utf-8")


def test_review_goes_on_with_a_draft(bay: Callable[..., str]) -> None:
    bay("talk.txt")
    bay("talk.yaml", "--review", "--person", "Mara", typed="six\n")
    assert load_card("talk.yaml").fasteners["flange-bolts"].count == 6


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("empty.txt", b"", "no talk in this file"),
        ("talk.wav", b"RIFF", "talk.wav"),
        ("card.yaml", b"card: x", "this is a card already"),
        ("off.txt", b"We went to the sea. It rained on the way home, and the dog was wet.", "none says what is done"),
    ],
)
def test_bad_input_is_one_line(bay: Callable[..., str], name: str, content: bytes, line: str) -> None:
    from assistant.errors import BayError

    Path(name).write_bytes(content)
    with pytest.raises(BayError, match=line) as told:
        bay(name)
    assert "\n" not in str(told.value)
    assert not Path(name).with_suffix(".yaml").exists() or name == "card.yaml"
