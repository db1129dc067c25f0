"""From clauses to steps: which verb, which thing, which value belongs to what."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from .acting import act
from .amend import amended
from .clause import Clause
from .holding import holds
from .lexicon import lexicon
from .limits import turn_plain_limit
from .own_words import own_words
from .passing import side_clause, told_in_passing
from .piece import Piece
from .sections import sections, single
from .smeared import fasteners_get
from .stating import leave, needs, state
from .story import Understanding, Unread, said_of
from .taken_back import TakenBack
from .telling import Told, latest_step, mention_known
from .thing import Said
from .unlikely import withdraw_unlikely
from .words import Sentence

MOST_STEPS = 600
"""Longer than any one job: the rest is left out and the draft says so."""


MOST_SENTENCES = 6000
"""More than six hours of talk: of what comes after, nothing is read, and the draft says so."""


def understood(heard: Sequence[Sentence]) -> Understanding:
    """What the sentences tell. Never raises: what is not understood is listed."""
    told = Told()
    slips = TakenBack()
    done = 0
    for pieces in amended(heard, own_words(heard[:MOST_SENTENCES])):
        if len(told.steps) >= MOST_STEPS or done >= MOST_SENTENCES:
            break
        _take(told, pieces)
        slips.look(told, pieces[0].sentence, said_of(pieces[0]))
        done += 1
    full = len(told.steps) >= MOST_STEPS or done >= MOST_SENTENCES
    return _finished(told, len(heard) - done if full else 0)


def _take(told: Told, pieces: list[Piece]) -> None:
    said = said_of(pieces[0])
    lows = tuple(token.low for token in pieces[0].sentence.tokens)
    titled = _note_title(told, pieces, said)
    if pieces[0].asked and not _asks_for_work(lows):
        _glance(told, pieces, said)
        return
    told.made = []
    told.insert_at = None
    told.values.begin_sentence(said.words)
    before = (len(told.steps), len(told.things.all), told.values.bound)
    if _going_back(told, lows) and _opened_something(told):
        told.back = True
    told.when = told.conditions.of_place(pieces[0].condition, said) if pieces[0].condition else {}
    if pieces[0].clause.negated:
        _not_out_yet(told, pieces[0].clause)
    remark = told.remarks.read(pieces, said, latest_step(told))
    told.values.only_if = False
    for piece in remark.rest:
        if piece.first and piece.clause.sub in ("if", "unless"):
            told.values.only_if = True
        if piece.open_numbers:
            numbers = ", ".join(dict.fromkeys(piece.open_numbers))
            told.unread.append(Unread(said, f"put right in a way that could not be read ({numbers}): which?"))
        told.things.clause += 1
        told_more = piece.clause.figures or any(one.count for one in piece.clause.mentions)
        if titled and not piece.clause.verb and not told_more:
            continue  # "this is the prop shaft, transfer box down to the axle": what the talk is about
        _piece(told, piece, said)
        if told.conditions.now:
            told.values.only_if = False  # a fact of the vehicle: the step hangs on it
    told.values.only_if = False
    told.remarks.place(remark, told.made, told.steps)
    told.conditions.end_sentence()
    anything = (
        (len(told.steps), len(told.things.all), told.values.bound) != before or remark.told or bool(pieces[0].condition)
    )
    if not anything and not _back_only(told, lows):
        _not_told(told, pieces, said)


def _opened_something(told: Told) -> bool:
    return any(deed.verb in ("remove", "take_out", "disconnect", "drain") for step in told.steps for deed in step.deeds)


def _back_only(told: Told, lows: tuple[str, ...]) -> bool:
    return _going_back(told, lows) and len(lows) < 14


def _going_back(told: Told, lows: tuple[str, ...]) -> bool:
    return bool(_going_back_cue().search(" ".join(lows)))


def _note_title(told: Told, pieces: list[Piece], said: Said) -> bool:
    """What the talk is about, taken from its first sentences; whether this sentence said so outright."""
    if told.title or told.steps:
        return False
    text = said.words.strip(" .!?")
    found = re.search(
        r"(?:how (?:to|you|we|i) (?:do |did |change |replace |remove |take out |fit )?|(?:talk|walk|take|"
        r"run) you through (?:doing |how to |how you |changing )?|"
        r"\b(?:this is|today is|here is|job is|going to do|"
        r"(?:we're|we are|i'm|i am|we|i) (?:doing|changing|replacing|renewing|change|replace|renew)) )"
        r"(?P<what>(?:the|a|an|changing|doing|replacing|removing|taking)\b[^,.;]*)",
        text,
        re.IGNORECASE,
    )
    if found:
        told.title = re.sub(r"^the ", "", found["what"].strip(), flags=re.IGNORECASE)[:80].strip()
        return True
    clause = pieces[0].clause
    only_things = not any(
        piece.clause.verb
        or piece.clause.meaning
        or piece.clause.figures
        or {"is", "are", "be", "must"} & set(piece.clause.lows)
        for piece in pieces
    )
    if (
        only_things
        and clause.objects
        and "part" in clause.objects[0].kinds
        and not pieces[0].asked
        and not told.things.all
    ):
        told.title = re.sub(r"^(?:so|right|okay|ok|now|well)[, ]+", "", text, flags=re.IGNORECASE).strip(" ,-")
        told.title = re.sub(r"^the ", "", told.title)[:80]
    return False


def _glance(told: Told, pieces: list[Piece], said: Said) -> None:
    """A question does nothing; but what it names is then spoken of."""
    for piece in pieces:
        for mention in piece.clause.mentions:
            if mention.head and mention.kinds:
                found = told.things.known(mention, mention.kinds[0], None)
                if len(found.things) == 1:
                    told.things.speak_of(found.things[0])
                    told.things.turn_to(found.things[0])


def _not_told(told: Told, pieces: list[Piece], said: Said) -> None:
    items = [mention for piece in pieces for mention in piece.clause.mentions if mention.head and not mention.unknown]
    figures = [
        free.figure for piece in pieces for free in piece.clause.figures if free.figure.unit or free.figure.thread
    ]
    acts = any(piece.clause.meaning and not piece.clause.sub and not piece.clause.negated for piece in pieces)
    if told.unread and told.unread[-1].said.words == said.words:
        return
    if (
        all(piece.clause.going_on or not piece.clause.meaning for piece in pieces)
        and not figures
        and any(piece.clause.going_on for piece in pieces)
    ):
        told.aside.append(said)
        return
    worth = figures or (items and (acts or any(mention.kinds[0] in ("fastener", "measure") for mention in items)))
    if not told.steps and not told.title and any(mention.kinds[:1] == ("part",) for mention in items) and not figures:
        told.title = said.words.strip(" .")[:80].strip()
        return
    if worth and not said.words.endswith("?"):
        told.unread.append(Unread(said, "trade words, but no action or value that could be placed"))
    else:
        told.aside.append(said)


def _piece(told: Told, piece: Piece, said: Said) -> None:
    clause = piece.clause
    when = {**told.when, **told.conditions.now}
    if clause.sub:
        side_clause(told, piece, said)
        return
    bolted = any(one.kinds[:1] == ("fastener",) for one in clause.objects)
    if clause.verb in ("start", "run") and clause.treatments == ["dry"] and not (clause.by_person or bolted):
        clause.treatments = []  # "start it dry and you've bought another pump"
    measured = told.things.latest(("measure",), within=4)
    if measured is not None and turn_plain_limit(measured, clause):
        told.values.bound += 1
        return
    if clause.negated:
        mention_known(told, clause, said)
        told.values.negated(clause, said)
        return
    if clause.verb == "give" and clause.objects:
        light = set(clause.lows)
        clause.meaning = "clean" if light & _WIPES else "inspect" if light & {"look", "check", "over"} else ""
        del clause.objects[1:]
    if clause.verb == "go" and not clause.particle and "can" in clause.lows and not clause.by_person:
        clause.meaning = "let-go"  # "then the jack can go"
    if clause.meaning == "holds" and clause.verb == "hold" and not (clause.subject or clause.passive or clause.third):
        bolts = [one for one in clause.objects if one.kinds[:1] == ("fastener",)]
        if bolts and not clause.by_person and told.steps:
            told.steps[-1].how.append(clause.words)  # "hold the wedge nut with the other spanner"
            told.values.bound += 1
            return
    if clause.meaning == "holds":
        holds(told, clause, said)
        return
    if clause.meaning == "needs" and clause.by_person and any(link == "out of" for link, _ in clause.beside):
        clause.meaning = "open"  # "you want the drain plug out of the tank"
    if clause.meaning == "needs":
        if any(free.figure.dimension == "torque" for free in clause.figures):
            clause.meaning = ""
            state(told, piece, said, when)  # "the nuts want ninety newton metres"
        else:
            needs(told, piece, said, when)
        return
    if clause.meaning == "leave" and clause.third and clause.subject[:1] and clause.subject[0].pronoun:
        clause.meaning = ""  # "that leaves the pivot bolt at the front. That's an M24"
    if clause.meaning == "leave":
        leave(told, piece, said)
        return
    if _of_people(clause):
        mention_known(told, clause, said)
        return
    if fasteners_get(told, clause, said):
        return
    if clause.verb in ("fit", "suit", "do") and clause.subject[:1] and clause.subject[0].kinds[:1] == ("tool",):
        clause.meaning = ""
    bolts_up = clause.meaning == "raise" and not clause.verb and not told.back and clause.objects[:1]
    if bolts_up and clause.objects[0].kinds[:1] == ("fastener",) and clause.objects[0].count and clause.beside:
        clause.meaning = clause.particle = ""  # "two bracket bolts up into the crossmember": where they are
    if clause.meaning and clause.meaning in lexicon().meanings and act(told, piece, said, when):
        return
    state(told, piece, said, when)


def _not_out_yet(told: Told, clause: Clause) -> None:
    """ "Undo the nuts, but don't take them off yet": only loosened."""
    last = told.steps[-1].deeds[-1] if told.steps and told.steps[-1].deeds else None
    again = (
        clause.objects[:1] and clause.objects[0].pronoun and clause.verb in ("take", "remove", "get", "pull", "undo")
    )
    if last is not None and last.verb == "take_out" and again and clause.meaning == "open" and not told.back:
        last.verb = "loosen"


def _finished(told: Told, cut: int) -> Understanding:
    told_in_passing(told)
    told.steps = [one for step in told.steps for one in single(step)]
    sections(told.steps)
    _say_by_kind(told)
    withdraw_unlikely(told.things.all)
    told.values.finish(told.steps)
    _only_spoken_of(told)
    return Understanding(
        told.title,
        told.steps,
        told.things.all,
        told.conditions.all,
        told.unread,
        told.aside,
        told.remarks.general,
        cut,
    )


def _of_people(clause: Clause) -> bool:
    """ "Everybody wants to oil it", "people try to save that seal": what others do, nothing to be done."""
    if clause.lows[:1] in (("somebody",), ("someone",)) and {"every", "always", "once"} & set(clause.lows):
        return True  # "somebody oils them every year"
    who = next((number for number, low in enumerate(clause.lows[:6]) if low in _SOMEBODY), -1)
    told_of = clause.past or bool(clause.treatments) or "once" in clause.lows
    if who >= 0 and told_of and not clause.passive and clause.lows[0] in ("a", "some", "my", "the", "one", "our"):
        return True  # "a lad oiled them once and stretched the lot"
    if who >= 0 and clause.lows[0] in ("a", "some", "my", "we", "one", "our") and "once" in clause.lows[-2:]:
        return True  # "we'd a second engineer put a long one in a short hole once"
    at = next((number for number, low in enumerate(clause.lows) if low in _PEOPLE), -1)
    return 0 <= at <= 2 and not {"you", "i", "we"} & set(clause.lows[:at]) and not clause.figures


_SOMEBODY = frozenset(
    {"lad", "bloke", "fellow", "fella", "chap", "guy", "kid", "apprentice", "youngster", "cousin", "brother", "uncle",
     "nephew", "dad", "engineer", "fitter", "mate", "helper", "student", "trainee", "mechanic", "father", "son",
     "predecessor", "lads", "boy", "boys", "colleague", "man", "driver", "owner"}
)  # fmt: skip
_PEOPLE = frozenset({"everybody", "everyone", "people", "folk", "folks", "most"})


def _only_spoken_of(told: Told) -> None:
    """ "Inside there's two nuts": how many there are of what nothing is done with is asked, and stands nowhere."""
    worked_on = {deed.thing.number for step in told.steps for deed in step.deeds if deed.thing is not None}
    for thing in told.things.all:
        idle = thing.number not in worked_on and not (thing.torque or thing.thread or thing.wrench)
        if thing.kind == "fastener" and idle and thing.count_said is not None and (thing.count or 0) > 1:
            why = f"{thing.count} {thing.name} were spoken of, and nothing was said to be done with them"
            told.unread.append(Unread(thing.count_said, why))


_OF_FASTENERS = {"remove": "take_out", "disconnect": "take_out", "fit": "start", "connect": "start"}


def _say_by_kind(told: Told) -> None:
    """What turned out to be screwed in is taken out and put in as fasteners are."""
    for step in told.steps:
        for deed in step.deeds:
            if deed.thing is not None and deed.thing.kind == "fastener":
                deed.verb = _OF_FASTENERS.get(deed.verb, deed.verb)


_WIPES = frozenset({"scrape", "wipe", "clean", "rub", "brush", "wash", "rinse", "scrub", "blow"})


@lru_cache(maxsize=1)
def _going_back_cue() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(re.escape(cue) for cue in lexicon().words['going_back'])})\b")


def _asks_for_work(lows: tuple[str, ...]) -> bool:
    """ "Can you loosen the bolts?" asks for work; other questions do not."""
    return lows[:2] in (("can", "you"), ("could", "you"), ("will", "you"))
