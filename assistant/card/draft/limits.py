"""What a reading may be at least and at most."""

from __future__ import annotations

import re
from dataclasses import replace

from .clause import OTHER_SIDE, Clause, Free
from .lending import REJECTED
from .owners import Owners
from .story import Unread
from .thing import Said, Thing
from .torques import is_bare

_FUSED = (
    "not be more",
    "not be over",
    "not be less",
    "not be under",
    "not more",
    "not over",
    "not less",
    "not under",
    "not exceed",
    "never more",
    "never less",
    "not be above",
    "not be below",
    "not be greater",
    "not be smaller",
    "not be thinner",
)
"""A "not" that belongs to the comparison itself."""


_REJECTED = frozenset(
    {
        "change",
        "replace",
        "renew",
        "bin",
        "scrap",
        "swap",
        "chuck",
        "discard",
        "reject",
        "overdue",
        "condemned",
        "finished",
        "useless",
        "dead",
        "scrapped",
        "unacceptable",
    }
)
"""Words by which what is named is too much or too little, and not what is allowed."""


_TURNED_ALREADY = re.compile(r"\b(?:anything|if (?:it|they) (?:is|are)|once it is|when it is|less than that)\b")


_BARRED = re.compile(
    r"\b(?:is|are) (?:not|no longer|never) (?:permitted|allowed|acceptable|tolerated|good|any good|on|"
    r"okay|ok)\b|\b(?:is|are|be|was) worn\b|\bworn out\b"
)
""" "More than 1.2 millimetres is not permitted"."""
_NOTS = frozenset({"don't", "do not", "doesn't", "isn't", "aren't", "not", "never", "must not", "mustn't", "shouldn't",
                   "should not", "can't", "cannot", "won't", "wouldn't"})  # fmt: skip
_OUTRIGHT = re.compile(
    r"\b(?:is the (?:limit|most|least|maximum|minimum)|at (?:the )?(?:most|least)|maximum|minimum|tops)\b"
)
"""What is allowed, said so outright, whatever comes of the rest."""


class Limits(Owners):
    """What a reading may be at least and at most."""

    def limit(self, measure: Thing, free: Free, clause: Clause, said: Said) -> None:
        """A limit of a measure that is named beside it."""
        self._limit(measure, free, clause, said)

    def _limit(self, measure: Thing, free: Free, clause: Clause, said: Said) -> None:
        figure = free.figure
        outright = _OUTRIGHT.search(" ".join(clause.lows))
        barred = _BARRED.search(" ".join(clause.lows))
        if (
            (barred or _REJECTED & set(clause.lows))
            and not outright
            and free.beside != REJECTED
            and not _TURNED_ALREADY.search(" ".join(clause.lows))
        ):
            free.before = OTHER_SIDE.get(free.before, free.before)  # "change them under 3 millimetres"
            free.beside = OTHER_SIDE.get(free.beside, free.beside)
        side = free.before if free.before in ("most", "least") else free.beside
        fused = side in ("most", "least")
        allowed_for = False
        if clause.negated in ("don't", "do not", "doesn't", "won't", "never") and clause.verb in (
            "want",
            "like",
            "let",
            "get",
        ):
            side = OTHER_SIDE.get(side, side)  # "you don't want less than nine millimetres"
            fused, allowed_for = False, True
        doubled = bool(
            not (barred or allowed_for)
            and _NOTS & {*clause.lows, clause.negated}
            and not any(low in " ".join(clause.lows) for low in _FUSED)
        )
        if fused and doubled and clause.negated:
            self.unread.append(Unread(said, f'a limit ({figure.said}) with a "not" that could turn it round'))
            return
        if figure.low is not None and figure.high is not None:
            soon = self.things.clause - self.limited_at.get(measure.number, -100) <= 4
            if soon and measure.low is not None and measure.high is not None:
                if (measure.low.value, measure.high.value) != (figure.low, figure.high):
                    measure.doubt(f'said again at once as "{figure.said}": taken so')
                measure.low = measure.high = None
            self.limited_at[measure.number] = self.things.clause
            if measure.limit_turned:
                measure.low, measure.high, measure.limit_turned = None, None, False
            elif (measure.low or measure.high) is not None and not (
                measure.low is not None
                and measure.high is not None
                and (measure.low.value, measure.high.value) == (figure.low, figure.high)
            ):
                measure.doubt(f'other limits said later: "{figure.said}": which?')
            measure.low, measure.high = (
                measure.low or replace(figure, value=figure.low),
                measure.high or replace(figure, value=figure.high),
            )
        elif (told := told_elsewhere(clause)) and not fused:
            if told == "least":
                measure.low = measure.low or figure
            else:
                measure.high = measure.high or figure
        elif side == "most":
            measure.limit_plain = (
                measure.high is None and "limit" in clause.lows and not {"most", "max"} & set(clause.lows)
            )
            measure.high = measure.high or figure
        elif side == "least":
            measure.low = measure.low or figure
        else:
            measure.doubt(f'"{figure.said}" was said, but not whether it is the least, the most or the nominal')
            self.unread.append(Unread(said, f"{figure.said}: least, most or nominal?"))
            return
        self.bound += 1


def turn_plain_limit(measure: Thing, clause: Clause) -> bool:
    """ "The limit is five millimetres. Under that it's scrap": so nothing less is allowed."""
    opens = clause.lows[:1] in (("under",), ("below",)) or clause.lows[:2] in (("less", "than"), ("thinner", "than"))
    if not (opens and {"that", "this", "it"} & set(clause.lows[:4]) and measure.limit_plain) or clause.figures:
        return False
    measure.low, measure.high, measure.limit_plain = measure.high, None, False
    return True


def told_elsewhere(clause: Clause) -> str:
    """ "Minimum thickness is 3 mm", "the limit is four millimetres, below that they get changed"; empty where not."""
    units = [free for free in clause.figures if free.figure.unit]
    text = " ".join(clause.lows)
    if len(units) != 1:
        return ""
    least = bool({"minimum", "min"} & set(clause.lows)) or bool(
        re.search(r"\b(?:below|under|less than) (?:that|this|it)\b", text)
    )
    if re.search(r"\bthe (?:most|maximum) (?:we|you|i|it|they|that|he|anyone)\b", text):
        return "most"
    if re.search(r"\bthe (?:least|minimum) (?:we|you|i|it|they|that|he|anyone)\b", text):
        return "least"
    most = bool({"maximum", "max"} & set(clause.lows)) or bool(
        re.search(r"\b(?:above|over|beyond|past|more than) (?:that|this|it)\b", text)
    )
    return "" if least == most else "least" if least else "most"


def share_limit_unit(clause: Clause, owners: list[Thing]) -> None:
    """ "No more than 0.4 millimetres and not below 0.2": one unit for both limits of the same thing."""
    if len([thing for thing in owners if thing.kind == "measure"]) > 1:
        return
    units = {free.figure.unit for free in clause.figures if free.figure.unit}
    limits = [free for free in clause.figures if {free.before, free.beside} & {"most", "least"}]
    if len(units) != 1:
        return
    for free in limits:
        if is_bare(free):
            free.figure = replace(free.figure, unit=next(iter(units)))
