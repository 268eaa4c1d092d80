"""What the book refuses, and that it says what is there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from caskward.book import deeds, rules
from caskward.book.accounts import ROOTS, checked_account, checked_commodity
from caskward.book.amounts import Liquid, liquid, mg, ul
from caskward.book.deeds import Act, Goods, Part, Postings
from caskward.book.deeds.act import deed
from caskward.book.entry import Deed, Posting
from caskward.book.frozen import FrozenMap
from caskward.errors import CaskwardError
from caskward.errors import book as errors
from tests.support.keeper import Keeper, small_farm

Make = Callable[[Keeper], Deed]


def raw(
    keeper: Keeper, *postings: Posting, kind: str = "moved", batch: str | None = None, **more: object
) -> Deed:
    """A deed with these postings, as somebody would make it who does not use the functions."""
    act = keeper.act(batch)
    return Deed(
        key=act.key,
        kind=kind,
        done_at=act.done_at,
        author=act.author,
        batch=batch,
        postings=postings,
        **more,  # type: ignore[arg-type]
    )


REFUSED: list[tuple[Make, type[CaskwardError], list[str]]] = [
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/heart", liquid(12, 65)), "jar/2"),
        errors.MoreThanIsHeld,
        ["12 L of liquid", "jar/heart", "the book has 10 L"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/heart", liquid(10, 70)), "jar/2"),
        errors.MoreThanIsHeld,
        ["7 L of pure alcohol", "the book has 6.5 L"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/none", liquid(1, 65)), "jar/2"),
        errors.NothingInIt,
        ["jar/none"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/heart", liquid(1, 165)), "jar/2"),
        errors.StrongerThanAlcohol,
        ["165 %vol", "write 165 proof"],
    ),
    (
        lambda book: deeds.receive_liquid(book.act(), "cask/1", liquid(30, 60), "Neighbour"),
        errors.OverItsVolume,
        ["would hold 40 L", "takes 32 L", "has 10 L in it"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/heart", liquid(1, 65)), "cask/11"),
        errors.NotDeclared,
        ["cask/11", "Did you mean cask/1?"],
    ),
    (
        lambda book: deeds.note(
            Act(key="late", done_at=book.now + timedelta(minutes=6), author="Ada"), details={"a": 1}
        ),
        errors.NotYet,
        ["2031-03-01 23:06 UTC", "2031-03-01 23:00 UTC"],
    ),
    (
        lambda book: deeds.sample(book.act("rye 2"), book.state, Part("jar/heart", liquid(1, 65))),
        errors.NoSuchBatch,
        ["'rye 2'", "Did you mean 'rye 1'?"],
    ),
    (lambda book: deeds.begin(book.act("rye 1")), errors.BatchBegun, ["'rye 1'"]),
    (lambda book: deeds.begin(book.act()), errors.BadField, ["batch"]),
    (
        lambda book: raw(book, Posting("jar/heart", "bulk", -1000)),
        errors.Unbalanced,
        ["0.001 L of liquid"],
    ),
    (
        lambda book: raw(book, Posting("lost/air", "alcohol", -1), Posting("jar/heart", "alcohol", 1)),
        errors.NotForThisAccount,
        ["lost/air cannot give pure alcohol", "made/fermentation"],
    ),
    (
        lambda book: raw(book, Posting("changed/air", "alcohol", -1), Posting("jar/heart", "alcohol", 1)),
        errors.NotForThisAccount,
        ["changed/air"],
    ),
    (
        lambda book: raw(
            book, Posting("jar/heart", "alcohol", -1), Posting("made/still/rye 1", "alcohol", 1)
        ),
        errors.NotForThisAccount,
        ["made/still/rye 1 cannot take in"],
    ),
    (
        lambda book: raw(book, Posting("lot/rye 1", "mass/rye", -1), Posting("jar/1", "mass/rye", 1)),
        errors.NotForThisAccount,
        ["jar/1 cannot take in rye"],
    ),
    (
        lambda book: raw(
            book, Posting("made/yeast/rye 1", "alcohol", -1), Posting("jar/heart", "alcohol", 1), batch=None
        ),
        errors.BatchNotNamed,
        ["made/yeast/rye 1", "the entry names none"],
    ),
    (
        lambda book: raw(
            book, Posting("changed/contraction", "bulk", 5_000_000), Posting("jar/heart", "bulk", -5_000_000)
        ),
        errors.MoreAlcoholThanLiquid,
        ["6.5 L of pure alcohol in 5 L"],
    ),
    (
        lambda book: deeds.receive(book.act(), [Goods("lot/rye 1", "mass/oats", 5)], "Hollow Farm"),
        errors.AnotherThingThere,
        ["lot/rye 1 is a lot of rye", "oats"],
    ),
    (
        lambda book: deeds.declare(book.act(), {"cask/1": ul(5)}),
        errors.OverItsVolume,
        ["10 L", "5 L"],
    ),
    (lambda book: deeds.declare(book.act(), {"lot/rye": 5}), errors.BadField, ["lot/rye"]),
    (lambda book: deeds.declare(book.act(), {"cask/9": -5}), errors.BadField, ["cask/9"]),
    (lambda book: deeds.declare(book.act(), {}), errors.BadField, ["rooms_ul"]),
    (
        lambda book: deeds.receive(book.act(), [Goods("lot/rye 1", "mass/rye", 0)], "Hollow Farm"),
        errors.NothingHappened,
        ["received"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jar/heart", liquid(1, 65)), "jar/heart"),
        errors.IntoItself,
        ["jar/heart"],
    ),
    (
        lambda book: deeds.sell_bottles(book.act(), book.state, "bottles/L1", 29, "shop"),
        errors.MoreThanIsHeld,
        ["29", "28"],
    ),
    (
        lambda book: deeds.sell_bottles(book.act(), book.state, "bottles/L2", 1, "shop"),
        errors.NothingInIt,
        ["L2"],
    ),
    (
        lambda book: deeds.move(book.act(), book.state, Part("jars/heart", liquid(1, 65)), "jar/2"),
        errors.UnknownRoot,
        ["'jars/heart'", "jar, cask"],
    ),
    (
        lambda book: deeds.gauge(book.act(), book.state, "jar/hart", liquid(10, 65)),
        errors.NothingInIt,
        ["jar/hart"],
    ),
    (
        lambda book: deeds.explain(
            book.act(), book.state, "vessel/still", "vapour", Liquid(500_001, 500_001)
        ),
        errors.MoreThanIsOpen,
        ["0.500001 L of pure alcohol", "0.5 L are open in vessel/still"],
    ),
    (
        lambda book: deeds.sell_bottles(book.act(), book.state, "bottles/L1", -3, "shop"),
        errors.BelowNothing,
        ["-3"],
    ),
    (
        lambda book: deeds.distil(book.act(), book.state, "jar/heart", deeds.Run(())),
        errors.NothingHappened,
        ["collected"],
    ),
    (
        lambda book: deeds.convert(book.act("rye 1"), book.state, "jar/heart", liquid(10, 65)),
        errors.NothingMade,
        ["jar/heart was found with 6.5 L", "the book has 6.5 L"],
    ),
]


@pytest.mark.parametrize(
    ("make", "kind", "words"), REFUSED, ids=[f"{row[1].__name__}-{row[2][0]}" for row in REFUSED]
)
def test_refused_with_what_is_there(make: Make, kind: type[CaskwardError], words: list[str]) -> None:
    book = small_farm()
    count, before = len(book.entries), {name: dict(there) for name, there in book.state.balances.items()}
    with pytest.raises(kind) as refusal:
        book.state.append(make(book), book.now)
    for word in words:
        assert word in str(refusal.value)
    assert (len(book.entries), book.state.balances) == (count, before)


def test_a_clock_a_little_ahead_is_taken() -> None:
    book = small_farm()
    ahead = Act(key="ahead", done_at=book.now + timedelta(minutes=4), author="Ada")
    assert book.state.append(deeds.note(ahead), book.now).key == "ahead"


def test_a_closed_batch_takes_only_notes_and_corrections() -> None:
    book = small_farm()
    heart = Part("jar/heart", liquid(1, 65))
    book.enter(deeds.close(book.act("rye 1")))
    with pytest.raises(errors.BatchClosed, match="'rye 1' is closed"):
        book.enter(deeds.sample(book.act("rye 1"), book.state, heart))
    with pytest.raises(errors.BatchClosed):
        book.enter(deeds.close(book.act("rye 1")))
    book.enter(deeds.note(book.act("rye 1")))
    closed = next(entry for entry in book.entries if entry.kind == "closed")
    book.enter(deeds.withdraw(book.act(), closed, "too early"))
    assert book.state.standing("rye 1") == "open"
    book.enter(deeds.sample(book.act("rye 1"), book.state, heart))


def test_a_key_belongs_to_one_deed() -> None:
    book = small_farm()
    old = book.entries[-1]
    assert book.state.append(old.deed, book.now) is old
    act = Act(key=old.key, done_at=old.done_at, author="Ben")
    with pytest.raises(errors.KeyUsedForAnother, match=f"entry {old.number}"):
        book.state.append(deeds.note(act), book.now)


def test_a_deed_worked_out_from_an_older_balance_is_refused() -> None:
    book = small_farm()
    emptied = deeds.move(book.act(), book.state, Part("jar/heart", liquid(10, 65), empties=True), "jar/2")
    book.enter(deeds.sample(book.act(), book.state, Part("jar/feints", liquid(1, 40))))
    book.enter(emptied)
    found = deeds.gauge(book.act(), book.state, "jar/2", liquid(10, 65))
    book.enter(deeds.sample(book.act(), book.state, Part("jar/2", liquid(1, 65))))
    with pytest.raises(errors.BookMovedOn, match=r"jar/2 was to hold 6\.5 L of pure alcohol"):
        book.enter(found)


def test_a_us_maker_is_told_in_gallons() -> None:
    book = small_farm()
    too_much = deeds.receive_liquid(book.act(), "cask/1", liquid(30, 60), "Neighbour")
    with pytest.raises(errors.OverItsVolume, match=r"10\.567 gal, and takes 8\.454 gal"):
        rules.check(too_much, book.state, book.now, "us")


@pytest.mark.parametrize(
    ("rows", "fits"),
    [
        ((("jar/heart", "alcohol", 6_500_000, 0),), True),
        ((("jar/heart", "alcohol", 6_500_001, 0),), False),
        ((("jar/heart", "alcohol", 6_500_001, 1),), True),
        ((("jar/heart", "alcohol", 6_499_999, 1),), True),
    ],
)
def test_what_is_asserted_must_hold(rows: tuple[tuple[str, str, int, int], ...], fits: bool) -> None:
    book = small_farm()
    said = deed(book.act(), "noted", Postings(), {}, rows)
    if fits:
        book.enter(said)
    else:
        with pytest.raises(errors.BookMovedOn):
            book.enter(said)


@pytest.mark.parametrize("rows", ["x", [["jar/heart", "alcohol", 1]], [["jar/heart", "alcohol", 1, -1]]])
def test_an_assertion_that_makes_no_sense_is_refused(rows: object) -> None:
    book = small_farm()
    with pytest.raises(errors.BadField, match="asserts"):
        book.enter(raw(book, kind="noted", details=FrozenMap({"asserts": rows})))


@pytest.mark.parametrize(
    "name", ["", "shed/1", "jar", "jar/", "jar/a/b", "jar/ a", "made/yeast", " jar/1", "used/a/b"]
)
def test_an_account_name_is_whole(name: str) -> None:
    with pytest.raises(errors.BookRefusal):
        checked_account(name)


@pytest.mark.parametrize("name", ["", "alcohol/rye", "mass", "mass/", "mass/ rye", "length/rope", "bulk/"])
def test_a_commodity_name_is_whole(name: str) -> None:
    with pytest.raises(errors.BadField):
        checked_commodity(name)


def test_the_table_says_where_alcohol_comes_from_and_goes() -> None:
    gives = {root.name for root in ROOTS.values() if "alcohol" in root.gives and not root.holds}
    takes = {root.name for root in ROOTS.values() if "alcohol" in root.takes and not root.holds}
    assert gives == {"made", "received", "unaccounted"}
    assert takes == {"lost", "sold", "destroyed", "sampled", "unaccounted"}
    for root in ROOTS.values():
        assert checked_account(root.pattern) == root.pattern


def test_goods_in_a_lot_cannot_be_used_twice() -> None:
    book = small_farm()
    with pytest.raises(
        errors.MoreThanIsHeld, match="21 kg of rye cannot be taken from lot/rye 1: the book has 20 kg"
    ):
        book.enter(deeds.use(book.act("rye 1"), [Goods("lot/rye 1", "mass/rye", mg(21))], "vessel/tub"))


def test_done_at_may_lie_far_back() -> None:
    book = small_farm()
    act = Act(key="old", done_at=datetime(1999, 1, 1, tzinfo=UTC), author="Ada")
    assert book.enter(deeds.receive_liquid(act, "jar/old", Liquid(1, 2), "Neighbour")).done_at.year == 1999


def test_a_vessel_takes_exactly_its_volume() -> None:
    book = small_farm()
    for liquid_in in (Liquid(0, ul(22) + 1), Liquid(1, ul(22) + 1)):
        with pytest.raises(errors.OverItsVolume, match=r"32\.000001 L, and takes 32 L"):
            book.enter(deeds.receive_liquid(book.act(), "cask/1", liquid_in, "Neighbour"))
    book.enter(deeds.receive_liquid(book.act(), "cask/1", Liquid(0, ul(22)), "Neighbour"))


def test_materials_are_used_for_the_batch_that_is_named() -> None:
    book = small_farm()
    postings = Posting("lot/rye 1", "mass/rye", -1), Posting("used/rye 2", "mass/rye", 1)
    with pytest.raises(errors.BatchNotNamed, match="the entry is for 'rye 1'"):
        book.enter(raw(book, *postings, kind="mashed", batch="rye 1"))


def test_an_empty_account_is_forgotten() -> None:
    assert not {"vessel/tub", "vessel/still", "jar/low 1"} & set(small_farm().state.balances)
