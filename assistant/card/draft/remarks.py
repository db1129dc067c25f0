"""What is said around the work: cautions, what to do if it does not come, what to make sure of, reasons."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from .clause import Clause
from .piece import Piece
from .story import Telling, Trouble
from .thing import Said

_STUCK = frozenset(
    [
        "stuck",
        "seized",
        "sticks",
        "stick",
        "tight",
        "binds",
        "bind",
        "fights",
        "fight",
        "refuses",
        "jams",
        "jam",
        "hangs",
        "frozen",
        "rusted",
        "stubborn",
    ]
)
_WONT = frozenset(
    {
        "won't",
        "will not",
        "doesn't",
        "does not",
        "don't",
        "do not",
        "can't",
        "cannot",
        "isn't",
        "aren't",
        "not",
        "wouldn't",
    }
)
_WARNING = re.compile(
    r"^(?:and |but |so |now |oh |then |, |just )*(?:be (?:very |really )?careful|careful|take care|"
    r"watch (?:out|your|it|that|for|the(?! (?:\w+ ){1,3}for )|yourself)|mind (?:you|your|the|that|it|out|yourself)|"
    r"look out|caution|warning|danger|beware|never (?!mind|less|more|under|over|"
    r"below|above|fewer)|don't (?!forget|worry|know|think|need|"
    r"have|bother|remember|care|want|see|ask|mind)|do not (?!forget|worry|know|think|need|have)|"
    r"keep (?:your |clear|everyone|people|hands|fingers|away)|wear (?=(?:your|a|an|the|some|gloves|goggles|glasses|"
    r"eye|ear|safety|protect\w*|boots|mask|hard|face|good|leather|rubber|thick)\b)|stay clear|make sure (?:nobody|"
    r"no one)|nobody |no one |you (?:never|don't ever|must not|mustn't|don't want to) )"
)
_POSITIVE = re.compile(r"^(?:and |but |so |now |oh |then |, )*(?:don't forget|do not forget)")
_HAZARD = re.compile(
    r"\b(?:heavy|hot|sharp|under pressure|under tension|spring loaded|loaded|will drop|will fall|"
    r"will swing|will spring|can drop|can fall|trap|crush|burn|burns|slippery|live|poisonous)\b"
)
_SURE = re.compile(
    r"^(?:and |but |so |now |then |, |also |you )*(?:make sure|be sure|ensure|see that|check that|"
    r"check if|check whether|make certain)(?: that)? (?P<what>(?!you |to |that you |nobody|no one).+)$"
)
_AHEAD = re.compile(r"\b(?:here|next|now|when you|before you|this one|this bit|as you)\b")


@dataclass(slots=True)
class Remark:
    rest: list[Piece]
    """Pieces that are no remark."""
    cautions: list[tuple[str, str]] = field(default_factory=list)
    """Words and where they stand: first, last, alone, ahead."""
    trouble: Trouble | None = None
    check: str = ""
    why: str = ""
    told: bool = False


class Remarks:
    def __init__(self) -> None:
        self.general: list[str] = []
        self.pending: list[str] = []
        """Cautions for the next step."""
        self.last_trouble: Trouble | None = None

    def read(self, pieces: Sequence[Piece], said: Said, latest: Telling | None) -> Remark:
        remark = Remark([])
        at = 0
        while at < len(pieces):
            clause = pieces[at].clause
            text = " ".join(clause.lows).strip(" ,.")
            if _is_trouble(clause):
                at = self._trouble(remark, pieces, at)
                continue
            if _SURE.match(text) and not clause.sub:
                end = _with_sides(pieces, at)
                what = _SURE.match(" ".join(_words(pieces[at:end]).lower().split()))
                if what is not None:
                    remark.check = f"{_capital(what['what'].strip(' ,.'))}: is that so?"
                    remark.told = True
                    at = end
                    continue
            if (
                _WARNING.match(text)
                and not _POSITIVE.match(text)
                and not (clause.meaning and not clause.negated and clause.objects and text.startswith(("keep", "wear")))
            ):
                end = _with_sides(pieces, at)
                words = _words(pieces[at:end])
                if (
                    self.last_trouble is not None
                    and at == 0
                    and text.startswith(("never", "don't", "do not"))
                    and latest is not None
                    and self.last_trouble in latest.troubles
                    and not self.last_trouble.never
                ):
                    self.last_trouble.never = words
                elif remark.trouble is not None and text.startswith(
                    ("and never", "never", "don't", "and don't", "but never", "but don't")
                ):
                    remark.trouble.never = words
                else:
                    place = "alone" if end - at == len(pieces) else "first" if at == 0 else "last"
                    if place == "alone" and _AHEAD.search(text):
                        place = "ahead"
                    remark.cautions.append((words, place))
                remark.told = True
                remark.rest.extend(piece for piece in pieces[at + 1 : end] if piece.clause.figures)
                at = end
                continue
            if clause.tail in _REASONS or (clause.sub in _REASONS and not clause.figures and remark.rest):
                remark.why = remark.why or _reason(pieces, at)
            elif _HAZARD.search(text) and not clause.meaning and not clause.figures and not clause.sub:
                remark.cautions.append((_words(pieces[at : at + 1]), "last" if at else "alone"))
                remark.told = True
            remark.rest.append(pieces[at])
            at += 1
        if remark.rest or remark.trouble is None:
            self.last_trouble = remark.trouble or (self.last_trouble if remark.told and not remark.rest else None)
        return remark

    def _trouble(self, remark: Remark, pieces: Sequence[Piece], at: int) -> int:
        sign = _words(pieces[at : at + 1])
        do: list[str] = []
        end = at + 1
        never = ""
        if end < len(pieces):
            while end < len(pieces):
                text = " ".join(pieces[end].clause.lows).strip(" ,.")
                if re.match(r"^(?:and |but )?(?:never|don't|do not)\b", text):
                    never = _words(pieces[end : _with_sides(pieces, end)])
                    end = _with_sides(pieces, end)
                else:
                    do.append(_words(pieces[end : end + 1]))
                    end += 1
        elif remark.rest and not remark.rest[-1].clause.sub:
            do.append(_words([remark.rest.pop()]))
        remark.trouble = Trouble(_capital(sign), _capital(", ".join(do)), _capital(never))
        self.last_trouble = remark.trouble
        remark.told = True
        return end

    def place(self, remark: Remark, made: list[Telling], steps: list[Telling]) -> None:
        """Puts the remarks of a sentence on the steps that they belong to."""
        if made and self.pending:
            made[0].cautions.extend(self.pending)
            self.pending = []
        for words, where in remark.cautions:
            text = _capital(words)
            if made:
                (made[0] if where == "first" else made[-1]).cautions.append(text)
            elif where == "ahead":
                self.pending.append(text)
            elif steps:
                _nearest(words, steps).cautions.append(text)
            else:
                self.general.append(text)
        target = made[-1] if made else steps[-1] if steps else None
        if target is None:
            return
        if remark.trouble is not None:
            if remark.trouble.do:
                target.troubles.append(remark.trouble)
            else:
                target.doubt(f'trouble named, but not what to do: "{remark.trouble.sign}"')
        if remark.check:
            if target.check:
                target.how.append(remark.check)
            else:
                target.check = remark.check
        if remark.why and made and not target.why:
            target.why = _capital(remark.why)


def _nearest(words: str, steps: list[Telling]) -> Telling:
    """The step that works on what the words name, among the last few; else the last."""
    said = set(re.findall(r"[a-z]+", words.lower()))
    for step in reversed(steps[-5:]):
        if any(deed.thing is not None and deed.thing.head in said for deed in step.deeds):
            return step
    return steps[-1]


def _is_trouble(clause: Clause) -> bool:
    if clause.sub not in ("if", "when", "in case"):
        return False
    lows = set(clause.lows)
    wont = clause.negated in _WONT or bool(lows & {"won't", "doesn't", "can't", "refuses"})
    names = bool(clause.subject) or bool(lows & {"it", "they", "one", "that", "them"})
    moves = (
        clause.verb
        in (
            "come",
            "move",
            "go",
            "turn",
            "start",
            "slide",
            "fit",
            "seat",
            "drop",
            "pull",
            "get",
            "budge",
            "shift",
            "break",
            "crack",
            "free",
            "release",
            "line",
            "let",
            "",
        )
        or "budge" in lows
        or "want" in lows
    )
    return names and ((wont and moves and not lows & {"have", "has", "there"}) or bool(lows & _STUCK))


_REASONS = frozenset({"because", "since", "otherwise", "cause", "so it", "so that", "in case", "so they"})


def _reason(pieces: Sequence[Piece], at: int) -> str:
    """ "because it is heavy and it will come down on your head": from its first word to the end of the side clauses."""
    clause = pieces[at].clause
    end = at + 1
    while end < len(pieces) and pieces[end].clause.sub in _REASONS:
        end += 1
    words = _words(pieces[at:end])
    if clause.tail:
        found = re.search(rf"\b{clause.tail}\b", words)
        words = words[found.start() :] if found else words
    return words


def _with_sides(pieces: Sequence[Piece], at: int) -> int:
    """A remark with its reasons: "never hit it, because you will wreck the bearing"."""
    end = at + 1
    while end < len(pieces) and (
        pieces[end].clause.sub
        in (
            "because",
            "since",
            "or else",
            "otherwise",
            "cause",
            "before",
            "until",
            "when",
            "while",
            "after",
            "to",
            "unless",
            "once",
            "so it",
            "as",
        )
        or pieces[end].clause.opens == "or"
        or (
            pieces[end].clause.subject
            and pieces[end].clause.subject[0].pronoun
            and not pieces[end].clause.by_person
            and not (pieces[end].clause.meaning and pieces[end].clause.treatments)
            and pieces[end - 1].clause.lows[:1] in (("careful",), ("be",), ("mind",), ("watch",))
        )
    ):
        end += 1
    return end


def _words(pieces: Sequence[Piece]) -> str:
    text = " ".join(piece.clause.words for piece in pieces)
    text = re.sub(r"^(?:and|but|so|oh|then|,|now)\s+(?=\S)", "", text.strip(" ,."), flags=re.IGNORECASE)
    text = re.sub(r"\s+(?:and|but|so|,)$", "", text.strip())
    return " ".join(text.split())


def _capital(words: str) -> str:
    words = words.strip()
    return words[:1].upper() + words[1:] if words else words
