"""How large the step's letters can be: as large as fits with what must stand beside them.

Lengths are in u, a hundredth of the screen's width at 16:9. Reckoned for a wide typeface, so that a narrower one
leaves room rather than the other way round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

SIZES = (5.1, 4.2, 3.5, 2.8, 2.2)
"""Heights of the step's letters, u; largest first."""
_HEIGHT = 56.25 - 5.4 - 11.2 - 2.6
"""What the screen leaves between top and foot, without the paddings."""
_LETTER = 0.6
"""Mean width of a bold letter, of its height, in a wide typeface; with the loss at line ends."""


def size_of_step(
    says: str, cautions: Sequence[str], hold: str, next_says: str, *, quiet: bool, beside: bool, under: int = 0
) -> int:
    """Index into SIZES. `beside`: fasteners or measures stand at the right; `under`: so many under the step."""
    width = 95.2 - (38.0 if beside else 0.0)
    room = _HEIGHT - (3.8 if quiet else 0.0) - 3.6 - 3.2 * under
    if cautions:
        room -= 4.6 + sum(_lines(c, 2.5, width - 3.2) * 3.2 for c in cautions)
    if hold:
        room -= 4.4 + _lines(hold, 2.9, width - 3.2) * 3.4
    if next_says:
        room -= 1.2 + min(2, _lines(next_says, 2.15, width - 9)) * 2.6
    for index, size in enumerate(SIZES):
        if _lines(says, size, width) * size * 1.1 <= room:
            return index
    return len(SIZES) - 1


def _lines(text: str, size: float, width: float) -> int:
    return max(1, math.ceil(len(text) * size * _LETTER / width))
