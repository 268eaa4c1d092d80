"""What a journal promises, on SQLite and on PostgreSQL alike."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from caskward.book.canonical import entry_line
from caskward.book.chain import GENESIS, breaks
from caskward.book.entry import Posting
from caskward.book.state import replay
from caskward.errors import BookAlreadyThere, ExportNotWhole
from caskward.errors.book import (
    AlreadyCorrected,
    BadField,
    BatchClosed,
    CaskwardError,
    KeyUsedForAnother,
    MoreThanIsHeld,
    NothingInIt,
    NotYet,
    OverItsVolume,
    UnreadableEntry,
)
from caskward.store.checking import check_book
from caskward.store.exchange import export_lines, import_lines
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from tests.store import acts
from tests.store.acts import CASK, EVENING, JAR, LITRE, TUB
from tests.store.conftest import BOTH


def filled(journal: Journal, count: int = 60) -> Journal:
    journal.append_all(list(acts.history(count)))
    return journal


def test_a_new_book_is_empty(journal: Journal) -> None:
    assert journal.head() is None
    assert list(journal.entries()) == []
    assert journal.balances() == {}
    assert check_book(journal.link).whole


def test_an_entry_is_what_was_done_in_its_place(journal: Journal) -> None:
    first, second = journal.append(acts.declared()), journal.append(acts.received())
    assert (first.number, first.before, second.number, second.before) == (1, GENESIS, 2, first.hash)
    assert second.deed == acts.received()
    assert second.recorded_at == EVENING
    head = journal.head()
    assert head is not None
    assert (head.number, head.hash) == (2, second.hash)


def test_what_is_read_is_what_was_written_after_opening_again(place: Place) -> None:
    with open_journal(place, now=lambda: EVENING) as journal:
        written = [journal.append(deed) for deed in acts.history(40)]
    with open_journal(place) as journal:
        assert list(journal.entries()) == written
        assert not list(breaks(journal.entries()))


def test_a_key_sent_twice_is_entered_once(journal: Journal) -> None:
    filled(journal, 3)
    first = journal.append(acts.moved("phone 1"))
    assert journal.append(acts.moved("phone 1")) == first
    assert journal.append(first.deed) == first
    assert journal.balances(JAR) == {JAR: {"alcohol": 150_000, "bulk": 500_000}}


def test_a_key_for_something_else_is_refused(journal: Journal) -> None:
    filled(journal, 3)
    journal.append(acts.moved("phone 1"))
    with pytest.raises(KeyUsedForAnother, match="entry 4"):
        journal.append(acts.moved("phone 1", ml=501))
    assert journal.balances(JAR)[JAR]["bulk"] == 500_000


@pytest.mark.parametrize(
    ("deed", "refusal"),
    [
        (acts.moved("more", ml=400_001), MoreThanIsHeld),
        (acts.moved("empty", source="jar/9"), NothingInIt),
        (acts.moved("full", target=CASK, ml=50_001), OverItsVolume),
        (acts.moved("later", after_h=24 * 365), NotYet),
        (acts.moved("closed", batch="rye 4"), BatchClosed),
    ],
)
def test_a_refused_deed_leaves_nothing(journal: Journal, deed: object, refusal: type[CaskwardError]) -> None:
    filled(journal, 3)
    journal.append(acts.deed("b4", "begun", batch="rye 4"))
    journal.append(acts.deed("c4", "closed", batch="rye 4"))
    before, held = journal.head(), journal.balances()
    with pytest.raises(refusal):
        journal.append(deed)  # type: ignore[arg-type]
    assert (journal.head(), journal.balances()) == (before, held)
    assert journal.append(acts.moved("next")).number == 6


def test_deeds_that_belong_together_are_entered_together_or_not_at_all(journal: Journal) -> None:
    filled(journal, 3)
    good, bad = acts.moved("one"), acts.moved("two", source=JAR, target="jar/8", ml=501)
    right = acts.moved("two", source=JAR, target="jar/8", ml=500)
    with pytest.raises(MoreThanIsHeld):
        journal.append_all([good, bad])
    assert journal.find("one") is None
    assert [entry.number for entry in journal.append_all([good, right])] == [4, 5]


def test_a_correction_takes_back_and_is_made_once(journal: Journal) -> None:
    filled(journal, 3)
    old = journal.append(acts.moved("wrong"))
    journal.append(acts.corrected("right", old.number, old))
    assert journal.balances("jar/") == {}
    with pytest.raises(AlreadyCorrected, match="by entry 5"):
        journal.append(acts.corrected("again", old.number, old))
    assert check_book(journal.link).whole


def test_a_batch_whose_end_is_corrected_is_open_again(journal: Journal) -> None:
    filled(journal, 3)
    end = journal.append(acts.deed("end", "closed", batch="rye 5"))
    with journal.holdings() as held:
        assert held.standing("rye 5") == "closed"
    journal.append(acts.corrected("not yet", end.number, end))
    with journal.holdings() as held:
        assert held.standing("rye 5") == "open"


def test_what_is_kept_beside_the_entries_is_their_replay(journal: Journal) -> None:
    filled(journal, 120)
    state = replay(journal.entries())
    assert journal.balances() == state.balances
    with journal.holdings() as held:
        for name in [TUB, CASK, JAR]:
            assert held.room_ul(name) == state.room_ul(name)
        assert set(held.names("declared")) == set(state.rooms_ul)
        assert {batch: held.standing(batch) for batch in held.names("batch")} == state.batches
        numbers = range(1, 121)
        assert {n: held.corrected_by(n) for n in numbers} == {n: state.corrected_by(n) for n in numbers}
        assert held.last_number() == 120
        assert held.entry(7) == state.entry(7)
        assert held.entry(121) is None
    assert state.corrections


def test_balances_are_found_by_the_beginning_of_a_name(journal: Journal) -> None:
    filled(journal, 60)
    everything = journal.balances()
    for prefix in ("jar/", "jar/1", TUB, "received/", "Jar/", "jar/é"):
        assert journal.balances(prefix) == {
            name: held for name, held in everything.items() if name.startswith(prefix)
        }
    assert len(journal.balances("jar/")) > 5
    assert list(everything) == sorted(everything)


def test_an_account_is_read_page_by_page(journal: Journal) -> None:
    filled(journal, 60)
    lines, older, pages = [], None, 0
    while pages == 0 or older:
        page = journal.account_page(TUB, before=older, limit=7)
        lines += page.lines
        older, pages = page.older, pages + 1
    expected = [
        (entry.number, line, part.commodity, part.amount)
        for entry in journal.entries()
        for line, part in enumerate(entry.postings)
        if part.account == TUB
    ]
    assert [(line.number, line.line, line.commodity, line.amount) for line in reversed(lines)] == expected
    assert pages == -(-len(expected) // 7)
    held = dict.fromkeys(("alcohol", "bulk"), 0)
    for line in reversed(lines):
        held[line.commodity] += line.amount
        assert line.after == held[line.commodity]
    assert journal.balances(TUB) == {TUB: held}
    assert {line.commodity for line in journal.account_page(TUB, commodity="bulk").lines} == {"bulk"}


def test_a_page_that_ends_where_the_account_ends_has_none_after_it(journal: Journal) -> None:
    filled(journal, 2)
    assert len(journal.account_page(TUB, limit=2).lines) == 2
    assert journal.account_page(TUB, limit=2).older is None
    assert journal.account_page("jar/99").lines == ()


def test_entries_are_found_by_number_key_batch_and_age(journal: Journal) -> None:
    filled(journal, 60)
    every = list(journal.entries())
    assert [entry.number for entry in every] == list(range(1, 61))
    assert list(journal.entries(after=50)) == every[50:]
    assert list(journal.entries(after=10, limit=5)) == every[10:15]
    assert list(journal.entries(after=99)) == []
    assert journal.newest(limit=3) == tuple(reversed(every[-3:]))
    assert journal.newest(before=3, limit=10) == tuple(reversed(every[:2]))
    assert journal.entry(12) == every[11]
    assert journal.entry(0) is None
    assert journal.find("deed 12") == every[11]
    assert journal.find("nothing") is None
    assert journal.of_batch("rye 5") == tuple(entry for entry in every if entry.batch == "rye 5")


def test_the_book_does_not_run_backward_with_a_clock_put_back(place: Place) -> None:
    times = iter([EVENING, EVENING - timedelta(hours=3)])
    with open_journal(place, now=lambda: next(times)) as journal:
        assert [journal.append(deed).recorded_at for deed in acts.history(2)] == [EVENING, EVENING]


def test_two_journals_on_one_book_see_each_other(place: Place) -> None:
    with open_journal(place, now=lambda: EVENING) as one, open_journal(place, now=lambda: EVENING) as other:
        for turn, deed in enumerate(acts.history(20)):
            (one, other)[turn % 2].append(deed)
        assert list(one.entries()) == list(other.entries())
        assert check_book(one.link).whole


def test_a_look_is_one_moment_of_the_book(journal: Journal) -> None:
    filled(journal, 3)
    with journal.holdings() as held:
        before = held.last_number()
        journal.append(acts.moved("meanwhile"))
        assert held.last_number() == before
        assert held.contents(JAR) == {}


def test_a_sum_that_no_column_can_hold_is_refused(journal: Journal) -> None:
    much = 9 * 10**17
    flow = (Posting("received/Hill Farm", "mass/rye", -much), Posting("lot/rye", "mass/rye", much))
    journal.append(acts.deed("much", "received", *flow))
    with pytest.raises(BadField, match="at most 18 digits"):
        journal.append(acts.deed("too much", "received", *flow))
    assert check_book(journal.link).whole


@pytest.mark.parametrize("source", BOTH)
@pytest.mark.parametrize("target", BOTH)
def test_an_export_makes_the_same_book_elsewhere(
    new_place: Callable[[str], Place], source: str, target: str
) -> None:
    with (
        open_journal(new_place(source), now=lambda: EVENING) as one,
        open_journal(new_place(target)) as other,
    ):
        filled(one, 70)
        assert import_lines(other.link, export_lines(one)) == 70
        assert [entry_line(entry) for entry in other.entries()] == list(export_lines(one))
        assert other.balances() == one.balances()
        assert check_book(other.link) == check_book(one.link)
        assert check_book(other.link).whole
        assert other.append(acts.moved("and on")).before == list(one.entries())[-1].hash


def test_an_export_is_only_taken_into_an_empty_book(journal: Journal) -> None:
    filled(journal, 5)
    with pytest.raises(BookAlreadyThere, match="5 entries"):
        import_lines(journal.link, export_lines(journal))
    assert len(list(journal.entries())) == 5


@pytest.mark.parametrize(
    ("spoil", "refusal", "says"),
    [
        (lambda lines: lines[:3] + lines[4:], ExportNotWhole, "Line 4"),
        (lambda lines: lines[1:], ExportNotWhole, "Line 1"),
        (lambda lines: [*lines[:2], lines[2].replace("Maud", "Matt"), *lines[3:]], ExportNotWhole, "changed"),
        (lambda lines: [*lines[:2], lines[2][:-9]], UnreadableEntry, "Line 3"),
    ],
)
def test_a_spoilt_export_is_refused_whole(
    file_journal: Journal,
    new_place: Callable[[str], Place],
    spoil: Callable[[list[str]], list[str]],
    refusal: type[CaskwardError],
    says: str,
) -> None:
    lines = list(export_lines(filled(file_journal, 8)))
    with open_journal(new_place("sqlite")) as other:
        with pytest.raises(refusal, match=says):
            import_lines(other.link, spoil(lines))
        assert other.head() is None
        assert other.balances() == {}


def test_amounts_in_a_refusal_are_in_the_makers_units(journal: Journal) -> None:
    filled(journal, 3)
    with pytest.raises(MoreThanIsHeld, match="gal"):
        journal.append(acts.moved("more", ml=500_000), system="us")
    assert journal.balances(TUB)[TUB]["bulk"] == 400 * LITRE
