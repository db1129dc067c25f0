"""A sentence as a row of things and single words, before it is cut into clauses."""

from __future__ import annotations

from dataclasses import dataclass

from .lexicon import lexicon
from .mention import Mention
from .phrases import mention_at
from .tagging import Item

_PUT_ON = frozenset({"coat", "cover", "smear", "pack", "fill", "grease", "oil", "treat", "lubricate"})


def told_beside(items: list[Item]) -> None:
    """ "The bolts, coated with anti-seize, are put in": the coating is told beside, the verb is the second."""
    for here, item in enumerate(items):
        if item.verb is None or item.kind != "verb" or item.verb.form != "past" or item.verb.verb.base not in _PUT_ON:
            continue
        before = items[here - 1] if here else None
        if before is not None and before.kind == "comma":
            before = items[here - 2] if here > 1 else None
        named = before is not None and before.noun is not None
        later = any(one.kind == "aux" for one in items[here + 1 :])
        if named and later and here + 1 < len(items) and items[here + 1].low == "with":
            item.kind, item.verb = "filler", None


@dataclass(slots=True)
class Chunk:
    """A thing, or one item that is no thing."""

    kind: str
    start: int
    end: int
    low: str
    mention: Mention | None = None
    item: Item | None = None


def chunked(items: list[Item]) -> list[Chunk]:
    chunks: list[Chunk] = []
    here = 0
    while here < len(items):
        mention = (
            mention_at(items, here) if items[here].kind not in ("rel", "verb", "comma", "conj", "end", "aux") else None
        )
        if mention is not None and mention.none:
            chunks.append(Chunk("without", here, mention.end, mention.words, item=items[here]))
            here = mention.end
            continue
        if mention is not None and mention.end > here:
            chunks.append(Chunk("thing", here, mention.end, mention.words, mention=mention))
            here = mention.end
            continue
        item = items[here]
        if item.kind == "treat" and item.low not in _STATES_OF_THREADS:
            chunks.append(Chunk("thing", here, here + 1, item.low, mention=_stuff(item, here), item=item))
            here += 1
            continue
        chunks.append(Chunk(item.kind, here, here + 1, item.low, item=item))
        here += 1
    return chunks


def excepted(chunks: list[Chunk]) -> None:
    """ "Take the nuts off, except the top left one": all but one; what is excepted is no second object."""
    for at, chunk in enumerate(chunks):
        if chunk.low != "except" or at + 1 >= len(chunks):
            continue
        left = chunks[at + 1].mention
        whole = next((one.mention for one in reversed(chunks[:at]) if one.mention is not None), None)
        counted = chunks[at + 1].item
        number = counted.figure if left is None and counted is not None else None
        if whole is None:
            continue
        several = whole.plural or (whole.count or 0) > 1
        if several and left is not None and (left.ones or left.head == whole.head or not left.head):
            whole.all_but = left.count or (1 if not left.plural or left.words.endswith("one") else None)
        elif several and number is not None and number.whole is not None:
            whole.all_but = number.whole
        elif left is None:
            continue
        end = at + 2
        while end < len(chunks) and chunks[end].kind in ("rel", "place", "word", "det"):
            end += 1  # "the one on top"
        for one in chunks[at:end]:
            one.kind, one.mention, one.item, one.low = "filler", None, None, ""
        return


_STATES_OF_THREADS = frozenset({"dry", "no oil on", "clean and dry", "oiled", "lightly oiled", "oil on the threads"})


def _stuff(item: Item, here: int) -> Mention:
    """ "Medium thread locker" as the thing that is put on."""
    noun = next((book.nouns[low] for low in _tails(item.low) if low in (book := lexicon()).nouns), None)
    head = noun.head if noun is not None else item.low
    strength = [word for word in item.low.split() if word in ("low", "medium", "high", "strong", "weak")]
    return Mention(here, here + 1, item.low, head=head, kinds=("consumable",), mods=tuple(strength[:1]))


def _tails(words: str) -> list[str]:
    """The words, then without the first, ... : "medium strength thread locker", "strength thread locker", ..."""
    parts = words.split()
    return [" ".join(parts[at:]) for at in range(len(parts))]
