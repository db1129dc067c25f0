"""What the ear costs: start-up, memory, idle load, and how decoding grows with the card."""

import subprocess
import sys
from collections.abc import Iterator

import numpy as np

from assistant.grammar.load import CardGrammar
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.files import as_frames
from assistant.hearing.frames import FRAME_S, CaptureEvent
from assistant.hearing.heard import Heard, Samples
from tests.benchmarks import corpus
from tests.benchmarks.corpus import Saying

_ALONE = """
import sys, time
began = time.perf_counter()
from assistant.hearing.builtin import BuiltinRecogniser
from assistant.hearing.ear import Ear, Listening
from assistant.hearing.files import as_frames
recogniser = BuiltinRecogniser(threads=int(sys.argv[1]))
ear = Ear(recogniser)
ready = time.perf_counter() - began
import numpy as np, psutil
from tests.benchmarks import corpus
from tests.benchmarks.ear_costs import listening
from tests.sound import noises, voices
card, grammar = corpus.loaded()
now = listening(grammar, "work")
room = noises.noise("compressor", 60, 1) * 0.02
before = time.process_time()
list(ear.listen(as_frames(room), lambda: now))
idle = (time.process_time() - before) / 60
for text in sys.argv[2:]:
    sound = np.concatenate([noises.quiet(0.5), voices.speak(text, "espeak:en-us+m7"), noises.quiet(1.5)])
    list(Ear(recogniser).listen(as_frames(sound), lambda: now))
print(ready, psutil.Process().memory_info().rss / 1e6, idle)
"""
_SAID = (
    "next step",
    "what's the torque for the flywheel bolts",
    "torqued the crossmember bolts to sixty newton metres",
    "take a note the left bracket is bent",
)
_PLACES = tuple(
    f"{a} {b}"
    for a in ("upper", "lower", "front", "rear")
    for b in ("left", "right", "inner", "outer", "long", "short", "middle", "side", "second", "third")
)
_PARTS = (
    "gearbox",
    "axle",
    "bracket",
    "pump",
    "radiator",
    "turbo",
    "alternator",
    "manifold",
    "subframe",
    "damper",
    "spring",
    "cab",
    "winch",
    "crane",
    "fender",
    "bumper",
    "door",
    "seat",
    "roof",
    "tank",
    "filter",
    "cooler",
    "hose",
    "pipe",
    "valve",
    "rocker",
    "sump",
    "timing",
    "chain",
    "belt",
    "pulley",
    "fan",
    "shroud",
    "guard",
    "ladder",
    "step",
    "mirror",
    "lamp",
    "horn",
    "battery",
)
_KINDS = ("cover", "mount", "flange", "clamp")


def listening(grammar: CardGrammar, state: str, named: bool = False) -> Listening:
    """What may be said in a state."""
    live = corpus.live(state)
    return Listening(
        grammar.acceptor(live, named),
        lambda text: grammar.parse(text, live, named),
        lambda text: grammar.may_go_on(text, live, named),
    )


def heard_after(sound: Samples, recogniser: BuiltinRecogniser, now: Listening) -> Iterator[tuple[Heard, float]]:
    """What was heard, and how long after the end of speech in stream time."""
    at = 0.0

    def passing() -> Iterator[CaptureEvent]:
        nonlocal at
        for frame in as_frames(sound):
            at = frame.at_s + FRAME_S
            yield frame

    for heard in Ear(recogniser).listen(passing(), lambda: now):
        yield heard, at - heard.end_s


def costs(threads: int) -> dict[str, float]:
    """Start-up, memory after some utterances, and load while nobody speaks, in a process of its own."""
    command = [sys.executable, "-c", _ALONE, str(threads), *_SAID]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    ready, memory, idle = (float(word) for word in run.stdout.split()[-3:])
    return {"ready_s": ready, "memory_mb": memory, "idle_core_share": idle}


def growth(recogniser: BuiltinRecogniser, said: list[Saying]) -> dict[int, float]:
    """Median decode time with 30, 300 and 3,000 fasteners on the card, ms, everything met once before."""
    card, _ = corpus.loaded()
    about = [saying for saying in said if "fastener" in saying.wanted.slots][:12]
    pieces = list(corpus.spoken(about, "out", "clean", 1))
    found = {}
    for count in (30, 300, 3000):
        fasteners = dict(card.fasteners)
        pattern = next(iter(fasteners.values()))
        for number in range(count - len(fasteners)):
            name = f"{_PLACES[number % 40]} {_PARTS[number // 40 % 40]} {_KINDS[number // 1600 % 4]} bolts"
            fasteners[f"made-up-{number}"] = pattern.model_copy(update={"name": name, "aka": []})
        now = listening(CardGrammar(card.model_copy(update={"fasteners": fasteners})), "work")
        times: list[float] = []
        for again in (False, True):
            for piece in pieces:
                heard = [heard.ms for heard, _ in heard_after(piece.samples, recogniser, now)]
                times += heard if again else []
        found[count] = float(np.median(times))
    return found
