"""`bay check`: what people see, what programs get, how it ends."""

import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from assistant.card.check.finding import CODES
from assistant.card.check_command import FOUND, SOUND, UNREADABLE, check_command

from .conftest import SMALL


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "card.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return path


def run(*cards: Path | str, as_json: bool = False) -> tuple[int, str]:
    out = io.StringIO()
    code = check_command(cards, as_json, Console(file=out, width=60, highlight=False, soft_wrap=True))
    return code, out.getvalue()


def test_a_sound_card_ends_with_0(card: Path) -> None:
    code, said = run(card)
    assert code == SOUND
    assert "proved for every combination of facts" in said


def test_findings_end_with_1_and_show_line_facts_and_mend(card: Path) -> None:
    card.write_text(SMALL.replace("does: [fit: drum]", "does: [inspect: drum]"), encoding="utf-8")
    code, said = run(card)
    assert code == FOUND
    assert "36:16 left-open The brake drum is off at the end, since step 2." in said
    assert "when brakes is drum" in said
    assert "Add a step that fits it" in said
    assert "1 to mend, 0 to look at" in said


def test_an_unreadable_card_ends_with_2_and_the_others_are_still_checked(card: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(SMALL.replace("110 N·m", "110 [bold]N"), encoding="utf-8")
    code, said = run(bad, card)
    assert code == UNREADABLE
    assert '22:13 fault "[bold]N" is not a unit of torque.' in said
    assert "sound" in said


def test_a_missing_card_ends_with_2(tmp_path: Path) -> None:
    code, said = run(tmp_path / "none.yaml")
    assert code == UNREADABLE
    assert "no such file" in said


def test_json_for_programs(card: Path, tmp_path: Path) -> None:
    card.write_text(SMALL.replace("does: [fit: drum]", "does: [inspect: drum]"), encoding="utf-8")
    bad = tmp_path / "bad.yaml"
    bad.write_text("title: [", encoding="utf-8")
    code, said = run(card, bad, as_json=True)
    first, second = json.loads(said)["cards"]
    assert code == UNREADABLE
    assert first["readable"]
    assert first["card"] == "small"
    (finding,) = first["findings"]
    assert finding["code"] in CODES
    assert finding["facts"] == {"brakes": "drum"}
    assert (finding["line"], finding["severity"]) == (36, "error")
    assert not second["readable"]
    assert second["faults"][0]["line"] > 0
