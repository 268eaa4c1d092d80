"""What the book refuses to take down, or finds wrong in what it holds; amounts come with their units."""

from __future__ import annotations

from caskward.errors.common import CaskwardError, InputError


class BookRefusal(InputError):
    """An entry that the book does not take."""


class BadField(BookRefusal):
    """A field of an entry that is empty, of another kind, or not fit to be kept."""

    def __init__(self, field: str, given: object, allowed: str) -> None:
        super().__init__(f"The {field} of the entry is {given!r}; it must be {allowed}.")
        self.field = field


class UnreadableEntry(BookRefusal):
    """A line of an exported book that is no entry."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(
            f"{where} is not an entry of a book: {why}. Export the book again and import the new file."
        )


class UnknownRoot(BookRefusal):
    """An account whose first part the book does not know."""

    def __init__(self, account: str, roots: tuple[str, ...]) -> None:
        super().__init__(
            f"{account!r} is not an account: it must begin with one of {', '.join(roots)}, then a slash and "
            "a name, like cask/12."
        )
        self.account = account


class BadAccountName(BookRefusal):
    """An account with a known root but too few, too many or empty parts."""

    def __init__(self, account: str, pattern: str) -> None:
        super().__init__(f"{account!r} is not a whole account name. Write it like {pattern}.")
        self.account = account


class NotForThisAccount(BookRefusal):
    """A posting of something that an account never gives or takes."""

    def __init__(self, account: str, what: str, verb: str, instead: str) -> None:
        super().__init__(f"{account} cannot {verb} {what}. {instead}")
        self.account = account


class Unbalanced(BookRefusal):
    """Postings that do not sum to nothing."""

    def __init__(self, what: str, left_over: str) -> None:
        super().__init__(
            f"The entry does not add up: {left_over} of {what} would come from nowhere or go nowhere. "
            "Say where each part came from and where it went."
        )


class MoreThanIsHeld(BookRefusal):
    """More taken from a place than the book has there."""

    def __init__(self, account: str, what: str, wanted: str, there: str, instead: str = "") -> None:
        instead = instead or f"if it is true, gauge {account} first."
        super().__init__(
            f"{wanted} of {what} cannot be taken from {account}: the book has {there} there. Check the "
            f"amount and the name; {instead}"
        )
        self.account, self.what = account, what


class NothingInIt(BookRefusal):
    """Something taken from an empty place."""

    def __init__(self, account: str, what: str) -> None:
        super().__init__(
            f"The book has no {what} in {account}. Check the name, or enter first what went into it."
        )
        self.account, self.what = account, what


class IntoItself(BookRefusal):
    """Something moved from a place into the same place."""

    def __init__(self, account: str) -> None:
        super().__init__(f"{account} is both where it comes from and where it goes. Name two places.")
        self.account = account


class WrongWayRound(BookRefusal):
    """A source that would take back more than it gave, or an end that would give more than it took."""

    def __init__(self, account: str, what: str, there: str) -> None:
        super().__init__(
            f"{account} cannot give back more {what} than the book has there, {there}. "
            "Correct the entry that it came from."
        )


class StrongerThanAlcohol(BookRefusal):
    """A strength over 100 %vol."""

    def __init__(self, pct_vol: float) -> None:
        proof = f" If proof was meant, write {pct_vol:g} proof." if pct_vol <= 200 else ""
        super().__init__(f"{pct_vol:g} %vol is more than pure alcohol; at most 100 %vol.{proof}")


class MoreAlcoholThanLiquid(BookRefusal):
    """A place that would hold more pure alcohol than liquid."""

    def __init__(self, account: str, alcohol: str, bulk: str) -> None:
        super().__init__(
            f"{account} would hold {alcohol} of pure alcohol in {bulk} of liquid, which is over 100 %vol. "
            "Check volume and strength of what went in and out; if all of it was taken, write all in place "
            "of the litres."
        )


class OverItsVolume(BookRefusal):
    """More liquid than a vessel holds."""

    def __init__(self, account: str, would_hold: str, volume: str, there: str) -> None:
        super().__init__(
            f"{account} would hold {would_hold}, and takes {volume}; the book has {there} in it. "
            "Put in less, empty it first, or declare its true volume."
        )


class AnotherThingThere(BookRefusal):
    """A second material or size of bottle in one lot."""

    def __init__(self, account: str, there: str, other: str) -> None:
        super().__init__(
            f"{account} is a lot of {there}; {other} needs a lot of its own. Give it another name."
        )
        self.account = account


class NotDeclared(BookRefusal):
    """A vessel or cask that the book has never heard of."""

    def __init__(self, account: str, nearest: str | None) -> None:
        meant = f" Did you mean {nearest}?" if nearest else ""
        super().__init__(f"The book does not know {account}.{meant} Declare it first, with its volume.")


class NotYet(BookRefusal):
    """A deed that is said to happen later than now."""

    def __init__(self, done: str, now: str) -> None:
        super().__init__(
            f"The deed is dated {done}, and it is {now} now. The book takes what has been done; check date "
            "and clock."
        )


class NoSuchBatch(BookRefusal):
    """A batch that was never begun."""

    def __init__(self, batch: str, nearest: str | None) -> None:
        meant = f" Did you mean {nearest!r}?" if nearest else ""
        super().__init__(f"There is no batch {batch!r} in the book.{meant} Begin it first.")


class BatchClosed(BookRefusal):
    """An entry for a batch that is closed."""

    def __init__(self, batch: str) -> None:
        super().__init__(
            f"The batch {batch!r} is closed. Correct an entry of it by its number, or begin a new batch."
        )


class BatchBegun(BookRefusal):
    """A batch that is begun a second time."""

    def __init__(self, batch: str) -> None:
        super().__init__(f"There is a batch {batch!r} already. Give the new one another name.")


class BatchNotNamed(BookRefusal):
    """Alcohol made, or materials used, for another batch than the entry's own."""

    def __init__(self, account: str, batch: str | None) -> None:
        own = f"the entry is for {batch!r}" if batch else "the entry names none"
        super().__init__(f"{account} names a batch, but {own}. Name one batch for both.")


class NoSuchEntry(BookRefusal):
    """A correction of an entry that is not there."""

    def __init__(self, number: int, last: int) -> None:
        there = f"entries 1 to {last}" if last else "no entries yet"
        super().__init__(f"There is no entry {number}; the book has {there}. Check the number.")


class AlreadyCorrected(BookRefusal):
    """A second correction of one entry."""

    def __init__(self, number: int, by: int) -> None:
        super().__init__(
            f"Entry {number} has been corrected already, by entry {by}. If that is wrong too, correct "
            f"entry {by}."
        )


class NotCorrectable(BookRefusal):
    """An entry of a kind that no correction undoes."""

    def __init__(self, number: int, kind: str, instead: str) -> None:
        super().__init__(f"Entry {number} ({kind}) is not undone by a correction. {instead}")


class NotItsReverse(BookRefusal):
    """A correction that does not first take back what the old entry posted."""

    def __init__(self, number: int) -> None:
        super().__init__(
            f"The correction does not take back exactly what entry {number} posted. "
            "Look at the entry again and repeat the correction."
        )


class BookMovedOn(BookRefusal):
    """A deed that was worked out from a balance that has changed since."""

    def __init__(self, account: str, what: str, thought: str, there: str) -> None:
        super().__init__(
            f"{account} was to hold {thought} of {what} after this, but by the book it would be {there}: "
            "something else was entered meanwhile. Look at it again and repeat the entry."
        )


class KeyUsedForAnother(BookRefusal):
    """One client key for two deeds."""

    def __init__(self, key: str, number: int) -> None:
        super().__init__(
            f"The key {key!r} belongs to entry {number}, which says something else. "
            "Give this entry a key of its own; to mend the old one, correct it."
        )


class MoreThanIsOpen(BookRefusal):
    """A reason for more than is missing."""

    def __init__(self, account: str, what: str, wanted: str, there: str) -> None:
        super().__init__(
            f"A reason for {wanted} of {what} was given, but {there} are open in {account}. "
            "Give less, or leave the amount out to explain all of it."
        )
        self.account = account


class GainExplainedAsLoss(BookRefusal):
    """A reason that only takes away, for more than the book had."""

    def __init__(self, account: str, why: str, more: str) -> None:
        super().__init__(
            f"In {account} there was {more} more than the book had, which {why!r} cannot explain. Give the "
            "reason for a gain, such as 'misread before'."
        )
        self.account = account


class NothingMade(BookRefusal):
    """A ferment that holds no more alcohol than the book has there already."""

    def __init__(self, account: str, found: str, there: str) -> None:
        super().__init__(
            f"{account} was found with {found} of pure alcohol, and the book has {there} there already, so "
            "none was made since. If the reading is right, enter it as a gauge."
        )
        self.account = account


class NothingHappened(BookRefusal):
    """A deed of no amount."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"Nothing was {what}: the amount is zero. Give what was measured, more than nothing."
        )


class BelowNothing(BookRefusal):
    """An amount under zero."""

    def __init__(self, what: str, given: str) -> None:
        super().__init__(f"The {what} is {given}; it cannot be less than nothing. Check what was typed.")


class BookBroken(CaskwardError):
    """A book whose chain, sums or balances do not hold; says the first bad entry."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"{what} Do not write on: keep a copy of the book as it is, and restore the last backup that "
            "passes its check."
        )
