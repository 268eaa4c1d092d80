"""Whatever is changed in the book behind its back is found, and the first bad entry is named."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from caskward.errors import BookDamaged, CaskwardError, EntryDamaged
from caskward.store.checking import Checked, check_book
from caskward.store.engine import Link
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from caskward.store.tables import balances, batches, entries, postings, readings, rooms
from tests.store import acts

ENTRIES = 24


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A closed book without pages that were used before."""
    file = tmp_path_factory.mktemp("written") / "book.sqlite"
    with open_journal(Place(file=file), now=lambda: acts.EVENING) as journal:
        journal.append_all(list(acts.history(ENTRIES)))
        with journal.link.by_hand() as cursor:
            cursor.execute("VACUUM")
    return file


@pytest.fixture
def clean(written: Path, tmp_path: Path) -> Path:
    """A copy of that book."""
    return Path(shutil.copy(written, tmp_path / "clean.sqlite"))


def check_file(file: Path) -> Checked | CaskwardError:
    link = Link(Place(file=file))
    try:
        return check_book(link)
    except CaskwardError as error:
        return error
    finally:
        link.close()


def found(file: Path) -> bool:
    """Whether the check finds fault, or the file refuses to be read at all."""
    checked = check_file(file)
    return isinstance(checked, CaskwardError) or not checked.whole


def test_the_clean_book_passes(clean: Path) -> None:
    checked = check_file(clean)
    assert isinstance(checked, Checked)
    assert (checked.whole, checked.entries) == (True, ENTRIES)


def test_any_flipped_bit_of_a_text_in_the_file_is_found(clean: Path, tmp_path: Path) -> None:
    """Keys, notes, hashes, account names, typed readings: wherever the file holds one, in row or index."""
    drawn = random.Random(5)
    content = clean.read_bytes()
    with open_journal(Place(file=clean)) as journal:
        texts = {text for entry in journal.entries() for text in _texts_of(entry)}
    spots = sorted({spot for text in texts for spot in _places(content, text.encode())})
    assert len(spots) > 4000
    file = tmp_path / "flipped.sqlite"
    for spot in drawn.sample(spots, 150):
        flipped = bytearray(content)
        flipped[spot] ^= 1 << drawn.randrange(8)
        file.write_bytes(bytes(flipped))
        assert found(file), (spot, content[spot - 20 : spot + 20])


def _texts_of(entry: object) -> set[str]:
    from caskward.book.entry import Entry

    assert isinstance(entry, Entry)
    read = {text for one in entry.readings for text in (one.typed, one.value, one.instrument)}
    posted = {part.account for part in entry.postings}
    own = {entry.key, entry.note, entry.hash}
    return {text for text in own | read | posted if len(text) > 5}


def _places(content: bytes, sought: bytes) -> set[int]:
    spots: set[int] = set()
    start = content.find(sought)
    while start >= 0:
        spots |= set(range(start, start + len(sought)))
        start = content.find(sought, start + 1)
    return spots


def _changes() -> list[tuple[str, str, int]]:
    """Every column of every table that is the book's, with the entry whose row is changed."""
    tables = {entries: 8, postings: 8, readings: 10}
    return [(table.name, column.name, number) for table, number in tables.items() for column in table.c]


@pytest.mark.parametrize(("table", "column", "number"), _changes())
def test_a_changed_column_is_found_at_its_entry(clean: Path, table: str, column: str, number: int) -> None:
    with closing(sqlite3.connect(clean)) as stranger:
        for (name,) in stranger.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            stranger.execute(f"DROP TRIGGER {name}")
        [old] = stranger.execute(f'SELECT "{column}" FROM {table} WHERE number = {number}').fetchone()
        new = _other(old, column)
        stranger.execute(
            f'UPDATE {table} SET "{column}" = ? WHERE number = {number} AND "{column}" IS ?', (new, old)
        )
        assert stranger.total_changes
        stranger.commit()
    checked = check_file(clean)
    assert isinstance(checked, Checked)
    named = [finding for finding in checked.findings if finding.check not in ("guards", "file")]
    assert named
    if column not in ("number", "line"):
        assert named[0].number == number, named


def _other(old: object, column: str) -> object:
    if column in ("number", "line", "corrects"):
        return 5000
    if isinstance(old, int):
        return old + 1
    if column in ("done_at", "recorded_at"):
        return str(old).replace("2026-", "2025-")
    if column in ("before", "hash"):
        return str(old)[::-1]
    return {"details": '{"a":1}', "temp_c": "20", "calibrated_at_c": "20", "tolerance": "1"}.get(
        column, f"{old}x"
    )


@pytest.mark.parametrize(
    "details",
    ["{ }", '{"a":1,"a":2}', "{}\n", '{"\\u0061":1}', "[]", "null", '{"b":1,"a":2}', '{"a":1.0}', "{"],
)
def test_another_writing_of_the_same_details_is_found(clean: Path, details: str) -> None:
    with closing(sqlite3.connect(clean)) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute("UPDATE entries SET details = ? WHERE number = 8", (details,))
        stranger.commit()
    checked = check_file(clean)
    assert isinstance(checked, Checked)
    assert 8 in {finding.number for finding in checked.findings}
    with open_journal(Place(file=clean)) as journal, pytest.raises(EntryDamaged, match="Entry 8 was changed"):
        list(journal.entries())


ROBBERIES = {
    "the last entry's note": "UPDATE entries SET note = 'x' WHERE number = 24",
    "an entry": "DELETE FROM entries WHERE number = 10",
    "a posting": "DELETE FROM postings WHERE number = 8 AND line = 0",
    "a reading": "DELETE FROM readings WHERE number = 10",
    "a posting too many": "INSERT INTO postings VALUES (24, 9, 'jar/1', 'bulk', 1, 1)",
    "postings of nothing": "INSERT INTO postings VALUES (99, 0, 'jar/1', 'bulk', 1, 1)",
    "readings of nothing": "INSERT INTO readings VALUES (99, 0, 'x', 'x', '1', 'x', 'x', NULL, NULL, NULL)",
    "an entry below the first": "UPDATE entries SET number = -4, key = 'k' WHERE number = 5",
    "a running sum": "UPDATE postings SET after = after + 1 WHERE number = 8 AND line = 1",
    "a balance": "UPDATE balances SET amount = amount + 1 WHERE account = 'vessel/tub'",
    "a balance too many": "INSERT INTO balances VALUES ('jar/77', 'bulk', 5)",
    "a balance lost": "DELETE FROM balances WHERE account = 'vessel/tub'",
    "a volume": "UPDATE rooms SET volume_ul = volume_ul * 2",
    "a volume lost": "DELETE FROM rooms WHERE account = 'cask/12'",
    "a batch": "UPDATE batches SET standing = 'closed'",
    "a batch lost": "DELETE FROM batches",
}


@pytest.mark.parametrize("robbery", ROBBERIES)
def test_what_was_taken_or_slipped_in_is_found(
    new_place: Callable[[str], Place], database: str, robbery: str
) -> None:
    with open_journal(new_place(database), now=lambda: acts.EVENING) as journal:
        journal.append_all(list(acts.history(ENTRIES)))
        _without_guards(journal, ROBBERIES[robbery])
        checked = check_book(journal.link)
        named = [finding for finding in checked.findings if finding.check != "guards"]
        assert named, robbery
        assert all(finding.sentence.endswith(".") for finding in named)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.needs_tool("initdb"))])
def database(request: pytest.FixtureRequest) -> str:
    kind: str = request.param
    return kind


def _without_guards(journal: Journal, statement: str) -> None:
    """As one who owns the database and stops at nothing."""
    if journal.link.on_server:
        with journal.link.engine.connect() as connection, connection.begin():
            connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
            connection.exec_driver_sql(statement)
        return
    with closing(sqlite3.connect(str(journal.place))) as stranger:
        for (name,) in stranger.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            stranger.execute(f"DROP TRIGGER {name}")
        stranger.execute(statement)
        stranger.commit()


def test_projections_are_named_by_table() -> None:
    """Every table is either the book's own or a projection, and both are changed in the tests above."""
    changed = {table.name for table in (entries, postings, readings)}
    robbed = {
        name for name in ("balances", "rooms", "batches") if any(name in text for text in ROBBERIES.values())
    }
    assert changed | robbed == set(balances.metadata.tables)
    assert robbed == {balances.name, rooms.name, batches.name}


def test_a_book_changed_behind_its_back_can_still_be_looked_at(clean: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(clean, tmp_path / "copy.sqlite"))
    with closing(sqlite3.connect(copy)) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute("UPDATE entries SET note = 'x' WHERE number = 9")
        stranger.commit()
    checked = check_file(copy)
    assert isinstance(checked, Checked)
    chain = [finding for finding in checked.findings if finding.check == "chain"]
    assert [(finding.number, finding.sentence) for finding in chain] == [
        (9, "Entry 9 was changed after it was recorded.")
    ]


def test_an_entry_that_no_rule_would_have_let_pass_is_found_under_a_whole_chain(
    file_journal: Journal,
) -> None:
    """Somebody who can reckon hashes too still cannot make litres out of nothing."""
    from caskward.book.chain import sealed_at
    from caskward.book.entry import Posting
    from caskward.book.holdings import effects
    from caskward.store.writing import Writer

    before = [file_journal.append(deed) for deed in acts.history(3)][-1]
    forged = acts.deed("forged", "moved", Posting(acts.JAR, "alcohol", 5), Posting(acts.JAR, "bulk", 5))
    with file_journal.link.writing() as connection:
        entry = sealed_at(forged, 4, acts.EVENING, before.hash)
        Writer(connection).take_in(entry, effects(entry))
    checked = check_book(file_journal.link)
    assert [(finding.check, finding.number) for finding in checked.findings] == [("sums", 4)] * 2


def _forged_index(written: Path, file: Path) -> int:
    """A copy whose index alone has another name for an account than the row has; the number of that entry."""
    content = written.read_bytes()
    rows = "SELECT * FROM postings NOT INDEXED"
    with closing(sqlite3.connect(written)) as look:
        [account] = look.execute("SELECT account FROM postings WHERE number = 6 AND line = 0").fetchone()
        true = look.execute(rows).fetchall()
    start = content.find(account.encode())
    while start >= 0:
        forged = bytearray(content)
        forged[start + len(account) - 1] ^= 1
        file.write_bytes(bytes(forged))
        renamed = account[:-1] + chr(ord(account[-1]) ^ 1)
        by_index = "SELECT number FROM postings INDEXED BY postings_of_account WHERE +account = ?"
        with closing(sqlite3.connect(file)) as look:
            numbers = look.execute(by_index, (renamed,)).fetchall()
            if numbers and look.execute(rows).fetchall() == true:
                return int(numbers[0][0])
        start = content.find(account.encode(), start + 1)
    raise AssertionError("no copy of the name lies in the index alone")


def test_a_byte_flipped_in_an_index_names_the_file_and_the_entry(clean: Path, tmp_path: Path) -> None:
    file = tmp_path / "flipped.sqlite"
    number = _forged_index(clean, file)
    checked = check_file(file)
    assert isinstance(checked, Checked)
    assert checked.first_bad == number
    assert {finding.check for finding in checked.findings} == {"file"}
    assert {finding.number for finding in checked.findings} == {None, number}


def test_nothing_is_added_to_a_damaged_file(clean: Path, tmp_path: Path) -> None:
    file = tmp_path / "flipped.sqlite"
    _forged_index(clean, file)
    with open_journal(Place(file=file), now=lambda: acts.EVENING) as journal:
        with pytest.raises(BookDamaged, match="missing from index"):
            journal.append(acts.deed("more", "noted"))
        assert journal.head() is not None
        assert journal.entry(ENTRIES + 1) is None


@pytest.mark.parametrize("number", [3, ENTRIES])
def test_nothing_is_added_after_an_entry_that_was_changed(clean: Path, number: int) -> None:
    with closing(sqlite3.connect(clean)) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute(f"UPDATE entries SET note = 'x' WHERE number = {number}")
        stranger.commit()
    with (
        open_journal(Place(file=clean), now=lambda: acts.EVENING) as journal,
        pytest.raises(EntryDamaged, match=f"Entry {number} was changed"),
    ):
        journal.append(acts.deed("more", "noted"))


def test_pages_that_cannot_be_read_do_not_end_the_check(clean: Path) -> None:
    """The page of the postings themselves is lost: what else there is to say is still said."""
    with closing(sqlite3.connect(clean)) as look:
        [page] = look.execute("SELECT rootpage FROM sqlite_master WHERE name = 'postings'").fetchone()
        [size] = look.execute("PRAGMA page_size").fetchone()
    content = bytearray(clean.read_bytes())
    content[(page - 1) * size : page * size] = b"\xff" * size
    clean.write_bytes(bytes(content))
    checked = check_file(clean)
    assert isinstance(checked, Checked)
    assert checked.first_bad == 1
    assert not checked.whole
