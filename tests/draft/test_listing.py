"""The review list: the words on one side, the step on the other, unsure ones first."""

from __future__ import annotations

import io

from rich.console import Console

from assistant.card.draft.drafting import draft_of
from assistant.card.draft.reading import narration_of
from assistant.card.draft.showing import as_html, show

TALK = (
    "Take out the <script>alert(1)</script> cover bolts. Take out the six pump bolts. "
    "We had tea. Fit the pump bolts to 20."
)


def test_unsure_steps_come_first_with_their_reasons() -> None:
    listing = draft_of(narration_of(TALK, "a.txt")).listing
    assert any("cover bolts: how many was not said" in reason for row in listing.unsure for reason in row.unsure)
    assert [row.step for row in listing.sure if "pump" in row.step] or listing.unsure
    assert [row.words for row in listing.aside] == ["We had tea."]
    assert {row.number for row in (*listing.unsure, *listing.sure)} - {0} == set(range(1, 4))


def test_the_page_shows_words_and_step_and_runs_nothing() -> None:
    page = as_html(
        draft_of(narration_of('Take out the four <b>"bolts"</b> & nuts. Fit the shaft.', "a & b.txt")).listing
    )
    assert "Take out the four &#34;bolts&#34; &amp; nuts." in page
    assert "a &amp; b.txt" in page
    assert "<b>" not in page
    assert "http" not in page.replace("http-equiv", "")


def test_the_page_escapes_what_looks_like_a_script() -> None:
    page = as_html(
        draft_of(narration_of("Take out the four bolts < script > and x>y. Fit the shaft.", "<script>.txt")).listing
    )
    assert "<script>" not in page


def test_the_terminal_shows_the_unsure_ones_first() -> None:
    out = io.StringIO()
    show(draft_of(narration_of(TALK, "a.txt")).listing, Console(file=out, width=160))
    text = out.getvalue()
    assert (
        text.index("To look at") < text.index("Steps without a doubt")
        if "Steps without" in text
        else "To look at" in text
    )
    assert "1 sentence says nothing of the job" in text
