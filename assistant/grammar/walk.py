"""Walking the network letter by letter: an acceptor that is made deterministic only where one goes.

A *thread* is one way to stand in the network; a *position* is the set of all threads that spell the same
letters. Positions are numbered, equal ones share a number, and every step once taken is kept. A thread is:

    (AFTER, node, stack)              a phrase has ended before `node`; a space or glued letters may follow
    (BEFORE, node, stack)             a space was spelled; a phrase must follow
    (INSIDE, node, glued, low, high, depth, stack)
                                      within the phrases of `node` (see Lexicon)
    (FREE, node, stack)               within free words, which go on before `node`

A stack is the number of an interned (node to return to, stack below); 0 is empty.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.grammar.lexicon import Lexicon
from assistant.grammar.network import Entry, Network
from assistant.grammar.tags import Marks

AFTER, AFTER_FIGURE, BEFORE, INSIDE, FREE = range(5)

Thread = tuple[int, ...]
Reached = tuple[int, int, Marks]
"""A node with something to spell, the stack there, and the marks met on the silent way."""

NOWHERE = -1
FREE_LETTERS = " '.0123456789abcdefghijklmnopqrstuvwxyz"


class Walk:
    """All that has been found out about a network so far."""

    def __init__(self, network: Network, figures_run_on: bool = False) -> None:
        """With `figures_run_on`, a figure may follow a figure without a space ("1 1 0" as "110")."""
        self.network = network
        self._figures_run_on = figures_run_on
        self._stacks: dict[tuple[int, int], int] = {(-1, -1): 0}
        self._frames: list[tuple[int, int]] = [(-1, -1)]
        self._lexicons: dict[tuple[int, bool], Lexicon[Entry]] = {}
        self._reached: dict[tuple[int, int], tuple[tuple[Reached, ...], tuple[Marks, ...]]] = {}
        self._positions: dict[frozenset[Thread], int] = {}
        self._threads: list[frozenset[Thread]] = []
        self._after: dict[tuple[Thread, str], tuple[tuple[Thread, Marks, Marks], ...]] = {}
        self._steps: list[dict[str, int]] = []
        self._may_end: list[bool | None] = []
        self._letters: list[str | None] = []

    def __len__(self) -> int:
        """How many positions have been met."""
        return len(self._threads)

    # -- positions ---------------------------------------------------------

    def position(self, threads: Iterable[Thread]) -> int:
        """The number of a set of threads; NOWHERE for the empty set."""
        key = frozenset(threads)
        if not key:
            return NOWHERE
        number = self._positions.get(key)
        if number is None:
            number = self._positions[key] = len(self._threads)
            self._threads.append(key)
            self._steps.append({})
            self._may_end.append(None)
            self._letters.append(None)
        return number

    def threads(self, position: int) -> frozenset[Thread]:
        return self._threads[position]

    def step(self, position: int, letter: str) -> int:
        """The position after one more letter, or NOWHERE."""
        if position < 0:
            return NOWHERE
        steps = self._steps[position]
        onward = steps.get(letter)
        if onward is None:
            onward = steps[letter] = self.position(
                after for thread in self._threads[position] for after, _, _ in self.after(thread, letter)
            )
        return onward

    def may_end(self, position: int) -> bool:
        if position < 0:
            return False
        known = self._may_end[position]
        if known is None:
            known = self._may_end[position] = any(any(True for _ in self.ends(t)) for t in self._threads[position])
        return known

    def letters(self, position: int) -> str:
        if position < 0:
            return ""
        known = self._letters[position]
        if known is None:
            found: set[str] = set()
            for thread in self._threads[position]:
                found.update(self._letters_after(thread))
            known = self._letters[position] = "".join(sorted(found))
        return known

    def takes_free_words(self, position: int) -> bool:
        return position >= 0 and any(self._takes_free_words(thread) for thread in self._threads[position])

    # -- threads -----------------------------------------------------------

    def after(self, thread: Thread, letter: str) -> tuple[tuple[Thread, Marks, Marks], ...]:
        """Threads after one letter, with the marks met before it and those met behind it."""
        known = self._after.get((thread, letter))
        if known is None:
            known = self._after[thread, letter] = tuple(dict.fromkeys(self._find_after(thread, letter)))
        return known

    def _find_after(self, thread: Thread, letter: str) -> Iterator[tuple[Thread, Marks, Marks]]:
        kind = thread[0]
        if kind == INSIDE:
            _, node, glued, low, high, depth, stack = thread
            for onward, marks in self._spell(node, bool(glued), low, high, depth, stack, letter):
                yield onward, (), marks
        elif kind == FREE:
            yield thread, (), ()
        elif kind == BEFORE:
            for node, stack, marks in self.reached(thread[1], thread[2])[0]:
                yield from self._begin(node, stack, marks, False, letter)
                if self.network.nodes[node].free >= 0 and letter != " ":
                    yield (FREE, self.network.nodes[node].free, stack), marks, ()
        elif letter == " ":
            if self._goes_on(thread):
                yield (BEFORE, thread[1], thread[2]), (), ()
        else:
            runs_on = kind == AFTER_FIGURE and (letter.isalpha() or (self._figures_run_on and letter.isdigit()))
            for node, stack, marks in self.reached(thread[1], thread[2])[0]:
                yield from self._begin(node, stack, marks, True, letter)
                if runs_on:
                    yield from self._begin(node, stack, marks, False, letter)

    def ends(self, thread: Thread) -> Iterator[Marks]:
        """The marks on each way by which a whole phrase ends at this thread."""
        if thread[0] in (AFTER, AFTER_FIGURE, FREE):
            yield from self.reached(thread[1], thread[2])[1]

    def stack(self, node: int, below: int) -> int:
        """The number of a stack with one more node to return to."""
        number = self._stacks.get((node, below))
        if number is None:
            number = self._stacks[node, below] = len(self._frames)
            self._frames.append((node, below))
        return number

    def returns(self, stack: int) -> Iterator[int]:
        """The nodes to return to, the nearest first."""
        while stack:
            node, stack = self._frames[stack]
            yield node

    def reached(self, node: int, stack: int) -> tuple[tuple[Reached, ...], tuple[Marks, ...]]:
        """Where silence leads from a node: nodes with something to spell; and the marks where the phrase may end."""
        known = self._reached.get((node, stack))
        if known is None:
            places: dict[Reached, None] = {}
            ends: dict[Marks, None] = {}
            self._follow(node, stack, (), places, ends, set())
            known = self._reached[node, stack] = tuple(places), tuple(ends)
        return known

    def _follow(
        self,
        node: int,
        stack: int,
        marks: Marks,
        places: dict[Reached, None],
        ends: dict[Marks, None],
        way: set[tuple[int, int]],
    ) -> None:
        if (node, stack) in way:
            return
        way.add((node, stack))
        here = self.network.nodes[node]
        if here.words or here.glued or here.free >= 0:
            places[node, stack, marks] = None
        for onward, met in here.silent:
            self._follow(onward, stack, marks + met, places, ends, way)
        for start, back in here.calls:
            self._follow(start, stack if self._only_ends(back) else self.stack(back, stack), marks, places, ends, way)
        if here.ends:
            if stack:
                back, below = self._frames[stack]
                self._follow(back, below, marks, places, ends, way)
            else:
                ends[marks] = None
        way.discard((node, stack))

    def _only_ends(self, node: int) -> bool:
        """True where nothing follows a call, so that right recursion needs no stack."""
        here = self.network.nodes[node]
        return here.ends and not (here.kept or here.words or here.glued or here.silent or here.calls or here.free >= 0)

    def _lexicon(self, node: int, glued: bool) -> Lexicon[Entry]:
        lexicon = self._lexicons.get((node, glued))
        if lexicon is None:
            here = self.network.nodes[node]
            lexicon = self._lexicons[node, glued] = Lexicon(here.glued if glued else here.words)
        return lexicon

    def _begin(
        self, node: int, stack: int, marks: Marks, glued: bool, letter: str
    ) -> Iterator[tuple[Thread, Marks, Marks]]:
        lexicon = self._lexicon(node, glued)
        if len(lexicon):
            for onward, met in self._spell(node, glued, 0, len(lexicon), 0, stack, letter):
                yield onward, marks, met

    def _spell(
        self, node: int, glued: bool, low: int, high: int, depth: int, stack: int, letter: str
    ) -> Iterator[tuple[Thread, Marks]]:
        lexicon = self._lexicon(node, glued)
        low, ended, high = lexicon.narrowed(low, high, depth, letter)
        kind = AFTER_FIGURE if letter.isdigit() else AFTER
        for entry in range(low, ended):
            target, marks = lexicon.meanings[entry]
            yield (kind, target, stack), marks
        if ended < high:
            yield (INSIDE, node, int(glued), ended, high, depth + 1, stack), ()

    def _letters_after(self, thread: Thread) -> Iterator[str]:
        kind = thread[0]
        if kind == INSIDE:
            _, node, glued, low, high, depth, _ = thread
            yield from self._lexicon(node, bool(glued)).letters(low, high, depth)
            return
        if kind == FREE:
            yield from FREE_LETTERS
            return
        places = self.reached(thread[1], thread[2])[0]
        if kind != BEFORE and self._goes_on(thread):
            yield " "
        for node, _, _ in places:
            first = self._lexicon(node, False).letters(0, len(self.network.nodes[node].words), 0)
            if kind == BEFORE:
                yield from first
                if self._frees(node):
                    yield from FREE_LETTERS[1:]
                continue
            yield from self._lexicon(node, True).letters(0, len(self.network.nodes[node].glued), 0)
            if kind == AFTER_FIGURE:
                yield from (c for c in first if c.isalpha() or (self._figures_run_on and c.isdigit()))

    def _goes_on(self, thread: Thread) -> bool:
        """True where a space and more words may follow."""
        places = self.reached(thread[1], thread[2])[0]
        return any(self.network.nodes[node].words or self._frees(node) for node, _, _ in places)

    def _frees(self, node: int) -> bool:
        return self.network.nodes[node].free >= 0

    def _takes_free_words(self, thread: Thread) -> bool:
        if thread[0] == FREE:
            return True
        return thread[0] == BEFORE and any(self._frees(node) for node, _, _ in self.reached(thread[1], thread[2])[0])


class Letters:
    """An Acceptor: one start position of a walk."""

    def __init__(self, walk: Walk, start: int) -> None:
        self._walk = walk
        self._start = start
        self.step = walk.step
        self.may_end = walk.may_end
        self.letters = walk.letters
        self.takes_free_words = walk.takes_free_words

    @property
    def start(self) -> int:
        return self._start

    @property
    def family(self) -> Walk:
        """Positions are the walk's: they mean the same in all acceptors of one walk."""
        return self._walk

    def along(self, text: str) -> int:
        """The position after a text, or -1."""
        position = self._start
        for letter in text:
            position = self._walk.step(position, letter)
        return position
