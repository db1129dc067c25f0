"""Open items in words: listed, or counted by kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from assistant.dialogue.wording.english import ITEM_COUNTS, listed
from assistant.dialogue.wording.words import fill, item_in_words, say
from assistant.job.memory import State
from assistant.job.open_items import KINDS, OpenItem, open_items


def live_items(state: State) -> tuple[OpenItem, ...]:
    """What is open in mid-job: without the steps that simply are still to come."""
    return tuple(item for item in open_items(state) if item.kind != "steps-left")


def nothing_open(state: State) -> str:
    """ "Nothing is open."; while steps are left it says so, as "finish" counts them among what is open."""
    steps_left = any(item.kind == "steps-left" for item in open_items(state))
    return say("nothing-open-but-steps") if steps_left else say("nothing-open")


def open_summary(state: State) -> str:
    """ "Nothing is open.", or the items counted by kind."""
    items = [item for item in live_items(state) if item.blocks]
    if not items:
        return nothing_open(state)
    return say("open-count", n=len(items), summary=counted(items))


def counted(items: Sequence[OpenItem]) -> str:
    """ "12 parts off, 3 covers in"."""
    by_kind = Counter(item.kind for item in items)
    return listed([fill(ITEM_COUNTS[kind], n=by_kind[kind]) for kind in KINDS if by_kind[kind]])


def in_words(items: Sequence[OpenItem]) -> str:
    """ "rear cap still in; flywheel bolts not at value"."""
    return "; ".join(item_in_words(item) for item in items)
