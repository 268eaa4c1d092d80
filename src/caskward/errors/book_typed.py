"""What a maker can type wrong for the book, before anything is entered."""

from __future__ import annotations

from caskward.errors.book import BookRefusal
from caskward.errors.common import InputError


class PlaceUnknown(BookRefusal):
    """A place that the book has never heard of, by whatever a maker called it."""

    def __init__(self, name: str, nearest: str | None, may_be_declared: bool) -> None:
        meant = f" Did you mean {nearest!r}?" if nearest else ""
        declared = (
            f' A new vessel or cask is declared first: caskward book declare "{name}" 50 L; a jar is written '
            "like jar 7."
            if may_be_declared
            else " What there is: caskward book balances"
        )
        super().__init__(f"The book knows no place {name!r}.{meant}{declared}")
        self.nearest = nearest


class NoMaterial(BookRefusal):
    """A material that no lot holds."""

    def __init__(self, name: str, nearest: str | None, there: tuple[str, ...]) -> None:
        if nearest:
            meant = f" Did you mean {nearest!r}?"
        else:
            meant = f" There are: {', '.join(there)}." if there else " There is none of anything yet."
        super().__init__(
            f"The book has no {name!r} in store.{meant} What came in is entered first: "
            f'caskward book receive 25 kg "{name}" from "its supplier"'
        )
        self.nearest = nearest


class NoUnit(InputError):
    """An amount of goods without its unit, or none at all."""

    def __init__(self, given: str, example: str) -> None:
        super().__init__(
            f"{given!r} says no amount with its unit and what it is of. Write it like {example}."
        )


class WhichBatch(BookRefusal):
    """A deed of a batch where none, or more than one, is open."""

    def __init__(self, verb: str, open_batches: tuple[str, ...]) -> None:
        if open_batches:
            named = ", ".join(repr(name) for name in open_batches)
            advice = f'Open are {named}: say which, like --batch "{open_batches[0]}".'
        else:
            advice = 'None is open: caskward book begin "rye 5"'
        super().__init__(f"Something is {verb} for a batch. {advice}")


class LessThanBefore(InputError):
    """A mash after which a vessel would hold much less than it did."""

    def __init__(self, place: str, held: str, then: str) -> None:
        super().__init__(
            f"{place} holds {held} by the book, and goods that go in do not leave {then}: a mash is told "
            "with all that its vessel holds then. If something else is in it, book that out first (move, "
            "lose, destroy), or take another vessel; if the book is wrong, gauge it first."
        )


class WhatStrength(InputError):
    """An amount of liquid without its strength, from a place that has none in the book."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} says no strength, and the book has none there. Add what you read and how warm it "
            "was, like 63 % at 18 C; water is 0 % at 20 C."
        )


class HowMuch(InputError):
    """A strength without an amount, or nothing at all."""

    def __init__(self, given: str) -> None:
        said = repr(given) if given.strip() else "The line"
        super().__init__(
            f"{said} says no amount. Write a volume or a mass, like 20 L or 18.5 kg, or all for everything "
            "that the book has there."
        )


class NotJustWords(InputError):
    """Words behind an amount that mean nothing here."""

    def __init__(self, words: str, given: str) -> None:
        super().__init__(
            f"{words!r} in {given!r} is not understood. An amount is written like 20 L 63 % at 18 C; a "
            "name of several words stands in quotes."
        )


class WhyWanted(InputError):
    """Something lost, destroyed or explained without a reason."""

    def __init__(self, verb: str, example: str) -> None:
        super().__init__(f"Nothing was said why. Write it behind the amount: caskward book {verb} {example}")


class SlashInName(InputError):
    """A name with a slash, which parts the names of accounts."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name!r} has a slash in it, which parts the names of accounts. "
            f"Write it like {name.replace('/', '-')!r}."
        )


class NoCurrency(InputError):
    """A price without its currency."""

    def __init__(self, given: str) -> None:
        super().__init__(f"{given!r} names no currency. Write it like 31.50 EUR.")


class NothingPlanned(BookRefusal):
    """A batch that has no plan in the book."""

    def __init__(self, batch: str) -> None:
        super().__init__(
            f"The batch {batch!r} has no plan in the book. Give it one: "
            f'caskward book plan "{batch}" mine.toml'
        )


class PlanNotReopened(BookRefusal):
    """A plan in the book that this Caskward cannot open."""

    def __init__(self, batch: str, why: str) -> None:
        super().__init__(
            f"The plan of the batch {batch!r} cannot be opened again: {why} "
            f'Plan it anew: caskward book plan "{batch}" mine.toml'
        )


class GoneOnSince(BookRefusal):
    """A correction of what has gone on since to other places."""

    def __init__(self, number: int, why: str) -> None:
        super().__init__(
            f"Entry {number} cannot be put right alone, since what it brought has gone on in later entries. "
            f"{why} Correct the later ones first, the newest first; or enter what is true now, by a gauge."
        )


class OfAnotherPlace(BookRefusal):
    """A correction that names none of the places of the entry that it corrects."""

    def __init__(self, number: int, says: str) -> None:
        super().__init__(
            f"Entry {number} says: {says}. What you give as right is of other places: check the number. If "
            f'entry {number} never happened, take it back (caskward book correct {number} --why "...") and '
            "enter the other by itself."
        )


class NoSuchDay(InputError):
    """A moment so far away that nobody means it."""

    def __init__(self, given: str, first_year: str, last_year: str) -> None:
        super().__init__(
            f"{given[:60]!r} lies before the year {first_year} or after {last_year}, which the book does not "
            "take. Check its digits; a time is written like yesterday 9:00 or 2026-03-01 14:30."
        )


class NameOfNoPage(InputError):
    """A new name that would have no page of its own, since addresses use it for something else."""

    def __init__(self, name: str) -> None:
        better = name.replace("/", " ").replace("\\", " ").strip(" .")
        better = f"{better} 1" if better.casefold() in ("new", "labels") else better or "rye 5"
        super().__init__(
            f"{name!r} cannot be the name of a batch, vessel or cask: the desk's pages need it for their own "
            f"addresses. Call it, say, {better!r}."
        )
