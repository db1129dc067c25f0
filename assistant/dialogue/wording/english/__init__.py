"""English: another language is another package of these tables and functions, under the same names."""

from assistant.dialogue.wording.english.bits import (
    ALL_OF_THEM,
    BITS,
    DIRECTIONS,
    HELP,
    ITEM_COUNTS,
    ITEMS,
    PASS_UNTIL,
    PAST,
    RELATIONS,
    REUSE,
    TREATMENTS,
    duration,
    exact_duration,
    listed,
)
from assistant.dialogue.wording.english.glossary import GLOSSARY
from assistant.dialogue.wording.english.replies import TEMPLATES

__all__ = [
    "ALL_OF_THEM",
    "BITS",
    "DIRECTIONS",
    "GLOSSARY",
    "HELP",
    "ITEMS",
    "ITEM_COUNTS",
    "PASS_UNTIL",
    "PAST",
    "RELATIONS",
    "REUSE",
    "TEMPLATES",
    "TREATMENTS",
    "duration",
    "exact_duration",
    "listed",
]
