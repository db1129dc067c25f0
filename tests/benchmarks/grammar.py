"""How the grammar's cost grows with the card: python -m tests.benchmarks.grammar [--json FILE]

For 30, 300 and 3,000 fasteners: time to load, to walk phrases letter by letter for the first time with every
letter that might have come (what a search does), and to read them; positions and memory. In the same run, for
comparison, the plain way: every phrase of the card's frames spelled out into one tree of letters, numbers left
out. Figures are of one run on a machine that may be doing other things.
"""

from __future__ import annotations

import argparse
import json
import time
import tracemalloc
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from random import Random

from rich.console import Console
from rich.table import Table

from assistant.card.model import Card
from assistant.grammar.expansion import NameList, parts_of
from assistant.grammar.live import Ask, live_for
from assistant.grammar.load import CardGrammar
from tests.grammar.conftest import FASTENERS, card_with

SIZES = (30, 300, 3000)
_SIDES = "front rear upper lower left right inner outer main auxiliary centre side first second long short"
_ASSEMBLIES = "gearbox clutch propshaft axle engine transfer brake steering exhaust cooling hydraulic winch cab crane"
_PLACES = (
    "cover housing bracket flange mount plate guard clamp support carrier cap shield rail lever yoke hub case tray"
)
SIDES, ASSEMBLIES, PLACES = _SIDES.split(" "), _ASSEMBLIES.split(" "), _PLACES.split(" ")
FRAMES = (
    "what's the torque on the {}", "torque for the {}", "how tight are the {}", "{} torque", "how many {} are there",
    "what size are the {}", "what's the order for the {}", "can i reuse the {}", "start the {}", "{} torqued",
)  # fmt: skip

Trie = dict[str, "Trie"]


def large_card(count: int) -> Card:
    """A card with that many fasteners, their names put together by chance (seeded)."""
    chance = Random(0)
    names: set[str] = set()
    while len(names) < count - len(FASTENERS):
        names.add(f"{chance.choice(SIDES)} {chance.choice(ASSEMBLIES)} {chance.choice(PLACES)} bolts")
    more = {name.replace(" ", "-"): {"name": name, "count": 4} for name in sorted(names)}
    return card_with({**FASTENERS, **more})


def timed(work: Callable[[], object]) -> float:
    """Milliseconds."""
    before = time.perf_counter()
    work()
    return (time.perf_counter() - before) * 1000


def sayings(card: Card) -> list[str]:
    names = [fastener.name for fastener in card.fasteners.values()]
    chosen = Random(1).sample(names, 20)
    return [FRAMES[number % len(FRAMES)].format(name) for number, name in enumerate(chosen)] + [
        "torqued the flywheel bolts to sixty five newton metres",
        "measured runout four thousandths",
    ]


def walk_all(grammar: CardGrammar, phrases: Iterable[str]) -> None:
    letters = grammar.acceptor(live_for(Ask()))
    for phrase in phrases:
        position = letters.start
        for letter in phrase:
            for other in letters.letters(position):
                letters.step(position, other)
            position = letters.step(position, letter)


def plain_tree(phrases: Iterable[str]) -> Trie:
    root: Trie = {}
    for phrase in phrases:
        here = root
        for letter in phrase:
            here = here.setdefault(letter, {})
    return root


def spelled_out(grammar: CardGrammar) -> Iterator[str]:
    """Each frame with each name that a fastener may be called by."""
    rule = grammar.library.rules["bay.card.fastener"].expansion
    for names in (part for part in parts_of(rule) if isinstance(part, NameList)):
        for name in names.names:
            yield from (frame.format(name) for frame in FRAMES)


def measured(count: int) -> dict[str, float]:
    card = large_card(count)
    phrases = sayings(card)
    CardGrammar(card_with(FASTENERS))  # the grammar files are read once a run
    made: list[CardGrammar] = []
    tracemalloc.start()
    CardGrammar(card)
    memory = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    row = {"fasteners": count, "load ms": timed(lambda: made.append(CardGrammar(card))), "memory MB": memory}
    grammar = made[0]
    live = live_for(Ask())
    row["first walk ms"] = timed(lambda: walk_all(grammar, phrases)) / len(phrases)
    row["walk again ms"] = timed(lambda: walk_all(grammar, phrases)) / len(phrases)
    row["read ms"] = timed(lambda: [grammar.parse(phrase, live) for phrase in phrases]) / len(phrases)
    row["positions"] = len(grammar.walk)
    whole = list(spelled_out(grammar))
    tracemalloc.start()
    plain_tree(whole)
    row["plain tree MB"] = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    row["plain tree ms"] = timed(lambda: plain_tree(whole))
    row["plain tree phrases"] = len(whole)
    return row


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--json", type=Path)
    chosen = options.parse_args()
    rows = [measured(count) for count in SIZES]
    table = Table(*rows[0])
    for row in rows:
        table.add_row(*(f"{value:,.0f}" if value == int(value) else f"{value:,.2f}" for value in row.values()))
    Console(width=200).print(table)
    few, many = rows[0], rows[-1]
    for what in ("first walk ms", "read ms"):
        print(f"{what}: {many['fasteners']:.0f} fasteners cost {many[what] / few[what]:.2f} times 30 (wanted: 1.5)")
    if chosen.json:
        chosen.json.write_text(json.dumps(rows, indent=1))


if __name__ == "__main__":
    main()
