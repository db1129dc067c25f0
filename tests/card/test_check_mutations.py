"""The shipped driveline card is sound; broken in each of these ways, the check finds it, in the right line."""

from __future__ import annotations

import re

import pytest

from assistant.card.check.checked import check_card
from assistant.card.load import find_card, read_card_text

GOOD = find_card("gearbox-and-clutch").text


def at(step: str, needle: str, text: str = GOOD) -> int:
    """1-based line of a text within a step (or a thing) of the card."""
    lines = text.splitlines()
    start = next(n for n, line in enumerate(lines) if re.fullmatch(rf"\s*(- id: {step}|{step}:.*)", line))
    return next(n for n in range(start, len(lines)) if needle in lines[n]) + 1


def changed(step: str, old: str, new: str) -> str:
    """The card with a text replaced within a step (or a thing); an item of a list that becomes empty goes."""
    lines = GOOD.splitlines()
    n = at(step, old) - 1
    line = lines[n].replace(old, new, 1)
    lines[n : n + 1] = (
        [] if not line.strip(" -,[]{}") else [re.sub(r"\[, |, (?=\])", lambda m: m[0][0] * (m[0][0] == "["), line)]
    )
    return "\n".join(lines) + "\n"


def test_the_card_itself_is_sound() -> None:
    assert check_card(find_card("gearbox-and-clutch")) == ()


BREAKS = [
    # forgotten: (where, what goes, what comes) -> code, line (where, what), facts
    ("crossmember-in", "fit: crossmember", "", "left-open", ("crossmember-off", "remove: crossmember"), {}),
    ("crossmember-in", "fit: crossmember", "", "part-missing", ("crossmember-in", "start: crossmember-bolts"), {}),
    ("crossmember-tighten", "tighten: mount-nuts", "", "left-open", ("mount-in", "start: mount-nuts"), {}),
    ("starter-in", "start: starter-bolts", "", "not-there", ("starter-in", "tighten: starter-bolts"), {}),
    ("plugs-in", "connect: speed-sensor-plug", "", "left-open", ("plugs-off", "disconnect: speed-sensor-plug"), {}),
    ("fill", "fill: gearbox-oil", "", "left-open", ("drain", "drain: gearbox-oil"), {}),
    ("pipe-in", "uncover: exhaust-plug", "", "left-open", ("pipe-off", "cover: exhaust-plug"), {}),
    ("pipe-in", "uncover: exhaust-plug", "", "in-the-way", ("pipe-in", "fit: front-pipe"), {}),
    ("rear-shaft-in", "line-up: rear-propshaft-mark", "", "left-open", ("rear-shaft-mark", "mark: rear"), {}),
    ("lower", "release: stands", "", "left-open", ("raise", "support: stands"), {}),
    ("jack-away", "release: engine-support", "", "left-open", ("beam-on", "support: engine-support"), {}),
    ("plugs-in", "snug: breather-clip", "", "left-open", ("plugs-off", "loosen: breather-clip"), {}),
    # under some facts only
    ("flywheel-fit", "fit: new-flywheel, ", "fit: new-clutch-disc, ", "left-open", ("flywheel-off", "remove: flywheel"),
     {"flywheel-face": "replace"}),
    ("gearbox-in", "fit: transfer-box, when: {transfer-box: bolted}", "inspect: transfer-box", "left-open",
     ("gearbox-off", "remove: transfer-box"), {"transfer-box": "bolted"}),
    ("slave-in", "when: {clutch-control: hydraulic}", "when: {clutch-control: cable}", "left-open",
     ("slave-off", "remove: slave-cylinder"), {"clutch-control": "hydraulic"}),
    # order
    ("mount-off", "take-out: mount-nuts", "", "still-held", ("crossmember-off", "remove: crossmember"), {}),
    ("last-bolt", "take-out: lower-bellhousing-bolts", "inspect: gearbox", "still-held",
     ("gearbox-off", "remove: gearbox"), {}),
    ("plugs-off", "disconnect: reverse-light-plug", "", "still-held", ("gearbox-off", "remove: gearbox"), {}),
    ("starter-off", "remove: starter", "", "in-the-way", ("gearbox-off", "remove: gearbox"), {}),
    ("drain-shut", "tighten: drain-plug", "", "part-missing", ("fill", "fill: gearbox-oil"), {}),
    ("rear-shaft-mark", "mark: rear-propshaft-mark", "inspect: rear-propshaft", "not-there",
     ("rear-shaft-in", "line-up: rear-propshaft-mark"), {}),
    ("front-shaft-off", "remove: front-propshaft", "fit: front-propshaft", "not-there",
     ("front-shaft-off", "fit: front-propshaft"), {}),
    # loads
    ("jack-on", "support: transmission-jack", "inspect: gearbox", "hold-without-support",
     ("mount-off", "needs: [engine-support, transmission-jack]"), {}),
    ("jack-on", "support: transmission-jack", "inspect: gearbox", "unsupported",
     ("last-bolt", "take-out: lower-bellhousing-bolts"), {}),
    ("jack-on", "support: transmission-jack", "inspect: gearbox", "unsupported",
     ("gearbox-off", "remove: gearbox"), {}),
    ("beam-on", "support: engine-support", "inspect: engine", "unsupported",
     ("crossmember-off", "take-out: crossmember-bolts"), {}),
    ("upper-tighten", "tighten: upper-bellhousing-bolts", "inspect: upper-bellhousing-bolts", "released-early",
     ("jack-away", "release: transmission-jack"), {}),
    ("transmission-jack", "capacity_kg: 250", "capacity_kg: 80", "overloaded", ("transmission-jack", "capacity_kg"),
     {"transfer-box": "bolted"}),
    ("skid-plate", "mass_kg: 19", "mass_kg: 40", "heavy-lift", ("skid-plate-off", "remove: skid-plate"), {}),
    # steps and facts
    ("rod-off", "when: {transfer-box: bolted}", "helpers: 0", "wrong-vehicle", ("rod-off", "disconnect: transfer-rod"),
     {"transfer-box": "apart"}),
    ("beam-on", "minutes: 8", "when: {flywheel-face: replace}", "decided-too-late", ("beam-on", "when: {fly"), {}),
    ("gearbox-in", "{fit: transfer-box, when: {transfer-box: bolted}}",
     "{fit: transfer-box, when: {transfer-box: apart}}", "wrong-vehicle", ("gearbox-in", "fit: transfer-box"),
     {"transfer-box": "apart"}),
    ("runout", "measure: flywheel-runout", "", "dead-step", ("flywheel-shop", "when: {flywheel-face: resurface}"), {}),
    # numbers
    ("crossmember-bolts", "torque: 55 lbf·ft", "torque: 55 lbf·in", "torque-implausible",
     ("crossmember-bolts", "torque:"), {}),
    ("heat-shield-screws", "torque: 60 lbf·in", "torque: 60 N·m", "torque-implausible",
     ("heat-shield-screws", "torque:"), {}),
    ("mount-nuts", "torque: 65 N·m", "left_hand: false", "no-torque", ("mount-nuts:", ""), {}),
    ("crossmember-bolts", "[share: 50, share: 100]", "[share: 50, share: 90]", "passes",
     ("crossmember-bolts", "passes:"), {}),
    ("crossmember-bolts", "[share: 50, share: 100]", "[share: 100, share: 50]", "passes",
     ("crossmember-bolts", "passes:"), {}),
    ("clutch-cover-bolts", "tool: medium-torque-wrench", "tool: small-torque-wrench", "wrench-range",
     ("clutch-cover-bolts", "tool:"), {}),
    ("flywheel-runout", "resolution: 0.01", "resolution: 0.1", "instrument-coarse",
     ("flywheel-runout", "resolution:"), {}),
    ("flywheel-runout", "tool: dial-gauge", "tool: inclinometer", "unit-differs", ("flywheel-runout", "tool:"), {}),
    ("crossmember-bolts", "thread: M12", "thread: M13", "torque-unchecked", ("crossmember-bolts", "thread"), {}),
    # texts and names
    ("flywheel-tighten", "in their passes, the last by angle", "to 90 newton metres and by angle", "said-otherwise",
     ("flywheel-tighten", "say:"), {}),
    ("dust-cover-bolts", "name: dust cover bolts", "name: skip plate bolts", "sounds-alike",
     ("dust-cover-bolts", "name:"), {}),
    ("breather-pipe", "name: breather pipe", "name: heat shield", "one-phrase-two-things",
     ("breather-pipe", "name:"), {}),
    # left over
    ("fingers", "measure: finger-height", "", "never-measured", ("finger-height:", ""), {}),
    ("guide-studs", "count: 2", "count: unknown", "unsettled", ("guide-studs", "count:"), {}),
    ("input-shaft-cap", "name: input shaft cap", "name: input shaft cap\n    unsure: [Is there one?]", "unsettled",
     ("input-shaft-cap", "unsure:"), {}),
]  # fmt: skip


@pytest.mark.parametrize(("where", "old", "new", "code", "line", "facts"), BREAKS)
def test_a_broken_card_is_found(
    where: str,
    old: str,
    new: str,
    code: str,
    line: tuple[str, str],
    facts: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if code != "one-phrase-two-things":  # the grammar takes half the time
        monkeypatch.setattr("assistant.card.check.checked.phrase_findings", lambda row: ())
    text = changed(where, old, new)
    found = check_card(read_card_text(text, "card.yaml"))
    step, needle = line
    wanted = at(step.rstrip(":"), needle or step, text)
    here = [finding for finding in found if finding.code == code and finding.line == wanted]
    assert here, [(f.line, f.code, f.message) for f in found]
    assert all(dict(finding.facts) == facts for finding in here)
    assert all(finding.message and finding.mend for finding in found)
