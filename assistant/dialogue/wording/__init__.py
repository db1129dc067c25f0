"""The wording of replies: templates in one place a language, filled in here."""

from assistant.dialogue.wording.words import VERBOSITIES, bit, capital, fill, item_in_words, say, sentence

__all__ = ["VERBOSITIES", "bit", "capital", "fill", "item_in_words", "say", "sentence"]
