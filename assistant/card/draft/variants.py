"""Years and variants said as a place: "on the early ones", "up to 2018"."""

from __future__ import annotations

from .words import Token

_MODELS = frozenset(
    [
        "ones",
        "models",
        "model",
        "trucks",
        "machines",
        "versions",
        "version",
        "vehicles",
        "types",
        "carriers",
        "units",
        "cars",
        "vans",
        "tractors",
        "trailers",
        "variants",
        "variant",
        "type",
        "machine",
        "series",
    ]
)


_AGES = frozenset(
    [
        "early",
        "earlier",
        "late",
        "later",
        "old",
        "older",
        "new",
        "newer",
        "automatic",
        "manual",
        "diesel",
        "petrol",
        "hydraulic",
        "electric",
        "short",
        "long",
        "heavy",
        "light",
    ]
)


_OF_BOLTS = frozenset(
    {"short", "long", "heavy", "light", "new", "old", "shorter", "longer", "thick", "thin", "little", "big"}
)
"""Said of bolts as well as of models."""
_OPEN = frozenset({"on", "for", "with", "in"})


def condition_in(tokens: list[Token]) -> tuple[tuple[str, ...], list[Token]]:
    """A condition of years or variants said as a place ("on the early ones", "up to 2018"), and the rest."""
    for here in range(len(tokens)):
        end = _variant_at(tokens, here) or _years_at(tokens, here)
        if end:
            words = tuple(part.low for part in tokens[here:end])
            rest = tokens[:here] + tokens[end:]
            while rest and rest[0].text in (",",):
                rest = rest[1:]
            return words, rest
    return (), tokens


def _variant_at(tokens: list[Token], here: int) -> int:
    if tokens[here].low not in _OPEN:
        return 0
    at = here + 1
    while at < len(tokens) and tokens[at].low in (
        "the",
        "some",
        "all",
        "those",
        "these",
        "any",
        "of",
        "really",
        "very",
    ):
        at += 1
    start = at
    while at < len(tokens) and at - start < 5 and tokens[at].is_word and tokens[at].low not in _MODELS:
        at += 1
    if at >= len(tokens) or tokens[at].low not in _MODELS or at == start:
        return 0
    inside = [token.low for token in tokens[start:at]]
    if tokens[at].low == "ones" and not set(inside) - _OF_BOLTS:
        return 0  # "you work from the middle out with the long ones"
    telling = (
        tokens[at].low not in ("ones", "type", "unit", "units", "version", "machine", "series")
        or any(word in _AGES for word in inside)
        or any(word.isdigit() for word in inside)
    )
    if (
        any(
            word
            in (
                "bolts",
                "nuts",
                "screws",
                "bolt",
                "nut",
                "upper",
                "lower",
                "left",
                "right",
                "front",
                "rear",
                "one",
                "of",
            )
            for word in inside
        )
        or not telling
    ):
        return 0
    return at + 1


def _years_at(tokens: list[Token], here: int) -> int:
    def year(at: int) -> bool:
        return (
            at < len(tokens)
            and tokens[at].text.isdigit()
            and len(tokens[at].text) == 4
            and 1950 <= int(tokens[at].text) <= 2040
        )

    low = tokens[here].low
    start = here
    at = here
    if low == "up" and here + 2 < len(tokens) and tokens[here + 1].low == "to":
        at = here + 2
    elif low in ("before", "after", "from", "since", "until", "till"):
        at = here + 1
    else:
        return 0
    if at < len(tokens) and tokens[at].low in ("about", "around", "the"):
        at += 1
    if not year(at):
        return 0
    at += 1
    while at < len(tokens) and tokens[at].low in (
        "on",
        "onwards",
        "onward",
        "models",
        "ones",
        "model",
        "year",
        "and",
        "later",
        "machines",
        "upwards",
        "built",
        "trucks",
        "forward",
        "up",
    ):
        if tokens[at].low == "and" and not (
            at + 1 < len(tokens) and tokens[at + 1].low in ("later", "on", "onwards", "up")
        ):
            break
        at += 1
    if start and tokens[start - 1].low in ("on", "for"):
        start -= 1
    return at
