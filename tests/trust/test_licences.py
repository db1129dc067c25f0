"""What comes along with the tool, direct and indirect, may be handed on; the table in DEVELOPERS.md says what is so."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
TABLE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NAMED = {
    r"\bMIT\b": "MIT", r"BSD": "BSD", r"Apache": "Apache", r"\bMPL|Mozilla": "MPL", r"\bLGPL|Lesser General": "LGPL",
    r"\bPSF|Python Software Foundation": "PSF", r"\bISC\b": "ISC", r"Unlicense": "Unlicense", r"\b0BSD\b": "BSD",
    r"(?<!L)GPL-?v?[23]|(?<!Lesser )General Public License v?[23]": "GPL",
}  # fmt: skip
TOLD_BY_ITS_FILES = {"espeakng-loader": "GPL"}
"""Their own description names no licence; what they carry does."""


def licences(package: str) -> set[str]:
    """As the installed package declares them; empty where it declares none."""
    told = metadata.metadata(package)
    words = [told.get("License-Expression") or "", (told.get("License") or "")[:200]]
    words += [line for line in told.get_all("Classifier") or [] if line.startswith("License ::")]
    found = {name for pattern, name in NAMED.items() if re.search(pattern, "\n".join(words))}
    if not found and package in TOLD_BY_ITS_FILES:
        return {TOLD_BY_ITS_FILES[package]}
    return found


def wanted_by(package: str) -> set[str]:
    """What it asks for on this machine, without its extras."""
    told = PROJECT["dependencies"] if package == PROJECT["name"] else metadata.requires(package) or []
    asked = [Requirement(line) for line in told]
    return {
        canonicalize_name(each.name) for each in asked if each.marker is None or each.marker.evaluate({"extra": ""})
    }


def all_that_comes_along() -> set[str]:
    found: set[str] = set()
    left = {PROJECT["name"]}
    while left:
        package = left.pop()
        new = {each for each in wanted_by(package) if each not in found}
        found |= new
        left |= new
    return found


def rows() -> dict[str, str]:
    """Package to licence, as the table has them."""
    found: dict[str, str] = {}
    for line in TABLE.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if len(cells) != 4:
            continue
        packages = [re.sub(r"\(.*?\)", "", name).strip() for name in cells[0].split(",")]
        told = [name.strip() for name in re.sub(r"\(.*?\)", "", cells[1]).split(",")]
        for n, package in enumerate(packages):
            found[canonicalize_name(package)] = told[n] if len(told) == len(packages) else told[0]
    return found


def test_every_dependency_has_its_row_with_the_licence_that_it_declares() -> None:
    table = rows()
    for package in sorted(wanted_by(PROJECT["name"])):
        assert package in table, f"{package} has no row in the table of DEVELOPERS.md"
        short = {name for pattern, name in NAMED.items() if re.search(pattern, table[package])}
        assert short, (package, table[package])
        assert short <= licences(package), f"{package}: the table says {table[package]}, it says {licences(package)}"


def test_whatever_comes_along_declares_a_licence_under_which_it_may_be_handed_on() -> None:
    along = all_that_comes_along()
    assert len(along) > 30
    for package in sorted(along):
        assert licences(package), f"{package} declares no licence that is known here"
        only_gpl = licences(package) == {"GPL"}
        assert not only_gpl or package in TOLD_BY_ITS_FILES, f"{package} is under the GPL"
