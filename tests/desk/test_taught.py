"""What a closed batch taught is taken over with one press, shown with the gear, and begins the next plan."""

from __future__ import annotations

import re

import pytest

from caskward.planning import learned_file
from caskward.services.book import plan_kept, taught_kept, verbs
from caskward.services.book.asked import Asked
from tests.desk.conftest import Desk
from tests.desk.test_batches import MAUD, planned, text_of
from tests.desk.test_wishes import fields_of

CLOSE = "/batches/rye 5/close"
TAUGHT = "/batches/rye 5/taught"


@pytest.fixture
def closed(make_desk) -> Desk:
    """A batch that was planned, read and closed."""
    desk = planned(make_desk, "ferment 4 d: 1.004, 28 C", "wash: 7.6 %, 330 L")
    verbs.done_in(desk.house.book.to_write(), Asked("close", ("rye 5",)), MAUD)
    desk.browser.get(f"{CLOSE}?wait=1")
    return desk


def test_one_press_and_the_next_new_batch_begins_with_it(closed: Desk) -> None:
    assert "New batches begin with the defaults" in text_of(closed.browser.get("/gear"))
    assert "What rye 5 taught" in text_of(closed.browser.get("/gear"))
    assert "Let new batches begin with it" in text_of(closed.browser.get(CLOSE))
    assert closed.send(TAUGHT, {}).headers["location"] == "/batches/rye%205/close"
    assert "New batches begin with this." in text_of(closed.browser.get(CLOSE))
    taught = taught_kept.taken_over(closed.house.book.to_read())
    for start in ("start=rye", "batch=rye 5", "blank=1"):
        fields = fields_of(closed.browser.get(f"/batches/new?{start}"))
        assert f'learned = "{taught.name}"' in fields["source"], start
    plain = fields_of(closed.browser.get("/batches/new?batch=rye 5&taught=no"))
    assert "taught-" not in plain["source"]


def test_the_plan_of_the_next_batch_has_what_was_taught_in_it(closed: Desk) -> None:
    closed.send(TAUGHT, {})
    fields = {**fields_of(closed.browser.get("/batches/new?batch=rye 5")), "batch": "rye 6"}
    assert "Begins with what 1 closed batch taught" in text_of(closed.send("/batches/new", fields))
    assert closed.send("/batches/new/begin", fields).headers["location"] == "/batches/rye%206"
    book = closed.house.book.to_read()
    taught, kept = taught_kept.taken_over(book), plan_kept.kept_plan(book, "rye 6")
    assert dict(kept.files) == {taught.name: taught.file}
    intent = plan_kept.sized_of(book, "rye 6").sized.intent
    assert intent.learned == learned_file.read_learned(taught.file, "taught")


def test_gear_shows_what_was_taught_beside_the_default(closed: Desk) -> None:
    closed.send(TAUGHT, {})
    said = text_of(closed.browser.get("/gear"))
    assert "begin with what rye 5 taught" in said
    assert re.search(r"1 closed batch, \d+ readings", said)
    assert "default with you batches" in said


def test_pressed_again_it_changes_nothing_and_an_open_batch_has_no_button(closed: Desk, make_desk) -> None:
    closed.send(TAUGHT, {})
    newest = closed.house.book.newest()
    closed.send(TAUGHT, {})
    assert closed.house.book.newest() == newest


def test_an_open_batch_has_not_taught_yet(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    assert "Let new batches begin" not in text_of(desk.browser.get(f"{CLOSE}?wait=1"))
    assert desk.send(TAUGHT, {}).status_code == 404


def test_the_newest_is_found_among_many(closed: Desk) -> None:
    book = closed.house.book.to_write()
    for number in range(1, 12):
        found = taught_kept.take_over(book, f"rye {number}", "batches = 1", MAUD)
        assert (found.batch, found.name) == (f"rye {number}", f"taught-{number}.toml")
    assert taught_kept.taken_over(book).batch == "rye 11"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('name = "x"\n[cask]\n', 'learned = "taught-1.toml"\nname = "x"\n[cask]\n'),
        ('name = "x"\nlearned = "old.toml"\n[cask]\n', 'name = "x"\nlearned = "taught-1.toml"\n[cask]\n'),
        ('learned = "old.toml"\n[cask]\n', 'learned = "taught-1.toml"\n[cask]\n'),
        ('[a]\nlearned = "still.toml"\n', 'learned = "taught-1.toml"\n[a]\nlearned = "still.toml"\n'),
    ],
)
def test_a_plan_names_it_once_at_its_top(before: str, after: str) -> None:
    taught = taught_kept.TakenOver("rye 5", "taught-1.toml", "", "")
    assert taught_kept.beginning_with(before, taught) == after


def test_another_batch_taken_over_is_said(closed: Desk) -> None:
    there = 'learned_batches = 1\nsaved = "2026-01-01"\nbatches = 1\nreadings = 2\nclosed = ["0000abcd"]\n'
    taught_kept.take_over(closed.house.book.to_write(), "rye 4", there, MAUD)
    assert "stand in its place" in text_of(closed.browser.get(CLOSE))
