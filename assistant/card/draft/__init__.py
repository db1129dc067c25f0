"""From a narrated walk-through to a draft job card.

The way through: file -> Narration (reading, sound) -> sentences of tagged words (words, plain_words, tagging, figures,
roles) -> things and clauses (names, phrases, chunks, cutting, with_verb, without_verb, lending) -> slips put right
(slips, mending, amend) -> Understanding (understand; things, values, and what each kind of clause tells: acting,
stating, passing, remarks) -> YAML (writing, entries) -> review (questions, answers).
A value stands in the draft only if it was said; what was not said is absent or `unknown`, and listed.
"""
