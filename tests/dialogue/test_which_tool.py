"""Which tool: at every step of the shipped cards an answer that says what with."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from assistant.dialogue.respond import respond
from assistant.dialogue.view import View
from assistant.grammar.request import Request
from assistant.job.plan import Place, Plan
from tests.scripts.play import Bay, card_named

START = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


def _facts(place: Place) -> dict[str, str]:
    """Those that the step hangs on, by the first option that it is for."""
    return {fact: options if isinstance(options, str) else options[0] for fact, options in place.step.when.items()}


def _answers(card: str) -> dict[str, str]:
    """Step to what is answered at it; each step with the facts that it hangs on."""
    state, plan = Bay(card, START).talk.state, Plan(card_named(card))
    return {
        place.step.id: respond(
            View(replace(state, at=place.step.id, facts=_facts(place))), Request("which-tool"), START
        ).reply.text
        for place in plan.places
    }


@pytest.mark.parametrize("card", ["gearbox-and-clutch", "wheel-end", "pump-cover"])
def test_every_step_of_a_shipped_card_says_what_with(card: str) -> None:
    assert not [step for step, answer in _answers(card).items() if answer.startswith("No tools are named")]


def test_what_is_put_under_over_and_on_is_named_beside_the_tools() -> None:
    answers = _answers("gearbox-and-clutch")
    assert answers["raise"] == "Tools: axle stands."
    assert "medium thread locker" in answers["front-shaft-in"]


def test_where_the_card_lists_no_tool_it_is_said_how() -> None:
    assert _answers("gearbox-and-clutch")["park"].startswith("No tool is listed. Chocks tight against the tyre")
