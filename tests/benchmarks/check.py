"""How long `bay check` takes on a large card: `python -m tests.benchmarks.check [steps] [facts]`.

Beside it, in the same run: the same proof with every rule walked under every combination of all facts,
which is what a check without regard to independence would cost (estimated from a part of it).
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from itertools import islice

from assistant.card.check.checked import check_card, rules_of
from assistant.card.check.happenings import Row
from assistant.card.check.rule import walk
from assistant.card.load import read_card_text

HEAD = """\
card: large
title: Large
revision: "1"
notice: Invented, for measuring.
vehicle: a large machine
maker: nobody
"""
# the names differ in whole words, as those of a card should
SHAPES = ("round", "square", "slotted", "hooked", "ribbed", "forked", "flanged", "stepped", "split", "hollow", "domed")
PARTS = (
    "bracket", "shield", "housing", "pump", "fan", "manifold", "radiator", "gearbox", "tank", "cradle", "lever",
    "pulley", "damper", "filter", "compressor",
)  # fmt: skip


def large_card(steps: int, facts: int) -> str:
    """A sound card: groups of a part, its bolts and a plug, out in a row and in again in reverse, each bound to
    two facts in turn; every tenth part lies behind the ten before it, so that its rules touch many facts."""
    groups = (steps - 1) // 4
    lines = [HEAD, "facts:"]
    for n in range(facts):
        lines.append(f"  fact-{n}: {{ask: Which is it?, options: {{a: {{say: first kind}}, b: {{say: second kind}}}}}}")
    names = [f"{PARTS[g % 15]} {SHAPES[g // 15 % 11]} {('', 'left', 'right')[g // 165]}".strip() for g in range(groups)]
    whens = [f"{{fact-{g % facts}: a, fact-{(g + 1) % facts}: b}}" for g in range(groups)]
    lines.append("parts:")
    for g, name in enumerate(names):
        behind = ", ".join(f"part-{b}" for b in range(g - 10, g)) if g % 10 == 0 and g else ""
        lines.append(f"  part-{g}: {{name: {name}, mass_kg: 4, behind: [{behind}], when: {whens[g]}}}")
    lines.append("fasteners:")
    for g, name in enumerate(names):
        lines.append(
            f"  bolts-{g}: {{name: {name} bolts, count: 4, thread: M8, grade: '8.8', joins: [part-{g}], "
            f"torque: 20 N·m, order: {{pattern: across}}, passes: [{{share: 50}}, {{share: 100}}], when: {whens[g]}}}"
        )
    lines.append("connections:")
    lines += [f"  plug-{g}: {{name: {name} plug, joins: [part-{g}], when: {whens[g]}}}" for g, name in enumerate(names)]
    lines += ["sections:", "  - id: out", "    name: Out", "    steps:"]
    for g, name in enumerate(names):
        lines += [f"      - id: unplug-{g}", f"        say: Pull the plug of the {name}.", f"        when: {whens[g]}",
                  f"        does: [disconnect: plug-{g}]"]  # fmt: skip
        lines += [f"      - id: off-{g}", f"        say: Take out the four bolts and the {name}.",
                  "        how: Leave the lower ones to the last, and hold it with one hand.",
                  f"        when: {whens[g]}", f"        does: [take-out: bolts-{g}, remove: part-{g}]"]  # fmt: skip
    lines += ["  - id: in", "    name: In", "    steps:"]
    for g in reversed(range(groups)):
        lines += [f"      - id: on-{g}", f"        say: Fit the {names[g]} and tighten it.",
                  f"        when: {whens[g]}",
                  f"        does: [fit: part-{g}, start: bolts-{g}, tighten: bolts-{g}]"]  # fmt: skip
        lines += [f"      - id: plug-in-{g}", f"        say: Plug in the {names[g]}.", f"        when: {whens[g]}",
                  f"        does: [connect: plug-{g}]"]  # fmt: skip
    lines += [f"      - {{id: look-{n}, say: Look once more from front to rear.}}" for n in range(steps - 4 * groups)]
    return "\n".join(lines) + "\n"


def _fresh_process(text: str) -> None:
    """`bay check` as a person runs it, with the start of Python and all imports."""
    with tempfile.NamedTemporaryFile("w", suffix=".yaml", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        program = "import sys; from assistant.card.check_command import check_command; check_command(sys.argv[1:])"
        before, start = os.times(), time.perf_counter()
        subprocess.run([sys.executable, "-c", program, file.name], check=True, stdout=subprocess.DEVNULL)
        after, took = os.times(), time.perf_counter() - start
    used = after.children_user - before.children_user + after.children_system - before.children_system
    print(f"in a process of its own: {took:.2f} s, of which {used:.2f} s on the processor")


def main(steps: int = 500, facts: int = 8) -> None:
    text = large_card(steps, facts)
    check_card(read_card_text(large_card(9, 2)))  # imports and unit registry, paid once a process
    start = time.perf_counter()
    read = read_card_text(text)
    loaded = time.perf_counter()
    found = check_card(read)
    done = time.perf_counter()
    print(f"card: {steps} steps, {facts} facts, {len(text) // 1000} kB; {len(found)} findings")
    print(f"read {loaded - start:.2f} s, check {done - loaded:.2f} s, together {done - start:.2f} s (aim: under 2 s)")
    _fresh_process(text)
    row = Row(read)
    rules = list(rules_of(row))
    everything = row.of(row.things)
    whole = list(row.combinations.of(row.card.facts))
    start = time.perf_counter()
    sample = list(islice(rules, 0, None, max(1, len(rules) // 5)))
    for rule in sample:
        happenings = [h for h in everything if h.thing in rule.things]
        for combination in whole:
            list(walk(row, rule, happenings, combination))
    each = (time.perf_counter() - start) / len(sample)
    print(
        f"every rule under all {len(whole)} combinations: {each * len(rules):.1f} s "
        f"(estimated from {len(sample)} of {len(rules)} rules)"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
