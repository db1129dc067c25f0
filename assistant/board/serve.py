"""Puts the board on the network: sockets, addresses, the key, and a server that does not wait for ever."""

from __future__ import annotations

import asyncio
import contextlib
import ipaddress
import secrets
import socket
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from assistant.board.app import board_app
from assistant.board.errors import NoNetwork, NoPort

PORT = 8717
"""The first port that is tried; the nine after it are tried next."""
PORTS_TRIED = 10
PATIENCE_S = 10.0
"""A visitor that has not finished asking by then is sent away, seconds."""
MOST_CONNECTIONS = 400


@dataclass(frozen=True, slots=True)
class Place:
    """Where the board is, before it is served."""

    sockets: tuple[socket.socket, ...]
    hosts: frozenset[str]
    """What the Host header may say."""
    address: str
    """To open on this machine."""
    shop_address: str
    """To open elsewhere, with the key in it; empty on loopback alone."""
    key: str


def place(port: int | None = None, *, lan: bool = False, lan_address: str = "") -> Place:
    """Takes the port on loopback and, with `lan`, on this machine's address in the shop's network.

    `port`: that one or none; None tries PORT and the next ones. Raises NoPort, NoNetwork.
    """
    there = _lan_address(lan_address) if lan else ""
    addresses = ["127.0.0.1", *([there] if there else [])]
    wanted = [port] if port is not None else list(range(PORT, PORT + PORTS_TRIED))
    for number in wanted:
        sockets = _bound(addresses, number)
        if sockets:
            break
    else:
        tried = f"Port {port} is" if port is not None else f"The ports {PORT} to {PORT + PORTS_TRIED - 1} are"
        raise NoPort(f"{tried} taken (by another board?): name another with --port.")
    number = sockets[0].getsockname()[1]
    names = ["127.0.0.1", "localhost", *([_in_brackets(there)] if there else [])]
    key = secrets.token_urlsafe(24) if lan else ""
    asked = f"?key={key}" if key else ""
    return Place(
        sockets=tuple(sockets),
        hosts=frozenset(f"{name}:{number}" for name in names),
        address=f"http://127.0.0.1:{number}/board{asked}",
        shop_address=f"http://{_in_brackets(there)}:{number}/board{asked}" if there else "",
        key=key,
    )


def _bound(addresses: list[str], port: int) -> list[socket.socket]:
    """Sockets on all of the addresses; none where one of them is taken."""
    sockets: list[socket.socket] = []
    for address in addresses:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        made = socket.socket(family, socket.SOCK_STREAM)
        try:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            made.bind((address, port if port or not sockets else sockets[0].getsockname()[1]))
            made.listen(128)
        except OSError:
            made.close()
            for other in sockets:
                other.close()
            return []
        sockets.append(made)
    return sockets


def _lan_address(asked: str) -> str:
    """This machine's address in its network. Nothing is sent: a route is looked up for an address of documentation."""
    if asked:
        try:
            return str(ipaddress.ip_address(asked))
        except ValueError:
            raise NoNetwork(f"{asked!r} is no network address: write it like 192.168.1.20.") from None
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))
        found = str(probe.getsockname()[0])
    except OSError:
        found = ""
    finally:
        probe.close()
    if not found or ipaddress.ip_address(found).is_loopback:
        raise NoNetwork("This machine is in no network: plug it in, or name its address with --address.")
    return found


def _in_brackets(address: str) -> str:
    return f"[{address}]" if ":" in address else address


class Patient(H11Protocol):
    """The server's side of one connection, which is closed where for PATIENCE_S no further request comes whole, or
    nothing is taken of an answer that waits to be sent."""

    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        super().connection_made(transport)
        self._wait()

    def handle_events(self) -> None:
        super().handle_events()
        if self._is_answering:
            self._wait_no_more()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        if not self._is_answering:  # the next request may have come whole with this one
            self._wait()

    def pause_writing(self) -> None:
        super().pause_writing()
        self._wait()

    def resume_writing(self) -> None:
        super().resume_writing()
        if self._is_answering:
            self._wait_no_more()
        else:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        self._wait_no_more()
        super().connection_lost(exc)

    @property
    def _is_answering(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete and not self.flow.write_paused

    def _wait(self) -> None:
        self._wait_no_more()
        self._late = self.loop.call_later(PATIENCE_S, self._too_late)

    def _wait_no_more(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None

    def _too_late(self) -> None:
        self.transport.abort()  # close would first send what nobody takes


def server(folder: Path, where: Place) -> uvicorn.Server:
    """Ready to `serve(sockets=where.sockets)`; its `should_exit` ends it."""
    app = board_app(folder, lambda: datetime.now(UTC), hosts=where.hosts, key=where.key)
    config = uvicorn.Config(
        app,
        http=Patient,
        ws="none",
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=1,
        h11_max_incomplete_event_size=16_384,
    )
    return uvicorn.Server(config)


def serve(folder: Path, where: Place) -> None:
    """Serves until interrupted."""
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(server(folder, where).serve(sockets=list(where.sockets)))
