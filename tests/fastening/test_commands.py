"""The bench commands as they are typed."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
import typer
from typer.testing import CliRunner, Result

from assistant.fastening.commands import commands

app = typer.Typer()
for name, function in commands.items():
    app.command(name)(function)


def bay(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def test_a_torque_in_all_units_with_digits_as_spoken() -> None:
    for words in (["110 lbf-ft"], ["110", "lbf-ft"], ["110", "foot", "pounds"]):
        result = bay("torque", *words)
        assert result.exit_code == 0
        assert '149 N·m, 1 4 9   "one hundred forty-nine newton metres, one four nine"' in result.output
        assert "110 lbf·ft, 1 1 0" in result.output
        assert "1320 lbf·in, 1 3 2 0" in result.output
        assert "15.2 kgf·m, 1 5.2" in result.output
        assert "1 lbf·ft = 1.355818 N·m" in result.output
        assert "110 × 1.355818 = 149.14 N·m" in result.output


def test_the_order_in_groups_with_clock_places() -> None:
    result = bay("order", "12")
    assert "1 7 4 10  →  2 8 5 11  →  3 9 6 12" in result.output
    assert "PCC-1" in result.output
    assert "2. bolt 7" in result.output
    assert "six o'clock" in result.output


def test_the_order_as_a_drawing(tmp_path: Path) -> None:
    file = tmp_path / "order.svg"
    assert bay("order", "16", "--svg", str(file), "--start", "the dowel").exit_code == 0
    root = ElementTree.fromstring(file.read_text(encoding="utf-8"))
    assert "1 is at the dowel" in "".join(root.itertext())


def test_a_head_in_rows() -> None:
    result = bay("order", "10", "--rows", "5,5", "--json")
    assert json.loads(result.output)["sequence"][:2] == [3, 8]


def test_the_wrench_with_an_adapter_shows_formula_numbers_and_caution() -> None:
    """By hand: 100 x 400 / 460 = 87."""
    result = bay("adapter", "100", "N·m", "--wrench", "400", "--length", "60 mm")
    assert result.exit_code == 0
    assert "87.0 N·m" in result.output or "87 N·m" in result.output
    assert "setting = target × L / (L + E × cos a)" in result.output
    assert "100 × 400 / (400 + 60 × cos 0°)" in result.output
    assert "middle of its grip" in result.output


def test_a_wrench_measured_in_inches() -> None:
    told = json.loads(bay("adapter", "100 N·m", "--wrench", "16 in", "--length", "2 in", "--json").output)
    assert told["wrench_mm"] == "406.4"
    assert float(told["factor"]) == pytest.approx(16 / 18)


@pytest.mark.parametrize(
    "words",
    [
        ["M12x1.75", "10.9", "95", "N·m", "oiled"],
        ["M12x1.75 10.9 95 N·m oiled"],
        ["M12", "class", "10.9", "95Nm", "oiled"],
    ],
)
def test_preload_quoted_or_not(words: list[str]) -> None:
    """By hand: 52.8 kN of 70.0 kN proof load, 75 %."""
    result = bay("preload", *words)
    assert result.exit_code == 0, result.output
    assert "plausible: 75 % of proof load" in result.output
    assert "F = 95 N·m / (0.15 × 12 mm) = 52.8 kN" in result.output
    assert "maker's service information" in result.output


def test_preload_of_an_inch_bolt() -> None:
    told = json.loads(bay("preload", "1/2-13", "UNC", "grade", "5", "75", "lbf·ft", "--json").output)
    assert (told["thread"], told["grade"], told["treatment"], told["verdict"]) == (
        "1/2-13 UNC",
        "grade 5",
        "dry",
        "plausible",
    )


def test_preload_asks_about_the_other_unit_and_warns() -> None:
    result = bay("preload", "M12", "8.8", "95", "lbf-ft", "dry")
    assert "high: 110 % of proof load" in result.output
    assert "Was 95 N·m meant?" in result.output
    assert "take a set or break" in result.output


def test_a_turn_is_bounded_and_no_more() -> None:
    result = bay("preload", "M10", "10.9", "40", "N·m", "oiled", "--angle", "90", "--grip", "50")
    assert "0.375 mm of travel, at most 89.2 kN more" in result.output


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["torque", "110"], "no unit in '110'"),
        (["torque", "110 lb"], "110 lb is a mass, not a torque. Write foot-pounds as lbf-ft."),
        (["torque", "110 furlongs"], "no such unit: 'furlongs'"),
        (["torque", "0 N·m"], "more than nothing"),
        (["order", "0"], "give a number from 1 to 400"),
        (["order", "9", "--rows", "5,5"], "make 10, not 9"),
        (["order", "10", "--rows", "five"], "like 5,5"),
        (["order", "10", "--pattern", "zigzag"], "across, round or middle-out"),
        (["order", "4", "--svg", "/nowhere/at/all.svg"], "cannot write"),
        (["adapter", "100 N·m", "--wrench", "0", "--length", "60"], "A wrench of 0 mm"),
        (["adapter", "100 N·m", "--wrench", "400", "--length", "6 N"], "N measures force"),
        (["adapter", "100 N·m", "--wrench", "400", "--length", "60", "--angle", "square"], "not a number of degrees"),
        (["preload", "M11", "8.8", "50", "N·m"], "M11 is no ISO metric size"),
        (["preload", "M12", "9.9", "50", "N·m"], "no such class or grade"),
        (["preload", "M12", "50", "N·m"], "no class or grade"),
        (["preload", "M12", "8.8", "50"], "no torque in it"),
        (["preload", "M12", "8.8", "50", "N·m", "honey"], "no such thread treatment"),
        (["preload", "nothing"], "no torque in it"),
        (["preload", "M12", "8.8", "0", "N·m"], "more than nothing"),
        (["preload", "M12", "8.8", "99999999999999999999", "N·m"], "Look at the number again"),
        (["preload", "M12", "8.8", "50", "N·m", "--angle", "0"], "A turn of 0°"),
        (["torque", "1.2345678901234567 N·m"], "Look at the number again"),
    ],
)
def test_a_slip_is_one_clear_line_and_exit_2(words: list[str], says: str) -> None:
    result = bay(*words)
    assert result.exit_code == 2
    assert says in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert "Traceback" not in result.output


@pytest.mark.parametrize("words", [["torque", "65 N·m"], ["order", "7"], ["preload", "M8", "8.8", "25", "N·m", "oil"]])
def test_every_command_answers_in_json_with_formula_numbers_and_caution(words: list[str]) -> None:
    told = json.loads(bay(*words, "--json").output)
    assert {"formula", "numbers", "caution"} <= told.keys()
