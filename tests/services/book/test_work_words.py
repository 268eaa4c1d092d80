"""Words of a batch's work as typed on a page: what stayed in the still, a material by half its name."""

from __future__ import annotations

import pytest

from caskward.errors.book_typed import NoMaterial
from caskward.services.book.opened import Book
from tests.services.book.test_run_deed import book, done

__all__ = ["book"]


def test_what_stayed_in_the_still_is_said_behind_the_receivers(book: Book) -> None:
    done(book, "distil", "pot still into jar 1 20 L 34 % at 20 C, left 40 L 0.9 % at 20 C")
    lost_l = sum(held["alcohol"] for held in book.balances("lost/").values()) / 1e6
    assert lost_l == pytest.approx(0.36, abs=1e-3)
    assert not book.balances("unaccounted/open"), "nothing is asked about"


def test_without_it_what_is_missing_is_asked_about(book: Book) -> None:
    done(book, "distil", "pot still into jar 1 20 L 34 % at 20 C")
    assert book.balances("unaccounted/open")


def test_half_a_name_is_the_material_that_has_it(book: Book) -> None:
    done(book, "receive", '1 kg "distillers\' dry yeast" from "the yeast shop"')
    done(book, "receive", '20 kg wheat from "Hill Farm"')
    with pytest.raises(NoMaterial, match='Did you mean "distillers\' dry yeast"') as refused:
        done(book, "add", "60 g yeast to tank")
    assert refused.value.nearest == "distillers' dry yeast"
