"""One fastener set, part, hose, ... as far as it was told."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from .figures import Figure
from .lexicon import PLURALS, plural_of


@dataclass(slots=True)
class Said:
    """Where something was said."""

    words: str
    at_s: float | None
    line: int = 0


@dataclass(slots=True)
class Thing:
    """One fastener set, part, hose, ... as far as the narration tells."""

    number: int
    kind: str
    head: str
    plural: bool
    spoken: str = ""
    """The head as it was first said, where it differs."""
    places: set[str] = field(default_factory=set)
    mods: list[str] = field(default_factory=list)
    new: bool = False
    old: bool = False
    count: int | None = None
    count_said: Said | None = None
    thread: str = ""
    wrench: Figure | None = None
    """Width across flats, where it was said."""
    length: Figure | None = None
    torque: Figure | None = None
    torque_said: Said | None = None
    angle_deg: Decimal | None = None
    by_hand: bool = False
    passes: list[Figure] = field(default_factory=list)
    """Torques of the rounds before the last."""
    shares: list[Decimal] = field(default_factory=list)
    """Rounds in per cent."""
    order: str = ""
    treatment: str = ""
    treatment_where: str = ""
    reuse_new: bool = False
    left_hand: bool = False
    joins: list[Thing] = field(default_factory=list)
    near: list[Thing] = field(default_factory=list)
    """Parts spoken of when it was first named."""
    mass: Figure | None = None
    part_number: str = ""
    quantity: Figure | None = None
    quantity_said: Said | None = None
    low: Figure | None = None
    high: Figure | None = None
    when: dict[str, str] = field(default_factory=dict)
    unsure: list[str] = field(default_factory=list)
    also: list[str] = field(default_factory=list)
    """Other names that were used."""
    first: Said | None = None
    at_clause: int = 0
    """Clause in which it was last spoken of."""
    is_off: bool = False
    placed: bool = False
    """It has been put in: another new one is another part."""
    misheard_note: str = ""
    doubted: bool = False
    """It was taken for the thing meant where another could have been: no value is put on it from there."""
    limit_plain: bool = False
    """Its limit was told as "the limit", and not whether nothing may be more or nothing less."""
    limit_turned: bool = False
    """Its limit was only told by what is too much: "more than two and you fit a shim"."""
    number_said: str = ""
    """"one" where it was first named in the singular."""
    disputed: set[str] = field(default_factory=set)
    """What was said in two ways (thread, torque): it stays unknown until somebody is asked."""
    on_each: bool = False
    """How many sit on each was said, and not yet how many there are in all."""
    loose: bool = False
    """It was loosened, and nothing has been done with it since."""
    part_out: bool = False
    """Some of the set are out: "all but one"."""

    @property
    def words(self) -> frozenset[str]:
        return frozenset(part for mod in self.mods for part in mod.split()) | self.places

    @property
    def name(self) -> str:
        age = ["old"] if self.old else ["new"] if self.new else []
        spoken = self.spoken or self.head
        head = plural_of(spoken) if self.plural and spoken not in PLURALS else spoken
        return " ".join([*age, *sorted(self.places, key=_place_rank), *self.mods, head])

    def doubt(self, reason: str) -> None:
        if reason not in self.unsure:
            self.unsure.append(reason)


_RANK = {"front": 0, "rear": 0, "left": 1, "right": 1, "upper": 0, "lower": 0}


def _place_rank(place: str) -> tuple[int, str]:
    return _RANK.get(place, 2), place


@dataclass(slots=True)
class Found:
    things: list[Thing]
    doubt: str = ""
