"""Fuzzes by coverage: inputs that reach new places of the code are kept and worked on.

Needs atheris, which is not asked for by the project; in an environment beside it, with the project installed:

    python -m pip install atheris
    python -m tests.fuzz.by_coverage card CORPUS -runs=200000 -timeout=5 -rss_limit_mb=1024

CORPUS is a folder of one's own (libFuzzer's options hold); what it finds goes to tests/fuzz/finds/TARGET/.
"""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["assistant"]):
    from tests.fuzz.mutate import mutated
    from tests.fuzz.run import FINDS
    from tests.fuzz.targets import TARGETS


def main() -> None:
    from pathlib import Path
    from random import Random

    target, corpus, *options = sys.argv[1:]
    folder = Path(corpus)
    folder.mkdir(parents=True, exist_ok=True)
    if not any(folder.iterdir()):
        for number in range(50):
            (folder / f"seed-{number}").write_bytes(mutated(Random(number), target))
    finds = FINDS / target
    finds.mkdir(parents=True, exist_ok=True)

    def one_input(content: bytes) -> None:
        TARGETS[target](content)

    atheris.Setup([sys.argv[0], corpus, f"-artifact_prefix={finds}/", *options], one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
