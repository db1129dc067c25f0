"""The whole way from a narration to a draft, and the plain lines for what cannot be drafted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.card.load import ReadCard, read_card_text

from .errors import DraftError
from .heard_numbers import mark_sound_alikes
from .lexicon import lexicon
from .listing import ReviewList, review_list
from .narration import Narration
from .reading import is_sound, read_text_file
from .story import Understanding
from .understand import understood
from .words import Sentence, sentences
from .writing import card_of, yaml_of


@dataclass(frozen=True, slots=True)
class Draft:
    """A draft with everything that a person needs to finish it."""

    text: str
    """YAML that loads."""
    read: ReadCard
    listing: ReviewList
    understanding: Understanding
    narration: Narration


LEAST_ENGLISH = 0.3
"""Share of the words that are small words of English or words of the trade; under it the talk is in another language.
The narrations of our own have 0.6 and more, German, French and Dutch ones 0.2 and less."""
LEAST_WORDS = 12
"""Fewer are too few to tell a language by."""


def draft_of(narration: Narration, name: str = "the draft") -> Draft:
    """Raises DraftError, in one line, where there is nothing to draft from."""
    heard = list(sentences(narration.passages))
    _must_be_english(heard, narration)
    understanding = understood(heard)
    if narration.kind == "sound":
        mark_sound_alikes(understanding.things)
    if not any(deed.verb not in ("move",) for step in understanding.steps for deed in step.deeds):
        raise DraftError(_nothing_done(heard, understanding, narration))
    text = yaml_of(card_of(understanding, narration))
    read = read_card_text(text, name)
    return Draft(text, read, review_list(understanding, narration, read.card), understanding, narration)


def read_narration(path: Path) -> Narration:
    """A narration in text. Sound goes by `sound.read_sound_file`, which loads the model."""
    if is_sound(path):
        from .sound import read_sound_file

        return read_sound_file(path)
    return read_text_file(path)


def _must_be_english(heard: Sequence[Sentence], narration: Narration) -> None:
    small = lexicon().set_of("english")
    words = [
        token.low for sentence in heard for token in sentence.tokens if token.is_word and not token.text[0].isdigit()
    ]
    known = sum(word in small or word in lexicon().nouns or word in lexicon().verbs for word in words)
    if len(words) >= LEAST_WORDS and known < LEAST_ENGLISH * len(words):
        raise DraftError(
            f"{narration.source}: this does not read as English, and narrations are understood in English only."
        )


def _nothing_done(heard: Sequence[Sentence], understanding: Understanding, narration: Narration) -> str:
    held = f"{len(heard)} {'sentence' if len(heard) == 1 else 'sentences'} read"
    things = f", {len(understanding.things)} things named" if understanding.things else ""
    return (
        f"{narration.source}: {held}{things}, and none says what is done to anything, so there is no card to draft. "
        "Give a narration that walks through the job: take this out, put that back."
    )
