"""The wording of replies: templates in one table a language, filled in here."""

from assistant.dialogue.wording.words import VERBOSITIES, fill, item_in_words, say

__all__ = ["VERBOSITIES", "fill", "item_in_words", "say"]
