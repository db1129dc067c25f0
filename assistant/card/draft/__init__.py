"""From a narrated walk-through to a draft job card.

The way through: file -> Narration (reading, sound) -> sentences of tagged words (words, tagging, figures) ->
clauses (phrases, clauses) -> Understanding (story, things) -> YAML (writing) -> review.
A value stands in the draft only if it was said; what was not said is absent or `unknown`, and listed.
"""
