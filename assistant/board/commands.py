"""bay board: the page for the bay's screen, and the foreman's pages."""

from __future__ import annotations

import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from assistant.logbook.commands import Home, plainly


@plainly
def board(
    port: Annotated[
        int | None, typer.Option(help="Port to serve on.", min=1, max=65535, show_default="8717 or the next free one")
    ] = None,
    lan: Annotated[bool, typer.Option("--lan", help="Open to the shop's network, by a key that is printed.")] = False,
    address: Annotated[str, typer.Option(help="With --lan: this machine's address, where it has several.")] = "",
    show: Annotated[bool, typer.Option("--open", help="Open it in this machine's browser.")] = False,
    home: Home = None,
) -> None:
    """Serve the bay's screen and the foreman's pages; on this machine alone, unless --lan."""
    from assistant.board.serve import place, serve
    from assistant.logbook.store import home as home_of

    where = place(port, lan=lan or bool(address), lan_address=address)
    folder: Path = home_of(home).expanduser().absolute()
    typer.echo(f"Bay's screen:    {where.address}")
    if where.shop_address:
        import segno

        typer.echo(f"In the network:  {where.shop_address}")
        segno.make(where.shop_address, error="m").terminal(compact=True)
        typer.echo("Whoever has this address may read all jobs, hear all clips, until the board is ended.")
    else:
        typer.echo(f"Foreman's pages: {where.address.removesuffix('/board')}/jobs")
    typer.echo("Ctrl-C ends it.")
    if show:
        webbrowser.open(where.address)
    serve(folder, where)
