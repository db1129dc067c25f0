"""What all tests share: the rule for tests that need a package of the system.

Without the package such a test is skipped and says what was missing; with BAY_TEST_ALL=1 (as CI sets it, after
installing everything) the same lack is a failure, so that nothing can go untested unseen.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable

import pytest
from hypothesis import settings

# a busy machine is not a failing test: no property is timed
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

Needs = Callable[[bool, str], None]


def require(present: bool, what: str) -> None:
    """Goes on if `present`; otherwise skips naming `what`, or fails under BAY_TEST_ALL=1."""
    if present:
        return
    if os.environ.get("BAY_TEST_ALL") == "1":
        pytest.fail(f"BAY_TEST_ALL=1, but this machine has no {what}", pytrace=False)
    pytest.skip(f"needs {what}")


@pytest.fixture(scope="session")
def needs() -> Needs:
    """`needs(shutil.which("pulseaudio") is not None, "PulseAudio")` in a test or fixture."""
    return require


@pytest.fixture(scope="session")
def chromium(needs: Needs) -> str:
    """Path of the system's Chromium, for Playwright's `executable_path`."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    needs(found is not None, "Chromium (Debian: chromium)")
    assert found is not None
    return found


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="run the long forms too (tests marked slow)")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long forms run when asked for: with --slow, or by a -m of one's own."""
    if config.getoption("--slow") or config.getoption("-m"):
        return
    slow = [item for item in items if item.get_closest_marker("slow")]
    if slow:
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if not item.get_closest_marker("slow")]
