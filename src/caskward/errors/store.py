"""What can go wrong between the book and the disk or server that keeps it."""

from __future__ import annotations

from caskward.errors.common import CaskwardError, InputError


class StoreError(CaskwardError):
    """The book could not be kept or read; nothing was half-written."""


class BookPlaceUnclear(InputError):
    """The name of a book's place is neither a file nor an address that a book can be kept at."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is no place for a book. Set CASKWARD_BOOK to a file, such as farm.sqlite, or to an "
            "address that begins with postgresql://"
        )


class NoBookYet(InputError):
    """A book was to be read where there is none."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"There is no book at {place}. It begins with the first thing that is recorded; "
            "if yours is elsewhere, set CASKWARD_BOOK to it."
        )


class NotABook(InputError):
    """A file or database that holds something else."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"{place} is not a book of Caskward's, and was left as it is. Set CASKWARD_BOOK to another place."
        )


class BookFromLater(InputError):
    """A book that a later Caskward has written in."""

    def __init__(self, place: str, theirs: str, ours: str) -> None:
        super().__init__(
            f"The book at {place} was last opened by a newer Caskward (its form is {theirs}, this one knows "
            f"{ours} and older), and was left as it is. Update Caskward, then open it again."
        )
        self.theirs, self.ours = theirs, ours


class ReadOnlyBook(StoreError):
    """The book may be read but not written."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"The book at {place} may be read but not written, so nothing was recorded. "
            "Make the file and its folder writable for you, or set CASKWARD_BOOK to a place of your own."
        )


class BookFolderShut(StoreError):
    """The folder in which the book would be kept cannot be made or written in."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(
            f"No book can be kept at {place}: {why}. Set CASKWARD_BOOK to a file in a folder that you may "
            "write to."
        )


class NoRoomForBook(StoreError):
    """The disk is full."""

    def __init__(self, place: str) -> None:
        super().__init__(
            f"There is no room left where the book is kept ({place}). Nothing of this was recorded and all "
            "that was recorded before is safe. Make room, then record it again."
        )


class BookBusy(StoreError):
    """Somebody else has been writing for too long."""

    def __init__(self, place: str, waited_s: float) -> None:
        super().__init__(
            f"The book at {place} was being written by someone else for {waited_s:g} s, so nothing was "
            "recorded. Try again; if it stays so, close the program that holds it."
        )


class BookDamaged(StoreError):
    """The file or server answers that what it holds is broken."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(
            f"The book at {place} cannot be read as it should ({why}). Change nothing in it; keep a copy "
            "of it as it is, then bring back your last backup with: caskward book restore"
        )


class EntryDamaged(StoreError):
    """An entry whose rows are not as the book wrote them."""

    def __init__(self, number: int, why: str) -> None:
        super().__init__(
            f"Entry {number} was changed after it was recorded, or is damaged: {why}. See all that is wrong "
            "with: caskward book check; then bring back your last backup with: caskward book restore"
        )
        self.number, self.why = number, why


class DiskTrouble(StoreError):
    """The disk or server failed in some other way."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(
            f"The book at {place} could not be used: {why}. All that was acknowledged before is there; look "
            "whether this entry is too, and if not, record it again."
        )


class ServerNotReached(StoreError):
    """The server that keeps the book does not answer, or does not let us in."""

    def __init__(self, place: str, why: str) -> None:
        super().__init__(
            f"The book at {place} cannot be reached: {why}. Check the address in CASKWARD_BOOK and that the "
            "server is running. If you were recording something, look afterwards whether it is there."
        )


class NoServerDriver(InputError):
    """The library that talks to PostgreSQL is missing."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"A book on PostgreSQL needs the Python package psycopg, which cannot be used here ({why}). "
            "Install Caskward with its extra 'postgres', or set CASKWARD_BOOK to a file."
        )


class SqliteTooOld(StoreError):
    """This Python's SQLite cannot keep strict tables."""

    def __init__(self, have: str, need: str) -> None:
        super().__init__(
            f"This Python's SQLite is {have}, but a book needs {need} or newer. Start Caskward with a newer "
            "Python, or keep the book on PostgreSQL."
        )


class BookAlreadyThere(InputError):
    """A book would be written over."""

    def __init__(self, place: str, entries: int | None, how: str) -> None:
        if entries is None:
            there = "something that is no book, or a damaged one"
        else:
            there = f"a book already, with {entries:,} {'entry' if entries == 1 else 'entries'}"
        super().__init__(f"At {place} there is {there}. It was left as it is. {how}")
        self.entries = entries


class FileAlreadyThere(InputError):
    """A file that would be written over."""

    def __init__(self, given: str) -> None:
        super().__init__(f"{given} is there already and was left as it is. Name another file, or move it.")


class CopyNotGood(StoreError):
    """A backup that does not pass the checks."""

    def __init__(self, place: str, finding: str) -> None:
        super().__init__(
            f"The copy at {place} does not pass its checks: {finding} It was not taken. "
            "Check the book itself with: caskward book check"
        )
        self.finding = finding


class ExportNotWhole(InputError):
    """A line of an export was changed, or does not follow on the one before."""

    def __init__(self, line: int, why: str) -> None:
        super().__init__(
            f"Line {line} of the export cannot be taken in: {why}. Nothing was imported; "
            "make the export again where the book is."
        )
        self.line = line
