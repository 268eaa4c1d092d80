"""Books of another age: an older one is copied aside and brought up to date, a newer one is left alone."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from caskward.book.state import replay
from caskward.errors import BookFromLater
from caskward.store import upgrade
from caskward.store.backup import restore
from caskward.store.checking import check_book
from caskward.store.journal import open_journal
from caskward.store.place import Place
from caskward.store.tables import REVISION
from tests.store import acts
from tests.store.older import FIRST_FORM, write_first_form


@pytest.fixture
def old_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(FIRST_FORM, tmp_path / "book.sqlite"))


def form_of(file: Path) -> str:
    with closing(sqlite3.connect(file)) as book:
        form: str = book.execute("SELECT version_num FROM schema_version").fetchone()[0]
        return form


def content_of(file: Path) -> list[object]:
    tables = ("entries", "postings", "readings")
    with closing(sqlite3.connect(file)) as book:
        return [book.execute(f"SELECT * FROM {table} ORDER BY number").fetchall() for table in tables]


def test_an_older_book_is_copied_aside_and_brought_up_to_date(old_file: Path) -> None:
    before = content_of(old_file)
    with open_journal(Place(file=old_file), now=lambda: acts.EVENING) as journal:
        assert [entry.deed for entry in journal.entries()] == list(acts.history(40))
        assert check_book(journal.link).whole
        state = replay(journal.entries())
        with journal.holdings() as held:
            assert held.room_ul(acts.CASK) == state.room_ul(acts.CASK) == 50 * acts.LITRE
            assert held.standing("rye 5") == "open"
        journal.append(acts.moved("and on", batch="rye 5"))
    assert form_of(old_file) == REVISION
    [copy] = [path for path in old_file.parent.iterdir() if path != old_file]
    assert copy.name.startswith(f"book.before-form-{REVISION}.")
    assert form_of(copy) == "0001"
    assert content_of(copy) == before


def test_a_book_in_todays_form_is_not_copied(old_file: Path) -> None:
    for _ in range(3):
        with open_journal(Place(file=old_file)):
            pass
    assert len(list(old_file.parent.iterdir())) == 2


def test_an_upgrade_that_fails_leaves_the_older_book(old_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content_of(old_file)

    def fails(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(upgrade, "rebuild", fails)
        with pytest.raises(KeyboardInterrupt):
            open_journal(Place(file=old_file))
    assert form_of(old_file) == "0001"
    assert content_of(old_file) == before
    with closing(sqlite3.connect(old_file)) as book:
        tables = {name for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert "rooms" not in tables
    with open_journal(Place(file=old_file)) as journal:
        assert check_book(journal.link).whole


@pytest.mark.needs_tool("initdb")
def test_an_older_book_on_a_server_is_brought_up_to_date(
    old_file: Path, tmp_path: Path, server_place: Callable[[], Place]
) -> None:
    source = Place(file=old_file)
    with open_journal(source):
        pass
    place = server_place()
    write_first_form(source, place)
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        assert [entry.deed for entry in journal.entries()] == list(acts.history(40))
        assert check_book(journal.link).whole


def test_a_backup_in_an_older_form_can_be_restored(old_file: Path, tmp_path: Path) -> None:
    target = Place(file=tmp_path / "new" / "book.sqlite")
    assert restore(old_file, target).entries == 40
    assert form_of(old_file) == "0001"
    with open_journal(target, create=False) as journal:
        assert check_book(journal.link).whole
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["book.sqlite"]


def test_a_newer_book_is_left_alone(place: Place) -> None:
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        for deed in acts.history(3):
            journal.append(deed)
        with journal.link.writing() as connection:
            connection.exec_driver_sql("UPDATE schema_version SET version_num = '0099'")
    with pytest.raises(BookFromLater, match=f"its form is 0099, this one knows {REVISION} and older"):
        open_journal(place)
    if place.file:
        assert form_of(place.file) == "0099"
        assert [path.name for path in place.file.parent.iterdir()] == [place.file.name]
