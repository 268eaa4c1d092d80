"""One deed sent twice is entered once; what changed meanwhile is worked out again."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from caskward.book import deeds
from caskward.book.amounts import Liquid
from caskward.book.deeds import Part
from caskward.errors.book import KeyUsedForAnother, MoreThanIsHeld, OverItsVolume
from caskward.services.book import verbs
from caskward.services.book.acting import BY, Made, author, record
from caskward.services.book.opened import to_write

from .conftest import EVENING, MAUD, asked_of

KEYED = replace(MAUD, key="phone 7")


def test_the_same_key_changes_nothing_whatever_is_there_by_now(farm, book):
    first = farm("move tub 1 to pot still all 149 L 8 % at 20 C", KEYED)
    again = farm("move tub 1 to pot still all 149 L 8 % at 20 C", KEYED)
    assert again.repeated
    assert not first.repeated
    assert again.entry == first.entry
    assert book.head().number == first.entry.number


def test_a_key_is_not_used_for_another_deed(farm):
    farm("move tub 1 to pot still 100 L", KEYED)
    with pytest.raises(KeyUsedForAnother):
        farm("move tub 1 to pot still 101 L", KEYED)
    with pytest.raises(KeyUsedForAnother):
        farm("sample tub 1 1 L", KEYED)


def test_two_phones_at_once_make_one_entry(farm, place):
    """Each works its deed out at a moment of its own; the slower one is told what the quicker entered."""
    number, gate, found = 8, threading.Barrier(8), []

    def phone(turn):
        doing = replace(KEYED, now=lambda: EVENING.replace(second=turn))
        with to_write(place, now=lambda: EVENING) as own:
            gate.wait()
            found.append(verbs.done_in(own, asked_of("move tub 1 to pot still 100 L"), doing))

    threads = [threading.Thread(target=phone, args=(turn,)) for turn in range(number)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == number
    assert len({one.entry.hash for one in found}) == 1
    assert sum(not one.repeated for one in found) == 1


def _disturbed(book, times):
    """A maker of `move`, during which somebody else pours some away, so many times."""
    left = [times]

    def make(asked, act, view):
        made = verbs.maker("move")(asked, act, view)
        if left[0]:
            left[0] -= 1
            verbs.done_in(book, asked_of("sample tub 1 1 L"), MAUD)
        return made

    return make


def test_what_was_worked_out_from_an_old_balance_is_worked_out_again(farm, book):
    farm("declare vat 600 L")
    done = record(book, asked_of("move tub 1 to vat all"), MAUD, _disturbed(book, 2))
    moved = {part.account: part.amount for part in done.entry.postings if part.commodity == "bulk"}
    assert moved == {"vessel/tub 1": -178_000_000, "vessel/vat": 178_000_000}


def test_one_who_is_always_too_late_is_told(farm, book):
    farm("declare vat 600 L")
    with pytest.raises(MoreThanIsHeld, match="the book has"):
        record(book, asked_of("move tub 1 to vat all"), MAUD, _disturbed(book, 99))


def test_what_is_simply_too_much_is_refused_at_once(farm, book):
    tried = []

    def make(asked, act, view):
        tried.append(view.next_number)
        return Made(
            deeds.fill(act, view.holdings, Part("vessel/tub 1", Liquid(13_600_000, 170_000_000)), "cask/12")
        )

    with pytest.raises(OverItsVolume):
        record(book, asked_of("fill tub 1 cask 12 170 L"), MAUD, make)
    assert len(tried) == 1


def test_who_did_it(monkeypatch):
    monkeypatch.setenv(BY, "Maud Alder")
    assert author() == "Maud Alder"
    assert author("  Tom ") == "Tom"
    monkeypatch.delenv(BY)
    monkeypatch.setenv("LOGNAME", "farmhand")
    assert author() == "farmhand"
