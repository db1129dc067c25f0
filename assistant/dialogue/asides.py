"""The step in depth, and help: caution, how, why, more, stuck, tools, parts, what is that, what can I say."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.card.model import Section, Trouble
from assistant.dialogue.fasteners import in_parts
from assistant.dialogue.named import here, resolve
from assistant.dialogue.steps import cautions_of, focus
from assistant.dialogue.view import Turn, View
from assistant.dialogue.wording import bit, capital, say, sentence
from assistant.dialogue.wording.english import DIRECTIONS, GLOSSARY, HELP, listed
from assistant.grammar.names import NOT_ON_CARD
from assistant.grammar.request import Request
from assistant.job.memory import State
from assistant.job.plan import Place
from assistant.voice.wording import show_amount, show_quantity


def caution(view: View, turn: Turn, request: Request) -> Turn:
    place = focus(turn.state)
    cautions = cautions_of(turn.state, place) if place else tuple(view.card.cautions)
    if not cautions:
        return turn.say("no-caution")
    for words in cautions:
        turn = turn.say("caution", caution=words)
    return turn


def how(view: View, turn: Turn, request: Request) -> Turn:
    place = focus(turn.state)
    if place is None:
        return turn.not_begun()
    return _in_sentences(turn, place.step.how) if place.step.how else turn.say("how-none")


def why(view: View, turn: Turn, request: Request) -> Turn:
    place = focus(turn.state)
    question = turn.standing
    if question is not None and question.name == "fact":
        reason = view.card.facts[question.about["fact"]].why
        return _in_sentences(turn, reason) if reason else turn.say("why-none")
    if place is None:
        return turn.not_begun()
    return _in_sentences(turn, place.step.why) if place.step.why else turn.say("why-none")


def more(view: View, turn: Turn, request: Request) -> Turn:
    return turn.further()


def _in_sentences(turn: Turn, words: str) -> Turn:
    """Two sentences; "more" goes on with the rest."""
    sentences = _sentences(words)
    turn = turn.line(" ".join(sentences[:2]))
    rest = tuple(" ".join(sentences[n : n + 2]) for n in range(2, len(sentences), 2))
    return turn.going_on(rest)


def _sentences(words: str) -> list[str]:
    found: list[str] = [""]
    for word in words.split():
        found[-1] = f"{found[-1]} {word}".strip()
        if word.endswith((".", "?", "!")) and len(word) > 2:
            found.append("")
    return [sentence for sentence in found if sentence]


def stuck(view: View, turn: Turn, request: Request) -> Turn:
    """It does not come off, or will not go on: what the card says, and what never to use."""
    place = focus(turn.state)
    thing, asked = resolve(view, turn, request, "fastener", "fastener")
    if asked is not None:
        return asked
    if thing:
        turn = turn.about(thing)
    troubles = _trouble_with(turn.state.plan.name_of(thing) if thing else "", place)
    if not troubles:
        return turn.say("stuck-none")
    rest = []
    for n, trouble in enumerate(troubles):
        words = say("stuck", sign=trouble.sign.rstrip(".:"), do=sentence(trouble.do), never=_never(trouble.never))
        if n == 0:
            turn = turn.line(words)
        else:
            rest.append(words)
    return turn.going_on(tuple(rest))


def _trouble_with(name: str, place: Place | None) -> list[Trouble]:
    """What the step says of things that stick, that of the thing named first."""
    if place is None:
        return []
    words = {word.rstrip("s") for word in name.split()}
    return sorted(
        place.step.trouble,
        key=lambda trouble: -len(words & {w.strip(".,").rstrip("s") for w in trouble.sign.casefold().split()}),
    )


def _never(words: str | None) -> str:
    if not words:
        return ""
    if words.casefold().startswith(bit("never", words="").casefold().strip()):
        return sentence(words)
    return sentence(bit("never", words=words[:1].lower() + words[1:]))


def what_is(view: View, turn: Turn, request: Request) -> Turn:
    """What a thing on the card is, or a word of the trade, in a sentence or two."""
    word = str(request.slots.get("thing", "")).removeprefix(NOT_ON_CARD)
    if word in GLOSSARY and word not in turn.state.plan.things:
        return turn.say("what-is", name=capital(word), what=GLOSSARY[word])
    thing, asked = resolve(view, turn, request, "thing", "thing")
    if not thing:
        if asked is not None:
            return asked
        there = [t for t in here(turn.state, "thing") if t in turn.state.plan.things]
        if len(there) != 1:
            if not there:
                return turn.not_begun() if not turn.state.at else turn.say("parts-none")
            return turn.say("what-is-here", things=listed([turn.state.plan.name_of(t) for t in there]))
        thing = there[0]
    sort, it = turn.state.plan.things[thing]
    if sort == "fastener":
        turn = turn.about(thing)
    words = it.what or _described(turn.state, sort, thing)
    if not words:
        return turn.say("what-is-none", name=capital(it.name))
    sentences = _sentences(words)
    turn = turn.say("what-is", name=capital(it.name), what=" ".join(sentences[:2]))
    return turn.going_on(tuple(sentences[2:]))


def _described(state: State, sort: str, thing: str) -> str:
    """A description made of what the card states, where it has none in words."""
    card = state.the_card
    if sort == "fastener":
        fastener = card.fasteners[thing]
        parts = [state.plan.name_of(p) for p in fastener.joins]
        words = [bit("off-the-card", n=fastener.count) if fastener.count else fastener.kind]
        words += [fastener.thread] if fastener.thread else []
        words += [bit("through", parts=listed(parts))] if parts else []
        return ", ".join(words)
    if sort == "part":
        part = card.parts[thing]
        words = [show_amount(part.mass_kg, "kg")] if part.mass_kg else []
        words += [bit("part-number", number=part.number)] if part.number else []
        words += [bit("new-goes-in")] if part.new else []
        return ", ".join(words)
    if sort == "fluid":
        fluid = card.fluids[thing]
        words = [show_quantity(fluid.quantity, fluid.unit)] if fluid.quantity else []
        words += [fluid.grade] if fluid.grade else []
        return ", ".join(words)
    if sort == "consumable":
        return card.consumables[thing].quantity or ""
    if sort == "support":
        carries = [state.plan.name_of(p) if p != "vehicle" else bit("vehicle") for p in card.supports[thing].carries]
        return bit("carries", parts=listed(carries)) if carries else ""
    return ""


def which_tool(view: View, turn: Turn, request: Request) -> Turn:
    """What to take into the hand for this step. Where the card lists none, how it is done says what with."""
    place = focus(turn.state)
    if place is None:
        return turn.not_begun()
    names = list(dict.fromkeys([*_tools_of(turn.state, [place]), *_taken_along(turn.state, place)]))
    if names:
        return turn.say("tools", tools=listed(names))
    if place.step.how:
        return _in_sentences(turn.say("tools-none-listed"), place.step.how)
    return turn.say("tools-none")


def _taken_along(state: State, place: Place) -> list[str]:
    """Supports, covers and materials that the step puts to use."""
    return [
        state.plan.name_of(deed.thing)
        for deed in state.plan.deeds(place.step.id, state.facts)
        if deed.verb in ("support", "cover", "apply")
    ]


def _tools_of(state: State, places: Sequence[Place]) -> list[str]:
    card = state.the_card
    found: list[str] = []
    heads: list[str] = []
    for place in places:
        found += [card.tools[t].name for t in place.step.tools if t in card.tools]
        for deed in state.plan.deeds(place.step.id, state.facts):
            fastener = card.fasteners.get(deed.thing)
            if fastener is not None:
                if fastener.tool and deed.verb == "tighten":
                    found.append(card.tools[fastener.tool].name)
                if fastener.head:
                    one = len(places) == 1
                    heads.append(bit("head-for", head=fastener.head, fastener=fastener.name) if one else fastener.head)
            measure = card.measures.get(deed.thing)
            if measure is not None and measure.tool:
                found.append(card.tools[measure.tool].name)
    found += sorted(heads, key=_by_size) if len(places) > 1 else heads
    return list(dict.fromkeys(found))


def _by_size(head: str) -> tuple[str, int]:
    """ "10 mm hex" before "16 mm hex", each kind of head by itself."""
    figure, _, kind = head.partition(" ")
    return kind, int(figure) if figure.isdigit() else 0


def _parts_of(state: State, places: Sequence[Place]) -> list[str]:
    card = state.the_card
    found: list[str] = []
    for place in places:
        for deed in state.plan.deeds(place.step.id, state.facts):
            part = card.parts.get(deed.thing)
            if part is not None and deed.verb == "fit" and (part.new or part.number):
                number = f", {part.number}" if part.number else ""
                is_named_new = bit("new-part", part="").strip() in part.name
                name = part.name if is_named_new or not part.new else bit("new-part", part=part.name)
                found.append(f"{name}{number}")
            fastener = card.fasteners.get(deed.thing)
            if fastener is not None and fastener.reuse and fastener.reuse.rule == "new" and deed.verb in _GO_IN:
                found.append(bit("new-ones", n=fastener.count, fastener=fastener.name))
            consumable = card.consumables.get(deed.thing)
            if consumable is not None:
                amount = f", {consumable.quantity}" if consumable.quantity else ""
                found.append(f"{consumable.name}{amount}")
            fluid = card.fluids.get(deed.thing)
            if fluid is not None and deed.verb == "fill":
                amount = f", {show_amount(fluid.quantity, fluid.unit)}" if fluid.quantity else ""
                found.append(f"{fluid.name}{amount}")
    return list(dict.fromkeys(found))


_GO_IN = ("start", "snug", "tighten")


def tools(view: View, turn: Turn, request: Request) -> Turn:
    """All tools of the card, or of the section we are in."""
    section = _section(view, turn.state, request)
    places = [p for p in turn.state.path if section is None or p.section.id == section.id]
    names = _tools_of(turn.state, places)
    if not names:
        return turn.say("tools-none")
    return in_parts(turn, [bit("tools", first=names[0]), *names[1:]], 6)


def parts(view: View, turn: Turn, request: Request) -> Turn:
    """New parts, fluids and materials."""
    names = _parts_of(turn.state, turn.state.path)
    if not names:
        return turn.say("parts-none")
    return in_parts(turn, [bit("parts", first=names[0]), *names[1:]], 6)


def needed(view: View, turn: Turn, request: Request) -> Turn:
    """Tools and parts for a section: the one named, or the one after this."""
    state = turn.state
    section = _section(view, state, request) or _next_section(state)
    places = [p for p in state.path if p.section.id == section.id]
    names = _tools_of(state, places) + _parts_of(state, places)
    if not names:
        return turn.say("needed-none", section=section.name)
    return in_parts(turn, [bit("headed", head=section.name, first=names[0]), *names[1:]], 6)


def _section(view: View, state: State, request: Request) -> Section | None:
    words = str(request.slots.get("section", "")).strip().casefold()
    here_now = state.place.section if state.place else state.the_card.sections[0]
    if words in DIRECTIONS["this"]:
        return here_now
    if words in DIRECTIONS["next"]:
        return _next_section(state)
    for section in state.the_card.sections:
        if words and words in (section.id, section.name.casefold()):
            return section
    return None


def _next_section(state: State) -> Section:
    sections = list(state.the_card.sections)
    if state.place is None:
        return sections[0]
    at = next(n for n, s in enumerate(sections) if s.id == state.place.section.id)
    return sections[min(at + 1, len(sections) - 1)]


def help_(view: View, turn: Turn, request: Request) -> Turn:
    """What can be said now: what answers the question first, then what is always good."""
    state = turn.state
    question = state.question
    groups: list[str] = []
    if question is not None:
        groups.append(HELP.get(question.name, HELP["question"]))
    elif state.bolting:
        groups.append(HELP["bolts"])
    elif not state.at:
        groups.append(HELP["start"])
    else:
        groups.append(HELP["step"])
    groups += [HELP["fastener"], HELP["record"], HELP["job"]]
    return turn.line(groups[0]).going_on(tuple(groups[1:]))
