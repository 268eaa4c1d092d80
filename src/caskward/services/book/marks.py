"""The maker's own marks: how much may be lost, how much should be there, what duty is reckoned at.

They are kept in the book as notes, so that everybody who shares it has the same and each change has its day
and its author; the newest value of each holds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from caskward.book.entry import Entry
from caskward.book.history import as_put_right

_KEY = "marks"
CASKS_A_YEAR = "a cask a year"
"""The name of the limit that each cask's yearly loss is held against."""


@dataclass(frozen=True, slots=True)
class Duty:
    """A rate of duty that the maker entered [minor units by litre of pure alcohol], and its currency.

    `by_proof_gallon`: what was typed, if it was for a proof gallon [minor units by proof gallon].
    """

    minor_per_lpa: Decimal
    currency: str
    by_proof_gallon: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Marks:
    """What the maker set.

    Args:
        losses_pct: most that may be lost of all that a period handles [%], by cause as behind `lost/`;
            `unaccounted` is for what nobody explained, `a cask a year` for what one loses of its content.
        stock: least amount that should be there, by commodity [mg, µL, pieces].
        duty: the rate that duty is estimated at.
    """

    losses_pct: Mapping[str, Decimal] = field(default_factory=dict)
    stock: Mapping[str, int] = field(default_factory=dict)
    duty: Duty | None = None

    @property
    def of_period_pct(self) -> Mapping[str, Decimal]:
        """The limits of losses that are held against all that a period handles [%]."""
        return {cause: limit for cause, limit in self.losses_pct.items() if cause != CASKS_A_YEAR}

    def over(self, older: Marks) -> Marks:
        """These marks laid over older ones."""
        return Marks(
            {**older.losses_pct, **self.losses_pct}, {**older.stock, **self.stock}, self.duty or older.duty
        )


def details_of(marks: Marks) -> dict[str, object]:
    """The marks as details of a note: decimals as text."""
    data: dict[str, object] = {}
    if marks.losses_pct:
        data["losses_pct"] = {cause: str(limit) for cause, limit in marks.losses_pct.items()}
    if marks.stock:
        data["stock"] = dict(marks.stock)
    if marks.duty:
        duty = {
            "minor_per_lpa": str(marks.duty.minor_per_lpa),
            "currency": marks.duty.currency,
        }
        if marks.duty.by_proof_gallon is not None:
            duty["by_proof_gallon"] = str(marks.duty.by_proof_gallon)
        data["duty"] = duty
    return {_KEY: data}


def marks_of(entries: Sequence[Entry]) -> Marks:
    """The marks that hold after these entries; a note that was withdrawn sets none."""
    marks = Marks()
    for row in as_put_right([entry for entry in entries if entry.kind in ("noted", "corrected")]):
        data = row.details.get(_KEY)
        if isinstance(data, Mapping):
            marks = _read(data).over(marks)
    return marks


def _read(data: Mapping[str, object]) -> Marks:
    losses, stock, duty = (data.get(name) for name in ("losses_pct", "stock", "duty"))
    return Marks(
        {str(cause): Decimal(str(limit)) for cause, limit in losses.items()}
        if isinstance(losses, Mapping)
        else {},
        {str(what): amount for what, amount in stock.items() if isinstance(amount, int)}
        if isinstance(stock, Mapping)
        else {},
        Duty(
            Decimal(str(duty.get("minor_per_lpa"))),
            str(duty.get("currency")),
            Decimal(str(duty["by_proof_gallon"])) if "by_proof_gallon" in duty else None,
        )
        if isinstance(duty, Mapping)
        else None,
    )
