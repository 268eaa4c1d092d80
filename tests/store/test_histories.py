"""Laws of a book that is kept: for any history, what is on disk is what the pure book says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
from hypothesis import HealthCheck, given, settings

from caskward.book.canonical import entry_line
from caskward.book.entry import Deed, Entry
from caskward.errors import CaskwardError
from caskward.store.checking import check_book
from caskward.store.exchange import export_lines, import_lines
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from tests.store.conftest import BOTH
from tests.support.keeper import START, Keeper, histories, small_farm

NEW_BOOK_EACH = settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])


class Clock:
    """Stands where it was put."""

    now = START

    def __call__(self) -> datetime:
        return self.now


def kept(keeper: Keeper, place: Place) -> Journal:
    """A journal that was given all that the keeper tried at the same times; it took and refused the same."""
    clock = Clock()
    journal = open_journal(place, now=clock)
    entered = iter(keeper.entries)
    for deed, now in keeper.tried:
        clock.now = now
        given = said(journal, deed)
        if isinstance(given, Entry):
            assert given == next(entered)
        else:
            assert given in {str(refusal) for refusal in keeper.refused}
    assert next(entered, None) is None
    return journal


def said(journal: Journal, deed: Deed) -> Entry | str:
    try:
        return journal.append(deed)
    except CaskwardError as refusal:
        return str(refusal)


@pytest.mark.parametrize("kind", BOTH)
@given(keeper=histories(most=30))
@NEW_BOOK_EACH
def test_what_is_kept_is_what_the_pure_book_says(
    new_place: Callable[[str], Place], kind: str, keeper: Keeper
) -> None:
    with kept(keeper, new_place(kind)) as journal:
        assert list(journal.entries()) == keeper.entries
        assert journal.balances() == keeper.state.balances
        sums: dict[str, int] = {}
        for there in journal.balances().values():
            for commodity, amount in there.items():
                sums[commodity] = sums.get(commodity, 0) + amount
        assert set(sums.values()) <= {0}
        with journal.holdings() as held:
            state = keeper.state
            assert {name: held.room_ul(name) for name in state.rooms_ul} == state.rooms_ul
            assert {batch: held.standing(batch) for batch in held.names("batch")} == state.batches
            numbers = range(1, len(keeper.entries) + 1)
            assert {n: held.corrected_by(n) for n in numbers if held.corrected_by(n)} == state.corrections
        assert check_book(journal.link).findings == ()


@pytest.mark.parametrize("kind", BOTH)
@given(keeper=histories(most=30))
@NEW_BOOK_EACH
def test_export_and_import_give_the_same_book(
    new_place: Callable[[str], Place], kind: str, keeper: Keeper
) -> None:
    with open_journal(new_place(kind)) as journal:
        assert import_lines(journal.link, map(entry_line, keeper.entries)) == len(keeper.entries)
        assert list(export_lines(journal)) == [entry_line(entry) for entry in keeper.entries]
        assert journal.balances() == keeper.state.balances
        assert check_book(journal.link).findings == ()


def test_a_farms_year_in_small_is_kept(new_place: Callable[[str], Place]) -> None:
    keeper = small_farm()
    with kept(keeper, new_place("sqlite")) as journal:
        assert journal.balances() == keeper.state.balances
        assert check_book(journal.link).whole
