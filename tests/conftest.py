"""What every test shares: how Hypothesis draws, and an honest word about what was not checked."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

import run

# Small matrices, and a worker for each core already: threads of one worker only wait for each other's.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Every test works its answers out; those of what is kept from one call to the next say where.
os.environ["CASKWARD_CACHE"] = "off"

IN_CI = os.environ.get("CI", "").lower() in ("1", "true", "yes")

# No deadlines: a slow machine is not a defect. The same draws for every change that is to land.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if IN_CI else "here")


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip a test whose program is missing; `pytest_terminal_summary` says so aloud."""
    for marker in item.iter_markers("needs_tool"):
        for tool in marker.args:
            if not run.find_tool(tool):
                pytest.skip(f"needs {tool}")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Where a change is judged, a test left out is a failure."""
    if IN_CI and _skipped(session.config) and not exitstatus:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> Iterator[None]:
    """Say in one line, after everything else, what was left out and what would bring it back."""
    yield
    skipped = _skipped(terminalreporter.config)
    if not skipped:
        return
    needs = [
        f"{tool} ({use}: install {package})"
        for tool, (package, use) in run.TOOLS.items()
        if not run.find_tool(tool)
    ]
    why = f" for want of {', '.join(needs)}" if needs else ", see above"
    verdict = " That fails here, since CI is set." if IN_CI else ""
    terminalreporter.write_line(f"NOT CHECKED: tests left out: {skipped}{why}.{verdict}", red=True, bold=True)


def _skipped(config: pytest.Config) -> int:
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    return len(reporter.stats.get("skipped", ())) if reporter else 0
