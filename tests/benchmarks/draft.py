"""How much of a narration the draft holds, and that it holds nothing else.

    python -m tests.benchmarks.draft [--details]

The groups apart (tests/draft/gold.py says which): narrations written along with the rules; those once blind and since
used to mend the rules, and those written for practice (with what the rules made of them when they met them first);
those written blind that nobody mended by.
Beside them a plain reading of the same texts (first verb and first thing of each sentence, no things brought
together, no slips put right, a value given to the thing named last), so that the figures can be held against
something. Needs no network and no sound; a few seconds.
"""

from __future__ import annotations

import argparse
import time

from rich.console import Console
from rich.table import Table

from assistant.card.draft.reading import read_text_file
from tests.benchmarks.plain_draft import plainly_understood
from tests.draft.gold import FIRST_MET, GROUPS, WHAT_IS_COUNTED, Score, drafted, golds, score

WANTED = {"values right": 100, "values there": 95, "actions found": 90, "pairs joined": 90}
"""Per cent."""


def shares(total: Score) -> dict[str, float]:
    """Per cent: of the drafted values, those said as such of the right thing; of those said, those drafted; ..."""

    def share(part: int, whole: int) -> float:
        return 100.0 * part / whole if whole else 100.0

    return {
        "values right": share(total.values_said, total.values_drafted),
        "values there": share(total.values_said, total.values_gold),
        "actions found": share(total.actions_found, total.actions_gold),
        "actions right": share(total.actions_found, total.actions_drafted),
        "pairs joined": share(total.pairs_joined, total.pairs_gold),
    }


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--details", action="store_true", help="list what is missing, wrong or too much")
    details = options.parse_args().details
    console = Console(width=150)
    for group, folder in GROUPS.items():
        table = Table(title=f"Narrations {group}", title_justify="left")
        for column in (
            "narration",
            "words",
            "values right",
            "values there",
            "actions found",
            "actions right",
            "pairs joined",
            "s",
        ):
            table.add_column(column, justify="left" if column == "narration" else "right")
        total, plain = Score(), Score()
        for gold in golds(folder):
            began = time.perf_counter()
            mine = score(gold, drafted(gold.path))
            took = time.perf_counter() - began
            total += mine
            plain += score(gold, plainly_understood(gold.path))
            words = sum(len(passage.words.split()) for passage in read_text_file(gold.path).passages)
            table.add_row(gold.path.name, str(words), *_cells(mine), f"{took:.2f}")
            if details:
                for name in ("wrong_values", "missing_values", "missing_actions", "extra_actions", "missing_pairs"):
                    if getattr(mine, name):
                        console.print(
                            f"  {gold.path.name} {name.replace('_', ' ')}: {'; '.join(getattr(mine, name))}",
                            style="dim",
                        )
        table.add_section()
        table.add_row("all", "", *_cells(total), "")
        table.add_row("all, read plainly", "", *_cells(plain), "")
        table.add_row("wanted", "", *(f"{WANTED[name]} %" if name in WANTED else "" for name in shares(total)), "")
        if folder.name in FIRST_MET:
            table.caption, table.caption_justify = "\n".join(_first_met(folder.name)), "left"
        console.print(table if total.actions_gold else f"Narrations {group}: none yet.")


def _first_met(folder: str) -> list[str]:
    rows = []
    for which, counts in FIRST_MET[folder].items():
        told = (f"{name} {100 * a / b:.0f} % ({a}/{b})" for name, (a, b) in zip(WHAT_IS_COUNTED, counts, strict=True))
        rows.append(f"{which} when met first: {', '.join(told)}")
    return rows


def _cells(one: Score) -> list[str]:
    counts = {
        "values right": (one.values_said, one.values_drafted), "values there": (one.values_said, one.values_gold),
        "actions found": (one.actions_found, one.actions_gold),
        "actions right": (one.actions_found, one.actions_drafted),
        "pairs joined": (one.pairs_joined, one.pairs_gold),
    }  # fmt: skip
    return [f"{share:.0f} % ({counts[name][0]}/{counts[name][1]})" for name, share in shares(one).items()]


if __name__ == "__main__":
    main()
