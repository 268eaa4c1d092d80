"""One form for what happened: equal deeds have equal bytes, and only whole numbers are hashed."""

from __future__ import annotations

import hashlib
import json
import pickle
from dataclasses import FrozenInstanceError, replace
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest

from caskward.book.canonical import (
    deed_data,
    deed_from_data,
    entry_from_line,
    entry_line,
    moment_from_text,
    moment_text,
    same_deed,
)
from caskward.book.chain import GENESIS, breaks, seal
from caskward.book.entry import Deed, Entry, Posting, Reading, decimal_text
from caskward.book.frozen import FrozenMap
from caskward.errors.book import BadField, UnreadableEntry

NOON = datetime(2031, 3, 1, 12, 0, tzinfo=UTC)


def some_deed(**changes: object) -> Deed:
    plain = Deed(
        key="a-1",
        kind="moved",
        done_at=NOON,
        author="Ada",
        batch="rye 1",
        readings=(Reading("strength", "63,4 %", "63.40", "%vol", "glass 7", temp_c="21.0"),),
        postings=(Posting("vessel/tub", "bulk", -5), Posting("jar/1", "bulk", 5)),
        details=FrozenMap({"into": "jar/1", "list": [1, True, None, {"a": "b"}]}),
        note="clear",
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def some_entry(**changes: object) -> Entry:
    return seal(some_deed(**changes), None, NOON + timedelta(seconds=1))


def test_the_hash_is_that_of_the_bytes_as_anybody_would_write_them() -> None:
    """SHA-256 over these bytes, written out by hand; a later form of the entry must have another number."""
    written = (
        '{"author":"Ada","batch":"rye 1","before":"' + "0" * 64 + '","corrects":null,'
        '"details":{"into":"jar/1","list":[1,true,null,{"a":"b"}]},"done_at":"2031-03-01T12:00:00.000000Z",'
        '"format":1,"key":"a-1","kind":"moved","note":"clear","number":1,'
        '"postings":[["vessel/tub","bulk",-5],["jar/1","bulk",5]],'
        '"readings":[{"calibrated_at_c":null,"instrument":"glass 7","quantity":"strength","temp_c":"21",'
        '"tolerance":null,"typed":"63,4 %","unit":"%vol","value":"63.4"}],'
        '"recorded_at":"2031-03-01T12:00:01.000000Z","site":""}'
    )
    assert some_entry().hash == hashlib.sha256(written.encode("utf-8")).hexdigest()


def test_letters_composed_in_another_way_are_the_same() -> None:
    one, other = some_deed(note="Kräuter"), some_deed(note="Kra\u0308uter")
    assert one == other
    assert same_deed(one, other)


def test_a_time_in_another_zone_is_the_same_moment() -> None:
    elsewhere = NOON.astimezone(timezone(timedelta(hours=5, minutes=30)))
    assert some_deed(done_at=elsewhere) == some_deed()
    assert some_entry(done_at=elsewhere).hash == some_entry().hash


def test_yes_is_not_one() -> None:
    """Python holds True and 1 for equal; the bytes do not."""
    assert not same_deed(some_deed(details=FrozenMap({"a": True})), some_deed(details=FrozenMap({"a": 1})))


@pytest.mark.parametrize(
    ("given", "written"),
    [("63.40", "63.4"), ("1e2", "100"), (0.1, "0.1"), (-0.0, "0"), (Decimal("1.50"), "1.5"), (7, "7")],
)
def test_a_number_has_one_writing(given: float | str | Decimal, written: str) -> None:
    assert decimal_text(given) == written


@pytest.mark.parametrize("given", ["", "abc", "NaN", "Infinity", float("nan"), "1e99"])
def test_no_number_is_refused(given: float | str) -> None:
    with pytest.raises(BadField, match="decimal"):
        decimal_text(given)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"key": ""}, "key"),
        ({"key": " a"}, "key"),
        ({"author": ""}, "author"),
        ({"author": "A\x00da"}, "author"),
        ({"author": "x" * 201}, "author"),
        ({"note": "\ud800"}, "note"),
        ({"kind": "thrown"}, "kind"),
        ({"batch": "a/b"}, "batch"),
        ({"done_at": datetime(2031, 3, 1)}, "time of the deed"),  # noqa: DTZ001 - that is what is refused
        ({"corrects": 0}, "number of the corrected entry"),
    ],
)
def test_a_field_that_cannot_be_kept_is_named(changes: dict[str, object], field: str) -> None:
    with pytest.raises(BadField) as refusal:
        some_deed(**changes)
    assert refusal.value.field == field


@pytest.mark.parametrize("value", [0.5, b"x", {1: 2}, {"a": [0.5]}, 10**18, object()])
def test_details_hold_nothing_with_two_writings(value: object) -> None:
    with pytest.raises(BadField):
        FrozenMap({"a": value})


@pytest.mark.parametrize("amount", [0, True, 1.5, 10**18])
def test_an_amount_is_a_whole_number_other_than_nothing(amount: int) -> None:
    with pytest.raises(BadField, match="amount"):
        Posting("jar/1", "bulk", amount)


def test_nothing_of_an_entry_can_be_changed() -> None:
    entry = some_entry()
    with pytest.raises(FrozenInstanceError):
        entry.note = "else"  # type: ignore[misc]
    with pytest.raises(TypeError):
        entry.details["into"] = "jar/2"  # type: ignore[index]


def test_an_entry_goes_through_its_line_and_through_another_process() -> None:
    entry = some_entry()
    assert entry_from_line(entry_line(entry)) == entry
    assert pickle.loads(pickle.dumps(entry)) == entry
    assert deed_from_data(deed_data(entry)) == entry.deed == some_deed()
    assert hash(entry) == hash(entry_from_line(entry_line(entry)))


def test_times_as_text_sort_as_times() -> None:
    moments = [NOON + timedelta(microseconds=step) for step in (0, 1, 999_999, 1_000_000)]
    texts = [moment_text(moment) for moment in moments]
    assert sorted(texts) == texts
    assert [moment_from_text(text) for text in texts] == moments


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (lambda data: data.pop("note"), "keys"),
        (lambda data: data.update(more=1), "keys"),
        (lambda data: data.update(format=2), "form 2"),
        (lambda data: data.update(done_at="2031-03-01T12:00:00Z"), "12:00:00Z"),
        (lambda data: data.update(done_at=5), "must be str"),
        (lambda data: data["readings"][0].update(colour="red"), "colour"),
        (lambda data: data.update(hash="xyz"), "64 signs"),
        (lambda data: data.update(postings=[["jar/1", "bulk"]]), "amount"),
        (lambda data: data.update(postings=[["shed/1", "bulk", 1]]), "shed/1"),
        (lambda data: data.update(details={"a": 0.5}), "fraction"),
        (lambda data: data.update(number="1"), "whole number"),
    ],
)
def test_a_line_that_is_no_entry_says_where_and_why(spoil: object, why: str) -> None:
    data = json.loads(entry_line(some_entry()))
    spoil(data)  # type: ignore[operator]
    with pytest.raises(UnreadableEntry, match=r"Line 7 of book\.jsonl") as refusal:
        entry_from_line(json.dumps(data), "Line 7 of book.jsonl")
    assert why in str(refusal.value)


@pytest.mark.parametrize("line", ["", "[]", "{", "null", '{"a":1,"a":2}', "NaN"])
def test_other_lines_are_no_entries(line: str) -> None:
    with pytest.raises(UnreadableEntry):
        entry_from_line(line)


def test_a_line_that_lost_a_sign_is_said_in_words() -> None:
    line = entry_line(some_entry())
    spoilt = line.replace(",", ";", 1)
    with pytest.raises(
        UnreadableEntry, match=f"changed or cut at its character {line.index(',') + 1}"
    ) as said:
        entry_from_line(spoilt, "Line 7")
    assert "delimiter" not in str(said.value)


def test_the_chain_names_what_is_wrong() -> None:
    first = some_entry()
    second = seal(some_deed(key="a-2"), first, NOON + timedelta(minutes=1))
    assert (first.before, second.before) == (GENESIS, first.hash)
    assert list(breaks([first, second])) == []
    changed = replace(first, note="murky")
    assert [finding.number for finding in breaks([changed, second])] == [1]
    assert "changed" in next(breaks([changed, second])).sentence
    assert "missing" in next(breaks([second])).sentence


def test_a_clock_put_back_does_not_turn_the_order_round() -> None:
    first = some_entry()
    second = seal(some_deed(key="a-2"), first, NOON - timedelta(days=1))
    assert second.recorded_at == first.recorded_at
    assert list(breaks([first, second])) == []


def test_a_key_that_stands_twice_in_a_line_is_refused() -> None:
    line = entry_line(some_entry()).replace('"site":""', '"site":"barn","site":""')
    with pytest.raises(UnreadableEntry, match="a key stands twice"):
        entry_from_line(line)


def test_a_first_entry_put_in_another_ones_place_is_seen_by_the_next() -> None:
    first = some_entry()
    second = seal(some_deed(key="a-2"), first, NOON + timedelta(minutes=1))
    other = some_entry(note="murky")
    found = list(breaks([other, second]))
    assert [finding.number for finding in found] == [2]
    assert "does not follow" in found[0].sentence
