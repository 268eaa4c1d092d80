"""Who did something, when and at what cost; and the postings of one deed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from caskward.book.accounts import ALCOHOL, BULK, checked_account
from caskward.book.amounts import NONE, Liquid
from caskward.book.entry import Deed, Posting, Reading
from caskward.book.frozen import FrozenMap
from caskward.book.holdings import Holdings
from caskward.book.words import apart, name_in_words
from caskward.errors.book import BadField, BelowNothing, MoreThanIsHeld, NothingHappened, NothingInIt
from caskward.units.types import UnitSystem


@dataclass(frozen=True, slots=True)
class Cost:
    """Money spent in the act [minor units, such as cents]: a lot's price, energy, a cask.

    It stays with what is in `account` afterwards; without one it goes with what the act moved.
    """

    what: str
    minor: int
    currency: str
    account: str = ""


@dataclass(frozen=True, slots=True)
class Goods:
    """So much of a material or of dry goods in a place: mg of `mass/...`, µL of `volume/...`, pieces."""

    account: str
    commodity: str
    amount: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Act:
    """What every deed has: its client key, its time, who did it, where, for which batch.

    `system` is for the amounts in a refusal, and not kept.
    """

    key: str
    done_at: datetime
    author: str
    site: str = ""
    batch: str | None = None
    note: str = ""
    readings: tuple[Reading, ...] = ()
    costs: tuple[Cost, ...] = ()
    system: UnitSystem = "metric"


class Postings:
    """The postings of one deed as they come together; those of one account and commodity become one."""

    def __init__(self) -> None:
        self._sums: dict[tuple[str, str], int] = {}

    def add(self, account: str, commodity: str, amount: int) -> None:
        """Into an account, or out of it if negative."""
        place = account, commodity
        self._sums[place] = self._sums.get(place, 0) + amount

    def send(self, source: str, to: str, commodity: str, amount: int) -> None:
        """From one account to another; a negative amount goes the other way."""
        self.add(source, commodity, -amount)
        self.add(to, commodity, amount)

    def pour(self, source: str, to: str, liquid: Liquid) -> None:
        """Liquid from one account to another."""
        self.send(source, to, ALCOHOL, liquid.alcohol_ul)
        self.send(source, to, BULK, liquid.bulk_ul)

    def done(self) -> tuple[Posting, ...]:
        """All that is not zero, in the order in which it came."""
        return tuple(Posting(*place, amount) for place, amount in self._sums.items() if amount)


def deed(
    act: Act,
    kind: str,
    postings: Postings | None = None,
    details: Mapping[str, object] | None = None,
    asserts: Iterable[tuple[str, str, int, int]] = (),
) -> Deed:
    """The deed of an act: costs and what must hold afterwards are written into its details."""
    said: dict[str, object] = {
        name: value for name, value in (details or {}).items() if value not in ("", None)
    }
    if act.costs:
        said["costs"] = [_cost_data(cost) for cost in act.costs]
    rows = [list(row) for row in asserts]
    if rows:
        said["asserts"] = rows
    return Deed(
        key=act.key,
        kind=kind,
        done_at=act.done_at,
        author=act.author,
        site=act.site,
        batch=act.batch,
        readings=act.readings,
        postings=postings.done() if postings else (),
        details=FrozenMap(said),
        note=act.note,
    )


def held(holdings: Holdings, account: str) -> Liquid:
    """The liquid that the book has in a place."""
    there = holdings.contents(account)
    return Liquid(there.get(ALCOHOL, 0), there.get(BULK, 0))


def held_or_raise(holdings: Holdings, account: str) -> Liquid:
    """The liquid in a place; raises `NothingInIt` if there is none."""
    there = held(holdings, checked_account(account))
    if there == NONE:
        raise NothingInIt(account, "liquid")
    return there


def take_no_more(
    account: str, there: Liquid, wanted: Liquid, within: Liquid = NONE, system: UnitSystem = "metric"
) -> None:
    """Raise `MoreThanIsHeld` if more is wanted than is there and an instrument could mistake."""
    for commodity, has, wants, doubt in (
        (BULK, there.bulk_ul, wanted.bulk_ul, within.bulk_ul),
        (ALCOHOL, there.alcohol_ul, wanted.alcohol_ul, within.alcohol_ul),
    ):
        if wants > has + doubt:
            raise MoreThanIsHeld(account, name_in_words(commodity), *apart(wants, has, commodity, system))


def something(amount: int, what: str) -> int:
    """The amount; raises `NothingHappened` if it is zero, `BelowNothing` if it is less."""
    if not amount:
        raise NothingHappened(what)
    if amount < 0:
        raise BelowNothing(f"amount {what}", str(amount))
    return amount


def place_in_words(account: str) -> str:
    """`cask 12` of `cask/12`: a place as a part of another account's name."""
    return account.replace("/", " ")


def whose(act: Act, account: str) -> str:
    """The batch of an act, or the place that it touched: the last part of an end's name."""
    return act.batch or place_in_words(account)


def _cost_data(cost: Cost) -> dict[str, object]:
    if cost.minor < 0:
        raise BadField(f"cost of {cost.what}", cost.minor, "nothing or more")
    if not cost.currency:
        raise BadField(f"currency of {cost.what}", cost.currency, "named, like EUR")
    data: dict[str, object] = {"what": cost.what, "minor": cost.minor, "currency": cost.currency}
    return data | ({"account": cost.account} if cost.account else {})
