"""A test that was left out is never left out quietly."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SUITE = """
import pytest

@pytest.mark.needs_tool({tool!r})
def test_page():
    pass

def test_plain():
    pass

@pytest.mark.slow
def test_long():
    raise AssertionError("a slow test runs only when asked for")
"""


def _suite(folder: Path, tool: str, ci: str) -> subprocess.CompletedProcess[str]:
    """Run a suite of three, one of which looks through a tool, under this repository's own settings."""
    shutil.copy(ROOT / "tests" / "conftest.py", folder)
    (folder / "test_suite.py").write_text(SUITE.format(tool=tool), encoding="utf-8")
    words = [
        "-c",
        str(ROOT / "pyproject.toml"),
        "--rootdir",
        str(folder),
        "-p",
        "no:cacheprovider",
        "test_suite.py",
    ]
    environment = {**os.environ, "CI": ci, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "pytest", *words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(("ci", "code"), [("", 0), ("true", 1)])
def test_a_missing_tool_is_told_and_fails_where_changes_are_judged(
    tmp_path: Path, ci: str, code: int
) -> None:
    done = _suite(tmp_path, "no-such-tool", ci)
    assert "NOT CHECKED: tests left out: 1" in done.stdout.splitlines()[-2]
    assert "1 passed, 1 skipped, 1 deselected" in done.stdout.splitlines()[-1]
    assert done.returncode == code


def test_with_the_tool_there_is_nothing_to_tell(tmp_path: Path) -> None:
    done = _suite(tmp_path, sys.executable, "true")
    assert "NOT CHECKED" not in done.stdout
    assert "2 passed, 1 deselected" in done.stdout.splitlines()[-1]
    assert done.returncode == 0
