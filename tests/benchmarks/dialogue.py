"""How long an answer takes in a long job: a card of 500 steps, a log of 20,000 events.

    python -m tests.benchmarks.dialogue

For each request the median and the slowest of several answers, and beside them what the same answer would cost if
the state were folded anew from the log each time. On a shared machine others take their turn in between: the
processor time of the slowest answer is its own.
"""

from __future__ import annotations

import argparse
import statistics
import time
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from assistant.card.model import Card
from assistant.dialogue.conversation import Conversation
from assistant.grammar.request import REQUESTS, Quantity, Request
from assistant.job.events import Event
from assistant.job.open_items import open_items
from assistant.job.state import fold

START = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)


def long_card(steps: int) -> Card:
    """A card with as many steps: half take things off, half put them back; every one with a set of bolts."""
    pairs = steps // 2
    parts = {f"plate-{n}": {"name": f"plate {n}", "mass_kg": "9"} for n in range(pairs)}
    fasteners = {
        f"plate-{n}-bolts": {
            "name": f"plate {n} bolts", "count": 8, "thread": "M10", "joins": [f"plate-{n}"], "torque": "40 N·m",
            "order": {"pattern": "across"},
        }
        for n in range(pairs)
    }  # fmt: skip

    def off(n: int) -> dict[str, Any]:
        does = [{"take-out": f"plate-{n}-bolts"}, {"remove": f"plate-{n}"}]
        return {"id": f"off-{n}", "say": f"Take plate {n} off.", "does": does}

    def on(n: int) -> dict[str, Any]:
        does = [{"fit": f"plate-{n}"}, {"start": f"plate-{n}-bolts"}, {"tighten": f"plate-{n}-bolts"}]
        return {"id": f"on-{n}", "say": f"Put plate {n} on.", "does": does}

    return Card.model_validate({
        "card": "long", "title": "Long", "revision": "1", "notice": "Invented.", "vehicle": "none", "maker": "none",
        "parts": parts, "fasteners": fasteners,
        "sections": [
            {"id": "out", "name": "Out", "steps": [off(n) for n in range(pairs)]},
            {"id": "in", "name": "In", "steps": [on(n) for n in reversed(range(pairs))]},
        ],
    })  # fmt: skip


def worked(card: Card, events: int) -> tuple[Conversation, list[Event], datetime]:
    """The job after so many events: every plate off, half of them on again, questions and notes all along."""
    now = START
    talk, _ = Conversation.begin(card, now)
    log = list(talk.fresh)
    half = len(talk.state.plan.places) * 3 // 4

    def say(name: str, **slots: Any) -> None:
        nonlocal talk, now
        now += timedelta(seconds=5)
        talk, _ = talk.take(Request(name, slots, name), now)
        log.extend(talk.fresh)

    say("begin")
    chat = ("torque", "note", "where", "open", "measured")
    n = 0
    while len(log) < events:
        n += 1
        if talk.state.question is not None:
            say("digits", value=Quantity(Decimal(40), "N·m"))
        elif len(talk.state.steps) < half and n % 12 == 0:
            say("done")
        elif n % 40 == 0:
            say("note", text=f"note {n}")
        else:
            say(chat[n % len(chat)] if n % len(chat) != 1 else "where", fastener=f"plate-{n % (half // 2)}-bolts")
    return talk, log, now


REQUESTS_ASKED: dict[str, dict[str, Any]] = {
    "torque": {"fastener": "plate-3-bolts"},
    "torqued": {"fastener": "plate-200-bolts", "value": Quantity(Decimal(40), "N·m")},
    "go-to": {"step": 480},
    "note": {"text": "a note"},
    "fasteners-at": {"value": Quantity(Decimal(40), "N·m"), "relation": "at"},
    "what-is": {"thing": "plate 77"},
    "skip": {"reason": "no time"},
    "start-fastener": {"fastener": "plate-240-bolts"},
}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--steps", type=int, default=500)
    options.add_argument("--events", type=int, default=20_000)
    options.add_argument("--times", type=int, default=15)
    chosen = options.parse_args()
    card = long_card(chosen.steps)
    talk, log, now = worked(card, chosen.events)
    state = talk.state
    print(f"{len(state.plan.places)} steps, {len(log)} events, {len(open_items(state))} open items, "
          f"{len(state.notes)} notes")  # fmt: skip
    began = time.perf_counter()
    fold(card, log)
    folded_ms = (time.perf_counter() - began) * 1000
    print(f"folding the whole log, as on resume: {folded_ms:.0f} ms, {folded_ms * 1000 / len(log):.1f} us an event")
    rows = []
    for name in REQUESTS:
        request = Request(name, REQUESTS_ASKED.get(name, {}), name)
        took, busy = [], []
        for _ in range(chosen.times):
            began, worked_ns = time.perf_counter(), time.process_time_ns()
            talk.take(request, now + timedelta(seconds=5))
            took.append((time.perf_counter() - began) * 1000)
            busy.append((time.process_time_ns() - worked_ns) / 1e6)
        rows.append((name, statistics.median(took), max(took), max(busy)))
    rows.sort(key=lambda row: -row[1])
    print(f"\n{'request':<18}{'median ms':>10}{'slowest ms':>12}{'slowest, cpu ms':>17}{'folding anew ms':>17}")
    for name, median, slowest, busy_ms in rows[:20]:
        print(f"{name:<18}{median:>10.2f}{slowest:>12.2f}{busy_ms:>17.2f}{folded_ms + median:>17.0f}")
    print(f"... and {len(rows) - 20} faster ones; of all {len(rows)} the slowest median is {rows[0][1]:.2f} ms, "
          f"the slowest single answer {max(row[2] for row in rows):.2f} ms, "
          f"{max(row[3] for row in rows):.2f} ms of processor time")  # fmt: skip


if __name__ == "__main__":
    main()
