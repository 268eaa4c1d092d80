"""What to buy for a plan: what it needs, less what the book has in all its lots."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass

from caskward.book.accounts import family_of, name_of
from caskward.book.stock import ToBuy, shopping, stock_of
from caskward.book.words import name_in_words
from caskward.services import Plan, ShoppingLine
from caskward.services.book.looked import Looked
from caskward.services.book.pages import Column, Page, Section, Table
from caskward.services.book.shares_shown import goods
from caskward.units.types import UnitSystem

_FAMILY = {"kg": ("mass", 1_000_000), "g": ("mass", 1_000), "mL": ("volume", 1_000)}
"""Which family of the book a plan's unit is of, and how many mg or µL it is."""


@dataclass(frozen=True, slots=True)
class Shopping:
    """What a plan needs against what is there; `plan` is the plan's name."""

    plan: str
    rows: tuple[ToBuy, ...]
    invented: bool

    @property
    def missing(self) -> tuple[ToBuy, ...]:
        """What has to be bought."""
        return tuple(row for row in self.rows if row.missing)


def shopping_for(plan: Plan, book: Looked) -> Shopping:
    """The shopping of a plan. What the plan's own file says is in store does not count: the book does."""
    stock = stock_of(book.state.balances)
    needed: dict[str, int] = {}
    for line in plan.shopping:
        commodity = commodity_of(line, stock.totals())
        needed[commodity] = needed.get(commodity, 0) + round(line.need * _FAMILY[line.unit][1])
    return Shopping(plan.name or "the plan", shopping(stock, needed), book.invented or plan.invented)


def commodity_of(line: ShoppingLine, there: Iterable[str]) -> str:
    """The book's commodity that a plan's line means, by any of its names; a new one by its first."""
    family = _FAMILY[line.unit][0]
    names = names_alike(line.name, line.key, line.key.rpartition("/")[2], line.name.partition(",")[0])
    for commodity in there:
        if family_of(commodity) == family and _alike(name_of(commodity)) in names:
            return commodity
    return f"{family}/{line.name.partition(',')[0]}"


def names_alike(*names: str) -> set[str]:
    """Names as they are held against each other."""
    return {_alike(name) for name in names}


def _alike(name: str) -> str:
    """A name without what people write differently; `malted barley` and `barley malt` are one."""
    words = name.casefold().replace("-", " ").replace("’", "'").split()
    return " ".join(sorted("malt" if word == "malted" else word for word in words))


def shopping_page(found: Shopping, system: UnitSystem) -> Page:
    """The list for a screen or paper."""
    rows = tuple(
        (
            name_in_words(row.commodity),
            goods(row.needed, row.commodity, system),
            goods(row.there, row.commodity, system) if row.there else "",
            goods(row.missing, row.commodity, system) if row.missing else "",
        )
        for row in found.rows
    )
    count = len(found.missing)
    answer = (
        f"{count} of {len(rows)} materials must be bought." if count else "All that the plan needs is there."
    )
    return Page(
        title="Shopping",
        about=found.plan,
        answers=(answer,),
        sections=(Section("By the book", ("", "needed", "there", "to buy"), "lrrr", rows),),
        notes=(
            "What is there is counted over all lots of a name; lots for other batches are not kept apart.",
        ),
        invented=found.invented,
        paper="us-letter" if system == "us" else "a4",
    )


def shopping_data(found: Shopping) -> Mapping[str, object]:
    """The list as plain data for JSON."""
    return {
        "what": "shopping",
        "plan": found.plan,
        "invented": found.invented,
        "rows": [asdict(row) | {"missing": row.missing} for row in found.rows],
    }


def shopping_table(found: Shopping) -> Table:
    """The list as rows."""
    names = ("needed", "there", "missing")
    return Table(
        "shopping",
        (Column("commodity"), *(Column(name, "whole") for name in names)),
        tuple((row.commodity, row.needed, row.there, row.missing) for row in found.rows),
    )
