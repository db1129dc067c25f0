"""Whether a name and a thing known can be the same, and what the name adds in number."""

from __future__ import annotations

from collections.abc import Iterable

from .mention import SORTS, Mention
from .thing import Said, Thing

_TYPES = SORTS - {"allen", "hex"} | {"adjusting", "drain", "filler", "level"}
"""Words that tell one nut or plug from another of the same part: what key turns it does not."""


def _parts(mods: Iterable[str]) -> set[str]:
    """The single words of a name."""
    return {part for mod in mods for part in mod.split()}


def another_set(mention: Mention, thing: Thing) -> bool:
    """Whether what is said of the fasteners cannot be the set known: "twelve M12 bolts" beside sixteen M14."""
    threads = {size.thread for size in mention.sizes if size.thread}
    if threads and thing.thread and thing.thread not in threads:
        return True
    whole = not (
        mention.rest or mention.some or mention.all_but or mention.each or mention.places or mention.det == "all"
    )
    if whole and mention.plural and not thing.plural and thing.count == 1:
        return True
    bare = not (mention.mods or mention.attached)
    own, its = _parts(mention.mods), _parts(thing.mods)
    told = own - its
    if whole and thing.plural and not mention.plural and mention.det in ("the", "that", "this", "a", "an", "") and told:
        return True  # "the centre nut" is none of the self-locking nuts
    if own and (its & _TYPES) - own and not own & _TYPES and mention.det == "the":
        return True  # "the rod nut" is not the lock nut on the rod
    short = own and own != its and mention.det == ""
    if (
        whole
        and (told or short)  # "eight wheel bolts" beside six wheel guard bolts
        and mention.count
        and thing.count
        and mention.count != thing.count
        and not mention.det.startswith("all")
    ):
        return True  # "two bolts" of the plate, and "three knife bolts"
    counted_apart = mention.count is not None and thing.count not in (None, 1, mention.count)
    if whole and mention.plural and bare and counted_apart and mention.det == "" and not mention.new:
        return True  # "swing door. Two bolts": none of the eight
    single = not mention.plural and thing.plural and (thing.count or 0) > 1 and bare
    return whole and single and mention.det in ("", "one", "a", "an", "the", "its", "their", "that", "this")


def take_count(thing: Thing, mention: Mention, said: Said) -> None:
    count = mention.count
    if mention.both and thing.kind != "fastener":
        return
    if thing.kind != "fastener" and count is not None and thing.number_said == "one":
        return
    if mention.per and count is None and thing.kind == "fastener":
        thing.plural = True  # "each pin is held by a retaining bolt"
        return
    if mention.per and count is not None:
        thing.doubt(f'"{said.words}" tells how many on each: how many in all?')
        thing.on_each = True
        return
    if (
        count is None
        and not mention.plural
        and not thing.plural
        and mention.det in ("the", "a", "an", "that", "this", "")
        and not mention.each
        and not mention.rest
        and thing.count is None
        and not mention.ones
    ):
        thing.count = 1
        return
    if count is None or mention.some is not None or mention.rest or mention.each:
        return
    if thing.count is None or (thing.count == 1 and thing.count_said is None):
        thing.count, thing.count_said = count, said
        thing.plural = thing.plural or count > 1
    elif thing.count != count:
        if thing.count_said is not None and thing.count_said.words == said.words:
            thing.doubt(f'{thing.count} and {count} said in one breath ("{said.words}"): which?')
            thing.count, thing.count_said = None, None
            return
        if thing.count_said is not None and taken_back(thing.count_said.words):
            thing.count, thing.count_said = count, said
            return  # "there's six, no, I'm thinking of the pump. Four. Four bolts, M10"
        thing.doubt(f'{thing.count} said first and {count} later ("{said.words}"): which?')


SCREWED_IN = frozenset(
    {"valve", "nipple", "breather", "adaptor", "adapter", "elbow", "tap", "cock", "gland", "spigot", "clip", "jet",
     "injector", "plunger", "strainer", "stop", "stopper", "ring", "collar", "cap", "peg", "pin", "pivot"}
)  # fmt: skip
"""Parts that are themselves tightened, where somebody says so."""


def is_screwed_in(head: str) -> bool:
    """ "Grease nipple", "drain plug"."""
    return head.rsplit(" ", 1)[-1] in SCREWED_IN


def in_by_itself(part: Thing) -> bool:
    """A nipple has its thread on itself; a cap or a ring may be held by what was not named."""
    held = {"clip", "ring", "collar", "cap", "peg", "pin", "pivot", "stop", "stopper"}
    return not part.plural and part.head.rsplit(" ", 1)[-1] in SCREWED_IN - held


def taken_back(words: str) -> bool:
    low = f" {words.lower()} "
    return any(
        cue in low for cue in (" no, ", " hang on", " hold on", " wait,", " sorry,", " i lie", "i'm thinking of")
    )


def kind_of(mention: Mention, kinds: tuple[str, ...]) -> str:
    if not mention.kinds:
        return kinds[0] if kinds else "part"
    if mention.unknown and kinds:
        return kinds[0] if kinds[0] == "connection" else "part" if "part" in kinds else kinds[0]
    if kinds[:1] == ("connection",) and "connection" not in mention.kinds and mention.kinds[0] == "part":
        small = mention.head.rsplit(" ", 1)[-1] in ("ring", "seal", "gasket", "washer", "shim", "circlip", "key")
        return "part" if small else "connection"  # "hook the o-ring off the piston"
    for kind in mention.kinds:
        if kind in kinds:
            return kind
    if kinds[:1] == ("fastener",) and "part" not in kinds and is_screwed_in(mention.head):
        return "fastener"
    return mention.kinds[0]


def agreement(words: frozenset[str], thing: Thing, mention: Mention) -> int:
    """3: the same words; 2: fewer than the thing has; 1: more; 0: another thing."""
    if words == thing.words:
        return 3
    if words <= thing.words:
        return 2
    if thing.words <= words:
        return 1
    shared = words & thing.words
    if (
        shared
        and len(shared) >= max(len(words), len(thing.words)) - 1
        and len(shared) >= 1
        and (words - shared)
        and thing.kind in ("fastener", "connection")
    ):
        loose = {"big", "small", "long", "short", "thick", "thin", "mounting", "fixing", "main"}
        if (words - shared) <= loose or (thing.words - shared) <= loose:
            return 1
    return 0
