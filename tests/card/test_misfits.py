"""What does not fit together on a card, each with its line, on a card that uses most of the language."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.card.check.checked import check_card
from assistant.card.fault import CardError
from assistant.card.load import load_card_text, read_card_text

CARD = (Path(__file__).parents[1] / "cards" / "belt-guard.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        # readings that are worked out of others, and what follows from a reading
        ("{kind: spread, of: [gap]}", "{kind: spread, of: [gup]}", 'no measure "gup"'),
        ("{kind: spread, of: [gap]}", "{kind: spread, of: [runout]}", '"runout" is read once; there is no spread'),
        ("unit: mm, limits: {high: 1}", "unit: N, limits: {high: 1}", '"gap-spread" is in N, "gap" in mm'),
        ("{kind: spread, of: [gap]}", "{kind: spread, of: [gap-spread]}", "is worked out of itself"),
        ("      sets: pulley-fate\n", "      sets: pulley-fete\n", 'no fact "pulley-fete"'),
        ("        keep: {say: keep it, aka: [keep]}\n        replace: {say: replace it, aka: [replace]}\n      sets",
         "        kept: {say: keep it, aka: [keep]}\n        replace: {say: replace it, aka: [replace]}\n      sets",
         'has no option "kept"'),
        ("      inside: keep", "      inside: kept", 'has no option "kept"'),
        ("    limits: {high: 0.15}\n", "", "out of limits, but there are none"),
        # parts that hide or replace each other in a circle
        ("guard: {name: belt guard, mass_kg: 4,", "guard: {name: belt guard, behind: [motor], mass_kg: 4,",
         "hides itself: "),
        ("pulley: {name: pulley, mass_kg: 6,", "pulley: {name: pulley, replaces: new-pulley, mass_kg: 6,",
         "replaces itself: "),
        # steps
        ("tools: [dial-gauge]", "tools: [dial-gouge]", 'no tool "dial-gouge"'),
        ("hold: {ask: Is the lock on?}", "hold: {ask: Is the lock on?, needs: [joist]}", 'no support "joist"'),
        ("- tighten: pulley-bolts", "- {tighten: pulley-bolts, only-pass: 3}", "has 2 passes, not 3"),
        ("- start: pulley-bolts", "- {start: pulley-bolts, some: {count: 5}}", "is a set of 4"),
        ("- start: pulley-bolts", "- {start: pulley-bolts, some: {all_but: 4}}", "is a set of 4"),
        ("- start: pulley-bolts", "- {start: pulley-bolts, some: {places: [top]}}", 'has no place "top"'),
        ("    count: 4\n    thread: M6\n",
         "    places: [a, b, c, d]\n    count: 4\n    lengths: {e: 20}\n    thread: M6\n",
         "names a place that is not there: e"),
        ("  motor: {name: motor, mass_kg: 48,", "  motor: {<<: {mass_kg: 48}, name: motor,", "`<<` merges entries"),
        ("{fit: pulley, when: {pulley-fate: keep}}", "{fit: pulley, when: {pulley-fate: []}}", "No option of"),
        # what comes after
        ("after_hours: 10}", "after_hours: 10, fastener: pulley-bults}", 'no fastener "pulley-bults"'),
        ("after_hours: 10}\n", "after_hours: 10}\n  - {id: tension, say: Again., after_hours: 20}\n", "Two follow-ups"),
        # single values
        ("minutes: 5", "minutes: soon", "not a"),
        ("helpers: 1", "helpers: true", "helpers"),
        ("new: true, replaces", "new: perhaps, replaces", "`new` is"),
        ("lift_limit_kg: 20", "lift_limit_kg: .inf", "lift_limit_kg"),
        ("facts:\n", "facts: []\nfacts_:\n", "a list, entries of the form"),
        ("title: Belt drive, guard and pulley", "title:", "empty, text belongs here"),
        ("title: Belt drive, guard and pulley", f"title: {'x' * 5000}", "too long"),
        ("joins: [guard]", "joins: {guard}", "entries|list"),
        ("vehicle: small belt-driven compressor", "vehicle: {kind: compressor}", "a mapping, text belongs here"),
        ("{say: one belt, aka: [one, single]}", "{say: one belt, aka: one, single}", "stands alone|list"),
        ("resolution: 0.01, unit: mm}", "resolution: 0.01, unit: mm, calibrated: May}", '"May" is not a date'),
        # entries that contradict themselves
        ("torque: 60 to 70 N·m", "torque: {by_hand: true, value: 3, unit: N·m}", "A torque by hand has no number"),
        ("torque: 60 to 70 N·m", "torque: {low: 60, unit: N·m}", "A range needs both its ends"),
        ("torque: 60 to 70 N·m", "torque: {unit: N·m}", "This torque has no value"),
        ("torque: 60 to 70 N·m", "torque: 70 to 60 N·m", "from 70 down to 60"),
        ("torque: 60 to 70 N·m", "torque: {value: 90, low: 60, high: 70, unit: N·m}", "lies outside 60 to 70"),
        ("[share: 50, share: 100]", "[{share: 50, torque: 25 N·m}, share: 100]", "A pass needs one target"),
        ("[share: 50, share: 100]", "[share: 50, {share: 100, until: snug}]", "belongs to a pass by angle"),
        ("order: {pattern: across}", "order: {pattern: as-listed, listed: [1, 2, 2, 4]}", "each position from 1 to 4"),
        ("order: {pattern: across}", "order: {pattern: across, listed: [1, 2, 3, 4]}", "belongs to the pattern"),
        ("order: {pattern: across}", "order: {pattern: as-listed, listed: [1, 2]}", "adds up to 2, `count` is 4"),
        ("{rule: check, unless: stretched}", "{rule: check}", "belongs to the rule `check`"),
        ("torque: snug by hand", "torque: snug by hand\n    passes: [share: 100]", "snug by hand has no passes"),
        ("{kind: spread, of: [gap]}", "{kind: difference, of: [gap]}", "taken of two measures"),
        ("      sets: pulley-fate\n", "", "no fact is named"),
        ("- start: pulley-bolts", "- {start: pulley-bolts, some: {count: 2, all_but: 1}}", "in one way"),
        ("- fit: motor", "- {fit: motor, to: threads}", "belong to `apply`"),
        ("- start: pulley-bolts", "- {start: pulley-bolts, only-pass: 1}", "belongs to `tighten`"),
        ("after_hours: 10}", "fastener: pulley-bolts}", "."),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_in_words(old: str, new: str, what: str) -> None:
    assert old in CARD
    with pytest.raises(CardError) as told:
        load_card_text(CARD.replace(old, new, 1), "card.yaml")
    assert any(re.search(what, fault.what) for fault in told.value.faults), [f.what for f in told.value.faults]
    assert all(fault.line > 0 and fault.mend for fault in told.value.faults)


@pytest.mark.parametrize(
    ("old", "new", "kind", "what"),
    [
        ("[share: 50, share: 100]", "[torque: 25 ft-lb, share: 100]", "unit-differs", "pass 1 is in lbf·ft"),
        ("[share: 50, share: 100]", "[torque: 60 N·m, share: 100]", "passes", "pass 1 is more than the torque"),
        ("[share: 50, share: 100]", "[share: 50, share: 40, share: 100]", "passes", "pass 2 is less than"),
        ("[share: 50, share: 100]", "[share: 50, share: 90]", "passes", "the passes end at 90 %"),
        ("torque: 80 N·m + 60 deg", "torque: 80 N·m + 60 deg\n    passes: [share: 100, angle_deg: 45]", "passes",
         "turn 45 degrees, the torque says 60"),
        ("low: 20, high: 100, unit: N·m", "low: 50, high: 100, unit: N·m", "wrench-range", "outside the torque wrench"),
        ("resolution: 0.01, unit: mm}", "resolution: 0.01, unit: N·m}", "unit-differs", "the dial gauge reads N·m"),
        ("resolution: 0.01, unit: mm}", "resolution: 0.5, unit: mm}", "instrument-coarse", "no better than 0.5 mm"),
        ("limits: {high: 0.15}\n    resolution: 0.01", "limits: {low: 0.14, high: 0.15}\n    resolution: 0.01",
         "instrument-coarse", "cannot settle limits 0.01 wide"),
        ("resolution: 0.01, unit: mm}", "resolution: 0.01, unit: furlongs}", "unit-differs", "Dial gauge|dial gauge"),
        ("torque: 60 to 70 N·m",
         "torque: 60 to 70 N·m\n    tool: torque-wrench\n    passes: [torque: 120 to 130 N·m, share: 50]",
         "passes", r"end at 185\.7 %"),
        ("torque: 60 to 70 N·m", "torque: 60 to 70 N·m\n    tool: torque-wrench\n    passes: [share: 25, share: 100]",
         "wrench-range", r"pass 1 is 17\.5 N·m, under what the torque wrench reads, 20 N·m"),
        # conditions and names
        ("when: {drive: two}\n        does: [inspect: motor]",
         "when: {drive: two}\n        does: [{inspect: motor, when: {drive: one}}]", "dead-action", "never applies"),
        ("{name: power supply,", "{name: next,", "one-phrase-two-things", "any of these requests: next, what-is"),
    ],
)  # fmt: skip
def test_numbers_that_contradict_each_other_are_found(old: str, new: str, kind: str, what: str) -> None:
    assert old in CARD
    told = check_card(read_card_text(CARD.replace(old, new, 1), "card.yaml"))
    assert any(each.code == kind and re.search(what, each.message) for each in told), [
        (each.code, each.message) for each in told
    ]
