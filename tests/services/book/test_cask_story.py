"""A cask's story: levels as put right, paces of loss by its own gauges, and what they would leave."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from caskward.services.book import cask_story, cask_words, verbs
from caskward.services.book.acting import Doing
from tests.services.book.conftest import asked_of

BEGUN = datetime(2022, 1, 1, 12, tzinfo=UTC)


def at(days: float) -> Doing:
    moment = BEGUN + timedelta(days=days)
    return Doing(by="Maud", at=moment.isoformat(), now=lambda: moment)


@pytest.fixture
def cask(book):
    """A cask of 50 L, filled from a tank; a deed by its words and its day."""

    def do(line: str, days: float):
        return verbs.done_in(book, asked_of(line), at(days))

    do("declare tank 100 L", 0)
    do("declare cask 1 50 L", 0)
    do('receive 50 L 60 % at 20 C into tank from "old stock"', 0)
    do("fill tank cask 1 48 L 60 % at 20 C", 0)
    return do


def test_a_pace_is_what_the_gauges_found(book, cask) -> None:
    cask("gauge cask 1 46 L 60 % at 20 C", 365.25)
    cask("gauge cask 1 44 L 60 % at 20 C", 2 * 365.25)
    story = cask_story.story(book, "cask/1", BEGUN + timedelta(days=2 * 365.25))
    first, second = story.paces
    assert (first.first, second.first) == (True, False)
    # Two litres of 48, then of 46, in a year each; what a cask holds is counted as the book has it meanwhile.
    assert first.alcohol.mid == pytest.approx(100 * 2 / 48, rel=2e-3)
    assert second.alcohol.mid == pytest.approx(100 * 2 / 46, rel=2e-3)
    assert second.alcohol.low < second.alcohol.mid < second.alcohol.high


def test_an_outlook_takes_the_pace_after_the_first_and_brackets_it(book, cask) -> None:
    cask("gauge cask 1 40 L 60 % at 20 C", 365.25)
    cask("gauge cask 1 38 L 60 % at 20 C", 2 * 365.25)
    (ahead,) = cask_story.story(book, "cask/1", BEGUN + timedelta(days=2 * 365.25)).ahead
    assert ahead.as_last.bulk_ul == pytest.approx(38e6 * (1 - 2 / 40), rel=2e-3)
    assert ahead.fast.bulk_ul < ahead.as_last.bulk_ul < ahead.slow.bulk_ul
    assert ahead.fast.alcohol_ul < ahead.as_last.alcohol_ul < ahead.slow.alcohol_ul


def test_one_gauge_tells_no_outlook(book, cask) -> None:
    cask("gauge cask 1 46 L 60 % at 20 C", 200)
    now = BEGUN + timedelta(days=200)
    story = cask_story.story(book, "cask/1", now)
    assert story.ahead == ()
    assert "cannot be said yet" in cask_words.told(story, now, "metric").ahead[0]


def test_a_level_long_ago_is_told_with_what_may_be_left_today(book, cask) -> None:
    for n, volume in enumerate((46, 45), 1):
        cask(f"gauge cask 1 {volume} L 60 % at 20 C", n * 180)
    story = cask_story.story(book, "cask/1", BEGUN + timedelta(days=500))
    assert len(story.ahead) == 2
    today, then = story.ahead
    assert then.as_last.bulk_ul < today.as_last.bulk_ul < 45_000_000


def test_it_begins_with_the_last_fill_from_empty(book, cask) -> None:
    cask("move cask 1 to tank all", 10)
    cask("fill tank cask 1 30 L", 20)
    story = cask_story.story(book, "cask/1", BEGUN + timedelta(days=30))
    assert [level.kind for level in story.levels] == ["filled"]
    assert story.levels[0].liquid.bulk_ul == 30_000_000
    assert cask_story.filled_at(book, ["cask/1"]) == {"cask/1": BEGUN + timedelta(days=20)}


def test_a_corrected_gauge_counts_as_put_right(book, cask) -> None:
    cask("gauge cask 1 46 L 60 % at 20 C", 365.25)
    wrong = cask("gauge cask 1 34 L 60 % at 20 C", 2 * 365.25)
    right = asked_of("gauge cask 1 44 L 60 % at 20 C")
    from caskward.services.book.acting import corrected

    doing = replace(at(2 * 365.25 + 1), at="")
    corrected(book, wrong.entry.number, right, doing, "misread", verbs.maker("gauge"))
    story = cask_story.story(book, "cask/1", BEGUN + timedelta(days=800))
    assert story.levels[-1].liquid.bulk_ul == 44_000_000
    assert story.paces[1].alcohol.mid == pytest.approx(100 * 2 / 46, rel=5e-3)


@pytest.mark.parametrize(
    ("days", "said"),
    [(0.5, "0 days"), (1, "1 day"), (60, "60 days"), (62, "2 months"), (700, "22 months"), (731, "2 years"),
     (1200, "3 years 3 months")],
)  # fmt: skip
def test_age_is_said_as_people_say_it(days, said) -> None:
    assert cask_words.age(BEGUN, BEGUN + timedelta(days=days)) == said
