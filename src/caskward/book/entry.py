"""What happened, as the book keeps it.

A `Deed` is what somebody says was done; the journal makes an `Entry` of it by giving it a number, a time of
record and its place in the chain. Both are frozen, checked and brought to one normal form when they are
made, so that equal things have equal hashes. Amounts are whole numbers: alcohol and bulk in µL at 20 °C,
masses in mg, volumes of materials in µL, pieces.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation

from caskward.book.accounts import checked_account, checked_commodity
from caskward.book.frozen import FrozenMap, text, whole
from caskward.errors.book import BadField

KINDS = (
    *("declared", "begun", "planned", "received", "mashed", "converted", "moved", "distilled", "reduced"),
    *("measured", "gauged", "explained", "filled", "sampled", "topped", "bottled", "sold", "destroyed"),
    *("lost", "corrected", "noted", "closed"),
)
"""Every kind of entry, in about the order of a batch."""

LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Posting:
    """So much of a commodity into an account; out of it if the amount is negative."""

    account: str
    commodity: str
    amount: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "account", checked_account(self.account))
        object.__setattr__(self, "commodity", checked_commodity(self.commodity))
        if not whole(self.amount, "amount"):
            raise BadField("amount", 0, "more or less than nothing")


@dataclass(frozen=True, slots=True)
class Reading:
    """A measurement as it was taken; what follows from it is derived elsewhere.

    `typed` is the maker's own text, `value` the number in it as a decimal (`"63.4"`), in `unit`. The sample's
    temperature and the one that the instrument is made for are decimals [°C]; `tolerance` is the
    instrument's, in the unit of the reading.
    """

    quantity: str
    typed: str
    value: str
    unit: str
    instrument: str = ""
    temp_c: str | None = None
    calibrated_at_c: str | None = None
    tolerance: str | None = None

    def __post_init__(self) -> None:
        for name in ("quantity", "typed", "unit", "instrument"):
            checked = text(getattr(self, name), f"{name} of a reading", longest=LONGEST_NAME)
            object.__setattr__(self, name, checked)
        for name in ("value", "temp_c", "calibrated_at_c", "tolerance"):
            given = getattr(self, name)
            if given is not None or name == "value":
                object.__setattr__(self, name, decimal_text(given))

    @property
    def number(self) -> float:
        """The value as a float [in `unit`]."""
        return float(self.value)


@dataclass(frozen=True, kw_only=True, slots=True)
class Deed:
    """What was done: not yet in the book.

    `key` is chosen by whoever sends it, one for each deed: sent twice, it is entered once. `done_at` is aware
    and kept in UTC. `details` is JSON without fractions. `corrects` is the number of an older entry.
    """

    key: str
    kind: str
    done_at: datetime
    author: str
    site: str = ""
    batch: str | None = None
    corrects: int | None = None
    readings: tuple[Reading, ...] = ()
    postings: tuple[Posting, ...] = ()
    details: FrozenMap = field(default_factory=FrozenMap)
    note: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadField("kind", self.kind, f"one of {', '.join(KINDS)}")
        for name in ("key", "author"):
            value = text(getattr(self, name), name, empty=False, longest=LONGEST_NAME)
            object.__setattr__(self, name, value)
        object.__setattr__(self, "site", text(self.site, "site", longest=LONGEST_NAME))
        object.__setattr__(self, "note", text(self.note, "note"))
        if self.batch is not None:
            object.__setattr__(self, "batch", checked_batch(self.batch))
        if self.corrects is not None and whole(self.corrects, "number of the corrected entry") < 1:
            raise BadField("number of the corrected entry", self.corrects, "1 or more")
        object.__setattr__(self, "done_at", utc(self.done_at, "time of the deed"))
        object.__setattr__(self, "readings", tuple(self.readings))
        object.__setattr__(self, "postings", tuple(self.postings))
        object.__setattr__(self, "details", FrozenMap.of(self.details))


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry(Deed):
    """A deed in its place in the book: `number` from 1 on, `before` the hash of the entry before it."""

    number: int
    recorded_at: datetime
    before: str
    hash: str

    def __post_init__(self) -> None:
        Deed.__post_init__(self)
        if whole(self.number, "number") < 1:
            raise BadField("number", self.number, "1 or more")
        object.__setattr__(self, "recorded_at", utc(self.recorded_at, "time of record"))
        for name in ("before", "hash"):
            if not _is_hash(getattr(self, name)):
                raise BadField(name, getattr(self, name), "64 signs of 0-9 and a-f")

    @property
    def deed(self) -> Deed:
        """What was done, without its place in the book."""
        return Deed(**{part.name: getattr(self, part.name) for part in fields(Deed)})


def utc(moment: object, name: str) -> datetime:
    """The moment in UTC; one without a time zone is refused, since nobody could say when it was."""
    if not isinstance(moment, datetime) or moment.utcoffset() is None:
        raise BadField(name, moment, "a date and time with its time zone")
    return moment.astimezone(UTC)


def decimal_text(value: float | Decimal | str) -> str:
    """A number as a plain decimal, always the same one: `63.4`, not `63.40` or `6.34e1`.

    Raises `BadField` for what is no finite number.
    """
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        raise BadField("number", value, "a decimal such as 63.4") from None
    if isinstance(value, bool) or not number.is_finite() or abs(number.adjusted()) > 30:
        raise BadField("number", value, "a decimal such as 63.4")
    plain = f"{number:f}"
    plain = plain.rstrip("0").rstrip(".") if "." in plain else plain
    return "0" if plain in ("-0", "") else plain


def checked_batch(name: object) -> str:
    """The name of a batch: text, without a slash, since it is a part of account names."""
    named = text(name, "batch", empty=False, longest=LONGEST_NAME)
    if "/" in named:
        raise BadField("batch", name, "without a slash")
    return named


def _is_hash(value: object) -> bool:
    return isinstance(value, str) and len(value) == 64 and set(value) <= set("0123456789abcdef")
