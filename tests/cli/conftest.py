"""Running commands in this process, and plans made once."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from caskward.cli import main
from caskward.services import Plan, Refusal, plans

NAMES = ("pears", "rye", "wheat-panela")


class Said(NamedTuple):
    """What a command answered."""

    code: int
    out: str
    err: str


@pytest.fixture(autouse=True)
def _a_plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "CASKWARD_DEBUG", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Run a command as typed: `ask("plan", "mine.toml")`."""

    def run(*words: str) -> Said:
        code = main(list(words))
        return Said(code, *capsys.readouterr())

    return run


@pytest.fixture
def pipe_in(monkeypatch: pytest.MonkeyPatch) -> Callable[[bytes], None]:
    """Lay something on standard input."""

    def lay(content: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content), "utf-8"))

    return lay


def rye(*changes: tuple[str, str]) -> str:
    """The rye example on fewer worlds, so that it plans quickly, with some of its text replaced."""
    text = f"worlds = 256\n{plans.starting_point('rye')}"
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@pytest.fixture
def mine(tmp_path: Path) -> Callable[..., str]:
    """Write a maker's file, the rye example with changes, and return its name."""

    def write(*changes: tuple[str, str]) -> str:
        path = tmp_path / "mine.toml"
        path.write_text(rye(*changes), encoding="utf-8")
        return str(path)

    return write


@pytest.fixture(scope="session")
def planned() -> dict[str, Plan]:
    """Every starting point planned, and the rye for a US maker."""
    texts = {name: plans.starting_point(name) for name in NAMES}
    texts["rye-us"] = texts["rye"].replace('show = "metric"', 'show = "us"')
    made = {name: plans.plan_text(text) for name, text in texts.items()}
    assert all(isinstance(plan, Plan) for plan in made.values())
    return made  # type: ignore[return-value]


@pytest.fixture(scope="session")
def refused() -> Refusal:
    """The rye in a tub far too small for it."""
    outcome = plans.plan_text(rye(TOO_SMALL_A_TUB))
    assert isinstance(outcome, Refusal)
    return outcome


TOO_SMALL_A_TUB = ('volume = "600 L"', 'volume = "200 L"')
