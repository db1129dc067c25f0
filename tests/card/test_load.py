"""A card that cannot be read says where and what to do; nothing that is in a file brings a traceback."""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.card.check.checked import check_card
from assistant.card.fault import CardError, Fault
from assistant.card.load import find_card, load_card, load_card_text, read_card, read_card_text, shipped_cards
from assistant.card.written import LARGEST_BYTES

from .conftest import SMALL


def faults(text: str) -> tuple[Fault, ...]:
    with pytest.raises(CardError) as caught:
        load_card_text(text, "card.yaml")
    return caught.value.faults


def test_the_small_card_reads() -> None:
    assert load_card_text(SMALL).fasteners["wheel-nuts"].count == 5


@pytest.mark.parametrize(
    ("old", "new", "what", "mend"),
    [
        ("    count: 5", "    cuont: 5", '"cuont" is not known here', 'Did you mean "count"?'),
        ("    count: 5", "    count: -5", "`count` cannot be -5", "at least"),
        ("    count: 5", "    count: 0", "at least one fastener", "Count them"),
        ("    count: 5", "    count: five", "not a whole number", "whole number"),
        ("110 N·m", "110 Nn", '"110 Nn"|"Nn" is not a unit', "N·m"),
        ("110 N·m", "110", "has no unit", "unit of its source"),
        ("110 N·m", "110 bar", '"bar" is not a unit of torque', "Use|mean"),
        ("joins: [wheel]", "joins: [whele]", 'no part "whele"', 'Did you mean "wheel"?'),
        ("joins: [wheel]", "joins: [wheel-nuts]", "is a fastener; a part belongs here", ""),
        ("unit: mm", "unit: mmm", '`unit` cannot be "mmm"', 'Did you mean "mm"?'),
        ("when: {brakes: drum}}", "when: {breaks: drum}}", 'The fact "breaks" is never asked', '"brakes"'),
        ("when: {brakes: drum}}", "when: {brakes: dram}}", 'has no option "dram"', '"drum"'),
        ("mass_kg: 20", "mass_kg: -20", "cannot be -20", "more than 0"),
        ("mass_kg: 20", "mass_kg: heavy", "not a number", "number alone"),
        ("mass_kg: 20", "mass_kg: .nan", "not a number", ""),
        ("mass_kg: 20", "mass_kg: 1e999", "too many digits|cannot be", ""),
        ("does: [measure: lining]", "does: [mesure: lining]", '"mesure" is not known', '"measure"'),
        ("does: [measure: lining]", "does: [measure: linning]", 'no measure "linning"', '"lining"'),
        ("does: [measure: lining]", "does: [{measure: lining, remove: wheel}]", "one verb", "entry of its own"),
        ("does: [measure: lining]", "does: [loosen: wheel]", "cannot loosen it", "verb"),
        ("  - id: in", "  - id: out", "Two sections", "Rename"),
        ("      - id: drum-on", "      - id: drum-off", "Two steps", "Rename"),
        ("  drum: {name: brake drum", "  wheel: {name: brake drum", "twice; the first is in line 14", "Rename"),
        ("  drum: {name: brake drum", "  drum: {name: Wheel", 'both called "wheel"', "another name"),
        ("  lining: {name", "  wheel: {name", "taken already", "rename"),
        ("maker: nobody\n", "", "`maker` is missing", "Add it"),
        ("card: small", "card: Small Job", "not an id", "small-job"),
        ("limits: {low: 2}", "limits: {}", "no end", "low"),
        ("limits: {low: 2}", "limits: {low: 2, high: 1}", "from 2 down to 1", "smaller"),
        ("title: Small job", "title: Small: job", "not YAML", "quotes"),
        ("title: Small job", "title:\tSmall: job", "not YAML", ""),
        ("title: Small job", "title: *small", "alias", "write it out"),
        ("title: Small job", "title: &small job", "anchor", "take it out"),
        ("title: Small job", "title: !!python/object:os.system job", "tag", "take it out"),
        ("title: Small job", "title: [Small, job]", "a list, text belongs here", ""),
        ("does: [measure: lining]", "does: [{measure: lining, some: {count: 2}}]", "belongs to fasteners", "out"),
    ],
)  # fmt: skip
def test_each_fault_has_its_line_and_its_mend(old: str, new: str, what: str, mend: str) -> None:
    # what is missing altogether is told at the top
    line = SMALL[: SMALL.index(old)].count("\n") + 1 if new else 1
    found = faults(SMALL.replace(old, new, 1))
    here = [fault for fault in found if fault.line == line]
    assert any(re.search(what, fault.what) for fault in here), found
    assert any(re.search(mend, fault.mend) for fault in here), found
    assert all(fault.file == "card.yaml" for fault in found)


def test_all_faults_of_a_card_are_told_at_once_in_the_order_of_the_file() -> None:
    text = SMALL.replace("count: 5", "count: -5").replace("110 N·m", "110").replace("unit: mm", "unit: mn")
    assert [fault.line for fault in faults(text)] == [19, 22, 25]


def test_a_column_points_at_the_value() -> None:
    (fault,) = faults(SMALL.replace("110 N·m", "110 Nn"))
    assert (fault.line, fault.column) == (22, 13)
    assert str(fault).startswith("card.yaml:22:13: ")


def test_derived_readings_that_go_in_a_circle() -> None:
    circle = """measures:
  one: {name: one, unit: mm, derived: {kind: sum, of: [two]}}
  two: {name: two, unit: mm, derived: {kind: sum, of: [one]}}
"""
    (fault,) = faults(SMALL.replace("measures:\n", circle))
    assert "worked out of itself: one -> two -> one" in fault.what
    assert fault.line == 25


def test_parts_that_hide_each_other_go_in_a_circle() -> None:
    (fault,) = faults(SMALL.replace("mass_kg: 20}", "mass_kg: 20, behind: [drum]}"))
    assert "hides itself" in fault.what


def test_a_long_chain_of_derived_readings_is_no_circle_and_no_slow_one() -> None:
    chain = "".join(
        f"  m{n}: {{name: m {n}, unit: mm, derived: {{kind: sum, of: [m{n + 1}, m{n + 1}]}}}}\n" for n in range(300)
    )
    chain += "  m300: {name: last, unit: mm}\n"
    assert len(load_card_text(SMALL.replace("measures:\n", "measures:\n" + chain)).measures) == 302


def test_a_bomb_of_aliases_stops_at_the_first() -> None:
    bomb = 'a: &a ["x", "x"]\n' + "".join(f"b{n}: &b{n} [*a, *a]\n" for n in range(100))
    (fault,) = faults(bomb)
    assert fault.line == 1


@pytest.mark.parametrize("opening", ["[", "{a: ", "- "])
def test_endless_nesting_stops(opening: str) -> None:
    assert re.search("nested|not YAML", faults(opening * 2000)[0].what)


@pytest.mark.parametrize(
    ("raw", "what"),
    [
        (SMALL.encode("utf-16"), "UTF-16"),
        ("title: Größe\n".encode("latin-1"), "0xF6 here is not UTF-8"),
        (b"title: a\x00b\n", "null bytes"),
        (b"title: a\x07b\n", r"U\+0007"),
        (b"", "empty"),
        (b"\n\n# nothing\n", "empty"),
        (b"just words\n", "not a card"),
        (b"- a\n- b\n", "not a card"),
        (b"a: 1\n---\nb: 2\n", "second document"),
        (b"\x89PNG\r\n\x1a\n", "not UTF-8"),
        (b"? [a, b]\n: c\n", "list or mapping"),
    ],
)  # fmt: skip
def test_files_that_are_no_cards(tmp_path: Path, raw: bytes, what: str) -> None:
    path = tmp_path / "card.yaml"
    path.write_bytes(raw)
    with pytest.raises(CardError, match=what):
        load_card(path)


def test_the_wrong_encoding_is_pointed_at(tmp_path: Path) -> None:
    path = tmp_path / "card.yaml"
    path.write_bytes("card: a\ntitle: Größe\n".encode("latin-1"))
    with pytest.raises(CardError) as caught:
        load_card(path)
    assert (caught.value.faults[0].line, caught.value.faults[0].column) == (2, 10)


def test_a_byte_order_mark_is_no_matter(tmp_path: Path) -> None:
    path = tmp_path / "card.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.encode())
    assert load_card(path).card == "small"


def test_a_file_of_fifty_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(CardError, match="larger than"):
        load_card(path)
    with pytest.raises(CardError, match="larger than"):
        load_card_text("a" * (LARGEST_BYTES + 1))


def test_missing_files_folders_and_devices(tmp_path: Path) -> None:
    (tmp_path / "gearbox.yaml").write_text(SMALL, encoding="utf-8")
    with pytest.raises(CardError, match=r'no such file. Did you mean "gearbox.yaml"\?'):
        load_card(tmp_path / "gaerbox.yaml")
    with pytest.raises(CardError, match="folder"):
        load_card(tmp_path)
    with pytest.raises(CardError, match="regular file"):
        load_card(os.devnull)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "card.yaml"
    path.write_text(SMALL, encoding="utf-8")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(CardError, match="Permission denied"):
        load_card(path)


def test_shipped_cards_are_found_by_name() -> None:
    assert find_card("wheel-end").card.card == "wheel-end"
    assert set(shipped_cards()) >= {"gearbox-and-clutch", "wheel-end", "pump-cover"}
    with pytest.raises(CardError, match='Did you mean "wheel-end"'):
        find_card("weel-end")


def test_the_digest_is_of_the_bytes(tmp_path: Path) -> None:
    import hashlib

    path = tmp_path / "card.yaml"
    raw = SMALL.replace("\n", "\r\n").encode()
    path.write_bytes(raw)
    read = read_card(path)
    assert read.sha256 == hashlib.sha256(raw).hexdigest()
    assert read.text.encode() == raw


def test_a_draft_may_leave_a_count_unknown() -> None:
    card = load_card_text(SMALL.replace("count: 5", "count: unknown"))
    assert card.fasteners["wheel-nuts"].count == 0


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_no_damage_to_a_card_brings_a_traceback(data: st.DataObject) -> None:
    """Cut, doubled and replaced pieces: what comes is a card that can be checked, or a list of faults."""
    text = SMALL
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 12))
        piece = data.draw(
            st.sampled_from(
                ["", ":", "- ", "{", "]", "\n", "\t", "0", "-1", "null", "when: {}", "\x85", "é", "[[", "'", "#"]
            )
        )
        text = text[:at] + piece + text[at + cut :]
    told: tuple[Fault, ...] = ()
    try:
        check_card(read_card_text(text, "card.yaml"))
    except CardError as error:
        told = error.faults
    assert all(fault.what and fault.file == "card.yaml" for fault in told)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_no_bytes_bring_a_traceback(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "any.yaml"
    path.write_bytes(raw)
    with pytest.raises(CardError):
        load_card(path)


def test_changes_of_the_small_card_fit(small: Callable[..., str]) -> None:
    assert load_card_text(small(("title: Small job", "title: Other job"))).title == "Other job"


def test_a_line_without_end_is_refused() -> None:
    (fault,) = faults("title: a\n" + "!" * 900_000)
    assert fault.line == 2
    assert "letters" in fault.what


def test_a_card_of_thousands_of_names_is_refused() -> None:
    parts = "".join(f"  p{n}: {{name: part {n}}}\n" for n in range(6000))
    (fault,) = faults(SMALL.replace("parts:\n", "parts:\n" + parts))
    assert "6004 names" in fault.what
