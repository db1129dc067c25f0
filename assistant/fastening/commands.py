"""The bench commands: `bay torque`, `bay order`, `bay adapter`, `bay preload`. They read, call and print."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from .drawing import order_svg
from .order import Pattern
from .units import FasteningError
from .worksheet import Worksheet, adapter_sheet, order_sheet, preload_sheet, torque_sheet

AsJson = Annotated[bool, typer.Option("--json", help="The result for programs.")]


def torque(
    value: Annotated[list[str], typer.Argument(help='A torque with its unit: "110 lbf-ft", 65 N·m, "7.5 kgf m".')],
    as_json: AsJson = False,
) -> None:
    """A torque in all units, with its digits as they are spoken."""
    _answer(lambda: torque_sheet(" ".join(value)), as_json)


def order(
    count: Annotated[int, typer.Argument(help="How many fasteners, 1 to 400.")],
    pattern: Annotated[str, typer.Option(help="across, round, or middle-out.")] = "across",
    rows: Annotated[str | None, typer.Option(help="For middle-out: fasteners in each row, like 5,5.")] = None,
    svg: Annotated[Path | None, typer.Option(help="Write a drawing of the order to this file.")] = None,
    start: Annotated[str, typer.Option(help="Where bolt 1 is, for the drawing.")] = "",
    as_json: AsJson = False,
) -> None:
    """The tightening order for any number of fasteners."""

    def worked() -> Worksheet:
        sheet, made = order_sheet(count, _pattern(pattern, rows), _rows(rows))
        if svg is not None:
            try:
                svg.write_text(order_svg(made, start=start), encoding="utf-8")
            except OSError as wrong:
                _refuse(f"cannot write {svg}: {wrong.strerror}. Name a file in a folder that is there.")
        return sheet

    _answer(worked, as_json)


def adapter(
    value: Annotated[list[str], typer.Argument(help='The torque at the bolt: "100 N·m".')],
    wrench: Annotated[str, typer.Option(help="Wrench, from the middle of its square to mid-grip: 400, 400 mm, 16 in.")],
    length: Annotated[str, typer.Option(help="Adapter, from the middle of the square to the middle of the bolt.")],
    angle: Annotated[str, typer.Option(help="Between adapter and wrench, degrees: 0 straight on, 90 square.")] = "0",
    as_json: AsJson = False,
) -> None:
    """What to set on the wrench when an adapter lengthens it."""
    _answer(lambda: adapter_sheet(" ".join(value), wrench, length, _number(angle, "--angle")), as_json)


def preload(
    words: Annotated[list[str], typer.Argument(help="Thread, class, torque, treatment: M12x1.75 10.9 95 N·m oiled.")],
    angle: Annotated[str | None, typer.Option(help="Further turn after the torque, degrees.")] = None,
    grip: Annotated[
        str | None, typer.Option(help="Clamped length, for a bound on what the turn adds: 50, 2 in.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """What a torque does to a bolt, and whether it can be meant."""
    turn = None if angle is None else _number(angle, "--angle")
    _answer(lambda: preload_sheet(words, turn, grip), as_json)


commands: dict[str, Callable[..., Any]] = {"torque": torque, "order": order, "adapter": adapter, "preload": preload}
"""Name on the command line to the function behind it."""


def _answer(work: Callable[[], Worksheet], as_json: bool) -> None:
    try:
        sheet = work()
    except FasteningError as wrong:
        _refuse(str(wrong))
    if as_json:
        told = asdict(sheet)
        typer.echo(
            json.dumps(told.pop("facts") | {k: told[k] for k in ("formula", "numbers", "caution")}, ensure_ascii=False)
        )
        return
    width = max(len(label) for label, _ in sheet.lines)
    typer.echo(sheet.title)
    for label, value in sheet.lines:
        typer.echo(f"  {label:<{width}}  {value}")
    typer.echo(f"  {'formula':<{width}}  {sheet.formula}")
    typer.echo(f"  {'numbers':<{width}}  {sheet.numbers}")
    if sheet.caution:
        typer.echo(f"  {'caution':<{width}}  {sheet.caution}")


def _refuse(why: str) -> NoReturn:
    typer.echo(f"bay: {why}", err=True)
    raise typer.Exit(2)


def _number(text: str, option: str) -> Decimal:
    try:
        number = Decimal(text.strip().removesuffix("°").removesuffix("deg").strip())
    except InvalidOperation:
        _refuse(f"{option} {text}: not a number of degrees.")
    if not number.is_finite() or abs(number) > 720:
        _refuse(f"{option} {text}: not a number of degrees.")
    return number


def _rows(text: str | None) -> list[int] | None:
    if text is None:
        return None
    parts = text.replace(",", " ").split()
    if not parts or not all(part.isdecimal() for part in parts):
        _refuse(f"--rows {text}: write the fasteners in each row like 5,5.")
    return [int(part) for part in parts]


def _pattern(text: str, rows: str | None) -> Pattern:
    if rows is not None and text == "across":
        return "middle-out"
    known: dict[str, Pattern] = {"across": "across", "round": "round", "middle-out": "middle-out"}
    if text in known:
        return known[text]
    _refuse(f"--pattern {text}: it is across, round or middle-out.")
