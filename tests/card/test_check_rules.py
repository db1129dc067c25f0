"""Single rules of the check, on a card small enough to see why."""

from __future__ import annotations

import pytest

from assistant.card.fault import CardError

from .conftest import SMALL, codes, findings


def with_out(*actions: str) -> str:
    """The small card with other actions when the wheel comes off."""
    return SMALL.replace("does: [take-out: wheel-nuts, remove: wheel]", f"does: [{', '.join(actions)}]")


def with_in(*actions: str) -> str:
    return SMALL.replace("does: [fit: wheel, start: wheel-nuts, tighten: wheel-nuts]", f"does: [{', '.join(actions)}]")


def test_the_small_card_is_sound() -> None:
    assert findings(SMALL) == ()


def test_all_but_one_leaves_the_last_on_a_few_threads() -> None:
    some = "{take-out: wheel-nuts, some: {all_but: 1}}"
    assert codes(with_out(some, "take-out: wheel-nuts", "remove: wheel")) == set()
    assert "still-held" in codes(with_out(some, "remove: wheel"))


def test_more_than_there_are_cannot_be_taken_out() -> None:
    three = "{take-out: wheel-nuts, some: {count: 3}}"
    assert "not-there" in codes(with_out(three, three, "remove: wheel"))


def test_a_fastener_is_started_before_it_is_tightened() -> None:
    assert codes(with_in("fit: wheel", "tighten: wheel-nuts")) == {"not-there"}


def test_snug_is_enough_only_by_hand() -> None:
    text = with_in("fit: wheel", "start: wheel-nuts", "snug: wheel-nuts")
    assert codes(text) == {"left-open"}
    assert codes(text.replace("110 N·m", "snug by hand")) == set()


def test_a_fastener_needs_its_part() -> None:
    assert "part-missing" in codes(with_in("start: wheel-nuts", "fit: wheel", "tighten: wheel-nuts"))


def test_passes_go_in_turn() -> None:
    text = SMALL.replace("    joins: [wheel]\n", "    joins: [wheel]\n    passes: [share: 50, share: 100]\n")
    one, two = ("{tighten: wheel-nuts, only-pass: 1}", "{tighten: wheel-nuts, only-pass: 2}")
    before = "does: [fit: wheel, start: wheel-nuts, tighten: wheel-nuts]"

    def steps(*passes: str) -> str:
        return text.replace(before, f"does: [fit: wheel, start: wheel-nuts, {', '.join(passes)}]")

    assert codes(steps(one, two)) == set()
    assert codes(steps(one, "tighten: wheel-nuts")) == set()
    assert codes(steps(two)) == {"passes"}
    assert codes(steps(one)) == {"left-open"}


def test_a_clamp_lets_go_when_it_is_loose() -> None:
    text = SMALL.replace("    count: 5\n", "    count: 5\n    kind: clamp\n")
    off = "does: [take-out: wheel-nuts, remove: wheel]"
    loose = text.replace(off, "does: [loosen: wheel-nuts, remove: wheel]").replace("start: wheel-nuts, ", "")
    assert codes(loose) == set()
    assert "still-held" in codes(text.replace(off, "does: [remove: wheel]"))


def test_what_hides_comes_off_first() -> None:
    text = SMALL.replace(
        "      - id: wheel-off",
        "      - {id: early, say: Pull., when: {brakes: drum}, does: [remove: drum]}\n      - id: wheel-off",
    )
    found = [finding for finding in findings(text) if finding.code == "in-the-way"]
    assert [dict(finding.facts) for finding in found] == [{"brakes": "drum"}]


def test_a_new_part_takes_the_place_of_the_old() -> None:
    text = SMALL.replace("  drum: {name", "  new-wheel: {name: spare wheel, new: true, replaces: wheel}\n  drum: {name")
    assert "never-used" in codes(text)
    fitted = text.replace("fit: wheel", "fit: new-wheel")
    assert codes(fitted) == set()
    both = text.replace("fit: wheel", "fit: wheel, fit: new-wheel")
    assert "not-there" in codes(both)


def test_a_part_that_does_not_come_back_says_so() -> None:
    without = with_in("inspect: wheel").replace("joins: [wheel]", "joins: []")
    assert "left-open" in codes(without)
    consumed = without.replace("mass_kg: 20", "mass_kg: 20, consumed: true")
    assert "The wheel is off" not in " ".join(finding.message for finding in findings(consumed))


def test_a_heavy_part_needs_people_or_a_hoist() -> None:
    heavy = SMALL.replace("mass_kg: 20", "mass_kg: 60")
    assert codes(heavy) == {"heavy-lift"}
    message = findings(heavy)[0]
    assert "60 kg for 1, the limit is 25 kg each" in message.message
    assert "helpers: 2" in message.mend
    for step in ("wheel-off", "wheel-on"):
        heavy = heavy.replace(f"- id: {step}\n", f"- id: {step}\n        helpers: 2\n")
    assert codes(heavy) == set()


SUPPORTED = SMALL.replace(
    "sections:\n", "supports:\n  dolly: {name: wheel dolly, capacity_kg: 50, carries: [wheel]}\nsections:\n"
)


PLACE, AWAY = "support: dolly", "release: dolly"
OFF, ON = "take-out: wheel-nuts, remove: wheel", "fit: wheel, start: wheel-nuts, tighten: wheel-nuts"


@pytest.mark.parametrize(
    ("out", "into", "expected"),
    [
        (f"{PLACE}, {OFF}", f"{ON}, {AWAY}", set()),
        ("take-out: wheel-nuts, support: dolly, remove: wheel", f"{ON}, {AWAY}", {"unsupported"}),
        (f"{PLACE}, {OFF}", f"fit: wheel, start: wheel-nuts, {AWAY}, tighten: wheel-nuts", {"released-early"}),
        (f"{PLACE}, {OFF}, {AWAY}", ON, {"unsupported"}),
        (f"{PLACE}, {OFF}", ON, {"left-open"}),
        (f"{AWAY}, {PLACE}, {OFF}", f"{ON}, {AWAY}", {"not-there"}),
    ],
)
def test_supported_before_the_last_fastener_and_released_only_after(out: str, into: str, expected: set[str]) -> None:
    assert codes(SUPPORTED.replace(OFF, out).replace(ON, into)) == expected


def test_a_support_carries_no_more_than_it_may() -> None:
    text = SUPPORTED.replace("take-out: wheel-nuts, remove", "support: dolly, take-out: wheel-nuts, remove")
    text = text.replace("tighten: wheel-nuts]", "tighten: wheel-nuts, release: dolly]")
    assert codes(text) == set()
    assert codes(text.replace("capacity_kg: 50", "capacity_kg: 15")) == {"overloaded"}


def test_the_vehicle_counts_as_a_load() -> None:
    text = SMALL.replace(
        "sections:\n", "supports:\n  stands: {name: stands, capacity_kg: 1000, carries: [vehicle]}\nsections:\n"
    )
    text = text.replace("take-out: wheel-nuts, remove", "support: stands, take-out: wheel-nuts, remove")
    text = text.replace("tighten: wheel-nuts]", "tighten: wheel-nuts, release: stands]")
    assert codes(text.replace("maker: nobody\n", "maker: nobody\nvehicle_kg: 900\n")) == set()
    assert codes(text.replace("maker: nobody\n", "maker: nobody\nvehicle_kg: 1900\n")) == {"overloaded"}


def test_an_implausible_torque_shows_its_numbers_and_asks_for_the_unit() -> None:
    """M12x1.5 10.9 dry: proof load 830 MPa x 88.1 mm² = 73.1 kN (EN ISO 898-1; proof stress from memory)."""
    (finding,) = findings(SMALL.replace("110 N·m", "900 N·m"))
    assert finding.code == "torque-implausible"
    assert finding.severity == "warning"
    assert "73.1 kN" in finding.message
    assert "over 90 %" in finding.message
    assert "900 lbf·in meant" in finding.mend


def test_a_plausible_torque_raises_no_eyebrow() -> None:
    """T = K D F: 0.2 x 12 mm x 45.8 kN = 110 N·m, 63 % of proof load."""
    assert findings(SMALL.replace("110 N·m", "105 to 115 N·m")) == ()


def test_a_text_may_repeat_the_torque_but_not_change_it() -> None:
    same = SMALL.replace("say: Fit the wheel and tighten it.", "say: Tighten to 110 newton metres.")
    other = same.replace("110 newton metres", "110 foot pounds")
    assert codes(same) == set()
    assert codes(other) == {"said-otherwise"}
    assert codes(SMALL.replace("say: Measure the lining.", "say: Set the wrench to 20 Nm.")) == {"said-otherwise"}


def test_two_names_one_swallowed_sound_apart() -> None:
    text = SMALL.replace(
        "  drum: {name: brake drum", "  heel: {name: brake drums, aka: [heel]}\n  drum: {name: drum plate"
    )
    assert "sounds-alike" not in codes(text.replace("aka: [heel]", "aka: [shoe]"))
    alike = SMALL.replace("{name: brake drum,", "{name: weal,")
    assert "sounds-alike" in codes(alike)


def test_one_name_for_things_that_no_vehicle_has_together() -> None:
    text = SMALL.replace("  drum: {name", "  rotor: {name: brake drum, when: {brakes: disc}}\n  drum: {name")
    assert "sounds-alike" not in codes(text)
    assert "one-phrase-two-things" not in codes(text)


def test_a_name_that_is_a_command_is_found() -> None:
    text = SMALL.replace("{name: lining thickness", '{name: "!?"')
    assert "not-sayable" in codes(text)


def test_facts_and_things_that_nothing_uses() -> None:
    text = SMALL.replace("parts:\n", "  colour: {ask: Which?, options: {a: {say: red}, b: {say: blue}}}\nparts:\n", 1)
    text = text.replace("sections:\n", "tools:\n  hammer: {name: hammer}\nsections:\n")
    assert codes(text) == {"never-asked-for", "never-used"}


def test_a_derived_reading_is_not_taken_by_hand() -> None:
    text = SMALL.replace(
        "sections:\n", "  worn: {name: total wear, unit: mm, derived: {kind: sum, of: [lining]}}\nsections:\n", 1
    )
    assert codes(text) == set()
    assert codes(text.replace("does: [measure: lining]", "does: [measure: lining, measure: worn]")) == {"not-there"}


ALIKE = SMALL.replace("{name: brake drum,", "{name: weal,")
ACCEPTED = "accepted:\n  - {finding: sounds-alike, of: drum, because: The shop calls it so.}\n"


def test_a_warning_may_be_accepted_with_its_reason() -> None:
    assert codes(ALIKE) == {"sounds-alike"}
    assert codes(ALIKE + ACCEPTED) == set()


def test_what_is_accepted_in_vain_is_told() -> None:
    assert codes(SMALL + ACCEPTED) == {"accepted-in-vain"}


def test_an_error_is_not_accepted() -> None:
    with pytest.raises(CardError, match="cannot be"):
        codes(SMALL + ACCEPTED.replace("sounds-alike", "left-open"))
    with pytest.raises(CardError, match='no "drim" on this card'):
        codes(SMALL + ACCEPTED.replace("of: drum", "of: drim"))
