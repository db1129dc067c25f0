"""The tightening order for a page whose style comes from a file of its own: no style inside the drawing."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import lru_cache

from assistant.card.model import Fastener
from assistant.fastening.drawing import order_svg
from assistant.fastening.order import OrderError, order_of

MOST_DRAWN = 24
"""Above this the numbers cannot be read from four metres."""

_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
_REST = re.compile(r' style="[^"]*"')
_SIZE = re.compile(r' style="--size:([0-9.]+)px"')


def drawing(fastener: Fastener, due: int | None, done: Collection[int]) -> str:
    """SVG; empty for a set that is not drawn."""
    if fastener.count > MOST_DRAWN:
        return ""
    try:
        order = order_of(fastener)
    except OrderError:
        return ""
    return _plain(order_svg(order, due=due, done=frozenset(done), title=fastener.name))


@lru_cache(maxsize=256)
def _plain(svg: str) -> str:
    """Sizes as attributes, colours by class: a strict content security policy allows both."""
    sized = _SIZE.sub(r' font-size="\1"', _STYLE.sub("", svg))
    return _REST.sub("", sized.replace(' style="fill:none"', ' data-hole="1"')).strip()
