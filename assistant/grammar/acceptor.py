"""The door between the grammar and the recognisers: what may be said now, letter by letter.

A recogniser needs no more than this to stay inside the grammar: where it is, which letters may
come, whether the phrase may end here. The text is lower case, single spaces, in *written* form:
every spelling that a model may write for a phrase ("110 foot pounds", "one hundred ten foot-pounds",
"crossmember", "cross member") is a path of its own and leads to the same Request.

Letters are a to z, 0 to 9, space, apostrophe, the point of a decimal and the slash of a fraction. What else a
model writes is for the recogniser to see to, and never an arc here: capitals; commas, full stops and question
marks between words and at the end; hyphens, which count as a space; commas that part thousands. The same is
done to typed text by `grammar.letters.spelled`. A unit may follow its figures without a space ("65nm").
Once free words have begun they never end: every letter leads on, and `takes_free_words` stays true.
"""

from typing import Protocol


class Acceptor(Protocol):
    """A deterministic acceptor over letters, built lazily; positions are small integers, equal ones interned."""

    @property
    def start(self) -> int:
        """The position before anything was said."""
        ...

    def step(self, position: int, letter: str) -> int:
        """The position after one more letter, or -1 where the grammar has no such path."""
        ...

    def may_end(self, position: int) -> bool:
        """True where a whole phrase ends here."""
        ...

    def letters(self, position: int) -> str:
        """The letters that may come next, sorted, each once."""
        ...

    def takes_free_words(self, position: int) -> bool:
        """True where the rest of the utterance is free dictation (a note, a reason), not grammar."""
        ...

    @property
    def family(self) -> object:
        """What acceptors share whose positions mean the same (one card's, under different live rules): whatever is
        found out about a position holds in all of them.
        """
        ...
