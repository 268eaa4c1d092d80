"""Laws of every book, whatever was entered: it balances, can be followed, cannot be changed unseen."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from caskward.book.accounts import ALCOHOL, BULK, family_of, root_of
from caskward.book.amounts import shared_out
from caskward.book.canonical import entry_from_line, entry_line
from caskward.book.chain import breaks
from caskward.book.checks import check_book
from caskward.book.costs import costs_of, spent
from caskward.book.flow import MONEY, flow_of
from caskward.book.history import as_booked, as_put_right
from caskward.book.reports import alcohol_account, cask_inventory, held_by
from caskward.book.state import State, replay
from caskward.book.trace import trace_of
from caskward.errors import CaskwardError
from tests.support.keeper import START, Keeper, histories

books = settings(max_examples=40)


@books
@given(histories())
def test_every_commodity_sums_to_nothing(keeper: Keeper) -> None:
    assert set(keeper.state.totals().values()) <= {0}
    for entry in keeper.entries:
        for commodity in {part.commodity for part in entry.postings}:
            assert not sum(part.amount for part in entry.postings if part.commodity == commodity)


@books
@given(histories())
def test_replay_is_the_state(keeper: Keeper) -> None:
    again = replay(keeper.entries)
    for name in ("balances", "rooms_ul", "batches", "corrections"):
        assert getattr(again, name) == getattr(keeper.state, name)


@books
@given(histories())
def test_nothing_is_held_below_nothing_or_over_its_room(keeper: Keeper) -> None:
    for account, there in keeper.state.balances.items():
        root = root_of(account)
        if root.nature in ("place", "end"):
            assert all(amount > 0 for amount in there.values()), account
        if root.nature == "source":
            assert all(amount < 0 for amount in there.values()), account
        if root.liquid:
            room_ul = keeper.state.room_ul(account)
            assert there.get(ALCOHOL, 0) <= there.get(BULK, 0)
            assert room_ul is None or there.get(BULK, 0) <= room_ul


@books
@given(histories())
def test_the_book_finds_nothing_wrong_with_itself(keeper: Keeper) -> None:
    assert check_book(keeper.entries, keeper.state.balances) == []


@books
@given(histories())
def test_export_and_import_give_the_same_book(keeper: Keeper) -> None:
    lines = [entry_line(entry) for entry in keeper.entries]
    again = [entry_from_line(line) for line in lines]
    assert again == keeper.entries
    assert [entry_line(entry) for entry in again] == lines
    assert replay(again).balances == keeper.state.balances


@books
@given(histories(most=12), st.data())
def test_a_changed_byte_is_found(keeper: Keeper, data: st.DataObject) -> None:
    """In any place of any line: either it is no entry any more, or the chain breaks at it or after it."""
    lines = [entry_line(entry).encode("utf-8") for entry in keeper.entries]
    which = data.draw(st.integers(0, len(lines) - 1))
    where = data.draw(st.integers(0, len(lines[which]) - 1))
    changed = bytearray(lines[which])
    changed[where] ^= 1 << data.draw(st.integers(0, 7))
    lines[which] = bytes(changed)
    try:
        entries = [entry_from_line(line.decode("utf-8")) for line in lines]
    except (CaskwardError, UnicodeDecodeError):
        return
    assert next(breaks(entries)).number == which + 1


@books
@given(histories(most=12), st.data())
def test_an_entry_taken_out_or_put_elsewhere_is_found(keeper: Keeper, data: st.DataObject) -> None:
    entries = list(keeper.entries)
    taken = data.draw(st.integers(0, len(entries) - 2))
    removed = entries.pop(taken)
    assert next(breaks(entries)).number == taken + 1
    entries.insert(data.draw(st.integers(0, len(entries)).filter(lambda place: place != taken)), removed)
    assert list(breaks(entries))


@books
@given(histories())
def test_the_same_deed_sent_twice_changes_nothing(keeper: Keeper) -> None:
    before = {account: dict(there) for account, there in keeper.state.balances.items()}
    count = len(keeper.entries)
    for entry in list(keeper.entries):
        assert keeper.state.append(entry.deed, keeper.now + timedelta(days=1)) is entry
    assert (len(keeper.entries), keeper.state.balances) == (count, before)


@books
@given(histories())
def test_the_origins_of_alcohol_are_the_balance(keeper: Keeper) -> None:
    """Of what really happened, whatever was corrected: to the µL, in every account."""
    happened = as_put_right(keeper.entries)
    flow, held = flow_of(happened), {}
    for row in happened:
        for place, amount in row.net().items():
            held[place] = held.get(place, 0) + amount
    for account in {account for account, _ in held}:
        if root_of(account).nature in ("place", "end"):
            assert sum(flow.content(account, ALCOHOL).values()) == held.get((account, ALCOHOL), 0)


@books
@given(histories())
def test_putting_right_ends_where_booking_does(keeper: Keeper) -> None:
    for commodity in (ALCOHOL, BULK, "mass/rye"):
        assert held_by(commodity, as_put_right(keeper.entries)) == held_by(
            commodity, as_booked(keeper.entries)
        )


@books
@given(histories())
def test_all_money_is_somewhere(keeper: Keeper) -> None:
    happened = as_put_right(keeper.entries)
    flow = flow_of(happened)
    paid = sum(row["minor"] for one in happened for row in one.details.get("costs", ()))  # type: ignore[index, union-attr, misc]
    assert sum(spent(flow).values()) == paid
    for account in flow.pools:
        for sheet in costs_of(flow, account):
            assert sum(line.minor for line in sheet.lines) == sheet.minor >= 0
            assert sum(sheet.by_piece()) in (0, sheet.minor)


@books
@given(histories())
def test_materials_are_neither_lost_nor_made_on_their_way(keeper: Keeper) -> None:
    happened = as_put_right(keeper.entries)
    flow = flow_of(happened)
    for commodity in ("mass/rye", "mass/oats"):
        came = -sum(
            amount
            for row in happened
            for (account, what), amount in row.net().items()
            if what == commodity and root_of(account).name == "received"
        )
        found = sum(
            amount
            for pool in flow.pools.values()
            for tag, amount in pool.items()
            if tag.commodity == commodity
        )
        assert found == came
    assert not any(family_of(tag.commodity) != MONEY for tag in flow.unplaced)


@books
@given(histories())
def test_back_and_forward_are_one_relation(keeper: Keeper) -> None:
    trace = trace_of(as_put_right(keeper.entries))
    for account in trace.last:
        lineage = trace.back(account)
        for node in lineage.nodes:
            assert set(lineage.starts) & set(trace.forward(node.account, node.number).nodes)


@books
@given(histories())
def test_what_is_in_a_content_is_in_its_trace(keeper: Keeper) -> None:
    trace = trace_of(as_put_right(keeper.entries))
    for account in trace.last:
        origins = {tag.origin for tag in trace.materials(account)}
        assert origins <= {node.account for node in trace.back(account).nodes}


@books
@given(histories(), st.integers(0, 60), st.integers(0, 60))
def test_an_account_of_any_period_adds_up(keeper: Keeper, one: int, two: int) -> None:
    start, end = (START + timedelta(hours=hours) for hours in sorted((one, two)))
    account = alcohol_account(keeper.entries, start, end)
    assert account.opening_ul + sum(line.alcohol_ul for line in account.lines) == account.closing_ul
    assert sum(account.held_ul.values()) == account.closing_ul
    following = alcohol_account(keeper.entries, end, end + timedelta(days=9))
    assert following.opening_ul == account.closing_ul


@books
@given(histories())
def test_casks_now_are_the_casks_of_the_state(keeper: Keeper) -> None:
    lines = cask_inventory(keeper.entries, keeper.now)
    assert {line.account: line.liquid.bulk_ul for line in lines} == {
        account: there[BULK]
        for account, there in keeper.state.balances.items()
        if root_of(account).name == "cask" and there.get(BULK)
    }


@given(st.integers(-(10**12), 10**12), st.lists(st.integers(0, 10**9), min_size=1, max_size=12))
def test_parts_add_up_and_are_within_one_of_their_share(total: int, weights: list[int]) -> None:
    parts = shared_out(total, weights)
    assert sum(parts) == total
    assume(sum(weights))
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - Fraction(total * weight, sum(weights))) < 1


@books
@given(histories(most=10), st.data())
def test_a_forged_entry_that_fits_the_chain_is_still_found(keeper: Keeper, data: st.DataObject) -> None:
    """Whoever writes whole entries with right hashes is caught by the rules: alcohol from nowhere."""
    from caskward.book.chain import seal
    from caskward.book.entry import Posting

    which = data.draw(st.integers(0, len(keeper.entries) - 1))
    forged, state = [], State()
    for place, entry in enumerate(keeper.entries):
        deed = entry.deed
        if place == which:
            more = (Posting("jar/1", ALCOHOL, 5), Posting("jar/1", BULK, 5))
            deed = replace(deed, postings=(*deed.postings, *more))
        forged.append(seal(deed, forged[-1] if forged else None, entry.recorded_at))
        state.apply(forged[-1])
    assert list(breaks(forged)) == []
    assert check_book(forged)[0].number == which + 1
    assert json.loads(entry_line(forged[which]))["number"] == which + 1
