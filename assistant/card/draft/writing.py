"""The draft as YAML that loads: what was said, with time and words beside it, and what nobody said left open."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.scalarstring import DoubleQuotedScalarString

from assistant.card.plan import VERB_KIND

from .figures import Figure
from .narration import Narration, clock
from .story import Deed, Telling, Understanding
from .thing import Said, Thing
from .wording import sentence_of

TABLES = {
    "tool": "tools",
    "consumable": "consumables",
    "part": "parts",
    "fastener": "fasteners",
    "connection": "connections",
    "fluid": "fluids",
    "cover": "covers",
    "mark": "marks",
    "support": "supports",
    "measure": "measures",
}
_HEADER = """Drafted from a narration ({source}); {passages} passages, {steps} steps.
A draft: a value stands here only if it was said. Whatever was not said is absent or `unknown`.
Settle every `unsure` mark, check each value against the maker's service information, then run `bay check`."""
NOTICE = (
    "A draft from somebody's talk, not checked by anyone. Not to be worked by until every open "
    "question is settled and every value is held against the maker's service information."
)
_WIDTH = 110
_KINDS_OF_FASTENER = {
    "bolt": "bolt",
    "capscrew": "screw",
    "nut": "nut",
    "screw": "screw",
    "stud": "stud",
    "clamp": "clamp",
    "union": "union",
}
_KIND_OF_CONSUMABLE = {
    "grease": "grease",
    "anti-seize": "anti-seize",
    "thread locker": "locker",
    "sealant": "sealant",
    "brake cleaner": "cleaner",
    "cleaner": "cleaner",
    "oil": "oil",
}
_KIND_OF_TOOL = {
    "torque wrench": "torque-wrench",
    "angle gauge": "angle-gauge",
    "impact wrench": "power",
    "rattle gun": "power",
    "heat gun": "power",
}
_GAUGES = ("gauge", "indicator", "micrometer", "vernier", "straight edge", "spring balance")
_FIELD_UNITS = {
    "mm": "mm",
    "in": "in",
    "deg": "deg",
    "N·m": "N·m",
    "lbf·ft": "lbf·ft",
    "N": "N",
    "kPa": "kPa",
    "bar": "bar",
    "psi": "psi",
    "V": "V",
    "ohm": "ohm",
    "L": "L",
    "g": "g",
}
_PLAIN_VERBS = ("move", "clean", "check")
"""Told in words only: the card has no verb for them."""


def card_of(understanding: Understanding, narration: Narration) -> CommentedMap:
    """The draft card with its comments."""
    return _Writer(understanding, narration).card()


def yaml_of(card: CommentedMap) -> str:
    yaml = YAML()
    yaml.width = 118
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.allow_unicode = True
    out = io.StringIO()
    yaml.dump(card, out)
    return out.getvalue()


def slug(words: str) -> str:
    """An id: lower case, hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:54].strip("-") or "thing"


def torque_line(torque: Figure, angle_deg: Decimal | None = None) -> str:
    """As a card writes it: "65 N·m", "22 to 25 N·m", "65 ± 5 N·m", "50 N·m + 90 deg"."""
    tail = f" + {_plain(angle_deg)} deg" if angle_deg is not None else ""
    if torque.low is not None and torque.high is not None:
        if torque.value is not None:
            return f"{_plain(torque.value)} ± {_plain(torque.high - torque.value)} {torque.unit}{tail}"
        return f"{_plain(torque.low)} to {_plain(torque.high)} {torque.unit}{tail}"
    return f"{_plain(torque.value)} {torque.unit}{tail}"


def _plain(value: Decimal | None) -> str:
    if value is None:
        return ""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _number(value: Decimal) -> int | float:
    return int(value) if value == value.to_integral_value() else float(value)


class _Writer:
    def __init__(self, understanding: Understanding, narration: Narration) -> None:
        self.story = understanding
        self.narration = narration
        self.ids: dict[int, str] = {}
        """Thing number to card id."""
        self.names: dict[int, str] = {}
        self.taken: set[str] = {"vehicle"}
        self.used = self._used()

    def _used(self) -> list[Thing]:
        """Things that a step works on or with, and those that such a thing joins; not what was only spoken of."""
        numbers = {
            deed.thing.number
            for step in self.story.steps
            for deed in step.deeds
            if deed.thing is not None and deed.verb not in _PLAIN_VERBS
        }
        numbers |= {tool.number for step in self.story.steps for tool in step.tools}
        told = {
            thing.number
            for thing in self.story.things
            if thing.kind == "fastener" and (thing.torque or thing.thread or thing.count_said)
        }
        told |= {thing.number for thing in self.story.things if thing.kind == "measure" and (thing.low or thing.high)}
        return [thing for thing in self.story.things if thing.number in numbers | told and thing.head != "vehicle"]

    def card(self) -> CommentedMap:
        self._name_things()
        card = CommentedMap()
        title = self.story.title or "unknown"
        card["card"] = slug(title)[:40].strip("-") if self.story.title else "draft"
        card["title"] = _cut(_capital(title), 80)
        card["revision"] = "draft"
        card["notice"] = NOTICE
        card["vehicle"] = "unknown"
        card["maker"] = "unknown"
        if self.story.cautions:
            card["cautions"] = CommentedSeq(_text(words) for words in dict.fromkeys(self.story.cautions))
        if self.story.conditions:
            card["facts"] = self._facts()
        for kind, table in TABLES.items():
            entries = CommentedMap()
            for thing in self.used:
                if thing.kind == kind:
                    entries[self.ids[thing.number]] = self._entry(thing)
                    self._beside(entries, self.ids[thing.number], thing.first, 2)
            if entries:
                card[table] = entries
        card["sections"] = self._sections()
        unsure = self._unsure()
        if unsure:
            card["unsure"] = unsure
        steps = sum(1 for _ in self.story.steps)
        header = _HEADER.format(source=self.narration.source, passages=len(self.narration.passages), steps=steps)
        card.yaml_set_start_comment(_comment_safe(header))
        return card

    # -- names and ids -----------------------------------------------------

    def _name_things(self) -> None:
        seen: dict[str, Thing] = {}
        for thing in self.used:
            name = thing.name
            if name in seen:
                name = self._apart(thing, name, seen)
            seen[name] = thing
            self.names[thing.number] = _cut(name, 80)
            id_ = slug(name)
            number = 2
            while id_ in self.taken:
                id_ = f"{slug(name)[:50]}-{number}"
                number += 1
            self.taken.add(id_)
            self.ids[thing.number] = id_

    def _apart(self, thing: Thing, name: str, seen: dict[str, Thing]) -> str:
        """Another thing goes by the same words: told apart by the part beside it, else by its number, and marked."""
        for part in thing.near:
            named = " ".join([*sorted(part.places), part.head, name])
            if named not in seen:
                thing.doubt(f"named like another: called after the {part.name} that was spoken of with it")
                return named
        number = 2
        while f"{name} {_letter(number)}" in seen:
            number += 1
        thing.doubt("named like another: give it a name of its own, or say that they are the same")
        return f"{name} {_letter(number)}"

    # -- the tables --------------------------------------------------------

    def _facts(self) -> CommentedMap:
        facts = CommentedMap()
        for condition in self.story.conditions.values():
            id_ = condition.id
            fact = CommentedMap(ask=_text(condition.ask))
            fact["options"] = CommentedMap(
                (option, CommentedMap(say=_text(words))) for option, words in condition.options
            )
            facts[id_] = fact
            self._beside(facts, id_, condition.said, 2)
        return facts

    def _entry(self, thing: Thing) -> CommentedMap:
        entry = CommentedMap(name=self.names[thing.number])
        unsure = list(thing.unsure)
        fill = {
            "fastener": self._fastener,
            "part": self._part,
            "fluid": self._fluid,
            "support": self._support,
            "measure": self._measure,
            "tool": self._tool,
            "consumable": self._consumable,
            "mark": self._mark,
        }.get(thing.kind)
        if fill is not None:
            fill(thing, entry, unsure)
        if thing.when:
            entry["when"] = CommentedMap(thing.when)
        if unsure:
            entry["unsure"] = CommentedSeq(_text(reason) for reason in unsure)
        return entry

    def _fastener(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        kind = _KINDS_OF_FASTENER.get(thing.head) or ("plug" if thing.head.endswith(("plug", "bung")) else "bolt")
        entry["kind"] = kind
        entry["count"] = thing.count if thing.count else "unknown"
        if not thing.count:
            unsure.insert(0, "how many was not said")
        if thing.head == "fastener":
            unsure.append("not said whether bolts, nuts or screws")
        if thing.thread:
            entry["thread"] = thing.thread
        if thing.wrench is not None and thing.wrench.value is not None:
            entry["head"] = f"{_plain(thing.wrench.value)} {thing.wrench.unit}"
        if thing.length is not None and thing.length.value is not None and thing.length.unit == "mm":
            entry["length_mm"] = _number(thing.length.value)
        joins = [self.ids[part.number] for part in thing.joins if part.number in self.ids and part.kind == "part"]
        if joins:
            entry["joins"] = _flow(joins)
        if thing.torque is not None:
            entry["torque"] = torque_line(thing.torque, thing.angle_deg)
            said = thing.torque_said
            if said is not None:
                entry["source"] = _text(f"said in the narration{_at(said)}: {_cut(said.words, 300)}")
        elif thing.angle_deg is not None:
            unsure.append(f"an angle of {_plain(thing.angle_deg)} degrees was said, but no torque before it")
        if thing.passes and thing.torque is not None:
            passes = CommentedSeq(_flow_map(torque=torque_line(one)) for one in thing.passes)
            passes.append(_flow_map(torque=torque_line(thing.torque)))
            entry["passes"] = passes
        elif thing.shares and thing.torque is not None:
            passes = CommentedSeq(_flow_map(share=_number(share)) for share in thing.shares)
            if thing.shares[-1] != 100:
                passes.append(_flow_map(share=100))
            entry["passes"] = passes
        if thing.order in ("across", "round"):
            entry["order"] = _flow_map(pattern=thing.order)
        elif thing.order == "middle-out":
            unsure.append("to be tightened from the middle outwards: say how many rows there are")
        if thing.treatment:
            entry["treatment"] = _flow_map(kind=thing.treatment)
            if thing.treatment_where:
                entry["treatment"]["where"] = thing.treatment_where
        if thing.reuse_new:
            entry["reuse"] = _flow_map(rule="new")

    def _part(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        if thing.mass is not None and thing.mass.value is not None:
            if thing.mass.unit == "kg":
                entry["mass_kg"] = _number(thing.mass.value)
            else:
                unsure.append(f'weight said as "{thing.mass.said}": write it in kilograms')
        if thing.part_number:
            entry["number"] = thing.part_number
        if thing.new:
            entry["new"] = True
            old = self._replaced(thing)
            if old is not None:
                entry["replaces"] = self.ids[old.number]
        if thing.old and not any(self._replaced(other) is thing for other in self.used if other.new):
            entry["consumed"] = True

    def _replaced(self, new: Thing) -> Thing | None:
        """The part that came off under the same name and did not go back."""
        done = [(deed.verb, deed.thing) for step in self.story.steps for deed in step.deeds]
        for thing in self.used:
            same = (
                thing.kind == "part"
                and thing.head == new.head
                and not thing.new
                and (not new.words or not thing.words or new.words <= thing.words or thing.words <= new.words)
            )
            if same and ("remove", thing) in done and ("fit", thing) not in done:
                return thing
        return None

    def _fluid(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        if thing.quantity is None or thing.quantity.value is None:
            return
        if thing.quantity.unit in ("L", "mL", "qt", "pt", "kg", "g"):
            entry["quantity"] = _number(thing.quantity.value)
            entry["unit"] = thing.quantity.unit
        else:
            unsure.append(f'amount said as "{thing.quantity.said}"')

    def _support(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        _ = unsure
        carries = [
            "vehicle"
            if part.head in ("vehicle", "wheel", "frame", "chassis", "axle") and part.number not in self.ids
            else self.ids.get(part.number, "")
            for part in thing.joins
        ]
        carries = [part for part in dict.fromkeys(carries) if part]
        if carries:
            entry["carries"] = _flow(carries)

    def _mark(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        _ = unsure
        joins = [self.ids[part.number] for part in thing.joins if part.number in self.ids]
        if joins:
            entry["joins"] = _flow(joins)

    def _measure(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        unit = next((figure.unit for figure in (thing.low, thing.high) if figure is not None and figure.unit), "")
        if unit in _FIELD_UNITS:
            entry["unit"] = unit
            limits = CommentedMap()
            for key, figure in (("low", thing.low), ("high", thing.high)):
                if figure is not None and figure.unit == unit and figure.value is not None:
                    limits[key] = _number(figure.value)
            entry["limits"] = limits
            limits.fa.set_flow_style()
        else:
            entry["unit"] = "mm" if thing.head in _LENGTHS else "count"
            unsure.insert(
                0, f"no limit and no unit was said; `{entry['unit']}` stands here only because a card needs a unit"
            )

    def _tool(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        _ = unsure
        kind = _KIND_OF_TOOL.get(thing.head) or (
            "gauge" if thing.head.endswith(_GAUGES) else "special" if "puller" in thing.head else "hand"
        )
        if kind != "hand":
            entry["kind"] = kind

    def _consumable(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        _ = unsure
        kind = _KIND_OF_CONSUMABLE.get(thing.head)
        if kind:
            entry["kind"] = kind

    # -- the steps ---------------------------------------------------------

    def _sections(self) -> CommentedSeq:
        sections = CommentedSeq()
        for id_, name in (("out", "Out"), ("inspect", "Inspect"), ("back-in", "Back in")):
            steps = [step for step in self.story.steps if step.section == id_]
            if not steps:
                continue
            section = CommentedMap(id=id_, name=name)
            told = CommentedSeq()
            for step in steps:
                told.append(self._step(step))
                told.yaml_set_comment_before_after_key(len(told) - 1, before=_where_said(step.said), indent=6)
            section["steps"] = told
            sections.append(section)
        return sections

    def _step(self, step: Telling) -> CommentedMap:
        told = CommentedMap(id=self._step_id(step))
        told["say"] = _text(sentence_of(step))
        how = [step.words] if any(deed.verb in ("move",) for deed in step.deeds) and len(step.deeds) > 1 else []
        how.extend(step.how)
        if how:
            told["how"] = _text(" ".join(_capital(words).rstrip(".") + "." for words in how))
        if step.why:
            told["why"] = _text(_capital(step.why).rstrip(".") + ".")
        if step.cautions:
            told["cautions"] = CommentedSeq(_text(words.rstrip(".,") + ".") for words in dict.fromkeys(step.cautions))
        if step.check:
            told["check"] = _text(step.check)
        does = CommentedSeq(self._action(deed) for deed in step.deeds if self._can_be_written(deed))
        if does:
            told["does"] = does
        tools = [self.ids[tool.number] for tool in step.tools if tool.number in self.ids]
        if tools:
            told["tools"] = _flow(list(dict.fromkeys(tools)))
        if step.troubles:
            told["trouble"] = CommentedSeq()
            for trouble in step.troubles:
                line = CommentedMap(
                    sign=_text(trouble.sign.rstrip(".,") + "."), do=_text(trouble.do.rstrip(".,") + ".")
                )
                if trouble.never:
                    line["never"] = _text(trouble.never.rstrip(".,") + ".")
                told["trouble"].append(line)
        if step.unsure:
            told["unsure"] = CommentedSeq(_text(reason) for reason in step.unsure)
        if step.when:
            told["when"] = CommentedMap(step.when)
            told["when"].fa.set_flow_style()
        return told

    def _can_be_written(self, deed: Deed) -> bool:
        """Told in words only otherwise: the card has no such verb, or not for that kind of thing."""
        thing = deed.thing
        if thing is None or thing.number not in self.ids or deed.verb in _PLAIN_VERBS:
            return False
        return thing.kind in VERB_KIND[deed.verb]

    def _step_id(self, step: Telling) -> str:
        deed = next((one for one in step.deeds if one.thing is not None), None)
        words = (
            f"{deed.verb} {self.names.get(deed.thing.number, deed.thing.name)}"
            if deed is not None and deed.thing is not None and deed.verb != "move"
            else " ".join(step.words.split()[:6])
        )
        base = slug(words)[:50].strip("-")
        id_, number = base, 2
        while id_ in self.taken:
            id_ = f"{base}-{number}"
            number += 1
        self.taken.add(id_)
        return id_

    def _action(self, deed: Deed) -> CommentedMap:
        assert deed.thing is not None
        action = CommentedMap({deed.verb.replace("_", "-"): self.ids[deed.thing.number]})
        count = deed.thing.count
        if deed.all_but and (count is None or deed.all_but < count):
            action["some"] = _flow_map(all_but=deed.all_but)
        elif deed.count and not deed.rest and (count is None or deed.count < count):
            action["some"] = _flow_map(count=deed.count)
        if deed.to and deed.verb in ("apply",):
            action["to"] = _text(deed.to)
        if len(action) == 1:
            action.fa.set_flow_style()
        return action

    # -- what is left ------------------------------------------------------

    def _unsure(self) -> CommentedSeq:
        lines = CommentedSeq()
        if not self.story.title:
            lines.append("the title was not said")
        lines.append("the vehicle and its maker were not said")
        for item in self.story.unread:
            lines.append(_text(f'{item.why}{_at(item.said)}: "{_cut(item.said.words, 400)}"'))
        for piece in self.narration.skipped:
            lines.append(_text(f"not read, {piece.where} ({piece.why}): {_cut(piece.words, 200)}"))
        if self.story.cut:
            lines.append(
                f"the narration goes on: {self.story.cut} more sentences were left out, since no card has so many "
                f"steps; split it by jobs"
            )
        return lines

    def _beside(self, mapping: CommentedMap, key: str, said: Said | None, indent: int) -> None:
        if said is not None and said.words:
            mapping.yaml_set_comment_before_after_key(key, before=_where_said([said]), indent=indent)


_LENGTHS = (
    "runout",
    "play",
    "clearance",
    "gap",
    "thickness",
    "wear",
    "depth",
    "height",
    "width",
    "diameter",
    "backlash",
    "end float",
    "travel",
    "deflection",
)


def _letter(number: int) -> str:
    return (
        ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")[number - 2]
        if number < 11
        else str(number)
    )


def _at(said: Said) -> str:
    if said.at_s is not None:
        return f" at {clock(said.at_s)}"
    return f" in line {said.line}" if said.line else ""


def _where_said(said: Iterable[Said]) -> str:
    """The comment of a step: time and words, wrapped."""
    import textwrap

    lines: list[str] = []
    seen: set[str] = set()
    for one in said:
        if one.words in seen:
            continue
        seen.add(one.words)
        where = clock(one.at_s) or (f"line {one.line}" if one.line else "")
        lines.extend(textwrap.wrap(f'{where} "{_comment_safe(one.words)}"'.strip(), _WIDTH, subsequent_indent="  "))
    return "\n".join(lines)


_UNPRINTABLE = re.compile(r"[^\x09\x0A\x20-\x7E\x85\xA0-\uD7FF\uE000-\uFFFD\U00010000-\U0010FFFF]")


def _comment_safe(words: str) -> str:
    return _UNPRINTABLE.sub("", words)


def _text(words: str) -> str:
    """Words as a card takes them: no more than 2000 characters, quoted where YAML could read them as something else."""
    words = _cut(_comment_safe(" ".join(words.split())), 1900)
    return (
        DoubleQuotedScalarString(words) if re.search(r"[:#\"'\[\]{}&*!|>%@`]|^[-?]|^\d", words) or not words else words
    )


def _cut(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 3].rstrip() + "..."


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _flow(items: list[str]) -> CommentedSeq:
    seq = CommentedSeq(items)
    seq.fa.set_flow_style()
    return seq


def _flow_map(**fields: Any) -> CommentedMap:
    mapping = CommentedMap(fields)
    mapping.fa.set_flow_style()
    return mapping
