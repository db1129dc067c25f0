"""Narrations with the card that a careful person would write, and how a draft is held against it.

A narration is any file that `bay draft` reads (.vtt, .srt, .txt). Beside it lies `NAME.gold.yaml`. The benchmark
reports the groups apart:

- `narrations/`: written by the people who wrote the rules, along with them.
- `blind/`, `blind_again/`, `blind_third/`, `blind_fourth/`, `rounds/` (the fifth to the twentieth round): once blind,
  since used to mend the rules. Written by people who had read neither rules nor lexicon; what the rules made of them
  when they met them first is kept in FIRST_MET.
- `practice/`: written by who mends the rules, a few at a time, each few scored before a rule was mended by them.

- `unseen/`: written by four more such people once the rules stood still. Nobody has mended a rule by
  them: what the benchmark says of these is what to expect of talk that was never met. Whoever mends by them moves them
  to `rounds/`, keeps in FIRST_MET what was seen first, and has a new lot written.

Everything is invented: people, machines, values.

The gold file:

    narration: winch-gearbox.srt
    speaker: who talks and how (nobody real)
    things:                  # what the narration works on; ids are yours
      cap-nuts: {kind: fastener, names: [right bearing cap nuts, nuts]}
    actions:                 # VERB THING, each as often as it is to be done; the order does not matter
      - take-out cap-nuts
    values:                  # THING WHAT VALUE: only what was said, and all of it
      - cap-nuts count 3
    pairs: [cap-nuts]        # things that come off (out, apart, down) and go back

Kinds: fastener, part, connection (hose, cable, plug, sensor that is unplugged), fluid, cover (cap, bag, rag; the thing
put on, not what it covers), mark, support (stands, jack, strap, chocks; what carries, not the load), consumable,
measure, tool. `names`: names that a person would accept for it, most telling first; place words (front, left, upper)
that the speaker used belong in every name where something else differs by them.

Verbs: loosen, take-out (fasteners) / remove (parts) / disconnect / drain / cover / mark / support;
start (a fastener is put in, by hand, a few threads) / snug (finger tight, tightened by hand) / tighten /
fit (parts) / connect / fill / uncover / line-up / release; apply (a consumable) / inspect (look at, check) /
measure (where a measure is named) / clean.
Turning, moving, tying back, laying down are no actions here. "Undo it and take it off" is loosen and take-out; a lone
"undo the bolts" is take-out. A fastener whose value is given while going back ("the nuts get forty newton metres") is
tightened. "With a new washer" is `fit washer`. The thing that a slip named is not there; only what was meant.

Values, WHAT and how VALUE is written:
    count 4 (a single thing, "the drain plug", needs none) | thread M10 | head 16 mm (across flats) | length 60 mm
    torque 65 N·m, 22 to 25 N·m, 65 ± 5 N·m, 50 N·m + 90 deg (units N·m, lbf·ft, lbf·in, kgf·m) | pass 30 N·m (a
    torque of a round before the last) | treatment locker-medium (locker-low, locker-high, anti-seize, sealant,
    grease, oil, dry; of a part: what is put on it) | order across (round, middle-out) | all-but 1 | some 2 (of a set) |
    mass 31 kg | quantity 9 L | low 3 mm, high 0.4 mm
A number without a unit is no value. A value that two tellings give differently counts as the first unless the speaker
corrects it. A torque or a spanner said of a hose, pipe or cable is a value of it, and no `tighten` beside `connect`.
A split pin or a circlip is a fastener to some writers and a part to others: either kind, with its verbs, counts.
Two rounds told as two steps are two `tighten`, the first torque being the `pass`. A part that is itself screwed in and
tightened (a valve, a breather, a plug) is a fastener.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from ruamel.yaml import YAML

from assistant.card.draft.card_text import torque_line
from assistant.card.draft.lexicon import lexicon
from assistant.card.draft.reading import read_text_file
from assistant.card.draft.story import Deed, Understanding
from assistant.card.draft.thing import Thing
from assistant.card.draft.understand import understood
from assistant.card.draft.words import sentences

HERE = Path(__file__).parent
GROUPS = {
    "written with the rules": HERE / "narrations",
    "once blind, since used to mend the rules": HERE / "blind",
    "once blind, since used to mend the rules (the second six)": HERE / "blind_again",
    "for practice, used to mend the rules": HERE / "practice",
    "once blind, since used to mend the rules (the third, seven)": HERE / "blind_third",
    "once blind, since used to mend the rules (the fourth, thirteen)": HERE / "blind_fourth",
    "once blind, since used to mend the rules (sixteen rounds, a hundred and seventy)": HERE / "rounds",
    "unseen, written once the rules stood still by people who have not read them": HERE / "unseen",
}
UNSEEN = "unseen, written once the rules stood still by people who have not read them"
"""The group that nobody mends by, where there is one."""
WHAT_IS_COUNTED = ("values right", "values there", "actions found", "pairs joined")
FIRST_MET: dict[str, dict[str, tuple[tuple[int, int], ...]]] = {
    "blind": {"all six": ((80, 86), (80, 102), (183, 219), (54, 66))},
    "blind_again": {"all six": ((77, 83), (77, 96), (161, 200), (42, 55))},
    "practice": {
        "the first six": ((44, 61), (44, 80), (97, 149), (25, 44)),
        "the second six": ((56, 64), (56, 71), (93, 123), (21, 30)),
        "the third six": ((40, 54), (40, 65), (84, 114), (22, 33)),
        "the last four": ((28, 36), (28, 46), (75, 94), (25, 33)),
        "four more, before the third blind round was mended by": ((40, 48), (40, 60), (101, 123), (27, 38)),
        "eight more, before the fourth blind round": ((88, 100), (88, 131), (177, 219), (44, 56)),
        "twelve more, before the fifth blind round": ((156, 175), (156, 229), (351, 391), (101, 108)),
    },
    "blind_third": {"all seven": ((76, 86), (76, 103), (187, 223), (54, 62))},
    "blind_fourth": {
        "seven by one": ((92, 120), (92, 152), (199, 247), (47, 60)),
        "six by another": ((74, 88), (74, 121), (170, 210), (38, 53)),
    },
    "rounds": {
        "the fifth, six": ((83, 89), (83, 109), (206, 228), (53, 60)),
        "the sixth, six": ((90, 100), (90, 112), (209, 236), (64, 69)),
        "the seventh, six": ((87, 94), (87, 107), (165, 176), (51, 53)),
        "the eighth, six": ((90, 99), (90, 112), (200, 223), (60, 70)),
        "the ninth, seven": ((125, 134), (125, 146), (223, 249), (63, 72)),
        "the tenth, six": ((86, 103), (86, 116), (172, 188), (42, 48)),
        "the eleventh, seven": ((119, 126), (119, 153), (203, 227), (52, 66)),
        "the twelfth, six": ((97, 103), (97, 117), (169, 193), (49, 56)),
        "the thirteenth, four": ((60, 69), (60, 76), (102, 117), (26, 31)),
        "the fourteenth, four": ((64, 70), (64, 73), (118, 131), (35, 39)),
        "the fifteenth, thirty-two": ((513, 549), (513, 611), (992, 1082), (283, 311)),
        "the sixteenth, sixteen": ((262, 276), (262, 299), (535, 584), (167, 186)),
        "the seventeenth, sixteen": ((286, 294), (286, 310), (549, 575), (161, 168)),
        "the eighteenth, sixteen": ((252, 263), (252, 296), (525, 558), (153, 160)),
        "the nineteenth, sixteen": ((263, 280), (263, 300), (520, 571), (148, 163)),
        "the twentieth, sixteen": ((291, 299), (291, 317), (514, 544), (150, 155)),
    },
}
"""What the rules made of narrations before anybody had mended a rule by them: folder, which of them, and of each thing
counted how many of how many. The rules were mended in between: the practice narrations met better rules each time."""
_OUT = {"take_out", "remove", "disconnect", "drain", "cover", "mark", "support", "loosen"}
_BACK = {"fit", "start", "snug", "tighten", "connect", "fill", "uncover", "line_up", "release"}
_VERBS = (_OUT | _BACK | {"apply", "inspect", "measure", "clean"}) - {"move"}
_SMALL = frozenset(["the", "a", "an", "of", "on", "in", "for", "to", "at", "and", "from"])


@dataclass(frozen=True, slots=True)
class Gold:
    path: Path
    speaker: str
    things: dict[str, tuple[str, tuple[str, ...]]]
    """Id to kind and accepted names."""
    actions: tuple[tuple[str, str], ...]
    values: tuple[tuple[str, str, str], ...]
    pairs: tuple[str, ...]


@dataclass(slots=True)
class Score:
    """What a draft has of the gold, and what it has besides."""

    values_said: int = 0
    """Values of the draft that the gold has too."""
    values_drafted: int = 0
    values_gold: int = 0
    actions_found: int = 0
    actions_drafted: int = 0
    actions_gold: int = 0
    pairs_joined: int = 0
    pairs_gold: int = 0
    wrong_values: list[str] = field(default_factory=list)
    missing_values: list[str] = field(default_factory=list)
    missing_actions: list[str] = field(default_factory=list)
    extra_actions: list[str] = field(default_factory=list)
    missing_pairs: list[str] = field(default_factory=list)

    def __iadd__(self, other: Score) -> Score:
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))
        return self


def load_gold(path: Path) -> Gold:
    read = YAML(typ="safe").load(path.read_text("utf-8"))
    things = {id_: (entry["kind"], tuple(entry["names"])) for id_, entry in read["things"].items()}
    actions = tuple((verb.replace("-", "_"), thing) for verb, thing in (line.split() for line in read["actions"]))
    values = tuple((line.split(" ", 2)[0], line.split(" ", 2)[1], line.split(" ", 2)[2]) for line in read["values"])
    named = {thing for _, thing in actions} | {thing for thing, _, _ in values} | set(read["pairs"])
    unknown = named - set(things)
    if unknown:
        raise ValueError(f"{path.name}: not among its things: {', '.join(sorted(unknown))}")
    bad = {verb for verb, _ in actions} - _VERBS
    if bad:
        raise ValueError(f"{path.name}: no such verbs: {', '.join(sorted(bad))}")
    return Gold(path.parent / read["narration"], read["speaker"], things, actions, values, tuple(read["pairs"]))


def golds(folder: Path) -> list[Gold]:
    return [load_gold(path) for path in sorted(folder.glob("*.gold.yaml"))]


@lru_cache(maxsize=64)
def drafted(path: Path) -> Understanding:
    return understood(list(sentences(read_text_file(path).passages)))


def score(gold: Gold, draft: Understanding) -> Score:
    """Things are matched one to one first; what is said of a thing that matches none counts as wrong or missing."""
    match = _matched(gold, draft)
    result = Score()
    drafted_values: Counter[tuple[object, str, str]] = Counter()
    by_thing = Counter((thing.number, what, value) for thing, what, value in _values(draft))
    for (number, what, value), times in by_thing.items():  # what is said of the old part and of the new counts once
        key = (match.get(number, f"?{draft.things[number].name}"), what, value)
        drafted_values[key] = max(drafted_values[key], times)
    gold_values = Counter((thing, what, _tidy(value)) for thing, what, value in gold.values)
    result.values_drafted, result.values_gold = sum(drafted_values.values()), sum(gold_values.values())
    result.values_said = sum((drafted_values & gold_values).values())
    result.wrong_values = [" ".join(value) for value in (drafted_values - gold_values).elements()]
    result.missing_values = [" ".join(value) for value in (gold_values - drafted_values).elements()]
    either = {id_ for id_, (_, names) in gold.things.items() if any(_head(name) in _EITHER for name in names)}
    deeds = Counter(
        (_as_gold(deed, match.get(deed.thing.number) in either), match.get(deed.thing.number, f"?{deed.thing.name}"))
        for step in draft.steps
        for deed in step.deeds
        if deed.thing is not None and deed.verb in _VERBS
    )
    wanted = Counter(
        (
            "measure"
            if verb == "inspect" and gold.things[thing][0] == "measure"
            else _OF_PARTS.get(verb, verb)
            if thing in either
            else verb,
            thing,
        )
        for verb, thing in gold.actions
    )
    result.actions_found, result.actions_gold, result.actions_drafted = (
        sum((deeds & wanted).values()),
        sum(wanted.values()),
        sum(deeds.values()),
    )
    result.missing_actions = [" ".join(action) for action in (wanted - deeds).elements()]
    result.extra_actions = [" ".join(action) for action in (deeds - wanted).elements()]
    verbs: dict[str, set[str]] = {}
    for verb, thing in deeds:
        verbs.setdefault(thing, set()).add(verb)
    result.pairs_gold = len(gold.pairs)
    joined = [thing for thing in gold.pairs if verbs.get(thing, set()) & _OUT and verbs.get(thing, set()) & _BACK]
    result.pairs_joined = len(joined)
    result.missing_pairs = [thing for thing in gold.pairs if thing not in joined]
    return result


_EITHER = frozenset({"circlip", "split pin", "cotter pin", "pin", "snap ring", "r clip"})
"""Heads of what holds by itself and is called a fastener by some, a part by others."""
_OF_PARTS = {"take_out": "remove", "start": "fit"}


def _as_gold(deed: Deed, either: bool = False) -> str:
    """Checking a level and measuring it are one; of what is either kind the part's verb stands for both."""
    if either:
        return _OF_PARTS.get(deed.verb, deed.verb)
    return (
        "measure" if deed.verb == "inspect" and deed.thing is not None and deed.thing.kind == "measure" else deed.verb
    )


class _Match(dict[int, str]):
    def get(self, thing: object, default: object = None) -> object:  # type: ignore[override]
        number = thing.number if isinstance(thing, Thing) else thing
        return super().get(number, default)  # type: ignore[call-overload]


def _matched(gold: Gold, draft: Understanding) -> _Match:
    """Thing number to gold id, each gold thing at most once, the likest names first."""
    pairs: list[tuple[float, int, str]] = []
    for thing in draft.things:
        for id_, (kind, names) in gold.things.items():
            if kind == thing.kind or (thing.head in _EITHER and {kind, thing.kind} == {"part", "fastener"}):
                alike = max(_alike(name, thing.name, number) for number, name in enumerate(names))
                if alike > 0:
                    pairs.append((alike, thing.number, id_))
    match = _Match()
    taken: set[tuple[str, bool]] = set()
    for _, number, id_ in sorted(pairs, key=lambda pair: (-pair[0], pair[1])):
        place = (id_, draft.things[number].new)  # the old one and the new that takes its place may be one in the gold
        if number not in match and place not in taken:
            match[number] = id_
            taken.add(place)
    return match


def _alike(gold_name: str, name: str, rank: int) -> float:
    """0 where the two cannot be the same: another head, or another place."""
    mine, theirs = _words(gold_name), _words(name)
    if not mine or not theirs or _head(gold_name) != _head(name) or lexicon().opposed(set(mine), set(theirs)):
        return 0
    shared = len(set(mine) & set(theirs))
    return shared / len(set(mine) | set(theirs)) - rank * 0.001


def _words(name: str) -> list[str]:
    places = lexicon().words["same_place"]
    return [places.get(word, _singular(word)) for word in _apart(name).split() if word not in _SMALL]


def _apart(name: str) -> str:
    """ "Locknut" and "lock nut" are one name, "propshaft" and "propeller shaft" too."""
    name = name.lower().replace("-", " ").replace("locknut", "lock nut").replace("setscrew", "set screw")
    return name.replace("propshaft", "propeller shaft").replace("prop shaft", "propeller shaft")


def _head(name: str) -> str:
    last = _singular(_apart(name).split()[-1])
    return {"capscrew": "screw", "threadlocker": "locker"}.get(last, last)


def _singular(word: str) -> str:
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def _values(draft: Understanding) -> list[tuple[Thing, str, str]]:
    """What the draft's card would state, thing by thing."""
    found: list[tuple[Thing, str, str]] = []
    worked_on = {
        deed.thing.number
        for step in draft.steps
        for deed in step.deeds
        if deed.thing is not None and deed.verb in _VERBS
    }
    for thing in draft.things:
        stands = thing.number in worked_on or (thing.kind == "fastener" and bool(thing.torque or thing.thread))
        if thing.count is not None and thing.count_said is not None and thing.count > 1 and stands:
            found.append((thing, "count", str(thing.count)))
        if thing.thread:
            found.append((thing, "thread", thing.thread))
        if thing.torque is not None:
            found.append((thing, "torque", torque_line(thing.torque, thing.angle_deg)))
        found.extend((thing, "pass", torque_line(one)) for one in thing.passes)
        if thing.treatment:
            found.append((thing, "treatment", thing.treatment))
        if thing.order:
            found.append((thing, "order", thing.order))
        for what, figure in (
            ("head", thing.wrench),
            ("length", thing.length),
            ("mass", thing.mass),
            ("quantity", thing.quantity),
            ("low", thing.low),
            ("high", thing.high),
        ):
            if figure is not None and figure.value is not None:
                found.append((thing, what, f"{figure.value.normalize():f} {figure.unit}"))
    for step in draft.steps:
        for deed in step.deeds:
            if deed.verb == "apply" and deed.onto is not None and deed.thing is not None:
                head = deed.thing.head  # silicone grease is grease
                smeared = (deed.onto, "treatment", head.split()[-1] if head.endswith((" grease", " oil")) else head)
                found.extend([smeared] if smeared not in found else [])
            if deed.thing is not None and deed.all_but:
                found.append((deed.thing, "all-but", str(deed.all_but)))
            elif (
                deed.thing is not None
                and deed.count
                and not deed.rest
                and deed.thing.kind == "fastener"
                and deed.count != deed.thing.count
            ):
                found.append((deed.thing, "some", str(deed.count)))
    return found


def _tidy(value: str) -> str:
    return " ".join(value.split())
