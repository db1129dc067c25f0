"""The search over the facts that touch each rule finds what a search over all facts finds, no more and no less."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.card.check.checked import check_card, rules_of
from assistant.card.check.combinations import MOST_COMBINATIONS, UNDECIDED, Combinations
from assistant.card.check.finding import CODES
from assistant.card.check.happenings import Row
from assistant.card.check.rule import prove, walk
from assistant.card.load import find_card, load_card_text, read_card_text

from .conftest import SMALL, codes, findings

WHEEL = find_card("wheel-end").text
ACTIONS = [n for n, line in enumerate(WHEEL.splitlines()) if re.match(r"\s+- (?!id|apply)[a-z-]+: [a-z-]+$", line)]


def by_search_over_all_facts(row: Row) -> set[tuple[int, str, str]]:
    """Every rule under every combination of every fact."""
    everything = row.of(row.things)
    found = set()
    for rule in rules_of(row):
        happenings = [h for h in everything if h.thing in rule.things]
        for combination in row.combinations.of(row.card.facts):
            for path, code, message, _ in walk(row, rule, happenings, combination):
                found.add((row.place(path).line, code, message))
    return found


@settings(max_examples=25, deadline=None)
@given(st.sets(st.sampled_from(ACTIONS), min_size=1, max_size=4))
def test_independent_facts_are_searched_apart_without_loss(gone: set[int]) -> None:
    lines = WHEEL.splitlines()
    text = "\n".join(
        f"{line[: len(line) - len(line.lstrip())]}- inspect: wheel" if n in gone else line
        for n, line in enumerate(lines)
    )
    row = Row(read_card_text(text))
    apart = {(finding.line, finding.code, finding.message) for finding in prove(row, rules_of(row))}
    assert apart == by_search_over_all_facts(row)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(ACTIONS))
def test_a_finding_happens_under_the_facts_that_it_names(gone: int) -> None:
    lines = WHEEL.splitlines()
    lines[gone] = re.sub(r"- .*", "- inspect: wheel", lines[gone])
    row = Row(read_card_text("\n".join(lines)))
    everything = row.of(row.things)
    for finding in prove(row, rules_of(row)):
        under = [c for c in row.combinations.of(row.card.facts) if dict(finding.facts).items() <= c.items()]
        assert under
        for combination in under:
            seen = {
                message
                for rule in rules_of(row)
                for _, _, message, _ in walk(row, rule, [h for h in everything if h.thing in rule.things], combination)
            }
            assert finding.message in seen


def test_a_decision_is_open_where_its_measure_was_not_taken() -> None:
    decided = Combinations(find_card("wheel-end").card)
    assert decided.values("brake-disc") == ["replace", "carry-on", "resurface", UNDECIDED]
    # the disc is always measured and always has an answer: inside means carry on
    assert {c["brake-disc"] for c in decided.of(["brake-disc"])} == {"replace", "carry-on", "resurface"}


DECIDED = SMALL.replace(
    "limits: {low: 2}, resolution: 0.1}",
    "limits: {low: 2}, resolution: 0.1, out: {say: Worn., options: {new: {say: renew}}, sets: lining}}",
).replace("parts:\n", "  lining:\n    ask: What now?\n    options: {new: {say: renew}, old: {say: keep}}\nparts:\n", 1)


def test_a_step_after_a_decision_that_may_not_come() -> None:
    """Inside its limits the reading decides nothing, so a part taken off before is never put back."""
    text = DECIDED.replace("does: [fit: wheel, start", "when: {lining: new}\n        does: [fit: wheel, start")
    open_at_end = [f for f in findings(text) if f.code == "left-open" and "wheel is off" in f.message]
    assert [dict(f.facts) for f in open_at_end] == [{"lining": UNDECIDED}]


def test_a_reading_inside_may_decide_as_well() -> None:
    text = DECIDED.replace("sets: lining}", "sets: lining, inside: old}")
    text = text.replace("does: [fit: wheel, start", "when: {lining: [new, old]}\n        does: [fit: wheel, start")
    assert codes(text) == set()


def test_a_decision_that_nothing_leads_to_is_a_dead_step() -> None:
    text = DECIDED.replace(
        "does: [fit: drum]", "does: [fit: drum]\n      - {id: keep, say: Keep it., when: {lining: old}}"
    )
    assert "dead-step" in codes(text)


def test_alternatives_may_differ_in_order() -> None:
    """The drum goes on before the wheel is cleaned on one vehicle and after it on another."""
    text = SMALL.replace(
        "      - id: wheel-on",
        "      - {id: paint, say: Paint it.}\n"
        "      - {id: again, say: Pull it., when: {brakes: drum}, does: [remove: drum]}\n"
        "      - {id: once-more, say: Push it., when: {brakes: drum}, does: [fit: drum]}\n      - id: wheel-on",
    )
    assert codes(text) == set()


def test_facts_without_number_are_bounded_and_told() -> None:
    facts = "".join(f"  f{n}: {{ask: Which?, options: {{a: {{say: one}}, b: {{say: two}}}}}}\n" for n in range(13))
    steps = "".join(f"      - {{id: s{n}, say: Look., when: {{f{n}: a}}, does: [inspect: wheel]}}\n" for n in range(13))
    text = SMALL.replace("parts:\n", facts + "parts:\n", 1).replace("  - id: in\n", steps + "  - id: in\n", 1)
    bounded = [finding for finding in findings(text) if finding.code == "not-proved"]
    assert bounded
    assert all(str(MOST_COMBINATIONS) in finding.message and finding.severity == "warning" for finding in bounded)


def test_a_card_made_to_take_for_ever_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.card.check.rule.MOST_WALKED", 20)
    assert "not-proved" in codes(SMALL)


@pytest.mark.parametrize("card", ["gearbox-and-clutch", "wheel-end", "pump-cover"])
def test_shipped_cards_are_proved_under_all_facts_together(card: str) -> None:
    read = find_card(card)
    assert [f"{f.line} {f.code} {f.message}" for f in check_card(read)] == []
    assert by_search_over_all_facts(Row(read)) == set()


def test_every_finding_has_a_known_code() -> None:
    text = SMALL.replace("take-out: wheel-nuts, ", "").replace("110 N·m", "910 N·m")
    assert {finding.code for finding in findings(text)} <= CODES.keys()
    assert load_card_text(text).card == "small"
