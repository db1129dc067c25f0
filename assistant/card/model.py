"""The job-card language: what a card in procedures/ can say, as pydantic models.

A card names its things once (parts, fasteners, connections, ...), each under an id of its own, and its
steps say in the trade's verbs what happens to them. Everything that a step opens, the card closes again;
`card.check` proves it for every combination of facts. Ids are lower case with hyphens.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Words = Annotated[str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=80, strip_whitespace=True)]
TorqueUnit = Literal["N·m", "lbf·ft", "lbf·in", "kgf·m"]
LengthUnit = Literal["mm", "in"]
MeasureUnit = Literal["mm", "in", "deg", "N·m", "lbf·ft", "N", "kPa", "bar", "psi", "V", "ohm", "L", "g", "count"]
When = dict[Id, Id | list[Id]]
"""Fact id to the option (or options, any of them) under which this holds; several facts must all hold."""


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


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

    value: Decimal | None = None
    """The value to set; None for a bare range or for snug by hand."""
    low: Decimal | None = None
    high: Decimal | None = None
    """Least and most, in the same unit; both or neither. A tolerance (65 ± 5) is value with low and high."""
    unit: TorqueUnit = "N·m"
    """The unit of its source; never converted in the card."""
    angle_deg: Decimal | None = None
    """Further turn after the torque, degrees."""
    by_hand: bool = False
    """Snug by hand: no value."""


class Pass(Strict):
    """One round over all fasteners of a set."""

    share: Decimal | None = None
    """Of the final torque, per cent (0 to 100)."""
    torque: Torque | None = None
    """Or a torque of its own."""
    angle_deg: Decimal | None = None
    """Or turn each by this much, in order (a quarter turn is 90)."""
    until: Literal["snug", "seated", "touching"] | None = None
    """With angle_deg: repeat in order until this."""
    pattern: Literal["as-order", "round"] = "as-order"
    """In the set's order, or once round the circle."""
    say: Words | None = None


class Order(Strict):
    """In which order the fasteners of a set are tightened."""

    pattern: Literal["across", "round", "middle-out", "as-listed"]
    rows: list[int] | None = None
    """For middle-out: fasteners in each row, top to bottom."""
    listed: list[int] | None = None
    """For as-listed: positions 1..count."""
    start: Name | None = None
    """Where position 1 is: "twelve o'clock", "the dowel"."""
    numbering: Literal["clockwise", "as-drawn"] = "clockwise"


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


UNKNOWN = "unknown"
"""What a draft writes where a value is needed and nobody has said it."""


def _count_or_unknown(written: object) -> object:
    """0 for the word `unknown`; a written 0 stays an error."""
    if written == UNKNOWN:
        return 0
    if written == 0:
        raise ValueError("a set has at least one fastener; in a draft write `unknown`")
    return written


class Fastener(Named):
    """One kind of fastener in one place: a bolt, nut, screw, plug or a set of them."""

    kind: Literal["bolt", "nut", "screw", "stud", "plug", "clamp", "union"] = "bolt"
    count: Annotated[int, BeforeValidator(_count_or_unknown)] = Field(
        ge=0, le=400, json_schema_extra={"type": ["integer", "string"], "pattern": "^unknown$", "not": {"const": 0}}
    )
    """1 to 400. A draft may say `unknown`, which is kept as 0; a finished card may not."""
    thread: Annotated[str, StringConstraints(max_length=40)] | None = None
    """"M10", "M10x1.25", "1/2-13 UNC", "3/8-24 UNF"."""
    grade: Literal["4.6", "5.8", "8.8", "10.9", "12.9", "grade 2", "grade 5", "grade 8", "stainless"] | None = None
    head: Words | None = None
    """Wrench size and drive as one reads it: "16 mm hex"."""
    length_mm: Decimal | None = None
    lengths: dict[str, Decimal] = {}
    """Place to length in millimetres, where they differ by position."""
    joins: list[Id] = []
    """The parts that it holds (part ids)."""
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


# -- parts and other things ------------------------------------------------


class Part(Named):
    mass_kg: Decimal | None = Field(default=None, gt=0)
    number: str | None = None
    new: bool = False
    """A new part that is fitted without having been removed (a seal, a plate)."""
    consumed: bool = False
    """Comes off and does not go back (the old plate): not an open item."""
    starts_off: bool = False
    when: When = {}


class Connection(Named):
    """A hose, cable, plug or pipe that is parted and joined again."""

    caution: Words | None = None
    when: When = {}


class Fluid(Named):
    quantity: Decimal | None = None
    unit: Literal["L", "mL", "qt", "pt", "kg", "g"] = "L"
    grade: Words | None = None
    when: When = {}


class Cover(Named):
    """A temporary cover, cap, plug or bag that must come out again."""

    when: When = {}


class Mark(Named):
    """A match mark: made before parting, lined up when going together."""

    when: When = {}


class Support(Named):
    """What carries a load: stands, a jack, a hoist."""

    capacity_kg: Decimal | None = Field(default=None, gt=0)
    carries: list[Id] = []
    """Part ids, or `vehicle`."""
    when: When = {}


class Tool(Named):
    kind: Literal["torque-wrench", "angle-gauge", "gauge", "hand", "power", "special", "lifting"] = "hand"
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str | None = None
    """Range of a torque wrench or gauge."""
    resolution: Decimal | None = None
    calibrated: str | None = None
    """ISO date (2026-03-01) of the last calibration."""
    uses_since: int | None = Field(default=None, ge=0)


class Consumable(Named):
    kind: Literal["grease", "oil", "locker", "anti-seize", "sealant", "cleaner", "other"] = "other"
    quantity: Words | None = None


# -- measuring -------------------------------------------------------------


class Limits(Strict):
    low: Decimal | None = None
    high: Decimal | None = None
    """Inclusive, in the measure's unit; at least one of the two."""


class Derived(Strict):
    """A reading worked out of others."""

    kind: Literal["difference", "spread", "mean", "angle-between", "sum"]
    of: list[Id] = Field(min_length=1)
    """Measure ids; for spread and mean also one measure with `readings` greater than 1."""


class Verdict(Strict):
    """What follows from a reading outside its limits."""

    say: Words
    options: dict[Id, FactOption] = Field(min_length=1)
    """The decisions offered, such as resurface, replace, carry-on."""
    sets: Id | None = None
    """A fact of the card that the decision answers, so that steps may depend on it; its options are these."""


class Measure(Named):
    unit: MeasureUnit
    limits: Limits | None = None
    nominal: Decimal | None = None
    """New size, for wear."""
    resolution: Decimal | None = Field(default=None, gt=0)
    """Of the instrument, in the unit."""
    uncertainty: Decimal | None = Field(default=None, ge=0)
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


VERBS: tuple[str, ...] = (
    "loosen", "take_out", "start", "snug", "tighten", "remove", "fit", "disconnect", "connect", "drain", "fill",
    "cover", "uncover", "mark", "line_up", "support", "release", "measure", "inspect", "apply",
)  # fmt: skip


class Hold(Strict):
    """A stop until what makes the step safe is confirmed by voice."""

    ask: Words
    """Put as a question: "Is the vehicle on stands and steady?"."""
    who: Literal["anyone", "second-person", "foreman"] = "anyone"
    needs: list[Id] = []
    """Support ids that must be in place."""


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
    minutes: Decimal | None = Field(default=None, gt=0)
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
    after_km: Decimal | None = None
    after_hours: Decimal | None = None
    after_days: Decimal | None = None
    when: When = {}


class Card(Strict):
    card: Id
    title: Name
    revision: Annotated[str, StringConstraints(max_length=20)]
    notice: Words
    """Said at the start and printed on the report: that it is invented, or whose data it is."""
    vehicle: Words
    maker: Name
    language: Literal["en"] = "en"
    lift_limit_kg: Decimal = Field(default=Decimal(25), gt=0)
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
    unsure: list[Words] = []
    """Drafts only: what was said and could not be placed, and what the whole card still lacks."""
