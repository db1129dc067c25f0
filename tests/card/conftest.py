"""Cards as text, and a small one to break."""

from collections.abc import Callable
from textwrap import dedent

import pytest

from assistant.card.check.checked import check_card
from assistant.card.check.finding import Finding
from assistant.card.load import read_card_text

SMALL = """\
card: small
title: Small job
revision: "1"
notice: Invented.
vehicle: a cart
maker: nobody
facts:
  brakes:
    ask: Drum or disc brakes?
    options:
      drum: {say: drum}
      disc: {say: disc}
parts:
  wheel: {name: wheel, mass_kg: 20}
  drum: {name: brake drum, behind: [wheel], when: {brakes: drum}}
fasteners:
  wheel-nuts:
    name: wheel nuts
    count: 5
    thread: M12x1.5
    grade: "10.9"
    torque: 110 N·m
    joins: [wheel]
measures:
  lining: {name: lining thickness, unit: mm, limits: {low: 2}, resolution: 0.1}
sections:
  - id: out
    name: Off
    steps:
      - id: wheel-off
        say: Take the wheel off.
        does: [take-out: wheel-nuts, remove: wheel]
      - id: drum-off
        say: Pull the drum off.
        when: {brakes: drum}
        does: [remove: drum]
      - id: look
        say: Measure the lining.
        does: [measure: lining]
  - id: in
    name: On
    steps:
      - id: drum-on
        say: Push the drum on.
        when: {brakes: drum}
        does: [fit: drum]
      - id: wheel-on
        say: Fit the wheel and tighten it.
        does: [fit: wheel, start: wheel-nuts, tighten: wheel-nuts]
"""

Change = tuple[str, str]


@pytest.fixture(scope="session")
def small() -> Callable[..., str]:
    """The small card with some texts in it replaced, each of which must stand in it."""

    def changed(*changes: Change) -> str:
        text = SMALL
        for old, new in changes:
            old, new = dedent(old), dedent(new)
            assert old in text, old
            text = text.replace(old, new, 1)
        return text

    return changed


def findings(text: str) -> tuple[Finding, ...]:
    """What the check says of a card text."""
    return check_card(read_card_text(text, "card.yaml"))


def codes(text: str) -> set[str]:
    return {finding.code for finding in findings(text)}
