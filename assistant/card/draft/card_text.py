"""Words, numbers and places of the narration as they stand in the YAML of a card."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.scalarstring import DoubleQuotedScalarString

from .figures import Figure
from .narration import clock
from .thing import Said

WIDTH = 110


def slug(words: str) -> str:
    """An id: lower case, hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:54].strip("-") or "thing"


def torque_line(torque: Figure, angle_deg: Decimal | None = None) -> str:
    """As a card writes it: "65 N·m", "22 to 25 N·m", "65 ± 5 N·m", "50 N·m + 90 deg"."""
    tail = f" + {plain_value(angle_deg)} deg" if angle_deg is not None else ""
    if torque.low is not None and torque.high is not None:
        if torque.value is not None:
            return f"{plain_value(torque.value)} ± {plain_value(torque.high - torque.value)} {torque.unit}{tail}"
        return f"{plain_value(torque.low)} to {plain_value(torque.high)} {torque.unit}{tail}"
    return f"{plain_value(torque.value)} {torque.unit}{tail}"


def plain_value(value: Decimal | None) -> str:
    if value is None:
        return ""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def yaml_number(value: Decimal) -> int | float:
    return int(value) if value == value.to_integral_value() else float(value)


LENGTHS = (
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


def letter_of(number: int) -> str:
    return (
        ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")[number - 2]
        if number < 11
        else str(number)
    )


def said_at(said: Said) -> str:
    if said.at_s is not None:
        return f" at {clock(said.at_s)}"
    return f" in line {said.line}" if said.line else ""


def where_said(said: Iterable[Said]) -> str:
    """The comment of a step: time and words, wrapped."""
    import textwrap

    lines: list[str] = []
    seen: set[str] = set()
    for one in said:
        if one.words in seen:
            continue
        seen.add(one.words)
        where = clock(one.at_s) or (f"line {one.line}" if one.line else "")
        lines.extend(textwrap.wrap(f'{where} "{comment_safe(one.words)}"'.strip(), WIDTH, subsequent_indent="  "))
    return "\n".join(lines)


_UNPRINTABLE = re.compile(r"[^\x09\x0A\x20-\x7E\x85\xA0-\uD7FF\uE000-\uFFFD\U00010000-\U0010FFFF]")


def comment_safe(words: str) -> str:
    return _UNPRINTABLE.sub("", words)


def safe_text(words: str) -> str:
    """Words as a card takes them: no more than 2000 characters, quoted where YAML could read them as something else."""
    words = cut_to(comment_safe(" ".join(words.split())), 1900)
    return (
        DoubleQuotedScalarString(words) if re.search(r"[:#\"'\[\]{}&*!|>%@`]|^[-?]|^\d", words) or not words else words
    )


def cut_to(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 3].rstrip() + "..."


def capitalised(words: str) -> str:
    return words[:1].upper() + words[1:]


def flow_list(items: list[str]) -> CommentedSeq:
    seq = CommentedSeq(items)
    seq.fa.set_flow_style()
    return seq


def flow_map(**fields: Any) -> CommentedMap:
    mapping = CommentedMap(fields)
    mapping.fa.set_flow_style()
    return mapping
