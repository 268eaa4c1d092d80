"""Copies that are proved before they count, and a book brought back from one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from caskward.book.canonical import entry_line
from caskward.errors import BookAlreadyThere, BookFromLater, CopyNotGood, NoBookYet, NotABook
from caskward.store import backup
from caskward.store.backup import back_up, restore
from caskward.store.checking import check_book
from caskward.store.exchange import export_lines, write_export
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from tests.store import acts
from tests.store.workers import context, note_steadily, spoken


def fill(journal: Journal, count: int = 30) -> Journal:
    journal.append_all(list(acts.history(count)))
    return journal


def lines_at(place: Place) -> list[str]:
    with open_journal(place, create=False) as journal:
        assert check_book(journal.link).whole
        return list(export_lines(journal))


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_backup_is_one_file_with_the_same_book(journal: Journal, tmp_path: Path) -> None:
    fill(journal)
    shelf = tmp_path / "shelf" / "today"
    saved = back_up(journal, shelf / "copy.sqlite")
    head = journal.head()
    assert head is not None
    assert (saved.entries, saved.head) == (30, head.hash)
    assert names_in(shelf) == ["copy.sqlite"]
    assert lines_at(Place(file=saved.file)) == list(export_lines(journal))


def test_a_backup_is_made_while_another_writes(place: Place, tmp_path: Path) -> None:
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        fill(journal, 3)
        started = context()
        here, there = started.Pipe()
        writer = started.Process(target=note_steadily, args=(spoken(place), there))
        writer.start()
        assert here.recv() == "writing"
        saved = [back_up(journal, tmp_path / f"copy {turn}.sqlite") for turn in range(3)]
        here.send("enough")
        count = here.recv()
        writer.join()
        assert writer.exitcode == 0
        every = list(export_lines(journal))
    assert len(every) == 3 + count
    lengths = [one.entries for one in saved]
    assert lengths == sorted(lengths)
    assert 6 <= lengths[0] < lengths[-1] <= len(every)
    for one in saved:
        assert lines_at(Place(file=one.file)) == every[: one.entries]


def test_a_backup_overwrites_only_when_asked(file_journal: Journal, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    back_up(fill(file_journal, 5), copy)
    file_journal.append(acts.moved("one more"))
    with pytest.raises(BookAlreadyThere, match="5 entries"):
        back_up(file_journal, copy)
    assert back_up(file_journal, copy, overwrite=True).entries == 6
    for ask in (False, True):
        with pytest.raises(BookAlreadyThere, match="6 entries"):
            back_up(file_journal, file_journal.place.file or copy, overwrite=ask)


def test_a_copy_that_does_not_pass_is_not_kept(file_journal: Journal, tmp_path: Path) -> None:
    fill(file_journal, 5)
    with file_journal.link.by_hand() as cursor:
        cursor.execute(
            "UPDATE balances SET amount = amount + 1 WHERE account = 'jar/1' OR account = 'vessel/tub'"
        )
    shelf = tmp_path / "shelf"
    with pytest.raises(CopyNotGood, match="vessel/tub"):
        back_up(file_journal, shelf / "copy.sqlite")
    assert names_in(shelf) == []


def test_a_book_is_brought_back_where_there_is_none(
    place: Place, file_journal: Journal, tmp_path: Path
) -> None:
    saved = back_up(fill(file_journal), tmp_path / "copy.sqlite")
    done = restore(saved.file, place)
    assert (done.entries, done.entries_before, done.aside) == (30, 0, None)
    assert lines_at(place) == list(export_lines(file_journal))
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        assert journal.append(acts.moved("and on")).number == 31


def test_a_book_that_is_there_is_only_overwritten_when_asked(place: Place, tmp_path: Path) -> None:
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        saved = back_up(fill(journal, 5), tmp_path / "copy.sqlite")
        journal.append(acts.moved("later"))
    with pytest.raises(BookAlreadyThere, match="6 entries") as refusal:
        restore(saved.file, place)
    leads_on = "new, empty database" if place.file is None else f'restore "{saved.file}" --overwrite'
    assert leads_on in str(refusal.value)
    assert "export" not in str(refusal.value)
    assert len(lines_at(place)) == 6


def test_what_is_overwritten_is_copied_aside_and_who_has_it_open_sees_the_new(
    file_place: Place, tmp_path: Path
) -> None:
    with open_journal(file_place, now=lambda: acts.EVENING) as journal:
        saved = back_up(fill(journal, 5), tmp_path / "copy.sqlite")
        later = journal.append(acts.moved("later"))
        done = restore(saved.file, file_place, overwrite=True)
        assert (done.entries, done.entries_before) == (5, 6)
        assert done.aside is not None
        assert lines_at(Place(file=done.aside)) == [*lines_at(Place(file=saved.file)), entry_line(later)]
        assert [entry.number for entry in journal.entries()] == [1, 2, 3, 4, 5]
        assert journal.append(acts.moved("instead")).number == 6
    assert len(lines_at(file_place)) == 6


@pytest.mark.parametrize("damage", [b"scribbled over " * 400, b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_damaged_book_is_moved_aside_when_asked(file_place: Place, tmp_path: Path, damage: bytes) -> None:
    file = file_place.file
    assert file is not None
    with open_journal(file_place, now=lambda: acts.EVENING) as journal:
        saved = back_up(fill(journal, 5), tmp_path / "copy.sqlite")
    file.write_bytes(damage)
    with pytest.raises(BookAlreadyThere, match="damaged"):
        restore(saved.file, file_place)
    done = restore(saved.file, file_place, overwrite=True)
    assert done.entries_before is None
    assert done.aside is not None
    assert done.aside.read_bytes() == damage
    assert len(lines_at(file_place)) == 5


def test_a_backup_that_was_tampered_with_is_not_restored(file_journal: Journal, tmp_path: Path) -> None:
    saved = back_up(fill(file_journal, 5), tmp_path / "copy.sqlite")
    with closing(sqlite3.connect(saved.file)) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute("UPDATE entries SET author = 'Matt' WHERE number = 3")
        stranger.commit()
    target = Place(file=tmp_path / "elsewhere" / "book.sqlite")
    with pytest.raises(CopyNotGood):
        restore(saved.file, target)
    assert names_in(tmp_path / "elsewhere") == []


def test_what_is_no_backup_is_not_restored(tmp_path: Path) -> None:
    target = Place(file=tmp_path / "book.sqlite")
    with pytest.raises(NoBookYet):
        restore(tmp_path / "nothing.sqlite", target)
    (tmp_path / "letter").write_text("Dear miller, " * 100)
    with pytest.raises(NotABook):
        restore(tmp_path / "letter", target)
    with closing(sqlite3.connect(tmp_path / "photos")) as other:
        other.execute("CREATE TABLE photos (name)")
    with pytest.raises(NotABook):
        restore(tmp_path / "photos", target)
    assert names_in(tmp_path) == ["letter", "photos"]


def test_a_backup_of_a_later_caskward_is_not_restored(file_journal: Journal, tmp_path: Path) -> None:
    saved = back_up(fill(file_journal, 5), tmp_path / "copy.sqlite")
    with closing(sqlite3.connect(saved.file)) as later:
        later.execute("UPDATE schema_version SET version_num = '0099'")
        later.commit()
    with pytest.raises(BookFromLater, match="0099"):
        restore(saved.file, Place(file=tmp_path / "elsewhere.sqlite"))


def test_a_restore_that_fails_half_way_leaves_the_book(
    file_place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_journal(file_place, now=lambda: acts.EVENING) as journal:
        saved = back_up(fill(journal, 5), tmp_path / "copy.sqlite")
        journal.append(acts.moved("later"))

    def fails(part: Path, file: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(backup, "_put_in_place", fails)
    with pytest.raises(KeyboardInterrupt):
        restore(saved.file, file_place, overwrite=True)
    assert len(lines_at(file_place)) == 6
    assert [name for name in names_in(tmp_path) if "part" in name] == []


def test_an_export_is_written_whole_or_not_at_all(
    file_journal: Journal, tmp_path: Path, new_place: Callable[[str], Place]
) -> None:
    from caskward.errors import FileAlreadyThere, UnwritableFile

    fill(file_journal, 5)
    file = tmp_path / "book.jsonl"
    assert write_export(file_journal, file) == 5
    assert file.read_text(encoding="utf-8").splitlines() == list(export_lines(file_journal))
    with pytest.raises(FileAlreadyThere):
        write_export(file_journal, file)
    with pytest.raises(UnwritableFile):
        write_export(file_journal, tmp_path / "nowhere" / "book.jsonl")


def test_a_backup_may_be_kept_where_nothing_may_be_written(file_journal: Journal, tmp_path: Path) -> None:
    """Nothing need be written beside it to read it, and the book that comes from it keeps its log again."""
    saved = back_up(fill(file_journal, 5), tmp_path / "copy.sqlite")
    # SQLite's file format, bytes 18 and 19: 1 for a file that is read without a log, 2 for one with (WAL).
    assert saved.file.read_bytes()[18:20] == b"\x01\x01"
    assert (file_journal.place.file or tmp_path).read_bytes()[18:20] == b"\x02\x02"
    for target in (Place(file=tmp_path / "new.sqlite"), file_journal.place):
        restore(saved.file, target, overwrite=True)
        with open_journal(target, create=False) as journal, journal.link.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"


def test_what_a_lost_file_left_behind_is_not_taken_for_the_new_books(
    file_place: Place, tmp_path: Path
) -> None:
    """A program that was killed leaves its log beside the file; then the file is deleted."""
    file = file_place.file
    assert file is not None
    log = file.with_name(file.name + "-wal")
    with open_journal(file_place, now=lambda: acts.EVENING) as journal:
        saved = back_up(fill(journal, 5), tmp_path / "copy.sqlite")
        journal.append(acts.moved("after the backup"))
        left = log.read_bytes()
    assert left
    file.unlink()
    log.write_bytes(left)
    done = restore(saved.file, file_place)
    assert done.aside is not None
    assert done.aside.with_name(done.aside.name + "-wal").read_bytes() == left
    assert len(lines_at(file_place)) == 5


def test_a_log_beside_an_overwritten_backup_is_not_taken_for_the_new_ones(
    file_journal: Journal, tmp_path: Path
) -> None:
    copy = back_up(fill(file_journal, 5), tmp_path / "copy.sqlite").file
    with open_journal(Place(file=copy), now=lambda: acts.EVENING) as journal:
        journal.append(acts.moved("in the copy"))
        left = copy.with_name("copy.sqlite-wal").read_bytes()
    copy.with_name("copy.sqlite-wal").write_bytes(left)
    back_up(file_journal, copy, overwrite=True)
    assert len(lines_at(Place(file=copy))) == 5
