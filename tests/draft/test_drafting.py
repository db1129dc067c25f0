"""From a file to a draft, and the plain line where there is nothing to draft."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.card.check.checked import check_card
from assistant.card.draft.drafting import draft_of
from assistant.card.draft.errors import DraftError
from assistant.card.draft.lexicon import lexicon
from assistant.card.draft.reading import narration_of
from assistant.card.draft.understand import MOST_STEPS
from assistant.card.load import load_card_text
from assistant.card.plan import VERB_KIND

JOB = "Take out the four flange bolts. Pull the shaft. Fit the shaft. Tighten the flange bolts to 60 newton metres."


@pytest.mark.parametrize(
    "words",
    [
        "Zuerst stellen wir die Stützen unter den Rahmen und lassen das Öl ab. Dann lösen wir die vier Schrauben.",
        "D'abord on met les chandelles sous le châssis, puis on vidange l'huile. Ensuite on desserre les quatre vis.",
        "Eerst zet je de bokken onder het frame en dan laat je de olie eruit. Daarna draai je de vier bouten los.",
        "xqz plm okn ijb uhv ygc tfx rdz esw aqw lop mki njh",
    ],
)
def test_another_language_is_said_in_one_line(words: str) -> None:
    with pytest.raises(DraftError, match="does not read as English"):
        draft_of(narration_of(words, "a.txt"))


def test_a_talk_about_something_else_is_said_in_one_line() -> None:
    words = "Last weekend we went down to the coast and had fish on the wall. My sister brought the dog. It rained."
    with pytest.raises(DraftError, match="3 sentences read, and none says what is done"):
        draft_of(narration_of(words, "a.txt"))


def test_a_draft_is_honest_about_what_it_lacks() -> None:
    draft = draft_of(narration_of("Take out the flange bolts. Fit the flange bolts and tighten them.", "a.txt"))
    fastener = load_card_text(draft.text, "draft").fasteners["flange-bolts"]
    assert (fastener.count, fastener.torque) == (0, None)
    assert "count: unknown" in draft.text
    codes = [finding.code for finding in check_card(draft.read)]
    assert "no-torque" in codes
    assert "unsettled" in codes


def test_the_source_of_a_torque_is_what_was_said() -> None:
    draft = draft_of(narration_of(f"[00:07] {JOB}", "a.txt"))
    source = load_card_text(draft.text, "draft").fasteners["flange-bolts"].source
    assert source == "said in the narration at 0:07: Tighten the flange bolts to 60 newton metres."


def test_a_new_part_takes_the_place_of_the_old_one() -> None:
    draft = draft_of(narration_of("Prise out the seal. Clean the bore. Press in a new seal.", "a.txt"))
    assert load_card_text(draft.text, "draft").parts["new-seal"].replaces == "seal"


def test_words_that_yaml_would_misread_stay_words() -> None:
    words = "Take out the \"bolts\": [a, b] & *x {y} # z. Fit the 'cover': yes. Tighten the bolts: no."
    load_card_text(draft_of(narration_of(words, "a.txt")).text, "draft")


def test_control_letters_and_smileys_do_no_harm() -> None:
    load_card_text(
        draft_of(narration_of("Take out the four bolts \U0001f642 \u202e and fit the \x07shaft.", "a.txt")).text,
        "draft",
    )


def test_more_than_a_job_is_cut_and_says_so() -> None:
    draft = draft_of(narration_of(f"{JOB} " * 400, "a.txt"))
    assert draft.understanding.cut > 0
    assert len(draft.understanding.steps) < MOST_STEPS + 20
    assert "more sentences were left out" in draft.text


@pytest.mark.slow
def test_five_megabytes_are_drafted_or_refused() -> None:
    assert draft_of(narration_of(f"{JOB} " * (5_000_000 // len(JOB)), "a.txt")).understanding.cut > 40_000
    with pytest.raises(DraftError):
        draft_of(narration_of("The weather was nice and we walked along the river. " * 100_000, "a.txt"))


_TALK = """take out in off on the a four six bolts nuts shaft flange it them no sorry wait , . ; - and then before if
tighten to 65 sixty newton metres foot pounds mil M10 all but one of upper lower front new old both there is are that
with grease jack under up down back loosen fit hose cap mark measure play no more than not never careful first each
with hand across"""
_BOOK = lexicon()
_WORDS = st.one_of(
    st.sampled_from(_TALK.split()), st.sampled_from(sorted(_BOOK.verbs)), st.sampled_from(sorted(_BOOK.nouns))
)


def test_every_meaning_of_a_verb_is_a_verb_of_the_card_for_that_kind() -> None:
    plain = {"clean"}
    for meaning, verbs in _BOOK.meanings.items():
        for kind, verb in verbs.items():
            assert verb in plain or kind in VERB_KIND[verb], f"{meaning}: {kind}"


def test_every_verb_means_something_that_is_known() -> None:
    known = {*_BOOK.meanings, "none", "holds", "needs", "leave"}
    assert {meaning for form in _BOOK.verbs.values() for meaning in form.verb.meanings.values()} <= known


@given(st.lists(_WORDS, min_size=1, max_size=60))
def test_any_heap_of_trade_words_drafts_or_is_refused(words: list[str]) -> None:
    try:
        draft = draft_of(narration_of(" ".join(words), "a.txt"))
    except DraftError:
        return
    load_card_text(draft.text, "draft")


@given(st.text(max_size=300))
def test_any_text_at_all_drafts_or_is_refused(text: str) -> None:
    try:
        draft = draft_of(narration_of(text, "a.txt"))
    except DraftError:
        return
    load_card_text(draft.text, "draft")
