"""What a maker can ask of the book that it cannot answer."""

from __future__ import annotations

from caskward.errors.common import InputError


class PeriodUnclear(InputError):
    """Words that are no period of time."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is no period. Write a year, a quarter or a month, like 2026, 2026 Q2 or 2026-03, a "
            "day, or two days with their end included: 2026-01-01 to 2026-03-31."
        )


class PeriodBackward(InputError):
    """A period that ends before it begins."""

    def __init__(self, first: str, last: str) -> None:
        super().__init__(
            f"The period begins on {first} and ends on {last}, before that. Change the two days."
        )


class AccountUnheard(InputError):
    """An account or lot that no entry names."""

    def __init__(self, name: str, nearest: str | None) -> None:
        meant = f" Did you mean {nearest!r}?" if nearest else ""
        super().__init__(
            f"No entry of the book names {name!r}.{meant} What there is: caskward book stock, and what "
            "there was: caskward book balances"
        )
        self.nearest = nearest


class NoParquet(InputError):
    """Parquet wanted on a machine without the library that writes it."""

    def __init__(self) -> None:
        super().__init__(
            "Parquet needs the library duckdb, which is not installed here. Install Caskward with its extra "
            "`parquet`, or write the same table with --csv."
        )


class BadMark(InputError):
    """A limit, a least stock or a rate that cannot be kept."""

    def __init__(self, given: str, example: str) -> None:
        super().__init__(f"{given!r} sets no mark. Write it like {example}.")


class NothingOfIt(InputError):
    """A report of something that the book does not have at that time."""

    def __init__(self, what: str, when: str) -> None:
        super().__init__(f"The book has no {what} {when}. Check the date, or see: caskward book entries")
