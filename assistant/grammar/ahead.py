"""What may still follow: whether waiting for more words could change what was asked for."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.grammar.tags import Closes, Opens, Sets
from assistant.grammar.walk import AFTER, AFTER_FIGURE, INSIDE, Thread, Walk


class Ahead:
    """Looks ahead in a walk's network."""

    def __init__(self, walk: Walk, requests: Mapping[int, str]) -> None:
        """`requests` names the request of each node that an entry returns to."""
        self._walk = walk
        self._requests = requests
        self._known: dict[int, bool] = {}

    def may_change(self, thread: Thread, names: set[str]) -> bool:
        """True where going on from this thread may lead to a request not in `names`, or fill another slot."""
        node, stack = (thread[1], thread[6]) if thread[0] == INSIDE else (thread[1], thread[2])
        onward = [(node, stack)]
        if thread[0] in (AFTER, AFTER_FIGURE):
            onward = [(each, below) for each, below, _ in self._walk.reached(node, stack)[0]]
        for each, below in onward:
            returns = [*self._walk.returns(below)]
            own = {self._requests[back] for back in returns if back in self._requests}
            if not own:  # already past the phrase itself: only "please" may follow
                continue
            if own - names or any(self._marks_ahead(back) for back in (each, *returns)):
                return True
        return False

    def _marks_ahead(self, node: int) -> bool:
        known = self._known.get(node)
        if known is None:
            known = self._known[node] = self._look(node, set())
        return known

    def _look(self, node: int, seen: set[int]) -> bool:
        if node in seen:
            return False
        seen.add(node)
        here = self._walk.network.nodes[node]
        arcs = [entry for _, entry in (*here.words, *here.glued)] + here.silent
        if here.free >= 0 or any(isinstance(mark, Sets | Opens | Closes) for _, marks in arcs for mark in marks):
            return True
        onward = {target for target, _ in arcs}
        onward.update(place for call in here.calls for place in call)
        return any(self._look(each, seen) for each in onward)
