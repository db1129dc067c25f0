"""The job-card language: what a card in procedures/ can say, as pydantic models.

A card names its things once (parts, fasteners, connections, ...), each under an id of its own, and its
steps say in the trade's verbs what happens to them. Everything that a step opens, the card closes again;
`card.check` proves it for every combination of facts. Ids are lower case with hyphens.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    StringConstraints,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from .fault import RuleBroken
from .torque_line import read_torque, torque_unit

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Words = Annotated[str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=80, strip_whitespace=True)]
Number = Annotated[Decimal, Field(ge=-10_000_000, le=10_000_000, max_digits=16)]
Positive = Annotated[Decimal, Field(gt=0, le=10_000_000, max_digits=16)]
Turn = Annotated[Positive, Field(le=720)]
"""Degrees that a fastener is turned on after its torque."""
MOST_IN_A_SET = 400
"""Fasteners of one kind in one place."""
NotNegative = Annotated[Decimal, Field(ge=0, le=10_000_000, max_digits=16)]
TorqueUnit = Annotated[
    Literal["N·m", "lbf·ft", "lbf·in", "kgf·m"],
    BeforeValidator(lambda unit: torque_unit(unit) if isinstance(unit, str) else unit),
]
LengthUnit = Literal["mm", "in"]
MeasureUnit = Literal["mm", "in", "deg", "N·m", "lbf·ft", "N", "kPa", "bar", "psi", "V", "ohm", "L", "g", "count"]
When = dict[Id, Id | list[Id]]
"""Fact id to the option (or options, any of them) under which this holds; several facts must all hold."""


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, use_attribute_docstrings=True)


class Named(Strict):
    """Anything that a person may name by voice."""

    name: Name
    """As it is shown and spoken: "flywheel bolts"."""
    aka: list[Name] = []
    """Other names that people use for it."""
    what: Words | None = None
    """What that thing is, in one or two sentences, for the apprentice."""
    unsure: list[Words] = []
    """Drafts only: what a person must still settle about it, each with its reason. A finished card has none."""


# -- facts -----------------------------------------------------------------


class FactOption(Strict):
    say: Name
    aka: list[Name] = []


class Fact(Strict):
    """Something about this vehicle, asked once, that switches steps."""

    ask: Words
    options: dict[Id, FactOption] = Field(min_length=2)
    why: Words | None = None


# -- torque and fasteners --------------------------------------------------


class Torque(Strict):
    """A torque as its source gives it. In YAML either this mapping or one line: "65 N·m",
    "60 to 70 N·m", "65 ± 5 N·m", "50 N·m + 90 deg", "snug by hand"."""

    value: Positive | None = None
    """The value to set; None for a bare range or for snug by hand."""
    low: Positive | None = None
    high: Positive | None = None
    """Least and most, in the same unit; both or neither. A tolerance (65 ± 5) is value with low and high."""
    unit: TorqueUnit = "N·m"
    """The unit of its source; never converted in the card."""
    angle_deg: Turn | None = None
    """Further turn after the torque, degrees."""
    by_hand: bool = False
    """Snug by hand: no value."""

    @model_validator(mode="before")
    @classmethod
    def _one_line(cls, written: Any) -> Any:
        if isinstance(written, str):
            return read_torque(written)
        if isinstance(written, dict) and written.keys() & {"value", "low", "high"} and "unit" not in written:
            raise RuleBroken("This torque has no unit.", "Write the unit of its source: N·m, lbf·ft, lbf·in or kgf·m.")
        return written

    @model_validator(mode="after")
    def _whole(self) -> Self:
        numbers = [n for n in (self.value, self.low, self.high, self.angle_deg) if n is not None]
        if self.by_hand and numbers:
            raise RuleBroken("A torque by hand has no number.", "Keep either `by_hand` or the numbers.")
        if (self.low is None) != (self.high is None):
            raise RuleBroken("A range needs both its ends.", "Give `low` and `high`.")
        if not self.by_hand and self.value is None and self.low is None:
            raise RuleBroken("This torque has no value.", 'Give a value, a range, or "snug by hand".')
        if self.low is not None and self.high is not None:
            if self.low >= self.high:
                raise RuleBroken(
                    f"The range runs from {self.low} down to {self.high}.", "Put the smaller number first."
                )
            if self.value is not None and not self.low <= self.value <= self.high:
                raise RuleBroken(f"The value {self.value} lies outside {self.low} to {self.high}.", "Mend the range.")
        return self

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        mapping = handler.resolve_ref_schema(handler(core_schema))
        line = {
            "type": "string",
            "description": "One line: 65 N·m, 60 to 70 N·m, 65 ± 5 N·m, 50 N·m + 90 deg, snug by hand",
        }
        return {"anyOf": [dict(mapping), line], "title": mapping.get("title", "Torque")}


class Pass(Strict):
    """One round over all fasteners of a set."""

    share: Annotated[Positive, Field(le=100)] | None = None
    """Of the final torque, per cent (0 to 100)."""
    torque: Torque | None = None
    """Or a torque of its own."""
    angle_deg: Turn | None = None
    """Or turn each by this much, in order (a quarter turn is 90)."""
    until: Literal["snug", "seated", "touching"] | None = None
    """With angle_deg: repeat in order until this."""
    pattern: Literal["as-order", "round"] = "as-order"
    """In the set's order, or once round the circle."""
    say: Words | None = None

    @model_validator(mode="after")
    def _one_target(self) -> Self:
        if sum(n is not None for n in (self.share, self.torque, self.angle_deg)) != 1:
            raise RuleBroken("A pass needs one target.", "Give one of `share`, `torque` or `angle_deg`.")
        if self.until and self.angle_deg is None:
            raise RuleBroken("`until` belongs to a pass by angle.", "Give `angle_deg`, or take `until` out.")
        return self


class Order(Strict):
    """In which order the fasteners of a set are tightened."""

    pattern: Literal["across", "round", "middle-out", "as-listed"]
    rows: list[Annotated[int, Field(ge=1, le=400)]] | None = None
    """For middle-out: fasteners in each row, top to bottom."""
    listed: list[int] | None = None
    """For as-listed: positions 1..count."""
    start: Name | None = None
    """Where position 1 is: "twelve o'clock", "the dowel"."""
    numbering: Literal["clockwise", "as-drawn"] = "clockwise"

    @model_validator(mode="after")
    def _has_what_it_needs(self) -> Self:
        for pattern, field in (("middle-out", "rows"), ("as-listed", "listed")):
            given = getattr(self, field)
            if (self.pattern == pattern) != bool(given):
                mend = f"Give `{field}`." if not given else f"Take it out, or make the pattern {pattern}."
                raise RuleBroken(f"`{field}` belongs to the pattern {pattern}, and to no other.", mend)
        if self.listed and sorted(self.listed) != list(range(1, len(self.listed) + 1)):
            raise RuleBroken(f"`listed` must name each position from 1 to {len(self.listed)} once.", "Mend the list.")
        return self


class Treatment(Strict):
    """What goes on the threads."""

    kind: Literal[
        "dry",
        "oil",
        "locker-low",
        "locker-medium",
        "locker-high",
        "anti-seize",
        "sealant",
        "grease",
        "as-supplied",
    ]
    where: Words | None = None
    """By place: "threads only, none under the head"."""
    clean_first: bool = False


class Reuse(Strict):
    rule: Literal["again", "new", "check"]
    """again: may be used again; new: new each time; check: new when `unless` is seen."""
    unless: Words | None = None
    """For check: "stretched or damaged"."""

    @model_validator(mode="after")
    def _says_when(self) -> Self:
        if (self.rule == "check") != (self.unless is not None):
            raise RuleBroken("`unless` belongs to the rule `check`, which needs it.", "Say when it is not used again.")
        return self


UNKNOWN = "unknown"
"""What a draft writes where a value is needed and nobody has said it."""


def _count_or_unknown(written: object) -> object:
    """0 for the word `unknown`; a written 0 stays an error."""
    if written == UNKNOWN:
        return 0
    if written in (0, "0"):
        raise RuleBroken("A set has at least one fastener.", "Count them; in a draft write `unknown`.")
    return written


class Fastener(Named):
    """One kind of fastener in one place: a bolt, nut, screw, plug or a set of them."""

    kind: Literal["bolt", "nut", "screw", "stud", "plug", "clamp", "union"] = "bolt"
    count: Annotated[int, BeforeValidator(_count_or_unknown)] = Field(
        ge=0,
        le=MOST_IN_A_SET,
        json_schema_extra={"type": ["integer", "string"], "pattern": "^unknown$", "not": {"const": 0}},
    )
    """1 to 400. A draft may say `unknown`, which is kept as 0; a finished card may not."""
    thread: Annotated[str, StringConstraints(max_length=40)] | None = None
    """"M10", "M10x1.25", "1/2-13 UNC", "3/8-24 UNF"."""
    grade: Literal["4.6", "5.8", "8.8", "10.9", "12.9", "grade 2", "grade 5", "grade 8", "stainless"] | None = None
    head: Words | None = None
    """Wrench size and drive as one reads it: "16 mm hex"."""
    length_mm: Positive | None = None
    lengths: dict[str, Positive] = {}
    """Place to length in millimetres, where they differ by position."""
    joins: list[Id] = []
    """The parts that it holds (part ids): all its fasteners are out before such a part comes off."""
    behind: list[Id] = []
    """Parts that hide it: they are off whenever it is worked on."""
    starts_off: bool = False
    """Not there when the job begins (jacking bolts, guide studs): may be out again at the end."""
    left_hand: bool = False
    torque: Torque | None = None
    passes: list[Pass] = []
    order: Order | None = None
    places: list[Name] = []
    """Name of each position 1..count, where a clock face does not serve: "upper left"."""
    treatment: Treatment | None = None
    reuse: Reuse | None = None
    tool: Id | None = None
    caution: Words | None = None
    source: Words | None = None
    """Where the value comes from."""
    when: When = {}

    @model_validator(mode="after")
    def _counts_agree(self) -> Self:
        order = self.order
        counts = {
            "places": len(self.places),
            "order.rows": sum(order.rows) if order and order.rows else 0,
            "order.listed": len(order.listed) if order and order.listed else 0,
        }
        for field, count in counts.items():
            if count and self.count and count != self.count:
                raise RuleBroken(f"`{field}` adds up to {count}, `count` is {self.count}.", "Make them agree.")
        if self.places and (strange := set(self.lengths) - set(self.places)):
            raise RuleBroken(
                f"`lengths` names a place that is not there: {min(strange)}.", "Use the names of `places`."
            )
        if self.passes and self.torque is not None and self.torque.by_hand:
            raise RuleBroken("A fastener that is snug by hand has no passes.", "Give a value, or take `passes` out.")
        return self


# -- parts and other things ------------------------------------------------


class Part(Named):
    mass_kg: Positive | None = None
    behind: list[Id] = []
    """Parts that hide it: they are off before it comes off or goes on."""
    number: str | None = None
    new: bool = False
    """A new part that is fitted without having been removed (a seal, a plate)."""
    replaces: Id | None = None
    """The part whose place it takes: once this is fitted, the old one is no longer missing, and what joins,
    hides or carries the old one does so with this."""
    consumed: bool = False
    """Comes off and nothing takes its place (a transport lock): not an open item."""
    starts_off: bool = False
    """Not there when the job begins; may be off or on at the end."""
    when: When = {}


class Connection(Named):
    """A hose, cable, plug or pipe that is parted and joined again."""

    joins: list[Id] = []
    """Parts that cannot come off while it is connected."""
    caution: Words | None = None
    when: When = {}


class Fluid(Named):
    quantity: Positive | None = None
    unit: Literal["L", "mL", "qt", "pt", "kg", "g"] = "L"
    grade: Words | None = None
    held_by: list[Id] = []
    """Fasteners (plugs), connections and parts that are in place before it is filled."""
    when: When = {}


class Cover(Named):
    """A temporary cover, cap, plug, bag or lock that must come out again."""

    over: list[Id] = []
    """Parts and connections that cannot go back while it is there."""
    when: When = {}


class Mark(Named):
    """A match mark: made before parting, lined up when going together."""

    joins: list[Id] = []
    """The parts that it lies across: it is made while all of them are on."""
    when: When = {}


class Support(Named):
    """What carries a load: stands, a jack, a hoist."""

    capacity_kg: Positive | None = None
    carries: list[Id] = []
    """Part ids, or `vehicle`. It is placed before the last fastener of such a part comes out, and
    released when the part is off or fastened."""
    when: When = {}


class Tool(Named):
    kind: Literal["torque-wrench", "angle-gauge", "gauge", "hand", "power", "special", "lifting"] = "hand"
    low: NotNegative | None = None
    high: Positive | None = None
    unit: Annotated[str, StringConstraints(max_length=20)] | None = None
    """Range of a torque wrench or gauge."""
    resolution: Positive | None = None
    calibrated: Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = None
    """ISO date (2026-03-01) of the last calibration."""
    uses_since: int | None = Field(default=None, ge=0)


class Consumable(Named):
    kind: Literal["grease", "oil", "locker", "anti-seize", "sealant", "cleaner", "other"] = "other"
    quantity: Words | None = None


# -- measuring -------------------------------------------------------------


class Limits(Strict):
    low: Number | None = None
    high: Number | None = None
    """Inclusive, in the measure's unit; at least one of the two."""

    @model_validator(mode="after")
    def _has_an_end(self) -> Self:
        if self.low is None and self.high is None:
            raise RuleBroken("These limits have no end.", "Give `low`, `high` or both.")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise RuleBroken(f"The limits run from {self.low} down to {self.high}.", "Put the smaller number in `low`.")
        return self


class Derived(Strict):
    """A reading worked out of others."""

    kind: Literal["difference", "spread", "mean", "angle-between", "sum"]
    of: list[Id] = Field(min_length=1)
    """Measure ids; for spread and mean also one measure with `readings` greater than 1."""

    @model_validator(mode="after")
    def _enough(self) -> Self:
        if self.kind in ("difference", "angle-between") and len(self.of) != 2:
            raise RuleBroken(f"A {self.kind} is taken of two measures, not {len(self.of)}.", "Name two in `of`.")
        return self


class Verdict(Strict):
    """What follows from a reading outside its limits."""

    say: Words
    options: dict[Id, FactOption] = Field(min_length=1)
    """The decisions offered, such as resurface, replace, carry-on."""
    sets: Id | None = None
    """A fact of the card that the decision answers, so that steps may depend on it; its options are these.
    Such a fact is not asked at the start."""
    inside: Id | None = None
    """The option that a reading inside its limits sets, unless the fact was set before; a decision always sets
    it. Without `inside` the fact stays unset, and steps that depend on it do not apply."""

    @model_validator(mode="after")
    def _inside_of_a_fact(self) -> Self:
        if self.inside is not None and self.sets is None:
            raise RuleBroken("`inside` says which option a fact gets, but no fact is named.", "Add `sets`.")
        return self


class Measure(Named):
    unit: MeasureUnit
    limits: Limits | None = None
    nominal: Number | None = None
    """New size, for wear."""
    resolution: Positive | None = None
    """Of the instrument, in the unit."""
    uncertainty: NotNegative | None = None
    """Expanded (k = 2), in the unit; where missing, half the resolution."""
    readings: int = Field(default=1, ge=1, le=50)
    """How many are taken (round the disc, say)."""
    derived: Derived | None = None
    part: Id | None = None
    out: Verdict | None = None
    tool: Id | None = None
    when: When = {}


# -- steps -----------------------------------------------------------------


class Some(Strict):
    """Part of a set."""

    count: int | None = Field(default=None, ge=1)
    """This many."""
    all_but: int | None = Field(default=None, ge=1)
    """All but this many, the rest left on a few threads."""
    places: list[Name] = []

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.count is None) + (self.all_but is None) + (not self.places) != 2:
            raise RuleBroken("`some` says how many in one way.", "Give one of `count`, `all_but` or `places`.")
        return self


class Action(Strict):
    """One thing that a step does. Exactly one verb is given; `some` and the rest refine it.

    loosen: broken loose, still in. take-out: unscrewed and out. start: in by hand, a few threads.
    snug: in by hand to the stop. tighten: to its value, through its passes.
    """

    # fasteners
    loosen: Id | None = None
    take_out: Id | None = Field(default=None, alias="take-out")
    start: Id | None = None
    snug: Id | None = None
    tighten: Id | None = None
    # parts
    remove: Id | None = None
    fit: Id | None = None
    # connections, fluids, covers, marks, supports
    disconnect: Id | None = None
    connect: Id | None = None
    drain: Id | None = None
    fill: Id | None = None
    cover: Id | None = None
    uncover: Id | None = None
    mark: Id | None = None
    line_up: Id | None = Field(default=None, alias="line-up")
    support: Id | None = None
    release: Id | None = None
    # looking and putting on
    measure: Id | None = None
    inspect: Id | None = None
    apply: Id | None = None
    """A consumable; `to` says where, `not_to` where none may go."""

    some: Some | None = None
    to: Words | None = None
    not_to: Words | None = Field(default=None, alias="not-to")
    only_pass: int | None = Field(default=None, alias="only-pass", ge=1)
    """For tighten: only this pass of the set now (1-based)."""
    when: When = {}

    @model_validator(mode="after")
    def _one_verb(self) -> Self:
        verbs = [verb for verb in VERBS if getattr(self, verb) is not None]
        if len(verbs) != 1:
            said = ", ".join(verb.replace("_", "-") for verb in verbs) or "none"
            raise RuleBroken(f"An action has one verb; this has {said}.", "Write each verb as an entry of its own.")
        verb = verbs[0]
        if self.some and verb not in FASTENER_VERBS:
            raise RuleBroken(f"`some` belongs to fasteners, not to `{verb}`.", "Take `some` out.")
        if (self.to or self.not_to) and verb != "apply":
            raise RuleBroken(f"`to` and `not-to` belong to `apply`, not to `{verb}`.", "Put them with an `apply`.")
        if self.only_pass and verb != "tighten":
            raise RuleBroken(f"`only-pass` belongs to `tighten`, not to `{verb}`.", "Take it out.")
        return self

    @property
    def verb(self) -> str:
        """The one verb given, as in VERBS."""
        return next(verb for verb in VERBS if getattr(self, verb) is not None)

    @property
    def thing(self) -> str:
        """The id that the verb is about."""
        return str(getattr(self, self.verb))


VERBS: tuple[str, ...] = (
    "loosen", "take_out", "start", "snug", "tighten", "remove", "fit", "disconnect", "connect", "drain", "fill",
    "cover", "uncover", "mark", "line_up", "support", "release", "measure", "inspect", "apply",
)  # fmt: skip
FASTENER_VERBS: tuple[str, ...] = ("loosen", "take_out", "start", "snug", "tighten")


class Hold(Strict):
    """A stop until what makes the step safe is confirmed by voice."""

    ask: Words
    """Put as a question: "Is the vehicle on stands and steady?"."""
    who: Literal["anyone", "second-person", "foreman"] = "anyone"
    needs: list[Id] = []
    """Support ids that must be in place."""
    off: list[Id] = []
    """Connection ids that the question is about: where the job has all of them parted, it is not asked."""


class Trouble(Strict):
    """What to do if it does not come apart or go together."""

    sign: Words
    do: Words
    never: Words | None = None
    """What force not to use."""


class Step(Strict):
    id: Id
    say: Words
    """What is read aloud: one or two short sentences."""
    how: Words | None = None
    why: Words | None = None
    cautions: list[Words] = []
    hold: Hold | None = None
    check: Words | None = None
    """A question that needs a yes before the step counts as done."""
    does: list[Action] = []
    tools: list[Id] = []
    trouble: list[Trouble] = []
    minutes: Positive | None = None
    """Usual time."""
    helpers: int = Field(default=0, ge=0, le=4)
    """More people needed than the one."""
    unsure: list[Words] = []
    """Drafts only: what a person must still settle about this step."""
    when: When = {}


class Section(Strict):
    id: Id
    name: Name
    steps: list[Step] = Field(min_length=1)


class FollowUp(Strict):
    """Something due after the job: re-torque after a distance or a day."""

    id: Id
    say: Words
    fastener: Id | None = None
    after_km: Positive | None = None
    after_hours: Positive | None = None
    after_days: Positive | None = None
    when: When = {}

    @model_validator(mode="after")
    def _has_a_time(self) -> Self:
        if self.after_km is None and self.after_hours is None and self.after_days is None:
            raise RuleBroken("This follow-up is never due.", "Give `after_km`, `after_hours` or `after_days`.")
        return self


class Accepted(Strict):
    """A warning of the check that somebody looked at and lets stand. Errors cannot be accepted."""

    finding: Literal[
        "sounds-alike",
        "torque-implausible",
        "torque-unchecked",
        "instrument-coarse",
        "unit-differs",
        "never-used",
        "never-asked-for",
        "never-measured",
    ]
    """Its code, as the check names it."""
    of: Id
    """The thing, fact or step that it is about."""
    because: Words


class Card(Strict):
    card: Id
    title: Name
    revision: Annotated[str, StringConstraints(max_length=20)]
    notice: Words
    """Said at the start and printed on the report: that it is invented, or whose data it is."""
    vehicle: Words
    maker: Name
    language: Literal["en"] = "en"
    vehicle_kg: Positive | None = None
    lift_limit_kg: Positive = Decimal(25)
    """Above this a lift asks for help or a jack."""
    cautions: list[Words] = []
    facts: dict[Id, Fact] = {}
    tools: dict[Id, Tool] = {}
    consumables: dict[Id, Consumable] = {}
    parts: dict[Id, Part] = {}
    fasteners: dict[Id, Fastener] = {}
    connections: dict[Id, Connection] = {}
    fluids: dict[Id, Fluid] = {}
    covers: dict[Id, Cover] = {}
    marks: dict[Id, Mark] = {}
    supports: dict[Id, Support] = {}
    measures: dict[Id, Measure] = {}
    sections: list[Section] = Field(min_length=1)
    follow_ups: list[FollowUp] = Field(default=[], alias="follow-ups")
    accepted: list[Accepted] = []
    unsure: list[Words] = []
    """Drafts only: what was said and could not be placed, and what the whole card still lacks."""
