"""Starting the command as a program: how little it loads, and what it is like at the end of a pipe."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

import caskward

CASKWARD = (sys.executable, "-m", "caskward")


def loaded_by(*words: str) -> set[str]:
    """Modules loaded once a command has run."""
    code = (
        "import sys; from caskward.cli import main; code = main(sys.argv[1:]); "
        "print(*sys.modules, file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    return set(done.stderr.split())


def test_help_loads_nothing_that_plans():
    loaded = loaded_by("--help")
    assert "caskward.cli.plan" in loaded
    assert loaded.isdisjoint({"numpy", "scipy", "rich", "typst", "caskward.services"})


def test_planning_never_loads_scipy(mine):
    loaded = loaded_by("plan", mine(), "--brief")
    assert "caskward.planning.planner" in loaded
    assert loaded.isdisjoint({"scipy", "rich", "typst"})


def test_a_reader_that_has_gone_is_no_fault(mine):
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*CASKWARD, "plan", mine(), "--brief"], stdout=writing, stderr=subprocess.PIPE, text=True, check=False
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_piped_text_has_no_escape_codes(mine):
    done = subprocess.run([*CASKWARD, "plan", mine()], capture_output=True, check=False)
    assert done.returncode == 0
    assert b"\x1b" not in done.stdout + done.stderr
    assert "▓".encode() in done.stdout


def test_a_terminal_that_holds_only_ascii_gets_ascii(mine):
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(
        [*CASKWARD, "plan", mine(), "--brief"], capture_output=True, env=ascii_only, check=False
    )
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert b"##" in done.stdout


def test_without_words_it_shows_its_help(ask):
    nothing, helped = ask(), ask("--help")
    assert nothing.code == helped.code == 0
    assert nothing.out.strip() == helped.out.strip()
    for command in ("demo", "plan", "materials"):
        assert f"\n  {command} " in helped.out


def test_it_knows_its_version(ask):
    assert ask("--version") == (0, f"caskward {caskward.__version__}\n", "")


@pytest.mark.parametrize("command", ["demo", "plan", "materials"])
def test_every_command_has_help(ask, command):
    code, out, err = ask(command, "--help")
    assert (code, err) == (0, "")
    assert "--json" in out
