"""run.py: what can be checked of set-up without setting up."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import run


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A house with the real locks and an environment that was set up from them."""
    shutil.copytree(run.REQUIREMENTS, tmp_path / "requirements")
    monkeypatch.setattr(run, "REQUIREMENTS", tmp_path / "requirements")
    monkeypatch.setattr(run, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(run, "PYTHON", tmp_path / ".venv" / "python")
    run.VENV.mkdir()
    run.PYTHON.touch()
    run.stamp_file("run").write_text(run.stamp_of("run"), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 11, 9), (3, 14, 1), (4, 0, 0)])
def test_a_python_that_is_new_enough_passes(version: tuple[int, ...]) -> None:
    run.refuse_old_python(version)


@pytest.mark.parametrize("version", [(3, 10, 14), (3, 9, 2), (2, 7, 18)])
def test_an_old_python_gets_one_sentence_with_both_versions(version: tuple[int, ...]) -> None:
    with pytest.raises(
        run.SetUpError, match=rf"Python {version[0]}\.{version[1]}\.{version[2]}, .* 3\.11 or newer"
    ):
        run.refuse_old_python(version)


def test_a_finished_set_up_is_not_done_again(house: Path) -> None:
    assert run.is_ready("run")
    assert not run.is_ready("dev")


@pytest.mark.parametrize("lock", ["run.txt", "uv.txt"])
def test_a_changed_lock_asks_for_set_up(house: Path, lock: str) -> None:
    with (house / "requirements" / lock).open("a", encoding="utf-8") as handle:
        handle.write("one-more==1.0\n")
    assert not run.is_ready("run")


def test_a_change_to_the_checkers_leaves_the_program_ready(house: Path) -> None:
    with (house / "requirements" / "dev.txt").open("a", encoding="utf-8") as handle:
        handle.write("one-more==1.0\n")
    assert run.is_ready("run")


def test_another_python_asks_for_set_up(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (sys.version_info[0], sys.version_info[1] + 1, 0))
    assert not run.is_ready("run")


def test_an_environment_without_its_python_asks_for_set_up(house: Path) -> None:
    run.PYTHON.unlink()
    assert not run.is_ready("run")


def test_two_starts_at_once_wait_for_each_other(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "ROOT", house)
    ask = (
        "import fcntl, sys; handle = open(sys.argv[1], 'w'); "
        "fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)"
    )
    command = [sys.executable, "-c", ask, str(house / ".venv.lock")]
    with run.only_one_at_a_time():
        during = subprocess.run(command, capture_output=True, text=True, check=False)
    after = subprocess.run(command, capture_output=True, text=True, check=False)
    assert "BlockingIOError" in during.stderr
    assert after.returncode == 0, after.stderr


def test_without_words_it_lists_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert run.main([]) == 0
    said = capsys.readouterr().out
    assert all(f"run.py {word}" in said for word in ("demo", "plan", "--help", "test"))


# Locks --------------------------------------------------------------------------------------------


def test_no_lock_of_this_repository_holds_an_address() -> None:
    assert run.lock_findings() == []


def test_an_address_in_a_lock_is_found(house: Path) -> None:
    (house / "requirements" / "run.txt").write_text("part @ file:///a/folder/part.whl\n", encoding="utf-8")
    assert run.lock_findings(house) == ["requirements/run.txt holds an address"]


def test_a_lock_that_writes_addresses_is_found(house: Path) -> None:
    (house / "uv.lock").touch()
    assert run.lock_findings(house) == ["uv.lock does not belong here"]


def test_every_part_of_a_lock_is_pinned_and_hashed() -> None:
    for name in ("run.txt", "dev.txt", "uv.txt"):
        text = (run.REQUIREMENTS / name).read_text(encoding="utf-8")
        parts = [part for part in text.replace("\\\n", " ").splitlines() if part.strip()]
        assert parts
        assert all("==" in part and "--hash=sha256:" in part for part in parts), name


def test_what_the_program_needs_is_the_same_in_both_locks() -> None:
    def parts(name: str) -> set[str]:
        text = (run.REQUIREMENTS / name).read_text(encoding="utf-8").replace("\\\n", " ")
        # Which machines need a part may be said more widely where the checks need it too.
        return {re.sub(r" ;.*?(?= --hash)", "", " ".join(line.split())) for line in text.splitlines()}

    assert parts("run.txt") <= parts("dev.txt")
