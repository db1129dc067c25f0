"""The review list on the terminal and as one HTML file that needs nothing else."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from .listing import ReviewList, Row

_TEMPLATES = Path(__file__).resolve().parent / "templates"
SHOWN_SURE = 12
"""Steps without a doubt shown on the terminal; the page has them all."""


def as_html(listing: ReviewList) -> str:
    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("review.html").render(listing=listing)


def show(listing: ReviewList, console: Console) -> None:
    """Unsure ones first, then the first of the sure ones, then what was left out."""
    if listing.unsure:
        console.print(_table(f"To look at ({len(listing.unsure)})", listing.unsure, doubts=True))
    if listing.sure:
        shown = listing.sure[:SHOWN_SURE]
        more = len(listing.sure) - len(shown)
        console.print(_table(f"Steps without a doubt ({len(listing.sure)})", shown, doubts=False))
        if more:
            console.print(f"  ... and {more} more; the page (--html) shows them all.")
    for row in listing.skipped:
        console.print(f"  not read, {escape(row.when)}: {escape(row.unsure[0])}: {escape(row.words)}", style="yellow")
    if listing.aside:
        one = len(listing.aside) == 1
        left_out = "1 sentence says" if one else f"{len(listing.aside)} sentences say"
        console.print(f"  Left out: {left_out} nothing of the job.", style="dim")


def _table(title: str, rows: tuple[Row, ...], doubts: bool) -> Table:
    table = Table(title=title, title_justify="left", show_lines=doubts, expand=True)
    table.add_column("at", no_wrap=True)
    table.add_column("said", ratio=3)
    table.add_column("step", ratio=3)
    if doubts:
        table.add_column("why", ratio=3, style="yellow")
    for row in rows:
        step = f"{row.number}. {row.step}" if row.number else "(no step)"
        cells = [row.when, f'"{row.words}"', step, *(["\n".join(row.unsure)] if doubts else [])]
        table.add_row(*(escape(cell) for cell in cells))
    return table
