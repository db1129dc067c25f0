"""The entries of a card: fasteners, parts, fluids, supports, marks, measures, tools, consumables."""

from __future__ import annotations

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from .card_text import (
    LENGTHS,
    cut_to,
    flow_list,
    flow_map,
    letter_of,
    plain_value,
    safe_text,
    said_at,
    slug,
    torque_line,
    where_said,
    yaml_number,
)
from .narration import Narration
from .story import Understanding
from .thing import Said, Thing
from .unions import unions_of

_KINDS_OF_FASTENER = {
    "bolt": "bolt",
    "capscrew": "screw",
    "nut": "nut",
    "screw": "screw",
    "stud": "stud",
    "clamp": "clamp",
    "union": "union",
}

PLAIN_VERBS = ("move", "clean", "check")
"""Told in words only: the card has no verb for them."""


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


class Entries:
    """The card's tables: one entry for each thing, with its id and its name."""

    def __init__(self, understanding: Understanding, narration: Narration) -> None:
        self.story = understanding
        self.narration = narration
        self.ids: dict[int, str] = {}
        """Thing number to card id."""
        self.names: dict[int, str] = {}
        self.taken: set[str] = {"vehicle"}
        self.used = self._used()
        self.unions = unions_of(self.used)
        """Line number to the fastener that holds it."""
        self.used.extend(self.unions.values())

    def _used(self) -> list[Thing]:
        """Things that a step works on or with, and those that such a thing joins; not what was only spoken of."""
        numbers = {
            deed.thing.number
            for step in self.story.steps
            for deed in step.deeds
            if deed.thing is not None and deed.verb not in PLAIN_VERBS
        }
        numbers |= {tool.number for step in self.story.steps for tool in step.tools}
        told = {
            thing.number for thing in self.story.things if thing.kind == "fastener" and (thing.torque or thing.thread)
        }
        told |= {thing.number for thing in self.story.things if thing.kind == "measure" and (thing.low or thing.high)}
        return [thing for thing in self.story.things if thing.number in numbers | told and thing.head != "vehicle"]

    def _name_things(self) -> None:
        seen: dict[str, Thing] = {}
        for thing in self.used:
            name = thing.name
            if name in seen:
                name = self._apart(thing, name, seen)
            seen[name] = thing
            self.names[thing.number] = cut_to(name, 80)
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
        while f"{name} {letter_of(number)}" in seen:
            number += 1
        thing.doubt("named like another: give it a name of its own, or say that they are the same")
        return f"{name} {letter_of(number)}"

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
            entry["unsure"] = CommentedSeq(safe_text(reason) for reason in unsure)
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
            entry["head"] = f"{plain_value(thing.wrench.value)} {thing.wrench.unit}"
        if thing.length is not None and thing.length.value is not None and thing.length.unit == "mm":
            entry["length_mm"] = yaml_number(thing.length.value)
        joins = [self.ids[part.number] for part in thing.joins if part.number in self.ids and part.kind == "part"]
        if joins:
            entry["joins"] = flow_list(joins)
        if thing.torque is not None:
            entry["torque"] = torque_line(thing.torque, thing.angle_deg)
            said = thing.torque_said
            if said is not None:
                entry["source"] = safe_text(f"said in the narration{said_at(said)}: {cut_to(said.words, 300)}")
        elif thing.angle_deg is not None:
            unsure.append(f"an angle of {plain_value(thing.angle_deg)} degrees was said, but no torque before it")
        if thing.passes and thing.torque is not None:
            passes = CommentedSeq(flow_map(torque=torque_line(one)) for one in thing.passes)
            passes.append(flow_map(torque=torque_line(thing.torque)))
            entry["passes"] = passes
        elif thing.shares and thing.torque is not None:
            passes = CommentedSeq(flow_map(share=yaml_number(share)) for share in thing.shares)
            if thing.shares[-1] != 100:
                passes.append(flow_map(share=100))
            entry["passes"] = passes
        if thing.order in ("across", "round"):
            entry["order"] = flow_map(pattern=thing.order)
        elif thing.order == "middle-out":
            unsure.append("to be tightened from the middle outwards: say how many rows there are")
        if thing.treatment:
            entry["treatment"] = flow_map(kind=thing.treatment)
            if thing.treatment_where:
                entry["treatment"]["where"] = thing.treatment_where
        if thing.reuse_new:
            entry["reuse"] = flow_map(rule="new")

    def _part(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        if thing.mass is not None and thing.mass.value is not None:
            if thing.mass.unit == "kg":
                entry["mass_kg"] = yaml_number(thing.mass.value)
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
            entry["quantity"] = yaml_number(thing.quantity.value)
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
            entry["carries"] = flow_list(carries)

    def _mark(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        _ = unsure
        joins = [self.ids[part.number] for part in thing.joins if part.number in self.ids]
        if joins:
            entry["joins"] = flow_list(joins)

    def _measure(self, thing: Thing, entry: CommentedMap, unsure: list[str]) -> None:
        unit = next((figure.unit for figure in (thing.low, thing.high) if figure is not None and figure.unit), "")
        if unit in _FIELD_UNITS:
            entry["unit"] = unit
            limits = CommentedMap()
            for key, figure in (("low", thing.low), ("high", thing.high)):
                if figure is not None and figure.unit == unit and figure.value is not None:
                    limits[key] = yaml_number(figure.value)
            entry["limits"] = limits
            limits.fa.set_flow_style()
        else:
            entry["unit"] = "mm" if thing.head in LENGTHS else "count"
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

    def _beside(self, mapping: CommentedMap, key: str, said: Said | None, indent: int) -> None:
        if said is not None and said.words:
            mapping.yaml_set_comment_before_after_key(key, before=where_said([said]), indent=indent)
