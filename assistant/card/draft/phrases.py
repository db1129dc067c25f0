"""Things as they are named in talk: "all but one of the upper bracket bolts", "it", "the nut in the middle"."""

from __future__ import annotations

from .mention import Mention
from .name_words import kind_at, low_at
from .names import name_at
from .tagging import Item

_ATTACH = frozenset(
    {
        "on",
        "of",
        "at",
        "from",
        "for",
        "in",
        "behind",
        "under",
        "underneath",
        "through",
        "to",
        "around",
        "round",
        "between",
        "across",
        "over",
        "inside",
        "below",
        "above",
        "with",
        "next to",
        "in front of",
    }
)


_SPOTS = frozenset({"middle", "top", "bottom", "end", "side", "front", "back", "centre", "center", "inside", "outside"})


_LOOSE = frozenset({"big", "small", "long", "short", "thick", "thin", "side"})


def mention_at(items: list[Item], here: int) -> Mention | None:
    """The thing named at this item, with what hangs on it; None where no thing starts."""
    mention = name_at(items, here)
    if mention is None or mention.pronoun:
        return mention
    verb = items[here - 1].verb if here and items[here - 1].kind == "verb" else None
    taken = verb.verb.meanings if verb is not None and mention.kinds[:1] == ("part",) else {}
    looks = verb is not None and verb.verb.meanings.get("") == "inspect"
    _attach(
        items,
        mention,
        frozenset(["for"] if looks else [])
        | frozenset(link for link, means in taken.items() if means in ("fit", "open", "apply")),
    )
    return mention


def _attach(items: list[Item], mention: Mention, taken: frozenset[str]) -> None:
    """What hangs on the name: "on the rear flange", "holding the bracket". `taken`: particles of the verb before it."""
    at = mention.end
    while at < len(items) and mention.kinds[:1] != ("support",):
        item = items[at]
        link = ""
        if item.kind == "rel" and item.low in taken:
            return  # "slide the disc on the shaft"
        if item.kind == "rel" and item.low in _ATTACH:
            link, step = item.low, at + 1
        elif item.verb is not None and item.verb.verb.meanings.get("") == "holds" and item.verb.form in ("ing",):
            link, step = "holding", at + 1
        elif (
            item.low in ("that", "which")
            and at + 1 < len(items)
            and items[at + 1].verb is not None
            and _is_hold(items[at + 1])
        ):
            link, step = "holding", at + 2
        else:
            return
        if (
            link == "holding"
            and kind_at(items, step) == "rel"
            and low_at(items, step) in ("up", "on", "down", "in", "together")
        ):
            step += 1
        if kind_at(items, step) == "det" and low_at(items, step + 1) in _SPOTS and low_at(items, step + 2) == "of":
            step += 3  # "in the middle of the flange"
        inner = name_at(items, step)
        if inner is None or (inner.pronoun and link != "holding"):
            return
        if inner.pronoun:
            mention.attached.append((link, inner))
            mention.end = inner.end
            return
        if (
            link in ("to", "in", "on", "from", "over", "through", "behind", "under", "with", "across")
            and "fastener" not in mention.kinds[:1]
            and "connection" not in mention.kinds[:1]
            and link != "holding"
        ) and (link not in ("on", "over", "in") or mention.det in ("", "a")):
            return
        if mention.head == "clip" and inner.kinds[:1] == ("connection",):
            mention.kinds = ("fastener", *mention.kinds)  # "the clips on the suction hose"
        if inner.kinds[:1] == ("support",) and link in ("on", "onto", "in") and mention.kinds[:1] == ("part",):
            return  # "hang the gearbox on the chain hoist"
        if inner.kinds[:1] == ("fluid",) and link in ("in", "into"):
            return  # "soak the discs in clean oil"
        if "tool" in inner.kinds[:1] or link == "with" or (inner.unknown and link != "holding"):
            return
        if link in ("in", "on", "under") and inner.det in ("a", "an"):
            return
        if inner.kinds[:1] == ("measure",) and mention.kinds[:1] != ("measure",):
            return  # "check the coupling for wear"
        if "consumable" in mention.kinds[:1] or "fluid" in mention.kinds[:1] or "cover" in mention.kinds[:1]:
            return
        if "mark" in mention.kinds[:1] and link not in ("across", "on", "of"):
            return
        if not (mention.head == "nut" and inner.head == "stud" and not (inner.mods or inner.places)):
            mention.attached.append((link, inner))  # "four nuts on studs" are not called after the studs
        mention.end, mention.per = inner.end, mention.per or inner.each
        mention.words = " ".join(part.low for part in items[mention.start : mention.end])
        at = mention.end
        if (
            link == "holding"
            and kind_at(items, at) == "rel"
            and low_at(items, at) in ("to", "on", "onto", "in", "into")
        ):
            onto = name_at(items, at + 1)
            if onto is not None and not onto.pronoun:
                mention.end = onto.end
                mention.words = " ".join(part.low for part in items[mention.start : mention.end])
            return


def _is_hold(item: Item) -> bool:
    return item.verb is not None and item.verb.verb.meanings.get("") == "holds"
