"""How well the ear hears, what it costs, and what two plainer ways make of the same sound.

    python -m tests.benchmarks.ear                 # some quarter of an hour on two cores, nothing else running
    python -m tests.benchmarks.ear --count 24 --minutes 5 --out short-run

Held-out voices and sayings only (tests/benchmarks/corpus.py). Prints the table, and writes ear.json, ear.md and
ear.png to `--out`. Counts of decisions do not depend on the machine's load; times do.
"""

import argparse
import json
import platform
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from assistant.grammar.load import CardGrammar
from assistant.grammar.request import Quantity, Request
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.ear import Listening
from assistant.hearing.heard import SAMPLE_RATE, Decision, Heard, Samples
from tests.benchmarks import corpus
from tests.benchmarks.corpus import CONDITIONS, Spoken
from tests.benchmarks.ear_costs import costs, growth, heard_after, listening
from tests.benchmarks.ear_others import nearest_phrase, pocketsphinx_jsgf

TARGETS = {"clean": 0.99, "15 dB": 0.98, "10 dB": 0.97, "5 dB": 0.93}
"""Right first time, or confirmed and right."""
OUTCOMES = ("right", "confirmed", "digits", "again", "ignored", "wrong asked", "wrong action", "wrong number")
"""`digits`: the number is doubtful and will be asked for digit by digit. `wrong asked`: the wrong thing, but a
question comes first. `wrong action`: something else would be done; `wrong number`: the same with another number."""


@dataclass(slots=True)
class Tally:
    """What came of the utterances of one condition."""

    outcomes: dict[str, int] = field(default_factory=lambda: dict.fromkeys(OUTCOMES, 0))
    decode_ms: list[float] = field(default_factory=list)
    answer_ms: list[float] = field(default_factory=list)
    """End of speech to request, where the phrase cannot go on."""
    sound_s: float = 0.0

    @property
    def total(self) -> int:
        return sum(self.outcomes.values())

    def share(self, *outcomes: str) -> float:
        return sum(self.outcomes[outcome] for outcome in outcomes) / max(self.total, 1)


def outcome_of(wanted: Request, heard: Heard | None) -> str:
    """What the dialogue would make of it: a key of OUTCOMES."""
    if heard is None or heard.decision is Decision.IGNORE:
        return "ignored"
    if heard.decision is Decision.AGAIN or heard.best is None:
        return "again"
    right = same(wanted, heard.best.request)
    if heard.doubtful:
        # The figures put a wrong number right, nothing else.
        others = {name for name in wanted.slots if name not in heard.doubtful}
        asked = heard.best.request
        kept = {name: _value(wanted.slots[name]) for name in others}
        sure = wanted.name == asked.name and kept == {name: _value(asked.slots.get(name)) for name in others}
        return "digits" if sure else "wrong asked"
    if heard.decision is Decision.CONFIRM:
        return "confirmed" if right else "wrong asked"
    if right:
        return "right"
    return "wrong number" if wanted.name == heard.best.request.name and _numbers(wanted) else "wrong action"


def same(wanted: Request, got: Request) -> bool:
    """True where both ask for the same; free words need not agree, their sound is kept."""
    if wanted.name != got.name:
        return False
    free = {"text", "reason"}
    mine = {name: _value(value) for name, value in wanted.slots.items() if name not in free}
    return mine == {name: _value(value) for name, value in got.slots.items() if name not in free}


def measured(spoken: Iterable[Spoken], grammar: CardGrammar, recogniser: BuiltinRecogniser) -> dict[str, Tally]:
    """Each utterance through the whole ear, tallied by condition; `hard` voices by themselves."""
    tallies: dict[str, Tally] = {}
    for piece in spoken:
        tally = tallies.setdefault(piece.condition, Tally())
        now = listening(grammar, piece.saying.state)
        heard, waited_s = _best_of(heard_after(piece.samples, recogniser, now))
        tally.outcomes[outcome_of(piece.saying.wanted, heard)] += 1
        tally.sound_s += piece.speech_s[1] - piece.speech_s[0]
        if heard is not None:
            tally.decode_ms.append(heard.ms)
            if heard.best and now.may_go_on and not now.may_go_on(heard.best.words):
                tally.answer_ms.append(waited_s * 1000 + heard.ms)
    return tallies


def overheard(sounds: Iterable[tuple[str, Samples]], recogniser: BuiltinRecogniser, now: Listening) -> dict[str, Any]:
    """Talk that was not meant for us: how much, and what was made of it."""
    seconds, decisions, accepted = 0.0, dict.fromkeys((each.value for each in Decision), 0), []
    for what, sound in sounds:
        seconds += len(sound) / SAMPLE_RATE
        for heard, _ in heard_after(sound, recogniser, now):
            decisions[heard.decision.value] += 1
            if heard.decision is Decision.ACT and heard.best:
                said = re.sub(r"[^a-z0-9 ]", "", heard.free.lower()) == re.sub(r"[^a-z0-9 ]", "", heard.best.words)
                accepted.append({"sound": what, "free": heard.free, "heard": heard.best.words, "word for word": said})
    return {
        "hours": seconds / 3600,
        "utterances": sum(decisions.values()),
        "decisions": decisions,
        "accepted": accepted,
    }


def main() -> None:
    """Runs it all and prints the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--count", type=int, default=72, help="utterances a condition")
    options.add_argument("--minutes", type=float, default=120, help="minutes of other people's talk")
    options.add_argument("--threads", type=int, default=2)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--out", type=Path, default=Path("ear-benchmark"))
    chosen = options.parse_args()
    card, grammar = corpus.loaded()
    said, unread = corpus.sayings_for(card, grammar, "out", chosen.count, chosen.seed)
    recogniser = BuiltinRecogniser(threads=chosen.threads)
    report: dict[str, Any] = {
        "machine": f"{platform.machine()}, {_cores()} cores, Python {platform.python_version()}",
        "phrases": float(grammar.count()),
        "fasteners": len(card.fasteners),
        "utterances a condition": len(said),
        "not in the grammar": unread,
        "costs": costs(chosen.threads),
        "conditions": {},
    }
    everything = grammar.phrases(8_000, seed=chosen.seed)
    phrases = {phrase.text: phrase.request for phrase in everything} | {each.text: each.wanted for each in said}
    for condition in CONDITIONS:
        pieces = list(corpus.spoken(said, "out", condition, chosen.seed))
        _tell(f"{condition}: {len(pieces)} utterances")
        ours = measured(pieces, grammar, recogniser)[condition]
        report["conditions"][condition] = _summary(ours) | {
            "free dictation, nearest phrase": nearest_phrase(pieces, phrases, recogniser.model, same),
            "pocketsphinx, JSGF": pocketsphinx_jsgf(pieces, card, grammar, same),
        }
    _tell("hard voices")
    hard = [*corpus.spoken(said[: chosen.count // 2], "out", "clean", chosen.seed, corpus.voices.HARD)]
    report["hard voices, clean"] = _summary(measured(hard, grammar, recogniser)["clean"])
    _tell("talk")
    talk = [*corpus.recordings()]
    report["real recordings"] = overheard(talk, recogniser, listening(grammar, "work"))
    report["talk"] = overheard(corpus.talk("out", chosen.minutes, chosen.seed), recogniser, listening(grammar, "work"))
    report["talk, with the attention name"] = overheard(
        corpus.talk("out", chosen.minutes / 4, chosen.seed), recogniser, listening(grammar, "work", named=True)
    )
    report["decode ms by fasteners"] = growth(recogniser, said)
    chosen.out.mkdir(parents=True, exist_ok=True)
    (chosen.out / "ear.json").write_text(json.dumps(report, indent=1, default=str))
    table = as_table(report)
    (chosen.out / "ear.md").write_text(table)
    _plot(report, chosen.out / "ear.png")
    print(table)


def as_table(report: dict[str, Any]) -> str:
    """The report as Markdown."""
    lines = [
        f"{report['utterances a condition']} utterances a condition, {report['fasteners']} fasteners, "
        f"{report['phrases']:.1e} phrases. {report['machine']}.",
        "",
        "| condition | right or confirmed | target | right at once | asked digit by digit | again or ignored "
        "| wrong, asked first | wrong action | wrong number | decode ms (95th) | nearest phrase | pocketsphinx |",
        "|" + " --- |" * 12,
    ]
    for name, row in report["conditions"].items():
        target = f"{TARGETS[name]:.0%}" if name in TARGETS else ""
        lines.append(
            f"| {name} | {row['right or confirmed']:.1%} | {target} | {row['right']:.1%} | {row['digits']:.1%} "
            f"| {row['again'] + row['ignored']:.1%} | {row['wrong asked']:.1%} | {row['wrong action']:.1%} "
            f"| {row['wrong number']:.1%} | {row['decode ms']:.0f} ({row['decode ms, 95th']:.0f}) "
            f"| {row['free dictation, nearest phrase']['right']:.1%} | {row['pocketsphinx, JSGF']['right']:.1%} |"
        )
    talk, real, named = report["talk"], report["real recordings"], report["talk, with the attention name"]
    cost = report["costs"]
    hard = report["hard voices, clean"]
    answer = [row["answer ms"] for row in report["conditions"].values() if row["answer ms"]]
    lines += [
        "",
        f"- Talk not meant for it: {talk['hours'] + real['hours']:.2f} h, {talk['utterances'] + real['utterances']} "
        f"utterances; acted on {len(talk['accepted']) + len(real['accepted'])} (target: at most one in two hours), "
        f"{sum(each['word for word'] for each in talk['accepted'] + real['accepted'])} of them word for word a phrase; "
        f"asked about {talk['decisions']['confirm'] + real['decisions']['confirm']}, said again "
        f"{talk['decisions']['again'] + real['decisions']['again']}; with the attention name, {named['hours']:.2f} h: "
        f"acted on {len(named['accepted'])}.",
        f"- End of speech to request where the phrase cannot go on: median {np.median(answer):.0f} ms (target 450).",
        f"- Ready in {cost['ready_s']:.1f} s (2), {cost['memory_mb']:.0f} MB resident (400), "
        f"{cost['idle_core_share']:.1%} of a core while nobody speaks (5 %).",
        "- Decode time by fasteners: "
        + ", ".join(f"{count}: {ms:.0f} ms" for count, ms in report["decode ms by fasteners"].items())
        + " (target: 3,000 at most 1.5 times 30).",
        f"- Hard voices in quiet: {hard['right or confirmed']:.0%} right or confirmed, "
        f"{hard['wrong action'] + hard['wrong number']:.1%} wrong action.",
        "",
    ]
    return "\n".join(lines)


def _summary(tally: Tally) -> dict[str, Any]:
    found: dict[str, Any] = {outcome: tally.share(outcome) for outcome in OUTCOMES}
    found["right or confirmed"] = tally.share("right", "confirmed", "digits")
    found["decode ms"] = float(np.median(tally.decode_ms)) if tally.decode_ms else 0.0
    found["decode ms, 95th"] = float(np.percentile(tally.decode_ms, 95)) if tally.decode_ms else 0.0
    found["real-time factor"] = sum(tally.decode_ms) / 1000 / max(tally.sound_s, 1e-9)
    found["answer ms"] = float(np.median(tally.answer_ms)) if tally.answer_ms else None
    found["answer ms, 95th"] = float(np.percentile(tally.answer_ms, 95)) if tally.answer_ms else None
    return found


def _best_of(found: Iterator[tuple[Heard, float]]) -> tuple[Heard | None, float]:
    """The utterance that would be acted on first; else the first."""
    all_found = list(found)
    for heard, waited in all_found:
        if heard.decision in (Decision.ACT, Decision.CONFIRM):
            return heard, waited
    return all_found[0] if all_found else (None, 0.0)


def _numbers(request: Request) -> bool:
    return any(isinstance(value, Quantity | int) for value in request.slots.values())


def _value(value: object) -> object:
    return (value.value, value.unit) if isinstance(value, Quantity) else value


def _cores() -> int:
    import os

    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _plot(report: dict[str, Any], file: Path) -> None:
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    names = list(report["conditions"])
    rows = [report["conditions"][name] for name in names]
    series: dict[str, Callable[[dict[str, Any]], float]] = {
        "inside the grammar (right or confirmed)": lambda row: row["right or confirmed"],
        "free dictation, nearest phrase": lambda row: row["free dictation, nearest phrase"]["right"],
        "pocketsphinx, JSGF": lambda row: row["pocketsphinx, JSGF"]["right"],
    }
    figure, axes = pyplot.subplots(figsize=(9, 4.5))
    width = 0.27
    for number, (label, value) in enumerate(series.items()):
        places = np.arange(len(names)) + (number - 1) * width
        axes.bar(places, [100 * value(row) for row in rows], width, label=label)
    for place, name in enumerate(names):
        if name in TARGETS:
            axes.plot([place - 0.45, place + 0.45], [100 * TARGETS[name]] * 2, color="black", linewidth=1)
    axes.set_xticks(range(len(names)), names)
    axes.set_ylabel("% of utterances")
    axes.set_title("Held-out voices and sayings; black line: target")
    axes.legend(loc="lower left", fontsize=8)
    figure.tight_layout()
    figure.savefig(file, dpi=120)


def _tell(text: str) -> None:
    print(f"{time.strftime('%H:%M:%S')} {text}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
