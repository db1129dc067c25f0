"""Figures in running talk: exactly what was said, and nothing that was not."""

from __future__ import annotations

import pytest

from assistant.card.draft.answers import figures_of
from assistant.card.draft.card_text import torque_line


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("torque them to sixty-five newton metres", "65 N·m"),
        ("a hundred and ten foot pounds", "110 lbf·ft"),
        ("110 ft-lb", "110 lbf·ft"),
        ("twenty-two to twenty-five newton metres", "22 to 25 N·m"),
        ("between 22 and 25 Nm", "22 to 25 N·m"),
        ("65-70 N·m", "65 to 70 N·m"),
        ("40 N·m plus or minus 4", "40 ± 4 N·m"),
        ("nine newton metres, plus or minus one", "9 ± 1 N·m"),
        ("ninety inch pounds", "90 lbf·in"),
        ("one ten newton metres", "110 N·m"),
        ("two two five newton metres", "225 N·m"),
        ("22.5 Nm", "22.5 N·m"),
        ("1,200 Nm", "1200 N·m"),
    ],
)
def test_a_torque_is_read_as_it_was_said(words: str, line: str) -> None:
    figures = [figure for figure in figures_of(words) if figure.dimension == "torque"]
    assert [torque_line(figure) for figure in figures] == [line]


def test_newtons_are_a_force_and_never_newton_metres() -> None:
    assert [figure.unit for figure in figures_of("fifty newtons")] == ["N"]


@pytest.mark.parametrize(
    ("words", "thread"),
    [
        ("M10", "M10"),
        ("em twelve bolts", "M12"),
        ("M12 by 1.25", "M12x1.25"),
        ("M12x1.5", "M12x1.5"),
        ("half inch UNC", "1/2 UNC"),
        ("3/8-24 UNF", "3/8-24 UNF"),
        ("m10", "M10"),
        ("M. ten", "M10"),
    ],
)
def test_a_thread_is_no_length(words: str, thread: str) -> None:
    assert [figure.thread for figure in figures_of(words) if figure.thread] == [thread]


@pytest.mark.parametrize(
    ("words", "value", "unit"),
    [
        ("half a litre", "0.5", "L"),
        ("two and a half litres", "2.5", "L"),
        ("point two millimetres", "0.2", "mm"),
        ("zero point one five millimetres", "0.15", "mm"),
        ("four thou", "0.004", "in"),
        ("a quarter turn", "90", "deg"),
        ("another half a turn", "180", "deg"),
        ("nine and a half mil", "9.5", "mm"),
    ],
)
def test_fractions_and_turns(words: str, value: str, unit: str) -> None:
    (figure,) = figures_of(words)
    assert (f"{figure.value.normalize():f}" if figure.value else "", figure.unit) == (value, unit)


def test_six_eight_mil_bolts_are_six_and_eight_millimetres() -> None:
    assert [(str(figure.value), figure.unit) for figure in figures_of("six eight mil bolts")] == [
        ("6", ""),
        ("8", "mm"),
    ]


@pytest.mark.parametrize("words", ["that one", "one of them", "the top one", "one at a time", "no one"])
def test_one_is_a_number_only_where_it_counts(words: str) -> None:
    assert figures_of(words) == []
