"""People and tokens that several change at once, from threads of a desk and from commands beside it."""

from __future__ import annotations

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from caskward.desk import files, people
from caskward.desk.people import People
from caskward.desk.tokens import Tokens
from caskward.errors.desk import DeskFolderShut, LastMaker
from caskward.errors.desk_api import TokenNameTaken
from tests.desk.conftest import PASSPHRASE

MANY = 12


@pytest.fixture(autouse=True)
def slow_and_cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Writing takes a moment, so that others come in between; a hash takes none."""
    write = files.write

    def slowly(path: Path, content: bytes) -> None:
        time.sleep(0.01)
        write(path, content)

    monkeypatch.setattr(files, "write", slowly)
    monkeypatch.setattr(people, "_hash", lambda *_: "00")


def at_once(do, names) -> list:
    with ThreadPoolExecutor(MANY) as threads:
        return list(threads.map(do, names))


def test_tokens_made_and_taken_off_at_once_are_all_made_and_taken_off(tmp_path) -> None:
    tokens = Tokens(tmp_path, People(tmp_path))
    names = [f"sensor {n}" for n in range(MANY)]
    made = at_once(lambda name: tokens.add(name, "helper"), names)
    assert sorted(one.name for one in tokens.all()) == sorted(names)
    assert all(tokens.find(one) for one in made)
    at_once(tokens.remove, names[1:])
    assert [one.name for one in tokens.all()] == names[:1]


def test_one_name_is_given_once(tmp_path) -> None:
    def add(_: int) -> bool:
        try:
            Tokens(tmp_path, People(tmp_path)).add("sensor", "helper")
        except TokenNameTaken:
            return False
        return True

    assert sum(at_once(add, range(MANY))) == 1


def test_people_added_and_taken_off_at_once(tmp_path) -> None:
    names = [f"Maud {n}" for n in range(MANY)]
    at_once(lambda name: People(tmp_path).add(name, "maker", PASSPHRASE), names)
    assert sorted(one.name for one in People(tmp_path).all()) == sorted(names)

    def leave(name: str) -> bool:
        try:
            People(tmp_path).remove(name)
        except LastMaker:
            return False
        return True

    assert sum(at_once(leave, names)) == MANY - 1
    assert len(People(tmp_path).all()) == 1, "a maker stays, however many go at once"


ADDS = """
import sys, time
from pathlib import Path
from caskward.desk import files
from caskward.desk.people import People
from caskward.desk.tokens import Tokens
write = files.write
files.write = lambda path, content: (time.sleep(0.02), write(path, content))
folder = Path(sys.argv[1])
for n in range(6):
    Tokens(folder, People(folder)).add(f"{sys.argv[2]} {n}", "reader")
"""


def test_commands_beside_the_desk_lose_nothing_either(tmp_path) -> None:
    started = [subprocess.Popen([sys.executable, "-c", ADDS, str(tmp_path), name]) for name in ("a", "b")]
    assert [one.wait(60) for one in started] == [0, 0]
    assert len(Tokens(tmp_path, People(tmp_path)).all()) == 12


def test_a_folder_that_cannot_be_made_says_so(tmp_path) -> None:
    (tmp_path / "desk").write_text("a file")
    with pytest.raises(DeskFolderShut):
        People(tmp_path / "desk").add("Maud", "maker", PASSPHRASE)
