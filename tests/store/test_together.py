"""Several write at once: the chain stays whole and a deed that several send is entered once."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

from caskward.store.checking import check_book
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from tests.store import acts
from tests.store.workers import context, spoken, write_a_share

WRITERS, EACH = 4, 15


def _begin(place: Place) -> None:
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        for deed in acts.history(3):
            journal.append(deed)


def test_processes_that_write_at_once_keep_the_chain_whole(place: Place) -> None:
    _begin(place)
    with ProcessPoolExecutor(WRITERS, mp_context=context()) as pool:
        shares = pool.map(write_a_share, [spoken(place)] * WRITERS, range(1, WRITERS + 1), [EACH] * WRITERS)
        said = [pair for share in shares for pair in share]
    with open_journal(place) as journal:
        entries = list(journal.entries())
        assert check_book(journal.link).whole
        assert journal.balances("jar/0")["jar/0"]["bulk"] == 2_000 * EACH
        for who in range(1, WRITERS + 1):
            assert journal.balances(f"jar/{who}")[f"jar/{who}"]["bulk"] == 1_000 * EACH
    assert len(entries) == 3 + EACH * (WRITERS + 1)
    assert dict(said) == {entry.key: entry.number for entry in entries[3:]}
    assert len(set(said)) == EACH * (WRITERS + 1), "one key was acknowledged under two numbers"


def test_threads_may_share_one_journal(journal: Journal) -> None:
    for deed in acts.history(3):
        journal.append(deed)
    with ThreadPoolExecutor(6) as pool:
        deeds = [acts.moved(f"phone {turn % 10}", target=f"jar/{turn % 10}") for turn in range(40)]
        entries = pool.map(journal.append, deeds)
        numbers = {entry.key: entry.number for entry in entries}
    assert sorted(numbers.values()) == list(range(4, 14))
    assert check_book(journal.link).whole


def test_two_who_begin_a_book_at_once_begin_one(place: Place) -> None:
    with ThreadPoolExecutor(4) as pool:
        journals = list(pool.map(lambda _: open_journal(place, now=lambda: acts.EVENING), range(4)))
    for turn, journal in enumerate(journals):
        journal.append(acts.declared(f"by {turn}"))
    assert [len(list(journal.entries())) for journal in journals] == [4] * 4
    for journal in journals:
        journal.close()


def test_the_last_of_it_goes_to_one_of_two(place: Place) -> None:
    """Two pour at once what is there only once."""
    from caskward.errors.book import NothingInIt

    _begin(place)
    with (
        open_journal(place, now=lambda: acts.EVENING) as one,
        open_journal(place, now=lambda: acts.EVENING) as other,
    ):
        one.append(acts.moved("last", ml=700))

        def pour(pair: tuple[Journal, int]) -> str:
            journal, turn = pair
            try:
                journal.append(acts.moved(f"pour {turn}", source=acts.JAR, target=f"jar/{turn}", ml=700))
            except NothingInIt:
                return "nothing in it"
            return "poured"

        with ThreadPoolExecutor(2) as pool:
            assert sorted(pool.map(pour, [(one, 1), (other, 2)])) == ["nothing in it", "poured"]
        assert check_book(one.link).whole
