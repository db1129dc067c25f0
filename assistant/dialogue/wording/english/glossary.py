"""Words of the trade, for whoever is new to it. In our own words, from common knowledge of the trade.

The same words stand in `<word>` of grammars/trade.jsgf. A thing that the card itself names is described by the card.
"""

from __future__ import annotations

GLOSSARY: dict[str, str] = {
    "runout": "how far a face or a rim wobbles in one turn. A dial gauge shows it.",
    "backlash": "the play between two gears, before one moves the other.",
    "end float": "how far a shaft can be pushed to and fro along its length.",
    "preload": "the pull in a bolt that holds the joint shut. Torque is how we get it.",
    "property class": "the strength of a metric bolt, stamped on its head. 10.9 is stronger than 8.8.",
    "stretch bolt": "a bolt that is tightened until it begins to stretch for good. It is used once.",
    "torque plus angle": "first to a torque, then by so many degrees more. It holds the pull closer than torque alone.",
    "cross pattern": "each bolt is followed by the one opposite, so that the part goes down level.",
    "snug": "turned in until it touches, no more.",
    "finger tight": "turned in by the fingers alone.",
    "thread locker": "a liquid that sets in the thread and keeps it from shaking loose. Threads are clean and dry.",
    "anti seize": "a paste that keeps a thread from rusting fast. It lowers friction, so torque pulls harder.",
    "dowel": "a pin that holds two parts in exact line.",
    "spigot": "a round step on one part that fits into the other and centres it.",
    "spline": "one of the teeth along a shaft that carry the turn and let it slide.",
    "flange": "a flat rim with holes, where two parts are bolted together.",
    "yoke": "the fork that holds one side of a joint.",
    "universal joint": "a cross with four needle bearings that lets a shaft turn through a bend.",
    "split pin": "a folded wire pin through a hole, bent over. Always a new one.",
    "castle nut": "a nut with slots, so that a split pin keeps it from turning.",
    "cage nut": "a nut in a sheet metal cage. It can float a little, and turn if the cage tears.",
    "circlip": "a springy ring in a groove that keeps a part from sliding off.",
    "crowfoot": "an open end that sits sideways on the torque wrench. It makes the wrench longer: tell me by how much.",
    "penetrating oil": "a thin oil that creeps into a rusted thread. Give it ten minutes.",
    "thou": "a thousandth of an inch, about 0.025 mm.",
    "bite point": "where the pedal stands when the clutch begins to take hold.",
    "dual mass flywheel": "a flywheel in two halves with springs between them, to take the shake out of the engine.",
    "match mark": "a line of paint across two parts, so that they go back as they were.",
    "pilot bearing": "the small bearing that carries the nose of the gearbox shaft in the end of the crankshaft.",
    "hub": "the middle of a wheel, which turns on the axle and carries the wheel.",
    "stub axle": "the short axle that one wheel turns on.",
    "gasket": "a thin sheet between two faces that keeps oil or gas in.",
    "feeler gauge": "a set of thin blades of known thickness, to measure a gap.",
    "dial gauge": "a clock that shows hundredths of a millimetre as its tip is pushed in.",
}
"""Word to what it is, in a sentence or two."""
